"""Crossings that were made: what the knitter is asked about when one has gone over, or has not."""

from __future__ import annotations

from collections.abc import Iterator

from purlside.bed.needles import Crossing
from purlside.bed.transfers import Cross
from purlside.ease.reach import Attempt, Technique, made_with
from purlside.knitting.cursor import Knitting
from purlside.rows.row import Row
from purlside.values import Value

ROWS_LOOKED_BACK = 500
"""Rows looked back for a crossing; of one longer ago nobody remembers how it went."""


class CrossingMade(Value):
    """One crossing as it was knit: its row, cable, that row's stitch size, and the technique with its reach."""

    row: int
    name: str
    crossing: Crossing
    size: float
    attempt: Attempt

    @property
    def technique(self) -> Technique:
        return self.attempt.technique

    @property
    def ratio(self) -> float:
        """The reach ratio ρ of this very crossing, no unit; an estimate."""
        return self.attempt.ratio

    @property
    def note(self) -> str:
        """``"3 over 3, enlarge to SS 9"``."""
        return f"{self.crossing.words}, {self.technique}"


def last_made(knitting: Knitting) -> tuple[CrossingMade, ...]:
    """The crossings made last: those of the row in hand that are made, or else of the nearest row before.

    In the order they were made; empty where none was in the last ROWS_LOOKED_BACK rows.
    """
    for row, crosses in _rows(knitting):
        made = []
        for crossed in row.crossed:
            if crosses is None or (crossed.name, crossed.crossing) in crosses:
                choice = knitting.working.choice(crossed.cable, crossed.crossing, row.size)
                attempt = made_with(knitting.plan, crossed.crossing, row.size, choice)
                made.append(CrossingMade(row.number, crossed.name, crossed.crossing, row.size, attempt))
        if made:
            return tuple(made)
    return ()


def _rows(knitting: Knitting) -> Iterator[tuple[Row, set[tuple[str, Crossing]] | None]]:
    """The row in hand with what is crossed in it so far, then the rows before, in which all is crossed."""
    if knitting.row is not None:
        done = knitting.moves[: knitting.place.done]
        yield knitting.row, {(move.cable, move.crossing) for move in done if isinstance(move, Cross)}
    last = min(knitting.place.row - 1, knitting.rows)
    for number in range(last, max(0, last - ROWS_LOOKED_BACK), -1):
        yield knitting.working.calendar.row(number), None
