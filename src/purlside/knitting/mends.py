"""Moves that only an accident brings: what befell the bed, and what puts it right again by hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, ClassVar

from purlside.bed.bed import Bed, Move
from purlside.bed.faults import Fault, Found, found_of
from purlside.bed.headline import ARROWS, Headline, not_these, ranges
from purlside.bed.moves import BackUp, Knit, Tell
from purlside.bed.needles import Crossing, Needle, Position, Side, needles_text, spans_text
from purlside.bed.rates import Rates
from purlside.bed.transfers import Cross
from purlside.text.counts import counted
from purlside.values import dataclass

# --- what befell the bed -----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HeldKnit(Knit):
    """The carriage passed with hold off: every needle on its way was knit, held ones too."""

    do: ClassVar[str] = "held-knit"

    def faults(self, bed: Bed) -> list[Found]:
        return bed.thread_faults(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Hold was off: {needles_text(self.needles, within)} knit, as far as {self.beyond}"


@dataclass(frozen=True, slots=True)
class RanEmpty(BackUp):
    """The carriage went on without yarn: these stitches came off their needles."""

    do: ClassVar[str] = "ran-empty"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        return []

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 0)
        bed.put("position", self.needles, Position.WP)
        bed.change(carriage=(self.beyond, self.toward))

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"The yarn ended: {needles_text(self.needles, within)} came off"


@dataclass(frozen=True, slots=True)
class LetDown(Move):
    """Stitches are off their needles, ``rows`` rows down: they fell, or were let down to be worked again."""

    do: ClassVar[str] = "let-down"
    short: ClassVar[str] = "LET DOWN"
    once: ClassVar[str] = "transfer"
    needles: tuple[Needle, ...]
    rows: int
    fell: bool = False

    def __str__(self) -> str:
        return f"let-down {spans_text(self.needles)} by {self.rows}"

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 0)

    def words(self, within: Iterable[int] | None = None) -> str:
        named = needles_text(self.needles, within)
        if self.fell:
            return f"{named} dropped, {counted(self.rows, 'row')} down"
        return f"Let {named} down {counted(self.rows, 'row')}, to the crossing; catch the loops there"


@dataclass(frozen=True, slots=True)
class Stands(Move):
    """After ripping back the carriage still stands here, the dial so; the yarn lies where the row begins."""

    do: ClassVar[str] = "stands"
    side: Side
    dial: float

    def __str__(self) -> str:
        return f"stands {self.side}"

    def make(self, bed: Bed) -> None:
        bed.change(carriage=(bed.edge(self.side), self.side), dial=self.dial)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"The carriage stands on the {self.side} ({self.side.carriage})"


# --- what puts it right --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ByWord(Tell):
    """Something of a mend that only words can tell; ``verb`` is what is read at a glance."""

    verb: str

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.verb, "", self.text)


@dataclass(frozen=True, slots=True)
class Unknit(Move):
    """Take stitches of this row back, in this order; the yarn then lies at ``back_to``."""

    do: ClassVar[str] = "unknit"
    short: ClassVar[str] = "UNKNIT"
    aside: ClassVar[str] = "pull each loop out, set the stitch below on"
    each: ClassVar[str] = "by_hand"
    needles: tuple[Needle, ...]
    back_to: Needle
    size: float
    """The dial number of the loops below: they hang there again."""

    def __str__(self) -> str:
        return f"unknit {spans_text(self.needles)} back to {self.back_to}"

    def faults(self, bed: Bed) -> list[Found]:
        found = bed.not_working(self.needles)
        if self.needles[0] != bed.yarn:
            found.append(Found(Fault.FLOAT_FROM_YARN, f"the yarn lies at {bed.yarn}", (bed.yarn, self.needles[0])))
        left = int(bed.panel.left)
        short = (n for n in set(self.needles) if bed.rows[n - left] < self.needles.count(n))
        return found + found_of(Fault.NO_LOOP, "{} not knit in this row", short)

    def make(self, bed: Bed) -> None:
        rows, left = list(bed.rows), int(bed.panel.left)
        for needle in self.needles:
            rows[needle - left] -= 1
        bed.put("position", self.needles, Position.WP)
        bed.put("loop_size", self.needles, self.size)
        bed.change(rows=rows, yarn=self.back_to)

    def words(self, within: Iterable[int] | None = None) -> str:
        first, last, many = self.needles[0], self.needles[-1], len(self.needles)
        if many == 1:
            return f"Unknit {first}: pull its loop out and set the stitch below on its needle"
        named = needles_text(sorted(set(self.needles)), within, count=False)
        each = "pull each loop out and set the stitch below on its needle"
        return f"Unknit {named} ({many} stitches), from {first} to {last}: {each}"


@dataclass(frozen=True, slots=True)
class Across(BackUp):
    """Take the carriage to a side with no needle held and none knit: in slip, or lifted over, as its manual says."""

    do: ClassVar[str] = "across"
    short: ClassVar[str] = "CARRIAGE"

    def __str__(self) -> str:
        return f"across {self.toward} beyond {self.beyond}"

    def faults(self, bed: Bed) -> list[Found]:
        return []

    def words(self, within: Iterable[int] | None = None) -> str:
        return (
            f"Take the carriage to the {self.toward} without knitting: in slip, lifted across, or every needle held, "
            "as its manual says"
        )

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(f"{self.short} {ARROWS[self.toward]}", "", f"to the {self.toward}; nothing knits")


@dataclass(frozen=True, slots=True)
class Rehang(Move):
    """Latch stitches up ``rows`` rows and hang them on their needles again."""

    do: ClassVar[str] = "rehang"
    short: ClassVar[str] = "HANG ON"
    needles: tuple[Needle, ...]
    rows: int = 0

    def __str__(self) -> str:
        return f"rehang {spans_text(self.needles)} by {self.rows}"

    def faults(self, bed: Bed) -> list[Found]:
        full = found_of(Fault.TOO_MANY_LOOPS, "{} carry a stitch", filter(bed.loops_on, self.needles))
        return bed.not_working(self.needles) + full

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 1)

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        verb = f"LATCH UP {self.rows}" if self.rows else self.short
        return Headline(verb, ranges(self.needles, within), not_these(self.needles, within))

    def words(self, within: Iterable[int] | None = None) -> str:
        one = len(self.needles) == 1
        named = needles_text(self.needles, within, count=not one)
        if not self.rows:
            return f"Hang {named}'s stitch back on" if one else f"Hang the stitches of {named} back on"
        latched = f"Latch {named} up {counted(self.rows, 'row')}, a bar at a time"
        return f"{latched}, and hang {'it' if one else 'them'} back on"

    def seconds(self, rates: Rates) -> float:
        return rates.latch_up * len(self.needles) + rates.latch_row * self.rows * len(self.needles)


@dataclass(frozen=True, slots=True)
class _Again(Move):
    """Something done to both halves of a cable; the stitches stay on its needles."""

    once: ClassVar[str] = "crossing"
    each: ClassVar[str] = "crossing_stitch"
    cable: str
    crossing: Crossing

    def __str__(self) -> str:
        return f"{self.do} {self.crossing} as {self.cable}"

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles

    def make(self, bed: Bed) -> None:
        bed.put("position", self.needles, Position.UWP)

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, f"{self.first} FIRST", self.cable)

    @property
    def first(self) -> str:
        """The half that goes back on the needles first, at a glance."""
        raise NotImplementedError

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "cable": self.cable, "cross": str(self.crossing)}


@dataclass(frozen=True, slots=True)
class Recross(_Again):
    """Cross again, as ``crossing`` says: the wrong half was in front."""

    do: ClassVar[str] = "recross"
    short: ClassVar[str] = "CROSS AGAIN"

    @property
    def first(self) -> str:
        return str(self.crossing.front_side).upper()

    def words(self, within: Iterable[int] | None = None) -> str:
        side, (front, back) = self.crossing.front_side, self.crossing.landing()
        return (
            f"Lift both halves of {self.cable} and take them apart the way they came; then the {side} half FIRST, on "
            f"{needles_text(front, count=False)}: it shows on the knit side; the {side.other} half behind it, on "
            f"{needles_text(back, count=False)}; push all {len(self.needles)} out to upper working"
        )


@dataclass(frozen=True, slots=True)
class Uncross(_Again):
    """Take a crossing apart on the way down; ``crossing`` is how it was made."""

    do: ClassVar[str] = "uncross"
    short: ClassVar[str] = "UNCROSS"

    @property
    def first(self) -> str:
        return ranges(self.crossing.landing()[0])

    def words(self, within: Iterable[int] | None = None) -> str:
        front, back = self.crossing.landing()
        return (
            f"Un-cross {self.cable}: lift both halves; the one on {needles_text(front, count=False)}, in front (knit "
            f"side), goes back first, to {needles_text(self.crossing.front, count=False)}; then the one on "
            f"{needles_text(back, count=False)} to {needles_text(self.crossing.back, count=False)}"
        )


ENDS_STEP = (Knit, BackUp, Cross, Unknit, Rehang, Recross, Uncross)
"""The moves that end a step of a mend: one thing for the hands at a time."""
