"""The swatch book: what a yarn's swatches measured, and one of them written into a plan with where it is from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated

from purlside.bed.moves import size_text
from purlside.ease.loops import measured_loops
from purlside.figures.learning import differences
from purlside.plan.checked import Checked
from purlside.plan.kinds import FrozenMapping, Number, Whole
from purlside.plan.machine import SIZE, TAKE_IN, Gauge
from purlside.plan.panel import LINE
from purlside.text.units import Unit

if TYPE_CHECKING:
    from collections.abc import Callable

    from purlside.figures.learning import LimitOffer
    from purlside.keep.drawer import KeptYarn
    from purlside.plan.plan import Plan

MOST_SWATCHES = 200
"""Swatches kept of one yarn. A limit of ours."""

SAME_PITCH = 0.01
"""Pitches this close, as a part, are one bed's."""

ORIGIN = "From your swatch of "
"""How the line begins that tells in a plan's notes where its numbers are from."""

_CM = Number(0, 500, "a length in cm", above=True)


@dataclass(frozen=True, kw_only=True)
class Swatch(Checked):
    """One swatch: ``stitches`` and ``rows`` counted over a width and a length, before washing and after.

    ``loop_mm`` is from unravelling it, ``cable_take_in`` the width of a cable in it over its stitches knit plain,
    ``date`` as ``2026-03-01``.
    """

    stitch_size: Annotated[float, SIZE]
    pitch_mm: Annotated[float | None, Number(1, 30, "the distance between needles in mm")] = None
    stitches: Annotated[int, Whole(1, 1000)]
    rows: Annotated[int, Whole(1, 10_000)] = 1
    width_cm: Annotated[float | None, _CM] = None
    length_cm: Annotated[float | None, _CM] = None
    washed_width_cm: Annotated[float | None, _CM] = None
    washed_length_cm: Annotated[float | None, _CM] = None
    loop_mm: Annotated[float | None, Number(0, 200, "yarn in one loop in mm", above=True)] = None
    cable_take_in: Annotated[float | None, TAKE_IN] = None
    date: Annotated[str | None, LINE] = None
    note: Annotated[str | None, LINE] = None

    @property
    def gauge(self) -> tuple[float, float] | None:
        """Stitches and rows in 10 cm, of the washed swatch where it was washed; None where it was not measured."""
        washed = self.washed_width_cm, self.washed_length_cm
        for wide, long in (washed, (self.width_cm, self.length_cm)):
            if wide and long:
                return 10 * self.stitches / wide, 10 * self.rows / long
        return None

    @property
    def washed(self) -> bool:
        return self.washed_width_cm is not None and self.washed_length_cm is not None

    def words(self, unit: Unit = Unit.CM) -> str:
        """``"SS 5, 40 stitches, 60 rows; washed: 29 stitches and 41 rows in 10 cm; loop 12.0 mm; 2026-03-01"``."""
        bed = f" at {self.pitch_mm:g} mm pitch" if self.pitch_mm is not None else ""
        told = [f"SS {size_text(self.stitch_size)}{bed}, {self.stitches} stitches, {self.rows} rows"]
        for name, wide, long in (
            ("before washing", self.width_cm, self.length_cm),
            ("washed", self.washed_width_cm, self.washed_length_cm),
        ):
            if wide and long:
                told.append(f"{name} {unit.size(wide * 10)} x {unit.size(long * 10)}")
        if self.gauge is not None:
            told.append(unit.gauge(*self.gauge))
        if self.loop_mm is not None:
            told.append(f"loop {unit.fine(self.loop_mm)}")
        if self.cable_take_in is not None:
            told.append(f"a cable takes in to {self.cable_take_in:.0%}")
        return "; ".join([*told, *filter(None, (self.date, self.note))])

    def fits(self, pitch_mm: float) -> bool:
        """Whether it was knit on a bed of that pitch, as far as is known."""
        return self.pitch_mm is None or abs(self.pitch_mm / pitch_mm - 1) <= SAME_PITCH


