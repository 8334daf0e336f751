"""Lines to be looked at and scrolled: a sheet before it is printed, a pattern read, what a refit changed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static


class Looking(ModalScreen[bool]):
    """Shows lines; True if they are accepted with Enter, where that does something, False if left."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,q", "leave", "back"), ("enter", "accept", "accept")]

    def __init__(self, heading: str, lines: Iterable[str], accept: str = "") -> None:
        super().__init__()
        self.heading, self.shown_lines, self.accept = heading, list(lines), accept

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="help"):
            ways = f"Enter: {self.accept}; Esc: back" if self.accept else "Esc: back"
            yield Static(Content(f"{self.heading}   (Up, Down scroll; {ways})"))
            yield Static(Content("\n" + "\n".join(self.shown_lines)))

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()

    def action_leave(self) -> None:
        self.dismiss(False)

    def action_accept(self) -> None:
        self.dismiss(bool(self.accept))
