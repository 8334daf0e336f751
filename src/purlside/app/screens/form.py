"""A few questions at once, each on its line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static


@dataclass(frozen=True, slots=True)
class Field:
    """One question: its key in the answers, its words, what stands there already."""

    key: str
    words: str
    value: str = ""


class Form(ModalScreen[dict[str, str] | None]):
    """Asks for several values; None if the knitter leaves it. ``refuse`` says what is wrong with the answers."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape", "leave", "leave it"),
        ("down", "app.focus_next", "next line"),
        ("up", "app.focus_previous", "line before"),
    ]

    def __init__(
        self, question: str, fields: Sequence[Field], hint: str, refuse: Callable[[dict[str, str]], str | None]
    ) -> None:
        super().__init__()
        self.question, self.fields, self.hint, self.refuse = question, tuple(fields), hint, refuse

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="ask"):
            yield Static(Content(self.question), classes="question")
            for field in self.fields:
                with Horizontal():
                    yield Static(Content(field.words))
                    yield Input(field.value, max_length=80, id=field.key)
            yield Static(Content(self.hint), classes="hint")

    def on_mount(self) -> None:
        self.query(Input).first().focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes to the next line, and after the last is done."""
        if event.input.id != self.fields[-1].key:
            self.focus_next()
            return
        answers = {field.key: self.query_one(f"#{field.key}", Input).value.strip() for field in self.fields}
        if (why := self.refuse(answers)) is not None:
            self.query_one(".hint", Static).update(Content(why))
        else:
            self.dismiss(answers)

    def action_leave(self) -> None:
        self.dismiss(None)
