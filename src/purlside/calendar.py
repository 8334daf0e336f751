"""When: which row crosses what, bands, reminders, weights. Any row in constant time.

Nothing here walks the rows before the one asked for, so a plan of a million
rows costs what a plan of a hundred does.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import lcm
from typing import Generic, Protocol, TypeVar

from purlside.needles import Crossing, Side
from purlside.plan import Cable, Plan

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Crossed:
    """One cable's crossing in one row: the ``k``-th of ``of``."""

    cable: int
    name: str
    crossing: Crossing
    k: int
    of: int


@dataclass(frozen=True, slots=True)
class Kind:
    """All that decides how a row is knit: rows of one kind are knit alike.

    ``crossings`` are (cable index, crossing) in the plan's order.
    """

    start: Side
    size: float
    crossings: tuple[tuple[int, Crossing], ...] = ()


@dataclass(frozen=True, slots=True)
class Tally:
    """How many rows of a kind there are, and the first of them."""

    count: int
    first: int


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the fabric, before it is knit."""

    number: int
    start: Side
    size: float
    crossed: tuple[Crossed, ...] = ()
    told: tuple[str, ...] = ()
    weights: bool = False
    colour: str | None = None

    @property
    def kind(self) -> Kind:
        return Kind(self.start, self.size, tuple((c.cable, c.crossing) for c in self.crossed))

    @property
    def crossing(self) -> bool:
        """Whether this is a crossing row."""
        return bool(self.crossed)


@dataclass(frozen=True, slots=True)
class Repeat:
    """Rows ``first``, ``first + every``, … up to ``last``, ``of`` in all."""

    first: int
    every: int
    of: int

    @classmethod
    def within(cls, rows: int, first: int, every: int | None, times: int | None) -> Repeat:
        if first > rows:
            return cls(first, every or 1, 0)
        if every is None:
            return cls(first, 1, 1)
        fits = (rows - first) // every + 1
        return cls(first, every, min(fits, times or fits))

    @property
    def last(self) -> int:
        return self.first + self.every * (self.of - 1)

    def k(self, row: int) -> int:
        """Which repeat falls on ``row``, counted from 1; 0 if none."""
        if not self.first <= row <= self.last or (row - self.first) % self.every:
            return 0
        return (row - self.first) // self.every + 1

    def before(self, row: int) -> int:
        """How many have come before ``row``."""
        if row <= self.first or not self.of:
            return 0
        return min(self.of, (row - 1 - self.first) // self.every + 1)

    def after(self, row: int) -> int | None:
        """The first one at or after ``row``, or None."""
        done = self.before(row)
        return self.first + self.every * done if done < self.of else None


@dataclass(frozen=True, slots=True)
class CableCount:
    """One cable's repeat counter: ``done`` of ``of`` crossings made; the next after ``next_row``."""

    name: str
    done: int
    of: int
    next_row: int | None
    rows_away: int | None


class Rows(Protocol):
    """Whatever can say what each row is: the plan's calendar, or the plan as it is really being knit."""

    @property
    def plan(self) -> Plan: ...
    @property
    def rows(self) -> int: ...
    def row(self, number: int) -> Row: ...
    def next_crossing(self, number: int, cable: int | None = None) -> int | None: ...
    def count(self, index: int, number: int, *, crossed: bool) -> CableCount: ...
    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]: ...


