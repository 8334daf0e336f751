"""The moves of stitches: crossed, transferred, cast on and off, wrapped, latched up; needles brought in and put out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from purlside.bed.bed import Bed, Move
from purlside.bed.faults import Fault, Found, found_of
from purlside.bed.headline import ranges
from purlside.bed.moves import OfNeedles
from purlside.bed.needles import Crossing, Needle, Position, listed, needles_text
from purlside.bed.rates import Rates
from purlside.text.counts import counted

MOST_LOOPS = 2
"""Loops one needle can carry: the stitch and one transferred onto it. Common practice, no source."""

MOST_WRAPPED = 4
"""Loops one resting needle can carry with the yarn taken round it at turns. Common practice, no source."""


def _empty(bed: Bed, needles: Iterable[Needle]) -> list[Found]:
    return found_of(Fault.NO_LOOP, "no loop on {}", (n for n in needles if not bed.loops_on(n)))


def _overloaded(bed: Bed, needles: Iterable[Needle], most: int = MOST_LOOPS) -> list[Found]:
    return found_of(
        Fault.TOO_MANY_LOOPS, f"more than {most} loops on {{}}", (n for n in needles if bed.loops_on(n) > most)
    )


class Cross(Move):
    """Lift both halves and put them back changed over.

    The half in front goes back first and shows on the knit side.
    """

    do = "cross"
    line = "cross {crossing} as {cable}"
    short = "CROSS"
    aside = "{cable}, {crossing.words}"
    once, each = "crossing", "crossing_stitch"
    cable: str
    crossing: Crossing

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles

    @property
    def what(self) -> str:  # type: ignore[override]
        return f"{ranges(self.crossing.front)} FIRST"

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
        crossing = self.crossing
        halves = (crossing.front, crossing.back, *crossing.landing())
        first, second, front, back = (needles_text(half, count=False) for half in halves)
        return (
            f"Cross {self.cable}: lift {first} and {second}; place {first} first, on {front}: it shows on the knit side; "
            f"then {second} on {back}; push all {len(self.needles)} needles to upper working"
        )


class Transfer(Move):
    """Lift the loops of ``needles`` together and put them onto ``onto``, needle for needle. Both in bed order."""

    do = "transfer"
    line = "transfer {needles:spans} to {onto:spans}"
    says = "Move {needles}{tool} onto {onto}"
    short = "MOVE"
    what = "{needles:ranges} TO {onto:ranges}"
    aside = ""
    back = "Move the stitches that came from {needles} back there, off {onto}"
    once, each = "transfer", "transfer_stitch"
    needles: tuple[Needle, ...]
    onto: tuple[Needle, ...]

    @property
    def tool(self) -> str:
        return f" on {len(self.needles)} prongs" if len(self.needles) > 1 else ""

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


class OutOfWork(OfNeedles):
    """Push empty needles back to non-working position."""

    do = "out-of-work"
    says = "Put {needles} out of work"
    short = "OUT OF WORK"
    back = "Bring {needles} back into work"
    each = "edge_needle"
    mark = "o"

    def faults(self, bed: Bed) -> list[Found]:
        if found := bed.not_working(self.needles):
            return found
        if set(self.needles) >= set(bed.in_work):
            return [Found(Fault.NONE_LEFT, "no needle would be left in work", self.needles)]
        return found_of(Fault.STILL_LOADED, "{} still carrying", filter(bed.loops_on, self.needles))

    def make(self, bed: Bed) -> None:
        bed.set_work({*bed.in_work} - {*self.needles})
        bed.put("position", self.needles, Position.NWP)


class IntoWork(OfNeedles):
    """Bring needles next to an edge into working position, empty."""

    do = "into-work"
    says = "Bring {needles} into work"
    short = "INTO WORK"
    back = "Push {needles} out of work again"
    each = "edge_needle"
    mark = "i"

    def faults(self, bed: Bed) -> list[Found]:
        outside = found_of(Fault.OUTSIDE_PANEL, "{} off the bed", (n for n in self.needles if n not in bed.panel))
        return outside or found_of(Fault.ALREADY_IN_WORK, "{} in work already", filter(bed.working, self.needles))

    def make(self, bed: Bed) -> None:
        bed.set_work({*bed.in_work, *self.needles})
        bed.put("position", self.needles, Position.WP)
        bed.change(entered=bed.entered | {int(n) for n in self.needles})


class Fill(OfNeedles):
    """Hang the purl bump below its neighbour's stitch on an empty needle, so that no hole is left."""

    do = "fill"
    says = "Fill {needles}: hang on it the purl bump below its neighbour"
    short = "FILL"
    back = "Let the purl bump off {needles} again"
    each = "fill"
    mark = "f"

    def faults(self, bed: Bed) -> list[Found]:
        if found := [*bed.not_working(self.needles), *bed.resting_touched(self.needles)]:
            return found
        return _overloaded(bed, self.needles, MOST_LOOPS - 1)

    def make(self, bed: Bed) -> None:
        bed.loop(self.needles)


