"""Purlside: a companion that stays open beside a hand-operated single-bed knitting machine.

What other programs may use, and what stays as it is from one version to the next::

    read, parse, plan_text, PlanFile, Refused     a plan file in, and a plan's text out
    Plan, Machine, Panel, Cable, Shape, …          a plan made by hand; Unfit says what it refuses, as Problems
    Needle, Span, RowSpan, Crossing, Side          where, and when
    faults, advice                                 what keeps a plan from being knit, what is worth a second look
    Working, Bed, Move, BedFault, bed_text         a row's moves, the bed they change, and a drawing of it
    figures_of, Figures                            yarn, time, size, reach
    Fabric, Face, picture_text, picture_svg        the fabric, drawn
    mirrored, full_parts                           the mirror image; the parts of a panel, worked out

Each is imported when it is first asked for: ``import purlside`` costs next to nothing, and a plan that is
only made and knit needs neither Textual nor pydantic.
"""

from typing import TYPE_CHECKING

__version__ = "0.2.0"

if TYPE_CHECKING:
    from purlside.bed.bed import Bed as Bed
    from purlside.bed.bed import Move as Move
    from purlside.bed.faults import BedFault as BedFault
    from purlside.bed.needles import Crossing as Crossing
    from purlside.bed.needles import Needle as Needle
    from purlside.bed.needles import Side as Side
    from purlside.bed.needles import Span as Span
    from purlside.fabric.picture import picture_text as picture_text
    from purlside.fabric.stitches import Fabric as Fabric
    from purlside.fabric.stitches import Face as Face
    from purlside.fabric.svg import picture_svg as picture_svg
    from purlside.figures.whole import Figures as Figures
    from purlside.figures.whole import figures
    from purlside.files.planfile import PlanFile as PlanFile
    from purlside.files.planfile import Refused as Refused
    from purlside.files.planfile import parse as parse
    from purlside.files.planfile import read as read
    from purlside.files.planwriting import new
    from purlside.plan.machine import Gauge as Gauge
    from purlside.plan.machine import Machine as Machine
    from purlside.plan.machine import Tools as Tools
    from purlside.plan.machine import Wanted as Wanted
    from purlside.plan.machine import Yarn as Yarn
    from purlside.plan.mirror import full_parts as full_parts
    from purlside.plan.mirror import mirrored as mirrored
    from purlside.plan.plan import Band as Band
    from purlside.plan.plan import Cable as Cable
    from purlside.plan.plan import Panel as Panel
    from purlside.plan.plan import PanelPart as PanelPart
    from purlside.plan.plan import Plan as Plan
    from purlside.plan.plan import Reminder as Reminder
    from purlside.plan.plan import Shape as Shape
    from purlside.plan.plan import StitchWork as StitchWork
    from purlside.plan.problems import Problem as Problem
    from purlside.plan.problems import Unfit as Unfit
    from purlside.plan.repeats import RowSpan as RowSpan
    from purlside.rows.checking import advice as advice
    from purlside.rows.checking import faults as faults
    from purlside.rows.working import Working as Working
    from purlside.shown.strip import bed_text as bed_text

    figures_of, plan_text = figures, new

_FROM = {
    "bed.bed": "Bed Move",
    "bed.faults": "BedFault",
    "bed.needles": "Crossing Needle Side Span",
    "fabric.picture": "picture_text",
    "fabric.stitches": "Fabric Face",
    "fabric.svg": "picture_svg",
    "figures.whole": "Figures figures=figures_of",
    "files.planfile": "PlanFile Refused parse read",
    "files.planwriting": "new=plan_text",
    "plan.machine": "Gauge Machine Tools Wanted Yarn",
    "plan.mirror": "full_parts mirrored",
    "plan.plan": "Band Cable Panel PanelPart Plan Reminder Shape StitchWork",
    "plan.problems": "Problem Unfit",
    "plan.repeats": "RowSpan",
    "rows.checking": "advice faults",
    "rows.working": "Working",
    "shown.strip": "bed_text",
}
_WHERE = {
    name.rpartition("=")[2]: (module, name.partition("=")[0])
    for module, names in _FROM.items()
    for name in names.split()
}
__all__ = ["__version__", *sorted(_WHERE)]

if not TYPE_CHECKING:

    def __getattr__(name):
        if name not in _WHERE:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from importlib import import_module

        module, there = _WHERE[name]
        value = globals()[name] = getattr(import_module(f"{__name__}.{module}"), there)
        return value

    def __dir__():
        return [*globals(), *_WHERE]
