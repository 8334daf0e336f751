"""How long the panel takes at the bed: the sum over the moves of its rows, at the knitter's own pace where timed.

The default rates are ours and rough; they matter only until a few rows have been
timed. Breaks are not in the time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from purlside.bed.rates import MOST_SECONDS, Rates

if TYPE_CHECKING:
    from purlside.figures.costs import RowCost
    from purlside.rows.row import Row

BREAK = "5 to 10 minutes' break after 50 to 60 minutes' work"
"""UK Health and Safety Executive, guidance on screen work."""


@dataclass(frozen=True, slots=True)
class Timings:
    """The knitter's own seconds for one plain row and for one crossing row with its crossings, where timed; ``rates`` for
    all else. Raises ValueError for seconds that are not above 0."""

    row: float | None = None
    crossing_row: float | None = None
    rates: Rates = field(default_factory=Rates)

    def __post_init__(self) -> None:
        for name, seconds in (("row", self.row), ("crossing row", self.crossing_row)):
            if seconds is not None and not 0 < seconds <= MOST_SECONDS:
                raise ValueError(f"{name} takes seconds above 0, at most a day, not {seconds:g}")


@dataclass(frozen=True, slots=True)
class Time:
    """Seconds at the bed, rows of both sorts, and where the timings are from.

    ``movements`` of the carriage, ``groups`` of needles pushed and needles ``pushed`` are of the crossing rows together.
    """

    plain_rows: int
    crossing_rows: int
    plain_s: float
    crossing_s: float
    weights_s: float
    movements: int
    groups: int
    pushed: int
    pace_from: str

    @property
    def total_s(self) -> float:
        return self.plain_s + self.crossing_s + self.weights_s


def time(costs: Iterable[tuple[Row, RowCost]], timings: Timings | None = None) -> Time:
    """The time of a whole plan, from what each of its rows costs at the rates of ``timings``.

    Rows the knitter has timed count at that time; a timed plain row scales crossing rows that are not.
    """
    own = timings if timings is not None else Timings()
    plain_rows = crossing_rows = movements = groups = pushed = 0
    plain_s = crossing_s = weights_s = 0.0
    for row, cost in costs:
        weights_s += cost.weights_s
        if not row.crossing:
            plain_rows += 1
            plain_s += cost.seconds
            continue
        crossing_rows += 1
        crossing_s += cost.seconds
        movements, groups, pushed = movements + cost.movements, groups + cost.groups, pushed + cost.pushed
    scale = own.row * plain_rows / plain_s if own.row is not None and plain_s else 1.0
    plain_s *= scale
    crossing_s = crossing_s * scale if own.crossing_row is None else own.crossing_row * crossing_rows
    timed = [
        *(["a plain row"] if own.row is not None else []),
        *(["a crossing row"] if own.crossing_row is not None else []),
    ]
    source = f"your own time for {' and '.join(timed)}" if timed else "default rates, a rough estimate"
    return Time(plain_rows, crossing_rows, plain_s, crossing_s, weights_s, movements, groups, pushed, source)
