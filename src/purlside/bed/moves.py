"""The moves of needles, carriage and dial: each one thing the knitter does, with all that it means.

Moves of stitches from needle to needle, and on and off the edges, stand in :mod:`purlside.bed.transfers`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Literal

from purlside.bed.bed import Bed, Move
from purlside.bed.faults import Fault, Found
from purlside.bed.headline import Headline, number, shortened, told
from purlside.bed.needles import Needle, Position, Side, needles_text

BY_HAND = float("inf")
"""The size of a loop drawn back to the rail by hand: larger than the dial gives."""


def size_text(size: float) -> str:
    """A stitch size as a dial shows it: ``5``, ``6⅓``, ``6.25``."""
    whole = int(size)
    part = {1: "⅓", 2: "⅔"}.get(round((size - whole) * 3)) if abs(size * 3 - round(size * 3)) < 0.02 else None
    if part:
        return f"{whole}{part}" if whole else part
    return f"{size:g}"


class OfNeedles(Move):
    """A move of some needles, in bed order."""

    needles: tuple[Needle, ...]


class Dial(Move):
    """Set the stitch size; it holds until the next Dial."""

    do = "dial"
    says = "Dial to {what}"
    short = "DIAL"
    aside = ""
    once = "dial"
    size: float

    def __str__(self) -> str:
        return f"dial {number(self.size)!r}"

    @property
    def what(self) -> str:  # type: ignore[override]
        return f"SS {size_text(self.size)}"

    def faults(self, bed: Bed) -> list[Found]:
        low, high = bed.dial_range
        if low <= self.size <= high:
            return []
        return [Found(Fault.OFF_DIAL, f"{self.what} is off the dial, {low:g} to {high:g}")]

    def make(self, bed: Bed) -> None:
        bed.change(dial=self.size)


class Lever(Move):
    """Set the carriage's hold lever: at hold it passes held needles over, at knit it knits them from where they stand."""

    do = "lever"
    line = "lever {to}"
    short = "HOLD LEVER"
    aside = ""
    once = "lever"
    to: Literal["hold", "knit"]

    def make(self, bed: Bed) -> None:
        bed.change(lever=self.to)

    def words(self, within: Iterable[int] | None = None) -> str:
        return "Hold lever on" if self.to == "hold" else "Hold lever off: held needles knit too"

    @property
    def what(self) -> str:  # type: ignore[override]
        return "ON" if self.to == "hold" else "OFF"


class Hold(OfNeedles):
    """Push needles out to holding position."""

    do = "hold"
    says = "Hold {needles:within count}"
    short = "HOLD"
    once, each = "push_group", "push_needle"

    def make(self, bed: Bed) -> None:
        bed.put("position", self.needles, Position.HP)


class Return(OfNeedles):
    """Bring held needles back to upper working."""

    do = "return"
    says = "Return {needles:within count} to upper working"
    short = "RETURN"
    aside = "to upper working"
    once, each = "push_group", "push_needle"

    def make(self, bed: Bed) -> None:
        bed.put("position", (n for n in self.needles if bed.at(n) is Position.HP), Position.UWP)


class Knit(Move):
    """Take the carriage towards a side until it has passed ``beyond``.

    ``needles`` are those it knits on the way, in the order knit.
    """

    do = "knit"
    line = "knit {toward} beyond {beyond}: {needles:spans}"
    says = "Knit {toward} across {across} ({needles:many})"
    short = "KNIT {toward.arrow}"
    once, each = "knit", "knit_needle"
    toward: Side
    beyond: Needle
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        if found := _behind(bed, self.toward, self.beyond):
            return found
        knit = bed.knits_on_way(self.toward, self.beyond)
        if not knit:
            return [Found(Fault.KNITS_NOTHING, "the carriage would pass and knit nothing")]
        found = []
        if knit != self.needles:
            wrong = tuple(sorted(set(knit) ^ set(self.needles))) or knit
            why = f"the carriage would knit {needles_text(knit)}, not {needles_text(self.needles)}"
            found.append(Found(Fault.WRONG_NEEDLES, why, wrong))
        return found + bed.thread_faults(knit)

    def make(self, bed: Bed) -> None:
        bed.work(self.needles, bed.dial)
        bed.change(carriage=(self.beyond, self.toward))

    @property
    def across(self) -> str:
        """From the first needle knit to the last: ``"L3–R4"``."""
        first, last = self.needles[0], self.needles[-1]
        return str(first) if first == last else f"{first}–{last}"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        verb, size = told(self, self.short), f"SS {size_text(dial)}"
        if len(self.needles) == len(within):
            return Headline(verb, "1 ROW", size)
        return Headline(verb, f"{self.across} {size}")


