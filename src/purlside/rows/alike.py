"""Which rows of a plan are alike: all of them walked in order, once."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from itertools import pairwise
from math import lcm

from purlside.bed.needles import Crossing
from purlside.plan.repeats import Repeat
from purlside.rows.bands import Bands
from purlside.rows.falls import Falls
from purlside.rows.segments import Segment

Fall = tuple[int, int]
"""What falls on a row: which cable, and which of its crossings; or below 0 which work on single needles, and if it is the first."""

BLOCK = 512
"""Rows looked at together: a plan of too many kinds shows that soon."""


class Alike:
    """Of each row the first one like it: asked the same on the same needles, from the same side, at the same size.

    Rows are walked as far as they are asked for. Where nothing begins or ends,
    what falls comes round with the common period of the repeats: one is looked at.
    """

    def __init__(self, falls: Falls, sizes: Bands[float]) -> None:
        self._falls, self._sizes = falls, sizes
        turns = [_turns(cable.crossings) for cable in falls.cables]
        self._works = [([(i, turn) for turn in each], falls.repeats[i]) for i, each in enumerate(turns)]
        # Work on single needles goes back as far as its last time: the first time is apart.
        self._works += [([(-1 - i, 0)], repeat) for i, repeat in enumerate(falls.stitch_repeats)]
        self._found: list[int] = []
        self._blocks = self._walked()

    def upto(self, last: int) -> list[int]:
        """The first row like it of each row, to row ``last`` at least; item 0 is row 1's."""
        while len(self._found) < last:
            self._found += next(self._blocks)
        return self._found

    def _walked(self) -> Iterator[list[int]]:
        known: dict[Hashable, dict[Hashable, int]] = {}
        for segment in self._falls.segments:
            for start, stop in pairwise(sorted(self._stretches(segment))):
                fabric = segment.fabric_row(start)
                shaped = tuple(work.alike for work in segment.works.get(start, ()))
                same = (segment.part, start == segment.first, segment.edges_in(start), shaped, self._sizes.at(fabric))
                first = known.setdefault(same, {})
                running = [work for work in self._works if work[1].first <= fabric <= work[1].last]
                period = lcm(2, *(repeat.every * len(turns) for turns, repeat in running))
                span = min(stop - start, period)
                for low in range(start, start + span, BLOCK):
                    block = range(low, min(low + BLOCK, start + span))
                    asked = [_falling(block, segment, *work) for work in running]
                    keys = zip(map(segment.side, block), *asked, strict=True)
                    falling = (tuple(filter(None, key)) for key in keys)
                    yield [first.setdefault(key, number) for key, number in zip(falling, block, strict=True)]
                once = self._found[start - 1 :]
                yield (once * (-(start - stop) // span))[: stop - start - span]

    def _stretches(self, segment: Segment) -> set[int]:
        """Rows of a segment from which on other work repeats, other edges or another size hold, and the end."""
        edges = {segment.first + 1, *segment.changes, *(row + 1 for row in segment.changes)}
        edges |= {segment.number(edge) for edge in self._sizes.edges}
        for turns, repeat in self._works:
            if repeat.of:
                edges |= {segment.number(repeat.first), segment.number(repeat.last + 1)}
                edges |= {segment.number(repeat.first + 1)} if turns[0][0] < 0 else set()
        return {segment.first, segment.last + 1, *(edge for edge in edges if segment.first < edge <= segment.last)}


def _falling(block: range, segment: Segment, turns: list[Fall], repeat: Repeat) -> list[Fall | None]:
    """What of a repeat falls on each row of a block."""
    found: list[Fall | None] = [None] * len(block)
    done, to = repeat.before(segment.fabric_row(block.start)), repeat.before(segment.fabric_row(block.stop))
    at = segment.number(repeat.first + repeat.every * done) - block.start
    found[at :: repeat.every] = [turns[k % len(turns)] for k in range(done, to)]
    if turns[0][0] < 0 and not done and to:
        found[at] = turns[0][0], 1
    return found


def _turns(crossings: tuple[Crossing, ...]) -> tuple[int, ...]:
    """Crossings taken in turn as the place of each one's first like, as few as say it all."""
    turns = tuple(crossings.index(crossing) for crossing in crossings)
    many = len(turns)
    return next(turns[:n] for n in range(1, many + 1) if many % n == 0 and turns[:n] * (many // n) == turns)
