"""From demand to moves: one row in the fewest carriage movements.

The needles the carriage knits fall into *pieces*: a new piece begins where the
stitch size changes or by-hand needles lie between. The yarn crosses from one
piece to the next exactly once, with a back-up. Within a piece the rows beyond
the first are walked as turns: the carriage turns back at the far end of each
run of needles that wants more rows, and forward again at its near end.

Which turn comes first does not change the number of movements, as each
boundary is still crossed the same number of times. Taking both kinds of end in
the order of travel is always possible (no run ends before it began) and pushes
the fewest groups of needles, then the fewest needles: equal turns follow each
other, and what is held never shrinks to grow again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return
from purlside.bed.needles import Needle, Side, Span


@dataclass(frozen=True, slots=True)
class _Pass:
    """Knit ``needles`` (in the order knit) at ``size``; by-hand needles follow."""

    toward: Side
    needles: tuple[Needle, ...]
    size: float
    by_hand_after: tuple[Needle, ...] = ()
    back_up_after: bool = False


def _turns(rows: list[int]) -> list[tuple[int, int]]:
    """The turns of one piece, as (far end, near end) indices in the order of travel.

    ``rows`` are those of the piece's needles in the order of travel.
    """
    far: list[int] = []
    near: list[int] = []
    before = 1
    for i, asked in enumerate([*rows, 1]):
        near.extend([i] * ((asked - before) // 2))
        far.extend([i - 1] * ((before - asked) // 2))
        before = asked
    return list(zip(far, near, strict=True))


def _passes(demand: Demand, start: Side) -> tuple[tuple[Needle, ...], list[_Pass]]:
    """By-hand needles to knit before the first pass, and the passes in order."""
    toward = start.other
    order = range(len(demand.needles)) if toward is Side.RIGHT else range(len(demand.needles) - 1, -1, -1)
    pieces: list[list[int]] = []
    hand_before: list[tuple[Needle, ...]] = []
    waiting: list[Needle] = []
    for i in order:
        if demand.by_hand[i]:
            waiting.append(demand.needles[i])
        elif not pieces or waiting or demand.sizes[i] != demand.sizes[pieces[-1][-1]]:
            pieces.append([i])
            hand_before.append(tuple(sorted(waiting)))
            waiting = []
        else:
            pieces[-1].append(i)
    hand_after = [*hand_before[1:], tuple(sorted(waiting))]

    passes: list[_Pass] = []
    for number, piece in enumerate(pieces):
        needles = [demand.needles[i] for i in piece]
        size = demand.sizes[piece[0]]
        at = 0
        for far, near in _turns([demand.rows[i] for i in piece]):
            passes.append(_Pass(toward, tuple(needles[at : far + 1]), size))
            passes.append(_Pass(start, tuple(reversed(needles[near : far + 1])), size))
            at = near
        last = number == len(pieces) - 1
        passes.append(_Pass(toward, tuple(needles[at:]), size, hand_after[number], back_up_after=not last))
    return hand_before[0], passes


@lru_cache(maxsize=4096)
def bridge(demand: Demand, panel: Span, start: Side, dial: float) -> tuple[Move, ...]:
    """The moves that knit one row.

    ``start`` is the side the carriage stands on, outside ``panel``; it ends on
    the other. ``dial`` is the size set before. During each pass every needle in
    work that it does not knit is held, since carriages are wide; at the end
    none is. Movements: :func:`purlside.bed.demand.fewest_movements`.
    """
    hand_first, passes = _passes(demand, start)
    return tuple(_moves(demand, panel, start, dial, hand_first, passes))


def _moves(
    demand: Demand,
    panel: Span,
    start: Side,
    dial: float,
    hand_first: tuple[Needle, ...],
    passes: list[_Pass],
) -> Iterator[Move]:
    held: set[Needle] = set()

    def push(wanted: set[Needle]) -> Iterator[Move]:
        """Hold and return needles until just ``wanted`` are held."""
        nonlocal held
        if out := wanted - held:
            yield Hold(tuple(sorted(out)))
        if back := held - wanted:
            yield Return(tuple(sorted(back)))
        held = wanted

    every = set(demand.needles)
    if hand_first:
        yield ByHand(hand_first)
    for number, knit in enumerate(passes):
        last = number == len(passes) - 1
        if knit.size != dial:
            yield Dial(knit.size)
            dial = knit.size
        yield from push(every - set(knit.needles))
        yield Knit(knit.toward, panel.edge(knit.toward) if last else knit.needles[-1], knit.needles)
        if knit.by_hand_after:
            yield ByHand(knit.by_hand_after)
            held -= set(knit.by_hand_after)
        if knit.back_up_after:
            yield from push(held | set(knit.needles) | set(knit.by_hand_after))
            yield BackUp(knit.toward.other, knit.needles[-1])
    yield from push(set())