@dataclass(frozen=True, slots=True)
class IntoPlan:
    """What would be written into a plan: how, in words, and the old and new of every crossing knit otherwise."""

    change: Callable[[Plan], Plan]
    told: tuple[str, ...]


def into_plan(plan: Plan, yarn: KeptYarn, swatch: Swatch | None, limit: LimitOffer | None) -> IntoPlan | None:
    """A swatch's numbers, and the limit its yarn's crossings have taught, for a plan; None where there is nothing to write.

    Raises ValueError for a swatch of another bed.
    """
    if swatch is not None and not swatch.fits(plan.machine.pitch_mm):
        raise ValueError(
            f"that swatch is of a bed of {swatch.pitch_mm:g} mm pitch; the plan's has {plan.machine.pitch_mm:g}"
        )

    def change(of: Plan) -> Plan:
        taken = of if swatch is None else _swatched(of, yarn, swatch)
        return taken if limit is None else limit.taken(taken)

    then = change(plan)
    if then == plan:
        return None
    return IntoPlan(change, tuple(_told(plan, then, limit)))


def _swatched(plan: Plan, yarn: KeptYarn, swatch: Swatch) -> Plan:
    loops = dict(plan.yarn.loop_mm)
    loops |= {f"{size:g}": mm for size, mm in _loops(yarn, plan.machine.pitch_mm).items()}
    gauge = plan.gauge
    if swatch.gauge is not None:
        stitches, rows = (round(number, 2) for number in swatch.gauge)
        take_in = swatch.cable_take_in or (gauge.cable_take_in if gauge else None)
        gauge = Gauge(
            stitches_per_10cm=stitches, rows_per_10cm=rows, stitch_size=swatch.stitch_size, cable_take_in=take_in
        )
    elif gauge is not None and swatch.cable_take_in is not None:
        gauge = replace(gauge, cable_take_in=swatch.cable_take_in)
    kept = [line for line in plan.notes.splitlines() if not line.startswith(ORIGIN)]
    origin = f"{ORIGIN}{yarn.name}: {swatch.words()}"
    own = replace(plan.yarn, name=yarn.name, loop_mm=FrozenMapping(loops.items()))
    return replace(plan, gauge=gauge, yarn=own, notes="\n".join([*kept, origin]))


def _loops(yarn: KeptYarn, pitch_mm: float) -> dict[float, float]:
    """Loops by stitch size from swatches of that bed, the latest of each size."""
    own = yarn.pitch_mm is None or abs(yarn.pitch_mm / pitch_mm - 1) <= SAME_PITCH
    found = measured_loops(yarn.loop_mm) if own else {}
    for swatch in yarn.swatch:
        if swatch.loop_mm is not None and swatch.fits(pitch_mm):
            found[swatch.stitch_size] = swatch.loop_mm
    return dict(sorted(found.items()))


def _told(plan: Plan, then: Plan, limit: LimitOffer | None) -> Iterator[str]:
    if then.gauge != plan.gauge and then.gauge is not None:
        yield f"gauge: {_gauge(plan.gauge)} now, {_gauge(then.gauge)} then"
    if then.yarn.loop_mm != plan.yarn.loop_mm:
        yield f"loops: {_loop_words(plan)} now, {_loop_words(then)} then"
    if limit is not None:
        yield from limit.said
    yield from map(str, differences(plan, then))


def _gauge(gauge: Gauge | None) -> str:
    if gauge is None:
        return "none"
    at = f" at SS {size_text(gauge.stitch_size)}" if gauge.stitch_size is not None else ""
    take_in = f", cables take in to {gauge.cable_take_in:.0%}" if gauge.cable_take_in is not None else ""
    return f"{Unit.CM.gauge(gauge.stitches_per_10cm, gauge.rows_per_10cm)}{at}{take_in}"


def _loop_words(plan: Plan) -> str:
    loops = measured_loops(plan.yarn.loop_mm)
    return ", ".join(f"SS {size_text(size)} {mm:g} mm" for size, mm in loops.items()) or "none"
