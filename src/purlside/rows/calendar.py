"""When: which row crosses what, bands, reminders, weights. Any row in constant time.

Nothing here walks the rows before the one asked for, so a plan of a million
rows costs what a plan of a hundred does.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from math import lcm
from typing import Generic, Protocol, TypeVar

from purlside.bed.needles import Crossing, Side
from purlside.plan.plan import Cable, Plan
from purlside.plan.repeats import Repeat as Repeat

T = TypeVar("T")

MOST_KINDS = 1000
"""Kinds of rows in one plan. A limit of ours: each is tried on the bed, and a panel of up to 1,000 rows never has more."""

MOST_TRIED = 200_000
"""Kinds of rows times needles in work: on panels of more than 200 needles fewer kinds are allowed. Ours."""

FIRST_BLOCK = 1 << 9
BLOCK = 1 << 14
"""Rows looked at together when kinds are counted."""


class TooManyKinds(ValueError):
    """Rows of more than ``most`` kinds; ``row`` is the first that is one too many."""

    def __init__(self, most: int, row: int) -> None:
        self.most, self.row = most, row
        super().__init__(f"more than {most:,} kinds of rows, the next of them in row {row:,}")


@dataclass(frozen=True, slots=True)
class Crossed:
    """One cable's crossing in one row: the ``k``-th of ``of``."""

    cable: int
    name: str
    crossing: Crossing
    k: int
    of: int


@dataclass(frozen=True)
class Kind:
    """All that decides how a row is knit: rows of one kind are knit alike.

    ``crossings`` are (cable index, crossing) in the plan's order.
    """

    start: Side
    size: float
    crossings: tuple[tuple[int, Crossing], ...] = ()

    @cached_property
    def _hashed(self) -> int:
        return hash((self.start, self.size, self.crossings))

    def __hash__(self) -> int:
        # A kind of many crossings is looked up for each of its steps.
        return self._hashed


@dataclass(frozen=True, slots=True)
class Tally:
    """How many rows of a kind there are, and the first of them."""

    count: int
    first: int


@dataclass(frozen=True)
class Row:
    """One row of the fabric, before it is knit.

    ``prepared`` are crossings it is knit for that are not made after it: they
    were skipped when it was under way.
    """

    number: int
    start: Side
    size: float
    crossed: tuple[Crossed, ...] = ()
    told: tuple[str, ...] = ()
    weights: bool = False
    colour: str | None = None
    prepared: tuple[Crossed, ...] = ()

    @cached_property
    def kind(self) -> Kind:
        asked = sorted((*self.crossed, *self.prepared), key=lambda c: c.cable) if self.prepared else self.crossed
        return Kind(self.start, self.size, tuple((c.cable, c.crossing) for c in asked))

    @property
    def crossing(self) -> bool:
        """Whether this is a crossing row."""
        return bool(self.crossed)


