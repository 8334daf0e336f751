"""The passes as comma separated values: one line a move, each kind of row once from each side it begins on."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import StringIO

from purlside.bed.bed import Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return, Weights
from purlside.bed.needles import Needle, Side, spans
from purlside.bed.transfers import Cross
from purlside.figures.whole import Asked
from purlside.plan.plan import Plan
from purlside.rows.row import Row, Tally
from purlside.rows.steps import steps
from purlside.rows.working import Working
from purlside.sheet.crossings import UNSET, crossing_kinds

HEAD = (
    "kind",
    "carriage",
    "first_row",
    "times",
    "step",
    "do",
    "needles",
    "toward",
    "beyond",
    "size",
    "front",
    "words",
)


def passes_csv(plan: Plan, cable: int | None = None, asked: Asked | None = None) -> str:
    """Plain rows by size, then the kinds of crossing rows by letter; the row calendar is not in it.

    ``needles`` are spans in bed order with a space between, ``toward`` and
    ``beyond`` are as in a pass, ``times`` is how many rows begin on that side (0: none in this plan).
    No cell begins with text of the plan, so none can be a formula.
    """
    working = Working(plan)
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    if cable is None:
        for tally in sorted(working.calendar.kinds().values(), key=lambda tally: tally.first):
            if not tally.row.crossed:
                writer.writerows(_lines(working, "plain", replace(tally.row, told=(), weights=False), tally))
    for found in crossing_kinds(working, cable):
        for side in (Side.RIGHT, Side.LEFT):
            writer.writerows(_lines(working, found.letter, found.row(working, side), found.tallies.get(side)))
    return out.getvalue()


def _lines(working: Working, kind: str, row: Row, tally: Tally | None) -> Iterator[tuple[str | int, ...]]:
    first, times = (tally.first, tally.count) if tally else ("", 0)
    dial = row.size
    for i, step in enumerate(steps(working.moves_of(row, UNSET)), 1):
        for move in step.moves:
            dial = move.size if isinstance(move, Dial) else dial
            yield (kind, row.side.carriage, first, times, i, *_move(move, dial), move.words(working.in_work))


def _move(move: Move, dial: float) -> tuple[str, str, str, str, str, str]:
    """do, needles, toward, beyond, size, front."""
    match move:
        case Dial(size):
            return "dial", "", "", "", f"{size:g}", ""
        case Hold(needles):
            return "hold", _spans(needles), "", "", "", ""
        case Return(needles):
            return "return", _spans(needles), "", "", "", ""
        case Knit(toward, beyond, needles):
            return "knit", _spans(needles), str(toward), str(beyond), f"{dial:g}", ""
        case BackUp(toward, beyond):
            return "back-up", "", str(toward), str(beyond), "", ""
        case ByHand(needles):
            return "by-hand", _spans(needles), "", "", "", ""
        case Cross(_, crossing):
            return "cross", _spans(crossing.needles), "", "", "", str(crossing.front)
        case Weights(needles):
            return "weights", _spans(needles), "", "", "", ""
        case _:
            return "tell", "", "", "", "", ""


def _spans(needles: Iterable[Needle]) -> str:
    return " ".join(map(str, spans(needles)))
