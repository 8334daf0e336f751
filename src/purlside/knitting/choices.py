"""All that can be said at a place when the knitting differs from the plan, as a list to choose from."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from purlside.bed.moves import size_text
from purlside.bed.transfers import Cross
from purlside.knitting.course import Course
from purlside.knitting.cursor import Knitting
from purlside.knitting.deviations import (
    CrossedLate,
    Deviation,
    OtherSide,
    RippedBack,
    SizeFrom,
    Skipped,
    StartSide,
    TooFew,
    TooMany,
    rows_text,
)
from purlside.knitting.differing import passes_done
from purlside.work.crossing import Crossed

MOST_ADDED = 999
"""Rows too many that can be said at once."""

SKIPPED_AT_ONCE = 20
"""Crossings passed over that can be skipped together."""


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that can be said: deviations, the machine counter's reading, or the last thing taken back."""

    label: str
    deviations: tuple[Deviation, ...] = ()
    reading: int | None = None
    undo: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """A line of the list. With a ``question``, ``answer`` makes its options; it raises ValueError with the reason."""

    label: str
    options: tuple[Option, ...] = ()
    question: str = ""
    hint: str = ""
    answer: Callable[[str], tuple[Option, ...]] | None = None


def choices(knitting: Knitting, course: Course, last: str | None) -> Iterator[Choice]:
    """Everything that can be said here; ``last`` is what was said last and can be taken back."""
    row = knitting.place.row
    # The first line only asks: Enter pressed without looking says nothing.
    yield Choice(
        "I knit some rows too many …",
        question="How many rows too many?",
        hint=f"1 to {MOST_ADDED}: they were knit plain, and are not counted yet",
        answer=lambda text: tuple(too_many(knitting, course, _whole(text, 1, MOST_ADDED))),
    )
    if last is not None:
        yield _single(f"Take back: {last}", Option("Take back", undo=True))
    expected = knitting.side.other
    yield _single(f"The carriage is on the other side, {expected} ({expected.carriage})", OtherSide(row))
    yield Choice(
        "I knit some rows too few …",
        question="How many rows were counted and not knit?",
        hint=f"1 to {row - 1:,}" if row > 1 else "this is the first row",
        answer=lambda text: (_option("Count them back", TooFew(row, _whole(text, 1, max(1, row - 1)))),),
    )
    begun = row if knitting.place.done else row - 1
    yield Choice(
        "I ripped back …",
        question="Which row is to be knit next?",
        hint=f"1 to {begun:,}: the first of the rows ripped out" if begun else "nothing is knit yet",
        answer=lambda text: (_option("Go back there", RippedBack(row, _whole(text, 1, max(1, begun)))),),
    )
    for crossed, due in _coming(knitting, course):
        skipped = Skipped(due, crossed.name, crossed.k, prepared=due == row and knitting.place.done > 0)
        yield _single(f"Skip: {crossed.name} is not crossed in row {due:,}", skipped)
    for crossed in _late(knitting, course):
        due = course.skipped_row((crossed.cable, crossed.k))
        late = CrossedLate(row, crossed.name, crossed.k)
        yield _single(f"Cross after all: {crossed.name}, skipped in row {due:,}, in row {row:,}", late)
    if not knitting.finished:
        size = course.size(row)
        low, high = knitting.plan.machine.dial
        yield Choice(
            f"Another stitch size from here, now SS {size_text(size)} …",
            question=f"Which stitch size from row {row:,} on?",
            hint=f"{size_text(low)} to {size_text(high)}, as 5.5 or 5 1/3",
            answer=lambda text: (_option("Knit at this size from here", SizeFrom(row, parsed_size(text))),),
        )
    start = course.side(1).other
    yield _single(f"Row 1 was begun from the {start} ({start.carriage})", StartSide(start))
    if knitting.counter is not None:
        yield Choice(
            "The machine's counter reads something else …",
            question="What does the machine's counter read now?",
            hint="0 to 999999; counted on from there",
            answer=lambda text: (Option("Count on from there", reading=_whole(text, 0, 999_999)),),
        )


def _option(label: str, *deviations: Deviation) -> Option:
    return Option(label, deviations)


