"""Saying that the knitting differs from the plan: what it would change, or why it cannot be.

Nothing is changed here: :func:`differ` takes what is being knit and gives what
would be knit instead, every kind of row that is new tried on a bed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from purlside.bed.bed import Move
from purlside.bed.demand import CannotBeWalked
from purlside.bed.faults import BedFault
from purlside.bed.moves import BackUp, Knit, size_text
from purlside.bed.transfers import Cross
from purlside.knitting.accidents import Accident, Unravelled
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import (
    Deviation,
    DoesNotFit,
    Reshaped,
    RippedBack,
    SizeFrom,
    Skipped,
    TooFew,
    TooMany,
)
from purlside.knitting.edgewords import edge_words, knit_from, longer, row_of_all
from purlside.knitting.mends import Stands
from purlside.knitting.ripping import WayDown, undone, unknit_from
from purlside.rows.working import Working
from purlside.text.counts import counted
from purlside.values import Value
from purlside.work.crossing import Crossed

ROWS_TRIED = 500
"""Rows ahead of which each kind is tried on a bed before a deviation is taken."""

LISTED = 40
"""Crossings to undo that are written out; beyond, they are counted."""

FORGOTTEN = "No longer holds: "


class CannotBe(Exception):
    """A deviation that cannot be knit; the message says why, and what to do."""


class Changed(Value):
    """What would be knit: the course, the place in it, and what that means in words."""

    course: Course
    knitting: Knitting
    effects: tuple[str, ...]
    unclicked: int = 0
    """Clicks that the machine's counter keeps although their rows are ripped out."""


def under_way(knitting: Knitting) -> str | None:
    """Why nothing can be said that changes the row in hand, or None at a row's start."""
    if all(isinstance(move, Stands) for move in knitting.moves[: knitting.place.done]):
        return None
    row = knitting.named(knitting.place.row)
    return f"row {row} is under way: finish it, or go back to its start, then say so"


def passes_done(knitting: Knitting) -> bool:
    """Whether all that is left of the row in hand is crossing and weights."""
    left = knitting.moves[knitting.place.done :]
    return knitting.place.done > 0 and not any(isinstance(move, (Knit, BackUp)) for move in left)


def differ(knitting: Knitting, course: Course, *deviations: Deviation) -> Changed:
    """What is knit once these are said, at the place in hand. Raises CannotBe."""
    old, place, now = course, knitting.place, knitting
    ripped = any(isinstance(deviation, RippedBack) for deviation in deviations)
    told: list[str] = []
    try:
        for deviation in deviations:
            course, place, more = _said(now, course, place, deviation)
            if isinstance(deviation, Reshaped):
                # What is ripped out afterwards is ripped out as it was really shaped.
                now = Knitting(CourseWorking(course), place)
            told += [] if ripped and isinstance(deviation, Reshaped) else more
        # What is said of an edge on the way to ripping it out never held.
        gone = {f"{FORGOTTEN}{deviation.told(knitting.named)}" for deviation in deviations}
        told = [text for text in told if text not in gone]
        if now is not knitting and not ripped:
            told.append(knit_from(course, place.row))
        working = CourseWorking(course)
        if place.row == knitting.place.row and place.done >= knitting.place.done:
            unchanged(knitting, working)
        after = Knitting(working, place)
        if any(isinstance(one, Accident | RippedBack) for one in deviations) and (begins := working.befallen(place)):
            after = Knitting(working, Place(place.row, begins))
        _try(course, after)
    except (DoesNotFit, CannotBeWalked) as error:
        raise CannotBe(str(error)) from None
    except BedFault as fault:
        raise CannotBe(_in_words(fault)) from None
    unclicked = (knitting.counter or 0) - (after.counter or 0) if ripped else 0
    words = [*_mending(after), *told, *effects(knitting, old, after, course, unclicked)]
    return Changed(course, after, tuple(words), unclicked)


