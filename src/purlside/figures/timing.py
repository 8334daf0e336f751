"""How long the panel takes at the bed, from the knitter's own timings or from defaults.

The defaults are ours and rough; they matter only until a few rows have been
timed. Breaks are not in the time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from purlside.bed.bed import Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return
from purlside.bed.transfers import Cross
from purlside.rows.calendar import Calendar

if TYPE_CHECKING:
    from purlside.rows.working import Working

MOST_SECONDS = 86_400.0

BREAK = "5 to 10 minutes' break after 50 to 60 minutes' work"
"""UK Health and Safety Executive, guidance on screen work."""


@dataclass(frozen=True, slots=True)
class Timings:
    """Seconds for each thing done; the defaults are estimates of ours.

    ``row`` and ``crossing_row`` are the knitter's own seconds for one plain row
    and for one crossing row with its crossings, where timed. Raises ValueError
    for seconds that are not above 0.
    """

    row: float | None = None
    crossing_row: float | None = None
    knit: float = 4.0
    knit_needle: float = 0.03
    back_up: float = 4.0
    push_group: float = 2.0
    push_needle: float = 0.3
    dial: float = 2.0
    by_hand: float = 8.0
    crossing: float = 20.0
    crossing_stitch: float = 2.0
    weights: float = 15.0

    def __post_init__(self) -> None:
        for name, seconds in asdict(self).items():
            if seconds is not None and not 0 < seconds <= MOST_SECONDS:
                raise ValueError(f"{name.replace('_', ' ')} takes seconds above 0, at most a day, not {seconds:g}")

    def of(self, moves: Iterable[Move]) -> float:
        """Seconds for the moves, by the defaults for each thing done."""
        return sum(self._one(move) for move in moves)

    def _one(self, move: Move) -> float:
        if isinstance(move, Knit):
            return self.knit + self.knit_needle * len(move.needles)
        if isinstance(move, BackUp):
            return self.back_up
        if isinstance(move, (Hold, Return)):
            return self.push_group + self.push_needle * len(move.needles)
        if isinstance(move, Dial):
            return self.dial
        if isinstance(move, ByHand):
            return self.by_hand * len(move.needles)
        if isinstance(move, Cross):
            return self.crossing + self.crossing_stitch * len(move.needles)
        return 0.0


@dataclass(frozen=True, slots=True)
class Time:
    """Seconds at the bed, rows of both sorts, and where the timings are from."""

    plain_rows: int
    crossing_rows: int
    plain_s: float
    crossing_s: float
    weights_s: float
    pace_from: str

    @property
    def total_s(self) -> float:
        return self.plain_s + self.crossing_s + self.weights_s


def time(working: Working, timings: Timings | None = None) -> Time:
    """The time of a whole plan. Rows the knitter has timed count at that time, the rest by the defaults, scaled alike."""
    own = timings if timings is not None else Timings()
    plan = working.plan
    plain = crossings = 0
    plain_s = crossing_s = 0.0
    for tally in Calendar(plan).kinds().values():
        moves = working.moves(tally.first)
        seconds = own.of(moves) * tally.count
        if tally.row.crossed:
            crossings += tally.count
            crossing_s += seconds
        else:
            plain += tally.count
            plain_s += seconds
    scale = own.row * plain / plain_s if own.row is not None and plain_s else 1.0
    plain_s *= scale
    if own.crossing_row is not None:
        crossing_s = own.crossing_row * crossings
    else:
        crossing_s *= scale
    every = plan.panel.weights_every
    weights_s = own.weights * (crossings + (plan.panel.rows // every if every else 0))
    timed = [
        *(["a plain row"] if own.row is not None else []),
        *(["a crossing row"] if own.crossing_row is not None else []),
    ]
    source = f"the knitter's own time for {' and '.join(timed)}" if timed else "default timings, a rough estimate"
    return Time(plain, crossings, plain_s, crossing_s, weights_s, source)