class CastOff(OfNeedles):
    """Cast off stitches from the edge inwards; the last loop is left on ``onto``, beside what is there."""

    do = "cast-off"
    line = "cast-off {needles:spans} onto {onto}"
    says = "Cast off {needles:count} from the edge inwards; the last loop hangs on {onto}"
    short = "CAST OFF"
    what = "{needles:ranges}"
    aside = "the last loop onto {onto}"
    back = "Undo the casting off, and hang the stitches of {needles} on again"
    each = "cast_off_stitch"
    mark = "c"
    onto: Needle

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


class CastOn(OfNeedles):
    """Wind the yarn round needles next to the edge it lies at (e-wrap), from the edge outwards."""

    do = "cast-on"
    says = "Cast on {needles:count}: wind the yarn round each, from the edge outwards"
    short = "CAST ON"
    back = "Let the cast-on loops off {needles}"
    each = "cast_on_stitch"
    mark = "e"

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


class Wrap(OfNeedles):
    """Take the yarn round resting needles at the turn of a short row, so that no hole is left."""

    do = "wrap"
    says = "Wrap {needles} before you turn: take the yarn round it"
    short = "WRAP"
    each = "wrap"
    mark = "w"

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


class Bead(OfNeedles):
    """Lift a stitch off, draw a bead onto it with a fine hook, put it back."""

    do = "bead"
    short = "BEAD"
    each = "bead"
    mark = "b"

    def faults(self, bed: Bed) -> list[Found]:
        return bed.not_working(self.needles) or _empty(bed, self.needles) + _overloaded(bed, self.needles, 1)

    @property
    def says(self) -> str:  # type: ignore[override]
        stitch = "the stitch" if len(self.needles) == 1 else "each stitch"
        return f"Bead {{needles}}: lift {stitch}, draw a bead on with a fine hook, put it back"


class LatchUp(OfNeedles):
    """Drop the stitch down so many rows and latch it up again from the knit side: it shows purl there."""

    do = "latch-up"
    line = "latch-up {needles:spans} by {rows}"
    short = "LATCH UP"
    what = "{needles:ranges}"
    aside = "{rows} rows down"
    mark = "p"
    rows: int

    def faults(self, bed: Bed) -> list[Found]:
        if found := [*bed.not_working(self.needles), *bed.resting_touched(self.needles)]:
            return found
        found = _empty(bed, self.needles) + _overloaded(bed, self.needles, 1)
        return found + found_of(Fault.SHARES_NEEDLES, "{} just crossed", filter(bed.crossed.__contains__, self.needles))

    @property
    def says(self) -> str:  # type: ignore[override]
        latched = " and latch it" if len(self.needles) == 1 else ", one at a time, each latched"
        return f"Drop {{needles}} down {counted(self.rows, 'row')}{latched} up from the knit side"

    def seconds(self, rates: Rates) -> float:
        return len(self.needles) * (rates.latch_up + rates.latch_row * self.rows)
