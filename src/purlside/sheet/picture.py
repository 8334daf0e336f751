"""The fabric on a sheet: the same rows from the knit side and from the purl side, with scale and legend in words."""

from __future__ import annotations

from purlside.fabric.described import describe
from purlside.fabric.picture import caption, window
from purlside.fabric.stitches import Fabric, Face
from purlside.figures.whole import Figures
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.sheet.parts import Para, Picture, Section
from purlside.text.units import Unit

LEAST_ROWS = 16
MOST_ROWS = 48
"""Rows drawn: enough for each cable to come round, and no more than fit half a page."""


def picture_section(working: Working, figures: Figures | None, unit: Unit) -> Section:
    """Both sides of the beginning of the panel."""
    plan = working.plan
    fabric = Fabric(working)
    part = window(fabric, 1, _rows(plan))
    pictures = tuple(
        Picture(
            fabric,
            face,
            part,
            caption(fabric, face, part),
            tuple(describe(fabric, face, (part.first, part.last))[1:]),
        )
        for face in (Face.KNIT, Face.PURL)
    )
    return Section("The fabric", (Para(_scale(figures, unit)), *pictures))


def _rows(plan: Plan) -> int:
    rows = LEAST_ROWS
    for cable, repeat in zip(plan.cable, Calendar(plan).repeats, strict=True):
        if repeat.of:
            rows = max(rows, repeat.first + repeat.every * len(cable.crossings))
    return min(plan.panel.rows, rows, MOST_ROWS)


def _scale(figures: Figures | None, unit: Unit) -> str:
    both = "Two drawings of the same rows, one from each side."
    if figures is None or figures.finished is None:
        return f"{both} Not to scale: the plan gives neither gauge nor a measured loop."
    made_of = figures.finished.made_of
    wide, high = made_of.stitch_mm(figures.panel_size), made_of.row_mm(figures.panel_size)
    ten = unit.size(10 * wide)
    return (
        f"{both} Scale: in the fabric a plain stitch is about {unit.fine(wide)} wide and {unit.fine(high)} high, "
        f"10 stitches {ten}; an estimate."
    )
