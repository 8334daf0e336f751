"""The working out: the rows of a calendar as demand, moves and bed.

Nothing is replayed from the first row: a row's moves depend on that row and
on where the row before left the dial, and the bed before a row is what the row
before made of a bed in working position.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import Demand
from purlside.bed.faults import BedFault
from purlside.bed.moves import Tell, Weights
from purlside.bed.needles import Crossing, Needle
from purlside.bed.transfers import Cross
from purlside.plan.plan import Plan
from purlside.rows.bridging import bridge
from purlside.rows.calendar import Calendar, Kind, Row, Rows

if TYPE_CHECKING:
    from purlside.ease.reach import EaseChoice

ROWS_KEPT = 16
"""Rows whose moves are kept, the latest asked for: the one in hand and its neighbours are asked for many times a step."""


class Working:
    """Demand, moves and bed of any row, worked out when asked for. The plan alone decides them."""

    def __init__(self, rows: Rows | Plan) -> None:
        self.calendar: Rows = Calendar(rows) if isinstance(rows, Plan) else rows
        self.plan = self.calendar.plan
        self._choices: dict[tuple[int, Crossing, float], EaseChoice] = {}
        self._demands: dict[Kind, Demand] = {}
        self._begins: dict[int, tuple[Row, float]] = {}
        self._moves: dict[tuple[int, float], tuple[Row, tuple[Move, ...]]] = {}

    @cached_property
    def in_work(self) -> tuple[Needle, ...]:
        return self.plan.in_work

    def choice(self, cable: int, crossing: Crossing, size: float) -> EaseChoice:
        """How a cable's crossing is eased in a row of that size, and why."""
        key = (cable, crossing, size)
        if key not in self._choices:
            # Plain rows, and so the first step of most plans, ask for no reach.
            from purlside.ease.reach import choose

            self._choices[key] = choose(self.plan, self.plan.cable[cable], crossing, size)
        return self._choices[key]

    def demand(self, kind: Kind) -> Demand:
        """What rows of a kind ask of each needle."""
        if kind not in self._demands:
            demand = Demand.even(self.in_work, kind.size)
            for cable, crossing in kind.crossings:
                choice = self.choice(cable, crossing, kind.size)
                demand = demand.asking(crossing.front, extra_rows=choice.extra_rows, by_hand=choice.by_hand)
                if choice.enlarge:
                    demand = demand.asking(crossing.back, size=choice.enlarged_size)
            self._demands[kind] = demand
        return self._demands[kind]

    def size_before(self, number: int) -> float:
        """The stitch size of the row before; of the cast-on, the panel's."""
        return self.plan.panel.stitch_size if number == 1 else self.calendar.row(number - 1).size

    def dial_before(self, number: int) -> float:
        """The dial as the row before left it."""
        if number == 1:
            return self.plan.panel.stitch_size
        return self.dial_after(self.calendar.row(number - 1).kind)

    def dial_after(self, kind: Kind) -> float:
        """The size of the last pass: that of the far edge the carriage knits."""
        demand = self.demand(kind)
        far = zip(demand.sizes, demand.by_hand, strict=True)
        knit = [size for size, hand in far if not hand]
        return knit[0] if kind.start.other == "left" else knit[-1]

    def moves(self, number: int) -> tuple[Move, ...]:
        """All moves of a row, in order: told, knit, crossed, weights."""
        if number not in self._begins:
            if len(self._begins) >= ROWS_KEPT:
                del self._begins[next(iter(self._begins))]
            self._begins[number] = self.calendar.row(number), self.dial_before(number)
        return self.moves_of(*self._begins[number])

    def moves_of(self, row: Row, dial: float) -> tuple[Move, ...]:
        """The moves of a row that begins with the dial at ``dial``; the same ones while they are kept."""
        kept = self._moves.get((row.number, dial))
        if kept is None or (kept[0] is not row and kept[0] != row):
            if len(self._moves) >= ROWS_KEPT:
                del self._moves[next(iter(self._moves))]
            kept = self._moves[row.number, dial] = row, self._made(row, dial)
        return kept[1]

    def _made(self, row: Row, dial: float) -> tuple[Move, ...]:
        knit = bridge(self.demand(row.kind), self.plan.panel.needles, row.start, dial)
        return (*map(Tell, row.told), *knit, *(Cross(c.name, c.crossing) for c in row.crossed), *self._weights(row))

    def _weights(self, row: Row) -> tuple[Move, ...]:
        if row.weights:
            return (Weights(self.in_work),)
        if row.crossed:
            return (Weights(tuple(sorted(n for c in row.crossed for n in c.crossing.needles))),)
        return ()

    def bed_before(self, number: int) -> Bed:
        """The bed as it stands before a row. Raises BedFault if the row before cannot be knit."""
        if number == 1:
            return self._fresh(1)
        bed = self._fresh(number - 1)
        for move in self.moves(number - 1):
            bed.push(move)
        self.complete(bed, number - 1)
        return bed

    def complete(self, bed: Bed, number: int) -> None:
        """Close a row on the bed and begin the next. Raises BedFault if it is not complete."""
        row = self.calendar.row(number)
        if found := bed.row_faults(self.demand(row.kind), row.start):
            raise BedFault(number, None, found)
        bed.next_row()
        bed.row = number + 1

    def _fresh(self, number: int) -> Bed:
        """A bed in working position at the start of a row."""
        bed = Bed(
            self.plan.panel.needles,
            self.in_work,
            carriage=self.calendar.row(number).start,
            dial=self.dial_before(number),
            dial_range=self.plan.machine.dial,
        )
        bed.row = number
        return bed

    def simulate(self) -> list[BedFault]:
        """Knit one row of each kind on a bed; every fault found, by row."""
        found = []
        for tally in sorted(self.calendar.kinds().values(), key=lambda t: t.first):
            try:
                bed = self._fresh(tally.first)
                for move in self.moves(tally.first):
                    bed.push(move)
                self.complete(bed, tally.first)
            except BedFault as fault:
                found.append(fault)
        return found
