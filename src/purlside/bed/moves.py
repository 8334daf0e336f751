"""The moves: one thing the knitter does, as a value.

A move prints itself three ways: ``str(move)`` is one line of plain text that
:func:`parse` reads back to the same move, ``move.json()`` is the outside
contract's form, ``move.words()`` is what the knitter is told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from purlside.bed.needles import Crossing, Needle, Side, Span, spans


def size_text(size: float) -> str:
    """A stitch size as a dial shows it: ``5``, ``6⅓``, ``6.25``."""
    whole = int(size)
    part = {1: "⅓", 2: "⅔"}.get(round((size - whole) * 3)) if abs(size * 3 - round(size * 3)) < 0.02 else None
    if part:
        return f"{whole}{part}" if whole else part
    return f"{size:g}"


def number(size: float) -> int | float:
    """A whole size as a whole number, for JSON."""
    return int(size) if size == int(size) else size


def needles_text(needles: Iterable[int], within: Iterable[int] | None = None, *, count: bool = True) -> str:
    """Ranges first named, then counted: ``"R24–R4, R1 (22 needles)"``.

    With ``within``, the needles in work, a range runs over out-of-work needles and names them: ``"L30–R6, not R2"``.
    """
    listed = list(needles)
    work = None if within is None else list(within)
    found = spans(listed, work)
    ranges = ", ".join(str(span).replace("-", "–") for span in found)
    if work is not None and (out := sorted({n for span in found for n in span}.difference(work))):
        # A needle pusher would take them along.
        ranges += f", not {', '.join(map(str, out))}"
    if not count:
        return ranges
    return f"{ranges} ({len(listed)} needle{'s' if len(listed) != 1 else ''})"


def _listed(needles: tuple[Needle, ...]) -> list[str]:
    return [str(n) for n in needles]


def _spans_text(needles: Iterable[int]) -> str:
    return " ".join(map(str, spans(needles)))


def _from_spans(text: str) -> tuple[Needle, ...]:
    found = [n for part in text.split() for n in Span.parse(part)]
    if not found:
        raise ValueError("no needles are named")
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Dial:
    """Set the stitch size; it holds until the next Dial."""

    size: float

    def __str__(self) -> str:
        return f"dial {number(self.size)!r}"

    def json(self) -> dict[str, Any]:
        return {"do": "dial", "size": number(self.size)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Dial to SS {size_text(self.size)}"


@dataclass(frozen=True, slots=True)
class Hold:
    """Push needles out to holding position. Bed order."""

    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"hold {_spans_text(self.needles)}"

    def json(self) -> dict[str, Any]:
        return {"do": "hold", "needles": _listed(self.needles)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Hold {needles_text(self.needles, within)}"


@dataclass(frozen=True, slots=True)
class Return:
    """Bring held needles back to upper working. Bed order."""

    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"return {_spans_text(self.needles)}"

    def json(self) -> dict[str, Any]:
        return {"do": "return", "needles": _listed(self.needles)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Return {needles_text(self.needles, within)} to upper working"


@dataclass(frozen=True, slots=True)
class Knit:
    """Take the carriage towards a side until it has passed ``beyond``.

    ``needles`` are those it knits on the way, in the order knit.
    """

    toward: Side
    beyond: Needle
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"knit {self.toward} beyond {self.beyond}: {_spans_text(self.needles)}"

    def json(self) -> dict[str, Any]:
        return {"do": "knit", "toward": str(self.toward), "beyond": str(self.beyond), "needles": _listed(self.needles)}

    def words(self, within: Iterable[int] | None = None) -> str:
        ordered = sorted(self.needles)
        first, last = (ordered[-1], ordered[0]) if self.toward is Side.LEFT else (ordered[0], ordered[-1])
        across = str(first) if first == last else f"{first}–{last}"
        count = len(ordered)
        return f"Knit {self.toward} across {across} ({count} needle{'s' if count != 1 else ''})"


@dataclass(frozen=True, slots=True)
class BackUp:
    """Take the carriage back over held needles, knitting nothing."""

    toward: Side
    beyond: Needle

    def __str__(self) -> str:
        return f"back-up {self.toward} beyond {self.beyond}"

    def json(self) -> dict[str, Any]:
        return {"do": "back-up", "toward": str(self.toward), "beyond": str(self.beyond)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Back up {self.toward}, clear of {self.beyond}; nothing knits"


@dataclass(frozen=True, slots=True)
class ByHand:
    """Knit stitches by hand, each needle drawn back to the rail. Bed order."""

    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"by-hand {_spans_text(self.needles)}"

    def json(self) -> dict[str, Any]:
        return {"do": "by-hand", "needles": _listed(self.needles)}

    def words(self, within: Iterable[int] | None = None) -> str:
        drawn = "the needle" if len(self.needles) == 1 else "each needle"
        return f"Knit {needles_text(self.needles, within)} by hand, {drawn} drawn back to the rail"


@dataclass(frozen=True, slots=True)
class Cross:
    """Lift both halves and put them back changed over.

    The half in front goes back first and shows on the knit side.
    """

    cable: str
    crossing: Crossing

    def __str__(self) -> str:
        return f"cross {self.crossing} as {self.cable}"

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles

    def json(self) -> dict[str, Any]:
        front, back = self.crossing.landing()
        return {
            "do": "cross",
            "cable": self.cable,
            "front": str(self.crossing.front),
            "first": {"from": _listed(tuple(self.crossing.front)), "to": _listed(front)},
            "second": {"from": _listed(tuple(self.crossing.back)), "to": _listed(back)},
        }

    def words(self, within: Iterable[int] | None = None) -> str:
        crossing, (front, back) = self.crossing, self.crossing.landing()
        first, second = (needles_text(half, count=False) for half in (crossing.front, crossing.back))
        return (
            f"Cross {self.cable}: lift {first} and {second}; place {first} first, on "
            f"{needles_text(front, count=False)}: it shows on the knit side; then {second} on "
            f"{needles_text(back, count=False)}; push all {len(crossing.needles)} needles to upper working"
        )


@dataclass(frozen=True, slots=True)
class Weights:
    """Move the claw weights up under these needles. Bed order."""

    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"weights {_spans_text(self.needles)}"

    def json(self) -> dict[str, Any]:
        return {"do": "weights", "needles": _listed(self.needles)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Move the claw weights up under {needles_text(self.needles, within, count=False)}"


@dataclass(frozen=True, slots=True)
class Tell:
    """Something the plan asks to be told."""

    text: str

    def __str__(self) -> str:
        return f"tell {self.text}"

    def json(self) -> dict[str, Any]:
        return {"do": "tell", "text": self.text}

    def words(self, within: Iterable[int] | None = None) -> str:
        return self.text


Move = Dial | Hold | Return | Knit | BackUp | ByHand | Cross | Weights | Tell
Push = (Knit, BackUp)
"""The moves that take the carriage somewhere: one to a step."""


def _knit(text: str) -> Knit:
    head, needles = text.split(":")
    toward, _, beyond = head.split()
    side = Side(toward)
    ordered = tuple(sorted(_from_spans(needles), reverse=side is Side.LEFT))
    return Knit(side, Needle.parse(beyond), ordered)


def _back_up(text: str) -> BackUp:
    toward, _, beyond = text.split()
    return BackUp(Side(toward), Needle.parse(beyond))


def _cross(text: str) -> Cross:
    crossing, _, cable = text.partition(" as ")
    return Cross(cable, Crossing.parse(crossing))


_PARSERS: dict[str, Callable[[str], Move]] = {
    "dial": lambda text: Dial(float(text)),
    "hold": lambda text: Hold(_from_spans(text)),
    "return": lambda text: Return(_from_spans(text)),
    "knit": _knit,
    "back-up": _back_up,
    "by-hand": lambda text: ByHand(_from_spans(text)),
    "cross": _cross,
    "weights": lambda text: Weights(_from_spans(text)),
    "tell": Tell,
}


def parse(text: str) -> Move:
    """The move that prints as ``text``. Raises ValueError."""
    match = re.match(r"([a-z-]+) (.+)$", text, re.DOTALL)
    if not match or match[1] not in _PARSERS:
        raise ValueError(f"{text!r} is not a move")
    try:
        return _PARSERS[match[1]](match[2])
    except ValueError as error:
        raise ValueError(f"{text!r} is not a move: {error}") from error
