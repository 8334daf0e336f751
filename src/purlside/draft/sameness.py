"""Two plans compared up to a row: is what is already knit still what the plan says?

A plan may be edited while its panel hangs on the needles. Rows are compared by
what they ask of the needles and the works done in them, not by what the plan
calls it, so that no technique can be forgotten here.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from functools import cached_property
from typing import NamedTuple

from purlside.bed.demand import Demand
from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, Span, needles_text
from purlside.plan.plan import Plan
from purlside.rows.row import Row
from purlside.rows.working import Working
from purlside.values import Value
from purlside.work.crossing import Crossed

MOST = 20
"""Differences listed of one kind; a list of more would not be read."""


class Difference(Value):
    """The first row, counted from 1, in which two plans differ, and how, in words."""

    row: int
    words: str

    def __str__(self) -> str:
        return f"row {self.row:,}: {self.words}"


class AsKnit(Value):
    """What the needles were really given: each plan from the row on from which it was knit, the first from row 1."""

    stretches: tuple[tuple[int, Plan], ...]

    @cached_property
    def _rows(self) -> tuple[_Rows, ...]:
        return tuple(_Rows(plan) for _, plan in self.stretches)

    def differences(self, plan: Plan, last: int, most: int = MOST) -> list[Difference]:
        """Rows 1 to ``last`` that ``plan`` has otherwise than they were knit, in order, at most ``most`` of a kind."""
        found: list[Difference] = []
        new = _Rows(plan)
        ends = [first - 1 for first, _ in self.stretches[1:]] + [last]
        for (first, old), end, rows in zip(self.stretches, ends, self._rows, strict=True):
            if old is not plan:
                found += _differences(rows, new, first, min(end, last), most)
        return found


def _differences(old: _Rows, new: _Rows, first: int, last: int, most: int) -> list[Difference]:
    found: list[Difference] = []
    told: dict[str, int] = {}
    going_on: set[str] = set()
    last = min(last, old.count)
    for number in range(first, min(last, new.count) + 1):
        here = _told(old, new, number)
        for words, goes_on in here.items():
            told[words] = told.get(words, 0) + 1
            if told[words] <= most and not (goes_on and words in going_on):
                found.append(Difference(number, words))
        going_on = {words for words, goes_on in here.items() if goes_on}
    if new.count < last:
        found.append(Difference(max(first, new.count + 1), f"the panel now ends after row {new.count:,}"))
    return found


def _told(old: _Rows, new: _Rows, number: int) -> dict[str, bool]:
    """How the two knit a row differently, in words; whether it may go on from row to row."""
    was, now = old[number], new[number]
    if was is now:
        return {}
    if isinstance(was, str) or isinstance(now, str):
        then, here = (made if isinstance(made, str) else "knit" for made in (was, now))
        return {} if then == here else {f"was {then}, now {here}": True}
    if was.given == now.given:
        return {}
    found: dict[str, bool] = {}
    before, row = was.row, now.row
    if before.side is not row.side:
        found[f"the carriage stood on the {before.side}, now on the {row.side}"] = True
    if before.needles != row.needles:
        ends = [str(Span(of.needles[0], of.needles[-1])) for of in (before, row)]
        odd = needles_text(sorted({*before.needles} ^ {*row.needles}))
        same = f"{odd} no longer in work, or newly so"
        found[same if ends[0] == ends[1] else f"the panel was on {ends[0]}, now {ends[1]}"] = True
    if before.colour != row.colour:
        found[f"was {before.colour or 'the panel’s colour'}, now {row.colour or 'the panel’s colour'}"] = True
    if before.size != row.size:
        found[f"was SS {size_text(before.size)}, now SS {size_text(row.size)}"] = True
    for crossing in sorted(was.crossed - now.crossed, key=str):
        found[f"{crossing} was crossed there, and is not now"] = False
    for crossing in sorted(now.crossed - was.crossed, key=str):
        found[f"{crossing} is crossed there now, and was not"] = False
    found |= {f"{crossing} is eased in another way": False for crossing in _eased(was, now)}
    gone, come = was.works.items() - now.works.items(), now.works.items() - was.works.items()
    found |= {f"was: {words}": False for _, words in sorted(gone, key=str)}
    found |= {f"is now: {words}": False for _, words in sorted(come, key=str)}
    return found or {"is knit in another way": False}


class _Made(NamedTuple):
    """What a row gives the needles; ``asked`` of them is more than to be knit once, at the row's size."""

    row: Row
    crossed: frozenset[Crossing]
    asked: tuple[tuple[int, int, float, bool], ...]
    works: dict[Hashable, str]

    @property
    def given(self) -> tuple[object, ...]:
        row = self.row
        return (row.side, row.size, row.colour, row.needles, row.resting, row.wraps, *self[1:])


class _Rows:
    """A plan's rows as they are knit; those that are knit alike are worked out once."""

    def __init__(self, plan: Plan) -> None:
        self._working = Working(plan)
        self.count = self._working.calendar.rows
        self._alike: dict[Hashable, _Made | str] = {}
        self._known: dict[int, _Made | str] = {}

    def __getitem__(self, number: int) -> _Made | str:
        """The row as it is knit; or that it cannot be."""
        if number not in self._known:
            try:
                row = self._working.calendar.row(number)
                key = (row.kind, row.colour, row.wraps)
                if key not in self._alike:
                    self._alike[key] = self._made(row)
                self._known[number] = self._alike[key]
            except ValueError:
                self._known[number] = "not to be knit"
        return self._known[number]

    def _made(self, row: Row) -> _Made:
        demand: Demand = self._working.demand(row)
        asked = zip(map(int, demand.needles), demand.rows, demand.sizes, demand.by_hand, strict=True)
        return _Made(
            row,
            frozenset(crossed.crossing for crossed in row.crossed),
            tuple(each for each in asked if each[1:] != (1, row.size, False)),
            {work.alike: work.words for work in row.works if not isinstance(work, Crossed)},
        )


def _eased(was: _Made, now: _Made) -> Iterator[Crossing]:
    """The crossings of both whose needles are asked otherwise."""
    apart = {needle for needle, *_ in {*was.asked} ^ {*now.asked}}
    for crossing in sorted(was.crossed & now.crossed, key=str):
        if apart & set(map(int, crossing.needles)):
            yield crossing
