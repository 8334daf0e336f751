"""Lines to be looked at and scrolled: a sheet before it is printed, a pattern read, what a refit changed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from purlside.app.screens.ask import Dialog


class Looking(Dialog[bool]):
    """Shows lines; True if they are accepted with Enter, where that does something."""

    BINDINGS: ClassVar[list[BindingType]] = [("q", "leave", "back"), ("enter", "accept", "accept")]

    def __init__(self, heading: str, lines: Iterable[str], accept: str = "") -> None:
        super().__init__(heading)
        self.shown_lines, self.accept = list(lines), accept

    def compose(self) -> ComposeResult:
        with VerticalScroll():
            ways = f"Enter: {self.accept}; Esc: back" if self.accept else "Esc: back"
            yield Static(Content(f"{self.question}   (Up, Down scroll; {ways})"))
            yield Static(Content("\n" + "\n".join(self.shown_lines)))

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()

    def action_accept(self) -> None:
        self.answer(bool(self.accept) or None)
