"""Loop length: how much yarn is in one loop at each stitch size.

The dial sets how far a needle draws its loop. Between two sizes the knitter has
measured, loop length is taken as a straight line, and beyond them the nearest
such line goes on; with one measured, it is that point and a usual slope.
Munden's relation gives a point from gauge: courses/cm = kc/l, wales/cm = kw/l,
loops/cm² = ks/l² (D. L. Munden, *J. Text. Inst.* 50 (1959) T448).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise

from purlside.plan.plan import Plan
from purlside.values import Value

REFERENCE_PITCH_MM = 4.5
REFERENCE_LOOPS = ((5.0, 13.7), (9.0, 17.5))
"""(stitch size, loop mm) on a bed of 4.5 mm pitch: the reference case. Common practice, no source."""

USUAL_SLOPE = (REFERENCE_LOOPS[1][1] - REFERENCE_LOOPS[0][1]) / (REFERENCE_LOOPS[1][0] - REFERENCE_LOOPS[0][0])
"""mm of loop a whole number of the dial on 4.5 mm pitch, 0.95; scaled with the pitch for other beds."""

CONFLICT = 0.10
"""Part by which a measured loop may lie outside what gauge allows before it is reported. Ours."""


class Relaxation(Value):
    """A relaxed state of plain fabric: courses/cm = kc/l, wales/cm = kw/l, loops/cm² = ks/l², l in cm.

    ``means`` says what was done to the fabric, ``source`` where the numbers are from.
    """

    name: str
    kc: float
    kw: float
    ks: float
    means: str
    source: str


RELAXATIONS: dict[str, Relaxation] = {
    state.name: state
    for state in (
        Relaxation(
            "dry relaxed", 5.0, 3.8, 19.0, "off the machine and left to lie", "Munden 1959; numbers from memory"
        ),
        Relaxation("wet relaxed", 5.3, 4.1, 21.6, "soaked and dried flat", "Munden 1959; numbers from memory"),
        Relaxation(
            "fully relaxed",
            5.5,
            4.2,
            23.1,
            "washed and tumbled until it shrinks no more",
            "wool; the numbers are later than Munden 1959: from memory Knapton and others, Text. Res. J. 38 (1968)",
        ),
    )
}

DEFAULT_STATE = "wet relaxed"
"""That of a swatch washed by hand and dried flat, as knitters do."""


def loop_from_gauge(stitches_per_10cm: float, rows_per_10cm: float, state: str = DEFAULT_STATE) -> float:
    """Loop length in mm from gauge, by the loops in a square centimetre: l = √(ks / (c·w)).

    Raises KeyError for a state not in RELAXATIONS, ValueError for a gauge that is not above 0.
    """
    if stitches_per_10cm <= 0 or rows_per_10cm <= 0:
        raise ValueError("gauge must be above 0 stitches and rows in 10 cm")
    density = (stitches_per_10cm / 10) * (rows_per_10cm / 10)
    return float(10 * (RELAXATIONS[state].ks / density) ** 0.5)


def gauge_from_loop(loop_mm: float, state: str = DEFAULT_STATE) -> tuple[float, float]:
    """(stitches, rows) in 10 cm of plain fabric with this loop length. Raises ValueError if it is not above 0."""
    if loop_mm <= 0:
        raise ValueError("loop length must be above 0 mm")
    relaxation = RELAXATIONS[state]
    return 100 * relaxation.kw / loop_mm, 100 * relaxation.kc / loop_mm


def loop_from_unravelled(length_mm: float, stitches: int, rows: int = 1) -> float:
    """Loop length in mm from a swatch: ``rows`` rows of ``stitches`` unravelled give ``length_mm`` of yarn.

    Raises ValueError for anything not above 0.
    """
    if length_mm <= 0 or stitches <= 0 or rows <= 0:
        raise ValueError("length, stitches and rows must be above 0")
    return length_mm / (stitches * rows)


class LoopLine(Value):
    """Loop length over the dial, through ``points`` of (size, mm), one or more, sizes rising; never below ``least`` mm.

    ``per_size`` is mm more a whole number of the dial, over all points.
    ``measured`` tells whether any of it is from the knitter's own measuring,
    ``basis`` says in words where it is from, ``doubts`` what does not fit.
    """

    points: tuple[tuple[float, float], ...]
    per_size: float
    least: float
    measured: bool
    basis: str
    doubts: tuple[str, ...] = ()

    def __call__(self, size: float) -> float:
        """Yarn in one loop, mm, at that stitch size."""
        after = bisect_right(self.points, size, key=lambda point: point[0])
        low = max(0, min(after - 1, len(self.points) - 2))
        (at, mm), slope = self.points[low], self.per_size
        if len(self.points) > 1:
            beyond, more = self.points[low + 1]
            slope = (more - mm) / (beyond - at)
        return max(self.least, mm + slope * (size - at))


def fit(points: Iterable[tuple[float, float]]) -> tuple[float, float, float]:
    """Least-squares line through (size, mm) points: (mean size, mm there, slope).

    Raises ValueError unless there are two different sizes.
    """
    from statistics import fmean, linear_regression  # some ms to import, and few plans have two loops

    pairs = list(points)
    sizes, mms = zip(*pairs, strict=True) if pairs else ((), ())
    if len(set(sizes)) < 2:
        raise ValueError("a line needs loops measured at two sizes")
    return fmean(sizes), fmean(mms), linear_regression(sizes, mms).slope


def measured_loops(loop_mm: Mapping[str, float]) -> dict[float, float]:
    """A plan's ``loop_mm`` by stitch size, in order. A key that is no size is left out."""
    found: dict[float, float] = {}
    for key, mm in loop_mm.items():
        try:
            size = float(key)
        except ValueError:
            continue
        if 0 <= size <= 100:
            found[size] = mm
    return dict(sorted(found.items()))


