"""The fabric's rows and the plan's, and what was said of them.

A *line* is a row's own mark: the plan's row, or for a row that was added a
number below 0. It stays with the row when rows are added further down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cached_property

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, Side
from purlside.knitting import deviations
from purlside.knitting.accidents import Accident
from purlside.knitting.deviations import Deviation, DoesNotFit
from purlside.knitting.shapings import found, reshaped
from purlside.knitting.stretches import Counted, PlanFrom, Stretches
from purlside.plan.plan import MOST_ROWS, Plan

K = tuple[str, int]
"""A crossing: its cable, and which one it is, counted from 1."""


class Lines:
    """The rows of the fabric, 1 to ``rows``, as plan rows and added ones; ``said`` are the deviations in force, in order.

    Raises DoesNotFit where they do not fit the plan or each other.
    """

    def __init__(self, plan: Plan | Sequence[PlanFrom], said: Iterable[Deviation] = ()) -> None:
        self.stretches = (PlanFrom(1, plan),) if isinstance(plan, Plan) else tuple(plan)
        self.planned = Stretches(self.stretches)
        self.plan = self.planned.plan
        self.said: tuple[Deviation, ...] = tuple(said)
        self._lines = list(range(1, self.planned.rows + 1))
        self._start: Side | None = None
        self._turned: set[int] = set()
        self._sizes: dict[int, float] = {}
        self._counted: list[Counted] = []
        self._plans = list(self.stretches)
        """The stretches with what was shaped otherwise."""
        self._skipped: set[K] = set()
        self._late: dict[K, int] = {}
        self._wrong: set[K] = set()
        self._plain: set[K] = set()
        self._prepared: dict[K, int] = {}
        self._as_told: dict[K, Crossing] = {}
        """Crossings that were made as the screen said, on other stitches than the cable's: an edge was not shaped."""
        self._accidents: dict[int, list[Accident]] = {}
        self._where: list[list[int]] = []
        """Of each deviation said, the lines it is about."""
        for deviation in self.said:
            if not 1 <= deviation.at <= len(self._lines) + isinstance(deviation, deviations.TooMany):
                raise DoesNotFit(f"row {deviation.at:,} is not in 1 to {len(self._lines):,}")
            self._where.append(self._take(deviation))
        # Repeats counted from another row may be fewer.
        for cable, k in (*self._skipped, *self._wrong):
            if k > (of := len(self.planned.due[cable])):
                raise DoesNotFit(
                    f"{cable} would have {of:,} crossings, and something is said of number {k:,}: take that back"
                )
        self.rows = len(self._lines)
        self.calendar = self.planned.calendar
        """The calendar of the plan that is knit now."""
        self.cables = self.calendar.cables

    # --- taking what was said ---------------------------------------------------

    def _take(self, deviation: Deviation) -> list[int]:
        """Take one more; the lines it is about. Raises DoesNotFit."""
        line = self._lines[deviation.at - 1] if deviation.at <= len(self._lines) else 0
        match deviation:
            case deviations.OtherSide():
                self._turned ^= {line}
            case deviations.StartSide(side):
                self._start = side
                self._turned.discard(self._lines[0])
            case deviations.TooMany(at, rows):
                return self._add(at, rows, line)
            case deviations.SizeFrom(_, size):
                low, high = self.plan.machine.dial
                if not low <= size <= high:
                    raise DoesNotFit(f"SS {size_text(size)} is off the dial, {low:g} to {high:g}")
                self._sizes[line] = size
            case deviations.Skipped(at, cable, k, prepared):
                key = self._key(cable, k)
                if key in self._late:
                    line = self._late.pop(key)
                elif key in self._skipped:
                    raise DoesNotFit(f"the crossing of {cable} in row {at:,} is skipped already")
                self._skipped.add(key)
                if prepared:
                    self._prepared[key] = line
            case deviations.CrossedLate(at, cable, k, plain):
                key = self._key(cable, k)
                if key not in self._skipped or key in self._late:
                    raise DoesNotFit(f"no crossing of {cable} was skipped that could be made in row {at:,}")
                self._late[key] = line
                if plain:
                    self._plain.add(key)
            case deviations.CountedFrom(at, cable, k):
                self._counted.append(Counted(self._key(cable, k)[0], k, self._following(at)))
                self.planned = Stretches(self._plans, self._counted)
            case deviations.Reshaped():
                return [self._reshape(deviation)]
            case deviations.WrongHalf(_, cable, k):
                self._wrong.add(self._key(cable, k))
            case Accident():
                self._accidents.setdefault(line, []).append(deviation)
            case _:
                raise DoesNotFit(f"{deviation} changes the place, not the plan")
        return [line]

    def _add(self, at: int, rows: int, line: int) -> list[int]:
        if rows < 1:
            raise DoesNotFit("no row is added")
        if (all_ := len(self._lines) + rows) > MOST_ROWS:
            raise DoesNotFit(f"the panel would be {all_:,} rows long; at most {MOST_ROWS:,} can be counted")
        mark = min(0, *self._lines)
        added = list(range(mark - 1, mark - 1 - rows, -1))
        self._lines[at - 1 : at - 1] = added
        # A side or a size said before this row holds for the added rows too.
        if line in self._turned:
            self._turned ^= {line, added[0]}
        if line in self._sizes:
            self._sizes[added[0]] = self._sizes.pop(line)
        for said, lines in zip(self.said, self._where, strict=False):
            if isinstance(said, deviations.OtherSide | deviations.SizeFrom) and lines == [line]:
                lines[:] = [added[0]]
        return added

    def shaped_plan(self, at: int) -> Plan:
        """The plan by which edges were shaped before row ``at``, with what was shaped otherwise."""
        return self._plans[self._shaping(at)].plan

    def shaped_from(self, at: int) -> int:
        """The plan's row from which on edges were shaped by that plan."""
        return self._plans[self._shaping(at)].first

    def _shaping(self, at: int) -> int:
        return self.planned.index(max(1, self._following(at) - 1))

    def _reshape(self, one: deviations.Reshaped) -> int:
        """Shape an edge otherwise; the plan's row it was due before."""
        late = self._following(one.row) if one.row else 0
        i = self._shaping(one.at)
        due = found(self._plans[i].plan, one)[1].row
        was = self.planned
        self._plans[i] = replace(self._plans[i], plan=reshaped(self._plans[i].plan, one, late))
        self.planned = Stretches(self._plans, self._counted)
        self._keep_crossed(was, due, one.at)
        return due

    def _keep_crossed(self, was: Stretches, due: int, at: int) -> None:
        """What was crossed since row ``due`` of the plan was crossed on the needles that were told then."""
        before = self._following(at)
        for name, rows in was.due.items():
            if [row for row in rows if row < before] != [row for row in self.planned.due[name] if row < before]:
                raise DoesNotFit(f"{name} was crossed since, on stitches it has no more then: rip back to row {due:,}")
        like = 1
        for line in self._lines[: at - 1]:
            like = line if line > 0 else like
            if like < due:
                continue
            keys = [key for key in was.crossings.get(line, ()) if key not in self._skipped]
            for key in (*keys, *(key for key, late in self._late.items() if late == line)):
                told = self._as_told.get(key, was.crossing(*key, like).crossing)
                if told != self.planned.crossing(*key, like).crossing:
                    self._as_told[key] = told

    def _key(self, cable: str, k: int) -> K:
        if not self.planned.due.get(cable) and all(one.name != cable for one in self.planned.calendar.cables):
            raise DoesNotFit(f"the plan has no cable {cable!r}")
        if not 1 <= k <= len(self.planned.due[cable]):
            raise DoesNotFit(f"{cable} has no crossing {k:,}")
        return cable, k

    # --- the fabric's rows and the plan's -----------------------------------

    @cached_property
    def _at(self) -> dict[int, int]:
        return {line: number for number, line in enumerate(self._lines, 1)}

    def row_at(self, line: int) -> int:
        """The row that a line is now; past the last one for a row that is no more."""
        return self._at.get(line, self.rows + 1)

    def _following(self, number: int) -> int:
        rest = (line for line in self._lines[number - 1 :] if line > 0)
        return next(rest, self.planned.rows + 1)

    def following(self, number: int) -> int:
        """The plan's row that row ``number`` is, or that comes after it where it was added."""
        if number > self.rows:
            return self.planned.rows + number - self.rows
        return self._following(number)

    def plan_row(self, number: int) -> int | None:
        """The plan's row that row ``number`` is; None for an added row."""
        line = self._lines[number - 1] if 1 <= number <= self.rows else self.following(number)
        return line if line > 0 else None

    def row_of(self, plan_row: int) -> int:
        """The fabric's row that a row of the plan is."""
        return self._at.get(plan_row, self.rows + plan_row - self.planned.rows)

    def stretch(self, number: int) -> int:
        """Which of the stretches a row is knit from, counted from 0; an added row goes with the row before it."""
        return self.planned.index(self._like(number))

    def _like(self, number: int) -> int:
        """The plan's row a row is knit like: itself, or where it was added the row before."""
        plan_row = self.plan_row(number)
        return max(1, self.following(number) - 1) if plan_row is None else plan_row
