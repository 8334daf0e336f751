"""The size a plan wants: how far off it is after take-in, and the needles and rows that would meet it."""

from __future__ import annotations

from dataclasses import replace

from purlside.bed.needles import Needle, Span
from purlside.draft import reshaping
from purlside.figures import sizing
from purlside.figures.sizing import Finished
from purlside.plan.plan import Plan
from purlside.text.units import Unit
from purlside.values import Value

NEAR_MM = 5.0
"""A size this near is met: less than a stitch or two. Ours."""


class Off(Value):
    """How far the panel is from what is wanted, in mm (above 0: too big; None: nothing is wanted), and what meets it."""

    width_mm: float | None
    length_mm: float | None
    needles: int
    rows: int

    @property
    def met(self) -> bool:
        return all(off is None or abs(off) < NEAR_MM for off in (self.width_mm, self.length_mm))

    def words(self, unit: Unit = Unit.CM) -> str:
        """``"2.0 cm too narrow, 0.8 cm too long"``."""
        told = []
        for off, small, big in ((self.width_mm, "too narrow", "too wide"), (self.length_mm, "too short", "too long")):
            if off is not None and abs(off) >= NEAR_MM:
                told.append(f"{unit.size(abs(off))} {big if off > 0 else small}")
        return ", ".join(told) or "as wanted"


def off(plan: Plan, size: Finished | None) -> Off | None:
    """How far a plan is from the size it wants; None where it wants none, or its size is not known."""
    wanted = plan.wanted
    if wanted is None or size is None or (wanted.width_cm is None and wanted.length_cm is None):
        return None
    width, length = (None if cm is None else cm * 10 for cm in (wanted.width_cm, wanted.length_cm))
    meets = sizing.needed(size, plan, width, length)
    return Off(
        None if width is None else size.width_mm.value - width,
        None if length is None else size.length_mm - length,
        len(plan.panel.needles) if meets.needles is None else meets.needles,
        plan.panel.rows if meets.rows is None else meets.rows,
    )


def met(plan: Plan, wanted: Off) -> Plan:
    """The plan with the needles and rows that meet it: both edges moved alike, cables where they stand.

    Raises ValueError where the bed is too narrow, or a cable would stand outside.
    """
    panel, bed = plan.panel.needles, plan.machine.bed
    more = wanted.needles - len(panel)
    left = max(int(bed.left), int(panel.left) - more // 2)
    right = left + wanted.needles - 1
    if right > int(bed.right):
        left, right = int(bed.right) - wanted.needles + 1, int(bed.right)
    if left < int(bed.left) or wanted.needles < 1:
        raise ValueError(f"{wanted.needles} needles are wanted; the bed has {len(bed)}")
    new = Span(Needle(left), Needle(right))
    if plan.cable:
        taken = reshaping.span(plan.cable)
        if taken.left not in new or taken.right not in new:
            raise ValueError(f"the cables take {taken}, wider than {new}: narrow them or leave one out first")
    out = tuple(n for n in plan.panel.out_of_work if n in new)
    return replace(plan, panel=replace(plan.panel, needles=new, rows=wanted.rows, out_of_work=out))
