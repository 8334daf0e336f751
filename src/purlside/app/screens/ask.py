"""One question, one line: a row to go to, a note to keep."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static


class Ask(ModalScreen[str | None]):
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
