"""The plans a panel is knit from: one, or where it was changed on the needles each from its row on.

What is knit stays as it was knit. Rows keep their numbers; from its first row
on a changed plan says what they are, and each cable's repeats count from the
crossing made last, unless the plan is taken as it is written.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace

from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.row import Row
from purlside.values import Value
from purlside.work.crossing import Crossed


class Counted(Value):
    """A cable's crossing made last before a stretch: the ``k``-th, made after row ``row`` of the plan."""

    cable: str
    k: int
    row: int


class PlanFrom(Value):
    """A plan, from its row ``first`` on; ``counted`` are the crossings its repeats count from."""

    first: int
    plan: Plan
    counted: tuple[Counted, ...] = ()


class Stretches:
    """The rows of all stretches as one calendar, 1 to ``rows``; ``plan`` is the last stretch's."""

    def __init__(self, stretches: Sequence[PlanFrom], counted: Iterable[Counted] = ()) -> None:
        """``counted``: repeats that count from another row than their plan says, the later ones last."""
        self.stretches = tuple(stretches)
        self._firsts = [stretch.first for stretch in self.stretches]
        self.calendars = [Calendar(stretch.plan) for stretch in self.stretches]
        self.calendar = self.calendars[-1]
        self.plan = self.stretches[-1].plan
        self.rows = self.calendar.rows
        self.due: dict[str, list[int]] = {}
        """Of each cable by name: the rows of its crossings, the first, the second, …"""
        waiting = list(counted)
        for i, stretch in enumerate(self.stretches):
            self._add(i, {one.cable: one for one in stretch.counted})
            end = self._firsts[i + 1] if i + 1 < len(self._firsts) else self.rows + 1
            for one in [one for one in waiting if one.row < end]:
                waiting.remove(one)
                self._recount(i, one)
        self.crossings: dict[int, list[tuple[str, int]]] = {}
        """Each crossing row's crossings: cable and which one, from 1."""
        for name, rows in self.due.items():
            for k, row in enumerate(rows, 1):
                self.crossings.setdefault(row, []).append((name, k))

    def _add(self, index: int, counted: dict[str, Counted]) -> None:
        """Knit on from a stretch's plan, from its first row on. With parts, repeats are those its plan says."""
        first, calendar = self._firsts[index], self.calendars[index]
        for i, cable in enumerate(calendar.cables):
            before = self.due.get(cable.name, [])
            del before[bisect_left(before, first) :]
            one = counted.get(cable.name)
            if one is None or cable.every is None or len(calendar.segments) > 1:
                rows = [] if cable.every is None and before else list(calendar.crossing_rows(i, first))
            else:
                start = one.row + cable.every * max(1, -(-(first - one.row) // cable.every))
                rows = list(range(start, calendar.rows + 1, cable.every))
            if cable.times and len(calendar.segments) == 1:
                rows = rows[: max(0, cable.times - len(before))]
            self.due[cable.name] = before + rows
        for name in set(self.due) - {cable.name for cable in calendar.cables}:
            del self.due[name][bisect_left(self.due[name], first) :]

    def _recount(self, index: int, one: Counted) -> None:
        """Let the crossings after one count from the row it was made in, as far as its part of the panel goes."""
        rows, calendar = self.due[one.cable], self.calendars[index]
        if any(c.name == one.cable and c.every is not None for c in calendar.cables):
            shift, last = one.row - rows[one.k - 1], calendar.segment(one.row).last
            later = [row + shift for row in rows[one.k :] if row <= last and row + shift <= last]
            self.due[one.cable] = rows[: one.k] + later + [row for row in rows[one.k :] if row > last]

    # --- one row ---------------------------------------------------------------

    def index(self, row: int) -> int:
        """Which stretch a row is knit from, counted from 0."""
        return max(0, bisect_right(self._firsts, row) - 1)

    def of(self, row: int) -> Calendar:
        """The calendar a row is knit from."""
        return self.calendars[self.index(row)]

    def row(self, number: int) -> Row:
        """A row as its plan has it. Raises IndexError outside 1 to ``rows``."""
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        return self.of(number).row(number)

    def crossing(self, name: str, k: int, number: int | None = None) -> Crossed:
        """A cable's ``k``-th crossing, on the needles it has in the row it is due after, or in row ``number``."""
        due = self.due[name][k - 1]
        calendar = self.of(due if number is None else number)
        index = next(i for i, cable in enumerate(calendar.cables) if cable.name == name)
        turn = k if len(calendar.segments) == 1 else max(1, calendar.repeats[index].k(calendar.fabric_row(due)))
        return replace(calendar.laid(index, turn, number or due), k=k, of=len(self.due[name]))
