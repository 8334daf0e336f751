"""The rows to come in which something is crossed or shaped, told ahead.

Shown where a screen has room; nothing here counts rows down, so that it only
changes when something is done.
"""

from __future__ import annotations

from collections.abc import Iterator

from purlside.knitting.cursor import Knitting
from purlside.rows.row import Row

MOST_IN_FULL = 3
"""Cables of one row told in full; of more, their names."""


def next_to_come(knitting: Knitting, number: int) -> Row | None:
    """The first row at or after ``number`` in which something is crossed or shaped."""
    calendar = knitting.working.calendar
    coming = [n for n in (calendar.next_crossing(number), calendar.next_shaping(number)) if n is not None]
    return calendar.row(min(coming)) if coming else None


def rows_to_come(knitting: Knitting, most: int) -> Iterator[Row]:
    """At most so many of them after the row in hand, soonest first."""
    row = next_to_come(knitting, knitting.place.row + 1)
    for _ in range(most):
        if row is None:
            return
        yield row
        row = next_to_come(knitting, row.number + 1)


def asked_text(row: Row) -> str:
    """What a row crosses and shapes: ``"rope, right half first; decrease 1 at both edges"``."""
    if len(row.crossed) > MOST_IN_FULL:
        crossed = [", ".join(c.name for c in row.crossed)]
    else:
        crossed = [f"{c.name}, {c.crossing.front_side} half first" for c in row.crossed]
    return "; ".join([*crossed, *([row.shaping] if row.shaped else [])])
