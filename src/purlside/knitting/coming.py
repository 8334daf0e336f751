"""The crossing rows to come, told ahead.

Shown where a screen has room; nothing here counts rows down, so that it only
changes when something is done.
"""

from __future__ import annotations

from collections.abc import Iterator

from purlside.knitting.cursor import Knitting
from purlside.rows.row import Row

MOST_IN_FULL = 3
"""Cables of one row told in full; of more, their names."""


def crossing_rows(knitting: Knitting, most: int) -> Iterator[Row]:
    """At most so many crossing rows after the row in hand, soonest first."""
    calendar = knitting.working.calendar
    number = calendar.next_crossing(knitting.place.row + 1)
    for _ in range(most):
        if number is None:
            return
        row = calendar.row(number)
        if row.crossed:
            yield row
        number = calendar.next_crossing(number + 1)


def crossings_text(row: Row) -> str:
    """What a row crosses: ``"rope, right half first; twist, …"``; of many cables, their names."""
    if len(row.crossed) > MOST_IN_FULL:
        return ", ".join(c.name for c in row.crossed)
    return "; ".join(f"{c.name}, {c.crossing.front_side} half first" for c in row.crossed)
