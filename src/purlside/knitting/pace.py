"""This knitter's own pace: seconds a plain row and a crossing row take, from what was knit."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field

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
        return median(self.plain)

    @property
    def crossing_row(self) -> float | None:
        return median(self.crossing)

    def left(self, plain: int, crossing: int) -> float | None:
        """Seconds left for so many rows; None while the pace for them is not known."""
        if (plain and self.plain_row is None) or (crossing and self.crossing_row is None):
            return None
        return plain * (self.plain_row or 0.0) + crossing * (self.crossing_row or 0.0)


def median(seconds: Iterable[float]) -> float | None:
    """The middle one; None of none."""
    import statistics

    listed = list(seconds)
    return statistics.median(listed) if listed else None


def duration(seconds: float) -> str:
    """``"45 s"``, ``"12 min"``, ``"3 h 05 min"``."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60:,} h {minutes % 60:02d} min"
