"""The fabric in characters, for a screen or a page of plain text.

:func:`draw` gives lines of (text, tone) runs, as the bed strip does, for any
window of rows and needles, seen from either side, one line a row; rows run
upward as they hang from the bed, row 1 lowest. Strands of cables run from
crossing to crossing, those on top interrupt those below them. The ground is
blank on the knit side and ``-`` on the purl side, as charts have it. A panel
with a shape has its edges drawn where they are: what rests stands lower from
there on, as in the fabric::

    fabric = Fabric(plan)
    drawing = draw(fabric, Face.KNIT, window(fabric, 1, 16), width=80)
    drawing.lines                          # for a screen; drawing.rows says which row each line is
    picture_text(plan, Face.KNIT, rows=(1, 16), ascii_only=True)

:mod:`purlside.fabric.svg` draws the same window on paper, :mod:`purlside.fabric.described`
says it in sentences.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby, pairwise

from purlside.bed.needles import Needle, numbered
from purlside.fabric.ribbons import Length, Window, lengths, window
from purlside.fabric.stitches import Fabric, FabricRow, Face, Stitch, sign_of
from purlside.plan.plan import Plan
from purlside.text.signs import Line, Tone, runs, text
from purlside.values import Value

__all__ = ["FabricDrawing", "Window", "caption", "draw", "legend", "picture_text", "window"]

PLAIN, FINE = "|x*<>[]", "│×•‹›▐▌"
"""The signs that are drawn finer where a terminal can."""

COARSE = str.maketrans("●▪▫▬ʊ", "%#=_u")
"""The signs of works, where a terminal has only ASCII."""

LEANS = 0.12
"""Needles a row a strand may lean and still be drawn upright."""

Cell = tuple[str, Tone]
BLANK: Cell = (" ", Tone.QUIET)
PURLED = {Face.KNIT: ("-", Tone.LOOP), Face.PURL: BLANK}
"""A stitch latched up from the knit side: purl there, and knit on the purl side."""


class FabricDrawing(Value):
    """Lines from the top; ``rows`` has each line's row, None for the numbers; ``window`` is what was drawn.

    ``per`` columns stand for a needle, or one for ``needles`` of them; the first needle's begin at column ``gutter``.
    """

    lines: list[Line]
    rows: list[int | None]
    window: Window
    per: int
    gutter: int
    face: Face
    fabric: Fabric
    needles: int = 1

    @property
    def body(self) -> list[Line]:
        """The rows alone, without their numbers and the needles', and without what stands beside the window."""
        return [line[2:-1] if self.fabric.shaped else line[1:] for line in self.lines[1:-1]]


