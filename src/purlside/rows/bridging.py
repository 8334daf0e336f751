"""From demand to moves: one row in the fewest carriage movements.

The needles the carriage knits fall into *pieces*: a new piece begins where the
stitch size changes or by-hand needles lie between. The yarn crosses from one
piece to the next exactly once, with a back-up. Within a piece the rows beyond
the first are walked as turns: the carriage turns back at the far end of each
run of needles that wants more rows, and forward again at its near end.

Which turn comes first does not change the number of movements, as each
boundary is still crossed the same number of times. Taking both kinds of end in
the order of travel is always possible (no run ends before it began) and pushes
the fewest needles and the fewest groups of them: equal turns follow each other,
and what is held never shrinks to grow again.

Where the machine's hold lever is used (``lever``), a last pass that comes
after a turn may be knit with the lever at knit: it takes the held needles ahead
with it. Then what the last turns held ahead is never returned by hand, so in a
row that is one such walk from its edge the turns are taken from the far end.
"""

from __future__ import annotations

from typing import Literal

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Lever, Return
from purlside.bed.needles import Needle, Side, Span
from purlside.values import Value


class _Pass(Value):
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


def _far_end_first(turns: list[tuple[int, int]], rows: list[int]) -> list[tuple[int, int]]:
    """The turns from the far end back, where the yarn can be walked so: no needle between them is knit but once."""
    if turns and min(rows[turns[0][1] : turns[-1][0] + 1]) > 1:
        return turns[::-1]
    return turns


def _passes(demand: Demand, start: Side, release: bool) -> tuple[tuple[Needle, ...], list[_Pass], bool]:
    """By-hand needles to knit before the first pass, the passes in order, and whether the last is knit with hold released."""
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
    released = False
    for number, piece in enumerate(pieces):
        needles = [demand.needles[i] for i in piece]
        size = demand.sizes[piece[0]]
        rows = [demand.rows[i] for i in piece]
        last = number == len(pieces) - 1
        turns = _turns(rows)
        # Stitches knit by hand at the far edge stand in the way of the last pass, and so do those knit before a back-up.
        released = release and last and bool(turns) and not waiting
        if released and len(pieces) == 1:
            turns = _far_end_first(turns, rows)
        at = 0
        for far, near in turns:
            passes.append(_Pass(toward, tuple(needles[at : far + 1]), size))
            passes.append(_Pass(start, tuple(reversed(needles[near : far + 1])), size))
            at = near
        passes.append(_Pass(toward, tuple(needles[at:]), size, hand_after[number], back_up_after=not last))
    return hand_before[0], passes, released


def bridge(
    demand: Demand,
    across: Span,
    start: Side,
    dial: float,
    resting: tuple[Needle, ...] = (),
    lever: Literal["hold", "knit"] | None = None,
) -> tuple[Move, ...]:
    """The moves that knit one row.

    ``start`` is the side the carriage stands on, outside the needles of
    ``demand``; its last pass takes it past the other edge of ``across``. ``dial``
    is the size set before. ``resting`` needles are held before the row and after
    it, and never touched. During each pass every needle in work that it does
    not knit is held, since carriages are wide; at the end only resting ones are.
    ``lever`` is where the hold lever stands, None where it is not used; after the
    row it stands at knit. Movements are the fewest there can be.
    """
    hand_first, passes, released = _passes(demand, start, lever is not None and not resting)
    moves: list[Move] = [ByHand(hand_first)] if hand_first else []
    held: set[Needle] = set()
    holding = lever == "hold"

    def push(wanted: set[Needle]) -> None:
        """Hold and return needles until just ``wanted`` are held."""
        nonlocal held
        if out := wanted - held:
            moves.append(Hold(tuple(sorted(out))))
        if back := held - wanted:
            moves.append(Return(tuple(sorted(back))))
        held = wanted

    def set_lever(*, hold: bool) -> None:
        nonlocal holding
        if lever is not None and hold is not holding:
            moves.append(Lever("hold" if hold else "knit"))
        holding = hold

    every = set(demand.needles)
    for number, knit in enumerate(passes):
        last = number == len(passes) - 1
        if knit.size != dial:
            moves.append(Dial(knit.size))
            dial = knit.size
        if last and released:
            set_lever(hold=False)
            held -= set(knit.needles)
        else:
            push(every - set(knit.needles))
            set_lever(hold=bool(held or resting))
        moves.append(Knit(knit.toward, across.edge(knit.toward) if last else knit.needles[-1], knit.needles))
        if knit.by_hand_after:
            moves.append(ByHand(knit.by_hand_after))
            held -= set(knit.by_hand_after)
        if knit.back_up_after:
            push(held | set(knit.needles) | set(knit.by_hand_after))
            set_lever(hold=True)
            moves.append(BackUp(knit.toward.other, knit.needles[-1]))
    push(set())
    set_lever(hold=False)
    return tuple(moves)
