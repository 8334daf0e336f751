"""One question, one line: a row to go to, a note to keep."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.events import DescendantFocus, Key
from textual.screen import ModalScreen
from textual.widgets import Input, Static

T = TypeVar("T")


class Typed(ModalScreen[T]):
    """A screen typed in as soon as it is there: what came before its first line had the focus is typed into it."""

    def __init__(self) -> None:
        super().__init__()
        self._ahead: list[Key] | None = []

    def typed_ahead(self, event: Key) -> bool:
        """Keep a key for the first line; False once that has the focus, or for a key that is not typed."""
        if self._ahead is None or not (event.is_printable or event.key in ("enter", "backspace")):
            return False
        self._ahead.append(event)
        return True

    def on_key(self, event: Key) -> None:
        if self.typed_ahead(event):
            event.stop()
            event.prevent_default()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        ahead, self._ahead = self._ahead or [], None
        line = self.focused
        if not isinstance(line, Input):
            return
        entered = False
        for key in ahead:
            if entered:
                # For whatever that Enter leads to.
                self.app.call_after_refresh(self.app.post_message, Key(key.key, key.character))
            elif key.key == "enter":
                entered = True
                line.call_later(line.action_submit)
            elif key.key == "backspace":
                line.call_later(line.action_delete_left)
            else:
                line.post_message(Key(key.key, key.character))


class Ask(Typed[str | None]):
    """Asks for one line; None if the knitter leaves it. ``refuse`` says what is wrong with an answer."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "leave it")]

    def __init__(
        self,
        question: str,
        hint: str = "",
        refuse: Callable[[str], str | None] = lambda _: None,
        preset: str = "",
    ) -> None:
        super().__init__()
        self.question, self.hint, self.refuse, self.preset = question, hint, refuse, preset

    def compose(self) -> ComposeResult:
        with Vertical(classes="ask"):
            yield Static(Content(self.question), classes="question")
            yield Input(self.preset, max_length=200)
            yield Static(Content(self.hint), classes="hint")

    def on_mount(self) -> None:
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        # A second Enter may wait behind the first: what is answered must not be answered again.
        if not self.is_current:
            return
        answer = event.value.strip()
        if not answer:
            self.dismiss(None)
        elif (why := self.refuse(answer)) is not None:
            self.query_one(".hint", Static).update(Content(why))
        else:
            self.dismiss(answer)

    def action_leave(self) -> None:
        if self.is_current:
            self.dismiss(None)
