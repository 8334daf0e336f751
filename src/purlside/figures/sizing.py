"""How big the panel comes out, how much yarn it takes, and the needles and rows for a wanted size.

Size is from gauge; where there is none, from a measured loop by Munden's
relations. All of it is an estimate until the finished piece is measured.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from purlside.bed.needles import Needle
from purlside.ease.loops import DEFAULT_STATE, LoopLine, gauge_from_loop
from purlside.ease.reach import by_hand_loop
from purlside.rows.calendar import Calendar

if TYPE_CHECKING:
    from purlside.plan.plan import Plan
    from purlside.rows.working import Working

TAKE_IN = 0.75
"""Width of a cable as a part of the same stitches knit plain. Hand-knitting practice, in print; measure a swatch."""

TAKE_IN_RANGE = (0.67, 0.95)
"""Least and most of TAKE_IN met. Hand-knitting practice, in print."""

MARGIN = 0.10
"""Part added to the yarn worked out: casting on, binding off, ends, ladders, a swatch. Ours."""

MOST_SIZE_MM = 20_000.0
"""Wanted widths and lengths above this are mistakes."""


@dataclass(frozen=True, slots=True)
class Range:
    """A value with the least and the most it may be; all three equal where the knitter measured."""

    value: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Fabric:
    """Stitches and rows in 10 cm, the cables' take-in, and where both are from."""

    stitches_per_10cm: float
    rows_per_10cm: float
    take_in: Range
    gauge_from: str
    take_in_from: str


@dataclass(frozen=True, slots=True)
class Finished:
    """Finished width and length in mm; ``length_mm`` has no range, since no take-in in length is published."""

    width_mm: Range
    length_mm: float
    cable_needles: int
    fabric: Fabric


@dataclass(frozen=True, slots=True)
class Wanted:
    """Needles and rows for a wanted size, with the plan's cables; whether the bed is wide enough."""

    width_mm: float | None
    length_mm: float | None
    needles: int | None
    rows: int | None
    bed_needles: int

    @property
    def bed_is_enough(self) -> bool:
        return self.needles is None or self.needles <= self.bed_needles


@dataclass(frozen=True, slots=True)
class YarnNeed:
    """Yarn of one colour (None: the panel's own): loops, metres, grams (None without tex), margin included."""

    colour: str | None
    loops: int
    metres: float
    grams: float | None


def fabric(plan: Plan, line: LoopLine, take_in: float | None = None, state: str = DEFAULT_STATE) -> Fabric | None:
    """What the size is worked out with; None where neither gauge nor a measured loop is known.

    ``take_in`` is the knitter's own, width of a cable over the same stitches
    knit plain. Raises ValueError unless it is above 0 and at most 2.
    """
    if take_in is None:
        taken = Range(TAKE_IN, *TAKE_IN_RANGE)
        taken_from = "default of hand-knitting practice; measure a swatch with a cable"
    else:
        if not 0 < take_in <= 2:
            raise ValueError(f"take-in is the cable's width over its width knit plain, above 0 to 2, not {take_in:g}")
        taken, taken_from = Range(take_in, take_in, take_in), "the knitter's own"
    if plan.gauge is not None:
        return Fabric(plan.gauge.stitches_per_10cm, plan.gauge.rows_per_10cm, taken, "the plan's gauge", taken_from)
    if not line.measured:
        return None
    stitches, rows = gauge_from_loop(line(plan.panel.stitch_size), state)
    return Fabric(stitches, rows, taken, f"the measured loop by Munden's relations, {state}; knit a swatch", taken_from)


def cabled(plan: Plan) -> frozenset[Needle]:
    """The panel's needles that some cable crosses at least once."""
    repeats = Calendar(plan).repeats
    return frozenset(
        needle
        for cable, repeat in zip(plan.cable, repeats, strict=True)
        for crossing in cable.crossings[: repeat.of]
        for needle in crossing.needles
        if needle in plan.panel.needles
    )


def finished(plan: Plan, line: LoopLine, made_of: Fabric) -> Finished:
    """Finished size of the panel.

    A ladder is counted as wide as a stitch. Rows of another stitch size are
    longer in the proportion of their loops (courses/cm = kc/l).
    """
    cable = len(cabled(plan))
    plain = len(plan.panel.needles) - cable
    stitch = 100 / made_of.stitches_per_10cm
    taken = made_of.take_in
    width = Range(*(stitch * (plain + cable * part) for part in (taken.value, taken.least, taken.most)))
    own = line(plan.panel.stitch_size)
    rows = sum(count * line(size) / own for size, count in Calendar(plan).sizes().items())
    return Finished(width, rows * 100 / made_of.rows_per_10cm, cable, made_of)


def wanted(plan: Plan, made_of: Fabric, width_mm: float | None = None, length_mm: float | None = None) -> Wanted:
    """Needles and rows that give a size in mm, the plan's cables kept. Raises ValueError for an impossible size."""
    for name, size in (("width", width_mm), ("length", length_mm)):
        if size is not None and not 0 < size <= MOST_SIZE_MM:
            raise ValueError(f"a wanted {name} is above 0 and at most {MOST_SIZE_MM / 10:g} cm, not {size / 10:g} cm")
    needles = rows = None
    if width_mm is not None:
        cable = len(cabled(plan))
        # The cables keep their needles, so the plain stitches make up what they take in.
        plain = width_mm * made_of.stitches_per_10cm / 100 - cable * made_of.take_in.value
        needles = cable + max(0, round(plain))
    if length_mm is not None:
        rows = max(1, round(length_mm * made_of.rows_per_10cm / 100))
    return Wanted(width_mm, length_mm, needles, rows, plan.machine.needles)


def yarn_needs(working: Working, line: LoopLine, tex: float | None, margin: float = MARGIN) -> tuple[YarnNeed, ...]:
    """Yarn by colour in the order the colours begin: every loop at its own size, extra rows and by-hand loops too.

    ``margin`` is a part of the whole. Raises ValueError if it is below 0 or above 10.
    """
    if not 0 <= margin <= 10:
        raise ValueError(f"a margin is a part from 0 to 10, not {margin:g}")
    plan = working.plan
    hand = by_hand_loop(line, plan.machine.dial)
    calendar = Calendar(plan)
    needs: dict[str | None, tuple[int, float]] = {}
    for colour, first, last in _colours(calendar):
        loops, mm = needs.get(colour, (0, 0.0))
        for tally in calendar.kinds(first, last).values():
            demand = working.demand(tally.row)
            lengths: dict[float, float] = {}
            row_mm, row_loops = 0.0, 0
            for rows, size, by_hand in zip(demand.rows, demand.sizes, demand.by_hand, strict=True):
                if size not in lengths:
                    lengths[size] = line(size)
                row_loops += rows
                row_mm += hand if by_hand else rows * lengths[size]
            loops += row_loops * tally.count
            mm += row_mm * tally.count
        needs[colour] = (loops, mm)
    return tuple(
        YarnNeed(colour, loops, metres := mm / 1000 * (1 + margin), None if tex is None else metres * tex / 1000)
        for colour, (loops, mm) in needs.items()
    )


def _colours(calendar: Calendar) -> Iterator[tuple[str | None, int, int]]:
    """(colour, first row, last row) of each stretch of one colour."""
    bands = calendar.plan.band
    edges = {1, *(b.rows.first for b in bands), *(b.rows.last + 1 for b in bands)}
    starts = sorted(e for e in edges if e <= calendar.rows)
    for i, first in enumerate(starts):
        last = starts[i + 1] - 1 if i + 1 < len(starts) else calendar.rows
        yield calendar.row(first).colour, first, last
