"""Cables moved, widened, mirrored: each function gives the cable as it is after, the one given is untouched.

A cable is seen as strands between *cuts*, the places where a half begins or
ends; plaits and waves share cuts between their crossings, so what changes a
strand changes every crossing that uses it. Places are needle places of the bed
(R1 = 0).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from purlside.bed.needles import MOST_A_SIDE, Crossing, Needle, Span
from purlside.plan.plan import MOST_ROWS, Cable


def span(cable: Cable) -> Span:
    """The needles of a cable, from its outermost on either side."""
    return Span(min(c.span.left for c in cable.crossings), max(c.span.right for c in cable.crossings))


def moved(cable: Cable, needles: int = 0, rows: int = 0) -> Cable:
    """Shifted to the right at the bed (negative: left) and up; it stops at the ends of any bed, and at row 1."""
    taken = span(cable)
    needles = max(-MOST_A_SIDE - int(taken.left), min(needles, MOST_A_SIDE - 1 - int(taken.right)))
    first_row = max(1, min(cable.first_row + rows, MOST_ROWS))
    return replace(_with(cable, lambda place: place + needles), first_row=first_row)


def widened(cable: Cable, by: int = 1) -> Cable:
    """Every strand wider by ``by`` stitches (negative: narrower, to 1 at least); its middle stays where it is.

    Gaps between halves, over needles out of work, keep their needles.
    """
    cuts = sorted({edge for c in cable.crossings for half in (c.front, c.back) for edge in _edges(half)})
    covered = {int(n) for c in cable.crossings for half in (c.front, c.back) for n in half}
    at = [0]
    for left, right in pairwise(cuts):
        at.append(at[-1] + (max(1, right - left + by) if left in covered else right - left))
    middle = len(cuts) // 2
    shift = cuts[middle] - at[middle]
    new = dict(zip(cuts, (place + shift for place in at), strict=True))
    if new[cuts[0]] < -MOST_A_SIDE or new[cuts[-1]] > MOST_A_SIDE:
        return cable
    return _with_cuts(cable, new)


def half_widened(cable: Cable, front: bool, by: int = 1) -> Cable:
    """Only the half in front (or behind) of each crossing wider, outwards. A cable of one crossing, or none changed."""
    if len(cable.crossings) != 1:
        return cable
    (crossing,) = cable.crossings
    half, other = (crossing.front, crossing.back) if front else (crossing.back, crossing.front)
    if half.left < other.left:
        left = min(int(half.right), int(half.left) - by)
        half = half if left < -MOST_A_SIDE else Span(Needle(left), half.right)
    else:
        right = max(int(half.left), int(half.right) + by)
        half = half if right >= MOST_A_SIDE else Span(half.left, Needle(right))
    new = Crossing(half, other) if front else Crossing(other, half)
    return _crossed(cable, (new,))


def turned(cable: Cable) -> Cable:
    """The other half in front, in each crossing: a right cross becomes a left cross."""
    return _crossed(cable, tuple(Crossing(c.back, c.front) for c in cable.crossings))


def mirrored(cable: Cable, panel: Span) -> Cable:
    """The mirror image across the panel's middle: its place and, as in a mirror, the way it crosses."""
    both = int(panel.left) + int(panel.right)
    if not all(-MOST_A_SIDE <= both - int(edge) < MOST_A_SIDE for edge in (span(cable).left, span(cable).right)):
        return cable
    return _with(cable, lambda place: both - place)


def _edges(half: Span) -> tuple[int, int]:
    return int(half.left), int(half.right) + 1


def _with(cable: Cable, place: Callable[[int], int]) -> Cable:
    def put(half: Span) -> Span:
        return Span(*map(Needle, sorted((place(int(half.left)), place(int(half.right))))))

    return _crossed(cable, tuple(Crossing(put(c.front), put(c.back)) for c in cable.crossings))


def _with_cuts(cable: Cable, new: dict[int, int]) -> Cable:
    def put(half: Span) -> Span:
        left, right = _edges(half)
        return Span(Needle(new[left]), Needle(new[right] - 1))

    return _crossed(cable, tuple(Crossing(put(c.front), put(c.back)) for c in cable.crossings))


def _crossed(cable: Cable, crossings: tuple[Crossing, ...]) -> Cable:
    """The cable with other crossings, written as one or as a list as it was."""
    cross = crossings[0] if isinstance(cable.cross, Crossing) else crossings
    return replace(cable, cross=cross)
