"""A plan in hand: the knitting, and the ledger that each step is written to before it is shown."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from purlside.bed.transfers import Cross
from purlside.files.planfile import PlanFile
from purlside.files.whole import digest
from purlside.keep import panels
from purlside.keep.events import (
    Closed,
    CounterRead,
    Differs,
    Event,
    Forward,
    MoveDone,
    Noted,
    NoteOff,
    Opened,
    PlanChanged,
    Snapshot,
    StepBack,
    StepDone,
    TakenBack,
    WentTo,
)
from purlside.keep.knitfrom import KnitFrom, beyond_words, changed_words
from purlside.keep.ledger import CLOCK, Clock, Ledger
from purlside.keep.panels import KeptPanel
from purlside.keep.resuming import Resumed, resume
from purlside.knitting.accidents import without_accidents
from purlside.knitting.calling import CALLING, Call, Calling
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import CrossedLate, Deviation, DoesNotFit, Skipped
from purlside.knitting.differing import CannotBe, Changed, differ, effects, unchanged
from purlside.knitting.kept import MOST_UNDONE, NO_NOTE, Kept, Said, pinned
from purlside.knitting.pace import Pace
from purlside.knitting.stretches import PlanFrom
from purlside.rows.counter import Reading
from purlside.shown.callbar import NO_TROUBLE

if TYPE_CHECKING:
    from purlside.keep.outcomes import Outcomes
    from purlside.knitting.happening import Happening, Way

SNAPSHOT_EVERY = 500
"""Ledger lines after which a snapshot is written again: all that resuming reads back."""


class Session:
    """One plan being knit, resumed from its ledger.

    Every step is first appended to the ledger and then made, so that whatever
    ends the program, the place last asked for is known. ``unfit`` says what of
    the ledger no longer fits the plan, until the first step; it is None where all does.
    """

    def __init__(
        self, file: PlanFile, *, calling: Calling = CALLING, clock: Clock = CLOCK, panel: KeptPanel | None = None
    ) -> None:
        self.file = file
        self.clock = clock
        self.calling = calling
        self.unfit: str | None = None
        self.pace = Pace()
        self.course: Course
        self.knitting: Knitting
        self.kept = Kept()
        found_panel = panels.find(file.path, file)
        self.panel, self.moved_from = panel or found_panel.panel, found_panel.moved
        """The files kept of the panel; where the plan's file was before it was moved here, empty where it was not."""
        self.ledger = Ledger(self.panel.ledger, clock)
        self.file_said = NO_TROUBLE
        """What became of the plan's file meanwhile."""
        self._row_since: float | None = None
        self._called: tuple[object, ...] | None = None
        self._jumped: tuple[Place, Place] | None = None
        self._lines = 0
        self._handed = self.ledger.opened
        found = resume(self.ledger.path, self.pace)
        self.away = (clock.now() - found.when).total_seconds() if found.when and found.place != Place(1, 0) else 0.0
        """Seconds since something happened on this panel last, when it was opened; 0 where nothing is knit."""
        self.knit_from = KnitFrom(self.ledger.path, file)
        self._stretched: dict[int, tuple[PlanFrom, ...]] = {}
        """The plans it was knit from before something was said, by how much could be taken back then."""
        self._take_up(found)
        self.changed_said = self._plan_changed() if self.knit_from.changed else ""
        self.unfit = "; ".join(filter(None, (self.unfit, self.knit_from.damaged))) or None
        if not self.ledger.read_only:
            self._open()

    def _plan_changed(self) -> str:
        """Knit on from the plan as it is now, what is knit staying as it was knit: what the knitter should know of it."""
        before, place = self.knitting, self.knitting.place
        row = place.row + bool(place.done)
        try:
            try:
                course = self.course.from_row(row, self.file.plan)
            except DoesNotFit as error:
                course = self.course.ripped(row).from_row(row, self.file.plan)
                self._no_longer(error)
            words = changed_words(course, place)
        except DoesNotFit as why:
            course, words = (
                self._knit_whole(),
                f"The plan was changed ({why}), and is taken as if knit from the start. ",
            )
            place = Place(place.row, 0)
        beyond = beyond_words(row - 1, course.rows)
        self._knit_on(course, Place(course.rows + 1, 0) if beyond else place, before)
        return (beyond or words).strip() if row > 1 else ""

    def _knit_whole(self) -> Course:
        """All rows by the plan as it is now; of what befell the bed nothing is left."""
        try:
            return Course(self.file.plan, without_accidents(self.kept.said))
        except DoesNotFit as error:
            self._no_longer(error)
            self.kept = replace(self.kept, said=(), undo=())
            return Course(self.file.plan)

    def _no_longer(self, error: DoesNotFit) -> None:
        self.unfit = f"The plan has changed: what was said of the knitting no longer fits ({error}) and is left out"

    def _knit_on(self, course: Course, place: Place, before: Knitting) -> None:
        """Knit another course from here; the machine's own counter reads what it read."""
        self.course, self.knitting = course, Knitting(CourseWorking(course), place)
        self.knitting.revision = before.revision + 1
        ahead = self.kept.ahead + (before.counter or 0) - (self.knitting.counter or 0)
        self.kept = replace(self.kept, said=course.said, ahead=ahead)
        self.knit_from.stretches, self.knit_from.stale = course.stretches, True

    @cached_property
    def outcomes(self) -> Outcomes:
        """How the crossings went, as they are recorded."""
        from purlside.keep.outcomes import Outcomes

        return Outcomes(self.file.plan, self._happened)

    def _take_up(self, found: Resumed) -> None:
        """Take place, deviations and notes from the ledger's tail."""
        self.kept = found.kept
        self.unfit = found.damage or None
        try:
            self.course = Course(self.knit_from.stretches, self.kept.said)
        except DoesNotFit:
            self.course = self._knit_whole()
            self.kept = replace(self.kept, said=self.course.said)
        self.knitting = Knitting(CourseWorking(self.course), found.place)

    def _open(self) -> None:
        self.knit_from.keep()
        with contextlib.suppress(OSError):
            self.panel.belongs_to(self.file)
        mark = digest(self.file.text)[:16]
        place, plan = self.knitting.place, str(self.file.path.absolute())
        self._happened(Opened(place, plan, self.file.plan.title, mark, kept=self.kept))
        if self.changed_said:
            self._happened(PlanChanged(place, self.changed_said))

    def look_again(self) -> None:
        """While another window writes: see where it is, and take over once it is closed."""
        if not self.ledger.read_only:
            return
        free = self.ledger.take_over()
        self._follow(resume(self.ledger.path, self.pace))
        if free:
            self._open()

    def follow(self) -> bool:
        """While another window writes: see where it is. False where it is where it was."""
        if not self.ledger.read_only:
            return False
        before, found = (self.knitting.place, self.kept), resume(self.ledger.path, self.pace)
        if found.place is None:
            return False
        self._follow(found)
        return (self.knitting.place, self.kept) != before

    def _follow(self, found: Resumed) -> None:
        revision = self.knitting.revision
        self._take_up(found)
        self.knitting.revision += revision + 1

    def _happened(self, event: Event) -> None:
        """Write it, then make it so: whatever ends the program between the two, the next start makes it so."""
        before, self.kept = self.kept, event.applied(self.kept)
        self.ledger.append(event)
        self._lines = 0 if event.snapshot else self._lines + 1
        # What was said is written twice: no one damaged line loses it.
        doubled = event.snapshot is not None and self.kept != before
        if doubled or self.ledger.opened != self._handed or self._lines >= SNAPSHOT_EVERY:
            self._handed = self.ledger.opened
            self._lines = 0
            self.ledger.append(Snapshot(event.at, kept=self.kept))
        knitting = self.knitting
        if self.kept.said != before.said:
            self.course = self.course.saying(self.kept.said)
            self.knitting = Knitting(CourseWorking(self.course), event.at)
            self.knitting.revision = knitting.revision + 1
            self._row_since = self._jumped = None
        elif event.at != knitting.place:
            knitting.go(event.at)
        elif self.kept != before:
            knitting.revision += 1

    # --- stepping ----------------------------------------------------------

    def forward(self) -> bool:
        """Done: the next step."""
        return self._step(StepDone, self.knitting.next_place())

    def back(self) -> bool:
        """One step back; right after :meth:`go_to`, back to where that began."""
        if (jumped := self.jumped_from) is not None:
            return self._step(WentTo, jumped)
        return self._step(StepBack, self.knitting.place_before())

    def next_move(self) -> bool:
        return self._step(MoveDone, self.knitting.next_move_place())

    def move_back(self) -> bool:
        return self._step(StepBack, self.knitting.move_before_place())

    def next_row(self) -> bool:
        """To the start of the next row."""
        return self._step(WentTo, Place(self.knitting.place.row + 1, 0))

    def row_back(self) -> bool:
        """To the start of this row, or of the one before when there already."""
        place = self.knitting.place
        return self._step(WentTo, Place(place.row if place.done else place.row - 1, 0))

    def go_to(self, row: int) -> bool:
        """To the start of a row; past the end is the finished panel."""
        before = self.knitting.place
        gone = self._step(WentTo, Place(row, 0))
        self._jumped = (before, self.knitting.place) if gone else None
        return gone

    def back_to(self, place: Place) -> bool:
        """Back to a place that was left by mistake."""
        return self._step(StepBack, place)

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
            self._happened(Noted(self.knitting.place, row, text))
            return f"Noted at row {row:,}"
        taken, notes = self.kept.without_note(row)
        if taken is None:
            return f"Row {row:,} has no note"
        self._happened(NoteOff(self.knitting.place, row, taken, kept=replace(self.kept, notes=notes)))
        return f"Taken off row {row:,}: {taken}"

    @property
    def notes(self) -> tuple[str, ...]:
        """The notes pinned to the row in hand, oldest first."""
        return tuple(text for row, text in self.kept.notes if row == self.knitting.place.row)

    @property
    def reading(self) -> Reading | None:
        """What the machine's own counter should read now; None where the plan gives no trip."""
        counts = self.knitting.counts
        return None if counts is None else counts.reading(self.kept.ahead, *self.kept.sure)

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
        kept = replace(self.kept, ahead=reading - clicks.told, sure=sure)
        self._happened(CounterRead(self.knitting.place, reading, self.counter, kept=kept))

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
            self._happened(PlanChanged(self.knitting.place, way.label))
            self._happened(Snapshot(self.knitting.place, kept=self.kept))
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
            course = Course(self.file.plan, without_accidents(self.kept.said))
        except DoesNotFit as error:
            raise CannotBe(str(error)) from None
        unchanged(self.knitting, CourseWorking(course))
        return course

    @property
    def said_last(self) -> str | None:
        """What :meth:`take_back` would take back, in words; None where nothing was said."""
        return self.kept.undo[-1].words if self.kept.undo else None

    def differ(self, *deviations: Deviation) -> tuple[str, ...]:
        """The knitting differs from the plan like this. Raises CannotBe, changing nothing."""
        self._may_say()
        outcome = differ(self.knitting, self.course, *deviations)
        # What leads the whole (rows added, a rip) names it; crossings skipped with it go with it.
        named = max(deviations, key=lambda d: not isinstance(d, Skipped | CrossedLate))
        what, before, after = tuple(map(str, deviations)), self.knitting.place, outcome.knitting.place
        said = Said(named.words, self.course.said, before, after, outcome.unclicked)
        kept = replace(
            self.kept,
            said=outcome.course.said,
            undo=(*self.kept.undo, said)[-MOST_UNDONE:],
            ahead=self.kept.ahead + outcome.unclicked,
        )
        if outcome.course.stretches != self.course.stretches:
            self._stretched[len(kept.undo)] = self.course.stretches
        self._knit_from(outcome.course)
        self._happened(Differs(after, before, what, named.words, tuple(outcome.effects), kept=kept))
        return outcome.effects

    def take_back(self) -> tuple[str, ...]:
        """Take the last thing said back. Raises CannotBe, changing nothing."""
        self._may_say()
        said, outcome = self._taken_back()
        ahead = self.kept.ahead - said.unclicked
        kept = replace(self.kept, said=said.before, undo=self.kept.undo[:-1], ahead=ahead)
        self._stretched.pop(len(self.kept.undo), None)
        self._knit_from(outcome.course)
        self._happened(TakenBack(outcome.knitting.place, self.knitting.place, said.words, kept=kept))
        return outcome.effects

    def _knit_from(self, course: Course) -> None:
        """What was ripped out is knit from the plan as it is now."""
        if course.stretches != self.course.stretches:
            self.course = course
            self.knit_from.knit(course.stretches)

    def _taken_back(self) -> tuple[Said, Changed]:
        if not self.kept.undo:
            raise CannotBe("nothing was said that could be taken back")
        said = self.kept.undo[-1]
        knitting, place = self.knitting, said.place(self.knitting.place)
        course = Course(self._stretched.get(len(self.kept.undo), self.course.stretches), said.before)
        working = CourseWorking(course)
        if knitting.place != said.to:
            unchanged(knitting, working, place.row)
        after = Knitting(working, place)
        return said, Changed(course, after, tuple(effects(knitting, self.course, after, course)))

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

    def rows_left(self) -> tuple[int, int]:
        """Plain and crossing rows still to knit, the row in hand among them."""
        return self.course.rows_left(self.knitting.place.row)

    def time_left(self) -> float | None:
        """Seconds left at this knitter's own pace, an estimate; None while it is not known."""
        return self.pace.left(*self.rows_left())

    def close(self) -> None:
        self._happened(Closed(self.knitting.place))
        self.ledger.close()
