"""The fabric in characters.

:func:`draw` gives lines of (text, tone) runs, as the bed strip does, for any
window of rows and needles, seen from either side; rows run upward as they
hang from the bed, row 1 lowest. Strands on top interrupt those below them. It
reads a fabric and keeps nothing::

    fabric = Fabric(plan)
    drawing = draw(fabric, Face.KNIT, window(fabric, 1, 16), width=80)
    drawing.lines                          # for a screen; drawing.rows says which row each line is
    text(drawing.lines)              # as plain text
    picture_text(plan, Face.KNIT, rows=(1, 16), ascii_only=True)

:mod:`purlside.fabric.svg` draws the same window on paper, :mod:`purlside.fabric.described`
says it in sentences.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import floor

from purlside.bed.needles import Needle, Span
from purlside.fabric.stitches import Fabric, FabricCrossing, FabricRow, Face, Stitch
from purlside.plan.plan import Plan
from purlside.text.signs import Line, Tone, text

TALL_ROWS = 60
"""Windows of at most so many rows are drawn tall: a crossing gets lines of its own. Ours."""

ACROSS = 3
"""Most lines a crossing gets in a tall drawing."""


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The characters of one way of drawing."""

    knit: str
    purl: str
    large: str
    hand: str
    ladder: str
    right: str
    left: str
    crossed: str
    refused: str
    more_left: str
    more_right: str
    cut: str


UNICODE = Glyphs("v", "-", "O", "@", "×", "/", "\\", "•", "!", "‹", "›", "…")
ASCII = Glyphs("v", "-", "O", "@", "x", "/", "\\", "*", "!", "<", ">", "~")


@dataclass(frozen=True, slots=True)
class Window:
    """Rows ``first`` to ``last`` and needle places ``left`` to ``right`` of the bed, all counted."""

    first: int
    last: int
    left: int
    right: int

    @property
    def rows(self) -> range:
        return range(self.first, self.last + 1)


def window(
    fabric: Fabric, first: int = 1, last: int | None = None, left: int | None = None, right: int | None = None
) -> Window:
    """That part of the panel, cut to what there is; all of it by default."""
    edge_left, edge_right = int(fabric.panel.left), int(fabric.panel.right)
    first = max(1, min(first, fabric.rows))
    last = fabric.rows if last is None else max(first, min(last, fabric.rows))
    left = edge_left if left is None else max(edge_left, min(left, edge_right))
    right = edge_right if right is None else max(left, min(right, edge_right))
    return Window(first, last, left, right)


@dataclass(frozen=True, slots=True)
class Drawing:
    """Lines from the top; ``rows`` has each line's row, None for the numbers; ``window`` is what was drawn.

    ``per`` columns stand for a needle; the first needle's begin at column ``gutter``.
    """

    lines: list[Line]
    rows: list[int | None]
    window: Window
    per: int
    gutter: int
    face: Face

    def column(self, place: int) -> int:
        """The first column of a needle's cell."""
        w = self.window
        seen = place - w.left if self.face is Face.PURL else w.right - place
        return self.gutter + seen * self.per


