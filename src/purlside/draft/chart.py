"""The chart: a panel as it is designed, a line a row, row 1 lowest, needles across.

It is drawn from the plan, so that what cannot be knit stands where it was put.
As in the bed strip, the lines are runs of (text, tone); tones only repeat what
characters say. It reads and keeps nothing; only the rows asked for are drawn::

    view = View(plan, Face.KNIT, top=40, height=20, width=80, cursor=(needle, row), selected=0)
    chart = draw(view)
    chart.lines, chart.place(x, y)         # what stands at a column and line, for a mouse
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from purlside.calendar import Calendar, Crossed
from purlside.drawn.strip import Line, Tone
from purlside.fabric.stitches import Face
from purlside.moves import size_text
from purlside.needles import Needle, Side
from purlside.plan import Plan
from purlside.values import dataclass

MARGIN = 13
"""Columns at the right for bands and reminders, where there is room."""

GUTTER_SIGNS = 4
"""Columns around a row's number: a sign before it at the cursor, and after it a mark with a blank on either side."""


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The characters of one way of drawing."""

    stitch: str
    strand: str
    ladder: str
    right: str
    left: str
    front: str
    back: str
    crossed: str
    refused: str
    outside: str
    knit: str
    band: str
    cut: str
    more_left: str
    more_right: str
    corner_left: str
    corner_right: str


UNICODE = Glyphs("·", "│", "×", "/", "\\", "F", "b", "•", "!", " ", "═", "│", "…", "‹", "›", "[", "]")
ASCII = Glyphs(".", "|", "x", "/", "\\", "F", "b", "*", "!", " ", "=", "|", "~", "<", ">", "[", "]")


def legend(glyphs: Glyphs) -> tuple[tuple[str, str], ...]:
    """The signs of a chart and what they mean."""
    g = glyphs
    return (
        (g.stitch, "a stitch"),
        (g.strand, "a stitch of a cable, between its crossings"),
        (f"{g.right} {g.left}", "a crossing: the half on top, seen from this side, and the way it leans"),
        (g.back, "knit side: the half that lies at the back"),
        (g.front, "purl side: the half that lies in front on the knit side"),
        (f"{g.corner_left} {g.corner_right}", "around the cable in hand"),
        (g.refused, "cannot be knit so; why stands beside the chart"),
        (g.ladder, "out of work: a ladder"),
        (">", "the row of the cursor; its needle is named above and below"),
        (g.crossed, "beside a row's number: a crossing row"),
        (g.knit, "beside a row's number: the last row that is knit already"),
        (f"{g.band} SS 4", "at the right: a band of another size or colour"),
        ("> text", "at the right: a reminder"),
    )


@dataclass(frozen=True)
class View:
    """What to draw: rows down from ``top`` (at most ``height`` lines with the numbers), seen from ``face``.

    ``faulty`` are cables (by index) that cannot be knit; rows below ``knit``
    are knit already (0: none). ``left`` is the leftmost place at the bed that was
    in sight: where not all needles fit, those in sight stay until the cursor leaves them.
    """

    plan: Plan
    face: Face
    top: int
    height: int
    width: int
    cursor: tuple[int, int]
    selected: int | None = None
    faulty: frozenset[int] = frozenset()
    knit: int = 0
    glyphs: Glyphs = UNICODE
    left: int | None = None

    @cached_property
    def calendar(self) -> Calendar:
        return Calendar(self.plan)


@dataclass(frozen=True, slots=True)
class Chart:
    """Lines from the top, ``rows`` with the row of each (None for needle numbers)."""

    lines: list[Line]
    rows: list[int | None]
    places: tuple[int, ...]
    per: int
    gutter: int

    def place(self, x: int, y: int) -> tuple[int, int] | None:
        """The needle place and row drawn at a column and line, or None."""
        row = self.rows[y] if 0 <= y < len(self.rows) else None
        seen = (x - self.gutter) // self.per
        return (self.places[seen], row) if row is not None and 0 <= seen < len(self.places) else None


_Cell = tuple[str, Tone]
_BLANK: _Cell = (" ", Tone.QUIET)


def extent(plan: Plan) -> tuple[int, int]:
    """The needle places a chart spans: the panel, and what was put beyond it."""
    spans = [plan.panel.needles, *(c.span for cable in plan.cable for c in cable.crossings)]
    return min(int(s.left) for s in spans), max(int(s.right) for s in spans)


def draw(view: View) -> Chart:
    """The part of the chart around the cursor that fits: columns as wide as they fit, 3, 2 or 1 a needle."""
    painter = _Painter(view)
    rows = [view.top - i for i in range(max(1, view.height - 2)) if view.top - i >= 1]
    numbers = painter.numbers()
    lines = [numbers, *(painter.row(row) for row in rows), numbers]
    return Chart(lines, [None, *rows, None], painter.places, painter.per, painter.gutter)


def top_for(row: int, rows: int, height: int, before: int) -> int:
    """The topmost row to show so that ``row`` is seen, moving as little as it can from ``before``."""
    room = max(1, height - 2)
    low = min(row + room - 1, max(rows, room))
    return min(max(before, row, min(room, rows)), max(low, row))


class _Painter:
    def __init__(self, view: View) -> None:
        self.view = view
        self.gutter = max(3, len(str(view.plan.panel.rows))) + GUTTER_SIGNS
        self.margin = MARGIN if view.width >= 60 and (view.plan.band or view.plan.reminder) else 1
        room = max(1, view.width - self.gutter - self.margin)
        left, right = extent(view.plan)
        count = right - left + 1
        self.per = next((each for each in (3, 2, 1) if count * each <= room), 1)
        if count * self.per > room:
            fits = room // self.per
            left = max(left, min(_start(view, fits), right - fits + 1))
            right = left + fits - 1
        self.cut = (left > extent(view.plan)[0], right < extent(view.plan)[1])
        self.places = tuple(view.face.order(left, right))
        self.at = {place: i * self.per + (self.per - 1) // 2 for i, place in enumerate(self.places)}
        self.columns = self.per * len(self.places)
        if self.margin > 1:
            self.margin = max(self.margin, view.width - self.gutter - self.columns)
        self.panel = view.plan.panel.needles
        out = {int(n) for n in view.plan.panel.out_of_work}
        g = view.glyphs
        self._plain: list[_Cell] = [_BLANK] * self.columns
        for place, column in self.at.items():
            if place in self.panel:
                self._plain[column] = (g.ladder, Tone.QUIET) if place in out else (g.stitch, Tone.LOOP)
        self._drawn: dict[tuple[int, ...] | None, tuple[list[_Cell], Line]] = {}
        self._taken = [
            (
                repeat,
                i,
                [self.at[n] for n in _needles(view.plan, i) if n in self.at and n in self.panel and n not in out],
            )
            for i, repeat in enumerate(view.calendar.repeats)
        ]

    def row(self, number: int) -> Line:
        view, g = self.view, self.view.glyphs
        beyond = number > view.calendar.rows
        crossed = () if beyond else view.calendar.crossed(number)
        cells, body = self._between(number)
        if crossed or number == view.cursor[1]:
            cells = cells.copy()
            for each in crossed:
                self._cross(cells, each)
            if number == view.cursor[1]:
                self._cursor(cells)
            body = _runs(cells)
        refused = any(c.cable in view.faulty for c in crossed)
        mark = g.refused if refused else g.crossed if crossed else g.knit if number == view.knit - 1 else " "
        bold = bool(crossed) or number == view.cursor[1]
        sign = ">" if number == view.cursor[1] else " "
        label = sign + ("" if beyond else str(number)).rjust(self.gutter - GUTTER_SIGNS)
        line: Line = [
            (label, Tone.NUMBER if bold else Tone.LABEL),
            (f" {mark} ", Tone.YARN if refused else Tone.NUMBER),
        ]
        return [*line, *body, *([] if beyond else self._beside(number))]

    def _between(self, number: int) -> tuple[list[_Cell], Line]:
        """A row as it is between crossings; rows with the same cables on their way are drawn once."""
        beyond = number > self.view.calendar.rows
        under_way = tuple(i for r, i, _ in self._taken if not beyond and r.of and r.first <= number <= r.last)
        key = None if beyond else under_way
        if key not in self._drawn:
            cells = [_BLANK] * self.columns if beyond else self._plain.copy()
            for i in under_way:
                tone = Tone.NUMBER if i == self.view.selected else Tone.BACK
                for column in self._taken[i][2]:
                    cells[column] = (self.view.glyphs.strand, tone)
            self._drawn[key] = cells, _runs(cells)
        return self._drawn[key]

    def _cross(self, cells: list[_Cell], crossed: Crossed) -> None:
        view, g = self.view, self.view.glyphs
        crossing = crossed.crossing
        top, below = (crossing.front, crossing.back) if view.face is Face.KNIT else (crossing.back, crossing.front)
        # The handedness of a crossing is the same from both sides: a right half in front leans right on either.
        lean = g.right if crossing.front_side is Side.RIGHT else g.left
        under = g.back if view.face is Face.KNIT else g.front
        front = Tone.FRONT
        back = Tone.BACK
        faulty = crossed.cable in view.faulty
        for half, glyph in ((below, under), (top, lean)):
            tone = Tone.YARN if faulty else (front if half is crossing.front else back)
            for needle in half:
                if (column := self.at.get(int(needle))) is None:
                    continue
                sign = g.refused if needle not in self.panel or cells[column][0] == g.ladder else glyph
                cells[column] = (sign, tone)
        if crossed.cable == view.selected and self.per > 1:
            self._brackets(cells, crossed)

    def _brackets(self, cells: list[_Cell], crossed: Crossed) -> None:
        """Brackets around the cable in hand, in the blanks beside its outer needles."""
        ends = sorted(self.at[n] for n in map(int, crossed.crossing.needles) if n in self.at)
        if not ends:
            return
        g = self.view.glyphs
        for column, sign in ((ends[0] - 1, g.corner_left), (ends[-1] + 1, g.corner_right)):
            if 0 <= column < self.columns and cells[column][0] == " ":
                cells[column] = (sign, Tone.NUMBER)

    def _cursor(self, cells: list[_Cell]) -> None:
        column = self.at.get(int(self.view.cursor[0]))
        if column is not None:
            char = cells[column][0]
            cells[column] = (char if char != " " else "+", Tone.MOVING)

    def _beside(self, number: int) -> Line:
        """Bands and reminders of a row, in the margin."""
        room = self.margin - 2
        if room < 4:
            return []
        view, g = self.view, self.view.glyphs
        told = next((r for r in view.plan.reminder if _falls(r, number)), None)
        if told is not None:
            text = f"> {told.text}"
            return [(f" {text if len(text) <= room else text[: room - 1] + g.cut}", Tone.CARRIAGE)]
        band = next((b for b in reversed(view.plan.band) if b.rows.first <= number <= b.rows.last), None)
        if band is None:
            return []
        said = ""
        if number in (min(band.rows.last, view.top), band.rows.last):
            size = "" if band.stitch_size is None else f"SS {size_text(band.stitch_size)}"
            said = " ".join(part for part in (size, band.colour or "") if part)
        said = said if len(said) <= room - 2 else said[: room - 3] + g.cut
        return [(f" {g.band} {said}", Tone.RAIL)]

    def numbers(self) -> Line:
        """Needle numbers: the cursor's, the ends', the centre and every fifth, as they fit."""
        cells: list[_Cell] = [_BLANK] * self.columns
        taken: set[int] = set()
        cursor = int(self.view.cursor[0])
        fifths = [p for p in self.places if (p + 1 if p >= 0 else -p) % 5 == 0]
        for place in (cursor, self.places[0], self.places[-1], -1, 0, *fifths):
            if place not in self.at:
                continue
            label = str(Needle(place))
            start = max(0, min(self.at[place] - (len(label) - 1) // 2, self.columns - len(label)))
            if taken & set(range(start - 1, start + len(label) + 1)):
                continue
            taken |= set(range(start, start + len(label)))
            tone = Tone.MOVING if place == cursor else Tone.NUMBER
            for i, char in enumerate(label[: self.columns - start]):
                cells[start + i] = (char, tone)
        g = self.view.glyphs
        before, after = self.cut if self.view.face is Face.PURL else self.cut[::-1]
        head = (" " * (self.gutter - 1) + (g.more_left if before else " "), Tone.LABEL)
        return [head, *_runs(cells), *([(g.more_right, Tone.LABEL)] if after else [])]


def _start(view: View, fits: int) -> int:
    """The leftmost place to show of ``fits``: as before, moved just so far that the cursor stands inside."""
    cursor, inside = int(view.cursor[0]), min(4, fits // 4)
    before = cursor - fits // 2 if view.left is None else view.left
    return max(cursor + inside - fits + 1, min(before, cursor - inside))


def _needles(plan: Plan, cable: int) -> list[int]:
    return sorted({int(n) for c in plan.cable[cable].crossings for half in (c.front, c.back) for n in half})


def _falls(reminder: object, number: int) -> bool:
    """Whether a reminder is told in a row."""
    row = getattr(reminder, "row", None)
    first, every, times = (getattr(reminder, name, None) for name in ("first_row", "every", "times"))
    if row is not None or first is None or every is None:
        return number == (row or first)
    k, rest = divmod(number - first, every)
    return bool(rest == 0 and k >= 0 and (times is None or k < times))


def _runs(cells: Sequence[_Cell]) -> Line:
    """Characters of one tone gathered; a blank joins the run it stands in, but not that of the cursor."""
    line: Line = []
    run, tone = "", Tone.QUIET
    for char, its in cells:
        if its is not tone and (char != " " or tone is Tone.MOVING):
            if run:
                line.append((run, tone))
            run, tone = "", its
        run += char
    return [*line, (run, tone)] if run else line