class Calendar:
    """The plan's rows, 1 to ``rows``."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.rows = plan.panel.rows
        self.repeats = tuple(Repeat.within(self.rows, c.first_row, c.every, c.times) for c in plan.cable)
        self._reminders = tuple(
            Repeat.within(self.rows, r.row or r.first_row or 1, r.every, r.times) for r in plan.reminder
        )
        self._sizes = _Bands(
            [(b.rows.first, b.rows.last, b.stitch_size) for b in plan.band if b.stitch_size is not None]
        )
        self._colours = _Bands([(b.rows.first, b.rows.last, b.colour) for b in plan.band if b.colour is not None])

    def side(self, number: int) -> Side:
        """Where the carriage stands before row ``number``."""
        start = self.plan.machine.side
        return start if number % 2 else start.other

    def size(self, number: int) -> float:
        """The row's own stitch size: its band's, or the panel's."""
        size = self._sizes.at(number)
        return self.plan.panel.stitch_size if size is None else size

    def crossed(self, number: int) -> tuple[Crossed, ...]:
        """The crossings of a row, in the plan's order."""
        return tuple(self.crossing(index, k) for index, repeat in enumerate(self.repeats) if (k := repeat.k(number)))

    def crossing(self, index: int, k: int) -> Crossed:
        """A cable's ``k``-th crossing, counted from 1."""
        cable: Cable = self.plan.cable[index]
        turns = cable.crossings
        return Crossed(index, cable.name, turns[(k - 1) % len(turns)], k, self.repeats[index].of)

    def row(self, number: int) -> Row:
        """Everything about a row. Raises IndexError outside 1 to ``rows``."""
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        told = [r.text for r, when in zip(self.plan.reminder, self._reminders, strict=True) if when.k(number)]
        colour = self._colours.at(number)
        if number > 1 and colour != (before := self._colours.at(number - 1)):
            told.insert(0, f"Change to {colour}" if colour else f"Change back from {before}")
        elif number == 1 and colour:
            told.insert(0, f"Knit with {colour}")
        every = self.plan.panel.weights_every
        return Row(
            number,
            self.side(number),
            self.size(number),
            self.crossed(number),
            tuple(told),
            weights=bool(every and number % every == 0),
            colour=colour,
        )

    def next_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The first crossing row at or after ``number``, of one cable or of any."""
        repeats = self.repeats if cable is None else (self.repeats[cable],)
        return min((row for r in repeats if (row := r.after(number)) is not None), default=None)

    def count(self, index: int, number: int, *, crossed: bool) -> CableCount:
        """A cable's repeat counter in row ``number``; ``crossed`` if that row's crossing is made."""
        repeat = self.repeats[index]
        done = repeat.before(number) + crossed
        following = repeat.after(number + crossed)
        away = None if following is None else following - number
        return CableCount(self.plan.cable[index].name, done, repeat.of, following, away)

    # --- many rows at once ------------------------------------------------

    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]:
        """How many rows of each kind there are from ``first`` to ``last``, both counted.

        Between the rows where a cable or a band begins or ends, the kinds come
        round with the common period of the cables: one period is looked at and
        multiplied, so a long panel costs what a short one does.
        """
        last = self.rows if last is None else min(last, self.rows)
        found: dict[Kind, Tally] = {}
        edges = {first, last + 1, *self._sizes.edges}
        for repeat in self.repeats:
            edges |= {repeat.first, repeat.last + 1} if repeat.of else set()
        marks = sorted(e for e in edges if first <= e <= last + 1)
        for start, stop in pairwise(marks):
            self._stretch(found, start, stop)
        return found

    def _stretch(self, found: dict[Kind, Tally], start: int, stop: int) -> None:
        """Count the kinds in rows ``start`` to ``stop - 1``, within which no cable or band begins or ends."""
        size = self.size(start)
        active = [(i, r) for i, r in enumerate(self.repeats) if r.of and r.first <= start <= r.last]
        period = lcm(2, *(r.every * len(self.plan.cable[i].crossings) for i, r in active))
        whole, rest = divmod(stop - start, period)

        def count(kind: Kind, first: int, times: int) -> None:
            known = found.get(kind)
            found[kind] = Tally(known.count + times, min(known.first, first)) if known else Tally(times, first)

        for offset, length, times in ((0, period, whole), (whole * period, rest, 1)):
            if not times or not length:
                continue
            begin, end = start + offset, start + offset + length
            rows: set[int] = set()
            for _, repeat in active:
                ahead = -(begin - repeat.first) % repeat.every
                rows.update(range(begin + ahead, end, repeat.every))
            for number in rows:
                crossings = tuple((c.cable, c.crossing) for c in self.crossed(number))
                count(Kind(self.side(number), size, crossings), number, times)
            crossing_odd = sum(row % 2 for row in rows)
            odd = end // 2 - begin // 2
            for parity, plain in ((1, odd - crossing_odd), (0, length - odd - (len(rows) - crossing_odd))):
                if plain:
                    first = next(n for n in range(begin, end) if n % 2 == parity and n not in rows)
                    count(Kind(self.side(first), size), first, plain * times)


class _Bands(Generic[T]):
    """What bands set, by row; where two bands overlap the later one in the plan counts."""

    def __init__(self, bands: list[tuple[int, int, T]]) -> None:
        self._bands = bands
        self.edges = sorted({1, *(first for first, _, _ in bands), *(last + 1 for _, last, _ in bands)})
        self._values = [
            next((value for first, last, value in reversed(bands) if first <= edge <= last), None)
            for edge in self.edges
        ]

    def at(self, row: int) -> T | None:
        return self._values[bisect_right(self.edges, row) - 1]
