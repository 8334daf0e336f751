"""How big the panel comes out, how much yarn it takes, and the needles and rows for a wanted size.

A gauge belongs to the dial number its swatch was knit at. Rows of another size
have stitches as much wider and higher as their loops are longer (Munden 1959:
both go with loop length); with single stitches at a size of their own, as their
loops are on average. Cables take in where they cross
(:mod:`purlside.figures.takein`). Without a gauge, a measured loop gives one by
Munden's relations. All of it is an estimate until the finished piece is measured.

What eases a crossing makes the fabric neither wider nor longer: it is spent on the
way. A stitch carried over ``a`` others lies slanting, and in Peirce's loop, 2c + w +
5.94 d (1947; rows c and stitches w apart), its two legs then take
2 (√(c² + (a·w)²) - c) more yarn: at 29 stitches and 41 rows 3.6 mm for one stitch,
9.8 for two, 16.4 for three. Enlarging the half behind from SS 5 to SS 9 gives it 3.8. A
stitch knit by hand, with a bead or without, stands out instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import groupby

from purlside.bed.moves import size_text
from purlside.bed.needles import Needle
from purlside.ease.loops import DEFAULT_STATE, LoopLine, gauge_from_loop, swatch_size
from purlside.figures import takein
from purlside.figures.costs import Spent
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.row import Row
from purlside.values import Value

MARGIN = 0.10
"""Part added to the yarn worked out: casting on, binding off, ends, ladders, a swatch. Ours."""

TOLD_MM = 0.5
"""Widths that differ by less are told as one. Ours."""

MOST_SIZE_MM = 20_000.0
"""Wanted widths and lengths above this are mistakes."""


class Range(Value):
    """A value with the least and the most it may be; all three equal where the knitter measured."""

    value: float
    least: float
    most: float


class Gauged(Value):
    """What a size is worked out with: stitches and rows in 10 cm at stitch size ``size``, the loops of other sizes, the
    knitter's own take-in, and in words where each is from."""

    size: float
    stitches_per_10cm: float
    rows_per_10cm: float
    line: LoopLine
    take_in: float | None
    gauge_from: str
    take_in_from: str

    def stitch_mm(self, size: float) -> float:
        """Width of a stitch knit plain at a stitch size."""
        return 100 / self.stitches_per_10cm * self.longer(size)

    def row_mm(self, size: float) -> float:
        """Height of a row at a stitch size."""
        return 100 / self.rows_per_10cm * self.longer(size)

    def longer(self, size: float) -> float:
        """How much longer loops are at a stitch size than the swatch's; 1 where they are alike."""
        return self.line(size) / self.line(self.size)


class Finished(Value):
    """Finished size in mm: the width on average, where it is narrowest and in which of the fabric's rows, the length.

    ``widths_mm`` has the width of each of the fabric's rows, parts side by side added up; item 0 is row 1.
    ``taken_in_mm`` is what the cables take of the width on average. ``length_mm`` is along the needle that is knit most
    often; it has no range, since no take-in in length is published.
    """

    width_mm: Range
    narrowest_mm: float
    narrowest_row: int
    length_mm: float
    widths_mm: tuple[float, ...]
    taken_in_mm: float
    made_of: Gauged

    @property
    def varies(self) -> bool:
        """Whether the narrowest place is worth telling beside the average."""
        return self.width_mm.value - self.narrowest_mm >= TOLD_MM


class NeededSize(Value):
    """Needles and rows for a wanted size, with the plan's cables; whether the bed is wide enough."""

    width_mm: float | None
    length_mm: float | None
    needles: int | None
    rows: int | None
    bed_needles: int

    @property
    def bed_is_enough(self) -> bool:
        return self.needles is None or self.needles <= self.bed_needles


class YarnNeed(Value):
    """Yarn of one colour (None: the panel's own): loops, metres, grams (None without tex), margin included."""

    colour: str | None
    loops: int
    metres: float
    grams: float | None


def gauged(plan: Plan, line: LoopLine, take_in: float | None = None, state: str = DEFAULT_STATE) -> Gauged | None:
    """What a size is worked out with; None where neither gauge nor a measured loop is known.

    ``take_in`` is the width of a cable over the same stitches knit plain, where
    the plan's cables do not say it. Raises ValueError unless it is above 0 and at most 2.
    """
    if take_in is not None and not 0 < take_in <= 2:
        raise ValueError(f"take-in is the cable's width over its width knit plain, above 0 to 2, not {take_in:g}")
    size, gauge = plan.panel.stitch_size, plan.gauge
    if gauge is not None:
        size = swatch_size(plan)
        stitches, rows, source = gauge.stitches_per_10cm, gauge.rows_per_10cm, "the plan's gauge"
        if size != plan.panel.stitch_size:
            source += f" at SS {size_text(size)}; other sizes by their loops, an estimate"
    elif line.measured:
        stitches, rows = gauge_from_loop(line(size), state)
        source = f"the measured loop by Munden's relations, {state}; knit a swatch"
    else:
        return None
    if take_in is None and gauge is not None:
        take_in = gauge.cable_take_in
    own = [takein.own_take_in(cable, take_in) is not None for cable in plan.cable]
    usual = "a default of hand-knitting practice; measure a swatch with a cable"
    taken_from = "your swatch" if own and all(own) else f"your swatch, else {usual}" if any(own) else usual
    return Gauged(size, stitches, rows, line, take_in, source, taken_from)


