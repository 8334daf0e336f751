"""The fabric: what hangs below the bed, from the replayed stitches.

Each row's moves are made again, and what then hangs on the needles is the row
of the fabric: loops, how many rows of them, where each stitch went and which
passes in front. The plan's words are not asked; a crossing the bed refuses is
not in the fabric, and the refusal is kept with the row.

A row is replayed when it is asked for, so a window of rows costs what is in it::

    fabric = Fabric(plan)                  # or Fabric(working), or of the plan as really knit
    row = fabric.row(8)
    for crossing in row.crossings:
        crossing.over(Face.KNIT)           # (from, to) of each stitch that lies on top on the knit side

Places are needle places of the bed (R1 = 0). The purl side shows them as they
stand at the bed; the knit side shows them mirrored (:meth:`Face.order`). Which
strand passes over changes with the side, the way the strand on top leans does
not.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import field, replace
from enum import StrEnum
from functools import cached_property, reduce
from itertools import accumulate, takewhile
from typing import Any

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import CannotBeWalked
from purlside.bed.faults import BedFault
from purlside.bed.moves import BY_HAND, ByHand, Dial, Knit
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Cross, Transfer
from purlside.fabric.repeats import Repeated, main_repeat
from purlside.plan.plan import Plan
from purlside.rows.row import Row
from purlside.rows.working import Working
from purlside.values import Value
from purlside.work.crossing import Crossed
from purlside.work.work import EdgeWork, Work

MOST_DRAWN = 1000
"""Crossings in one picture or chart of rows nobody chose. Ours: of a panel that crosses all over a few rows show as much."""

Strand = tuple[Needle, Needle]
"""One stitch of a crossing: the needle it hung on, the needle it hangs on after."""


class Face(StrEnum):
    """A side of the fabric. The purl side faces the person at the bed."""

    KNIT = "knit"
    PURL = "purl"

    @property
    def words(self) -> str:
        return f"{self.value} side"

    @property
    def other(self) -> Face:
        return Face.PURL if self is Face.KNIT else Face.KNIT

    def order(self, left: int, right: int) -> range:
        """Places ``left`` to ``right`` of the bed in the order seen, left to right."""
        return range(left, right + 1) if self is Face.PURL else range(right, left - 1, -1)


class Stitch(Value):
    """The loops one needle made in one row: ``rows`` of them (1, or more with extra rows), the last of ``size``."""

    rows: int
    size: float
    enlarged: bool

    @property
    def by_hand(self) -> bool:
        return self.size == BY_HAND


class FabricCrossing(Value):
    """One crossing as the bed made it: the stitches in front (on the knit side) and those behind, in bed order."""

    cable: str
    crossing: Crossing
    front: tuple[Strand, ...]
    back: tuple[Strand, ...]

    def over(self, face: Face) -> tuple[Strand, ...]:
        """The strands that lie on top, seen from that side."""
        return self.front if face is Face.KNIT else self.back

    def under(self, face: Face) -> tuple[Strand, ...]:
        """The strands that lie below, seen from that side."""
        return self.over(face.other)

    def lean(self, face: Face = Face.KNIT) -> Side:
        """Which way the strand on top leans, going up, as seen from that side."""
        came, went = self.over(face)[0]
        rightward = went > came if face is Face.PURL else went < came
        return Side.RIGHT if rightward else Side.LEFT

    @property
    def needles(self) -> tuple[Needle, ...]:
        """The needles of both halves, bed order."""
        return tuple(sorted(went for _, went in (*self.front, *self.back)))


class FabricRow(Value):
    """One row of the fabric: of the panel, or of parts side by side.

    ``size`` is the row's own stitch size. ``stitches`` holds those that differ
    from one loop at that size, by the place they were knit on; ``crossings``
    those made after the row; ``works`` what else it was asked; ``refused`` what
    the bed would not do, in words; ``moved`` where stitches were transferred to
    before it, by the place they came from.
    """

    size: float
    stitches: dict[int, Stitch]
    crossings: tuple[FabricCrossing, ...] = ()
    refused: tuple[str, ...] = ()
    works: tuple[Work, ...] = ()
    moved: dict[int, int] = field(default_factory=dict)

    def beside(self, other: FabricRow) -> FabricRow:
        """This row and another of the same height."""
        return FabricRow(
            self.size,
            self.stitches | other.stitches,
            (*self.crossings, *other.crossings),
            (*self.refused, *other.refused),
            (*self.works, *other.works),
            self.moved | other.moved,
        )


class Fabric:
    """The panel's fabric, any of its rows when asked for; parts stand side by side on the panel.

    With ``knit`` only what is knit when so many rows are.
    """

    def __init__(self, working: Working | Plan, knit: int | None = None) -> None:
        self.working = Working(working) if isinstance(working, Plan) else working
        self.plan = self.working.plan
        self.panel = self.working.reach
        self.ladders = frozenset(map(int, self.plan.panel.out_of_work))
        self._knit = self.working.calendar.rows if knit is None else knit
        self._rows: dict[int, FabricRow] = {}
        self._places: dict[tuple[int, ...], tuple[object, frozenset[int]]] = {}

    @cached_property
    def repeat(self) -> Repeated[Any] | None:
        """The main repeat of its crossings: all rows are walked for it."""
        return main_repeat(self.working.calendar)

    @cached_property
    def _beside(self) -> dict[int, list[Row]] | None:
        """The rows of each height; None where there is one of each, as in a panel without parts."""
        if not self.plan.part:
            return None
        found: dict[int, list[Row]] = {}
        for number in range(1, self._knit + 1):
            row = self.working.calendar.row(number)
            found.setdefault(row.fabric, []).append(row)
        return found

    @cached_property
    def rows(self) -> int:
        """How many rows high it is."""
        return self._knit if self._beside is None else max(self._beside)

    def _at(self, number: int) -> list[Row]:
        """The rows of a height, or rows like them."""
        return [self.working.calendar.like(number)] if self._beside is None else self._beside.get(number, [])

    def row(self, number: int) -> FabricRow:
        """One row, counted from the cast-on. Raises IndexError outside 1 to ``rows``."""
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        if number not in self._rows:
            rows = [self.working.calendar.row(number)] if self._beside is None else self._at(number)
            self._rows[number] = reduce(FabricRow.beside, map(self._replayed, rows))
        return self._rows[number]

    def asked(self, number: int) -> Iterator[tuple[str | None, Work]]:
        """What a row is asked beside its crossings, each with the part it is asked of."""
        for row in self._at(number):
            yield from ((row.part, work) for work in row.works if not isinstance(work, Crossed))

    def knit_in(self, number: int) -> frozenset[int]:
        """The places that are knit in a row."""
        rows = self._at(number)
        # Rows between two changes of the edges share their needles, and a drawing asks for each row many times.
        alike = tuple(id(row.needles) for row in rows)
        if alike not in self._places:
            self._places[alike] = [row.needles for row in rows], frozenset(int(n) for row in rows for n in row.needles)
        return self._places[alike][1]

    def bare(self, number: int) -> frozenset[int]:
        """The places that are not knit in a row: beyond the edges, or resting. Ladders are not among them."""
        knit = self.knit_in(number)
        if len(knit) + len(self.ladders) == len(self.panel):
            return frozenset()
        return frozenset(map(int, self.panel)).difference(knit, self.ladders)

    @cached_property
    def _missed(self) -> dict[int, list[int]]:
        """The rows in which a place rested while others were knit, by place: it is so much lower from there on."""
        found: dict[int, list[int]] = {}
        for number in range(1, self.rows + 1) if any(shape.do == "hold" for shape in self.plan.shape) else ():
            resting = {int(n) for row in self._at(number) for n in row.resting}
            for place in resting - self.knit_in(number) if resting else ():
                found.setdefault(place, []).append(number)
        return found

    @property
    def shaped(self) -> bool:
        """Whether its edges are not the same in all rows."""
        return bool(self.plan.shape or self.plan.part)

    @property
    def lowered(self) -> int:
        """How many rows lower than others some place stands, at most, for it rested."""
        return max(map(len, self._missed.values()), default=0)

    def height(self, place: int, rows: float) -> float:
        """How high the fabric stands at a place, in rows of its own, when so many rows are knit from the cast-on."""
        missed = self._missed.get(place)
        if missed is None:
            return rows
        full = bisect_right(missed, rows)
        part = rows % 1 if full < len(missed) and missed[full] == int(rows) + 1 else 0
        return rows - full - part

    def empty(self, height: int) -> frozenset[int]:
        """The places where nothing was knit that stands so high, counted in the rows of each; ladders are not among them."""
        bare = self.bare(height)
        if not self._missed:
            return bare
        knit = {place for place, missed in self._missed.items() if self._is_knit(place, missed, height)}
        return bare.difference(knit) | (self._missed.keys() - knit)

    def stands(self, place: int, height: int) -> bool:
        """Whether something was knit at a place, no ladder, that stands so high."""
        missed = self._missed.get(place)
        return place in self.knit_in(height) if missed is None else self._is_knit(place, missed, height)

    def _is_knit(self, place: int, missed: list[int], height: int) -> bool:
        row = height
        while (after := height + bisect_right(missed, row)) != row:
            row = after
        return row <= self.rows and place in self.knit_in(row)

    @cached_property
    def _purled(self) -> dict[int, set[int]]:
        found: dict[int, set[int]] = {}
        for number in range(1, self.rows + 1) if self.plan.stitch else ():
            for work in (work for row in self._at(number) for work in row.works if work.down > 1):
                for row in range(number - work.down + 1, number + 1):
                    found.setdefault(row, set()).update(map(int, work.needles))
        return found

    def purled(self, number: int) -> frozenset[int]:
        """The places whose stitch shows purl on the knit side: it was latched up from there."""
        return frozenset(self._purled.get(number, ()))

    def crossing_rows(self, first: int = 1, last: int | None = None) -> Iterator[int]:
        """The crossing rows from ``first`` to ``last``, both counted."""
        last = self.rows if last is None else min(last, self.rows)
        for number in range(max(1, first), last + 1):
            if any(row.crossed for row in self._at(number)):
                yield number

    def drawn_rows(self, first: int, last: int) -> int:
        """The last of these rows that a picture from the first has room for: after so many crossings more show no more."""
        crossings = accumulate(sum(len(row.crossed) for row in self._at(number)) for number in range(first, last + 1))
        return max(first, first - 1 + sum(1 for _ in takewhile(lambda so_far: so_far <= MOST_DRAWN, crossings)))

    def moved_rows(self, first: int = 1, last: int | None = None) -> Iterator[int]:
        """The rows from ``first`` to ``last``, both counted, before which stitches are transferred."""
        last = self.rows if last is None else min(last, self.rows)
        if not any(shape.do in ("decrease", "increase") for shape in self.plan.shape):
            return
        yield from (n for n in range(max(1, first), last + 1) if self.row(n).moved)

    def _replayed(self, row: Row) -> FabricRow:
        if not row.works:
            return FabricRow(row.size, {})
        works = tuple(work for work in row.works if not isinstance(work, Crossed))
        try:
            moves = self.working.as_knit(row)
        except CannotBeWalked as error:
            return FabricRow(row.size, {}, refused=(str(error),), works=works)
        on = (self.panel, tuple(sorted((*row.needles, *row.resting))), self.plan.machine.dial)
        return replace(replayed(on, row.side, row.size, moves), works=works)


def sign_of(work: Work, face: Face) -> str:
    """The sign of a work as seen from a side: what leans, leans inwards from its edge."""
    if work.sign == "/" and isinstance(work, EdgeWork):
        return "/" if (work.edge is Side.LEFT) is (face is Face.PURL) else "\\"
    return work.sign


def replayed(
    on: tuple[Span, tuple[Needle, ...], tuple[float, float]], start: Side, size: float, moves: Iterable[Move]
) -> FabricRow:
    """What a row's moves make: ``on`` is the panel, the needles in work and the dial; the dial stands at ``size``.

    The passes are counted needle by needle; each crossing is made on a bed that
    carries what they left, and left out if the bed refuses it.
    """
    panel, in_work, dial_range = on
    left, dial = int(panel.left), size
    rows, loops = [0] * len(panel), [size] * len(panel)
    crossings = []
    moved: dict[int, int] = {}
    for move in moves:
        match move:
            case Dial(to):
                dial = to
            case Knit() | ByHand():
                drawn = BY_HAND if isinstance(move, ByHand) else dial
                for needle in move.needles:
                    rows[needle - left] += 1
                    loops[needle - left] = drawn
            case Cross():
                crossings.append(move)
            case Transfer():
                moved |= zip(map(int, move.needles), map(int, move.onto), strict=True)
    stitches = {
        int(n): Stitch(count, loop, loop > size)
        for n, count, loop in zip(panel, rows, loops, strict=True)
        if count > 1 or (count and loop != size)
    }
    if not crossings:
        return FabricRow(size, stitches, moved=moved)
    bed = Bed(panel, in_work, carriage=start.other, dial=dial, dial_range=dial_range)
    bed.rows, bed.loop_size = rows, loops
    refused: list[str] = []
    made = [_made(cross, bed) for cross in crossings if _push(bed, cross, refused)]
    return FabricRow(size, stitches, tuple(made), tuple(refused), moved=moved)


def _made(cross: Cross, bed: Bed) -> FabricCrossing:
    """What the crossing did, read off the bed: whose stitch hangs where now."""
    moved = [(Needle(bed.strand[int(n) - int(bed.panel.left)]), n) for n in cross.needles]
    return FabricCrossing(
        cross.cable,
        cross.crossing,
        tuple(strand for strand in moved if strand[0] in cross.crossing.front),
        tuple(strand for strand in moved if strand[0] in cross.crossing.back),
    )


def _push(bed: Bed, move: Move, refused: list[str]) -> bool:
    try:
        bed.push(move)
    except BedFault as fault:
        refused.extend(map(str, fault.found))
        return False
    return True
