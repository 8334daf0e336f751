"""Saying that the knitting differs from the plan: what it would change, or why it cannot be.

Nothing is changed here: :func:`differ` takes what is being knit and gives what
would be knit instead, every kind of row that is new tried on a bed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, islice

from purlside.bed.demand import CannotBeWalked
from purlside.bed.faults import BedFault
from purlside.bed.moves import BackUp, Knit, size_text
from purlside.bed.needles import Side, needles_text
from purlside.bed.transfers import Cross
from purlside.knitting.course import Course, CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import (
    Deviation,
    DoesNotFit,
    RippedBack,
    SizeFrom,
    Skipped,
    TooFew,
    TooMany,
    rows_text,
)
from purlside.rows.calendar import CableCount
from purlside.rows.working import Working
from purlside.work.crossing import Crossed

TRIED = 300
"""Kinds of rows tried on a bed before a deviation is taken; a plan has seldom more than a few dozen."""

LISTED = 40
"""Crossings to un-cross that are written out; beyond, they are counted."""


class CannotBe(Exception):
    """A deviation that cannot be knit; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Changed:
    """What would be knit: the course, the place in it, and what that means in words."""

    course: Course
    knitting: Knitting
    effects: tuple[str, ...]


def under_way(knitting: Knitting) -> str | None:
    """Why nothing can be said that changes the row in hand, or None at a row's start."""
    if not knitting.place.done:
        return None
    row = knitting.place.row
    return f"row {row:,} is under way: finish it, or go back to its start, then say so"


def passes_done(knitting: Knitting) -> bool:
    """Whether all that is left of the row in hand is crossing and weights."""
    left = knitting.moves[knitting.place.done :]
    return knitting.place.done > 0 and not any(isinstance(move, (Knit, BackUp)) for move in left)


def differ(knitting: Knitting, course: Course, *deviations: Deviation) -> Changed:
    """What is knit once these are said, at the place in hand. Raises CannotBe."""
    old, place = course, knitting.place
    told: list[str] = []
    try:
        for deviation in deviations:
            course, place, more = _said(knitting, course, place, deviation)
            told += more
        working = CourseWorking(course)
        if place == knitting.place:
            unchanged(knitting, working)
        after = Knitting(working, place)
        _try(course, after)
    except (DoesNotFit, CannotBeWalked) as error:
        raise CannotBe(str(error)) from None
    except BedFault as fault:
        raise CannotBe(f"it cannot be knit: {fault}") from None
    return Changed(course, after, (*told, *effects(knitting, old, after, course)))


def _said(knitting: Knitting, course: Course, place: Place, deviation: Deviation) -> tuple[Course, Place, list[str]]:
    """The course and the place after one more deviation, and what it asks of the knitter."""
    row, done = knitting.place
    match deviation:
        case TooMany(at, rows):
            if at != row + bool(done) or (done and not passes_done(knitting)):
                raise CannotBe(under_way(knitting) or f"rows are added at row {row:,}, not at row {at:,}")
            return course.with_(deviation), Place(at + rows, 0), []
        case TooFew(_, rows):
            if why := under_way(knitting):
                raise CannotBe(why)
            if not 1 <= rows < row:
                raise CannotBe(f"{rows_text(row - 1)} were counted before this one; allowed: 1 to {row - 1:,}")
            told = _again(course, row - rows, row)
            return *_back(course, row - rows), [*told, *_forgotten(course, row - rows)]
        case RippedBack(_, to):
            last = row if done else row - 1
            if not 1 <= to <= last:
                raise CannotBe(f"allowed: a row that was begun, 1 to {last:,}" if last else "nothing is knit yet")
            told = [*_uncross(knitting, course, to), *_carriage(knitting, course.side(to)), *_forgotten(course, to)]
            return *_back(course, to), told
        case Skipped():
            return course.with_(deviation), place, []
        case _:
            if deviation.at > course.rows or knitting.finished:
                raise CannotBe("the panel is finished")
            return course.with_(deviation), place, []


def _back(course: Course, to: int) -> tuple[Course, Place]:
    return course.ripped(to), Place(to, 0)


def unchanged(before: Knitting, after: Working, number: int | None = None) -> None:
    """Refuse what would change moves of the row in hand that are made already; it is row ``number`` afterwards.

    Raises CannotBe.
    """
    row, done = before.place
    number = number or row
    if done and (number > after.calendar.rows or before.moves[:done] != after.moves(number)[:done]):
        raise CannotBe(f"it would change what is knit already: {under_way(before)}")


def _try(course: Course, knitting: Knitting) -> None:
    """Knit one row of each kind still to come. Raises BedFault, CannotBeWalked."""
    if knitting.finished:
        return
    working = knitting.working
    kinds = sorted(course.kinds(knitting.place.row).values(), key=lambda tally: tally.first)
    for tally in islice(kinds, TRIED):
        bed = working.bed_before(tally.first)
        for move in working.moves(tally.first):
            bed.push(move)
        working.complete(bed, tally.first)


# --- in words ---------------------------------------------------------------


