"""The plan as it is really being knit: its rows, and how the knitting differs from it.

A :class:`Course` answers what a :class:`purlside.rows.calendar.Calendar` answers.
Its rows are those of the fabric, one line each: a row of the plan, or one that
was added; ``plan_row`` and ``row_of`` lead to the plan's rows and back.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property

from purlside.bed.needles import Crossing, Side
from purlside.knitting import deviations
from purlside.knitting.accidents import Accident
from purlside.knitting.deviations import Deviation, DoesNotFit
from purlside.knitting.lines import K, Lines
from purlside.knitting.stretches import Counted, PlanFrom
from purlside.plan.plan import Plan
from purlside.rows.calendar import CableCount, Calendar
from purlside.rows.row import Kind, Row, Tally, tallied
from purlside.work.crossing import Crossed

ROWS_KEPT = 32
"""Rows kept once made, the latest: the row in hand and those told ahead are asked for many times a step."""


class Course(Lines):
    """The rows of the fabric, 1 to ``rows``: the plan's, and those that were added.

    ``said`` are the deviations in force. Raises DoesNotFit where they do not fit the plan or each other.
    """

    def __init__(self, plan: Plan | Sequence[PlanFrom], said: Iterable[Deviation] = ()) -> None:
        super().__init__(plan, said)
        self._rows: dict[int, Row] = {}

    def with_(self, *deviations: Deviation) -> Course:
        """This course with more said. Raises DoesNotFit."""
        return Course(self.stretches, (*self.said, *deviations))

    def saying(self, said: Iterable[Deviation]) -> Course:
        """The same plans with this said, and nothing else. Raises DoesNotFit."""
        return Course(self.stretches, said)

    def ripped(self, to: int) -> Course:
        """This course with nothing said of what was made in row ``to`` or later."""
        kept: list[Deviation] = []
        remade: set[K] = set()
        for said, lines in reversed(list(zip(self.said, self._where, strict=True))):
            row = self.row_at(lines[0])
            match said:
                case deviations.TooMany():
                    if rows := sum(self.row_at(line) < to for line in lines):
                        kept.append(replace(said, rows=rows))
                case deviations.CrossedLate(_, cable, k):
                    if row < to or (row == to and not said.plain):
                        remade.add((cable, k))
                        kept.append(said)
                case deviations.Skipped(_, cable, k):
                    if row < to or (cable, k) in remade:
                        remade.discard((cable, k))
                        kept.append(said)
                case deviations.WrongHalf() | deviations.CountedFrom() | Accident():
                    if row < to:
                        kept.append(said)
                case deviations.Reshaped(at):
                    # What is knit anew is crossed on the cable's own stitches again.
                    if row < to:
                        same = self._shaping(min(at, to)) == self._shaping(at)
                        kept.append(replace(said, at=min(at, to)) if same else said)
                case _ if row <= to:
                    kept.append(said)
        said_ = tuple(reversed(kept))
        first = self.following(to)
        if (last := self.stretches[-1]).first <= first:
            return Course(self.stretches, said_)
        # What is knit anew is knit from the plan as it is now.
        before = tuple(stretch for stretch in self.stretches if stretch.first < first)
        counted = self.counted(to) if before and last.counted else ()
        return Course((*before, PlanFrom(first if before else 1, last.plan, counted)), said_)

    # --- one row -------------------------------------------------------------

    @cached_property
    def _turns(self) -> tuple[list[int], list[int]]:
        """The rows before which the carriage stood on the other side, and the rows that were added."""
        turned = sorted(self._at[line] for line in self._turned if line in self._at)
        return turned, [number for number, line in enumerate(self._lines, 1) if line < 0]

    def side(self, number: int) -> Side:
        """Where the carriage stands before row ``number``."""
        turned, added = self._turns
        flips = bisect_right(turned, number) + bisect_left(added, number)
        flips += self._start not in (None, self._planned_side(1))
        side = self._planned_side(self.following(number))
        return side.other if flips % 2 else side

    def _planned_side(self, plan_row: int) -> Side:
        rows = self.planned.rows
        return self.planned.of(plan_row).side(plan_row) if plan_row <= rows else self._planned_side(plan_row - 1).other

    def size(self, number: int) -> float:
        """The row's own stitch size (dial number)."""
        like = self._like(number)
        calendar = self.planned.of(like)
        rows, sizes = self._sized
        i = bisect_right(rows, number) - 1
        if i < 0:
            return calendar.size(like)
        bands = [b.rows for b in calendar.plan.band if b.stitch_size is not None]
        band = next((b.first for b in reversed(bands) if b.first <= like <= b.last), None)
        return sizes[i] if band is None or band <= self.following(rows[i]) else calendar.size(like)

    @cached_property
    def _sized(self) -> tuple[list[int], list[float]]:
        listed = sorted((self._at[line], size) for line, size in self._sizes.items() if line in self._at)
        return [row for row, _ in listed], [size for _, size in listed]

    def crossed(self, number: int) -> tuple[Crossed, ...]:
        """The crossings made after a row, in the plan's order, each as it was made."""
        return tuple(work for work in self._crossings(number) if work.made)

    def _crossings(self, number: int, *, begun: bool = False) -> tuple[Crossed, ...]:
        """The crossings a row is knit for or that are made after it; ``begun`` as the row was begun."""
        found = []
        for key, made, eased, turned in self._keys(number, begun=begun):
            work = self.planned.crossing(*key, self._like(number))
            laid = self._as_told.get(key, work.crossing)
            crossing = laid.other_way if turned else laid
            found.append(replace(work, crossing=crossing, made=made, eased=eased, turned=turned))
        return tuple(sorted(found, key=lambda work: work.cable))

    def _keys(self, number: int, *, begun: bool = False) -> Iterator[tuple[K, bool, bool, bool]]:
        """Those crossings: which, and whether it is made, eased, and turned."""
        plan_row = self.plan_row(number)
        keys = [] if plan_row is None else self.planned.crossings.get(plan_row, [])
        made = [key for key in keys if key not in self._skipped]
        made += [key for key, line in self._late.items() if self.row_at(line) == number]
        prepared = [key for key, line in self._prepared.items() if self.row_at(line) == number and key not in made]
        plain = not begun and any(one.plain for one in self.accidents(number))
        for key in (*made, *prepared):
            yield key, key in made, not plain and key not in self._plain, key in self._wrong and key in made

    def row(self, number: int) -> Row:
        """Everything about a row. Raises IndexError outside 1 to ``rows``."""
        if number not in self._rows:
            if len(self._rows) >= ROWS_KEPT:
                del self._rows[next(iter(self._rows))]
            self._rows[number] = self._row(number)
        return self._rows[number]

    like = row
    """As it is really knit, no row need be like another."""

    def _row(self, number: int, *, begun: bool = False) -> Row:
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        like, added = self.planned.row(self._like(number)), self.plan_row(number) is None
        others = () if added else tuple(work for work in like.works if not isinstance(work, Crossed))
        works = (*others, *self._crossings(number, begun=begun))
        fabric = number if like.part is None else like.fabric + self._added_before(number, like.part)
        row = replace(like, number=number, fabric=fabric, side=self.side(number), size=self.size(number), works=works)
        return replace(row, told=(), weights=False) if added else row

    @cached_property
    def _added(self) -> dict[str | None, list[int]]:
        """The rows that were added, of the panel and of each part."""
        found: dict[str | None, list[int]] = {}
        for number in self._turns[1]:
            like = self._like(number)
            found.setdefault(self.planned.of(like).segment(like).part, []).append(number)
        return found

    def _added_before(self, number: int, part: str) -> int:
        """How many rows of the fabric below a part's row, and at it, were added."""
        return len(self._added.get(None, ())) + bisect_right(self._added.get(part, ()), number)

    def begins(self, number: int) -> int:
        """The first row of the panel, or of the part, that a row belongs to."""
        like = self._like(number)
        return self.row_of(self.planned.of(like).segment(like).first)

    def begun(self, number: int) -> Row:
        """A row as it was begun, whatever befell it then."""
        return self._row(number, begun=True)

    def accidents(self, number: int) -> tuple[Accident, ...]:
        """What befell the bed in a row, in the order said."""
        line = self._lines[number - 1] if 1 <= number <= self.rows else 0
        return tuple(self._accidents.get(line, ()))

    @property
    def befallen(self) -> list[int]:
        """The rows in which something befell the bed."""
        return sorted(self.row_at(line) for line in self._accidents)

    # --- crossings -----------------------------------------------------------

    @cached_property
    def _made(self) -> dict[str, list[tuple[int, int]]]:
        """Of each cable: the rows after which it is really crossed, in order, and which crossing it is."""
        found: dict[str, list[tuple[int, int]]] = {}
        for name, rows in self.planned.due.items():
            keys = ((name, k) for k in range(1, len(rows) + 1))
            planned = [(self.row_of(rows[k - 1]), k) for name, k in keys if (name, k) not in self._skipped]
            late = [(self.row_at(line), k) for (cable, k), line in self._late.items() if cable == name]
            found[name] = sorted((*planned, *late))
        return found

    def _cables(self, cable: int | None) -> Iterable[list[tuple[int, int]]]:
        return self._made.values() if cable is None else (self._made[self.cables[cable].name],)

    def next_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The first crossing row at or after ``number``, of one cable or of any."""
        found = ((rows, bisect_left(rows, (number, 0))) for rows in self._cables(cable))
        return min((rows[i][0] for rows, i in found if i < len(rows)), default=None)

    def next_shaping(self, number: int) -> int | None:
        """The first row at or after ``number`` before which something is shaped, or a part begins."""
        at = self.following(number)
        while at <= self.planned.rows:
            row = self.planned.of(at).next_shaping(at)
            if row is None or row > self.planned.rows:
                return None
            if self.planned.of(row) is self.planned.of(at):
                return self.row_of(row)
            # Another plan holds there: it says itself what is shaped in its rows.
            at = next(n for n in range(at, row + 1) if self.planned.of(n) is not self.planned.of(at))
        return None

    def last_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The last crossing row before ``number``, of one cable or of any."""
        found = ((rows, bisect_left(rows, (number, 0))) for rows in self._cables(cable))
        return max((rows[i - 1][0] for rows, i in found if i), default=None)

    def count(self, index: int, number: int, *, crossed: bool) -> CableCount:
        """A cable's repeat counter in row ``number``; ``crossed`` if that row's crossing is made."""
        name = self.cables[index].name
        made, following = self._made[name], self.next_crossing(number + crossed, index)
        away = None if following is None else following - number
        return CableCount(name, bisect_left(made, (number, 0)) + crossed, len(made), following, away)

    def missed(self, number: int) -> tuple[Crossed, ...]:
        """Crossings that were skipped in rows before ``number`` and can still be made, latest first."""
        missed = [(self.skipped_row(key), key) for key in self._skipped - self._late.keys()]
        return tuple(self.planned.crossing(*key) for row, key in sorted(missed, reverse=True) if row < number)

    def skipped_row(self, key: K) -> int:
        """The row after which a crossing of the plan is due: its cable, and which one, from 1."""
        return self.row_of(self.planned.due[key[0]][key[1] - 1])

    def crossed_aside(self) -> dict[K, tuple[int, Crossing, Crossing]]:
        """The crossings made on other stitches than their own, as an edge was not shaped: the row, how, and on their own."""
        rows = {(name, k): row for name, made in self._made.items() for row, k in made}
        return {
            key: (rows[key], told, self.planned.crossing(*key, self._like(rows[key])).crossing)
            for key, told in self._as_told.items()
            if key in rows
        }

    def counted(self, number: int) -> tuple[Counted, ...]:
        """Each cable's crossing made last before row ``number``: what its repeats count from where the plan changes."""
        found = []
        for name, made in self._made.items():
            due = sum(self.row_of(row) < number for row in self.planned.due[name])
            if i := bisect_left(made, (number, 0)):
                found.append(Counted(name, due, min(self.following(made[i - 1][0]), self.following(number) - 1)))
        return tuple(found)

    def from_row(self, number: int, plan: Plan, *, counted: bool = True) -> Course:
        """This course with another plan from row ``number`` on; ``counted`` from the crossings made last.

        Raises DoesNotFit where its needles are not those in work there, or what was said does not fit it.
        """
        first = self.following(number)
        before = tuple(stretch for stretch in self.stretches if stretch.first < first)
        if before and first > 1:
            was, now = self.planned.row(first - 1), Calendar(plan)
            row = now.row(first - 1) if first - 1 <= now.rows else was
            if {*was.needles, *was.resting} != {*row.needles, *row.resting}:
                raise DoesNotFit(f"it has other needles in row {number - 1:,} than are in work")
        changed = PlanFrom(first if before else 1, plan, self.counted(number) if counted and before else ())
        return Course((*before, changed), self.said)

    # --- many rows at once ---------------------------------------------------

    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]:
        """How many rows of each kind there are from ``first`` to ``last``, both counted."""
        last = self.rows if last is None else min(last, self.rows)
        if not self.said and len(self.planned.calendars) == 1:
            return self.planned.calendars[0].kinds(first, last)
        return tallied(self._marks(first, last), self._falls, self._row)

    def _falls(self, number: int) -> Hashable:
        """What falls on a row: rows with the same are of one kind, though not the other way round."""
        like = self._like(number)
        calendar = self.planned.of(like)
        turns = {cable.name: len(cable.crossings) for cable in calendar.cables}
        whole = len(calendar.segments) > 1
        crossings = [
            (
                name,
                k if whole or name not in turns else (k - 1) % turns[name],
                *how,
                self._as_told.get((name, k)),
            )
            for (name, k), *how in self._keys(number)
        ]
        added = self._lines[number - 1] < 0
        return self.stretch(number), calendar.like(like).number, added, self.side(number), self.size(number), *crossings

    def _marks(self, first: int, last: int) -> set[int]:
        """Rows where something falls and those after them, where the size changes, and both ends."""
        edges = {first, last + 1, *self._sized[0], *self._turns[0]}
        if first <= last:
            for calendar, stretch in zip(self.planned.calendars, self.stretches, strict=True):
                ends = max(stretch.first, self.following(first)), min(calendar.rows, self.following(last))
                marked = calendar.marks(*ends) if ends[0] <= ends[1] else set()
                edges |= {self.row_of(row) for row in (stretch.first, stretch.first + 1, *marked)}
        special = {row for rows in self._made.values() for row, _ in rows} | set(self.befallen)
        special |= {self.row_at(line) for line in self._prepared.values()}
        special |= {self.row_of(row) for row in self.planned.crossings}
        edges |= special | {row + 1 for row in special}
        for number in self._turns[1]:
            edges |= {number, number + 1}
        return {edge for edge in edges if first <= edge <= last + 1}

    def rows_left(self, number: int) -> tuple[int, int]:
        """Plain and crossing rows still to knit, row ``number`` among them."""
        crossing = len(self._crossing_rows) - bisect_left(self._crossing_rows, number)
        return max(0, self.rows + 1 - number) - crossing, crossing

    @cached_property
    def _crossing_rows(self) -> list[int]:
        return sorted({row for rows in self._made.values() for row, _ in rows if row <= self.rows})
