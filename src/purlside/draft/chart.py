"""The chart: a panel as it is designed, a line a row, row 1 lowest, needles across.

It is drawn from the plan, so that what cannot be knit stands where it was put.
As in the bed strip, the lines are runs of (text, tone); tones only repeat what
characters say. Only the rows asked for are drawn::

    view = ChartView(plan, Face.KNIT, top=40, height=20, width=80, cursor=(needle, row), selected=(0,))
    chart = draw(view)
    chart.lines, chart.place(x, y)         # what stands at a column and line, for a mouse
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, Side, numbered
from purlside.draft.chartsigns import ASCII, UNICODE, ChartSigns
from purlside.fabric.stitches import Face
from purlside.plan.plan import Plan
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.rows.falls import shifted
from purlside.text.signs import Line, Run, Tone
from purlside.values import Value
from purlside.work.crossing import Crossed
from purlside.work.work import stitch_kind

MARGIN = 13
"""Columns at the right for bands and reminders, where there is room."""

EDGE = 1
"""Columns at either side of the needles, for the panel's edges."""

GUTTER_SIGNS = 4
"""Columns around a row's number: a sign before it at the cursor, and after it a mark with a blank on either side."""


class ChartView(Value):
    """What to draw: rows down from ``top`` (at most ``height`` lines with the numbers), seen from ``face``.

    ``selected`` are the cables in hand, ``faulty`` are cables (by index) that cannot be knit; rows below ``knit``
    are knit already (0: none). ``left`` is the leftmost place at the bed that was
    in sight: where not all needles fit, those in sight stay until the cursor leaves them.
    """

    plan: Plan
    face: Face
    top: int
    height: int
    width: int
    cursor: tuple[int, int]
    selected: tuple[int, ...] = ()
    faulty: frozenset[int] = frozenset()
    knit: int = 0
    glyphs: ChartSigns = UNICODE
    left: int | None = None
    known: Calendar | None = None
    """The plan's calendar, where there is one already."""

    @cached_property
    def calendar(self) -> Calendar:
        return self.known or Calendar(self.plan)


class DrawnChart(Value):
    """Lines from the top, ``rows`` with the row of each (None for needle numbers)."""

    lines: list[Line]
    rows: list[int | None]
    places: tuple[int, ...]
    per: int
    gutter: int

    def place(self, x: int, y: int) -> tuple[int, int] | None:
        """The needle place and row drawn at a column and line, or None."""
        row = self.rows[y] if 0 <= y < len(self.rows) else None
        seen = (x - self.gutter - EDGE) // self.per
        return (self.places[seen], row) if row is not None and 0 <= seen < len(self.places) else None


_Strand = tuple[tuple[Crossing, ...], bool]
"""Crossings of a cable on its way, and whether it is the one in hand."""
_BLANK: Run = (" ", Tone.QUIET)


def extent(plan: Plan) -> tuple[int, int]:
    """The needle places a chart spans: the panel, and what was put beyond it."""
    spans = [plan.panel.needles, *(c.span for cable in plan.cable for c in cable.crossings)]
    return min(int(s.left) for s in spans), max(int(s.right) for s in spans)


def draw(view: ChartView) -> DrawnChart:
    """The part of the chart around the cursor that fits: columns as wide as they fit, 3, 2 or 1 a needle."""
    painter = _Painter(view)
    rows = [view.top - i for i in range(max(1, view.height - 2)) if view.top - i >= 1]
    numbers = painter.numbers()
    lines = [numbers, *painter.rows(rows), numbers]
    return DrawnChart(lines, [None, *rows, None], painter.places, painter.per, painter.gutter)


def top_for(row: int, rows: int, height: int, before: int) -> int:
    """The topmost row to show so that ``row`` is seen, moving as little as it can from ``before``."""
    room = max(1, height - 2)
    low = min(row + room - 1, max(rows, room))
    return min(max(before, row, min(room, rows)), max(low, row))