def _in_words(fault: BedFault) -> str:
    """Why the bed refuses a row, in the knitter's words."""
    found = "; ".join(one.what for one in fault.found)
    row = f"row {fault.row}" if fault.row is not None else "what comes"
    at = f"“{fault.move.words()}”: " if isinstance(fault.move, Move) else ""
    return f"{row} could not be knit then. {at}{found}"


def _mending(after: Knitting) -> Iterator[str]:
    """The mend that comes next, a line a thing to do."""
    mends = [step for step in after.steps if step.mends and step.last > after.place.done]
    moves = [m for step in mends for m in after.moves[max(step.first, after.place.done) : step.last]]
    if moves:
        yield "To put it right, on the bed, step by step:"
        yield from (f"{i} {move.words(after.working.in_work)}" for i, move in enumerate(moves[:LISTED], 1))
        if (more := len(moves) - LISTED) > 0:
            yield f"… and {counted(more, 'more line')}, each told when it comes"


def _said(knitting: Knitting, course: Course, place: Place, deviation: Deviation) -> tuple[Course, Place, list[str]]:
    """The course and the place after one more deviation, and what it asks of the knitter."""
    row, done = knitting.place
    match deviation:
        case TooMany(at, rows):
            begun = under_way(knitting)
            if at != row + bool(begun) or (begun and not passes_done(knitting)):
                raise CannotBe(begun or f"rows are added at row {row:,}, not at row {at:,}")
            return course.with_(deviation), Place(at + rows, 0), []
        case TooFew(_, rows):
            if why := under_way(knitting):
                raise CannotBe(why)
            most = row - course.begins(row)
            if not 1 <= rows <= most:
                of = "" if most == row - 1 else f" of {knitting.row.part}" if knitting.row else " of that part"
                raise CannotBe(f"{counted(most, 'row')}{of} were counted before this one; allowed: 1 to {most:,}")
            again = islice(_latest(course, row - rows, row), LISTED)
            told = [f"Row {knitting.named(at)}: {crossed.name} is still to be crossed" for at, crossed in again]
            return course.ripped(row - rows), Place(row - rows, 0), [*told, *_forgotten(knitting, course, row - rows)]
        case RippedBack(_, to):
            last = row if done else row - 1
            if not 1 <= to <= last:
                raise CannotBe(
                    f"allowed: a row that was begun, 1 to {knitting.named(last)}" if last else "nothing is knit yet"
                )
            ripped = course.ripped(to)
            way = WayDown(knitting, course, to, CourseWorking(ripped).bed_before(to).held)
            unravelled = Unravelled.saying(to, unknit_from(knitting), knitting.side, knitting.bed.dial, way.moves())
            told = [_uncross(knitting, course, to), *_forgotten(knitting, course, to)]
            return ripped.with_(unravelled), Place(to, 0), told
        case Reshaped():
            after = course.with_(deviation)
            return after, place, list(edge_words(course, after, deviation))
        case Skipped():
            return course.with_(deviation), place, []
        case Accident():
            if knitting.finished:
                raise CannotBe("the panel is finished")
            return course.with_(deviation), place, []
        case _:
            if deviation.at > course.rows or knitting.finished:
                raise CannotBe("the panel is finished")
            return course.with_(deviation), place, []


def unchanged(before: Knitting, after: Working, number: int | None = None) -> None:
    """Refuse what would change moves of the row in hand that are made already; it is row ``number`` afterwards.

    Raises CannotBe.
    """
    row, done = before.place
    number = number or row
    if done and (number > after.calendar.rows or before.moves[:done] != after.moves(number)[:done]):
        raise CannotBe(f"it would change what is knit already: {under_way(before)}")


def _try(course: Course, knitting: Knitting) -> None:
    """Knit one row of each kind that comes, and each row that something befell. Raises BedFault, CannotBeWalked."""
    working, first = knitting.working, knitting.place.row
    kinds = {} if knitting.finished else course.kinds(first, first + ROWS_TRIED)
    befallen = [number for number in course.befallen if number <= course.rows]
    for number in dict.fromkeys([*(tally.first for tally in kinds.values()), *befallen]):
        bed = working.bed_before(number)
        for move in working.moves(number):
            bed.push(move)
        working.complete(bed, number)


