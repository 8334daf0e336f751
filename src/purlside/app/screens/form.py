"""A few questions at once, each on its line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from purlside.values import dataclass

Heard = tuple[str, bool]
"""How an answer is understood; True where that is why it cannot stand."""


@dataclass(frozen=True, slots=True)
class FormField:
    """One question: its key in the answers, its words, what stands there already."""

    key: str
    words: str
    value: str = ""


class Form(ModalScreen[dict[str, str] | None]):
    """Asks for several values; None if the knitter leaves it.

    ``refuse`` says what is wrong with the answers. ``hear`` tells, as they are typed, how each is understood, by its key;
    one that cannot stand keeps the cursor on its line. Its "" is told in place of the hint.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape", "leave", "leave it"),
        ("down", "app.focus_next", "next line"),
        ("up", "app.focus_previous", "line before"),
    ]

    def __init__(
        self,
        question: str,
        fields: Sequence[FormField],
        hint: str,
        refuse: Callable[[dict[str, str]], str | None] = lambda _: None,
        hear: Callable[[dict[str, str]], Mapping[str, Heard]] | None = None,
    ) -> None:
        super().__init__()
        self.question, self.fields, self.hint, self.refuse, self.hear = question, tuple(fields), hint, refuse, hear

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="ask"):
            yield Static(Content(self.question), classes="question")
            for field in self.fields:
                with Horizontal():
                    yield Static(Content(field.words))
                    yield Input(field.value, max_length=80, id=field.key)
                if self.hear is not None:
                    yield Static(id=f"heard-{field.key}", classes="heard")
            yield Static(Content(self.hint), classes="hint")

    def on_mount(self) -> None:
        self.query(Input).first().focus()
        self._listen()

    @property
    def answers(self) -> dict[str, str]:
        return {field.key: self.query_one(f"#{field.key}", Input).value.strip() for field in self.fields}

    def _listen(self) -> Mapping[str, Heard]:
        """Show how each answer is understood."""
        heard = {} if self.hear is None else self.hear(self.answers)
        for field in self.fields if self.hear is not None else ():
            words, wrong = heard.get(field.key, ("", False))
            line = self.query_one(f"#heard-{field.key}", Static)
            line.update(Content(f"{'! ' if wrong else '= '}{words}" if words else ""))
            line.set_class(wrong, "-wrong")
            line.display = bool(words)
        if "" in heard:
            self.query_one(".hint", Static).update(Content(heard[""][0]))
        return heard

    def on_input_changed(self, event: Input.Changed) -> None:
        if self.hear is not None:
            self._listen()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes to the next line, and after the last is done; a line that cannot stand is not left by it."""
        heard = self._listen()
        if heard.get(event.input.id or "", ("", False))[1]:
            return
        if event.input.id != self.fields[-1].key:
            self.focus_next()
            return
        if wrong := next((field.key for field in self.fields if heard.get(field.key, ("", False))[1]), None):
            self.query_one(f"#{wrong}", Input).focus()
        elif (why := self.refuse(self.answers)) is not None:
            self.query_one(".hint", Static).update(Content(why))
        else:
            self.dismiss(self.answers)

    def action_leave(self) -> None:
        self.dismiss(None)
