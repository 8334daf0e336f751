"""Take-in: how much narrower the crossings make a panel, row by row.

A crossing pulls its own stitches together: most in its own row, less in the rows
before and after, and not at all as many rows away as it has stitches. Told of
each stitch, that is a triangle over the rows,

    part taken in, d rows away  =  DEPTH · max(0, 1 - d / stitches)

and where the triangles of several crossings meet they add up, to MOST_TAKEN at
most. So a rope crossed every as many rows as it has stitches takes in DEPTH all
along, one crossed once takes in at one place only, and a cable that travels
takes in where it is and not where it has been. DEPTH and its range are
hand-knitting practice, in print; the shape is ours.

A swatch of the knitter's own tells the width of a cable as crossed there, so with
it the part taken in is the swatch's from the first crossing to the last.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from purlside.bed.needles import Crossing
    from purlside.plan.plan import Cable
    from purlside.rows.calendar import Rows

DEPTH = 0.25
"""Part of its width a cable takes in, crossed every as many rows as it has stitches. Hand-knitting practice, in print."""

DEPTH_RANGE = (0.05, 0.33)
"""Least and most of DEPTH met. Hand-knitting practice, in print."""

MOST_TAKEN = 0.33
"""The most that crossings close together take in, where no swatch says otherwise. Hand-knitting practice, in print."""


class Pull(NamedTuple):
    """One crossing's pull on needles ``left`` to ``right``: centre row, rows to either side it reaches, part taken in at
    the centre, and the part that pulls together never go beyond (below 0 where a swatch came out wider)."""

    left: int
    right: int
    row: int
    reach: int
    depth: float
    most: float


def own_take_in(cable: Cable, given: float | None) -> float | None:
    """Width of a cable over its stitches knit plain, from a swatch: the cable's own, or the one ``given`` for all."""
    return given if cable.take_in is None else cable.take_in


def pulls(rows: Rows, depth: float, given: float | None = None) -> list[Pull]:
    """The pull of every crossing that is made. ``depth`` is taken where neither the cable nor ``given``, from swatches,
    tells its width."""
    plan = rows.plan
    own = [own_take_in(cable, given) for cable in plan.cable]
    found: list[Pull] = []
    number = rows.next_crossing(1)
    while number is not None:
        for crossed in rows.row(number).crossed:
            crossing, measured = crossed.crossing, own[crossed.cable]
            reach, at, most = len(crossing.needles), depth, MOST_TAKEN
            if measured is not None:
                # The swatch's width is a mean over its repeat: triangles as many rows apart add up to just that.
                every = _apart(plan.cable[crossed.cable], crossing)
                reach = every * -(-reach // every)
                at, most = (1 - measured) * every / reach, 1 - measured
            found.append(Pull(int(crossing.span.left), int(crossing.span.right), number, reach, at, most))
        number = rows.next_crossing(number + 1)
    return found


def _apart(cable: Cable, crossing: Crossing) -> int:
    """Rows between a cable's crossings of the same needles; of one crossed once, as many as it has stitches."""
    if cable.every is None or cable.times == 1:
        return len(crossing.needles)
    turns = cable.crossings
    return cable.every * len(turns) // sum(turn.span == crossing.span for turn in turns)


def taken_in(found: Iterable[Pull], rows: int) -> tuple[float, ...]:
    """Stitches lost to crossings in each of a panel's ``rows``; item 0 is row 1."""
    by_span: dict[tuple[int, int], list[Pull]] = {}
    for pull in found:
        by_span.setdefault((pull.left, pull.right), []).append(pull)
    parts = {span: (_triangles(each, rows), max((p.most for p in each), key=abs)) for span, each in by_span.items()}
    total = [0.0] * rows
    edges = sorted({edge for left, right in parts for edge in (left, right + 1)})
    for left, after in pairwise(edges):
        here = [part for (first, last), part in parts.items() if first <= left and after - 1 <= last]
        if not here:
            continue
        most, limited = max((most for _, most in here), key=abs), min
        if most < 0:
            limited = max
        for i, pulled in enumerate(zip(*(heights for heights, _ in here), strict=True)):
            if any(pulled):
                total[i] += (after - left) * limited(most, sum(pulled))
    return tuple(total)


def _triangles(found: Iterable[Pull], rows: int) -> list[float]:
    """The heights of triangles added up, over rows 1 to ``rows``."""
    heights = [0.0] * rows
    for pull in found:
        for row in range(max(1, pull.row - pull.reach + 1), min(rows, pull.row + pull.reach - 1) + 1):
            heights[row - 1] += pull.depth * (1 - abs(row - pull.row) / pull.reach)
    return heights
