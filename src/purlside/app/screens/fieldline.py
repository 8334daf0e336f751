"""The fields of the drafting table: choosing one, and the line one types in."""

from __future__ import annotations

import contextlib
from collections.abc import Callable

from textual.events import Key
from textual.widgets import Input

from purlside.app.screens.cablekeys import CableKeys
from purlside.draft import fields
from purlside.draft.drafting import CannotDraft, Draft
from purlside.plan.problems import Key as FieldKey

_PASSED = {"left", "right", "home", "end", "backspace", "delete", "enter"}
"""Keys that belong to the line being typed."""
ADDED: dict[str, tuple[Callable[[Draft], str], str]] = {
    "band": (Draft.add_band, "rows"),
    "shape": (Draft.add_shape, "do"),
    "stitch": (Draft.add_stitch, "do"),
    "part": (Draft.add_part, "name"),
}
"""Actions that add an entry to the list of their name, and the field of it that is typed in first."""


class FieldLine(CableKeys):
    """A screen with fields and an ``Input`` named ``#typed``; class ``-typing`` while it is typed in."""

    at_fields = False
    chosen_key: FieldKey | None = None
    _before = ""

    @property
    def _keys(self) -> list[FieldKey]:
        return [field.key for field in fields.fields(self.draft.plan, self.draft.selected)]

    def do_fields(self) -> None:
        self._show_fields(not self.at_fields)
        self.say("")

    def _show_fields(self, shown: bool) -> None:
        if not shown:
            self._typed()
        self.at_fields, self.carrying = shown, False
        self.set_class(shown, "-fields")
        if shown and self.chosen_key not in self._keys:
            self.chosen_key = self._keys[0]
        self.call_after_refresh(self.repaint)

    def _choose(self, by: int) -> None:
        keys = self._keys
        at = keys.index(self.chosen_key) if self.chosen_key in keys else 0
        typing = self.has_class("-typing")
        self._typed()
        self.chosen_key = keys[max(0, min(at + by, len(keys) - 1))]
        if typing and by:
            self._type()
        self.say("")

    def _type(self) -> None:
        """Type in the chosen field: each letter is taken in as it is typed."""
        if self.chosen_key is None:
            return
        self.draft.history.seal()
        self._before = self.draft.text(self.chosen_key)
        line = self.query_one("#typed", Input)
        self.set_class(True, "-typing")
        line.can_focus = True
        with line.prevent(Input.Changed):
            line.value = self._before
        line.cursor_position = len(self._before)
        line.focus()
        self.call_after_refresh(self.repaint)

    def _typed(self) -> None:
        """The line is done with."""
        if self.has_class("-typing"):
            self.draft.history.seal()
            self.set_class(False, "-typing")
            self.set_focus(None)
            self.query_one("#typed", Input).can_focus = False
            self.call_after_refresh(self.repaint)

    def _retype(self) -> None:
        """After an undo the line shows what stands in the field now."""
        if self.has_class("-typing") and self.chosen_key is not None:
            line = self.query_one("#typed", Input)
            with line.prevent(Input.Changed):
                line.value = self.draft.text(self.chosen_key)

    def on_input_changed(self, event: Input.Changed) -> None:
        key = self.chosen_key
        if self.has_class("-typing") and key is not None:
            with contextlib.suppress(CannotDraft):
                self.draft.type(key, event.value)
            self.say("")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self._typed()

    def on_key(self, event: Key) -> None:
        """Keys of the line go to the line; Textual then asks the screen's own ``on_key`` for the others."""
        if not self.has_class("-typing"):
            return
        if event.key in _PASSED or event.is_printable:
            event.prevent_default()
        elif event.key == "escape":
            event.prevent_default()
            event.stop()
            self._leave_line()

    def _leave_line(self) -> None:
        key = self.chosen_key
        if key is not None and self.draft.text(key) != self._before:
            self.attempt(lambda: self.draft.type(key, self._before))
        self._typed()

    def do_delete(self) -> None:
        key = self.chosen_key
        if self.at_fields and key and key[0] in fields.ENTRIES:
            self.attempt(lambda: self.draft.remove(key))
            self._choose(0)
        else:
            super().do_delete()

    def do(self, name: str) -> None:
        if name in ADDED:
            self.attempt(lambda: self._add(name))
        else:
            super().do(name)

    def _add(self, name: str) -> str:
        """A new entry of a list, and on to its fields."""
        how, first = ADDED[name]
        words = how(self.draft)
        self.chosen_key = (name, len(getattr(self.draft.plan, name)) - 1, first)
        self._show_fields(True)
        return words
