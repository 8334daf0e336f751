"""A screen whose keys come from the registry of actions and the settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

from textual.events import Key
from textual.screen import Screen

from purlside.app.actions import GROUPS, Action, key_text, keymap
from purlside.app.held import Held, Pressed
from purlside.app.owner import Owner
from purlside.app.widgets.pane import Pane
from purlside.text.units import Unit


def key_name(event: Key) -> str:
    """A key by its character, or by its name where it has none."""
    return event.character if event.is_printable and event.character and event.character != " " else event.key


class Keyed(Screen[None]):
    """Calls ``do_<name>`` for the action a key stands for."""

    ACTIONS: tuple[Action, ...] = ()
    GUARDED = False
    """Whether a key held down counts once (unless set otherwise); lists are for scrolling with one."""
    note_line = ""
    """What was said last, on the key line until the next key."""

    def __init__(self) -> None:
        super().__init__()
        self.held = Held()
        self._keys_set: tuple[Mapping[str, Sequence[str]], Mapping[str, Action]] | None = None
        """The keys as they were set, and what each does."""

    @property
    def keys(self) -> Mapping[str, Action]:
        """What each key does, as it is set now; lists and forms keep their own keys."""
        over = self.owner.settings.keys
        if self._keys_set is None or self._keys_set[0] is not over:
            self._keys_set = over, keymap(self.ACTIONS, over if self.ACTIONS in GROUPS.values() else {})
        return self._keys_set[1]

    @property
    def owner(self) -> Owner:
        """The app, as the type it is."""
        return cast("Owner", self.app)

    @property
    def unit(self) -> Unit:
        """What lengths are told in."""
        return Unit(self.owner.settings.look.unit)

    def key_of(self, name: str) -> str:
        """The first key of an action, as printed."""
        return next(key_text(key) for key, action in self.keys.items() if action.name == name)

    def taken(self, key: str, event: Key) -> bool:
        """Whether the screen takes this key for something that is not an action."""
        return False

    def _repaint(self) -> None:
        """Have every pane look again at what it shows."""
        for pane in self.query(Pane):
            pane.redraw()

    def say(self, text: str) -> None:
        """A word on the key line, until the next key."""
        self.note_line = text
        self._repaint()

    def on_screen_resume(self) -> None:
        """Keys that another screen had came between: what is pressed now is not held since then."""
        self.held = Held()

    def on_key(self, event: Key) -> None:
        # Not is_current: that is true of a screen below a question too.
        if self.app.screen is not self:
            event.stop()
            event.prevent_default()
            if self in self.app.screen_stack:
                # Typed ahead of a screen that an earlier key asked for: it is that screen's to answer.
                self.owner.typed_ahead.wait(event)
            # What waited behind the key that left this screen is for no other.
            return
        key = key_name(event)
        pressed = self._pressed(key, event)
        if pressed is not Pressed.REPEATED and self.note_line:
            self.note_line = ""
            self.query_one("#keys", Pane).redraw()
        if self.taken(key, event):
            event.stop()
            event.prevent_default()
            return
        action = self.keys.get(key)
        if action is None:
            return
        event.stop()
        event.prevent_default()
        match pressed:
            case Pressed.TAKEN_BACK:
                self.take_back_repeat()
                return
            case Pressed.REPEATED:
                return
        self.before_key(event)
        getattr(self, f"do_{action.name}")()

    def _pressed(self, key: str, event: Key) -> Pressed:
        """Whether a key is meant, where one held down counts once; a pedal's own key is told otherwise."""
        settings = self.owner.settings
        if not self.GUARDED or settings.guard_ms == 0 or key not in self.keys or key == settings.pedal.key:
            return Pressed.MEANT
        return self.held.press(key, event.time)

    def before_key(self, event: Key) -> None:
        """A key is about to be done."""

    def take_back_repeat(self) -> None:
        """The key is held: what its first repeat did was not meant."""

    def do_settings(self) -> None:
        self.owner.open_settings()

    def do_find(self) -> None:
        """Find an action by a word, and do it."""
        from purlside.app.screens.finding import Finding

        def do(name: str | None) -> None:
            if name is not None:
                getattr(self, f"do_{name}")()

        self.app.push_screen(Finding(self.ACTIONS, self.keys), do)

    def do_help(self) -> None:
        self.owner.open_help(self.ACTIONS, self.keys)

    def do_theme(self) -> None:
        self.owner.change_look(theme="light" if self.owner.settings.look.theme == "dark" else "dark")
