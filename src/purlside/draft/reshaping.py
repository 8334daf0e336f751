"""Cables moved, widened, mirrored, retimed, as one: each function gives them as they are after, those given are untouched.

Cables are seen as strands between *cuts*, the places where a half begins or
ends; what is laid as one motif shares cuts between its crossings, so what
changes a strand changes every crossing that uses it. Places are needle places
of the bed (R1 = 0). Where a change would go off every bed the cables come back as they were.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import lcm

from purlside.bed.needles import MOST_A_SIDE, Crossing, Needle, Span
from purlside.plan.plan import MOST_ROWS, Cable

Cables = tuple[Cable, ...]


def span(cables: Sequence[Cable]) -> Span:
    """The needles they take, from the outermost on either side."""
    crossings = [c for cable in cables for c in cable.crossings]
    return Span(min(c.span.left for c in crossings), max(c.span.right for c in crossings))


def moved(cables: Cables, needles: int = 0, rows: int = 0) -> Cables:
    """Shifted to the right at the bed (negative: left) and up; they stop at the ends of any bed, and at row 1."""
    taken = span(cables)
    needles = max(-MOST_A_SIDE - int(taken.left), min(needles, MOST_A_SIDE - 1 - int(taken.right)))
    first, last = min(c.first_row for c in cables), max(c.first_row for c in cables)
    rows = max(1 - first, min(rows, MOST_ROWS - last))
    placed = _placed(cables, lambda place: place + needles)
    return tuple(replace(cable, first_row=cable.first_row + rows) for cable in placed)


def widened(cables: Cables, by: int = 1) -> Cables:
    """Every strand wider by ``by`` stitches (negative: narrower, to 1 at least); the middle stays where it is.

    Gaps between halves, over needles out of work, keep their needles. A strand
    that travels over the ground gets wider itself, its steps stay.
    """
    if travels(cables):
        return _strand_widened(cables, by)
    halves = [half for cable in cables for c in cable.crossings for half in (c.front, c.back)]
    cuts = sorted({edge for half in halves for edge in (int(half.left), int(half.right) + 1)})
    covered = {int(n) for half in halves for n in half}
    at = [0]
    for left, right in pairwise(cuts):
        at.append(at[-1] + (max(1, right - left + by) if left in covered else right - left))
    middle = len(cuts) // 2
    shift = cuts[middle] - at[middle]
    new = dict(zip(cuts, (place + shift for place in at), strict=True))
    if new[cuts[0]] < -MOST_A_SIDE or new[cuts[-1]] > MOST_A_SIDE:
        return cables
    return _with(cables, lambda half: Span(Needle(new[int(half.left)]), Needle(new[int(half.right) + 1] - 1)))


def travels(cables: Sequence[Cable]) -> bool:
    """Whether they are one strand that goes over the ground, each crossing beginning where the one before ended."""
    if len(cables) != 1 or len(cables[0].crossings) < 2:
        return False
    crossings = cables[0].crossings
    follows = all(a.landing()[0] == tuple(b.front) for a, b in pairwise(crossings))
    return follows and len({(c.span.left, c.span.right) for c in crossings}) > 1


def _strand_widened(cables: Cables, by: int) -> Cables:
    def wider(crossing: Crossing) -> Crossing:
        front, back = crossing.front, crossing.back
        grown = max(1, len(front) + by) - len(front)
        new = Span(front.left, Needle(front.right + grown))
        if back.left > front.right:
            back = Span(Needle(back.left + grown), Needle(back.right + grown))
        return Crossing(new, back)

    (cable,) = cables
    crossings = tuple(map(wider, cable.crossings))
    if max(c.span.right for c in crossings) >= MOST_A_SIDE:
        return cables
    return (_crossed(cable, crossings),)


def half_widened(cables: Cables, front: bool, by: int = 1) -> Cables:
    """Only the half in front (or behind) wider, outwards. Cables of more than one crossing come back as they were."""
    if len(cables) != 1 or len(cables[0].crossings) != 1:
        return cables
    (crossing,) = cables[0].crossings
    half, other = (crossing.front, crossing.back) if front else (crossing.back, crossing.front)
    if half.left < other.left:
        left = min(int(half.right), int(half.left) - by)
        half = half if left < -MOST_A_SIDE else Span(Needle(left), half.right)
    else:
        right = max(int(half.left), int(half.right) + by)
        half = half if right >= MOST_A_SIDE else Span(half.left, Needle(right))
    return (_crossed(cables[0], (Crossing(half, other) if front else Crossing(other, half),)),)


def turned(cables: Cables) -> Cables:
    """The other half in front, in each crossing: a right cross becomes a left cross."""
    return tuple(_crossed(cable, tuple(c.other_way for c in cable.crossings)) for cable in cables)


def mirrored(cables: Cables, panel: Span) -> Cables:
    """The mirror image across the panel's middle: its place and, as in a mirror, the way it crosses."""
    both = int(panel.left) + int(panel.right)
    taken = span(cables)
    if not all(-MOST_A_SIDE <= both - int(edge) < MOST_A_SIDE for edge in (taken.left, taken.right)):
        return cables
    return _placed(cables, lambda place: both - place)


