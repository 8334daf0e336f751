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

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from purlside.bed.bed import BY_HAND, Bed, Move
from purlside.bed.demand import CannotBeWalked
from purlside.bed.faults import BedFault
from purlside.bed.moves import ByHand, Dial, Knit
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Cross
from purlside.plan.plan import Plan
from purlside.rows.working import Working

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


@dataclass(frozen=True, slots=True)
class Stitch:
    """The loops one needle made in one row: ``rows`` of them (1, or more with extra rows), the last of ``size``."""

    rows: int
    size: float
    enlarged: bool

    @property
    def by_hand(self) -> bool:
        return self.size == BY_HAND


@dataclass(frozen=True, slots=True)
class FabricCrossing:
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


@dataclass(frozen=True, slots=True)
class FabricRow:
    """One row of the fabric.

    ``size`` is the row's own stitch size. ``stitches`` holds those that differ
    from one loop at that size, by the place they were knit on; ``crossings``
    those made after the row; ``refused`` what the bed would not do, in words.
    """

    size: float
    stitches: dict[int, Stitch]
    crossings: tuple[FabricCrossing, ...] = ()
    refused: tuple[str, ...] = ()


class Fabric:
    """The panel's fabric, any row when asked for; with ``rows`` only what is knit when so many are."""

    def __init__(self, working: Working | Plan, rows: int | None = None) -> None:
        self.working = Working(working) if isinstance(working, Plan) else working
        self.plan = self.working.plan
        self.panel = self.working.reach
        self.rows = self.working.calendar.rows if rows is None else rows
        self.ladders = frozenset(map(int, self.plan.panel.out_of_work))
        self._rows: dict[int, FabricRow] = {}

    def row(self, number: int) -> FabricRow:
        """One row. Raises IndexError outside 1 to ``rows``."""
        if number not in self._rows:
            self._rows[number] = self._replayed(number)
        return self._rows[number]

    def bare(self, number: int) -> frozenset[int]:
        """The places that are not knit in a row: beyond the edges, or resting. Ladders are not among them."""
        knit = self.working.calendar.row(number).needles
        if len(knit) + len(self.ladders) == len(self.panel):
            return frozenset()
        return frozenset(map(int, self.panel)).difference(knit, self.ladders)

    def crossing_rows(self, first: int = 1, last: int | None = None) -> Iterator[int]:
        """The crossing rows from ``first`` to ``last``, both counted."""
        last = self.rows if last is None else min(last, self.rows)
        row = self.working.calendar.next_crossing(max(1, first))
        while row is not None and row <= last:
            yield row
            row = self.working.calendar.next_crossing(row + 1)

    def strands(self, number: int) -> tuple[Needle, ...]:
        """After row ``number``: whose stitch of the cast-on hangs on each needle of the panel, bed order.

        Costs the crossing rows up to there.
        """
        left = int(self.panel.left)
        order = list(self.panel)
        for row in self.crossing_rows(1, number):
            for crossing in self.row(row).crossings:
                moved = [(went, order[came - left]) for came, went in (*crossing.front, *crossing.back)]
                for went, strand in moved:
                    order[went - left] = strand
        return tuple(order)

    def _replayed(self, number: int) -> FabricRow:
        row = self.working.calendar.row(number)
        if not row.works:
            return FabricRow(row.size, {})
        try:
            moves = self.working.as_knit(row)
        except CannotBeWalked as error:
            return FabricRow(row.size, {}, refused=(str(error),))
        on = (self.panel, tuple(sorted((*row.needles, *row.resting))), self.plan.machine.dial)
        return replayed(on, row.side, row.size, moves)


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
    stitches = {
        int(n): Stitch(count, loop, loop > size)
        for n, count, loop in zip(panel, rows, loops, strict=True)
        if count > 1 or (count and loop != size)
    }
    if not crossings:
        return FabricRow(size, stitches)
    bed = Bed(panel, in_work, carriage=start.other, dial=dial, dial_range=dial_range)
    bed.rows, bed.loop_size = rows, loops
    refused: list[str] = []
    made = [_made(cross, bed) for cross in crossings if _push(bed, cross, refused)]
    return FabricRow(size, stitches, tuple(made), tuple(refused))


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
