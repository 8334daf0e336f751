"""The least a Textual program can show: one word on an empty screen."""

from __future__ import annotations

from textual.app import App
from textual.screen import Screen


class Word(Screen[None]):
    def render(self) -> str:
        return "ready"


class Empty(App[None]):
    ENABLE_COMMAND_PALETTE = False

    def get_default_screen(self) -> Word:
        return Word()


if __name__ == "__main__":
    Empty().run()