def _single(label: str, said: Deviation | Option) -> Choice:
    return Choice(label, (said if isinstance(said, Option) else _option(label, said),))


def _whole(text: str, low: int, high: int) -> int:
    """Raises ValueError."""
    if re.fullmatch(r"[0-9]{1,9}", text) and low <= int(text) <= high:
        return int(text)
    raise ValueError(f"allowed: a whole number, {low:,} to {high:,}")


def parsed_size(text: str) -> float:
    """``"5.5"``, ``"5 1/3"``, ``"5⅓"`` → the dial number. Raises ValueError."""
    text = text.strip().replace("⅓", " 1/3").replace("⅔", " 2/3").replace(",", ".")
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,3})?)?(?:\s*\b([0-9])/([1-9]))?", text)
    if match is None or not text:
        raise ValueError("allowed: a stitch size, as 5, 5.5 or 5 1/3")
    return float(match[1] or 0) + (int(match[2]) / int(match[3]) if match[2] else 0)


def _coming(knitting: Knitting, course: Course) -> Iterator[tuple[Crossed, int]]:
    """Each cable's next crossing that is not made yet, and its row; soonest first."""
    row, done = knitting.place
    made = {m.cable for m in knitting.moves[:done] if isinstance(m, Cross)}
    found = []
    for index, cable in enumerate(course.plan.cable):
        due = course.next_crossing(row + (cable.name in made), index)
        if due is not None:
            found += [(due, crossed) for crossed in course.crossed(due) if crossed.cable == index]
    yield from ((crossed, due) for due, crossed in sorted(found, key=lambda f: (f[0], f[1].cable)))


def _late(knitting: Knitting, course: Course) -> Iterator[Crossed]:
    """Each cable's latest crossing that was skipped before the row in hand."""
    seen: set[int] = set()
    for crossed in course.missed(knitting.place.row) if not knitting.finished else ():
        if crossed.cable not in seen:
            seen.add(crossed.cable)
            yield crossed


def too_many(knitting: Knitting, course: Course, rows: int) -> Iterator[Option]:
    """What ``rows`` plain rows too many can mean for the crossings passed over meanwhile."""
    row, done = knitting.place
    if passes_done(knitting):
        added = TooMany(row + 1, rows)
        left = {m.cable for m in knitting.moves[done:] if isinstance(m, Cross)}
        waiting = [c for c in course.crossed(row) if c.name in left]
        skipped = tuple(Skipped(row, c.name, c.k, prepared=True) for c in waiting)
        if waiting:
            names = ", ".join(c.name for c in waiting)
            late = (CrossedLate(row + 1 + rows, c.name, c.k) for c in waiting)
            yield _option(f"Cross {names} in the next row, {row + 1 + rows:,}", *skipped, added, *late)
            yield _option(f"Leave {names} uncrossed", *skipped, added)
        else:
            yield _option("The plan follows after them", added)
        return
    added = TooMany(row, rows)
    yield _option(f"The plan follows {rows_text(rows)} later, crossings too", added)
    passed = list(_passed(course, row, row + rows - 1))
    first = {c.cable: (c, due) for c, due in reversed(passed)}
    ahead = [(c, due) for c, due in first.values() if due > row]
    if ahead:
        names = ", ".join(c.name for c, _ in ahead)
        skipped = tuple(Skipped(due + rows, c.name, c.k) for c, due in ahead)
        late = (CrossedLate(row + rows, c.name, c.k) for c, _ in ahead)
        yield _option(f"Cross {names} in the next row, {row + rows:,}", added, *skipped, *late)
    if 0 < len(passed) <= SKIPPED_AT_ONCE:
        skipped = tuple(Skipped(due + rows, c.name, c.k) for c, due in passed)
        count = f"crossing{'s' if len(passed) != 1 else ''}"
        yield _option(
            f"Skip the {count} passed over: {', '.join(dict.fromkeys(c.name for c, _ in passed))}", added, *skipped
        )


def _passed(course: Course, first: int, last: int) -> Iterator[tuple[Crossed, int]]:
    """The crossings of rows ``first`` to ``last``, and their rows."""
    due = course.next_crossing(first)
    while due is not None and due <= last:
        yield from ((crossed, due) for crossed in course.crossed(due))
        due = course.next_crossing(due + 1)
