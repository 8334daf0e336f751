"""The working out of a course: each row by the plan it is knit from, with what befell the bed in its place."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import Demand
from purlside.bed.moves import Dial, Push
from purlside.bed.needles import Crossing
from purlside.knitting.accidents import Begun
from purlside.knitting.course import Course
from purlside.knitting.cursor import Place
from purlside.knitting.deviations import DoesNotFit
from purlside.knitting.mends import ENDS_STEP, RipOut, Stands
from purlside.rows.row import Row
from purlside.rows.steps import Step, steps
from purlside.rows.working import Working

if TYPE_CHECKING:
    from purlside.ease.reach import EaseChoice


class CourseWorking(Working):
    """Demand, moves and bed of any row of a course."""

    def __init__(self, course: Course) -> None:
        super().__init__(course)
        self.course = course
        self._mends: dict[int, list[tuple[int, int, int]]] = {}
        """Where in a row's moves its mends stand: from what befell the bed, where the mend itself begins, where it ends."""
        self._earlier = [_Earlier(course, i) for i in range(len(course.stretches) - 1)]

    def of(self, number: int) -> Working:
        """The working out by the plan that a row is knit from."""
        index = self.course.stretch(number) if self._earlier else 0
        return self._earlier[index] if index < len(self._earlier) else self

    def dial_before(self, number: int) -> float:
        if number == 1:
            return self.of(1).plan.panel.stitch_size
        if self.course.accidents(number - 1):
            dials = [move.size for move in self.moves(number - 1) if isinstance(move, Dial)]
            return dials[-1] if dials else self.dial_before(number - 1)
        return self.of(number - 1).dial_after(self.course.row(number - 1))

    def _made(self, row: Row, dial: float) -> tuple[Move, ...]:
        of = self.of(row.number)
        plan_of = super()._made if of is self else of._made
        if not (accidents := self.course.accidents(row.number)):
            return plan_of(row, dial)
        begun = self.course.begun(row.number)
        planned = moves = plan_of(begun, dial)
        before = self.bed_before(row.number)
        shaped = len(row.told) + sum(len(work.before()) for work in row.works)
        mends: list[tuple[int, int, int]] = []
        for accident in accidents:
            if accident.done > len(moves):
                raise DoesNotFit(f"what befell row {row.number:,} leaves no room for it: {accident.words}")
            bed = before.copy()
            start = before.copy()
            for i, move in enumerate(moves[: accident.done]):
                bed.push(move)
                if i < shaped:
                    start.push(move)
            state = Begun(begun, planned[min(shaped, accident.done) :], start, bed)
            befell, mend, rest = accident.mended(state, moves[accident.done :])
            begin = accident.done + len(befell)
            mends = [(a, b, min(last, accident.done)) for a, b, last in mends if a < accident.done]
            mends.append((accident.done, begin, begin + len(mend)))
            moves = (*moves[: accident.done], *befell, *mend, *rest)
        self._mends[row.number] = mends
        return moves

    def as_knit(self, row: Row) -> tuple[Move, ...]:
        """Mended, a row's fabric is what the row was asked; of what befell the bed nothing stays."""
        of = self.of(row.number)
        return super()._made(row, row.size) if of is self else of._made(row, row.size)

    def steps(self, number: int) -> tuple[Step, ...]:
        moves = self.moves(number)
        if not (mends := self._mends.get(number)):
            return super().steps(number)
        found: list[Step] = []
        at = 0
        for first, _, last in [*mends, (len(moves),) * 3]:
            rest = steps(moves[at:first]) if at < first else ()
            found += [replace(step, first=step.first + at, last=step.last + at) for step in rest]
            found += _mending(moves, first, last)
            at = last
        return tuple(found)

    def befallen(self, place: Place) -> int | None:
        """Where in the row in hand the mend begins of what befell it last; None where nothing did."""
        if place.row > self.course.rows or not self.moves(place.row):
            return None
        begins = [begin for first, begin, _ in self._mends.get(place.row, ()) if first >= place.done]
        return begins[0] if begins else None

    def demand(self, row: Row) -> Demand:
        of = self.of(row.number)
        return super().demand(row) if of is self else of.demand(row)

    def complete(self, bed: Bed, number: int) -> Bed:
        bed = super().complete(bed, number)
        if number < self.course.rows and bed.side is not self.course.side(number + 1):
            return self.fresh(number + 1)
        return bed


class _Earlier(Working):
    """The working out of rows that were knit from an earlier plan."""

    def __init__(self, course: Course, index: int) -> None:
        super().__init__(course)
        self._planned = course.planned.calendars[index]
        self.plan = self._planned.plan

    def choice(self, cable: int, crossing: Crossing, size: float) -> EaseChoice:
        return Working(self._planned).choice(cable, crossing, size)


def _mending(moves: tuple[Move, ...], first: int, last: int) -> list[Step]:
    """The steps of a mend: one thing for the hands at a time."""
    found: list[Step] = []
    begin = first
    for end in range(first + 1, last + 1):
        before, then = moves[end - 1], moves[end] if end < last else None
        begins = isinstance(then, RipOut) and not isinstance(before, Stands)
        if then is None or begins or isinstance(before, ENDS_STEP):
            pushes = isinstance(moves[end - 1], Push)
            found.append(Step(begin, end, moves[begin:end], int(pushes), int(pushes), mends=True))
            begin = end
    return found
