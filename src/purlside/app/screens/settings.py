"""Settings: calls, look, hands-free, and which key does what."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from functools import partialmethod

from textual.app import ComposeResult
from textual.events import Key

from purlside.app.actions import SETTINGS, KeyConflict
from purlside.app.options import Option, options
from purlside.app.rebinding import bound, keys_now, unbound, wrong_pedal
from purlside.app.screens.keyed import Choosing
from purlside.app.widgets.page import heading, in_sight
from purlside.app.widgets.pane import Pane, Run
from purlside.keep.settings import Settings
from purlside.sound.playing import SWITCH

NAME = 42
"""Columns for a setting's name, where the screen has them."""


class SettingsScreen(Choosing):
    """Lists everything that can be set; each change is kept at once."""

    ACTIONS = SETTINGS

    def __init__(self) -> None:
        super().__init__()
        self.asking = ""
        """What the next key does: "" nothing of its own, "set" or "add" binds it."""
        self.listed: list[str | Option] = []

    def panes(self) -> ComposeResult:
        yield heading(lambda: [(" Settings", "figure")])
        yield Pane(self._lines, id="options")

    def on_mount(self) -> None:
        self.look_again()

    @property
    def option(self) -> Option:
        """The chosen one."""
        choices = self._choices()
        return choices[min(self.chosen, len(choices) - 1)]

    def _choices(self) -> list[Option]:
        return [line for line in self.listed if isinstance(line, Option)]

    @property
    def count(self) -> int:
        return len(self._choices())

    @property
    def page(self) -> int:
        return self.query_one("#options").size.height - 2

    def _lines(self, width: int, height: int) -> Iterator[list[Run]]:
        """The settings, the chosen one marked."""
        chosen = self.option
        at = next(i for i, line in enumerate(self.listed) if line is chosen)
        return in_sight([self._line(line, line is chosen, width) for line in self.listed], at, height, indent=3)

    def _line(self, line: str | Option, here: bool, width: int) -> list[Run]:
        if isinstance(line, str):
            return [(f" {line}", "figure")]
        name = min(NAME, max(20, width // 2))
        label = line.name if len(line.name) <= name else f"{line.name[: name - 1]}…"
        return [
            (" > " if here else "   ", "key"),
            (f"{label:<{name}} ", "strong" if here else "plain"),
            (f"{'press a key' if here and self.asking else line.value}  ", "figure" if here else "strong"),
            (line.hint, "quiet"),
        ]

    def look_again(self) -> None:
        """Ask the settings anew."""
        session = self.owner.session
        plan = session.file.plan if session else None
        speech = "" if self.owner.calls.speaks else "no speech engine, as espeak-ng, is found"
        sound = f"{SWITCH}=off: sound is off" if os.environ.get(SWITCH, "").strip().lower() == "off" else ""
        self.listed = list(options(self.owner.settings, plan, sound=sound, speech=sound or speech))
        self.call_after_refresh(self.repaint)

    def say(self, text: str) -> None:
        self.note_line = text
        self.look_again()

    def _settle(self, settings: Settings) -> None:
        self.owner.settle(settings)
        self.say("")

    # --- changing -----------------------------------------------------------

    def _change(self, step: int) -> None:
        option = self.option
        if option.change is None:
            return
        self._settle(option.change(self.owner.settings, step))
        if option.sounds is not None:
            self.owner.calls.play(option.sounds)

    do_more, do_less = partialmethod(_change, 1), partialmethod(_change, -1)

    def do_change(self) -> None:
        if self.option.binds:
            self._ask("set")
        else:
            self._change(1)

    def do_add(self) -> None:
        if self.option.binds and self.option.binds != "pedal":
            self._ask("add")

    def _ask(self, how: str) -> None:
        self.asking = how
        what = "The pedal's key" if self.option.binds == "pedal" else f"A key for: {self.option.name}"
        self.say(f"{what} (Esc leaves it as it is)")

    def taken(self, key: str, event: Key) -> bool:
        """A key that was asked for is bound, or refused in words."""
        if not self.asking:
            return False
        how, self.asking = self.asking, ""
        if key == "escape":
            self.say("")
            return True
        try:
            self._settle(self._bound(how, key))
        except KeyConflict as conflict:
            self.say(f"Refused: {conflict}")
        return True

    def _bound(self, how: str, key: str) -> Settings:
        settings, name = self.owner.settings, self.option.binds
        if name == "pedal":
            if why := wrong_pedal(settings.keys, key):
                raise KeyConflict(why)
            return replace(settings, pedal=replace(settings.pedal, key=key))
        others = keys_now(settings.keys, name) if how == "add" else []
        return bound(settings, name, [*(k for k in others if k != key), key])

    def do_reset(self) -> None:
        option = self.option
        try:
            if option.reset is not None:
                self._settle(option.reset(self.owner.settings))
            elif option.binds:
                self._settle(unbound(self.owner.settings, option.binds))
        except KeyConflict as conflict:
            self.say(f"Refused: {conflict}")

    def do_reset_keys(self) -> None:
        self._settle(replace(self.owner.settings, keys={}))
        self.say("All keys are reset")