# --- when -----------------------------------------------------------------------


def step(cables: Sequence[Cable]) -> int | None:
    """Rows from one crossing row of theirs to the next; None where each crosses once."""
    return min((cable.every for cable in cables if cable.every is not None), default=None)


def turns(cables: Sequence[Cable]) -> int:
    """Crossing rows in one whole repeat of theirs."""
    base = step(cables)
    return 1 if base is None else lcm(*(len(c.crossings) * max(1, (c.every or base) // base) for c in cables))


def crossing_rows(cables: Sequence[Cable], rows: int) -> int:
    """How many crossing rows they have, all together, in a panel of ``rows``."""
    base, first = step(cables), min(c.first_row for c in cables)
    if base is None or first > rows:
        return 1 if first <= rows else 0
    last = max(
        c.first_row + (min((rows - c.first_row) // c.every, (c.times or MOST_ROWS) - 1) * c.every if c.every else 0)
        for c in cables
        if c.first_row <= rows
    )
    return (last - first) // base + 1


def whole(cables: Sequence[Cable], rows: int) -> int:
    """The most crossing rows that are whole repeats and end before a panel of ``rows`` does; at least one repeat's."""
    base, each = step(cables), turns(cables)
    if base is None:
        return 1
    fits = (rows - 1 - min(c.first_row for c in cables)) // base + 1
    return max(each, fits // each * each)


def retimed(cables: Cables, every: int) -> Cables:
    """So many rows from one crossing row to the next; those that begin later, or come less often, keep their share."""
    base, first = step(cables), min(c.first_row for c in cables)
    if base is None:
        return tuple(replace(cable, every=every) for cable in cables)
    return tuple(
        replace(
            cable,
            first_row=min(first + (cable.first_row - first) * every // base, MOST_ROWS),
            every=None if cable.every is None else min(max(1, cable.every * every // base), MOST_ROWS),
        )
        for cable in cables
    )


def counted(cables: Cables, count: int) -> Cables:
    """With so many crossing rows, all together; each at least once."""
    base, first = step(cables), min(c.first_row for c in cables)
    if base is None:
        return cables
    return tuple(
        replace(cable, times=max(1, -(-(count - (cable.first_row - first) // base) // (cable.every // base))))
        if cable.every is not None
        else cable
        for cable in cables
    )


# --- places ---------------------------------------------------------------------


def _placed(cables: Cables, place: Callable[[int], int]) -> Cables:
    return _with(cables, lambda half: Span(*map(Needle, sorted((place(int(half.left)), place(int(half.right)))))))


def _with(cables: Cables, put: Callable[[Span], Span]) -> Cables:
    return tuple(
        _crossed(cable, tuple(Crossing(put(c.front), put(c.back)) for c in cable.crossings)) for cable in cables
    )


def _crossed(cable: Cable, crossings: tuple[Crossing, ...]) -> Cable:
    """The cable with other crossings, written as one or as a list as it was."""
    return replace(cable, cross=crossings[0] if isinstance(cable.cross, Crossing) else crossings)
