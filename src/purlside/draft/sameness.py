"""Two plans compared up to a row: is what is already knit still what the plan says?

A plan may be edited while its panel hangs on the needles. Rows are compared by
what is knit in them, not by what the plan calls it, and by arithmetic over
repeats: a million rows cost what a hundred do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice, pairwise
from math import lcm

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, needles_text
from purlside.plan.plan import Plan
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar

Made = tuple[Crossing, tuple[object, ...]]
"""A crossing and how it is eased: what the fabric shows of it."""


@dataclass(frozen=True, slots=True)
class Difference:
    """The first row, counted from 1, in which two plans differ, and how, in words."""

    row: int
    words: str

    def __str__(self) -> str:
        return f"row {self.row:,}: {self.words}"


MOST = 20
"""Differences listed of one kind; a list of more would not be read."""


@dataclass(frozen=True, slots=True)
class AsKnit:
    """What the needles were really given: each plan from the row on from which it was knit, the first from row 1."""

    stretches: tuple[tuple[int, Plan], ...]

    def differences(self, plan: Plan, last: int, most: int = MOST) -> list[Difference]:
        """Rows 1 to ``last`` that ``plan`` has otherwise than they were knit, in order, at most ``most`` of a kind."""
        found: list[Difference] = []
        ends = [first - 1 for first, _ in self.stretches[1:]] + [last]
        for (first, old), end in zip(self.stretches, ends, strict=True):
            if old is not plan:
                found += differences(old, plan, first, min(end, last), most)
        return found


def differences(old: Plan, new: Plan, first: int, last: int, most: int = MOST) -> list[Difference]:
    """The rows from ``first`` to ``last`` that the two plans knit differently, in order, at most ``most`` of a kind.

    What goes on for many rows is told once, where it begins. Where the new plan has fewer rows the first row it lacks
    is a difference.
    """
    last = min(last, old.panel.rows)
    if last < first:
        return []
    found = [
        *(Difference(first, told) for told in (*_panel(old, new), *_start(old, new))),
        *islice(_bands(old, new, first, last), most),
        *_crossings(old, new, first, last, most),
    ]
    if new.panel.rows < last:
        begun = max(first, new.panel.rows + 1)
        found.append(Difference(begun, f"the panel now ends after row {new.panel.rows:,}"))
    return sorted(found, key=lambda difference: difference.row)


def _panel(old: Plan, new: Plan) -> Iterator[str]:
    if old.panel.needles is not new.panel.needles and old.panel.needles != new.panel.needles:
        yield f"the panel was on {old.panel.needles}, now {new.panel.needles}"
    elif changed := set(old.panel.out_of_work) ^ set(new.panel.out_of_work):
        yield f"{needles_text(sorted(changed))} in work or out of it otherwise than before"


def _start(old: Plan, new: Plan) -> Iterator[str]:
    if old.machine.side is not new.machine.side:
        yield f"the carriage began on the {old.machine.side}, now on the {new.machine.side}"


def _bands(old: Plan, new: Plan, first: int, last: int) -> Iterator[Difference]:
    if old.band == new.band and old.panel.stitch_size == new.panel.stitch_size:
        return
    before, after = Calendar(old), Calendar(new)
    edges = {first} | {e for p in (old, new) for b in p.band for e in (b.rows.first, b.rows.last + 1)}
    shared = min(last, new.panel.rows)
    said = ""
    for row in sorted(edge for edge in edges if first <= edge <= shared):
        told = ""
        if (was := before.size(row)) != (now := after.size(row)):
            told = f"was SS {size_text(was)}, now SS {size_text(now)}"
        elif (colour := before.row(row).colour) != (other := after.row(row).colour):
            told = f"was {colour or 'the panel’s colour'}, now {other or 'the panel’s colour'}"
        if told and told != said:
            yield Difference(row, told)
        said = told


def _crossings(old: Plan, new: Plan, first: int, last: int, most: int) -> Iterator[Difference]:
    last = min(last, new.panel.rows)
    rows, other_rows = _made(old), _made(new)
    for made in dict.fromkeys((*rows, *other_rows)):
        for row in islice(_apart(rows.get(made, ()), other_rows.get(made, ()), first, last), most):
            was = any(repeat.k(row) for repeat in rows.get(made, ()))
            crossing = made[0]
            told = "was crossed there, and is not now" if was else "is crossed there now, and was not"
            if (crossing in {c for c, _ in rows}) and (crossing in {c for c, _ in other_rows}):
                eased = any(
                    repeat.k(row)
                    for (c, ease), repeats in (other_rows if was else rows).items()
                    if c == crossing and ease != made[1]
                    for repeat in repeats
                )
                told = "is eased in another way" if eased else told
            yield Difference(row, f"{crossing} {told}")


def _made(plan: Plan) -> dict[Made, tuple[Repeat, ...]]:
    """The rows of each crossing, as repeats."""
    found: dict[Made, tuple[Repeat, ...]] = {}
    for cable, repeat in zip(plan.cable, Calendar(plan).repeats, strict=True):
        turns = cable.crossings
        ease = (
            cable.eases,
            cable.enlarged_size if cable.eases & {"enlarge", "auto"} else None,
            cable.extra_rows if cable.eases & {"extra rows", "auto"} else None,
        )
        for turn, crossing in enumerate(turns):
            of = max(0, (repeat.of - turn + len(turns) - 1) // len(turns))
            if of:
                each = Repeat(repeat.first + repeat.every * turn, repeat.every * len(turns), of)
                found[crossing, ease] = (*found.get((crossing, ease), ()), each)
    return found


def _apart(some: Iterable[Repeat], others: Iterable[Repeat], first: int, last: int) -> Iterator[int]:
    """The rows that fall on one of ``some`` and none of ``others``, or the other way round."""
    ours, theirs = list(some), list(others)
    while (row := first_apart(ours, theirs, last, first)) is not None:
        yield row
        first = row + 1


def first_apart(some: Iterable[Repeat], others: Iterable[Repeat], last: int, first: int = 1) -> int | None:
    """The first row from ``first`` to ``last`` on one of ``some`` and none of ``others``, or the other way round."""
    ours, theirs = list(some), list(others)
    if sorted(map(_key, ours)) == sorted(map(_key, theirs)):
        return None
    marks = sorted({m for r in (*ours, *theirs) for m in (r.first, r.last + 1)} | {first, last + 1})
    for start, stop in pairwise(m for m in marks if first <= m <= last + 1):
        mine, yours = _active(ours, start), _active(theirs, start)
        period = lcm(*(r.every for r in (*mine, *yours)))
        until = min(stop, start + period)
        apart = _rows(mine, start, until) ^ _rows(yours, start, until)
        if apart:
            return min(apart)
    return None


def _key(repeat: Repeat) -> tuple[int, int, int]:
    return repeat.first, repeat.every, repeat.of


def _active(repeats: Iterable[Repeat], row: int) -> list[Repeat]:
    return [r for r in repeats if r.first <= row <= r.last]


def _rows(repeats: Iterable[Repeat], start: int, stop: int) -> set[int]:
    found: set[int] = set()
    for repeat in repeats:
        first = start + -(start - repeat.first) % repeat.every
        found.update(range(first, min(stop, repeat.last + 1), repeat.every))
    return found
