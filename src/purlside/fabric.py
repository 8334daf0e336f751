"""The fabric: what hangs below the bed, from the replayed stitches.

Each row's moves are made on a bed, and what the bed then carries is the
course: loops, how many rows of them, where each stitch went and which passes
in front. The plan's words are not asked; a crossing the bed refuses is not in
the fabric, and the refusal is kept with the course.

Rows of one kind give one course, so a window of rows costs what is in it::

    fabric = Fabric(plan)                  # or Fabric(working), or of the plan as really knit
    course = fabric.course(8)
    for made in course.made:
        made.over(Face.KNIT)               # (from, to) of each stitch that lies on top on the knit side

Places are needle places of the bed (R1 = 0). The purl side shows them as they
stand at the bed; the knit side shows them mirrored (:meth:`Face.order`). Which
strand passes over changes with the side, the way the strand on top leans does
not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from purlside.bed import BY_HAND, Bed
from purlside.calendar import Kind, Row
from purlside.demand import CannotBeWalked
from purlside.faults import BedFault
from purlside.moves import Cross, Move, Tell, Weights
from purlside.needles import Crossing, Needle, Side, Span
from purlside.plan import Plan
from purlside.working import Working

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
class Made:
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
class Course:
    """One row of the fabric.

    ``size`` is the row's own stitch size. ``stitches`` holds those that differ
    from one loop at that size, by the place they were knit on; ``made`` the
    crossings after the row; ``refused`` what the bed would not do, in words.
    """

    size: float
    stitches: dict[int, Stitch]
    made: tuple[Made, ...] = ()
    refused: tuple[str, ...] = ()


class Fabric:
    """The panel's fabric, any course when asked for."""

    def __init__(self, working: Working | Plan) -> None:
        self.working = Working(working) if isinstance(working, Plan) else working
        self.plan = self.working.plan
        self.panel = self.plan.panel.needles
        self.rows = self.working.calendar.rows
        in_work = set(self.working.in_work)
        self.ladders = frozenset(int(n) for n in self.panel if n not in in_work)
        self._courses: dict[Kind, Course] = {}

    def course(self, number: int) -> Course:
        """One row. Raises IndexError outside 1 to ``rows``."""
        return self.course_of(self.working.calendar.row(number))

    def course_of(self, row: Row) -> Course:
        kind = row.kind
        course = self._courses.get(kind)
        if course is None:
            course = self._courses[kind] = self._replayed(row)
        return course

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
            for made in self.course(row).made:
                moved = [(went, order[came - left]) for came, went in (*made.front, *made.back)]
                for went, strand in moved:
                    order[went - left] = strand
        return tuple(order)

    def _replayed(self, row: Row) -> Course:
        try:
            asked = self.working.moves_of(row, row.size)
        except CannotBeWalked as error:
            return Course(row.size, {}, refused=(str(error),))
        moves = tuple(move for move in asked if not isinstance(move, (Tell, Weights)))
        return replayed(self.panel, self.working.in_work, row.start, row.size, self.plan.machine.dial, moves)


@lru_cache(maxsize=4096)
def replayed(
    panel: Span,
    in_work: tuple[Needle, ...],
    start: Side,
    size: float,
    dial_range: tuple[float, float],
    moves: tuple[Move, ...],
) -> Course:
    """The course these moves make on a bed in working position, the carriage on ``start``, the dial at ``size``.

    A move the bed refuses is left out. Kept between fabrics: an edit replays only the rows it changes.
    """
    bed = Bed(panel, in_work, carriage=start, dial=size, dial_range=dial_range)
    refused: list[str] = []
    for move in moves:
        if not isinstance(move, Cross):
            _push(bed, move, refused)
    working = set(in_work)
    stitches = {
        int(needle): Stitch(rows, loop, loop > size)
        for needle, rows, loop in zip(panel, bed.rows, bed.loop_size, strict=True)
        if needle in working and (rows != 1 or loop != size)
    }
    made = [_made(move, bed) for move in moves if isinstance(move, Cross) and _push(bed, move, refused)]
    return Course(size, stitches, tuple(made), tuple(refused))


def _made(cross: Cross, bed: Bed) -> Made:
    """What the crossing did, read off the bed: whose stitch hangs where now."""
    moved = [(Needle(bed.strand[int(n) - int(bed.panel.left)]), n) for n in cross.needles]
    return Made(
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
