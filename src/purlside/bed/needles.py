"""Where: needle addresses and positions, spans of needles, crossings, sides.

Needles are counted from the centre of the bed, ``L1, L2, …`` to the left and
``R1, R2, …`` to the right, and there is no needle zero. A :class:`Needle` is
therefore an integer *place* with ``R1 = 0`` and ``L1 = -1``: neighbours on the
metal are neighbours in arithmetic, and sorting gives bed order.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import StrEnum
from functools import cached_property

from purlside.values import Value

MOST_A_SIDE = 250
"""Needles on one side of the centre. A limit of ours: the widest hand-operated beds have about 250 in all."""

_NEEDLE = re.compile(r"([LR])([1-9][0-9]*)")


def quoted(text: str) -> str:
    """Text from outside as a message shows it: in quotes, escaped, cut with a sign."""
    return repr(text if len(text) <= 60 else text[:59] + "…")


class Side(StrEnum):
    """An end of the bed, as the person at the bed sees it."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Side:
        return Side.LEFT if self is Side.RIGHT else Side.RIGHT

    @property
    def carriage(self) -> str:
        """The trade's word for a carriage standing there."""
        return "COL" if self is Side.LEFT else "COR"

    @property
    def arrow(self) -> str:
        return "◄" if self is Side.LEFT else "►"

    @property
    def step(self) -> int:
        """How a place changes on the way towards this side."""
        return -1 if self is Side.LEFT else 1


class Position(StrEnum):
    """From the rail towards the knitter."""

    NWP = "nwp"
    WP = "wp"
    UWP = "uwp"
    HP = "hp"

    @property
    def words(self) -> str:
        return {"nwp": "non-working", "wp": "working", "uwp": "upper working", "hp": "holding"}[self.value]


