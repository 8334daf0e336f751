"""The working out: the rows of a calendar as demand, moves and bed.

Nothing is replayed from the first row: a row's moves depend on that row and
on where the row before left the dial, and the bed before a row is what the row
before made of a bed in working position.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import CannotBeWalked, Demand
from purlside.bed.faults import BedFault, Fault, Found
from purlside.bed.moves import Lever, Tell, Weights
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import MOST_WRAPPED, Wrap
from purlside.plan.plan import Plan
from purlside.rows.bridging import bridge
from purlside.rows.calendar import Calendar, Rows
from purlside.rows.row import Kind, Row
from purlside.rows.steps import Step, steps
from purlside.work.crossing import Crossed

if TYPE_CHECKING:
    from purlside.ease.reach import EaseChoice

ROWS_KEPT = 16
"""Rows whose moves are kept, the latest asked for. 500 keys at once ask 1,270 times for those of 88 rows: made anew each
time they would take 250 ms more, where 300 are wanted in all."""


class Working:
    """Demand, moves and bed of any row, worked out when asked for."""

    def __init__(self, rows: Rows | Plan) -> None:
        self.calendar: Rows = Calendar(rows) if isinstance(rows, Plan) else rows
        self.plan = self.calendar.plan
        # A choice takes 0.1 to 0.2 ms, and each step asks why its cables are eased as they are; a key misses its goal as it is.
        self._choices: dict[tuple[int, Crossing, float], EaseChoice] = {}
        # A row of 200 cables takes 13 ms to work out, and 20,000 rows may be of its kind.
        self._demands: dict[Kind, Demand] = {}
        self._moves: dict[tuple[int, float], tuple[Row, tuple[Move, ...]]] = {}

    @cached_property
    def reach(self) -> Span:
        """The needles the work ever uses: the panel's, and those it grows to."""
        left, right = self.plan.panel.needles.left, self.plan.panel.needles.right
        for segment in self._calendar.segments:
            for edges in (segment.edges, *segment.all_edges):
                left, right = min(left, edges.left), max(right, edges.right)
        return Span(left, right)

    @property
    def _calendar(self) -> Calendar:
        return self.calendar if isinstance(self.calendar, Calendar) else self.calendar.calendar  # type: ignore[attr-defined]

    @cached_property
    def in_work(self) -> tuple[Needle, ...]:
        """The panel's needles in work before row 1."""
        return self.plan.in_work

    def choice(self, cable: int, crossing: Crossing, size: float) -> EaseChoice:
        """How a cable's crossing is eased in a row of that size, and why."""
        key = (cable, crossing, size)
        if key not in self._choices:
            # Plain rows, and so the first step of most plans, ask for no reach.
            from purlside.ease.reach import choose

            self._choices[key] = choose(self.plan, self.calendar.cables[cable], crossing, size)
        return self._choices[key]

    def demand(self, row: Row) -> Demand:
        """What a row asks of each needle it knits. Raises CannotBeWalked."""
        if row.kind not in self._demands:
            demand = Demand.even(row.needles, row.size)
            for work in row.works:
                demand = work.asks(demand, self, row.size)
            self._demands[row.kind] = demand
        return self._demands[row.kind]

    def size_before(self, number: int) -> float:
        """The stitch size of the row before; of the cast-on, the panel's."""
        return self.plan.panel.stitch_size if number == 1 else self.calendar.like(number - 1).size

    def dial_before(self, number: int) -> float:
        """The dial as the row before left it."""
        return self.plan.panel.stitch_size if number == 1 else self.dial_after(self.calendar.like(number - 1))

    def dial_after(self, row: Row) -> float:
        """The size of the last pass: that of the far edge the carriage knits."""
        demand = self.demand(row)
        places = range(len(demand.sizes))
        return next(
            demand.sizes[i] for i in (places if row.side is Side.RIGHT else reversed(places)) if not demand.by_hand[i]
        )

    def moves(self, number: int) -> tuple[Move, ...]:
        """All moves of a row, in order: told, shaped, knit, wrapped, crossed, weights."""
        return self.moves_of(self.calendar.row(number), self.dial_before(number))

    def steps(self, number: int) -> tuple[Step, ...]:
        """A row's moves parted into steps."""
        return steps(self.moves(number))

    def moves_of(self, row: Row, dial: float) -> tuple[Move, ...]:
        """The moves of a row that begins with the dial at ``dial``; the same ones while they are kept."""
        kept = self._moves.get((row.number, dial))
        if kept is None or (kept[0] is not row and kept[0] != row):
            if len(self._moves) >= ROWS_KEPT:
                del self._moves[next(iter(self._moves))]
            kept = self._moves[row.number, dial] = row, self._made(row, dial)
        return kept[1]

    def as_knit(self, row: Row) -> tuple[Move, ...]:
        """The moves that make the fabric of a row, the dial at its own size before."""
        return self.moves_of(row, row.size)

    def _made(self, row: Row, dial: float) -> tuple[Move, ...]:
        before = [move for work in row.works for move in work.before()]
        # Crossings go along the bed from where the carriage stands then; columns are latched up before them.
        others = (work for work in row.works if not isinstance(work, Crossed))
        after = [move for work in (*others, *row.along) for move in work.after(self)]
        wraps = self.wraps(row)
        return (
            *map(Tell, row.told),
            *before,
            *self.knit(row, dial, before),
            *((Wrap(wraps),) if wraps else ()),
            *after,
            *self._weights(row),
        )

    def knit(self, row: Row, dial: float, before: Iterable[Move] = ()) -> tuple[Move, ...]:
        """The moves that knit a row, without what comes ``before`` and after."""
        lever: Literal["hold", "knit"] | None = None
        if self.plan.machine.release_hold:
            lever = next((move.to for move in before if isinstance(move, Lever)), "knit")
        return bridge(self.demand(row), row.across, row.side, dial, row.resting, lever)

    def _weights(self, row: Row) -> tuple[Move, ...]:
        if row.weights:
            return (Weights(row.needles),)
        if row.crossed:
            return (Weights(tuple(sorted(n for c in row.crossed for n in c.crossing.needles))),)
        return ()

    # --- the bed --------------------------------------------------------------

    def bed_before(self, number: int) -> Bed:
        """The bed as it stands before a row. Raises BedFault if the row before cannot be knit."""
        if number == 1:
            return self.fresh(1)
        bed = self.fresh(number - 1)
        for move in self.moves(number - 1):
            bed.push(move)
        return self.complete(bed, number - 1)

    def complete(self, bed: Bed, number: int) -> Bed:
        """Close a row on the bed: the bed as the next row begins. Raises BedFault if the row is not complete."""
        row = self.calendar.row(number)
        if found := bed.row_faults(self.demand(row), row.side, row.resting):
            raise BedFault(row.label, None, found)
        bed.next_row()
        bed.row = self.calendar.row(number + 1).label if number < self.calendar.rows else None
        return bed

    def in_work_before(self, number: int) -> tuple[Needle, ...]:
        """The needles in work as the row before left them."""
        if number == 1:
            return self.in_work
        before = self.calendar.like(number - 1)
        return tuple(sorted((*before.needles, *before.resting)))

    def fresh(self, number: int) -> Bed:
        """A bed as it stands at the start of a row, where the row before left every stitch at one loop."""
        machine, row = self.plan.machine, self.calendar.row(number)
        before = self.calendar.row(number - 1) if number > 1 else None
        side, yarn = row.side, None
        if before is not None:
            side = row.side if before.part == row.part else before.side.other
            # Where the knitter said that the carriage stands on the other side, it took the yarn there with it.
            yarn = before.needles[0] if side is Side.LEFT else before.needles[-1]
        bed = Bed(
            self.reach,
            self.in_work_before(number),
            carriage=side,
            dial=self.dial_before(number),
            dial_range=machine.dial,
            resting=() if before is None else before.resting,
            loops=self.wrapped(number),
            yarn=yarn,
            past=None if before is None else before.across.edge(side),
            lever="knit" if machine.release_hold else "hold",
        )
        bed.row = row.label
        return bed

    def wraps(self, row: Row) -> tuple[Needle, ...]:
        """The needle wrapped at a row's end, as far as it can take one loop more."""
        full = self.wrapped(row.number) if row.wraps else {}
        return tuple(n for n in row.wraps if full.get(n, 1) < MOST_WRAPPED)

    def wrapped(self, number: int) -> dict[Needle, int]:
        """The resting needles that carry more than their stitch before a row, with how many loops."""
        found: dict[Needle, int] = {}
        resting: set[Needle] | None = None
        for at in range(number - 1, 0, -1):
            row = self.calendar.like(at)
            # Those that rested all the while keep their wraps.
            resting = set(row.resting) if resting is None else resting & set(row.resting)
            if not row.turned or not resting:
                break
            for needle in resting & set(row.wraps):
                found[needle] = min(found.get(needle, 1) + 1, MOST_WRAPPED)
        return found

    def simulate(self) -> list[BedFault]:
        """Knit one row of each kind on a bed; every fault found, by row."""
        found = []
        for tally in sorted(self.calendar.kinds().values(), key=lambda t: t.first):
            try:
                bed = self.fresh(tally.first)
                for move in self.moves(tally.first):
                    bed.push(move)
                self.complete(bed, tally.first)
            except BedFault as fault:
                found.append(fault)
            except CannotBeWalked as error:
                found.append(BedFault(tally.row.label, None, [Found(Fault.ROWS_MISSING, str(error))]))
        return found
