"""A page to read: blocks of lines, scrolled; two columns where the screen is wide enough."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from rich.cells import cell_len, set_cell_size

from purlside.app.spelling import in_ascii
from purlside.app.widgets.pane import Pane, Run

Line = list[Run]
Block = list[Line]
"""Lines that stand together; a column never begins within them."""

COLUMN = 74
"""Columns a page needs before it is set in two."""
WIDEST = 100
"""Longer lines are hard to read back from an arm's length."""
GAP = 3
"""Columns between two columns of text."""


class Page(Pane):
    """Shows ``blocks``, asked for with the width of a column, from line ``top`` on."""

    def __init__(self, blocks: Callable[[int], Sequence[Block]], **options: Any) -> None:
        super().__init__(**options)
        self.blocks = blocks
        self.top = 0

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        laid = self._laid(width)
        self.top = max(0, min(self.top, len(laid) - height))
        return laid[self.top : self.top + height]

    @property
    def where(self) -> str:
        """``"lines 1-20 of 54"``; empty where all is in sight."""
        width, height = self.size
        count = len(self._laid(width)) if width else 0
        if count <= height:
            return ""
        top = max(0, min(self.top, count - height))
        more = "" if top + height >= count else ", more below"
        return f"lines {top + 1}-{top + height} of {count}{more}"

    def scroll_lines(self, by: int) -> None:
        """Go down by so many lines, up where it is below 0."""
        self.top = max(0, self.top + by)

    def _laid(self, width: int) -> list[Line]:
        if width < 2 * COLUMN + GAP + 2:
            return [[(" ", "plain"), *line] for block in self.blocks(min(WIDEST, width - 2)) for line in block]
        column = min(WIDEST, (width - GAP - 2) // 2)
        left, right = _balanced(self.blocks(column))
        if self.app.has_class("-ascii"):
            left, right = _spelt(left), _spelt(right)
        longer = max(len(left), len(right))
        return [
            [(" ", "plain"), *_filled(left[y] if y < len(left) else [], column), (" " * GAP, "plain")]
            + (right[y] if y < len(right) else [])
            for y in range(longer)
        ]


def _balanced(blocks: Sequence[Block]) -> tuple[list[Line], list[Line]]:
    """The blocks in two columns, in order, parted where the longer column is shortest."""
    ends = range(len(blocks) + 1)
    sizes = [len(block) for block in blocks]
    cut = min(ends, key=lambda end: (max(sum(sizes[:end]), sum(sizes[end:])), -end), default=0)
    return [line for block in blocks[:cut] for line in block], [line for block in blocks[cut:] for line in block]


def _spelt(lines: Iterable[Line]) -> list[Line]:
    return [[(in_ascii(text), style) for text, style in line] for line in lines]


def _filled(line: Line, width: int) -> Iterator[Run]:
    """A line cut, with a sign, or filled to a width."""
    room = width
    for text, style in line:
        size = cell_len(text)
        if size > room:
            yield (f"{set_cell_size(text, max(0, room - 1))}…" if room else "", style)
            return
        yield text, style
        room -= size
    yield " " * room, "plain"
