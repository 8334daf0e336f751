"""A plan being knit: one cursor over rows and moves, and what can be asked of it.

:class:`Knitting` holds the place and the bed; everything else is asked for.
A place is (row, done): ``done`` moves of that row have been made. Going
anywhere costs one row's work, however far it is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from typing import NamedTuple

from purlside.bed.bed import Bed, Move
from purlside.bed.faults import BedFault
from purlside.bed.moves import Dial
from purlside.bed.needles import Side
from purlside.bed.transfers import Cross
from purlside.knitting.calling import CALLING, Call, Calling, call_at
from purlside.knitting.reasons import why
from purlside.plan.plan import Plan
from purlside.rows.calendar import CableCount, Rows
from purlside.rows.counter import NONE, Clicks, Trip
from purlside.rows.row import Row
from purlside.rows.steps import Step
from purlside.rows.working import Working
from purlside.text.harmless import shown


class Place(NamedTuple):
    """``done`` moves of ``row`` are made; row ``rows + 1`` is the finished panel."""

    row: int
    done: int

    def __str__(self) -> str:
        return f"{self.row}.{self.done}"

    @classmethod
    def parse(cls, text: str) -> Place:
        """Raises ValueError."""
        row, _, done = text.partition(".")
        return cls(int(row), int(done or 0))


class Knitting:
    """One cursor over a plan. ``revision`` changes whenever anything here does."""

    def __init__(self, working: Working, place: Place | None = None) -> None:
        self.working = working
        self.revision = 0
        self.bed: Bed
        self._trip = Trip(working.plan)
        self._counted: tuple[int, Clicks] = (1, NONE)
        self._repeats: tuple[tuple[Rows, int, frozenset[str]], tuple[CableCount, ...]] | None = None
        self.place: Place
        self.row: Row | None
        """The row in hand, None when the panel is finished; all its moves, and its steps."""
        self.moves: tuple[Move, ...]
        self.steps: tuple[Step, ...]
        self._go(self.clamped(place or Place(1, 0)))

    def standing_at(self, place: Place) -> Knitting:
        """The same knitting with a bed and a place of its own. Raises BedFault if that row cannot be knit."""
        other = copy(self)
        other._go(place)
        return other

    # --- where -------------------------------------------------------------

    @property
    def plan(self) -> Plan:
        return self.working.plan

    @property
    def rows(self) -> int:
        return self.working.calendar.rows

    @property
    def finished(self) -> bool:
        return self.place.row > self.rows

    @property
    def step(self) -> Step | None:
        """The step whose moves are next, or None when the panel is finished."""
        return next((step for step in self.steps if self.place.done < step.last), None)

    @property
    def size_before(self) -> float:
        """The stitch size of the row before the one in hand."""
        return self.working.size_before(self.place.row)

    def dial_at(self, done: int) -> float:
        """The dial of the row in hand once ``done`` of its moves are made."""
        if self.row is None:
            return self.bed.dial
        before = (m.size for m in reversed(self.moves[:done]) if isinstance(m, Dial))
        return next(before, self.working.dial_before(self.row.number))

    @property
    def coming(self) -> tuple[int, Step] | None:
        """The step after this one and its row, or None."""
        step = self.step
        if step is None or self.row is None:
            return None
        after = next((c for c in self.steps if step.last < c.last), None)
        return self.next_row_step if after is None else (self.row.number, after)

    @property
    def next_row_step(self) -> tuple[int, Step] | None:
        """The row after the one in hand and its first step; None in the last row and after it."""
        number = self.place.row + 1
        return None if number > self.rows else (number, self.working.steps(number)[0])

    @property
    def side(self) -> Side:
        """The side the carriage stands on: of the panel, or of the needles this row knits; among them, where it began."""
        if self.bed.side is not None or self.row is None:
            return self.bed.side or Side.RIGHT
        if self.bed.gap > self.row.needles[-1]:
            return Side.RIGHT
        return Side.LEFT if self.bed.gap <= self.row.needles[0] else self.row.side

    def clamped(self, place: Place) -> Place:
        """The nearest place there is."""
        if place.row < 1:
            return Place(1, 0)
        if place.row > self.rows:
            return Place(self.rows + 1, 0)
        moves = len(self.working.moves(place.row))
        if place.done >= moves:
            return Place(place.row + 1, 0)
        return Place(place.row, max(0, place.done))

    def number(self, said: str) -> int:
        """The row in knitting order that is meant by ``"8"``, of the panel or of the part in hand, or by ``"230 left"``.

        Raises ValueError with what is allowed.
        """
        text, _, part = said.strip().partition(" ")
        calendar, last = self.working.calendar, self.rows
        ends = calendar.row(last).fabric if self.plan.part else last
        names = ", ".join(p.name for p in self.plan.part)
        allowed = f"a row, 1 to {ends:,}" + (f", of a part as {ends} {self.plan.part[0].name}" if names else "")
        if not (text.isascii() and text.isdigit()):
            raise ValueError(f"Found {shown(said, 20)}; allowed: {allowed}")
        row = int(text[:9])
        if not self.plan.part:
            if not 1 <= row <= last:
                raise ValueError(f"Found {shown(said, 20)}; allowed: {allowed}")
            return row
        found = [n for n in range(1, last + 1) if calendar.row(n).fabric == row]
        if part:
            found = [n for n in found if (calendar.row(n).part or "").startswith(part.strip().removeprefix("of "))]
        if not found:
            raise ValueError(f"Found {shown(said, 30)}; allowed: {allowed}; parts: {names}")
        here = calendar.row(min(self.place.row, last)).part
        return next((n for n in found if calendar.row(n).part == here), found[0])

    def named(self, number: int) -> str:
        """A row in knitting order as it is told here: its fabric row, and its part where that is not the one in hand."""
        if number > self.rows:
            return f"{number:,}"
        calendar = self.working.calendar
        row, here = calendar.row(number), calendar.row(min(self.place.row, self.rows))
        return f"{row.fabric:,}" if row.part in (None, here.part) else str(row.label)

    # --- going -------------------------------------------------------------

    def next_place(self) -> Place:
        """Where "done" leads: past this step."""
        step = self.step
        return self.place if step is None else self._after(step.last)

    def place_before(self) -> Place:
        """Where "back" leads: to the start of this step if within it, else of the one before."""
        return self._before(lambda row: [step.first for step in self.working.steps(row)])

    def next_move_place(self) -> Place:
        return self.place if self.finished else self._after(self.place.done + 1)

    def move_before_place(self) -> Place:
        return self._before(lambda row: range(len(self.working.moves(row))))

    def _before(self, marks: Callable[[int], Sequence[int]]) -> Place:
        """The last of a row's marks before this place, or of those of the row before."""
        row, done = self.place
        if done:
            return Place(row, max(mark for mark in marks(row) if mark < done))
        return self.place if row == 1 else Place(row - 1, marks(row - 1)[-1])

    def _after(self, done: int) -> Place:
        return Place(self.place.row, done) if done < len(self.moves) else Place(self.place.row + 1, 0)

    def go(self, place: Place) -> None:
        """Take the cursor there. Raises BedFault, and stays, if that row cannot be knit."""
        place = self.clamped(place)
        if place.row == self.place.row:
            while len(self.bed.moves) > place.done:
                self.bed.pop()
            self._make(self.moves[len(self.bed.moves) : place.done])
            self.place = place
        elif place == Place(self.place.row + 1, 0) and not self.finished:
            self._make(left := self.moves[len(self.bed.moves) :])
            try:
                self.bed = self.working.complete(self.bed, self.place.row)
            except BedFault:
                self._unmake(len(left))
                raise
            self._enter(place)
        else:
            self._go(place)
        self.revision += 1

    def _make(self, moves: tuple[Move, ...]) -> None:
        for made, move in enumerate(moves):
            try:
                self.bed.push(move)
            except BedFault:
                self._unmake(made)
                raise

    def _unmake(self, many: int) -> None:
        for _ in range(many):
            self.bed.pop()

    def _go(self, place: Place) -> None:
        bed = self.working.bed_before(place.row)
        for move in self.working.moves(place.row)[: place.done] if place.done else ():
            bed.push(move)
        self.bed = bed
        self._enter(place)

    def _enter(self, place: Place) -> None:
        self.place = place
        finished = place.row > self.rows
        self.row = None if finished else self.working.calendar.row(place.row)
        self.moves = () if finished else self.working.moves(place.row)
        self.steps = self.working.steps(place.row) if self.moves else ()

    # --- counting ----------------------------------------------------------

    def cables(self) -> tuple[CableCount, ...]:
        """Each cable's repeat counter, in the plan's order; the same ones until a row is done or a crossing made."""
        crossed = frozenset(move.cable for move in self.moves[: self.place.done] if isinstance(move, Cross))
        asked = self.working.calendar, self.place.row, crossed
        if self._repeats is None or self._repeats[0] != asked:
            calendar, row, _ = asked
            counts = (calendar.count(i, row, crossed=c.name in crossed) for i, c in enumerate(self.plan.cable))
            self._repeats = asked, tuple(counts)
        return self._repeats[1]

    def call(self, calling: Calling = CALLING) -> Call | None:
        """The call that stands here."""
        return call_at(self.working.calendar, self.place.row, calling)

    @property
    def counter(self) -> int | None:
        """What the machine's own counter should have clicked since row 1; None where no trip is given."""
        counts = self.counts
        return None if counts is None else counts.told

    @property
    def counts(self) -> Clicks | None:
        """The clicks since row 1, and how many fewer or more there may have been; None where no trip is given."""
        if not self._trip.known:
            return None
        row, clicks = self._counted
        number = self.place.row
        if row != number:
            clicks = clicks.plus(self._clicks(row)) if number == row + 1 else self._clicks_before(number)
            self._counted = (number, clicks)
        if self.row is None or not self.place.done:
            return clicks
        return clicks.plus(self._trip.along(self.moves, self.row.side)[self.place.done])

    def _clicks(self, number: int) -> Clicks:
        row = self.working.calendar.row(number)
        return self._trip.counts(self.working.moves(number), row.side)

    def _clicks_before(self, number: int) -> Clicks:
        rows, found = self.working.calendar, NONE
        counted = rows.kinds(1, number - 1) if number > 1 else {}
        for tally in counted.values():
            found = found.plus(self._clicks_planned(tally.row).times(tally.count))
        for befallen in rows.befallen:
            if befallen < number:
                found = found.plus(self._clicks_planned(rows.row(befallen)).times(-1)).plus(self._clicks(befallen))
        return found

    def _clicks_planned(self, row: Row) -> Clicks:
        """Those of a row that nothing befell."""
        return self._trip.counts(self.working.as_knit(row), row.side)

    # --- why ---------------------------------------------------------------

    @property
    def why(self) -> str:
        """Why the step in hand is as it is."""
        return why(self.working, self.row, self.moves, self.step) if self.step and self.row else ""
