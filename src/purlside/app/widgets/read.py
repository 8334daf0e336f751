"""Lines of text to read: wrapped, scrolled, and saying what is out of sight."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from purlside.app.widgets.pane import Pane, Run

Told = tuple[str, str]
"""A line of text and the name of its style."""


class ReadingPane(Pane):
    """Shows what ``told`` says, from line ``top`` on; the last line says how much more there is."""

    def __init__(self, told: Callable[[], Sequence[Told]], **options: Any) -> None:
        super().__init__(**options)
        self.told = told
        self.top = 0
        self._set: tuple[int, Sequence[Told], list[list[Run]]] = (0, (), [])

    def wrapped(self, width: int) -> list[list[Run]]:
        """The lines as they are set, what goes on in the next line set in."""
        told = self.told()
        if self._set[:2] != (width, told):
            room = max(10, width - 2)
            laid: list[list[Run]] = [
                [(f" {part}", style)]
                for text, style in told
                for part in ([text] if len(text) <= room else textwrap.wrap(text, room, subsequent_indent="   "))
            ]
            self._set = (width, told, laid)
        return self._set[2]

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        laid = self.wrapped(width)
        self.top = max(0, min(self.top, len(laid) - height))
        shown = laid[self.top : self.top + height]
        if self.top + height < len(laid):
            more = len(laid) - self.top - height + 1
            shown[-1] = [(f"   … {more:,} more line{'s' if more != 1 else ''}", "strong")]
        return shown

    def scroll_lines(self, by: int) -> None:
        """Down by so many lines; up where it is below 0."""
        self.top = max(0, self.top + by)
        self.redraw()

    def to(self, top: int) -> None:
        """To that line, or as far as there is text."""
        self.top = max(0, top)
        self.redraw()