def effects(before: Knitting, old: Course, after: Knitting, new: Course) -> Iterator[str]:
    """What is different now, the next thing to do first."""
    row = after.row
    if row is None:
        yield f"The panel is finished, {new.rows:,} rows"
    else:
        where = "goes on" if after.place.done else "is next"
        crossed = ", ".join(f"{c.name} crosses after it" for c in row.crossed) or "nothing crosses after it"
        yield (
            f"Row {row.number:,} of {new.rows:,} {where}, from the {row.side} ({row.side.carriage}), "
            f"SS {size_text(row.size)}; {crossed}"
        )
    if before.bed.held and after.place != before.place:
        yield "Bring all needles back to working position: none is held"
    if row is not None and before.bed.dial != after.bed.dial:
        yield f"Set the dial to SS {size_text(after.bed.dial)}"
    if new.rows != old.rows:
        more = new.rows - old.rows
        yield f"The panel has {rows_text(abs(more))} {'more' if more > 0 else 'fewer'}: {new.rows:,}"
    for was, now in zip(before.cables(), after.cables(), strict=True):
        if (was.next_row, was.done, was.of) != (now.next_row, now.done, now.of):
            yield _counted(now)
    for cable in new.plan.cable:
        largest = max((d.size for d in new.said if isinstance(d, SizeFrom)), default=None)
        if largest is not None and cable.enlarged_size is not None and largest >= cable.enlarged_size:
            yield f"{cable.name}: SS {size_text(cable.enlarged_size)} no longer enlarges the half behind"
    if after.counter is not None and before.counter != after.counter:
        yield f"The machine's counter is then expected {abs(after.counter - (before.counter or 0)):,} " + (
            "further on" if after.counter > (before.counter or 0) else "further back"
        )


def _counted(count: CableCount) -> str:
    crosses = "no crossing is left" if count.next_row is None else f"next crossing row {count.next_row:,}"
    return f"{count.name}: {count.done:,} of {count.of:,} crossings made, {crosses}"


def _carriage(knitting: Knitting, side: Side) -> Iterator[str]:
    if knitting.side is not side or knitting.bed.side is None:
        yield f"Take the carriage to the {side} ({side.carriage}) without knitting: the yarn lies there"


def _forgotten(course: Course, to: int) -> list[str]:
    kept = set(course.ripped(to).said)
    left = {d.at: d.rows for d in kept if isinstance(d, TooMany)}
    told = []
    for deviation in course.said:
        if isinstance(deviation, TooMany) and left.get(deviation.at, deviation.rows) < deviation.rows:
            told.append(f"{rows_text(left[deviation.at])} of these left: {deviation.words}")
        elif deviation not in kept:
            told.append(f"No longer holds: {deviation.words}")
    return told


def _again(course: Course, first: int, before: int) -> list[str]:
    """The crossings counted in rows that were not knit."""
    return [
        f"Row {row:,}: {c.name} is still to be crossed" for row, c in islice(_latest(course, first, before), LISTED)
    ]


def _latest(course: Course, first: int, before: int) -> Iterator[tuple[int, Crossed]]:
    """Crossings made in rows ``first`` to ``before - 1``, latest first."""
    row = course.last_crossing(before)
    while row is not None and row >= first:
        yield from ((row, c) for c in reversed(course.crossed(row)))
        row = course.last_crossing(row)


def _uncross(knitting: Knitting, course: Course, to: int) -> list[str]:
    """What must be un-crossed on the way down to row ``to``, latest first."""
    row, done = knitting.place
    in_hand = [m for m in knitting.moves[:done] if isinstance(m, Cross)]
    count = len(in_hand) + sum(course.made(i, row) - course.made(i, to) for i in range(len(course.plan.cable)))
    if not count:
        return ["No crossing lies in the rows ripped out"]
    told = [f"{count:,} crossing{'s' if count != 1 else ''} to un-cross on the way down, the latest first:"]
    made = [(row, c) for c in reversed(knitting.row.crossed if knitting.row else ()) if in_hand]
    made = [(row, c) for row, c in made if any(m.cable == c.name and m.crossing == c.crossing for m in in_hand)]
    listed = [*made, *islice(_latest(course, to, row), LISTED)]
    told += [
        f"{name} in row{'s' if len(rows) > 1 else ''} {', '.join(f'{n:,}' for n in rows)}"
        for name, rows in _runs(listed)
    ]
    if count > len(listed):
        told.append(f"… and {count - len(listed):,} more below")
    return [*told, *_how(listed)]


def _runs(listed: list[tuple[int, Crossed]]) -> Iterator[tuple[str, list[int]]]:
    """Each cable's name and rows, as long as no other cable comes between."""
    for name, run in groupby(listed, key=lambda found: found[1].name):
        yield name, [row for row, _ in run]


def _how(listed: list[tuple[int, Crossed]]) -> Iterator[str]:
    """How each crossing is un-crossed, once: the half in front (knit side) goes back first, as it came."""
    for name, crossing in dict.fromkeys((c.name, c.crossing) for _, c in listed):
        front, back = crossing.landing()
        yield (
            f"{name}: the half now on {needles_text(front, count=False)} lies in front (knit side). Lift both halves; "
            f"put it back first, on {needles_text(crossing.front, count=False)}; then the half from "
            f"{needles_text(back, count=False)} on {needles_text(crossing.back, count=False)}"
        )
