"""A screen whose keys come from the registry of actions and the settings."""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, cast

from textual.events import Key
from textual.screen import Screen

from purlside.app.actions import Action, keymap
from purlside.settings import Settings

if TYPE_CHECKING:
    from purlside.app.app import PurlsideApp


class Keyed(Screen[None]):
    """Calls ``do_<name>`` for the action a key stands for."""

    ACTIONS: tuple[Action, ...] = ()

    def __init__(self, settings: Settings, **options: Any) -> None:
        super().__init__(**options)
        self.keys: Mapping[str, Action] = keymap(self.ACTIONS, settings.keys)
        self._last_key = ("", 0.0)

    @property
    def owner(self) -> PurlsideApp:
        """The app, as the type it is."""
        return cast("PurlsideApp", self.app)

    def action_of(self, event: Key) -> Action | None:
        """The action of a key, by its character or by its name."""
        printable = event.character if event.is_printable and event.character != " " else None
        return self.keys.get(printable or event.key)

    def on_key(self, event: Key) -> None:
        action = self.action_of(event)
        if action is None:
            return
        event.stop()
        event.prevent_default()
        if self._bounced(event.key):
            return
        getattr(self, f"do_{action.name}")()

    def _bounced(self, key: str) -> bool:
        """Whether the same key came again too soon to be meant (a setting; off by default)."""
        guard = self.owner.settings.guard / 1000
        now = time.monotonic()
        last, when = self._last_key
        self._last_key = (key, now)
        return bool(guard) and key == last and now - when < guard

    def do_help(self) -> None:
        from purlside.app.screens.help import Help

        self.app.push_screen(Help(self.ACTIONS, self.keys))

    def do_theme(self) -> None:
        self.owner.change_look(theme="light" if self.owner.settings.look.theme == "dark" else "dark")
