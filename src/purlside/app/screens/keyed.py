"""A screen whose keys come from the registry of actions and the settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

from textual.app import ComposeResult
from textual.events import Key, Resize
from textual.screen import Screen

from purlside.app.actions import GROUPS, Action, key_text, keymap
from purlside.app.owner import Owner
from purlside.app.presses import Held, Pressed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.page import Scrolled
from purlside.app.widgets.pane import Pane
from purlside.text.signs import ASCII, UNICODE, Glyphs
from purlside.text.units import Unit

ALL = 10**9
"""More lines than there are."""
MOVES = {"down": (1, 0), "up": (-1, 0), "page_down": (0, 1), "page_up": (0, -1), "first": (-ALL, 0), "last": (ALL, 0)}
"""Lines and pages that actions of this name go down by, in what is read or listed."""


def key_name(event: Key) -> str:
    """A key by its character, or by its name where it has none."""
    return event.character if event.is_printable and event.character and event.character != " " else event.key


class Keyed(Screen[None]):
    """Panes above a key line; calls ``do_<name>`` for the action a key stands for."""

    ACTIONS: tuple[Action, ...] = ()
    GUARDED = False
    """Whether a key held down counts once (unless set otherwise); lists are for scrolling with one."""
    note_line = ""
    """What was said last, on the key line until the next key."""

    def __init__(self) -> None:
        super().__init__()
        self.held = Held()
        self._painting = False
        """Whether it is to be painted once the keys that wait are done."""
        self._keys_set: tuple[Mapping[str, Sequence[str]], Mapping[str, Action]] | None = None
        """The keys as they were set, and what each does."""

    # --- what is shown --------------------------------------------------------

    def panes(self) -> ComposeResult:
        """What stands above the key line."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        yield from self.panes()
        yield KeyLine(self.keys_now, self.note, id="keys")

    def keys_now(self) -> Mapping[str, Action]:
        """The keys that are told of."""
        return self.keys

    def note(self) -> str:
        """What is told in their place."""
        return self.note_line

    def fit(self, width: int, height: int) -> None:
        """Lay the panes out for a screen of so many columns and lines."""

    def on_mount(self) -> None:
        self.fit(*self.app.size)

    def on_resize(self, event: Resize) -> None:
        self.fit(*event.size)
        self.call_after_refresh(self.repaint)

    def refresh_soon(self) -> None:
        """Paint once the keys that wait are done: a flood of them costs one picture."""
        if self._painting:
            return
        if not self.message_queue_size and not self.app.message_queue_size:
            self.repaint()
        else:
            self._painting = True
            self.call_later(self.repaint)

    def repaint(self) -> None:
        """Have every pane look again at what it shows."""
        self._painting = False
        for pane in self.query(Pane):
            if pane.display:
                pane.redraw()

    def say(self, text: str) -> None:
        """A word on the key line, until the next key."""
        self.note_line = text
        self.refresh_soon()

    # --- what is asked of the app ---------------------------------------------

    @property
    def owner(self) -> Owner:
        """The app, as the type it is."""
        return cast("Owner", self.app)

    @property
    def unit(self) -> Unit:
        """What lengths are told in."""
        return Unit(self.owner.settings.look.unit)

    @property
    def glyphs(self) -> Glyphs:
        """What the bed is drawn with."""
        return ASCII if self.owner.settings.look.drawing == "ascii" else UNICODE

    @property
    def keys(self) -> Mapping[str, Action]:
        """What each key does, as it is set now; lists and forms keep their own keys."""
        over = self.owner.settings.keys
        if self._keys_set is None or self._keys_set[0] is not over:
            self._keys_set = over, keymap(self.ACTIONS, over if self.ACTIONS in GROUPS.values() else {})
        return self._keys_set[1]

    def key_of(self, name: str) -> str:
        """The first key of an action, as printed."""
        return next(key_text(key) for key, action in self.keys.items() if action.name == name)

    # --- keys -------------------------------------------------------------------

    def taken(self, key: str, event: Key) -> bool:
        """Whether the screen takes this key for something that is not an action."""
        return False

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
        taken = self.taken(key, event)
        action = self.keys.get(key)
        if taken or action is not None:
            event.stop()
            event.prevent_default()
        if taken or action is None or pressed is Pressed.REPEATED:
            return
        if pressed is Pressed.TAKEN_BACK:
            self.take_back_repeat()
        else:
            self.before_key(event)
            self.do(action.name)

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

    def do(self, name: str) -> None:
        """Do an action: the screen's own, or a move in what it shows."""
        if (own := getattr(self, f"do_{name}", None)) is not None:
            own()
        else:
            lines, pages = MOVES[name]
            self.move(lines or pages * self.page)

    @property
    def page(self) -> int:
        """Lines to go on by a screen."""
        return max(1, self.query_one(Scrolled).size.height - 2)

    def move(self, by: int) -> None:
        """Go down by so many lines, up where it is below 0."""
        self.query_one(Scrolled).scroll_lines(by)
        self.say("")

    def do_settings(self) -> None:
        self.owner.open_settings()

    def do_find(self) -> None:
        """Find an action by a word, and do it."""
        from purlside.app.screens.finding import Finding

        self.owner.ask(Finding(self.ACTIONS, self.keys), self.do)

    def do_help(self) -> None:
        self.owner.open_help(self.ACTIONS, self.keys)

    def do_sound_test(self) -> None:
        self.say(self.owner.sound_test())

    def do_theme(self) -> None:
        self.owner.change_look(theme="light" if self.owner.settings.look.theme == "dark" else "dark")

    def do_leave(self) -> None:
        if self.is_current:
            self.dismiss()


class Choosing(Keyed):
    """A screen with a list, one line of it chosen."""

    chosen = 0

    @property
    def count(self) -> int:
        """How many lines there are to choose from."""
        raise NotImplementedError

    def where(self, noun: str) -> str:
        """``"plan 2 of 10"``; nothing where there is none."""
        return f"{noun} {self.chosen + 1} of {self.count}" if self.count else ""

    def choose(self, at: int) -> None:
        """Take that line, or the nearest there is."""
        self.chosen = max(0, min(at, self.count - 1))
        self.say("")

    def move(self, by: int) -> None:
        self.choose(self.chosen + by)
