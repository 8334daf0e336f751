"""Take-in: how much narrower the crossings make a panel, row by row.

A crossing pulls its own stitches together: most in its own row, less in the rows
before and after, and not at all as many rows away as it has stitches. Told of
each stitch, that is a triangle over the rows,

    part taken in, d rows away  =  DEPTH · max(0, 1 - d / stitches)

and where the triangles of several crossings meet they add up, to MOST_TAKEN at
most. So a rope crossed every as many rows as it has stitches takes in DEPTH all
along, one crossed once takes in at one place only, and a cable that travels
takes in where it is and not where it has been. DEPTH and its range are chosen
for hand-knitting practice: six stitches take the room of five to four, and a
stitch more is cast on for each 2 over 2 (read; which work is not noted).
The shape is ours.

A swatch of the knitter's own tells the width of a cable as crossed there, so with
it the part taken in is the swatch's from the first crossing to the last.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from purlside.plan.plan import Cable
from purlside.rows.calendar import Calendar

DEPTH = 0.25
"""Part of its width a cable takes in, crossed every as many rows as it has stitches. Ours, for what hand knitters find."""

DEPTH_RANGE = (0.05, 0.33)
"""Least and most of DEPTH. Ours, for what hand knitters find."""

MOST_TAKEN = 0.33
"""The most that crossings close together take in, where no swatch says otherwise. Ours, the most of DEPTH."""


class Pull(NamedTuple):
    """The pull of one crossing and all like it on needles ``left`` to ``right``: the fabric's ``rows`` they are made in,
    rows to either side each reaches, part taken in at the centre (None: the usual one), and the part that pulls together
    never go beyond (below 0 where a swatch came out wider)."""

    left: int
    right: int
    rows: Sequence[int]
    reach: int
    depth: float | None
    most: float


Alike = tuple[Sequence[int], int, float | None, float]
"""What pulls of any needles have alike: all of a :class:`Pull` from its rows on."""


def own_take_in(cable: Cable, given: float | None) -> float | None:
    """Width of a cable over its stitches knit plain, from a swatch: the cable's own, or the one ``given`` for all."""
    return given if cable.take_in is None else cable.take_in


def pulls(calendar: Calendar, given: float | None = None) -> list[Pull]:
    """The pulls of a plan's crossings. ``given`` is a swatch's width for cables that have none of their own."""
    found: list[Pull] = []
    for index, cable in enumerate(calendar.cables):
        measured = own_take_in(cable, given)
        for turn, crossing, rows in calendar.places(index):
            reach, depth, most = len(crossing.needles), None, MOST_TAKEN
            if measured is not None:
                # The swatch's width is a mean over its repeat: triangles as many rows apart add up to just that.
                every = _apart(cable, turn)
                reach = every * -(-reach // every)
                depth, most = (1 - measured) * every / reach, 1 - measured
            rows = rows if isinstance(rows, range) else tuple(rows)
            found.append(Pull(int(crossing.span.left), int(crossing.span.right), rows, reach, depth, most))
    return found


def _apart(cable: Cable, turn: int) -> int:
    """Rows between a cable's crossings of the needles of one of them; of one crossed once, as many as it has stitches."""
    turns = cable.crossings
    crossing = turns[turn]
    if cable.every is None or cable.times == 1:
        return len(crossing.needles)
    return cable.every * len(turns) // sum(turn.span == crossing.span for turn in turns)


def taken_in(found: Sequence[Pull], rows: int, depths: Sequence[float]) -> list[list[float]]:
    """For each usual depth: stitches lost to crossings in each of a panel's ``rows``; item 0 is row 1."""
    by_span: dict[tuple[int, int], list[Pull]] = {}
    for pull in found:
        by_span.setdefault((pull.left, pull.right), []).append(pull)
    total = [[0.0] * rows for _ in depths]
    edges = sorted({edge for left, right in by_span for edge in (left, right + 1)})
    # Cables that cross in the same rows take in alike, wherever they are: they are worked out together.
    alike: dict[tuple[tuple[Alike, ...], ...], int] = {}
    of_span = {span: tuple(pull[2:] for pull in pulled) for span, pulled in by_span.items()}
    for left, after in pairwise(edges):
        pulled = tuple(each for (first, last), each in of_span.items() if first <= left and after - 1 <= last)
        alike[pulled] = alike.get(pulled, 0) + after - left
    parts = {each: (*_heights(each, rows), max((most for *_, most in each), key=abs)) for each in set(of_span.values())}
    for pulled, needles in alike.items():
        if not pulled:
            continue
        here = [parts[each] for each in pulled]
        most = max((most for _, _, most in here), key=abs)
        usual, own = ([sum(column) for column in zip(*(part[k] for part in here), strict=True)] for k in (0, 1))
        for i, (height, measured) in enumerate(zip(usual, own, strict=True)):
            if height or measured:
                for depth, lost in zip(depths, total, strict=True):
                    part = depth * height + measured
                    lost[i] += needles * (min(most, part) if most >= 0 else max(most, part))
    return total


def _heights(found: Iterable[Alike], rows: int) -> tuple[list[float], list[float]]:
    """Triangles added up, over rows 1 to ``rows``: those of the usual depth with height 1, and those of swatches."""
    usual, own = [0.0] * rows, [0.0] * rows
    for centres, reach, given, _ in found:
        heights, depth = (usual, 1.0) if given is None else (own, given)
        triangle = [depth * (1 - abs(away) / reach) for away in range(1 - reach, reach)]
        for centre in centres:
            first = max(1, centre - reach + 1)
            for row, height in enumerate(triangle[first - (centre - reach + 1) :][: rows + 1 - first], first):
                heights[row - 1] += height
    return usual, own
