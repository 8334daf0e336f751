"""The moves of stitches: crossed, transferred, cast on and off, wrapped, latched up; needles brought in and put out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, ClassVar

from purlside.bed.bed import MOST_LOOPS, MOST_WRAPPED, Bed, Move
from purlside.bed.faults import Fault, Found, found_of
from purlside.bed.headline import Headline, ranges
from purlside.bed.needles import Crossing, Needle, Position, listed, needles_text, spans_text
from purlside.bed.rates import Rates
from purlside.values import dataclass


def _empty(bed: Bed, needles: Iterable[Needle]) -> list[Found]:
    return found_of(Fault.NO_LOOP, "no loop on {}", (n for n in needles if not bed.loops_on(n)))


def _overloaded(bed: Bed, needles: Iterable[Needle], most: int = MOST_LOOPS) -> list[Found]:
    return found_of(
        Fault.TOO_MANY_LOOPS, f"more than {most} loops on {{}}", (n for n in needles if bed.loops_on(n) > most)
    )


@dataclass(frozen=True, slots=True)
class Cross(Move):
    """Lift both halves and put them back changed over.

    The half in front goes back first and shows on the knit side.
    """

    do: ClassVar[str] = "cross"
    short: ClassVar[str] = "CROSS"
    once: ClassVar[str] = "crossing"
    each: ClassVar[str] = "crossing_stitch"
    cable: str
    crossing: Crossing

    def __str__(self) -> str:
        return f"cross {self.crossing} as {self.cable}"

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles

    def faults(self, bed: Bed) -> list[Found]:
        crossing, needles = self.crossing, self.needles
        outside = f"{{}} outside the panel {bed.panel}"
        if found := found_of(Fault.OUTSIDE_PANEL, outside, (n for n in needles if n not in bed.panel)):
            return found
        out = (n for n in needles if not bed.working(n))
        if found := found_of(Fault.OUT_OF_WORK, "the crossing uses {}, out of work", out):
            return found
        unfinished = [n for n in needles if bed.rows[n - bed.panel.left] % 2 == 0]
        found = [
            *found_of(Fault.SKIPS_NEEDLES, "{} in work between the halves", filter(bed.working, crossing.gap)),
            *found_of(
                Fault.SHARES_NEEDLES, "{} already crossed in this row", filter(bed.crossed.__contains__, needles)
            ),
            *found_of(Fault.ROW_NOT_FINISHED, "the row is not finished on {}", unfinished),
        ]
        if int(crossing.span.left) < bed.gap <= int(crossing.span.right):
            found.append(Found(Fault.UNDER_CARRIAGE, f"the carriage stands over {crossing.span}", needles))
        return [*found, *_empty(bed, needles), *_overloaded(bed, needles)]

    def make(self, bed: Bed) -> None:
        goes = tuple(n for half in self.crossing.landing() for n in half)
        bed.carry((*self.crossing.front, *self.crossing.back), goes)
        bed.put("position", goes, Position.UWP)
        bed.change(crossed=bed.crossed | {int(n) for n in goes})

    def json(self) -> dict[str, Any]:
        front, back = self.crossing.landing()
        return {
            "do": self.do,
            "cable": self.cable,
            "front": str(self.crossing.front),
            "first": {"from": listed(self.crossing.front), "to": listed(front)},
            "second": {"from": listed(self.crossing.back), "to": listed(back)},
        }

    def words(self, within: Iterable[int] | None = None) -> str:
        crossing, (front, back) = self.crossing, self.crossing.landing()
        first, second = (needles_text(half, count=False) for half in (crossing.front, crossing.back))
        return (
            f"Cross {self.cable}: lift {first} and {second}; place {first} first, on "
            f"{needles_text(front, count=False)}: it shows on the knit side; then {second} on "
            f"{needles_text(back, count=False)}; push all {len(crossing.needles)} needles to upper working"
        )

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        front = ranges(self.crossing.front)
        return Headline(self.short, f"{front} FIRST", f"{self.cable}, {self.crossing.words}")


@dataclass(frozen=True, slots=True)
class Transfer(Move):
    """Lift the loops of ``needles`` together and put them onto ``onto``, needle for needle. Both in bed order."""

    do: ClassVar[str] = "transfer"
    short: ClassVar[str] = "MOVE"
    once: ClassVar[str] = "transfer"
    each: ClassVar[str] = "transfer_stitch"
    needles: tuple[Needle, ...]
    onto: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"transfer {spans_text(self.needles)} to {spans_text(self.onto)}"

    def faults(self, bed: Bed) -> list[Found]:
        every = (*self.needles, *(n for n in self.onto if n not in self.needles))
        if found := [*bed.not_working(every), *bed.resting_touched(every)]:
            return found
        after = {n: bed.loops_on(n) * (n not in self.needles) for n in self.onto}
        for needle, onto in zip(self.needles, self.onto, strict=True):
            after[onto] += bed.loops_on(needle)
        found, moved = _empty(bed, self.needles), tuple(sorted(every))
        if int(moved[0]) < bed.gap <= int(moved[-1]):
            told = f"the carriage stands over {needles_text(moved, count=False).replace('–', '-')}"
            found.append(Found(Fault.UNDER_CARRIAGE, told, moved))
        many = (n for n, loops in after.items() if loops > MOST_LOOPS)
        return found + found_of(Fault.TOO_MANY_LOOPS, f"more than {MOST_LOOPS} loops on {{}}", many)

    def make(self, bed: Bed) -> None:
        bed.carry(self.needles, self.onto)

    def marks(self) -> dict[Needle, str]:
        """Each stitch lifted points the way it is moved."""
        return dict.fromkeys(self.needles, "<" if self.onto[0] < self.needles[0] else ">")

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "from": listed(self.needles), "to": listed(self.onto)}

    def words(self, within: Iterable[int] | None = None) -> str:
        stitches = needles_text(self.needles, count=False)
        tool = f" on {len(self.needles)} prongs" if len(self.needles) > 1 else ""
        return f"Move {stitches}{tool} onto {needles_text(self.onto, count=False)}"

    @property
    def put_back(self) -> str:
        return f"Move the stitches that came from {needles_text(self.needles, count=False)} back there, off {needles_text(self.onto, count=False)}"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, f"{ranges(self.needles)} TO {ranges(self.onto)}")


@dataclass(frozen=True, slots=True)
class OutOfWork(Move):
    """Push empty needles back to non-working position. Bed order."""

    do: ClassVar[str] = "out-of-work"
    short: ClassVar[str] = "OUT OF WORK"
    each: ClassVar[str] = "edge_needle"
    mark: ClassVar[str] = "o"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        if set(self.needles) >= set(bed.in_work):
            return [Found(Fault.NONE_LEFT, "no needle would be left in work", self.needles)]
        return found_of(Fault.STILL_LOADED, "{} still carrying", filter(bed.loops_on, self.needles))

    def make(self, bed: Bed) -> None:
        bed.leave_work(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Put {needles_text(self.needles, count=False)} out of work"

    @property
    def put_back(self) -> str:
        return f"Bring {needles_text(self.needles, count=False)} back into work"


@dataclass(frozen=True, slots=True)
class IntoWork(Move):
    """Bring needles next to an edge into working position, empty. Bed order."""

    do: ClassVar[str] = "into-work"
    short: ClassVar[str] = "INTO WORK"
    each: ClassVar[str] = "edge_needle"
    mark: ClassVar[str] = "i"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        outside = found_of(Fault.OUTSIDE_PANEL, "{} off the bed", (n for n in self.needles if n not in bed.panel))
        return outside or found_of(Fault.ALREADY_IN_WORK, "{} in work already", filter(bed.working, self.needles))

    def make(self, bed: Bed) -> None:
        bed.join_work(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Bring {needles_text(self.needles, count=False)} into work"

    @property
    def put_back(self) -> str:
        return f"Push {needles_text(self.needles, count=False)} out of work again"


@dataclass(frozen=True, slots=True)
class Fill(Move):
    """Hang the purl bump below its neighbour's stitch on an empty needle, so that no hole is left."""

    do: ClassVar[str] = "fill"
    short: ClassVar[str] = "FILL"
    each: ClassVar[str] = "fill"
    mark: ClassVar[str] = "f"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        if found := [*bed.not_working(self.needles), *bed.resting_touched(self.needles)]:
            return found
        return _overloaded(bed, self.needles, MOST_LOOPS - 1)

    def make(self, bed: Bed) -> None:
        bed.loop(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Fill {needles_text(self.needles, count=False)}: hang on it the purl bump below its neighbour"


@dataclass(frozen=True, slots=True)
class CastOff(Move):
    """Cast off stitches from the edge inwards; the last loop is left on ``onto``, beside what is there. Bed order."""

    do: ClassVar[str] = "cast-off"
    short: ClassVar[str] = "CAST OFF"
    each: ClassVar[str] = "cast_off_stitch"
    mark: ClassVar[str] = "c"
    needles: tuple[Needle, ...]
    onto: Needle

    def __str__(self) -> str:
        return f"cast-off {spans_text(self.needles)} onto {self.onto}"

    @property
    def outermost(self) -> Needle:
        return self.needles[-1] if self.onto < self.needles[0] else self.needles[0]

    def faults(self, bed: Bed) -> list[Found]:
        every = (*self.needles, self.onto)
        if found := [*bed.not_working(every), *bed.resting_touched(every)]:
            return found
        found = _empty(bed, every) + _overloaded(bed, (self.onto,), MOST_LOOPS - 1)
        if bed.yarn != self.outermost:
            told = f"the yarn lies at {bed.yarn}, not at {self.outermost}"
            found.append(Found(Fault.YARN_ELSEWHERE, told, (bed.yarn, self.outermost)))
        return found

    def make(self, bed: Bed) -> None:
        bed.put("loops", self.needles, 0)
        bed.loop((self.onto,))
        bed.change(yarn=self.onto)

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "needles": listed(self.needles), "onto": str(self.onto)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Cast off {needles_text(self.needles)} from the edge inwards; the last loop hangs on {self.onto}"

    @property
    def put_back(self) -> str:
        return f"Undo the casting off, and hang the stitches of {needles_text(self.needles, count=False)} on again"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, ranges(self.needles), f"the last loop onto {self.onto}")


