"""What each row costs, from the moves really made in it: seconds, loops, yarn, movements of the carriage, pushes.

Rows are walked one by one; rows that are made by the same moves share a value.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return, Weights
from purlside.bed.transfers import CastOn, Wrap
from purlside.ease.reach import by_hand_loop

if TYPE_CHECKING:
    from purlside.bed.bed import Move
    from purlside.bed.rates import Rates
    from purlside.ease.loops import LoopLine
    from purlside.rows.row import Row
    from purlside.rows.working import Working


@dataclass(frozen=True, slots=True)
class RowCost:
    """One row: ``seconds`` without those for weights, loops formed, mm of yarn in them, carriage movements (passes and
    back-ups), and needles held and returned: how often a group is pushed, and how many needles in all."""

    seconds: float
    weights_s: float
    loops: int
    yarn_mm: float
    movements: int
    groups: int
    pushed: int


def row_cost(moves: tuple[Move, ...], dial: float, line: LoopLine, by_hand_mm: float, rates: Rates) -> RowCost:
    """The cost of a row made by ``moves``, begun with the dial at ``dial``."""
    seconds = weights = yarn = 0.0
    loops = movements = groups = pushed = 0
    for move in moves:
        if isinstance(move, Weights):
            weights += move.seconds(rates)
            continue
        seconds += move.seconds(rates)
        match move:
            case Dial():
                dial = move.size
            case Knit():
                movements += 1
                loops += len(move.needles)
                yarn += len(move.needles) * line(dial)
            case BackUp():
                movements += 1
            case ByHand():
                loops += len(move.needles)
                yarn += len(move.needles) * by_hand_mm
            case CastOn() | Wrap():
                # Loops laid over a needle by hand, about as long as those of the row.
                loops += len(move.needles)
                yarn += len(move.needles) * line(dial)
            case Hold() | Return():
                groups += 1
                pushed += len(move.needles)
    return RowCost(seconds, weights, loops, yarn, movements, groups, pushed)


def costs(working: Working, line: LoopLine, rates: Rates) -> Iterator[tuple[Row, RowCost]]:
    """Every row in knitting order, and what it costs."""
    by_hand = by_hand_loop(line, working.plan.machine.dial)
    known: dict[tuple[object, ...], RowCost] = {}
    dial = working.dial_before(1)
    for number in range(1, working.calendar.rows + 1):
        row = working.calendar.row(number)
        alike = (row.kind, dial, row.weights)
        # What is wrapped at a turn goes by what was wrapped before.
        if row.turned or alike not in known:
            known[alike] = row_cost(working.moves_of(row, dial), dial, line, by_hand, rates)
        yield row, known[alike]
        dial = working.dial_after(row)