def finished(calendar: Calendar, made_of: Gauged) -> Finished:
    """Finished size of the panel and its parts. A ladder is counted as wide as a stitch."""
    stitch, height = 100 / made_of.stitches_per_10cm, 100 / made_of.rows_per_10cm
    likes = [calendar.like(number) for number in range(1, calendar.rows + 1)]
    longer = {first: _longer(row, made_of) for first, row in {row.number: row for row in likes}.items()}
    rows = [(row, longer[row.number]) for row in likes]
    across, knit = [0] * calendar.end, 0.0
    longer_in = list(map(float, across))
    for number, (row, part) in enumerate(rows, 1):
        edges = calendar.segment(row.number).edges_in(row.number)
        wide = int(edges.right) - int(edges.left) + 1
        at = calendar.fabric_row(number) - 1
        across[at] += wide
        longer_in[at] = part
        short = len(row.resting) > len(row.waiting)
        knit += (len(row.needles) if short else wide) * part**2
    high = max(_longest(rows), _through(rows)) or min(longer.values())
    pulls = takein.pulls(calendar, made_of.take_in)
    usual, slack, tight = takein.taken_in(pulls, calendar.end, (takein.DEPTH, *takein.DEPTH_RANGE))

    def lost(taken: list[float]) -> float:
        return sum(gone * part**2 for gone, part in zip(taken, longer_in, strict=True) if gone)

    widths = tuple(stitch * part * (n - gone) for part, n, gone in zip(longer_in, across, usual, strict=True))
    narrowest = min(range(len(widths)), key=widths.__getitem__)
    width = Range(*(stitch * (knit - lost(taken)) / high for taken in (usual, tight, slack)))
    taken_in = stitch * lost(usual) / high
    return Finished(width, widths[narrowest], narrowest + 1, height * high, widths, taken_in, made_of)


Knit = tuple[Row, float]
"""A row, or one like it, and how much longer its loops are than the swatch's."""


def _longer(row: Row, made_of: Gauged) -> float:
    """How much longer the loops of a row are than the swatch's, on average over its needles."""
    own = {needle: work.lies_at for work in row.works if work.lies_at is not None for needle in work.needles}
    if not own:
        return made_of.longer(row.size)
    sizes = Counter(own.get(needle, row.size) for needle in row.needles)
    return sum(made_of.longer(size) * count for size, count in sizes.items()) / len(row.needles)


def _longest(rows: list[Knit]) -> float:
    """The rows' heights along the needle that is knit most often, in rows of the swatch."""
    columns: dict[Needle, float] = {}
    for needles, alike in groupby(rows, key=lambda knit: knit[0].needles):
        higher = sum(part for _, part in alike)
        for needle in needles:
            columns[needle] = columns.get(needle, 0.0) + higher
    return max(columns.values(), default=0.0)


def _through(rows: list[Knit]) -> float:
    """The heights of rows in which nothing rests, where no needle is knit from first to last, as on the bias."""
    by_part: dict[str | None, float] = {}
    for row, part in rows:
        if len(row.resting) == len(row.waiting):
            by_part[row.part] = by_part.get(row.part, 0.0) + part
    return by_part.pop(None, 0.0) + max(by_part.values(), default=0.0)


def needed(found: Finished, plan: Plan, width_mm: float | None = None, length_mm: float | None = None) -> NeededSize:
    """Needles and rows that give a size in mm, the plan's cables and bands kept. Raises ValueError for an impossible
    size."""
    for name, size in (("width", width_mm), ("length", length_mm)):
        if size is not None and not 0 < size <= MOST_SIZE_MM:
            raise ValueError(f"a wanted {name} is above 0 and at most {MOST_SIZE_MM / 10:g} cm, not {size / 10:g} cm")
    needles = rows = None
    made_of, own = found.made_of, plan.panel.stitch_size
    if width_mm is not None:
        across = len(plan.panel.needles)
        # What the cables take in stays; plain stitches make up the rest.
        a_needle = (found.width_mm.value + found.taken_in_mm) / across
        crossed = {needle for cable in plan.cable for crossing in cable.crossings for needle in crossing.needles}
        needles = max(len(crossed), 1, round((width_mm + found.taken_in_mm) / a_needle))
    if length_mm is not None:
        rows = max(1, plan.panel.rows + round((length_mm - found.length_mm) / made_of.row_mm(own)))
    return NeededSize(width_mm, length_mm, needles, rows, plan.machine.needles)


def yarn_needs(costs: Iterable[Spent], tex: float | None, margin: float = MARGIN) -> tuple[YarnNeed, ...]:
    """Yarn by colour in the order the colours begin: every loop the moves form, at its own size.

    ``margin`` is a part of the whole. Raises ValueError if it is below 0 or above 10.
    """
    if not 0 <= margin <= 10:
        raise ValueError(f"a margin is a part from 0 to 10, not {margin:g}")
    needs: dict[str | None, tuple[int, float]] = {}
    for spent in costs:
        loops, mm = needs.get(spent.row.colour, (0, 0.0))
        needs[spent.row.colour] = loops + spent.rows * spent.cost.loops, mm + spent.rows * spent.cost.yarn_mm
    return tuple(
        YarnNeed(colour, loops, metres := mm / 1000 * (1 + margin), None if tex is None else metres * tex / 1000)
        for colour, (loops, mm) in needs.items()
    )