def _behind(bed: Bed, toward: Side, beyond: Needle) -> list[Found]:
    """That a needle does not lie on the carriage's way."""
    if bed.on_way(toward, beyond):
        return []
    return [Found(Fault.WRONG_WAY, f"{beyond} is not ahead of the carriage", (beyond,))]


class BackUp(Move):
    """Take the carriage back over held needles, knitting nothing."""

    do = "back-up"
    line = "back-up {toward} beyond {beyond}"
    says = "Back up {toward}, clear of {beyond}; nothing knits"
    short = "BACK UP {toward.arrow}"
    what = ""
    aside = "clear of {beyond}; nothing knits"
    once = "back_up"
    toward: Side
    beyond: Needle

    def faults(self, bed: Bed) -> list[Found]:
        if found := _behind(bed, self.toward, self.beyond):
            return found
        would = bed.knits_on_way(self.toward, self.beyond)
        return [Found(Fault.BACK_UP_KNITS, f"backing up would knit {needles_text(would)}", would)] if would else []

    def make(self, bed: Bed) -> None:
        bed.change(carriage=(self.beyond, self.toward))


class Join(Move):
    """Break the yarn, take the carriage to a side over held needles, join the yarn at ``at``, the part's edge there."""

    do = "join"
    line = "join {side} at {at}"
    says = "Break the yarn; take the carriage to the {side} over the held needles, clear of {at}; join the yarn at {at}"
    short = "JOIN YARN"
    what = "{at}"
    aside = "carriage to the {side}"
    back = "Past the join at {at}, rip on with the end that was broken off"
    once = "join"
    side: Side
    at: Needle

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working((self.at,)):
            return found
        if would := self._passed(bed):
            return [Found(Fault.BACK_UP_KNITS, f"the carriage would knit {needles_text(would)}", would)]
        return []

    def _passed(self, bed: Bed) -> tuple[Needle, ...]:
        if bed.on_way(self.side, self.at):
            return bed.knits_on_way(self.side, self.at)
        inner = Needle(self.at + self.side.step)
        if bed.on_way(self.side.other, inner):
            return bed.knits_on_way(self.side.other, inner)
        return ()

    def make(self, bed: Bed) -> None:
        bed.change(carriage=(self.at, self.side), yarn=self.at)

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "side": str(self.side)}


class ByHand(OfNeedles):
    """Knit stitches by hand, each needle drawn back to the rail."""

    do = "by-hand"
    short = "BY HAND"
    aside = "drawn back to the rail"
    each = "by_hand"

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        if not self.needles:
            return [Found(Fault.KNITS_NOTHING, "no needle is named")]
        return bed.thread_faults(bed.hand_order(self.needles))

    def make(self, bed: Bed) -> None:
        bed.work(bed.hand_order(self.needles), BY_HAND)

    @property
    def says(self) -> str:  # type: ignore[override]
        drawn = "the needle" if len(self.needles) == 1 else "each needle"
        return f"Knit {{needles:within count}} by hand, {drawn} drawn back to the rail"


class Weights(OfNeedles):
    """Move the claw weights up under these needles."""

    do = "weights"
    says = "Move the claw weights up under {needles:within}"
    short = "WEIGHTS UP"
    what = ""
    aside = "under {needles:within ranges}"
    once = "weights"


MOST_LARGE = 18
"""Characters of a reminder that are read at a glance: as many as large letters have room for in 80 columns. Ours."""


class Tell(Move):
    """Something the plan asks to be told."""

    do = "tell"
    line = "tell {text}"
    says = "{text}"
    text: str

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        """Its first words; the whole of it stands beside them where it is longer."""
        begins = shortened(self.text, MOST_LARGE)
        return Headline(begins, aside="" if begins == self.text else self.text)


Push = (Knit, BackUp)
"""The moves that take the carriage somewhere: one to a step."""
