"""Text to read, and lists: blocks of lines, scrolled, saying what is out of sight; two columns where there is room."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from rich.cells import cell_len, set_cell_size

from purlside.app.spelling import in_ascii
from purlside.app.widgets.pane import Pane, Run
from purlside.text.counts import counted

Line = list[Run]
Block = list[Line]
"""Lines that stand together; a column never begins within them."""
Told = tuple[str, str]
"""A line of text and the name of its style."""

COLUMN = 74
"""Columns a page needs before it is set in two."""
WIDEST = 100
"""Longer lines are hard to read back from an arm's length."""
GAP = 3
"""Columns between two columns of text."""


def heading(told: Callable[[], Line]) -> Pane:
    """The name of a screen, and what is told beside it."""
    return Pane(lambda width, height: ([], told(), []), id="heading")


def sight(at: int, count: int, room: int) -> range:
    """Which of ``count`` lines are in sight, where there is room for so many: those around the ``at``-th."""
    top = max(0, min(at - room // 2, count - room))
    return range(top, min(count, top + room))


def in_sight(lines: Sequence[Line], at: int, height: int, indent: int = 1) -> Iterator[Line]:
    """The lines around the ``at``-th; a list that goes on says so in the line it would be cut at."""
    seen = sight(at, len(lines), height)
    for i in seen:
        if i == seen.start > 0:
            yield [(f"{' ' * indent}… {i + 1} more above", "quiet")]
        elif i == seen.stop - 1 < len(lines) - 1:
            yield [(f"{' ' * indent}… {len(lines) - i} more below", "quiet")]
        else:
            yield lines[i]


class Scrolled(Pane):
    """Lines from ``top`` on."""

    top = 0

    def laid(self, width: int) -> Sequence[Line]:
        """All lines, as they are set in so many columns."""
        raise NotImplementedError

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        laid = self.laid(width)
        self.top = max(0, min(self.top, len(laid) - height))
        return list(laid[self.top : self.top + height])

    def scroll_lines(self, by: int) -> None:
        """Go down by so many lines, up where it is below 0."""
        self.top = max(0, self.top + by)


class Page(Scrolled):
    """Shows ``blocks``, asked for with the width of a column."""

    def __init__(self, blocks: Callable[[int], Sequence[Block]]) -> None:
        super().__init__(id="page")
        self.blocks = blocks

    @property
    def where(self) -> str:
        """``"lines 1-20 of 54"``; empty where all is in sight."""
        width, height = self.size
        count = len(self.laid(width)) if width else 0
        if count <= height:
            return ""
        top = max(0, min(self.top, count - height))
        more = "" if top + height >= count else ", more below"
        return f"lines {top + 1}-{top + height} of {count}{more}"

    def laid(self, width: int) -> list[Line]:
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


class ReadingPane(Scrolled):
    """Shows what ``told`` says, wrapped; the last line says how much more there is."""

    def __init__(self, told: Callable[[], Sequence[Told]], **options: Any) -> None:
        super().__init__(**options)
        self.told = told
        self._set: tuple[int, Sequence[Told], list[Line]] = (0, (), [])

    def laid(self, width: int) -> list[Line]:
        told = self.told()
        if self._set[:2] != (width, told):
            room = max(10, width - 2)
            laid: list[Line] = [
                [(f" {part}", style)]
                for text, style in told
                for part in ([text] if len(text) <= room else textwrap.wrap(text, room, subsequent_indent="   "))
            ]
            self._set = (width, told, laid)
        return self._set[2]

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        shown = list(super().lines(width, height))
        if (more := len(self.laid(width)) - self.top - height) > 0:
            shown[-1] = [(f"   … {counted(more + 1, 'more line')}", "strong")]
        return shown


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
