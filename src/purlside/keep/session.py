"""A plan being knit: its steps, its notes, the machine's counter, and what is said of the knitting."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from purlside.bed.transfers import Cross
from purlside.keep import events
from purlside.keep.events import Event, Forward
from purlside.keep.inhand import InHand
from purlside.keep.outcomes import Outcomes
from purlside.knitting.accidents import without_accidents
from purlside.knitting.calling import Call
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import CrossedLate, Deviation, DoesNotFit, Skipped
from purlside.knitting.differing import CannotBe, differ, effects, unchanged
from purlside.knitting.inforce import MOST_UNDONE, NO_NOTE, Said, pinned
from purlside.rows.counter import Reading

if TYPE_CHECKING:
    from purlside.knitting.happening import Happening, Way


class Session(InHand):
    """One plan being knit: what the knitter does, says and asks. Each step is in the ledger before it is shown."""

    @cached_property
    def outcomes(self) -> Outcomes:
        """How the crossings went, as they are recorded."""
        return Outcomes(self.file.plan, self._happened)

    # --- stepping ----------------------------------------------------------

    def forward(self) -> bool:
        """Done: the next step."""
        return self._step(events.StepDone, self.knitting.next_place())

    def back(self) -> bool:
        """One step back; right after :meth:`go_to`, back to where that began."""
        if (jumped := self.jumped_from) is not None:
            return self._step(events.WentTo, jumped)
        return self._step(events.StepBack, self.knitting.place_before())

    def next_move(self) -> bool:
        return self._step(events.MoveDone, self.knitting.next_move_place())

    def move_back(self) -> bool:
        return self._step(events.StepBack, self.knitting.move_before_place())

    def next_row(self) -> bool:
        """To the start of the next row."""
        return self._step(events.WentTo, Place(self.knitting.place.row + 1, 0))

    def row_back(self) -> bool:
        """To the start of this row, or of the one before when there already."""
        place = self.knitting.place
        return self._step(events.WentTo, Place(place.row if place.done else place.row - 1, 0))

    def go_to(self, row: int) -> bool:
        """To the start of a row; past the end is the finished panel."""
        before = self.knitting.place
        gone = self._step(events.WentTo, Place(row, 0))
        self._jumped = (before, self.knitting.place) if gone else None
        return gone

    def back_to(self, place: Place) -> bool:
        """Back to a place that was left by mistake."""
        return self._step(events.StepBack, place)

    def may_go_back_to(self, place: Place) -> None:
        """The next :meth:`back` leads there, if nothing is stepped meanwhile."""
        self._jumped = (place, self.knitting.place)

    @property
    def jumped_from(self) -> Place | None:
        """Where the row in hand was gone to from, until the next step is asked for; None if it was not jumped to."""
        return self._jumped[0] if self._jumped and self._jumped[1] == self.knitting.place else None

    def _step(self, kind: type[Event], to: Place) -> bool:
        """Make a step. False where it leads nowhere or another window writes."""
        if self.ledger.read_only:
            self.look_again()
            return False
        knitting, before = self.knitting, self.knitting.place
        self._jumped = None
        to = knitting.clamped(to)
        if to == before:
            return False
        self.unfit = None
        self.changed_said = ""
        crossing = bool(knitting.row and knitting.row.crossed)
        on = issubclass(kind, Forward)
        if issubclass(kind, Forward):
            made = knitting.moves[before.done : to.done if to.row == before.row else None]
            self._happened(kind(to, tuple(move.cable for move in made if isinstance(move, Cross))))
        else:
            self._happened(kind(to))
        if on and crossing and self.calling.sets_counter and to == Place(before.row + 1, 0) and knitting.counts:
            self.set_counter(before.row)
        now = self.clock.monotonic()
        if to.row != before.row:
            if on and to == Place(before.row + 1, 0) and self._row_since is not None:
                self.pace.row_done(now - self._row_since, crossing=crossing)
            self._row_since = now
        elif self._row_since is None:
            self._row_since = now
        return True

    # --- notes and the machine's counter -------------------------------------

    def note_for(self, text: str) -> tuple[int, str]:
        """A note and its row: the row in hand, or as ``"30: text"`` row 30. Raises ValueError where there is none."""
        return pinned(text, min(self.knitting.place.row, self.course.rows), self.course.rows)

    def note(self, text: str) -> str:
        """Keep a note pinned to its row; ``"-"`` takes the row's last one off. What was done. Raises ValueError."""
        row, text = self.note_for(text)
        if self.ledger.read_only:
            return "Read only: a note is kept in the window this plan is knit in"
        if text != NO_NOTE:
            self._happened(events.Noted(self.knitting.place, row, text))
            return f"Noted at row {row:,}"
        taken, notes = self.in_force.without_note(row)
        if taken is None:
            return f"Row {row:,} has no note"
        self._happened(events.NoteOff(self.knitting.place, row, taken, kept=replace(self.in_force, notes=notes)))
        return f"Taken off row {row:,}: {taken}"

    def notes_at(self, number: int) -> tuple[str, ...]:
        """The notes pinned to a row, oldest first."""
        return tuple(text for row, text in self.in_force.notes if row == number)

    @property
    def notes(self) -> tuple[str, ...]:
        """Those pinned to the row in hand."""
        return self.notes_at(self.knitting.place.row)

    def reading_at(self, knitting: Knitting) -> Reading | None:
        """What the machine's own counter should read there; None where the plan gives no trip."""
        counts = knitting.counts
        return None if counts is None else counts.reading(self.in_force.counter_ahead, *self.in_force.sure)

    @property
    def reading(self) -> Reading | None:
        """What it should read now."""
        return self.reading_at(self.knitting)

    @property
    def counter(self) -> int | None:
        """The one number of :attr:`reading`."""
        return None if (reading := self.reading) is None else reading.told

    def set_counter(self, reading: int) -> None:
        """The machine's counter reads this now; it is counted on from there. Raises CannotBe."""
        clicks = self.knitting.counts
        if clicks is None:
            raise CannotBe("the plan gives no place of the counter's trip: add counter_trip under [machine]")
        self._may_say()
        sure = (clicks.told - clicks.fewest, clicks.most - clicks.told)
        kept = replace(self.in_force, counter_ahead=reading - clicks.told, sure=sure)
        self._happened(events.CounterRead(self.knitting.place, reading, self.counter, kept=kept))

    # --- how the knitting differs from the plan -------------------------------

    def happenings(self) -> tuple[Happening, ...]:
        """All that can be said here."""
        from purlside.knitting.happenings import happenings

        return happenings(self.knitting, self.course)

    def consider(self, way: Way) -> tuple[str, ...]:
        """What saying this would do, in words. Raises CannotBe."""
        self._may_say()
        if way.plan:
            course = self._replanned(way.plan)
            return tuple(
                effects(self.knitting, self.course, Knitting(CourseWorking(course), self.knitting.place), course)
            )
        if way.reading is not None:
            return (f"The machine's counter: {way.reading:,}, where {self.reading} was expected",)
        return differ(self.knitting, self.course, *way.deviations).effects

    def take(self, way: Way) -> tuple[str, ...]:
        """Say it: written to the ledger, then done. What it did is returned. Raises CannotBe, changing nothing."""
        if way.plan:
            told = self.consider(way)
            self._knit_on(self._replanned(way.plan), self.knitting.place, self.knitting)
            self.knit_from.keep()
            self._happened(events.PlanChanged(self.knitting.place, way.label))
            self._happened(events.Snapshot(self.knitting.place, kept=self.in_force))
            return told
        if way.reading is not None:
            told = self.consider(way)
            self.set_counter(way.reading)
            return told
        return self.differ(*way.deviations)

    def _replanned(self, how: str) -> Course:
        """The plan taken as it is written from here on, or for every row. Raises CannotBe."""
        place = self.knitting.place
        try:
            if how == "written":
                return self.course.from_row(place.row + bool(place.done), self.file.plan, counted=False)
            course = Course(self.file.plan, without_accidents(self.in_force.said))
        except DoesNotFit as error:
            raise CannotBe(str(error)) from None
        unchanged(self.knitting, CourseWorking(course))
        return course

    @property
    def said_last(self) -> str | None:
        """What :meth:`take_back` would take back, in words; None where nothing was said."""
        return self.in_force.undo[-1].words if self.in_force.undo else None

    def differ(self, *deviations: Deviation) -> tuple[str, ...]:
        """The knitting differs from the plan like this. Raises CannotBe, changing nothing."""
        self._may_say()
        outcome = differ(self.knitting, self.course, *deviations)
        # What leads the whole (rows added, a rip) names it; crossings skipped with it go with it.
        named = max(deviations, key=lambda d: not isinstance(d, Skipped | CrossedLate))
        what, before, after = tuple(map(str, deviations)), self.knitting.place, outcome.knitting.place
        words = named.told(self.knitting.named)
        said = Said(words, self.course.said, before, after, outcome.unclicked)
        undo, ahead = (*self.in_force.undo, said)[-MOST_UNDONE:], self.in_force.counter_ahead + outcome.unclicked
        kept = replace(self.in_force, said=outcome.course.said, undo=undo, counter_ahead=ahead)
        if outcome.course.stretches != self.course.stretches:
            self._stretched[len(kept.undo)] = self.course.stretches
        self._knit_from(outcome.course)
        self._happened(events.Differs(after, before, what, words, tuple(outcome.effects), kept=kept))
        return outcome.effects

    def take_back(self) -> tuple[str, ...]:
        """Take the last thing said back. Raises CannotBe, changing nothing."""
        self._may_say()
        if not self.in_force.undo:
            raise CannotBe("nothing was said that could be taken back")
        said, many, knitting = self.in_force.undo[-1], len(self.in_force.undo), self.knitting
        course = Course(self._stretched.get(many, self.course.stretches), said.before)
        working, place = CourseWorking(course), said.place(knitting.place)
        if knitting.place != said.to:
            unchanged(knitting, working, place.row)
        after = Knitting(working, place)
        told = tuple(effects(knitting, self.course, after, course))
        ahead = self.in_force.counter_ahead - said.unclicked
        kept = replace(self.in_force, said=said.before, undo=self.in_force.undo[:-1], counter_ahead=ahead)
        self._stretched.pop(many, None)
        self._knit_from(course)
        self._happened(events.TakenBack(after.place, knitting.place, said.words, kept=kept))
        return told

    def _knit_from(self, course: Course) -> None:
        """What was ripped out is knit from the plan as it is now."""
        if course.stretches != self.course.stretches:
            self.course = course
            self.knit_from.knit(course.stretches)

    @property
    def may_not_say(self) -> str | None:
        """Why nothing can be said of the knitting here; None where it can."""
        return "this plan is being knit in another window: say it there" if self.ledger.read_only else None

    def _may_say(self) -> None:
        if (why := self.may_not_say) is not None:
            raise CannotBe(why)

    # --- asking ------------------------------------------------------------

    @property
    def call(self) -> Call | None:
        """The call that stands here, if any."""
        return self.knitting.call(self.calling)

    def call_due(self) -> Call | None:
        """The call to sound now: one that has not been sounded since the last time there was another."""
        call = self.call
        key = call.key if call else None
        due = call if key is not None and key != self._called else None
        self._called = key
        return due

    def time_left(self, row: int | None = None) -> float | None:
        """Seconds left from a row on, the row in hand or that one, at this knitter's own pace, an estimate; None while it
        is not known."""
        return self.pace.left(*self.course.rows_left(self.knitting.place.row if row is None else row))
