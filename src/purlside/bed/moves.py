"""The moves of needles, carriage and dial: each one thing the knitter does, with all that it means.

Moves of stitches from needle to needle, and on and off the edges, stand in :mod:`purlside.bed.transfers`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, ClassVar, Literal

from purlside.bed.bed import BY_HAND, Bed, Move
from purlside.bed.faults import Fault, Found
from purlside.bed.headline import ARROWS, Headline, ranges
from purlside.bed.needles import Needle, Position, Side, listed, needles_text, spans_text
from purlside.text.counts import counted
from purlside.values import dataclass


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


@dataclass(frozen=True, slots=True)
class Dial(Move):
    """Set the stitch size; it holds until the next Dial."""

    do: ClassVar[str] = "dial"
    short: ClassVar[str] = "DIAL"
    once: ClassVar[str] = "dial"
    size: float

    def __str__(self) -> str:
        return f"dial {number(self.size)!r}"

    def faults(self, bed: Bed) -> list[Found]:
        low, high = bed.dial_range
        if low <= self.size <= high:
            return []
        return [Found(Fault.OFF_DIAL, f"SS {size_text(self.size)} is off the dial, {low:g} to {high:g}")]

    def make(self, bed: Bed) -> None:
        bed.change(dial=self.size)

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "size": number(self.size)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Dial to SS {size_text(self.size)}"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, f"SS {size_text(self.size)}")


@dataclass(frozen=True, slots=True)
class Lever(Move):
    """Set the carriage's hold lever: at hold it passes held needles over, at knit it knits them from where they stand."""

    do: ClassVar[str] = "lever"
    short: ClassVar[str] = "HOLD LEVER"
    once: ClassVar[str] = "lever"
    to: Literal["hold", "knit"]

    def __str__(self) -> str:
        return f"lever {self.to}"

    def make(self, bed: Bed) -> None:
        bed.change(lever=self.to)

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "to": self.to}

    def words(self, within: Iterable[int] | None = None) -> str:
        return "Hold lever on" if self.to == "hold" else "Hold lever off: held needles knit too"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, "ON" if self.to == "hold" else "OFF")


@dataclass(frozen=True, slots=True)
class Hold(Move):
    """Push needles out to holding position. Bed order."""

    do: ClassVar[str] = "hold"
    short: ClassVar[str] = "HOLD"
    once: ClassVar[str] = "push_group"
    each: ClassVar[str] = "push_needle"
    needles: tuple[Needle, ...]

    def make(self, bed: Bed) -> None:
        bed.put("position", self.needles, Position.HP)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Hold {needles_text(self.needles, within)}"


@dataclass(frozen=True, slots=True)
class Return(Move):
    """Bring held needles back to upper working. Bed order."""

    do: ClassVar[str] = "return"
    short: ClassVar[str] = "RETURN"
    aside: ClassVar[str] = "to upper working"
    once: ClassVar[str] = "push_group"
    each: ClassVar[str] = "push_needle"
    needles: tuple[Needle, ...]

    def make(self, bed: Bed) -> None:
        bed.put("position", (n for n in self.needles if bed.at(n) is Position.HP), Position.UWP)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Return {needles_text(self.needles, within)} to upper working"


@dataclass(frozen=True, slots=True)
class Knit(Move):
    """Take the carriage towards a side until it has passed ``beyond``.

    ``needles`` are those it knits on the way, in the order knit.
    """

    do: ClassVar[str] = "knit"
    short: ClassVar[str] = "KNIT"
    once: ClassVar[str] = "knit"
    each: ClassVar[str] = "knit_needle"
    toward: Side
    beyond: Needle
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"knit {self.toward} beyond {self.beyond}: {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        if not bed.on_way(self.toward, self.beyond):
            return [Found(Fault.WRONG_WAY, f"{self.beyond} is not ahead of the carriage", (self.beyond,))]
        knit = bed.knits_on_way(self.toward, self.beyond)
        if not knit:
            return [Found(Fault.KNITS_NOTHING, "the carriage would pass and knit nothing")]
        found = []
        if knit != self.needles:
            wrong = tuple(sorted(set(knit) ^ set(self.needles))) or knit
            told = f"the carriage would knit {needles_text(knit)}, not {needles_text(self.needles)}"
            found.append(Found(Fault.WRONG_NEEDLES, told, wrong))
        return found + bed.thread_faults(knit)

    def make(self, bed: Bed) -> None:
        bed.work(self.needles, bed.dial)
        bed.change(carriage=(self.beyond, self.toward))

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "toward": str(self.toward), "beyond": str(self.beyond), "needles": listed(self.needles)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Knit {self.toward} across {self.across} ({counted(len(self.needles), 'needle')})"

    @property
    def across(self) -> str:
        """From the first needle knit to the last: ``"L3–R4"``."""
        first, last = self.needles[0], self.needles[-1]
        return str(first) if first == last else f"{first}–{last}"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        if len(self.needles) == len(within):
            return Headline(f"{self.short} {ARROWS[self.toward]}", "1 ROW", f"SS {size_text(dial)}")
        return Headline(f"{self.short} {ARROWS[self.toward]}", f"{self.across} SS {size_text(dial)}")


