"""What is known of a yarn written into a plan, with where it is from, and only when the knitter has said so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from purlside.bed.moves import size_text
from purlside.ease.loops import measured_loops
from purlside.figures.learning import LimitOffer, differences
from purlside.files import planwriting
from purlside.files.edits import NotEdited
from purlside.files.planfile import Refused, read
from purlside.files.whole import digest
from purlside.keep.drawer import KeptYarn
from purlside.keep.swatches import SAME_PITCH, Swatch
from purlside.plan.kinds import FrozenMapping
from purlside.plan.machine import Gauge
from purlside.plan.plan import Plan
from purlside.text.units import Unit
from purlside.values import Value

ORIGIN = "From your swatch of "
"""How the line begins that tells in a plan's notes where its numbers are from."""


class IntoPlan(Value):
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


class NotWrittenIn(Exception):
    """A plan's file that was left as it was, and why."""


def write_into(path: Path, change: Callable[[Plan], Plan]) -> None:
    """Change a plan's file, its comments kept. Raises NotWrittenIn; the file then stays as it was."""
    try:
        file = read(path)
        text = planwriting.rewritten(file.text, change(file.plan))
        planwriting.save(path, text, digest(file.text))
    except Refused as refused:
        raise NotWrittenIn(str(refused.refusals[0].problem)) from None
    except (NotEdited, planwriting.NotSaved, OSError) as error:
        raise NotWrittenIn(str(error)) from None