class Needle(int):
    """One needle. ``Needle(0)`` is R1, ``Needle(-1)`` is L1."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> Needle:
        """``"L3"`` → the third needle left of the centre. Raises ValueError."""
        match = _NEEDLE.fullmatch(text.strip())
        if not match:
            raise ValueError(f"{quoted(text)} is not a needle; write a needle as L3 or R12, there is no zero")
        if len(match[2]) > len(str(MOST_A_SIDE)) or (number := int(match[2])) > MOST_A_SIDE:
            raise ValueError(
                f"{match[0][:12]} is off every bed; at most {MOST_A_SIDE} needles on each side of the centre"
            )
        return cls(-number if match[1] == "L" else number - 1)

    def __str__(self) -> str:
        return f"L{-int(self)}" if self < 0 else f"R{int(self) + 1}"

    __repr__ = __str__

    def __format__(self, spec: str) -> str:
        return format(str(self), spec)


class Span(Value):
    """Neighbouring needles from ``left`` to ``right``, both counted."""

    left: Needle
    right: Needle

    def __post_init__(self) -> None:
        if self.left > self.right:
            raise ValueError(f"a span is written left to right: {self.right}-{self.left}, not {self.left}-{self.right}")

    @classmethod
    def parse(cls, text: str) -> Span:
        """``"L24-R24"`` or ``"L3"``. Raises ValueError."""
        ends = text.split("-")
        if len(ends) > 2:
            raise ValueError(f"{quoted(text)} is not a span; write it as L24-R24, or L3 for one needle")
        left, right = Needle.parse(ends[0]), Needle.parse(ends[-1])
        return cls(left, right)

    def __str__(self) -> str:
        return str(self.left) if self.left == self.right else f"{self.left}-{self.right}"

    def __len__(self) -> int:
        return int(self.right) - int(self.left) + 1

    def __iter__(self) -> Iterator[Needle]:
        return map(Needle, range(int(self.left), int(self.right) + 1))

    def __contains__(self, needle: int) -> bool:
        return self.left <= needle <= self.right

    def edge(self, side: Side) -> Needle:
        """The outermost needle on that side."""
        return self.left if side is Side.LEFT else self.right

    def overlaps(self, other: Span) -> bool:
        return self.left <= other.right and other.left <= self.right


class Crossing(Value):
    """Two neighbouring blocks that change places.

    ``front`` is placed back first and shows on the knit side; ``back`` lies
    behind it. The blocks may differ in width and do not overlap.
    """

    front: Span
    back: Span

    @cached_property
    def _ends(self) -> tuple[int, int, int, int]:
        return int(self.front.left), int(self.front.right), int(self.back.left), int(self.back.right)

    @cached_property
    def _hashed(self) -> int:
        return hash(self._ends)

    def __eq__(self, other: object) -> bool:
        # Crossings are compared and looked up for each step of each row: by four numbers, not by two spans.
        return self._ends == other._ends if isinstance(other, Crossing) else NotImplemented

    def __hash__(self) -> int:
        return self._hashed

    def __post_init__(self) -> None:
        if self.front.overlaps(self.back):
            raise ValueError(f"the two halves share needles: {self.front} and {self.back}")

    @classmethod
    def parse(cls, text: str) -> Crossing:
        """``"R1-R3 over L3-L1"``. Raises ValueError."""
        halves = re.split(r"\s+over\s+", text.strip())
        if len(halves) != 2:
            raise ValueError(f"{quoted(text)} is not a crossing; write it as R1-R3 over L3-L1, the half in front first")
        return cls(Span.parse(halves[0]), Span.parse(halves[1]))

    def __str__(self) -> str:
        return f"{self.front} over {self.back}"

    @property
    def front_side(self) -> Side:
        """Which half, left or right at the bed, is placed in front."""
        return Side.LEFT if self.front.left < self.back.left else Side.RIGHT

    @property
    def other_way(self) -> Crossing:
        """The same two blocks with the other one in front; each lands on the same needles."""
        return Crossing(self.back, self.front)

    @cached_property
    def span(self) -> Span:
        """From the outermost needle of one half to that of the other."""
        return Span(min(self.front.left, self.back.left), max(self.front.right, self.back.right))

    @cached_property
    def needles(self) -> tuple[Needle, ...]:
        """The needles of both halves in bed order."""
        return tuple(sorted((*self.front, *self.back)))

    @property
    def gap(self) -> tuple[Needle, ...]:
        """Needles that lie between the two halves and belong to neither."""
        inner = (self.front, self.back) if self.front_side is Side.LEFT else (self.back, self.front)
        return tuple(Needle(n) for n in range(int(inner[0].right) + 1, int(inner[1].left)))

    @property
    def words(self) -> str:
        """``"3 over 3"``, the half in front first."""
        return f"{len(self.front)} over {len(self.back)}"

    def landing(self) -> tuple[tuple[Needle, ...], tuple[Needle, ...]]:
        """Where the stitches of (front, back) go, each in bed order.

        The two blocks change places: together they fill the same needles.
        """
        needles = self.needles
        if self.front_side is Side.RIGHT:
            return needles[: len(self.front)], needles[len(self.front) :]
        return needles[len(self.back) :], needles[: len(self.back)]


def spans(needles: Iterable[int], within: Iterable[int] | None = None) -> list[Span]:
    """Gather needles into the fewest spans, in bed order.

    ``within`` names the needles in work, in bed order: two needles with only
    out-of-work needles between them then belong to one span. One that is not
    among them, as it came in later, goes by its number.
    """
    ordered = sorted(set(needles))
    place = {int(n): i for i, n in enumerate(within)} if within is not None else None
    found: list[Span] = []
    start = previous = None
    for needle in ordered:
        if start is None or previous is None:
            start = needle
        else:
            known = place is not None and needle in place and previous in place
            beside = place[needle] - place[previous] == 1 if place and known else needle - previous == 1
            if not beside:
                found.append(Span(Needle(start), Needle(previous)))
                start = needle
        previous = needle
    if start is not None and previous is not None:
        found.append(Span(Needle(start), Needle(previous)))
    return found


def spans_text(needles: Iterable[int]) -> str:
    """``"L3-L1 R2"``, for messages and logs."""
    return " ".join(map(str, spans(needles)))


def needles_text(needles: Iterable[int], within: Iterable[int] | None = None, *, count: bool = True) -> str:
    """Ranges first named, then counted: ``"R24–R4, R1 (22 needles)"``.

    With ``within``, the needles in work, a range runs over out-of-work needles and names them: ``"L30–R6, not R2"``.
    """
    gathered, work = list(needles), None if within is None else list(within)
    found = spans(gathered, work)
    ranges = ", ".join(str(span).replace("-", "–") for span in found)
    if work is not None and (out := {n for span in found for n in span}.difference(work, gathered)):
        # A needle pusher would take them along.
        ranges += f", not {', '.join(map(str, sorted(out)))}"
    if not count:
        return ranges
    return f"{ranges} ({len(gathered)} needle{'s' if len(gathered) != 1 else ''})"


def listed(needles: Iterable[Needle]) -> list[str]:
    """Each needle's name, in the order given."""
    return [str(n) for n in needles]


def numbered(
    first: Iterable[int], seen: Sequence[int], at: Callable[[int, str], tuple[float, float]], every: int = 5
) -> Iterator[tuple[int, str, float]]:
    """The needles a drawing names, as many as find room: ``first``, then the centre and every fifth of those ``seen``.

    ``at`` says from where to where a name would stand, the gap it wants counted in; (place, name, from where) is given.
    """
    taken: list[tuple[float, float]] = []
    for place in (*first, -1, 0, *(p for p in seen if (p + 1 if p >= 0 else -p) % every == 0)):
        if place not in seen:
            continue
        low, high = at(place, name := str(Needle(place)))
        if not any(low < end and begin < high for begin, end in taken):
            taken.append((low, high))
            yield place, name, low
