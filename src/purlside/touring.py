"""The tour: a crossing row of a small plan, knit card by card on the real bed, each with what it teaches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from purlside import strip
from purlside.knitting import Knitting, Place
from purlside.plan import Plan
from purlside.working import Working

PLAN = {
    "format": 1,
    "title": "The tour",
    "machine": {"pitch_mm": 4.5, "carriage": "right"},
    "panel": {"needles": "L6-R6", "rows": 3, "stitch_size": 5},
    "cable": [
        {
            "name": "rope",
            "cross": "R1-R3 over L3-L1",
            "first_row": 2,
            "ease": "enlarge",
            "enlarged_size": 9.0,
        }
    ],
}
"""A panel of ours, twelve needles wide, with one 3 over 3 crossing after its second row."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop: where in the plan, a heading, and what to say."""

    at: Place
    heading: str
    text: str


STOPS = (
    Stop(
        Place(1, 0),
        "The needle bed",
        "This is your needle bed as you sit at it: the rail at the top, each needle's mark in the lane where it stands. "
        "All twelve are in working position. The carriage stands on the right (COR). An arrow shows where the next push "
        "goes: a plain row to the left.",
    ),
    Stop(
        Place(2, 0),
        "A crossing row",
        "The carriage is on the left now, the row is knit. After the next row R1-R3 and L3-L1 change places, R1-R3 in "
        "front. The half that goes behind needs more yarn, so this row is knit piece by piece. That is bridging.",
    ),
    Stop(
        Place(2, 0),
        "Holding",
        "First push out to holding position (▼) what must not knit yet: both halves and all to the right of them. They "
        "stand out towards you, and the carriage passes over them. Then knit the bridge, L6-L4, the plain fabric beside "
        "the cable.",
    ),
    Stop(
        Place(2, 2),
        "Backing up",
        "The bridge is knit: rows says 1 there. The carriage now stands over the half it must knit next. Hold the bridge "
        "and take the carriage back: over held needles it knits nothing. The yarn stays where it lies (●).",
    ),
    Stop(
        Place(2, 4),
        "The half behind, larger",
        "Bring L3-L1 back to upper working (▲), turn the dial to SS 9, and knit just these three. Larger loops give the "
        "yarn the crossing needs, and behind the other half nobody sees them.",
    ),
    Stop(
        Place(2, 9),
        "On to the end",
        "The enlarged loops are O now. Held again, backed up again: bring back all the rest and knit to the edge at SS 5. "
        "Every needle is knit once in this row, whatever the number of passes.",
    ),
    Stop(
        Place(2, 12),
        "Crossing",
        "The row is complete. Lift both halves on transfer tools. The half put back FIRST lies on the knit side, away "
        "from you, and shows: R1-R3, on L3-L1. The other half goes behind it. Push all six needles out, so that they "
        "knit safely.",
    ),
    Stop(
        Place(3, 0),
        "Crossed",
        "The large loops have moved to R1-R3: they lie behind. The rest is plain rows to the next crossing, one key a "
        "row, and you are called before it comes. That was the tour.",
    ),
)


@lru_cache(maxsize=1)
def working() -> Working:
    return Working(Plan.model_validate(PLAN))


def view(stop: Stop) -> strip.View:
    """The bed at a stop, with the moves of its card."""
    knitting = Knitting(working(), stop.at)
    row, card = knitting.row, knitting.card
    assert row is not None and card is not None
    moves = knitting.moves[knitting.place.done : card.last]
    return strip.View(knitting.bed, moves, row.crossed, row.size)
