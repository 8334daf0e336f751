"""A few questions at once, each on its line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from purlside.app.screens.ask import Dialog, T
from purlside.values import Value

Heard = tuple[str, bool]
"""How an answer is understood; True where that is why it cannot stand."""
Given = dict[str, str]
"""Answers by their keys."""


class FormField(Value):
    """One question: its key in the answers, its words, what stands there already."""

    key: str
    words: str
    value: str = ""


class Form(Dialog[T]):
    """Asks for several values, and gives what ``taken`` makes of them, which raises ValueError for those that will not do.

    ``hear`` tells, as they are typed, how each is understood, by its key; one that cannot stand keeps the cursor on its
    line. Its "" is told in place of the hint.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("down", "app.focus_next", "next line"),
        ("up", "app.focus_previous", "line before"),
    ]
    AROUND = VerticalScroll

    def __init__(
        self,
        question: str,
        fields: Sequence[FormField],
        hint: str,
        taken: Callable[[Given], T],
        hear: Callable[[Given], Mapping[str, Heard]] | None = None,
    ) -> None:
        super().__init__(question)
        self.fields, self.hint, self.taken, self.hear = tuple(fields), hint, taken, hear

    def body(self) -> ComposeResult:
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
    def answers(self) -> Given:
        return {field.key: self.query_one(f"#{field.key}", Input).value.strip() for field in self.fields}

    def _listen(self) -> list[str]:
        """Show how each answer is understood; the keys of those that cannot stand."""
        if self.hear is None:
            return []
        heard, wrong_ones = self.hear(self.answers), []
        for field in self.fields:
            words, wrong = heard.get(field.key, ("", False))
            line = self.query_one(f"#heard-{field.key}", Static)
            line.update(Content(f"{'! ' if wrong else '= '}{words}" if words else ""))
            line.set_class(wrong, "-wrong")
            line.display = bool(words)
            wrong_ones += [field.key] * wrong
        if "" in heard:
            self.tell(heard[""][0])
        return wrong_ones

    def on_input_changed(self, event: Input.Changed) -> None:
        self._listen()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes to the next line, and after the last is done; a line that cannot stand is not left by it."""
        wrong = self._listen()
        if event.input.id in wrong:
            return
        if event.input.id != self.fields[-1].key:
            self.focus_next()
        elif wrong:
            self.query_one(f"#{wrong[0]}", Input).focus()
        else:
            self.read(lambda: self.taken(self.answers))