def draw(
    fabric: Fabric,
    face: Face,
    part: Window | None = None,
    *,
    width: int = 80,
    ascii_only: bool = False,
    per: int | None = None,
    whole: bool = False,
) -> FabricDrawing:
    """The fabric on a screen ``width`` columns wide: needle numbers, the rows from the top, numbers again.

    Needles that do not fit are cut evenly on both sides, with a sign; or, ``whole``, several share a column. ``per``
    columns a needle, 3, 2 or 1, as they fit.
    """
    part = part or window(fabric)
    gutter = max(3, len(str(fabric.rows))) + 3
    room = max(1, width - gutter - 1)
    count = part.right - part.left + 1
    per = per or per_needle(count, room)
    needles = max(1, -(-count // room)) if whole else 1
    if needles == 1 and count * per > room:
        spare = count - max(1, room // per)
        part = replace(part, left=part.left + spare // 2, right=part.right - (spare - spare // 2))
    grid = _Grid(fabric, face, part, per, needles)
    numbers: Line = [(" " * (gutter - 1), Tone.LABEL), *grid.numbers()]
    rows = list(reversed(part.rows))
    lines = [numbers, *(_line(grid, row, gutter) for row in rows), numbers]
    as_drawn = COARSE if ascii_only else str.maketrans(PLAIN, FINE)
    lines = [[(part.translate(as_drawn), tone) for part, tone in line] for line in lines]
    return FabricDrawing(lines, [None, *rows, None], part, per, gutter, face, fabric, needles)


def per_needle(needles: int, columns: int) -> int:
    """Columns a needle, 3, 2 or 1, as they fit."""
    return next((each for each in (3, 2, 1) if needles * each <= columns), 1)


def _line(grid: _Grid, row: int, gutter: int) -> Line:
    label, tone = _label(row, grid.fabric.row(row), gutter)
    if not grid.fabric.shaped:
        return [(label, tone), *runs(grid.row(row))]
    left, *cells, right = grid.edged(row)
    return [(label[:-1], tone), left, *runs(cells), right]


def _label(row: int, knitted: FabricRow, gutter: int) -> Cell:
    mark = "!" if knitted.refused else "*" if knitted.crossings else " "
    return f"{row:>{gutter - 3}} {mark} ", Tone.LABEL if mark == " " else Tone.NUMBER


class _Grid:
    """The cells of a window's rows; ``needles`` of them share a column where they are more than 1."""

    def __init__(self, fabric: Fabric, face: Face, part: Window, per: int, needles: int = 1) -> None:
        self.fabric, self.face, self.part, self.per, self.needles = fabric, face, part, per, needles
        self.places = list(face.order(part.left, part.right))
        self.width = per * len(self.places) if needles == 1 else -(-len(self.places) // needles)
        self.ground: list[Cell] = [BLANK] * self.width
        for place in self.places:
            if place in fabric.ladders:
                self.ground[self.at(place)] = ("x", Tone.QUIET)
            elif face is Face.PURL:
                self.ground[self.at(place)] = ("-", Tone.LOOP)
        self.ribbons: dict[int, list[Length]] = {}
        for length in lengths(fabric, face, part):
            for row in range(max(part.first, round(length.bottom) + 1), min(part.last, round(length.top)) + 1):
                self.ribbons.setdefault(row, []).append(length)
        self.marks: dict[int, dict[int, Cell]] = {}
        # What rested is lower from there on: its marks stand lower than its rows.
        for row in range(part.first, min(fabric.rows, part.last + fabric.lowered) + 1):
            for place, cell in self._marked(row).items():
                self.marks.setdefault(self._line_of(row, place), {})[place] = cell

    def middle(self, x: float) -> int:
        """The column in the middle of a needle's cell."""
        if self.needles > 1:
            return math.floor((x + 0.5) / self.needles)
        return int(x * self.per + 0.5 + 1000) - 1000 + (self.per - 1) // 2

    def at(self, place: int) -> int:
        """The column of a place."""
        return self.middle(self.part.seen(place, self.face))

    def row(self, number: int) -> list[Cell]:
        cells = self.ground.copy()
        for length in self.ribbons.get(number, ()):
            self._strands(cells, length, number)
        for place, cell in self.marks.get(number, {}).items():
            if self.part.left <= place <= self.part.right:
                cells[self.at(place)] = cell
        if self.fabric.shaped:
            for i, there in enumerate(self._there(number)):
                if not there:
                    cells[i] = BLANK
        return cells

    def edged(self, number: int) -> list[Cell]:
        """The cells of a row with its edges, and a column on either side for those of the whole panel."""
        there, cells = self._there(number), [BLANK, *self.row(number), BLANK]
        panel = self.fabric.panel
        cut = [self.part.left > panel.left, self.part.right < panel.right]
        before, after = cut if self.face is Face.PURL else cut[::-1]
        known = [before and there[0], *there, after and there[-1]]
        for i, (one, other) in enumerate(pairwise(known)):
            if one is not other:
                cells[i if other else i + 1] = ("[" if other else "]", Tone.STRONG)
        return cells

    def _there(self, number: int) -> list[bool]:
        """Of each column whether there is fabric at that height."""
        empty = self.fabric.empty(number)
        if self.needles > 1:
            columns = groupby(self.places, self.at)
            return [any(place not in empty for place in of) for _, of in columns]
        return [place not in empty for place in self.places for _ in range(self.per)]

    def _marked(self, number: int) -> dict[int, Cell]:
        """What the stitches of a row are marked with, by place."""
        knitted = self.fabric.row(number)
        crossed = {int(came) for made in knitted.crossings for came, _ in (*made.front, *made.back)}
        marks = {place: _mark(stitch) for place, stitch in knitted.stitches.items() if place not in crossed}
        marks |= dict.fromkeys(self.fabric.purled(number), PURLED[self.face])
        for work in knitted.works:
            if work.sign and work.down == 1:
                marks |= {int(n): (sign_of(work, self.face), Tone.LARGE) for n in work.needles}
        return marks

    def _line_of(self, row: int, place: int) -> int:
        """The line a row's stitch at a place stands on; of what is no longer knit there, its last."""
        line = math.ceil(self.fabric.height(place, row - 0.5))
        return line if line == 1 or self.fabric.stands(place, line) else line - 1

    def _strands(self, cells: list[Cell], length: Length, row: int) -> None:
        """A ribbon's strands in a row, and the gap they leave in what lies below; of ground, what is marked on it."""
        x, lean = length.at(row - 0.5)
        sign = "/" if lean > LEANS else "\\" if lean < -LEANS else "|"
        tone = Tone.FRONT if length.over else Tone.BACK
        columns = [self.middle(x + i) for i in range(length.width)]
        found: dict[int, Cell] = {}
        if length.raised:
            found = dict.fromkeys(range(columns[0], columns[-1] + 1), BLANK) | dict.fromkeys(columns, (sign, tone))
        if row == length.row:
            found |= {c: _mark(knit) for c, knit in zip(columns, length.knit, strict=True) if knit is not None}
        for column, cell in found.items():
            if 0 <= column < self.width:
                cells[column] = cell

    def numbers(self) -> Line:
        """Needle numbers: the ends, the centre and every fifth, as they fit; a sign where needles are cut.

        It begins one column before the needles.
        """
        cells = [BLANK] * self.width

        def at(place: int, label: str) -> tuple[int, int]:
            middle = self.middle(self.part.seen(place, self.face))
            start = max(0, min(middle - (len(label) - 1) // 2, self.width - len(label)))
            return start, start + len(label) + 1

        for _, label, start in numbered((self.part.left, self.part.right), self.places, at):
            for column, char in enumerate(label[: self.width], int(start)):
                cells[column] = (char, Tone.NUMBER)
        panel = self.fabric.panel
        beyond = [self.part.left > panel.left, self.part.right < panel.right]
        before, after = beyond if self.face is Face.PURL else beyond[::-1]
        head = ("<" if before else " ", Tone.LABEL)
        return [head, *runs(cells), *([(">", Tone.LABEL)] if after else [])]


def _mark(stitch: Stitch) -> Cell:
    if stitch.by_hand:
        return "@", Tone.LARGE
    if stitch.rows > 1:
        return (str(stitch.rows) if stitch.rows < 10 else "+"), Tone.ROWS
    return "O" if stitch.enlarged else "o", Tone.LARGE


def caption(fabric: Fabric, face: Face, part: Window) -> str:
    """Which side and which part: ``"Knit side, rows 1-16 of 420, needles R6-L6 from left to right"``."""
    ends = (part.left, part.right) if face is Face.PURL else (part.right, part.left)
    rows = f"row {part.first}" if part.first == part.last else f"rows {part.first}–{part.last}"
    sides = "as at the bed" if face is Face.PURL else "mirrored: left at the bed is on the right"
    return (
        f"{face.words.capitalize()}, {rows} of {fabric.rows}, "
        f"needles {Needle(ends[0])} to {Needle(ends[1])} ({sides}); rows run upward"
    )


MEANINGS = (
    ("-", "- a purl bump"),
    ("/|\\", "/ | \\ strands of a cable: an unbroken strand is on top"),
    ("O", "O an enlarged stitch"),
    ("o", "o a smaller stitch"),
    ("@", "@ a stitch knit by hand"),
    ("x", "x out of work: a ladder"),
    ("[]", "[ ] an edge: nothing is knit beyond it"),
    ("*", "* a crossing row, crossed after it"),
    ("!", "! cannot be knit like this"),
)


def legend(drawing: FabricDrawing) -> list[str]:
    """What the characters used in a drawing mean."""
    drawn = "".join(part for line in drawing.lines for part, tone in line if tone is not Tone.LABEL)
    used = set(drawn.translate(str.maketrans(FINE, PLAIN)))
    used |= {"*"} & set(text(drawing.lines).translate(str.maketrans(FINE, PLAIN)))
    found = [words for signs, words in MEANINGS if used & set(signs)]
    if not text(drawing.lines).isascii():
        found = [words[:5].translate(str.maketrans(PLAIN, FINE)) + words[5:] for words in found]
    works = {work.title: work for row in drawing.rows if row is not None for work in drawing.fabric.row(row).works}
    for title, work in works.items():
        sign = sign_of(work, drawing.face)
        seen = next((each for each in (sign, sign.translate(COARSE)) if each and each in drawn), "")
        if seen and work.down == 1 and not any(seen in signs for signs, _ in MEANINGS if seen == "@"):
            found.append(f"{seen} {title}")
    if drawing.needles > 1:
        found.append(f"{drawing.needles} needles to a column")
    if any(tone is Tone.ROWS for line in drawing.lines for _, tone in line):
        found.append("3 rows knit on that needle: extra rows")
    return found


def picture_text(
    plan: Plan | Fabric,
    face: Face = Face.KNIT,
    rows: tuple[int, int] | None = None,
    *,
    ascii_only: bool = False,
    width: int = 80,
) -> str:
    """The picture as plain text with a caption, a legend, and what the bed would refuse."""
    fabric = plan if isinstance(plan, Fabric) else Fabric(plan)
    part = window(fabric, *(rows or (1, None)))
    # Of a panel with a shape the edges are what one looks for.
    drawing = draw(fabric, face, part, width=width, ascii_only=ascii_only, whole=fabric.shaped)
    lines = [caption(fabric, face, drawing.window), "", text(drawing.lines), "", "; ".join(legend(drawing))]
    for row in fabric.crossing_rows(drawing.window.first, drawing.window.last):
        lines += [f"Row {row}: {why}" for why in fabric.row(row).refused]
    found = "\n".join(lines)
    return found.replace("–", "-") if ascii_only else found