# --- in words ---------------------------------------------------------------


def effects(before: Knitting, old: Course, after: Knitting, new: Course, unclicked: int = 0) -> Iterator[str]:
    """What is different now, the next thing to do first."""
    row = after.row
    if row is None:
        yield "The panel is finished" + ("" if new.plan.part else f", {new.rows:,} rows")
    else:
        where = "goes on" if under_way(after) else "is next"
        crossed = ", ".join(f"{c.name} crosses after it" for c in row.crossed) or "nothing crosses after it"
        yield (
            f"{row_of_all(new, row.number)} {where}, from the {row.side} ({row.side.carriage}), "
            f"SS {size_text(row.size)}; {crossed}"
        )
    if not any(step.mends and step.last > after.place.done for step in after.steps):
        # A mend brings needles and dial back itself.
        if before.bed.held and not after.bed.held:
            yield "Bring all needles back to working position: none is held"
        if row is not None and before.bed.dial != after.bed.dial:
            yield f"Dial to SS {size_text(after.bed.dial)}"
    if new.rows != old.rows:
        yield from longer(old, new, after.place.row)
    for was, now in zip(before.cables(), after.cables(), strict=True):
        if (was.next_row, was.done, was.of) != (now.next_row, now.done, now.of):
            crosses = (
                "no crossing is left" if now.next_row is None else f"next crossing row {after.named(now.next_row)}"
            )
            yield f"{now.name}: {now.done:,} of {now.of:,} crossings made, {crosses}"
    for cable in new.plan.cable:
        largest = max((d.size for d in new.said if isinstance(d, SizeFrom)), default=None)
        if largest is not None and cable.enlarged_size is not None and largest >= cable.enlarged_size:
            yield f"{cable.name}: SS {size_text(cable.enlarged_size)} no longer enlarges the half behind"
    if unclicked:
        yield (
            f"Ripping back leaves your counter {unclicked:,} too high: turn it back and say what it reads (d, c), "
            "or let it run on from there"
        )
    elif after.counter is not None and before.counter != after.counter:
        more = after.counter - (before.counter or 0)
        yield f"The machine's counter should read {abs(more):,} {'more' if more > 0 else 'less'}"


def _forgotten(knitting: Knitting, course: Course, to: int) -> list[str]:
    kept = set(map(_anew, course.ripped(to).said))
    left = {d.at: d.rows for d in kept if isinstance(d, TooMany)}
    told = []
    for deviation in course.said:
        if isinstance(deviation, TooMany) and left.get(deviation.at, deviation.rows) < deviation.rows:
            told.append(f"{counted(left[deviation.at], 'row')} of these left: {deviation.told(knitting.named)}")
        elif _anew(deviation) not in kept:
            told.append(f"{FORGOTTEN}{deviation.told(knitting.named)}")
    return told


def _anew(deviation: Deviation) -> Deviation:
    """A deviation whenever it was said: of an edge, what was ripped out since is knit anew."""
    return replace(deviation, at=1) if isinstance(deviation, Reshaped) else deviation


def _latest(course: Course, first: int, before: int) -> Iterator[tuple[int, Crossed]]:
    """Crossings made in rows ``first`` to ``before - 1``, latest first."""
    row = course.last_crossing(before)
    while row is not None and row >= first:
        yield from ((row, c) for c in reversed(course.crossed(row)))
        row = course.last_crossing(row)


def _uncross(knitting: Knitting, course: Course, to: int) -> str:
    """How many crossings must be undone on the way down to row ``to``; the mend names them."""
    if not (count := sum(isinstance(one.move, Cross) for one in undone(knitting, course, to))):
        return "No crossing lies in the rows ripped out"
    return f"{counted(count, 'crossing')} to undo, newest first"