def draw(
    fabric: Fabric,
    face: Face,
    part: Window | None = None,
    *,
    width: int = 80,
    glyphs: Glyphs = UNICODE,
    per: int | None = None,
    tall: bool | None = None,
) -> Drawing:
    """The fabric on a screen ``width`` columns wide: needle numbers, the rows from the top, numbers again.

    Needles that do not fit are cut evenly on both sides, with a sign. ``per``
    columns a needle, 3, 2 or 1, as they fit. In a ``tall`` drawing the crossing
    stands on lines of its own above its crossing row; otherwise in the row.
    """
    part = part or window(fabric)
    tall = len(part.rows) <= TALL_ROWS if tall is None else tall
    gutter = max(3, len(str(fabric.rows))) + 3
    room = max(1, width - gutter - 1)
    count = part.right - part.left + 1
    per = per or next((each for each in (3, 2, 1) if count * each <= room), 1)
    if count * per > room:
        spare = count - max(1, room // per)
        part = Window(part.first, part.last, part.left + spare // 2, part.right - (spare - spare // 2))
    painter = _painter(fabric.panel, fabric.ladders, face, part.left, part.right, glyphs, per)
    numbers: Line = [(" " * (gutter - 1), Tone.LABEL), *painter.numbers()]
    lines, rows = [numbers], list[int | None]([None])
    for row in reversed(part.rows):
        knitted = fabric.row(row)
        *above, stitches = painter.body(knitted, tall)
        lines += [[(" " * gutter, Tone.LABEL), *line] for line in above]
        lines.append([_label(row, knitted, glyphs, gutter), *stitches])
        rows += [row] * (len(above) + 1)
    return Drawing([*lines, numbers], [*rows, None], part, per, gutter, face)


def _label(row: int, knitted: FabricRow, glyphs: Glyphs, gutter: int) -> tuple[str, Tone]:
    mark = glyphs.refused if knitted.refused else glyphs.crossed if knitted.crossings else " "
    return f"{row:>{gutter - 3}} {mark} ", Tone.LABEL if mark == " " else Tone.NUMBER


_Cell = tuple[str, Tone]
_BLANK: _Cell = (" ", Tone.QUIET)


MOST_KEPT = 4096
"""Rows a painter keeps, drawn: an edit draws only what it changes."""


class _Painter:
    """Draws rows of one panel's fabric, for one window's needles and one way of drawing."""

    def __init__(
        self, panel: Span, ladders: frozenset[int], face: Face, left: int, right: int, glyphs: Glyphs, per: int
    ) -> None:
        self.panel, self.face, self.left, self.right = panel, face, left, right
        self.glyphs, self.per = glyphs, per
        # A row is known by identity; it is kept with its lines, so that its place is not given to another.
        self._bodies: dict[tuple[int, bool], tuple[FabricRow, list[Line]]] = {}
        self.places = list(face.order(left, right))
        self.at = {place: i * per + (per - 1) // 2 for i, place in enumerate(self.places)}
        self.width = per * len(self.places)
        stitch = glyphs.knit if face is Face.KNIT else glyphs.purl
        self._plain = [_BLANK] * self.width
        for place, column in self.at.items():
            ladder = place in ladders
            self._plain[column] = (glyphs.ladder, Tone.QUIET) if ladder else (stitch, Tone.LOOP)
        self._plain_runs = _runs(self._plain)

    def body(self, knitted: FabricRow, tall: bool) -> list[Line]:
        """A row's lines from the top, without its number; its stitches are the last."""
        found = self._bodies.get((id(knitted), tall))
        if found is None:
            if len(self._bodies) >= MOST_KEPT:
                self._bodies.clear()
            found = knitted, self._tall(knitted) if tall else [self._flat(knitted)]
            self._bodies[id(knitted), tall] = found
        return found[1]

    def _tall(self, knitted: FabricRow) -> list[Line]:
        """The crossing, then the stitches as they were knit."""
        lines: list[Line] = []
        if knitted.crossings:
            most = max(abs(went - came) for made in knitted.crossings for came, went in (*made.front, *made.back))
            steps = min(ACROSS, most)
            for step in reversed(range(steps)):
                cells = [_BLANK] * self.width
                for made in knitted.crossings:
                    self._cross(cells, made, (step + 0.5) / steps)
                lines.append(_runs(cells))
        return [*lines, self._stitches(knitted)]

    def _flat(self, knitted: FabricRow) -> Line:
        """One line, its crossings half way."""
        if not knitted.crossings:
            return self._stitches(knitted)
        cells = self._cells(knitted)
        for made in knitted.crossings:
            for needle in made.needles:
                if (column := self.at.get(needle)) is not None:
                    cells[column] = _BLANK
            self._cross(cells, made, 0.5)
        return _runs(cells)

    def _stitches(self, knitted: FabricRow) -> Line:
        return _runs(self._cells(knitted)) if knitted.stitches else self._plain_runs

    def _cells(self, knitted: FabricRow) -> list[_Cell]:
        cells = self._plain.copy()
        for place, stitch in knitted.stitches.items():
            if (column := self.at.get(place)) is not None:
                cells[column] = (self._mark(stitch), Tone.ROWS if stitch.rows > 1 else Tone.LARGE)
        return cells

    def _mark(self, stitch: Stitch) -> str:
        if stitch.by_hand:
            return self.glyphs.hand
        if stitch.rows > 1:
            return str(stitch.rows) if stitch.rows < 10 else "+"
        return self.glyphs.large if stitch.enlarged else self._plain_glyph

    @property
    def _plain_glyph(self) -> str:
        return self.glyphs.knit if self.face is Face.KNIT else self.glyphs.purl

    def _cross(self, cells: list[_Cell], made: FabricCrossing, part: float) -> None:
        """The strands ``part`` of the way up: those below first, then a gap, then those on top."""
        for strands in (made.under(self.face), made.over(self.face)):
            tone = Tone.FRONT if strands is made.front else Tone.BACK
            columns: dict[int, str] = {}
            for came, went in strands:
                start, end = self._column(came), self._column(went)
                columns[floor(start + (end - start) * part + 0.5)] = (
                    self.glyphs.right if end > start else self.glyphs.left
                )
            for column in range(min(columns), max(columns) + 1):
                if 0 <= column < self.width:
                    cells[column] = (columns[column], tone) if column in columns else _BLANK

    def _column(self, place: int) -> int:
        """Where a place's mark would stand, in the window or beside it."""
        seen = place - self.left if self.face is Face.PURL else self.right - place
        return seen * self.per + (self.per - 1) // 2

    def numbers(self) -> Line:
        """Needle numbers: the ends, the centre and every fifth, as they fit; a sign where needles are cut.

        It begins one column before the needles.
        """
        cells = [_BLANK] * self.width
        taken: set[int] = set()
        fifths = [p for p in self.places if (p + 1 if p >= 0 else -p) % 5 == 0]
        for place in (self.left, self.right, -1, 0, *fifths):
            if place not in self.at:
                continue
            label = str(Needle(place))
            start = max(0, min(self.at[place] - (len(label) - 1) // 2, self.width - len(label)))
            if taken & set(range(start - 1, start + len(label) + 1)):
                continue
            taken |= set(range(start, start + len(label)))
            for i, char in enumerate(label[: self.width]):
                cells[start + i] = (char, Tone.NUMBER)
        beyond = [self.left > self.panel.left, self.right < self.panel.right]
        before, after = beyond if self.face is Face.PURL else beyond[::-1]
        head = (self.glyphs.more_left if before else " ", Tone.LABEL)
        return [head, *_runs(cells), *([(self.glyphs.more_right, Tone.LABEL)] if after else [])]


@lru_cache(maxsize=8)
def _painter(
    panel: Span, ladders: frozenset[int], face: Face, left: int, right: int, glyphs: Glyphs, per: int
) -> _Painter:
    return _Painter(panel, ladders, face, left, right, glyphs, per)


def _runs(cells: Sequence[_Cell]) -> Line:
    """Characters of one tone gathered."""
    line: Line = []
    run, tone = "", Tone.QUIET
    for char, its in cells:
        # A blank takes the tone of the run it stands in: fewer runs, the same look.
        if its is not tone and char != " ":
            if run:
                line.append((run, tone))
            run, tone = "", its
        run += char
    return [*line, (run, tone)] if run else line


def caption(fabric: Fabric, face: Face, part: Window) -> str:
    """Which side and which part: ``"Knit side, rows 1-16 of 420, needles R6-L6 from left to right"``."""
    ends = (part.left, part.right) if face is Face.PURL else (part.right, part.left)
    rows = f"row {part.first}" if part.first == part.last else f"rows {part.first}–{part.last}"
    sides = "as at the bed" if face is Face.PURL else "mirrored: left at the bed is on the right"
    return (
        f"{face.words.capitalize()}, {rows} of {fabric.rows}, "
        f"needles {Needle(ends[0])} to {Needle(ends[1])} ({sides}); rows run upward"
    )


def legend(drawing: Iterable[Line], face: Face, glyphs: Glyphs) -> list[str]:
    """What the characters used in a drawing mean."""
    used = {char for line in drawing for part, tone in line if tone is not Tone.LABEL for char in part}
    stitch = glyphs.knit if face is Face.KNIT else glyphs.purl
    meanings = (
        (stitch, f"{stitch} a stitch"),
        (glyphs.large, f"{glyphs.large} an enlarged stitch"),
        (glyphs.hand, f"{glyphs.hand} a stitch knit by hand"),
        ("3", "3 rows on a needle: extra rows"),
        (glyphs.ladder, f"{glyphs.ladder} out of work: a ladder"),
        (glyphs.right, f"{glyphs.right} {glyphs.left} strands; those on top run through"),
        (glyphs.crossed, f"{glyphs.crossed} a crossing row, crossed after it"),
        (glyphs.refused, f"{glyphs.refused} cannot be knit so"),
    )
    rows = any(tone is Tone.ROWS for line in drawing for _, tone in line)
    return [words for char, words in meanings if (rows if char == "3" else char in used)]


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
    glyphs = ASCII if ascii_only else UNICODE
    drawing = draw(fabric, face, window(fabric, *(rows or (1, None))), width=width, glyphs=glyphs)
    head = caption(fabric, face, drawing.window)
    lines = [head, "", text(drawing.lines), "", "; ".join(legend(drawing.lines, face, glyphs))]
    for row in fabric.crossing_rows(drawing.window.first, drawing.window.last):
        lines += [f"Row {row}: {why}" for why in fabric.row(row).refused]
    found = "\n".join(lines)
    return found.replace("–", "-") if ascii_only else found
