"""One question: answered by a line, as a row to go to or a note to keep, or by a key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key
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


class Choose(ModalScreen[str]):
    """A question with a key for each answer; gives the key. ``"escape"`` must be one of them."""

    CSS = "Choose { align: center middle; background: $background 60%; }"

    def __init__(self, question: str, answers: Mapping[str, str]) -> None:
        super().__init__()
        self.question, self.answers = question, answers

    def compose(self) -> ComposeResult:
        with Vertical(classes="ask"):
            yield Static(Content(self.question), classes="question")
            told = (
                f"{'Esc' if key == 'escape' else key.capitalize() if len(key) > 1 else key}  {words}"
                for key, words in self.answers.items()
            )
            yield Static(Content("\n".join(told)))

    def on_key(self, event: Key) -> None:
        event.stop()
        key = event.character if event.is_printable and event.character else event.key
        if key in self.answers and self.is_current:
            self.dismiss(key)