class _Painter:
    """Draws the rows of one view. A row's needles depend on the cables on their way in it and on what crosses in it."""

    def __init__(self, view: ChartView) -> None:
        self.view, self.plan = view, view.plan
        self.gutter = max(3, len(str(view.plan.panel.rows))) + GUTTER_SIGNS
        beside = view.plan.band or view.plan.reminder or view.plan.part
        self.margin = MARGIN if view.width >= 60 and beside else 1
        self.reminders = view.calendar.reminders
        room = max(1, view.width - self.gutter - self.margin - 2 * EDGE)
        ends = left, right = extent(view.plan)
        count = right - left + 1
        self.per = next((each for each in (3, 2, 1) if count * each <= room), 1)
        if count * self.per > room:
            fits = room // self.per
            left = max(left, min(_start(view, fits), right - fits + 1))
            right = left + fits - 1
        self.cut = (left > ends[0], right < ends[1])
        self.places = tuple(view.face.order(left, right))
        self.at = {place: EDGE + i * self.per + (self.per - 1) // 2 for i, place in enumerate(self.places)}
        self.columns = self.per * len(self.places) + 2 * EDGE
        if self.margin > 1:
            self.margin = max(self.margin, view.width - self.gutter - self.columns)
        self.out = frozenset(map(int, view.plan.panel.out_of_work))
        self.shaped = bool(view.plan.shape or view.plan.part or any(c.follows for c in view.plan.cable))

    def rows(self, numbers: Sequence[int]) -> Iterator[Line]:
        """Lines of the rows, given from the top down without a gap."""
        view = self.view
        repeats = [(i, r) for i, r in enumerate(view.calendar.repeats) if r.of]
        edges = {edge for _, r in repeats for edge in (r.first, r.last + 1)}
        single = self._single(numbers[-1], numbers[0])
        under_way: tuple[_Strand, ...] | None = None
        for number in numbers:
            # Without shaping they change only where one begins or ends; asked for each row, a chart takes a half more.
            if self.shaped or under_way is None or number + 1 in edges:
                fabric = self._fabric(number)
                cables = (i for i, r in repeats if r.first <= fabric <= r.last and self._has(i, number))
                under_way = tuple((self._crossings(i, number), i in view.selected) for i in cables)
            yield self._row(number, under_way, single.get(number, ()))

    def _crossings(self, index: int, number: int) -> tuple[Crossing, ...]:
        """A cable's crossings, where they are in a row: those that follow an edge move with it."""
        crossings, calendar = self.plan.cable[index].crossings, self.view.calendar
        if self.plan.cable[index].follows is None:
            return crossings
        segment = calendar.segment(number)
        by = calendar.followed(index, segment, segment.edges_in(number))
        return tuple(shifted(c, by) for c in crossings)

    def _fabric(self, number: int) -> int:
        """A row as the fabric counts it: those of parts stand side by side in it."""
        calendar = self.view.calendar
        return calendar.fabric_row(number) if self.plan.part and number <= calendar.rows else number

    def _has(self, index: int, number: int) -> bool:
        """Whether a row's panel or part has a cable's needles."""
        part, calendar = self.plan.cable[index].part, self.view.calendar
        if not self.plan.part:
            return True
        segment = calendar.segment(number)
        if part is not None or segment.part is None:
            return part == segment.part
        knit = segment.edges_in(number).in_work
        return all(n in knit for c in self._crossings(index, number) for n in c.needles)

    def _edges(self, number: int) -> tuple[int, int]:
        """The outermost needles in work in a row."""
        if not self.shaped:
            return int(self.plan.panel.needles.left), int(self.plan.panel.needles.right)
        edges = self.view.calendar.segment(number).edges_in(number)
        return int(edges.left), int(edges.right)

    def _single(self, first: int, last: int) -> dict[int, tuple[tuple[int, str], ...]]:
        """Work on single needles in rows ``first`` to ``last``: (place, sign); a purl column in all the rows it takes."""
        found: dict[int, dict[int, str]] = {}
        for stitch in self.plan.stitch:
            repeat = Repeat.within(self.plan.panel.rows, stitch.first_row, stitch.every, stitch.times)
            sign = stitch_kind(stitch.do).sign
            sign = sign if sign.isascii() or self.view.glyphs is not ASCII else "o"
            high = repeat.of if stitch.do == "purl" and stitch.every else repeat.before(last + 1)
            for k in range(repeat.before(first), high):
                end = repeat.first + repeat.every * k
                back = (end if stitch.every is None else stitch.every) if stitch.do == "purl" else 1
                if end - back >= last:
                    break
                for row in range(max(first, end - back + 1), min(last, end) + 1):
                    found.setdefault(row, {}).update((int(n), sign) for n in stitch.needles)
        return {row: tuple(sorted(signs.items())) for row, signs in found.items()}

    def _row(self, number: int, under_way: tuple[_Strand, ...], single: tuple[tuple[int, str], ...]) -> Line:
        view, g = self.view, self.view.glyphs
        beyond = number > view.calendar.rows
        crossed = () if beyond else view.calendar.crossed(number)
        cursor = view.cursor[0] if number == view.cursor[1] else None
        edges = None if beyond else self._edges(number)
        body = self._body(edges, number % 10 == 0, under_way, crossed, single, cursor)
        refused = any(made.cable in view.faulty for made in crossed)
        mark = g.refused if refused else g.crossed if crossed else g.knit if number == view.knit - 1 else " "
        told = crossed or cursor is not None or number % 5 == 0 or number in (1, view.top)
        # A part's rows go on counting where the panel's end.
        fabric = self._fabric(number)
        label = (" " if cursor is None else g.cursor) + ("" if beyond or not told else str(fabric)).rjust(
            self.gutter - GUTTER_SIGNS
        )
        return [
            (label, Tone.LABEL if cursor is None and not crossed else Tone.NUMBER),
            (f" {mark} ", Tone.YARN if refused else Tone.NUMBER),
            *body,
            *([] if beyond else self._beside(number)),
        ]

    def _body(
        self,
        edges: tuple[int, int] | None,
        ruled: bool,
        under_way: tuple[_Strand, ...],
        crossed: tuple[Crossed, ...],
        single: tuple[tuple[int, str], ...],
        cursor: int | None,
    ) -> Line:
        """The needles of a row: the panel's edges, ribbons of cables on their way, what crosses, the cursor."""
        cells: list[Run] = [_BLANK] * self.columns
        inside: set[int] = set()
        if edges is not None:
            inside = set(range(edges[0], edges[1] + 1))
            self._ground(cells, inside, ruled)
            for crossings, chosen in under_way:
                self._ribbon(cells, {int(n) for c in crossings for n in c.needles} & inside - self.out, chosen)
            self._outline(cells, edges)
        for made in crossed:
            self._cross(cells, made, inside)
        for place, sign in single:
            if place in self.at:
                cells[self.at[place]] = (sign, Tone.LARGE)
        if cursor is not None and (column := self.at.get(cursor)) is not None:
            char = cells[column][0]
            cells[column] = (char if char != " " else "+", Tone.MOVING)
        return _runs(cells)

    def _ground(self, cells: list[Run], inside: set[int], ruled: bool) -> None:
        """Blank, but for every tenth needle and row, and ladders."""
        g = self.view.glyphs
        for place, column in self.at.items():
            if place not in inside:
                continue
            if place in self.out:
                cells[column] = (g.ladder, Tone.QUIET)
            elif (place + 1 if place >= 0 else -place) % 10 == 0:
                cells[column] = (g.tens, Tone.QUIET)
            elif ruled:
                cells[column] = (g.ruled, Tone.QUIET)

    def _outline(self, cells: list[Run], edges: tuple[int, int]) -> None:
        g = self.view.glyphs
        ends = edges if self.view.face is Face.PURL else edges[::-1]
        for place, side, sign in ((ends[0], -1, g.panel_left), (ends[1], 1, g.panel_right)):
            if place in self.at:
                start = self.at[place] - (self.per - 1) // 2
                column = start - 1 if side < 0 else start + self.per
                cells[column] = (sign, Tone.RAIL)

    def _ribbon(self, cells: list[Run], needles: set[int], chosen: bool) -> None:
        """The edges of a cable between its crossings, nothing between them."""
        g = self.view.glyphs
        edge: Run = (g.chosen, Tone.NUMBER) if chosen else (g.edge, Tone.BACK)
        for needle in needles:
            if needle not in self.at:
                continue
            ends = {needle - 1, needle + 1} - needles
            cells[self.at[needle]] = edge if ends else _BLANK

    def _cross(self, cells: list[Run], made: Crossed, inside: set[int]) -> None:
        """The half on top slanted, the one under it a line, each without a gap."""
        view, g, crossing = self.view, self.view.glyphs, made.crossing
        top, below = (crossing.front, crossing.back) if view.face is Face.KNIT else (crossing.back, crossing.front)
        # The handedness of a crossing is the same from both sides: a right half in front leans right on either.
        lean = g.right if crossing.front_side is Side.RIGHT else g.left
        for half, glyph in ((below, g.under), (top, lean)):
            tone = Tone.YARN if made.cable in view.faulty else Tone.FRONT if half is crossing.front else Tone.BACK
            columns = [self.at[int(n)] for n in half if int(n) in self.at]
            for column in range(min(columns, default=0), max(columns, default=-1) + 1):
                cells[column] = (glyph, tone)
            for needle in half:
                if int(needle) in self.at and (int(needle) not in inside or int(needle) in self.out):
                    cells[self.at[int(needle)]] = (g.refused, tone)

    def _beside(self, number: int) -> Line:
        """Bands and reminders of a row, in the margin."""
        room = self.margin - 2
        if room < 4:
            return []
        view, g = self.view, self.view.glyphs
        told = next((r for r, when in zip(view.plan.reminder, self.reminders, strict=True) if when.k(number)), None)
        band = next((b for b in reversed(view.plan.band) if b.rows.first <= number <= b.rows.last), None)
        part = self._part_begun(number)
        said = [part, g.band if band else ""]
        if band is not None and number in (min(band.rows.last, view.top), band.rows.last):
            said += ["" if band.stitch_size is None else f"SS {size_text(band.stitch_size)}", band.colour or ""]
        text = " ".join(filter(None, [*said, "" if told is None else f"> {told.text}"]))
        if not text:
            return []
        text = text if len(text) <= room else text[: room - 1] + g.cut
        return [(f" {text}", Tone.RAIL if told is None else Tone.CARRIAGE)]

    def _part_begun(self, number: int) -> str:
        """The part that begins in a row, or that the topmost row in sight is of."""
        if not self.plan.part:
            return ""
        part = self.view.calendar.segment(number).part
        before = self.view.calendar.segment(number - 1).part if number > 1 else None
        return part if part and (part != before or number == self.view.top) else ""

    def numbers(self) -> Line:
        """Needle numbers: the cursor's, the ends', the centre and every fifth, as they fit."""
        cells: list[Run] = [_BLANK] * self.columns
        cursor = int(self.view.cursor[0])

        def at(place: int, label: str) -> tuple[int, int]:
            start = max(0, min(self.at[place] - (len(label) - 1) // 2, self.columns - len(label)))
            return start, start + len(label) + 1

        for place, label, start in numbered((cursor, self.places[0], self.places[-1]), self.places, at):
            tone = Tone.MOVING if place == cursor else Tone.NUMBER
            for column, char in enumerate(label[: self.columns - int(start)], int(start)):
                cells[column] = (char, tone)
        g = self.view.glyphs
        before, after = self.cut if self.view.face is Face.PURL else self.cut[::-1]
        head = (" " * (self.gutter - 1) + (g.more_left if before else " "), Tone.LABEL)
        return [head, *_runs(cells), *([(g.more_right, Tone.LABEL)] if after else [])]


def _start(view: ChartView, fits: int) -> int:
    """The leftmost place to show of ``fits``: as before, moved just so far that the cursor stands inside."""
    cursor, inside = int(view.cursor[0]), min(4, fits // 4)
    before = cursor - fits // 2 if view.left is None else view.left
    return max(cursor + inside - fits + 1, min(before, cursor - inside))


def _runs(cells: Sequence[Run]) -> Line:
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