def reminders(plan: Plan) -> tuple[Repeat, ...]:
    """When each reminder falls, in the plan's order."""
    return tuple(Repeat.within(plan.panel.rows, r.row or r.first_row or 1, r.every, r.times) for r in plan.reminder)


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
        self._reminders = reminders(plan)
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

    def sizes(self) -> dict[float, int]:
        """How many rows of the panel each stitch size has."""
        found: dict[float, int] = {}
        edges = [edge for edge in self._sizes.edges if edge <= self.rows]
        for first, after in pairwise([*edges, self.rows + 1]):
            size = self.size(first)
            found[size] = found.get(size, 0) + after - first
        return found

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
        multiplied, so a long panel costs what a short one does. Raises
        :class:`TooManyKinds` beyond :attr:`most_kinds`, as soon as so many were met.
        """
        last = self.rows if last is None else min(last, self.rows)
        edges = {first, last + 1, *self._sizes.edges}
        for repeat in self.repeats:
            edges |= {repeat.first, repeat.last + 1} if repeat.of else set()
        marks = tuple(sorted(e for e in edges if first <= e <= last + 1))
        sizes = tuple(map(self.size, marks[:-1]))
        cables = tuple(
            (index, self._turns(index), repeat)
            for index, repeat in enumerate(self.repeats)
            if repeat.of and repeat.first <= last and repeat.last >= first
        )
        return dict(_kinds(marks, sizes, cables, self.plan.machine.side, self.most_kinds))

    @property
    def counted(self) -> int:
        """How many rows and crossings :meth:`kinds` looks at, at most: what its time goes by."""
        period = lcm(2, *(r.every * len(self._turns(i)) for i, r in enumerate(self.repeats) if r.of))
        rows = min(self.rows, period)
        return rows + sum(min(r.of, rows // r.every + 1) for r in self.repeats)

    @property
    def most_kinds(self) -> int:
        """How many kinds of rows this plan may have: each is tried on its needles."""
        return min(MOST_KINDS, MOST_TRIED // max(1, len(self.plan.panel.needles)))

    def _turns(self, index: int) -> tuple[Crossing, ...]:
        """A cable's crossings taken in turn, as few as say it all."""
        turns = self.plan.cable[index].crossings
        many = len(turns)
        return next(turns[:n] for n in range(1, many + 1) if many % n == 0 and turns[:n] * (many // n) == turns)


_Cable = tuple[int, tuple[Crossing, ...], Repeat]
"""A cable's index, its crossings in turn, its rows."""


@lru_cache(maxsize=8)
def _kinds(
    marks: tuple[int, ...], sizes: tuple[float, ...], cables: tuple[_Cable, ...], start: Side, most: int
) -> dict[Kind, Tally]:
    """The kinds between marks, each stretch with its size; ``start`` is the side of odd rows. Kept: several ask."""
    found: dict[Kind, Tally] = {}
    for (begin, end), size in zip(pairwise(marks), sizes, strict=True):
        made = _Made([cable for cable in cables if cable[2].first <= begin <= cable[2].last])
        whole, rest = divmod(end - begin, made.period)
        looked_at = 0
        for first, length, times in ((begin, made.period, whole), (begin + whole * made.period, rest, 1)):
            block, stop = first, first + length if times else first
            while block < stop:
                after = min(block + made.block, stop)
                made.tally(block, after, times)
                if looked_at < len(made.counts) > most - len(found):
                    looked_at = len(made.counts)
                    # Kinds are only made where other stretches may have the same.
                    firsts = [t.first for t in _with(found, made, size, start).values()] if found else made.firsts
                    if len(firsts) > most:
                        raise TooManyKinds(most, sorted(firsts)[most])
                block, made.block = after, min(2 * made.block, BLOCK)
        found = _with(found, made, size, start)
    return found


def _with(found: dict[Kind, Tally], made: _Made, size: float, start: Side) -> dict[Kind, Tally]:
    """The kinds found so far with those of a stretch."""
    both = dict(found)
    for (bits, odd), (count, first) in made.counts.items():
        kind = Kind(start if odd else start.other, size, made.crossings(bits))
        known = both.get(kind)
        both[kind] = Tally(known.count + count, known.first) if known else Tally(count, first)
    return both


class _Made:
    """What is crossed in the rows of a stretch, as bits of a number: one bit for each crossing of each cable."""

    def __init__(self, active: list[_Cable]) -> None:
        self.block = FIRST_BLOCK
        """Rows to look at next; few at first, as a plan of too many kinds shows that soon."""
        self.counts: dict[tuple[int, int], tuple[int, int]] = {}
        """(crossings as bits, parity of the row) → (how many rows, the first)."""
        self.period = lcm(2, *(repeat.every * len(turns) for _, turns, repeat in active))
        self._each = [(cable, crossing) for cable, turns, _ in active for crossing in dict.fromkeys(turns)]
        bits = {each: 1 << n for n, each in enumerate(self._each)}
        # Crossings that always fall on the same rows are looked at as one.
        self._falls: dict[tuple[int, int], int] = {}
        for cable, turns, repeat in active:
            every = repeat.every * len(turns)
            for turn, crossing in enumerate(turns):
                at = (every, (repeat.first + repeat.every * turn) % every)
                self._falls[at] = self._falls.get(at, 0) | bits[cable, crossing]

    @property
    def firsts(self) -> list[int]:
        """The first row of each kind."""
        return [first for _, first in self.counts.values()]

    def crossings(self, bits: int) -> tuple[tuple[int, Crossing], ...]:
        """The crossings that bits stand for."""
        return tuple(each for n, each in enumerate(self._each) if bits >> n & 1) if bits else ()

    def tally(self, begin: int, end: int, times: int) -> None:
        """Count rows ``begin`` to ``end - 1``, which come ``times`` times."""
        made = [0] * (end - begin)
        for (every, place), bits in self._falls.items():
            for at in range((place - begin) % every, end - begin, every):
                made[at] |= bits
        counts = self.counts
        for at in range(min(2, end - begin)):
            alike, odd = made[at::2], (begin + at) % 2
            places: dict[int, int] = {}
            for bits, count in Counter(alike).items():
                if (known := counts.get((bits, odd))) is None:
                    places = places or dict(zip(reversed(alike), range(len(alike) - 1, -1, -1), strict=True))
                    known = 0, begin + at + 2 * places[bits]
                counts[bits, odd] = known[0] + count * times, known[1]


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
