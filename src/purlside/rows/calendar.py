"""When: what each row is, its size, colour, reminders and weights, how often each cable has crossed, kinds of rows.

Rows are numbered in the order they are knit: the panel's, then each part's.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Protocol

from purlside.bed.needles import Side
from purlside.plan.plan import Cable, Plan
from purlside.plan.repeats import Repeat
from purlside.rows.alike import BLOCK, Alike
from purlside.rows.bands import Bands, Reminded
from purlside.rows.falls import Falls
from purlside.rows.row import Kind, Row, Tally
from purlside.values import Value

MOST_KINDS = 1000
"""Kinds of rows in one plan. A limit of ours: each is tried on the bed, and a panel of up to 1,000 rows never has more."""

MOST_TRIED = 200_000
"""Kinds of rows times needles: on panels of more than 200 needles fewer kinds are allowed. Ours."""


class TooManyKinds(ValueError):
    """Rows of more than ``most`` kinds; ``row`` is the first that is one too many."""

    def __init__(self, most: int, row: int | str) -> None:
        self.most, self.row = most, row
        super().__init__(f"more than {most:,} kinds of rows, the next of them in row {row}")


class CableCount(Value):
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
    @property
    def befallen(self) -> Sequence[int]: ...
    @property
    def cables(self) -> tuple[Cable, ...]: ...
    def row(self, number: int) -> Row: ...
    def like(self, number: int) -> Row: ...
    def next_crossing(self, number: int, cable: int | None = None) -> int | None: ...
    def next_shaping(self, number: int) -> int | None: ...
    def count(self, index: int, number: int, *, crossed: bool) -> CableCount: ...
    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]: ...


class Calendar(Falls):
    """The plan's rows, 1 to ``rows`` in knitting order."""

    befallen: Sequence[int] = ()
    """Rows in which something befell the bed: as planned, none."""

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.reminders = tuple(
            Repeat.within(self.end, r.row or r.first_row or 1, r.every, r.times) for r in plan.reminder
        )
        self._reminded = Reminded([r.text for r in plan.reminder], self.reminders)
        self._tells = bool(plan.reminder) or any(b.colour is not None for b in plan.band)
        self._sizes = Bands(
            [(b.rows.first, b.rows.last, b.stitch_size) for b in plan.band if b.stitch_size is not None]
        )
        self._colours = Bands([(b.rows.first, b.rows.last, b.colour) for b in plan.band if b.colour is not None])
        self._likes: dict[int, Row] = {}
        self._alike = Alike(self, self._sizes)

    # --- one row ---

    def side(self, number: int) -> Side:
        """Where the carriage stands before row ``number``."""
        return self.segment(number).side(number)

    def size(self, number: int) -> float:
        """The row's own stitch size: its band's, or the panel's."""
        size = self._sizes.at(self.fabric_row(number))
        return self.plan.panel.stitch_size if size is None else size

    def colour(self, number: int) -> str | None:
        return self._colours.at(self.fabric_row(number))

    def weights(self, number: int) -> bool:
        """Whether weights are moved under all needles after a row."""
        every = self.plan.panel.weights_every
        return every is not None and self.fabric_row(number) % every == 0

    def row(self, number: int) -> Row:
        """Everything about a row. Raises IndexError outside 1 to ``rows``."""
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        segment = self.segment(number)
        fabric, side, edges = segment.fabric_row(number), segment.side(number), segment.edges_in(number)
        begun = (segment.begun,) if segment.begun is not None and number == segment.first else ()
        stitched = tuple(self.stitched(segment, fabric, edges)) if self.stitches else ()
        resting = (*segment.others, *(n for side_ in edges.rest for n, _ in side_))
        return Row(
            number,
            side,
            self.size(number),
            edges.knit,
            segment.across(edges),
            (*begun, *segment.works.get(number, ()), *stitched, *self.crossed(number)),
            tuple(sorted(resting)) if resting else (),
            segment.wraps(edges, side.other),
            self.told(number),
            weights=self.weights(number),
            colour=self._colours.at(fabric),
            part=segment.part,
            fabric=fabric,
            turned=segment.turned or bool(edges.resting),
            waiting=segment.others,
        )

    def told(self, number: int) -> tuple[str, ...]:
        """What is told before a row: reminders, and changes of colour."""
        if not self._tells:
            return ()
        told = list(self._reminded.at(self.fabric_row(number)))
        colour = self.colour(number)
        if number > 1 and colour != (before := self.colour(number - 1)):
            told.insert(0, f"Change to {colour}" if colour else f"Change back from {before}")
        elif number == 1 and colour:
            told.insert(0, f"Knit with {colour}")
        return tuple(told)

    # --- what comes, and how often ---

    def next_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The first crossing row at or after ``number``, of one cable or of any."""
        indices = range(len(self.repeats)) if cable is None else (cable,)
        return min((row for i in indices for row in self.crossing_rows(i, number, once=True)), default=None)

    def count(self, index: int, number: int, *, crossed: bool) -> CableCount:
        """A cable's repeat counter in row ``number``; ``crossed`` if that row's crossing is made."""
        done = self.crossings_before(index, number) + crossed
        following = self.next_crossing(number + crossed, index)
        away = None if following is None else following - number
        return CableCount(self.cables[index].name, done, self.crossings_in_all(index), following, away)

    # --- many rows at once ---

    def like(self, number: int) -> Row:
        """The first row of the plan that is like a row: all but which one it is, how often its works came, what is told,
        colour and weights."""
        first = self._alike.upto(number)[number - 1]
        if first not in self._likes:
            if len(self._likes) >= MOST_KINDS:
                self._likes.clear()
            self._likes[first] = self.row(first)
        return self._likes[first]

    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]:
        """How many rows of each kind there are from ``first`` to ``last``, both counted.

        Raises TooManyKinds as soon as so many were met.
        """
        last = self.rows if last is None else min(last, self.rows)
        begins: dict[Kind, int] = {}
        counts: Counter[int] = Counter()
        for low in range(first, last + 1, BLOCK):
            block = self._alike.upto(min(last, low + BLOCK - 1))[low - 1 : min(last, low + BLOCK - 1)]
            for like, count in Counter(block).items():
                if like not in counts:
                    number = low + block.index(like)
                    if begins.setdefault(self.like(number).kind, number) == number and len(begins) > self.most_kinds:
                        raise TooManyKinds(self.most_kinds, self.row(number).label)
                counts[like] += count
        found: Counter[Kind] = Counter()
        for like, count in counts.items():
            found[self.like(like).kind] += count
        return {kind: Tally(count, self.row(begins[kind])) for kind, count in found.items()}

    @property
    def most_kinds(self) -> int:
        """How many kinds of rows this plan may have: each is tried on its needles."""
        return min(MOST_KINDS, MOST_TRIED // len(self.plan.panel.needles))

    def marks(self, first: int, last: int) -> set[int]:
        """Rows from which on others alternate than before, and both ends."""
        likes = self._alike.upto(last)
        return {first, last + 1, *(n for n in range(first + 2, last + 1) if likes[n - 1] != likes[n - 3])}