@dataclass(frozen=True, slots=True)
class BackUp(Move):
    """Take the carriage back over held needles, knitting nothing."""

    do: ClassVar[str] = "back-up"
    short: ClassVar[str] = "BACK UP"
    once: ClassVar[str] = "back_up"
    toward: Side
    beyond: Needle

    def __str__(self) -> str:
        return f"back-up {self.toward} beyond {self.beyond}"

    def faults(self, bed: Bed) -> list[Found]:
        if not bed.on_way(self.toward, self.beyond):
            return [Found(Fault.WRONG_WAY, f"{self.beyond} is not ahead of the carriage", (self.beyond,))]
        would = bed.knits_on_way(self.toward, self.beyond)
        return [Found(Fault.BACK_UP_KNITS, f"backing up would knit {needles_text(would)}", would)] if would else []

    def make(self, bed: Bed) -> None:
        bed.change(carriage=(self.beyond, self.toward))

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "toward": str(self.toward), "beyond": str(self.beyond)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Back up {self.toward}, clear of {self.beyond}; nothing knits"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(f"{self.short} {ARROWS[self.toward]}", "", f"clear of {self.beyond}; nothing knits")


@dataclass(frozen=True, slots=True)
class Join(Move):
    """Break the yarn, take the carriage to a side over held needles, join the yarn at ``at``, the part's edge there."""

    do: ClassVar[str] = "join"
    short: ClassVar[str] = "JOIN YARN"
    once: ClassVar[str] = "join"
    side: Side
    at: Needle

    def __str__(self) -> str:
        return f"join {self.side} at {self.at}"

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working((self.at,)):
            return found
        if would := self._passed(bed):
            return [Found(Fault.BACK_UP_KNITS, f"the carriage would knit {needles_text(would)}", would)]
        return []

    def _passed(self, bed: Bed) -> tuple[Needle, ...]:
        if bed.on_way(self.side, self.at):
            return bed.knits_on_way(self.side, self.at)
        inner = Needle(self.at + (1 if self.side is Side.RIGHT else -1))
        if bed.on_way(self.side.other, inner):
            return bed.knits_on_way(self.side.other, inner)
        return ()

    def make(self, bed: Bed) -> None:
        bed.change(carriage=(self.at, self.side), yarn=self.at)

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "side": str(self.side)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return (
            f"Break the yarn; take the carriage to the {self.side} over the held needles, clear of {self.at}; "
            f"join the yarn at {self.at}"
        )

    @property
    def put_back(self) -> str:
        return f"Past the join at {self.at}, rip on with the end that was broken off"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, str(self.at), f"carriage to the {self.side}")


@dataclass(frozen=True, slots=True)
class ByHand(Move):
    """Knit stitches by hand, each needle drawn back to the rail. Bed order."""

    do: ClassVar[str] = "by-hand"
    short: ClassVar[str] = "BY HAND"
    aside: ClassVar[str] = "drawn back to the rail"
    each: ClassVar[str] = "by_hand"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        if not self.needles:
            return [Found(Fault.KNITS_NOTHING, "no needle is named")]
        return bed.thread_faults(bed.hand_order(self.needles))

    def make(self, bed: Bed) -> None:
        bed.work(bed.hand_order(self.needles), BY_HAND)

    def words(self, within: Iterable[int] | None = None) -> str:
        drawn = "the needle" if len(self.needles) == 1 else "each needle"
        return f"Knit {needles_text(self.needles, within)} by hand, {drawn} drawn back to the rail"


@dataclass(frozen=True, slots=True)
class Weights(Move):
    """Move the claw weights up under these needles. Bed order."""

    do: ClassVar[str] = "weights"
    short: ClassVar[str] = "WEIGHTS UP"
    once: ClassVar[str] = "weights"
    needles: tuple[Needle, ...]

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Move the claw weights up under {needles_text(self.needles, within, count=False)}"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, "", f"under {ranges(self.needles, within)}")


@dataclass(frozen=True, slots=True)
class Tell(Move):
    """Something the plan asks to be told."""

    do: ClassVar[str] = "tell"
    short: ClassVar[str] = "REMINDER"
    text: str

    def __str__(self) -> str:
        return f"tell {self.text}"

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "text": self.text}

    def words(self, within: Iterable[int] | None = None) -> str:
        return self.text

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, "", self.text)


Push = (Knit, BackUp)
"""The moves that take the carriage somewhere: one to a step."""
