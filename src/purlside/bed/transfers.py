"""The moves of stitches: crossed, transferred, cast on and off, wrapped, latched up; needles brought in and put out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from purlside.bed.bed import MOST_LOOPS, MOST_WRAPPED, Bed, Move, Position
from purlside.bed.faults import Fault, Found
from purlside.bed.headline import Headline, ranges
from purlside.bed.moves import spans_text
from purlside.bed.needles import Crossing, Needle, Side, listed, needles_text
from purlside.bed.rates import Rates


def _empty(bed: Bed, needles: Iterable[Needle]) -> list[Found]:
    empty = tuple(n for n in needles if not bed.loops_on(n))
    return [Found(Fault.NO_LOOP, f"no loop on {needles_text(empty)}", empty)] if empty else []


def _overloaded(bed: Bed, needles: Iterable[Needle], most: int = MOST_LOOPS) -> list[Found]:
    many = tuple(n for n in needles if bed.loops_on(n) > most)
    return [Found(Fault.TOO_MANY_LOOPS, f"more than {most} loops on {needles_text(many)}", many)] if many else []


def _under_carriage(bed: Bed, needles: tuple[Needle, ...]) -> list[Found]:
    if int(needles[0]) < bed.gap <= int(needles[-1]):
        told = f"the carriage stands over {needles_text(needles, count=False).replace('–', '-')}"
        return [Found(Fault.UNDER_CARRIAGE, told, needles)]
    return []


@dataclass(frozen=True, slots=True)
class Cross(Move):
    """Lift both halves and put them back changed over.

    The half in front goes back first and shows on the knit side.
    """

    do: ClassVar[str] = "cross"
    short: ClassVar[str] = "CROSS"
    cable: str
    crossing: Crossing

    def __str__(self) -> str:
        return f"cross {self.crossing} as {self.cable}"

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles

    def faults(self, bed: Bed) -> list[Found]:
        crossing, needles = self.crossing, self.needles
        outside = tuple(n for n in needles if n not in bed.panel)
        if outside:
            return [Found(Fault.OUTSIDE_PANEL, f"{needles_text(outside)} outside the panel {bed.panel}", outside)]
        out = tuple(n for n in needles if not bed.working(n))
        if out:
            return [Found(Fault.OUT_OF_WORK, f"the crossing uses {needles_text(out)}, out of work", out)]
        found = []
        if skipped := tuple(n for n in crossing.gap if bed.working(n)):
            found.append(Found(Fault.SKIPS_NEEDLES, f"{needles_text(skipped)} in work between the halves", skipped))
        if shared := tuple(n for n in needles if int(n) in bed.crossed):
            found.append(Found(Fault.SHARES_NEEDLES, f"{needles_text(shared)} already crossed in this row", shared))
        if unfinished := tuple(n for n in needles if bed.rows[n - bed.panel.left] % 2 == 0):
            told = f"the row is not finished on {needles_text(unfinished)}"
            found.append(Found(Fault.ROW_NOT_FINISHED, told, unfinished))
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

    def seconds(self, rates: Rates) -> float:
        return rates.crossing + rates.crossing_stitch * len(self.needles)


@dataclass(frozen=True, slots=True)
class Transfer(Move):
    """Lift the loops of ``needles`` together and put them onto ``onto``, needle for needle. Both in bed order."""

    do: ClassVar[str] = "transfer"
    short: ClassVar[str] = "MOVE"
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
        found = _empty(bed, self.needles) + _under_carriage(bed, tuple(sorted(every)))
        if many := tuple(n for n, loops in after.items() if loops > MOST_LOOPS):
            told = f"more than {MOST_LOOPS} loops on {needles_text(many)}"
            found.append(Found(Fault.TOO_MANY_LOOPS, told, many))
        return found

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

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, f"{ranges(self.needles)} TO {ranges(self.onto)}")

    def seconds(self, rates: Rates) -> float:
        return rates.transfer + rates.transfer_stitch * len(self.needles)


@dataclass(frozen=True, slots=True)
class OutOfWork(Move):
    """Push empty needles back to non-working position. Bed order."""

    do: ClassVar[str] = "out-of-work"
    short: ClassVar[str] = "OUT OF WORK"
    mark: ClassVar[str] = "o"
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"out-of-work {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        if set(self.needles) >= set(bed.in_work):
            return [Found(Fault.NONE_LEFT, "no needle would be left in work", self.needles)]
        loaded = tuple(n for n in self.needles if bed.loops_on(n))
        return [Found(Fault.STILL_LOADED, f"{needles_text(loaded)} still carrying", loaded)] if loaded else []

    def make(self, bed: Bed) -> None:
        bed.leave_work(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Put {needles_text(self.needles, count=False)} out of work"

    def seconds(self, rates: Rates) -> float:
        return rates.edge_needle * len(self.needles)


@dataclass(frozen=True, slots=True)
class IntoWork(Move):
    """Bring needles next to an edge into working position, empty. Bed order."""

    do: ClassVar[str] = "into-work"
    short: ClassVar[str] = "INTO WORK"
    mark: ClassVar[str] = "i"
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"into-work {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        if outside := tuple(n for n in self.needles if n not in bed.panel):
            return [Found(Fault.OUTSIDE_PANEL, f"{needles_text(outside)} off the bed", outside)]
        if there := tuple(n for n in self.needles if bed.working(n)):
            return [Found(Fault.ALREADY_IN_WORK, f"{needles_text(there)} in work already", there)]
        return []

    def make(self, bed: Bed) -> None:
        bed.join_work(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Bring {needles_text(self.needles, count=False)} into work"

    def seconds(self, rates: Rates) -> float:
        return rates.edge_needle * len(self.needles)


@dataclass(frozen=True, slots=True)
class Fill(Move):
    """Hang the purl bump below its neighbour's stitch on an empty needle, so that no hole is left."""

    do: ClassVar[str] = "fill"
    short: ClassVar[str] = "FILL"
    mark: ClassVar[str] = "f"
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"fill {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        if found := [*bed.not_working(self.needles), *bed.resting_touched(self.needles)]:
            return found
        return _overloaded(bed, self.needles, MOST_LOOPS - 1)

    def make(self, bed: Bed) -> None:
        bed.loop(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Fill {needles_text(self.needles, count=False)}: hang on it the purl bump below its neighbour"

    def seconds(self, rates: Rates) -> float:
        return rates.fill * len(self.needles)


@dataclass(frozen=True, slots=True)
class CastOff(Move):
    """Cast off stitches from the edge inwards; the last loop is left on ``onto``, beside what is there. Bed order."""

    do: ClassVar[str] = "cast-off"
    short: ClassVar[str] = "CAST OFF"
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
        bed.drop(self.needles)
        bed.loop((self.onto,))
        bed.change(yarn=self.onto)

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "needles": listed(self.needles), "onto": str(self.onto)}

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Cast off {needles_text(self.needles)} from the edge inwards; the last loop hangs on {self.onto}"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, ranges(self.needles), f"the last loop onto {self.onto}")

    def seconds(self, rates: Rates) -> float:
        return rates.cast_off_stitch * len(self.needles)