def loop_line(plan: Plan, state: str = DEFAULT_STATE) -> LoopLine:
    """The line of a plan: from its measured loops, else its gauge, else its pitch alone."""
    pitch = plan.machine.pitch_mm
    usual = USUAL_SLOPE * pitch / REFERENCE_PITCH_MM
    points = measured_loops(plan.yarn.loop_mm)
    gauge, gauge_size = plan.gauge, swatch_size(plan)
    from_gauge = loop_from_gauge(gauge.stitches_per_10cm, gauge.rows_per_10cm, state) if gauge is not None else None
    # Yarn laid straight from needle to needle is the least a loop can hold.
    least = min([pitch, *points.values()])
    if len(points) >= 2:
        line = _through(points, least)
    elif points:
        [(size, mm)] = points.items()
        line = _from_one(size, mm, from_gauge, gauge_size, usual, least, state)
    elif from_gauge is not None:
        basis = f"gauge by Munden's relation, {state}; {usual:.2f} mm a dial number, the usual slope"
        return LoopLine(((gauge_size, from_gauge),), usual, least, False, basis)
    else:
        size, mm = REFERENCE_LOOPS[0]
        basis = f"a guess from the {pitch:g} mm pitch alone; measure a swatch"
        return LoopLine(((size, mm * pitch / REFERENCE_PITCH_MM),), usual, least, False, basis)
    doubts = list(line.doubts)
    doubts += [
        f"a loop of {mm:g} mm at SS {size:g} does not reach over {pitch:g} mm to the next needle; measure again"
        for size, mm in points.items()
        if mm < pitch
    ]
    if gauge is not None:
        at_odds = conflict(line(gauge_size), gauge_size, gauge.stitches_per_10cm, gauge.rows_per_10cm)
        doubts += [at_odds] if at_odds else []
    return replace(line, doubts=tuple(doubts))


def swatch_size(plan: Plan) -> float:
    """The stitch size a plan's gauge belongs to: the swatch's own where the plan says, else the panel's."""
    own = None if plan.gauge is None else plan.gauge.stitch_size
    return plan.panel.stitch_size if own is None else own


def _through(points: dict[float, float], least: float) -> LoopLine:
    at, mm, slope = fit(points.items())
    # How far each lies off one straight line shows how well they were measured.
    missed, worst = max((abs(mm + slope * (s - at) - m), s) for s, m in points.items())
    basis = f"measured at SS {', '.join(f'{s:g}' for s in points)}"
    if len(points) > 2:
        basis += f", at most {missed:.1f} mm off one straight line"
    doubts: list[str] = []
    if any(more <= less for less, more in pairwise(points.values())):
        doubts.append("a larger size measured no more yarn than a smaller one; measure again")
    if missed > CONFLICT * points[worst]:
        part = missed / points[worst]
        doubts.append(
            f"the loop at SS {worst:g} lies {part:.0%} off a straight line through them all; measure it again"
        )
    return LoopLine(tuple(points.items()), slope, least, True, basis, tuple(doubts))


def _from_one(
    size: float, mm: float, from_gauge: float | None, gauge_size: float, usual: float, least: float, state: str
) -> LoopLine:
    if from_gauge is not None and abs(gauge_size - size) >= 1:
        slope = (from_gauge - mm) / (gauge_size - size)
        # Two rough points close together may give any slope; one far from the usual says more of error than of yarn.
        if usual / 2 <= slope <= usual * 2:
            basis = f"measured at SS {size:g}, gauge at SS {gauge_size:g} by Munden's relation, {state}"
            return LoopLine(((size, mm),), slope, least, True, basis)
    basis = f"measured at SS {size:g}; {usual:.2f} mm a dial number, the usual slope"
    return LoopLine(((size, mm),), usual, least, True, basis)


def conflict(found: float, size: float, stitches: float, rows: float) -> str | None:
    """What to say where a measured loop of ``found`` mm and the gauge in 10 cm do not agree; None where they do.

    Raises ValueError for a gauge that is not above 0.
    """
    states = [loop_from_gauge(stitches, rows, state) for state in RELAXATIONS]
    low, high = min(states), max(states)
    if low * (1 - CONFLICT) <= found <= high * (1 + CONFLICT):
        return None
    return (
        f"measured loops give {found:.1f} mm at SS {size:g}, the gauge {low:.1f}-{high:.1f} mm (Munden, dry to fully "
        "relaxed); measure one of them again"
    )
