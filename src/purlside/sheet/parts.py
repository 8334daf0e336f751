"""What a sheet is made of: sections with typed content, the same for every way of writing it out.

Strings in here are plain text as it should be read; whoever writes them out
escapes them. Nothing here knows HTML, Markdown or columns; a drawing brings
its own SVG and its own lines of characters.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from enum import StrEnum

from purlside.values import Value


class Detail(StrEnum):
    """How much a sheet tells."""

    FULL = "full"
    WORKING = "working"
    SHORT = "short"


class Paper(StrEnum):
    """The paper a sheet is printed on; the value is also its name in style sheets."""

    A4 = "A4"
    LETTER = "Letter"


class Para(Value):
    """A paragraph."""

    text: str


class Items(Value):
    """A list without order."""

    lines: tuple[str, ...]


class Steps(Value):
    """Things to do, in order, counted from 1."""

    lines: tuple[str, ...]


class Facts(Value):
    """Names and what each one is."""

    pairs: tuple[tuple[str, str], ...]


class Boxes(Value):
    """Boxes to tick: ``count`` of them, each for ``rows`` rows, the last perhaps for fewer."""

    count: int
    rows: int = 1

    @property
    def words(self) -> str:
        """What a box stands for, where it is more than one row."""
        return f"a box for {self.rows:,} rows" if self.rows > 1 else ""

    def drawn(self, box: str) -> str:
        """The boxes in fives, to be counted at a glance."""
        fives, rest = divmod(self.count, 5)
        return " ".join([box * 5] * fives + ([box * rest] if rest else []))


Cell = str | Boxes


class Table(Value):
    """Rows of as many cells as ``head`` has; the first cell of a row names it."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


class Drawing(Value):
    """A drawing: ``svg`` of a given id, ``lines`` in characters, at most 80 columns, in ASCII or not; ``alt`` in words.

    ``caption`` and ``told`` are printed with it, ``alt`` only where it is not
    seen; ``beside``: what follows stands beside it where there is room.
    """

    svg: Callable[[str], str]
    lines: Callable[[bool], list[str]]
    alt: str
    caption: str = ""
    told: tuple[str, ...] = ()
    beside: bool = False


class Legend(Value):
    """What the signs of drawings mean: on paper, and in characters (in ASCII or not)."""

    intro: str
    on_paper: tuple[tuple[str, str], ...]
    in_characters: Callable[[bool], list[tuple[str, str]]]


Block = Para | Items | Steps | Facts | Table | Drawing | Legend


class SheetSection(Value):
    """A heading and what stands under it: content first, then sections of a level lower.

    ``whole`` sections are kept on one page where they fit.
    """

    heading: str
    blocks: tuple[Block, ...] = ()
    sections: tuple[SheetSection, ...] = ()
    whole: bool = False

    def walk(self) -> Iterator[SheetSection]:
        """This section and all below it, in reading order."""
        yield self
        for section in self.sections:
            yield from section.walk()


class Sheet(Value):
    """A hand-out, ready to be written out; ``plan`` is the text of the plan file that a page carries along."""

    title: str
    lead: tuple[Block, ...]
    sections: tuple[SheetSection, ...]
    detail: Detail
    paper: Paper
    plan: str = ""
