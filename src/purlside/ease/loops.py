"""Loop length: how much yarn is in one loop at each stitch size.

The dial sets how far a needle draws its loop, so loop length is taken as a
straight line over the dial: fitted to what the knitter measured, or through one
point and a usual slope. Munden's relations give that one point from gauge
(D. L. Munden, *J. Text. Inst.* 50 (1959) T448).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from purlside.plan.plan import Plan

REFERENCE_PITCH_MM = 4.5
REFERENCE_LOOPS = ((5.0, 13.7), (9.0, 17.5))
"""(stitch size, loop mm) on a bed of 4.5 mm pitch: the reference case. Common practice, no source."""

USUAL_SLOPE = (REFERENCE_LOOPS[1][1] - REFERENCE_LOOPS[0][1]) / (REFERENCE_LOOPS[1][0] - REFERENCE_LOOPS[0][0])
"""mm of loop a whole number of the dial on 4.5 mm pitch, 0.95; scaled with the pitch for other beds."""

CONFLICT = 0.10
"""Part by which a measured loop may lie outside what gauge allows before it is reported. Ours."""


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A relaxed state of plain fabric: courses/cm = kc/l, wales/cm = kw/l, loops/cm² = ks/l², l in cm."""

    name: str
    kc: float
    kw: float
    ks: float
    source: str


RELAXATIONS: dict[str, Relaxation] = {
    state.name: state
    for state in (
        Relaxation("dry relaxed", 5.0, 3.8, 19.0, "Munden 1959; figures from memory"),
        Relaxation("wet relaxed", 5.3, 4.1, 21.6, "Munden 1959; figures from memory"),
        Relaxation("fully relaxed", 5.5, 4.2, 23.1, "Munden 1959, wool"),
    )
}

DEFAULT_STATE = "fully relaxed"
"""A swatch that was washed, dried flat and left to rest."""


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


@dataclass(frozen=True, slots=True)
class LoopLine:
    """Loop length over the dial: ``mm`` at ``size``, ``per_size`` mm more a whole number, never below ``least``.

    ``measured`` tells whether any of it is from the knitter's own measuring,
    ``basis`` says in words where it is from, ``doubts`` what does not fit.
    """

    size: float
    mm: float
    per_size: float
    least: float
    measured: bool
    basis: str
    doubts: tuple[str, ...] = ()

    def __call__(self, size: float) -> float:
        """Yarn in one loop, mm, at that stitch size."""
        return max(self.least, self.mm + self.per_size * (size - self.size))


def fit(points: Iterable[tuple[float, float]]) -> tuple[float, float, float]:
    """Least-squares line through (size, mm) points: (mean size, mm there, slope).

    Raises ValueError unless there are two different sizes.
    """
    pairs = list(points)
    count = len(pairs)
    if len({size for size, _ in pairs}) < 2:
        raise ValueError("a line needs loops measured at two sizes")
    mean_size = sum(size for size, _ in pairs) / count
    mean_mm = sum(mm for _, mm in pairs) / count
    spread = sum((size - mean_size) ** 2 for size, _ in pairs)
    slope = sum((size - mean_size) * (mm - mean_mm) for size, mm in pairs) / spread
    return mean_size, mean_mm, slope


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
    panel_size = plan.panel.stitch_size
    gauge = None
    if plan.gauge is not None:
        gauge = loop_from_gauge(plan.gauge.stitches_per_10cm, plan.gauge.rows_per_10cm, state)
    # Yarn laid straight from needle to needle is the least a loop can hold.
    least = min([pitch, *points.values()])
    if len(points) >= 2:
        line = _fitted(points, least)
    elif points:
        [(size, mm)] = points.items()
        line = _from_one(size, mm, gauge, panel_size, usual, least, state)
    elif gauge is not None:
        basis = f"gauge by Munden's relation, {state}; {usual:.2f} mm a dial number, the usual slope"
        return LoopLine(panel_size, gauge, usual, least, False, basis)
    else:
        size, mm = REFERENCE_LOOPS[0]
        scale = pitch / REFERENCE_PITCH_MM
        basis = f"a guess from the {pitch:g} mm pitch alone; measure a swatch"
        return LoopLine(size, mm * scale, usual, least, False, basis)
    for size, mm in points.items():
        if mm < pitch:
            doubt = (
                f"a loop of {mm:g} mm at SS {size:g} does not reach over {pitch:g} mm to the next needle; measure again"
            )
            line = LoopLine(*_fields(line), doubts=(*line.doubts, doubt))
    if gauge is not None and plan.gauge is not None:
        at_odds = conflict(line(panel_size), panel_size, plan.gauge.stitches_per_10cm, plan.gauge.rows_per_10cm)
        if at_odds:
            line = LoopLine(*_fields(line), doubts=(*line.doubts, at_odds))
    return line


def _fields(line: LoopLine) -> tuple[float, float, float, float, bool, str]:
    return line.size, line.mm, line.per_size, line.least, line.measured, line.basis


def _fitted(points: dict[float, float], least: float) -> LoopLine:
    size, mm, slope = fit(points.items())
    sizes = ", ".join(f"{s:g}" for s in points)
    doubts: list[str] = []
    if slope <= 0:
        doubts.append("larger sizes measured no more yarn than smaller ones; measure again")
    line = LoopLine(size, mm, slope, least, True, f"measured at SS {sizes}")
    missed, worst = max((abs(line(s) - m) / m, s) for s, m in points.items())
    if missed > CONFLICT:
        doubts.append(f"the loop at SS {worst:g} lies {missed:.0%} off the line through the others; measure it again")
    return LoopLine(*_fields(line), doubts=tuple(doubts))


def _from_one(
    size: float, mm: float, gauge: float | None, panel_size: float, usual: float, least: float, state: str
) -> LoopLine:
    if gauge is not None and abs(panel_size - size) >= 1:
        slope = (gauge - mm) / (panel_size - size)
        # Two rough points close together may give any slope; one far from the usual says more of error than of yarn.
        if usual / 2 <= slope <= usual * 2:
            basis = f"measured at SS {size:g}, gauge at SS {panel_size:g} by Munden's relation, {state}"
            return LoopLine(size, mm, slope, least, True, basis)
    basis = f"measured at SS {size:g}; {usual:.2f} mm a dial number, the usual slope"
    return LoopLine(size, mm, usual, least, True, basis)


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
