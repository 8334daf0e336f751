"""One line of "What happened?": its letter, its question, its ways, and what all lines ask of the place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from enum import StrEnum
from typing import ClassVar

from purlside.knitting.course import Course
from purlside.knitting.cursor import Knitting
from purlside.knitting.deviations import Deviation
from purlside.knitting.differing import CannotBe, differ, under_way
from purlside.knitting.ripping import unknit_from
from purlside.values import Value
from purlside.work.crossing import Crossed


class Group(StrEnum):
    """What a line is about: the heading it stands under."""

    ROWS = "rows"
    CROSSING = "the last crossing"
    BED = "the bed"
    FROM_HERE = "from here on"


class Way(Value):
    """One way to take it: what is said then, or the machine counter's reading. ``cost`` is what it costs, or a warning."""

    label: str
    deviations: tuple[Deviation, ...] = ()
    cost: str = ""
    reading: int | None = None
    plan: str = ""
    """Of a plan changed on the needles: taken as "written" from here on, or for the "whole" panel."""


class Happening(Value):
    """A line of the list. ``not_now`` says why it cannot be said here."""

    letter: str
    label: str
    find: Callable[[str], Iterable[Way]] = lambda _: ()
    question: str = ""
    hint: str = ""
    not_now: str = ""
    group: Group = Group.ROWS

    def ways(self, answer: str) -> tuple[Way, ...]:
        """Its ways, from the answer where it asks a ``question``. Raises ValueError with the reason where it has none."""
        return tuple(self.find(answer))


class Here:
    """Where the knitting stands, and what all lines of a group ask of it."""

    group: ClassVar[Group]

    def __init__(self, knitting: Knitting, course: Course) -> None:
        self.knitting, self.course = knitting, course
        self.row, self.done = knitting.place
        self.finished = "the panel is finished" if knitting.finished else ""
        self.begun = under_way(knitting) or ""
        self.unknit = unknit_from(knitting)
        """The first row in which nothing is knit yet."""

    def lines(self) -> Iterator[Happening]:
        """The group's lines, always the same ones in the same order."""
        raise NotImplementedError

    def _whole(self, text: str, low: int, high: int) -> int:
        """Raises ValueError."""
        if re.fullmatch(r"[0-9]{1,9}", text) and low <= int(text) <= high:
            return int(text)
        raise ValueError(f"allowed: a whole number, {low:,} to {high:,}")

    def _row(self, text: str, low: int, high: int) -> int:
        """The row that is meant, in knitting order, said as rows are told: of the part in hand, or of a part named.

        Raises ValueError.
        """
        if not self.course.plan.part:
            return self._whole(text, low, high)
        if not low <= (number := self.knitting.number(text)) <= high:
            raise ValueError(f"allowed: a row, {self._rows(low, high)}")
        return number

    def _rows(self, low: int, high: int) -> str:
        """From row ``low`` to row ``high``, each as it is told."""
        return f"{self.knitting.named(low)} to {self.knitting.named(high)}"

    def _can(self, ways: Iterable[Way]) -> tuple[Way, ...]:
        """The ways the bed allows. Raises ValueError with the reason where it allows none."""
        can, why = [], "nothing can be done here"
        for way in ways:
            try:
                differ(self.knitting, self.course, *way.deviations)
                can.append(way)
            except CannotBe as error:
                why = str(error)
        if not can:
            raise ValueError(why)
        return tuple(can)

    def _passed(self, first: int, last: int) -> Iterator[tuple[Crossed, int]]:
        """The crossings of rows ``first`` to ``last``, and their rows."""
        due = self.course.next_crossing(first)
        while due is not None and due <= last:
            yield from ((crossed, due) for crossed in self.course.crossed(due))
            due = self.course.next_crossing(due + 1)