@dataclass(frozen=True, slots=True)
class CastOn(Move):
    """Wind the yarn round needles next to the edge it lies at (e-wrap), from the edge outwards. Bed order."""

    do: ClassVar[str] = "cast-on"
    short: ClassVar[str] = "CAST ON"
    mark: ClassVar[str] = "e"
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"cast-on {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        if loaded := tuple(n for n in self.needles if bed.loops_on(n)):
            return [Found(Fault.TOO_MANY_LOOPS, f"{needles_text(loaded)} carrying a stitch already", loaded)]
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

    def seconds(self, rates: Rates) -> float:
        return rates.cast_on_stitch * len(self.needles)


@dataclass(frozen=True, slots=True)
class Wrap(Move):
    """Take the yarn round resting needles at the turn of a short row, so that no hole is left. Bed order."""

    do: ClassVar[str] = "wrap"
    short: ClassVar[str] = "WRAP"
    mark: ClassVar[str] = "w"
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"wrap {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        found = _overloaded(bed, self.needles, MOST_WRAPPED - 1)
        if loose := tuple(n for n in self.needles if bed.at(n) is not Position.HP):
            found.append(Found(Fault.NOT_TOUCHED, f"{needles_text(loose)} not resting", loose))
        if far := tuple(n for n in self.needles if not bed.neighbours(n, bed.yarn)):
            found.append(Found(Fault.YARN_ELSEWHERE, f"the yarn lies at {bed.yarn}, not beside {far[0]}", far))
        return found

    def make(self, bed: Bed) -> None:
        bed.loop(self.needles)

    def words(self, within: Iterable[int] | None = None) -> str:
        return f"Wrap {needles_text(self.needles, count=False)}: take the yarn round it before you turn"

    def seconds(self, rates: Rates) -> float:
        return rates.wrap * len(self.needles)


@dataclass(frozen=True, slots=True)
class Join(Move):
    """Break the yarn, take the carriage to a side over held needles, join the yarn at ``at``, the part's edge there."""

    do: ClassVar[str] = "join"
    short: ClassVar[str] = "JOIN YARN"
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
        if bed.ahead(self.side, self.at):
            return bed.knits_on_way(self.side, self.at)
        inner = Needle(self.at + (1 if self.side is Side.RIGHT else -1))
        if bed.ahead(self.side.other, inner):
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

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, str(self.at), f"carriage to the {self.side}")

    def seconds(self, rates: Rates) -> float:
        return rates.join


@dataclass(frozen=True, slots=True)
class Bead(Move):
    """Lift a stitch off, draw a bead onto it with a fine hook, put it back. Bed order."""

    do: ClassVar[str] = "bead"
    short: ClassVar[str] = "BEAD"
    mark: ClassVar[str] = "b"
    needles: tuple[Needle, ...]

    def __str__(self) -> str:
        return f"bead {spans_text(self.needles)}"

    def faults(self, bed: Bed) -> list[Found]:
        return bed.not_working(self.needles) or _empty(bed, self.needles) + _overloaded(bed, self.needles, 1)

    def make(self, bed: Bed) -> None:
        """The stitch hangs where it hung."""

    def words(self, within: Iterable[int] | None = None) -> str:
        each = "the stitch" if len(self.needles) == 1 else "each stitch"
        return (
            f"Bead {needles_text(self.needles, count=False)}: lift {each}, draw a bead on with a fine hook, put it back"
        )

    def seconds(self, rates: Rates) -> float:
        return rates.bead * len(self.needles)


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
        if crossed := tuple(n for n in self.needles if int(n) in bed.crossed):
            found.append(Found(Fault.SHARES_NEEDLES, f"{needles_text(crossed)} just crossed", crossed))
        return found

    def make(self, bed: Bed) -> None:
        """The stitch hangs where it hung, latched from the other side."""

    def json(self) -> dict[str, Any]:
        return {"do": self.do, "needles": listed(self.needles), "rows": self.rows}

    def words(self, within: Iterable[int] | None = None) -> str:
        rows = f"{self.rows} row{'s' if self.rows != 1 else ''}"
        return f"Drop {needles_text(self.needles, count=False)} down {rows} and latch it up from the knit side"

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        return Headline(self.short, ranges(self.needles), f"{self.rows} rows down")

    def seconds(self, rates: Rates) -> float:
        return len(self.needles) * (rates.latch_up + rates.latch_row * self.rows)