@dataclass(frozen=True, slots=True)
class CastOn(Move):
    """Wind the yarn round needles next to the edge it lies at (e-wrap), from the edge outwards. Bed order."""

    do: ClassVar[str] = "cast-on"
    short: ClassVar[str] = "CAST ON"
    each: ClassVar[str] = "cast_on_stitch"
    mark: ClassVar[str] = "e"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        loaded = filter(bed.loops_on, self.needles)
        if found := found_of(Fault.TOO_MANY_LOOPS, "{} carrying a stitch already", loaded):
            return found
        near = min(self.needles, key=lambda n: abs(n - bed.yarn))
        if not bed.neighbours(near, bed.yarn):
            return [Found(Fault.YARN_ELSEWHERE, f"the yarn lies at {bed.yarn}, not beside {near}", (bed.yarn, near))]
        return []

    def make(self, bed: Bed) -> None:
        far = max(self.needles, key=lambda n: abs(n - bed.yarn))
        bed.loop(self.needles)
        bed.change(yarn=far)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Cast on {needles_text(self.needles)}: wind the yarn round each, from the edge outwards"

    @property
    def put_back(self) -> str:
        return f"Let the cast-on loops off {needles_text(self.needles, count=False)}, and push them out of work"


@dataclass(frozen=True, slots=True)
class Wrap(Move):
    """Take the yarn round resting needles at the turn of a short row, so that no hole is left. Bed order."""

    do: ClassVar[str] = "wrap"
    short: ClassVar[str] = "WRAP"
    each: ClassVar[str] = "wrap"
    mark: ClassVar[str] = "w"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        found = _overloaded(bed, self.needles, MOST_WRAPPED - 1)
        found += found_of(
            Fault.NOT_TOUCHED, "{} not resting", (n for n in self.needles if bed.at(n) is not Position.HP)
        )
        if far := tuple(n for n in self.needles if not bed.neighbours(n, bed.yarn)):
            found.append(Found(Fault.YARN_ELSEWHERE, f"the yarn lies at {bed.yarn}, not beside {far[0]}", far))
        return found

    def make(self, bed: Bed) -> None:
        bed.loop(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Wrap {needles_text(self.needles, count=False)}: take the yarn round it before you turn"


@dataclass(frozen=True, slots=True)
class Bead(Move):
    """Lift a stitch off, draw a bead onto it with a fine hook, put it back. Bed order."""

    do: ClassVar[str] = "bead"
    short: ClassVar[str] = "BEAD"
    each: ClassVar[str] = "bead"
    mark: ClassVar[str] = "b"
    needles: tuple[Needle, ...]

    def faults(self, bed: Bed) -> list[Found]:
        return bed.not_working(self.needles) or _empty(bed, self.needles) + _overloaded(bed, self.needles, 1)

    def words(self, within: Iterable[int] | None = None) -> str:
        each = "the stitch" if len(self.needles) == 1 else "each stitch"
        return (
            f"Bead {needles_text(self.needles, count=False)}: lift {each}, draw a bead on with a fine hook, put it back"
        )


@dataclass(frozen=True, slots=True)
class LatchUp(Move):
    """Drop the stitch down so many rows and latch it up again from the knit side: it shows purl there. Bed order."""

    do: ClassVar[str] = "latch-up"
    short: ClassVar[str] = "LATCH UP"
    mark: ClassVar[str] = "p"
    needles: tuple[Needle, ...]
    rows: int

    def __str__(self) -> str:
        return f"latch-up {spans_text(self.needles)} by {self.rows}"

    def faults(self, bed: Bed) -> list[Found]:
        if found := [*bed.not_working(self.needles), *bed.resting_touched(self.needles)]:
            return found
        found = _empty(bed, self.needles) + _overloaded(bed, self.needles, 1)
        return found + found_of(Fault.SHARES_NEEDLES, "{} just crossed", filter(bed.crossed.__contains__, self.needles))

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "needles": listed(self.needles), "rows": self.rows}

    def words(self, within: Iterable[int] | None = None) -> str:
        rows = f"{self.rows} row{'s' if self.rows != 1 else ''}"
        dropped = f"Drop {needles_text(self.needles, count=False)} down {rows}"
        each = " and latch it" if len(self.needles) == 1 else ", one at a time, each latched"
        return f"{dropped}{each} up from the knit side"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, ranges(self.needles), f"{self.rows} rows down")

    def seconds(self, rates: Rates) -> float:
        return len(self.needles) * (rates.latch_up + rates.latch_row * self.rows)
