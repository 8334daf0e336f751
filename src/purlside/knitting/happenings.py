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


def happenings(knitting: Knitting, course: Course) -> tuple[Happening, ...]:
    """The list at a place."""
    groups = (RowLines, CrossingLines, BedLines, FromHereLines)
    return tuple(line for group in groups for line in group(knitting, course).lines())
