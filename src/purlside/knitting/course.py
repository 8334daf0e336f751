"""The plan as it is really being knit: its calendar, and how the knitting differs from it.

A :class:`Course` answers what a :class:`purlside.rows.calendar.Calendar` answers.
Its rows are those of the fabric; ``plan_row`` and ``row_of`` lead to the plan's
rows and back. Deviations are few, and every answer costs their number at most,
however long the panel.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cached_property

from purlside.bed.bed import Bed
from purlside.bed.moves import size_text
from purlside.bed.needles import Side
from purlside.knitting.altered import Altered, K, ripped
from purlside.knitting.deviations import Deviation, DoesNotFit, SizeFrom, TooMany
from purlside.plan.plan import MOST_ROWS, Cable, Plan
from purlside.rows.calendar import CableCount, Calendar
from purlside.rows.row import Kind, Row, Tally
from purlside.rows.working import Working
from purlside.work.crossing import Crossed

ROWS_KEPT = 32
"""Rows kept once made, the latest: the row in hand and those told ahead are asked for many times a step."""


class Course:
    """The rows of the fabric, 1 to ``rows``: the plan's, and those that were added.

    ``said`` are the deviations in force, in the order said. Raises DoesNotFit
    where they do not fit the plan or each other.
    """

    def __init__(self, plan: Plan | Calendar, said: Iterable[Deviation] = ()) -> None:
        self.calendar = Calendar(plan) if isinstance(plan, Plan) else plan
        self.plan = self.calendar.plan
        self.said: tuple[Deviation, ...] = tuple(said)
        self._cables = {cable.name: i for i, cable in enumerate(self.plan.cable)}
        self._altered = Altered()
        rows = self.calendar.rows
        for deviation in self.said:
            if not 1 <= deviation.at <= rows + isinstance(deviation, TooMany):
                raise DoesNotFit(f"row {deviation.at:,} is not in 1 to {rows:,}")
            if isinstance(deviation, TooMany) and deviation.rows < 1:
                raise DoesNotFit("no row is added")
            if isinstance(deviation, SizeFrom) and not self._on_dial(deviation.size):
                low, high = self.plan.machine.dial
                raise DoesNotFit(f"SS {size_text(deviation.size)} is off the dial, {low:g} to {high:g}")
            self._altered.take(deviation, self._key)
            rows = self.calendar.rows + self._altered.rows
            if rows > MOST_ROWS:
                raise DoesNotFit(f"the panel would be {rows:,} rows long; at most {MOST_ROWS:,} can be counted")
        self.rows = rows
        self._rows: dict[int, Row] = {}
        # Where rows were added: the plan's row before which they lie, and how many are added by then.
        self._before: list[int] = []
        self._sums = [0]
        for added in self._altered.added:
            self._before.append(added.at - self._sums[-1])
            self._sums.append(self._sums[-1] + added.rows)
        self._starts = [added.at for added in self._altered.added]

    def _key(self, cable: str, k: int) -> K:
        index = self._cables.get(cable)
        if index is None:
            raise DoesNotFit(f"the plan has no cable {cable!r}")
        if not 1 <= k <= self.calendar.repeats[index].of:
            raise DoesNotFit(f"{cable} has no crossing {k:,}")
        return index, k

    def _on_dial(self, size: float) -> bool:
        low, high = self.plan.machine.dial
        return low <= size <= high

    def with_(self, *deviations: Deviation) -> Course:
        """This course with more said. Raises DoesNotFit."""
        return Course(self.calendar, (*self.said, *deviations))

    def ripped(self, to: int) -> Course:
        """This course with nothing said of what was made in row ``to`` or later."""
        return Course(self.calendar, ripped(self.said, self._altered, to))

    # --- the fabric's rows and the plan's -----------------------------------

    def following(self, number: int) -> int:
        """The plan's row that row ``number`` is, or that comes after it where it was added."""
        i = bisect_right(self._starts, number) - 1
        if i < 0:
            return number
        added = self._altered.added[i]
        return self._before[i] if number < added.end else number - self._sums[i + 1]

    def plan_row(self, number: int) -> int | None:
        """The plan's row that row ``number`` is; None for an added row."""
        i = bisect_right(self._starts, number) - 1
        return None if i >= 0 and number < self._altered.added[i].end else self.following(number)

    def row_of(self, plan_row: int) -> int:
        """The fabric's row that a row of the plan is."""
        return plan_row + self._sums[bisect_right(self._before, plan_row)]

    # --- one row -------------------------------------------------------------

    def side(self, number: int) -> Side:
        """Where the carriage stands before row ``number``."""
        start = self._altered.start or self.plan.machine.side
        turned = (number - 1 + bisect_right(self._altered.flips, number)) % 2
        return start.other if turned else start

    def size(self, number: int) -> float:
        """The row's own stitch size (dial number)."""
        plan_row = self.plan_row(number)
        # Added rows went on at the size of the row before them.
        like = max(1, self.following(number) - 1) if plan_row is None else plan_row
        i = bisect_right(self._altered.sizes, (number, float("inf"))) - 1
        if i < 0:
            return self.calendar.size(like)
        since, size = self._altered.sizes[i]
        band = self._band(like)
        return size if band is None or band <= self.following(since) else self.calendar.size(like)

    @cached_property
    def _bands(self) -> tuple[list[int], list[int | None]]:
        """Where bands that set a size begin and end, and the first row of the band in force from there."""
        bands = [b.rows for b in self.plan.band if b.stitch_size is not None]
        edges = sorted({1, *(b.first for b in bands), *(b.last + 1 for b in bands)})
        return edges, [next((b.first for b in reversed(bands) if b.first <= e <= b.last), None) for e in edges]

    def _band(self, plan_row: int) -> int | None:
        edges, firsts = self._bands
        return firsts[bisect_right(edges, plan_row) - 1]

    def _crossing(self, key: K) -> Crossed:
        return self.calendar.crossing(*key)

    def crossed(self, number: int) -> tuple[Crossed, ...]:
        """The crossings made after a row, in the plan's order."""
        plan_row, altered = self.plan_row(number), self._altered
        planned = () if plan_row is None else self.calendar.crossed(plan_row)
        kept = [c for c in planned if (c.cable, c.k) not in altered.skipped]
        late = [self._crossing(key) for key, row in altered.late.items() if row == number]
        return tuple(sorted((*kept, *late), key=lambda c: c.cable))

    def row(self, number: int) -> Row:
        """Everything about a row. Raises IndexError outside 1 to ``rows``."""
        if number not in self._rows:
            if len(self._rows) >= ROWS_KEPT:
                del self._rows[next(iter(self._rows))]
            self._rows[number] = self._row(number)
        return self._rows[number]

    def _row(self, number: int) -> Row:
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        plan_row = self.plan_row(number)
        like = self.calendar.row(max(1, self.following(number) - 1) if plan_row is None else plan_row)
        prepared = tuple(replace(self._crossing(key), made=False) for key in self._altered.prepared.get(number, ()))
        crossings = sorted((*self.crossed(number), *prepared), key=lambda c: c.cable)
        others = () if plan_row is None else tuple(w for w in like.works if not isinstance(w, Crossed))
        return replace(
            like,
            number=number,
            fabric=number,
            side=self.side(number),
            size=self.size(number),
            works=(*others, *crossings),
            told=() if plan_row is None else like.told,
            weights=plan_row is not None and like.weights,
        )

    # --- crossings -----------------------------------------------------------

    def _indices(self, cable: int | None) -> Iterable[int]:
        return range(len(self.calendar.repeats)) if cable is None else (cable,)

    def next_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The first crossing row at or after ``number``, of one cable or of any."""
        return min(self._coming(number, cable), default=None)

    def _coming(self, number: int, cable: int | None) -> Iterator[int]:
        altered, following = self._altered, self.following(number)
        for index in self._indices(cable):
            repeat = self.calendar.repeats[index]
            k = repeat.before(following) + 1
            while (index, k) in altered.skipped:
                k += 1
            if k <= repeat.of:
                yield self.row_of(repeat.first + repeat.every * (k - 1))
        yield from (row for (c, _), row in altered.late.items() if row >= number and cable in (None, c))

    def last_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The last crossing row before ``number``, of one cable or of any."""
        return max(self._gone(number, cable), default=None)

    def _gone(self, number: int, cable: int | None) -> Iterator[int]:
        altered, following = self._altered, self.following(number)
        for index in self._indices(cable):
            repeat = self.calendar.repeats[index]
            k = repeat.before(following)
            while (index, k) in altered.skipped:
                k -= 1
            if k >= 1:
                yield self.row_of(repeat.first + repeat.every * (k - 1))
        yield from (row for (c, _), row in altered.late.items() if row < number and cable in (None, c))

    def made(self, index: int, number: int) -> int:
        """How many crossings of a cable are made before row ``number``."""
        altered, before = self._altered, self.calendar.repeats[index].before(self.following(number))
        skipped = sum(c == index and k <= before for c, k in altered.skipped)
        late = sum(c == index and row < number for (c, _), row in altered.late.items())
        return before - skipped + late

    def count(self, index: int, number: int, *, crossed: bool) -> CableCount:
        """A cable's repeat counter in row ``number``; ``crossed`` if that row's crossing is made."""
        altered = self._altered
        lost = sum(c == index for c, _ in altered.skipped) - sum(c == index for c, _ in altered.late)
        following = self.next_crossing(number + crossed, index)
        return CableCount(
            self.plan.cable[index].name,
            self.made(index, number) + crossed,
            self.calendar.repeats[index].of - lost,
            following,
            None if following is None else following - number,
        )

    def missed(self, number: int) -> tuple[Crossed, ...]:
        """Crossings that were skipped in rows before ``number`` and can still be made, latest first."""
        altered = self._altered
        missed = [(self.skipped_row(key), key) for key in altered.skipped if key not in altered.late]
        return tuple(self._crossing(key) for row, key in sorted(missed, reverse=True) if row < number)

    def skipped_row(self, key: K) -> int:
        """The row after which a crossing of the plan was due: (cable's index, which one, from 1)."""
        index, k = key
        repeat = self.calendar.repeats[index]
        return self.row_of(repeat.first + repeat.every * (k - 1))

    # --- many rows at once ---------------------------------------------------

    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]:
        """How many rows of each kind there are from ``first`` to ``last``, both counted."""
        last = self.rows if last is None else min(last, self.rows)
        found: dict[Kind, Tally] = {}
        for number in range(first, last + 1):
            row = self.row(number)
            known = found.get(row.kind)
            found[row.kind] = Tally(known.count + 1, known.row) if known else Tally(1, row)
        return found

    @property
    def cables(self) -> tuple[Cable, ...]:
        return self.calendar.cables


class CourseWorking(Working):
    """The working out of a course: where the carriage stands on the other side, it took the yarn there with it."""

    def complete(self, bed: Bed, number: int) -> Bed:
        bed = super().complete(bed, number)
        if number < self.calendar.rows and bed.side is not self.calendar.row(number + 1).side:
            return self.fresh(number + 1)
        return bed
