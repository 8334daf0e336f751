"""The tour: a crossing row of a small plan, knit step by step on the real bed, each with what it teaches."""

from __future__ import annotations

from functools import lru_cache

from purlside.bed.needles import Crossing, Span
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.machine import Machine
from purlside.plan.plan import Cable, Panel, Plan
from purlside.rows.working import Working
from purlside.shown.view import View
from purlside.values import Value

_ROPE = Crossing.parse("R1-R3 over L3-L1")
PLAN = Plan(
    format=1,
    title="The tour",
    machine=Machine(pitch_mm=4.5),
    panel=Panel(needles=Span.parse("L6-R6"), rows=3, stitch_size=5),
    cable=(Cable(name="rope", cross=_ROPE, first_row=2, ease="enlarge", enlarged_size=9.0),),
)
"""A panel of ours, twelve needles wide, with one 3 over 3 crossing after its second row."""


class Stop(Value):
    """One stop: where in the plan, a heading, and what to say."""

    at: Place
    heading: str
    text: str


STOPS = (
    Stop(
        Place(1, 0),
        "The needle bed",
        "Your bed as you sit at it: the rail at the top, each needle's mark in the lane where it stands. All twelve are "
        "in working position. The carriage stands on the right (COR); the arrow is its next push.",
    ),
    Stop(
        Place(2, 0),
        "A crossing row",
        "After this row R1-R3 and L3-L1 change places, R1-R3 in front. The half behind needs more yarn, so the row is "
        "knit piece by piece: that is bridging.",
    ),
    Stop(
        Place(2, 0),
        "Holding",
        "Push out to holding position (▼) what must not knit yet. It stands out towards you, and the carriage passes "
        "over it. Then knit L6-L4, the plain fabric beside the cable: a bridge.",
    ),
    Stop(
        Place(2, 2),
        "Backing up",
        "The bridge has 1 row. The carriage now stands over the half to be knit next: hold the bridge and take the "
        "carriage back. Over held needles it knits nothing; the yarn (●) stays where it lies.",
    ),
    Stop(
        Place(2, 4),
        "Larger loops",
        "Bring L3-L1 back to upper working (▲), turn the dial to SS 9, and knit just these three. Larger loops give the "
        "yarn the crossing needs; behind the other half nobody sees them.",
    ),
    Stop(
        Place(2, 9),
        "On to the edge",
        "The enlarged loops are O now. Held and backed up again, bring back the rest and knit to the edge at SS 5. Every "
        "needle has its one row.",
    ),
    Stop(
        Place(2, 12),
        "Crossing",
        "Lift both halves on transfer tools. The half put back FIRST lies on the knit side, away from you, and shows: "
        "R1-R3, on L3-L1. The other goes behind. Push all six out, so that they knit safely.",
    ),
    Stop(
        Place(3, 0),
        "Crossed",
        "The large loops hang on R1-R3 now, behind. Plain rows follow, one key a row; before the next crossing you are "
        "called.",
    ),
)


@lru_cache(maxsize=1)
def working() -> Working:
    return Working(PLAN)


def view(stop: Stop) -> View:
    """The bed at a stop, with the moves of its step."""
    knitting = Knitting(working(), stop.at)
    row, step = knitting.row, knitting.step
    assert row is not None and step is not None
    moves = knitting.moves[knitting.place.done : step.last]
    return View(knitting.bed, moves, row.crossed, row.size)
