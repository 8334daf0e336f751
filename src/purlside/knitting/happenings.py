"""What happened? Everything that can be said of the knitting at a place: always the same lines, each with its letter.

A line has its ways at once, or asks one question first; each way says what it
does and what it costs. Nothing is changed here.
"""

from __future__ import annotations

from purlside.knitting.bedlines import BedLines
from purlside.knitting.course import Course
from purlside.knitting.crossinglines import CrossingLines
from purlside.knitting.cursor import Knitting
from purlside.knitting.happening import Happening
from purlside.knitting.rowlines import FromHereLines, RowLines


class _Lines(RowLines, CrossingLines, BedLines, FromHereLines):
    """All lines, one method each."""


def happenings(knitting: Knitting, course: Course) -> tuple[Happening, ...]:
    """The list at a place, always the same lines in the same order."""
    here = _Lines(knitting, course)
    return (
        here.too_many(),
        here.too_few(),
        here.ripped_back(),
        here.other_side(),
        here.wrong_half(),
        here.not_done(),
        here.done_late(),
        here.broke(),
        here.hold_off(),
        here.dropped(),
        here.jammed(),
        here.edges(),
        here.yarn_ended(),
        here.size(),
        here.start_side(),
        here.counter(),
        here.plan(),
    )
