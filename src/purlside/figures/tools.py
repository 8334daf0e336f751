"""Transfer tools: which go in which hand for a crossing, and what is missing.

Both halves of a crossing are lifted at once, so each hand wants as many prongs
as its half has stitches, on one tool or on two held together. A prong too many
may stay empty, at the outer end. Common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from purlside.bed.needles import Crossing, Side
from purlside.plan.plan import Plan
from purlside.plan.problems import Problem
from purlside.values import Value

MOST_IN_A_HAND = 2
"""Tools one hand can hold together. Common practice, no source."""

MOST_PRONGS = 9
"""Prongs of the widest tools made, as far as we know; from memory, no source."""


class Hand(Value):
    """What one hand holds: prongs of each tool, the larger first; the half has ``stitches`` stitches."""

    side: Side
    stitches: int
    tools: tuple[int, ...]

    def __str__(self) -> str:
        held = " and ".join(map(str, self.tools))
        together = " held together" if len(self.tools) > 1 else ""
        noun = "prong" if self.tools == (1,) else "prongs"
        return f"{self.side} hand: {held} {noun}{together} for {self.stitches}"


class Lift(Value):
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
        return f"not enough tools for {left} and {right} stitches at once: {self.missing_words}"

    @property
    def missing_words(self) -> str:
        """``"you need two 9-prong tools"``, ``"you need a 4-prong tool and a 3-prong tool"``; empty if none is missing."""
        if not self.missing:
            return ""
        if len(set(self.missing)) < len(self.missing):
            return f"you need two {self.missing[0]}-prong tools"
        return f"you need {' and '.join(f'{_article(prongs)} {prongs}-prong tool' for prongs in self.missing)}"


def _article(number: int) -> str:
    return "an" if number in (8, 11, 18) else "a"


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


def most_lifted(prongs: Sequence[int] | None) -> tuple[tuple[int, int], ...] | None:
    """The widest crossings these tools lift, (narrower half, wider half), the most even first; None: not known.

    Every crossing they lift is one of these or has both halves no wider. Empty where they lift none.
    """
    if prongs is None:
        return None
    found: list[tuple[int, int]] = []
    widest = sum(sorted(prongs)[-MOST_IN_A_HAND:])
    for narrow in range(min(widest, sum(prongs) // 2), 0, -1):
        wide = next((w for w in range(widest, narrow - 1, -1) if _share(narrow, w, prongs) is not None), None)
        if wide is not None and (not found or wide > found[-1][1]):
            found.append((narrow, wide))
    return tuple(found)


def shaping_advice(plan: Plan) -> Iterator[Problem]:
    """Edge stitches moved together that no tool, nor two held together, takes; each width told once."""
    prongs, told = plan.tools.prongs, {1}
    for i, shape in enumerate(plan.shape if prongs is not None else ()):
        if shape.tool not in told and not _sets(shape.tool, Counter(prongs)):
            told.add(shape.tool)
            allowed = "stitches that one tool takes, or two held together"
            yield Problem(("shape", i, "tool"), str(shape.tool), allowed, _wanted(shape.tool, Counter(prongs)))


def _wanted(width: int, drawer: Counter[int]) -> str:
    """The least there is to get so that one hand holds ``width`` prongs: a tool to hold beside another, or two."""
    widest = max(drawer, default=0)
    if width > MOST_IN_A_HAND * MOST_PRONGS:
        return f"two of the widest tools held together take {MOST_IN_A_HAND * MOST_PRONGS}: move fewer stitches"
    more = width - widest
    if more > MOST_PRONGS:
        return f"you need two {-(-width // 2)}-prong tools, held together"
    if not widest:
        return f"you need {_article(more)} {more}-prong tool"
    what = f"another {more}-prong tool" if drawer[more] else f"{_article(more)} {more}-prong tool"
    return f"you need {what}, to hold beside the {widest}"


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
