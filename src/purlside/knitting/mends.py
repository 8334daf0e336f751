"""Moves that only an accident brings: what befell the bed, and what puts it right again by hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from purlside.bed.bed import Bed, Move
from purlside.bed.faults import Fault, Found, found_of
from purlside.bed.headline import Headline, ranges
from purlside.bed.moves import BackUp, Knit, OfNeedles, Tell
from purlside.bed.needles import Crossing, Needle, Position, Side, needles_text
from purlside.bed.rates import Rates
from purlside.bed.transfers import Cross
from purlside.text.counts import counted

# --- what befell the bed -----------------------------------------------------------


class HeldKnit(Knit):
    """The carriage passed with hold off: every needle on its way was knit, held ones too."""

    do = "held-knit"
    says = "Hold was off: {needles:within count} knit, as far as {beyond}"

    def faults(self, bed: Bed) -> list[Found]:
        return bed.thread_faults(self.needles)


class RanEmpty(BackUp):
    """The carriage went on without yarn: these stitches came off their needles."""

    do = "ran-empty"
    says = "The yarn ended: {needles:within count} came off"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        return []

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 0)
        bed.put("position", self.needles, Position.WP)
        bed.change(carriage=(self.beyond, self.toward))


class LetDown(OfNeedles):
    """Stitches are off their needles, ``rows`` rows down: they fell, or were let down to be worked again."""

    do = "let-down"
    line = "let-down {needles:spans} by {rows}"
    short = "LET DOWN"
    once = "transfer"
    rows: int
    fell: bool = False

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 0)

    @property
    def says(self) -> str:  # type: ignore[override]
        if self.fell:
            return f"{{needles:within count}} dropped, {counted(self.rows, 'row')} down"
        return f"Let {{needles:within count}} down {counted(self.rows, 'row')}, to the crossing; catch the loops there"


class Stands(Move):
    """After ripping back the carriage still stands here, the dial so; the yarn lies where the row begins."""

    do = "stands"
    line = "stands {side}"
    says = "The carriage stands on the {side} ({side.carriage})"
    side: Side
    dial: float

    def make(self, bed: Bed) -> None:
        bed.change(carriage=(bed.edge(self.side), self.side), dial=self.dial)


# --- what puts it right --------------------------------------------------------------


class ByWord(Tell):
    """Something of a mend that only words can tell; ``verb`` is what is read at a glance."""

    verb: str

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.verb, aside=self.text)


class RipOut(ByWord):
    """Rows to rip out on the way down: a step of the mend begins, with the edges that go back before the next ones."""


class Unknit(OfNeedles):
    """Take stitches of this row back, in this order; the yarn then lies at ``back_to``."""

    do = "unknit"
    line = "unknit {needles:spans} back to {back_to}"
    short = "UNKNIT"
    aside = "pull each loop out, set the stitch below on"
    each = "by_hand"
    back_to: Needle
    size: float
    """The dial number of the loops below: they hang there again."""

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


class Across(BackUp):
    """Take the carriage to a side with no needle held and none knit: in slip, or lifted over, as its manual says."""

    do = "across"
    line = "across {toward} beyond {beyond}"
    says = (
        "Take the carriage to the {toward} without knitting: in slip, lifted across, or every needle held, as its "
        "manual says"
    )
    short = "CARRIAGE {toward.arrow}"
    aside = "to the {toward}; nothing knits"

    def faults(self, bed: Bed) -> list[Found]:
        return []


class Rehang(OfNeedles):
    """Latch stitches up ``rows`` rows and hang them on their needles again."""

    do = "rehang"
    line = "rehang {needles:spans} by {rows}"
    rows: int = 0

    @property
    def short(self) -> str:  # type: ignore[override]
        return f"LATCH UP {self.rows}" if self.rows else "HANG ON"

    def faults(self, bed: Bed) -> list[Found]:
        full = found_of(Fault.TOO_MANY_LOOPS, "{} carry a stitch", filter(bed.loops_on, self.needles))
        return bed.not_working(self.needles) + full

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 1)

    @property
    def says(self) -> str:  # type: ignore[override]
        one = len(self.needles) == 1
        named = f"{{needles:within{'' if one else ' count'}}}"
        if not self.rows:
            return f"Hang {named}'s stitch back on" if one else f"Hang the stitches of {named} back on"
        latched = f"Latch {named} up {counted(self.rows, 'row')}, a bar at a time"
        return f"{latched}, and hang {'it' if one else 'them'} back on"

    def seconds(self, rates: Rates) -> float:
        return rates.latch_up * len(self.needles) + rates.latch_row * self.rows * len(self.needles)


class _Again(Move):
    """Something done to both halves of a cable; the stitches stay on its needles."""

    line = "{do} {crossing} as {cable}"
    what = "{first} FIRST"
    aside = "{cable}"
    once, each = "crossing", "crossing_stitch"
    cable: str
    crossing: Crossing

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles


class Recross(_Again):
    """Cross again, as ``crossing`` says: the wrong half was in front."""

    do = "recross"
    short = "CROSS AGAIN"

    def make(self, bed: Bed) -> None:
        bed.put("position", self.needles, Position.UWP)

    @property
    def first(self) -> str:
        """The half that goes back on the needles first, at a glance."""
        return str(self.crossing.front_side).upper()

    def words(self, within: Iterable[int] | None = None) -> str:
        side, (front, back) = self.crossing.front_side, self.crossing.landing()
        return (
            f"Lift both halves of {self.cable} and take them apart the way they came; then the {side} half FIRST, on "
            f"{needles_text(front, count=False)}: it shows on the knit side; the {side.other} half behind it, on "
            f"{needles_text(back, count=False)}; push all {len(self.needles)} out to upper working"
        )


class Uncross(_Again):
    """Take a crossing apart on the way down; ``crossing`` is how it was made.

    The bed is that of the row ripped down to, where these needles may rest or be out of work: it stays as it is.
    """

    do = "uncross"
    short = "UNCROSS"

    @property
    def first(self) -> str:
        """The half that goes back on the needles first, at a glance."""
        return ranges(self.crossing.landing()[0])

    def faults(self, bed: Bed) -> list[Found]:
        return []

    def words(self, within: Iterable[int] | None = None) -> str:
        front, back = self.crossing.landing()
        return (
            f"Un-cross {self.cable}: lift both halves; the one on {needles_text(front, count=False)}, in front (knit "
            f"side), goes back first, to {needles_text(self.crossing.front, count=False)}; then the one on "
            f"{needles_text(back, count=False)} to {needles_text(self.crossing.back, count=False)}"
        )


ENDS_STEP = (Knit, BackUp, Cross, Unknit, Rehang, Recross, Uncross)
"""The moves that end a step of a mend: one thing for the hands at a time."""
