"""Transfer tools: which go in which hand for a crossing, and what is missing.

Both halves of a crossing are lifted at once, so each hand wants as many prongs
as its half has stitches, on one tool or on two held together. A prong too many
may stay empty, at the outer end. Common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from purlside.bed.needles import Side

if TYPE_CHECKING:
    from purlside.bed.needles import Crossing

MOST_IN_A_HAND = 2
"""Tools one hand can hold together. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Hand:
    """What one hand holds: prongs of each tool, the larger first; the half has ``stitches`` stitches."""

    side: Side
    stitches: int
    tools: tuple[int, ...]

    def __str__(self) -> str:
        held = " and ".join(map(str, self.tools))
        together = " held together" if len(self.tools) > 1 else ""
        noun = "prong" if self.tools == (1,) else "prongs"
        return f"{self.side} hand: {held} {noun}{together} for {self.stitches}"


@dataclass(frozen=True, slots=True)
class Lift:
    """Whether a crossing's two halves can be lifted.

    ``hands`` is (left, right) at the bed where the tools are enough, else
    empty; ``missing`` is prongs of each tool to get then, else empty. Where the
    plan does not list its tools ``checked`` is False and ``missing`` empty.
    """

    crossing: Crossing
    hands: tuple[Hand, ...]
    missing: tuple[int, ...]
    checked: bool = True

    @property
    def words(self) -> str:
        """Which tools each hand takes, or what is missing."""
        left, right = widths(self.crossing)
        if not self.checked:
            noun = "prong" if left == 1 else "prongs"
            return f"wants {left} {noun} in the left hand and {right} in the right; the plan lists no tools"
        if self.hands:
            return "; ".join(map(str, self.hands))
        return f"not enough tools for {left} and {right} stitches at once; missing {self.missing_words}"

    @property
    def missing_words(self) -> str:
        """``"a tool of 4 prongs and a tool of 3 prongs"``; empty where nothing is missing."""
        return " and ".join(f"a tool of {prongs} prong{'s' if prongs > 1 else ''}" for prongs in self.missing)


def widths(crossing: Crossing) -> tuple[int, int]:
    """Stitches of the halves (left, right) at the bed."""
    front, back = len(crossing.front), len(crossing.back)
    return (front, back) if crossing.front_side is Side.LEFT else (back, front)


def lift(crossing: Crossing, prongs: Sequence[int] | None) -> Lift:
    """The tools for one crossing; ``prongs`` has one number a tool, None where they are not known."""
    if prongs is None:
        return Lift(crossing, (), (), checked=False)
    left, right = widths(crossing)
    held = _share(left, right, prongs)
    if held is not None:
        return Lift(crossing, (Hand(Side.LEFT, left, held[0]), Hand(Side.RIGHT, right, held[1])), ())
    return Lift(crossing, (), _missing(left, right, prongs))


def most_lifted(prongs: Sequence[int] | None) -> int | None:
    """The most stitches of both halves together, as even as can be, that these tools lift at once; None: not known."""
    if prongs is None:
        return None
    stitches = 1
    while _share((stitches + 1) // 2, stitches // 2 + 1, prongs) is not None:
        stitches += 1
    return stitches if stitches > 1 else 0


def _sets(width: int, drawer: Counter[int]) -> list[tuple[int, ...]]:
    """Ways to hold ``width`` prongs in one hand, the fewest tools and empty prongs first."""
    sizes = sorted(drawer, reverse=True)
    found: list[tuple[int, ...]] = [(size,) for size in sizes if size >= width]
    for i, large in enumerate(sizes):
        # A pair with a tool that is enough alone only makes the hand fuller.
        found += [
            (large, small)
            for small in sizes[i:]
            if large < width <= large + small and (large != small or drawer[large] >= MOST_IN_A_HAND)
        ]
    return sorted(found, key=lambda tools: (len(tools), sum(tools)))


def _share(left: int, right: int, prongs: Sequence[int]) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """Tools for both hands at once, or None: as few tools as can be, then as few empty prongs."""
    drawer = Counter(prongs)
    pairs = (
        (len(ours) + len(theirs), sum(ours) + sum(theirs), ours, theirs)
        for ours in _sets(left, drawer)
        for theirs in _sets(right, drawer - Counter(ours))
    )
    best = min(pairs, default=None)
    return None if best is None else (best[2], best[3])


def _missing(left: int, right: int, prongs: Sequence[int]) -> tuple[int, ...]:
    """The smallest tool, or else the two tools, that would make the crossing possible."""
    for more in range(1, max(left, right) + 1):
        if _share(left, right, [*prongs, more]) is not None:
            return (more,)
    return tuple(sorted((left, right), reverse=True))
