"""A plan in hand: the knitting as its ledger has it, followed while another window writes it."""

from __future__ import annotations

import contextlib
from dataclasses import replace

from purlside.files.planfile import PlanFile
from purlside.files.whole import digest
from purlside.keep import panels
from purlside.keep.events import Closed, Event, Opened, PlanChanged, Snapshot
from purlside.keep.knitfrom import KnitFrom, beyond_words, changed_words
from purlside.keep.ledger import CLOCK, Clock, Ledger
from purlside.keep.panels import KeptPanel
from purlside.keep.resuming import Resumed, resume
from purlside.knitting.accidents import without_accidents
from purlside.knitting.calling import CALLING, Calling
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import DoesNotFit
from purlside.knitting.inforce import InForce
from purlside.knitting.stretches import PlanFrom
from purlside.shown.callbar import NO_TROUBLE

SNAPSHOT_EVERY = 500
"""Ledger lines after which a snapshot is written again: all that resuming reads back."""


class InHand:
    """One plan in hand, resumed from its ledger: what happens is first appended to it and then made.

    So whatever ends the program, the place last asked for is known. ``unfit`` says what of
    the ledger no longer fits the plan, until the first step; it is None where all does.
    """

    def __init__(
        self, file: PlanFile, *, calling: Calling = CALLING, clock: Clock = CLOCK, panel: KeptPanel | None = None
    ) -> None:
        self.file = file
        self.clock = clock
        self.calling = calling
        self.unfit: str | None = None
        self.course: Course
        self.knitting: Knitting
        self.in_force = InForce()
        found_panel = panels.find(file.path, file)
        self.panel, self.moved_from = panel or found_panel.panel, found_panel.moved
        """The files kept of the panel; where the plan's file was before it was moved here, empty where it was not."""
        self.panel_said = self.panel.words
        self.ledger = Ledger(self.panel.ledger, clock)
        self.file_said = NO_TROUBLE
        """What became of the plan's file meanwhile."""
        self._row_since: float | None = None
        self._called: tuple[object, ...] | None = None
        self._jumped: tuple[Place, Place] | None = None
        self._lines = 0
        self._handed = self.ledger.opened
        found = resume(self.ledger.path)
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
            course, place = self._knit_whole(), Place(place.row, 0)
            words = f"The plan was changed ({why}), and is taken as if knit from the start. "
        beyond = beyond_words(row - 1, course.rows)
        self._knit_on(course, Place(course.rows + 1, 0) if beyond else place, before)
        return (beyond or words).strip() if row > 1 else ""

    def _knit_whole(self) -> Course:
        """All rows by the plan as it is now; of what befell the bed nothing is left."""
        try:
            return Course(self.file.plan, without_accidents(self.in_force.said))
        except DoesNotFit as error:
            self._no_longer(error)
            self.in_force = replace(self.in_force, said=(), undo=())
            return Course(self.file.plan)

    def _no_longer(self, error: DoesNotFit) -> None:
        self.unfit = f"The plan has changed: what was said of the knitting no longer fits ({error}) and is left out"

    def _knit_on(self, course: Course, place: Place, before: Knitting) -> None:
        """Knit another course from here; the machine's own counter reads what it read."""
        self.course, self.knitting = course, Knitting(CourseWorking(course), place)
        self.knitting.revision = before.revision + 1
        ahead = self.in_force.counter_ahead + (before.counter or 0) - (self.knitting.counter or 0)
        self.in_force = replace(self.in_force, said=course.said, counter_ahead=ahead)
        self.knit_from.stretches, self.knit_from.stale = course.stretches, True

    def _take_up(self, found: Resumed) -> None:
        """Take place, deviations and notes from the ledger's tail."""
        self.in_force, self.pace = found.in_force, found.pace
        self.unfit = found.damage or None
        try:
            self.course = Course(self.knit_from.stretches, self.in_force.said)
        except DoesNotFit:
            self.course = self._knit_whole()
            self.in_force = replace(self.in_force, said=self.course.said)
        self.knitting = Knitting(CourseWorking(self.course), found.place)

    def _open(self) -> None:
        self.knit_from.keep()
        with contextlib.suppress(OSError):
            self.panel.belongs_to(self.file)
        mark = digest(self.file.text)[:16]
        place, plan = self.knitting.place, str(self.file.path.absolute())
        self._happened(Opened(place, plan, self.file.plan.title, mark, kept=self.in_force))
        if self.changed_said:
            self._happened(PlanChanged(place, self.changed_said))

    def look_again(self) -> None:
        """While another window writes: see where it is, and take over once it is closed."""
        if not self.ledger.read_only:
            return
        free = self.ledger.take_over()
        self._follow(resume(self.ledger.path))
        if free:
            self._open()

    def follow(self) -> bool:
        """While another window writes: see where it is. False where it is where it was."""
        if not self.ledger.read_only:
            return False
        before, found = (self.knitting.place, self.in_force), resume(self.ledger.path)
        if found.place is None:
            return False
        self._follow(found)
        return (self.knitting.place, self.in_force) != before

    def _follow(self, found: Resumed) -> None:
        revision = self.knitting.revision
        self._take_up(found)
        self.knitting.revision += revision + 1

    def _happened(self, event: Event) -> None:
        """Write it, then make it so: whatever ends the program between the two, the next start makes it so."""
        before, self.in_force = self.in_force, event.applied(self.in_force)
        self.ledger.append(event)
        self._lines = 0 if event.kept else self._lines + 1
        # What was said is written twice: no one damaged line loses it.
        doubled = event.kept is not None and self.in_force != before
        if doubled or self.ledger.opened != self._handed or self._lines >= SNAPSHOT_EVERY:
            self._handed = self.ledger.opened
            self._lines = 0
            self.ledger.append(Snapshot(event.at, kept=self.in_force))
        knitting = self.knitting
        if self.in_force.said != before.said:
            self.course = self.course.saying(self.in_force.said)
            self.knitting = Knitting(CourseWorking(self.course), event.at)
            self.knitting.revision = knitting.revision + 1
            self._row_since = self._jumped = None
        elif event.at != knitting.place:
            knitting.go(event.at)
        elif self.in_force != before:
            knitting.revision += 1

    def close(self) -> None:
        self._happened(Closed(self.knitting.place))
        self.ledger.close()
