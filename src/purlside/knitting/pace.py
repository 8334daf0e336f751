"""This knitter's own pace: seconds a plain row and a crossing row take, from what was knit."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from purlside.knitting.course import Course

PAUSE = 300.0
"""Seconds between two rows after which the knitter was away, not slow. Ours."""

KEPT = 25
"""Rows of a kind whose times are kept: the pace is their median."""


@dataclass
class Pace:
    """Medians over the last rows, so that one long row does not count for much. Estimates."""

    plain: deque[float] = field(default_factory=lambda: deque(maxlen=KEPT))
    crossing: deque[float] = field(default_factory=lambda: deque(maxlen=KEPT))

    def row_done(self, seconds: float, *, crossing: bool) -> None:
        """Count a finished row; pauses and clocks set back do not count."""
        if 0 < seconds < PAUSE * (2 if crossing else 1):
            (self.crossing if crossing else self.plain).append(seconds)

    @property
    def plain_row(self) -> float | None:
        """Seconds a plain row takes, or None before any was knit."""
        return _median(self.plain) if self.plain else None

    @property
    def crossing_row(self) -> float | None:
        return _median(self.crossing) if self.crossing else None

    def left(self, plain: int, crossing: int) -> float | None:
        """Seconds left for so many rows; None while the pace for them is not known."""
        if (plain and self.plain_row is None) or (crossing and self.crossing_row is None):
            return None
        return plain * (self.plain_row or 0.0) + crossing * (self.crossing_row or 0.0)


class RowsLeft:
    """Plain and crossing rows still to knit; going on or back by a row counts that row only."""

    def __init__(self) -> None:
        self._known: tuple[Course, int, int, int] | None = None

    def of(self, course: Course, row: int) -> tuple[int, int]:
        """Of a course from a row on, that row among them."""
        known = self._known
        if known is None or known[0] is not course or abs(known[1] - row) > 1:
            kinds = course.kinds(row) if row <= course.rows else {}
            plain = sum(tally.count for tally in kinds.values() if not tally.row.crossed)
            self._known = course, row, plain, sum(tally.count for tally in kinds.values()) - plain
        elif known[1] != row:
            _, at, plain, crossing = known
            crossed = bool(course.row(min(at, row)).crossed)
            gone = 1 if row > at else -1
            self._known = course, row, plain - gone * (not crossed), crossing - gone * crossed
        assert self._known is not None
        return self._known[2:]


def _median(seconds: Iterable[float]) -> float:
    from statistics import median

    return median(seconds)


def duration(seconds: float) -> str:
    """``"45 s"``, ``"12 min"``, ``"3 h 05 min"``."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60:,} h {minutes % 60:02d} min"
