"""What falls on each row of a plan: shaping, crossings and work on single needles, and on which needles they lie.

A row's place in its repeats is worked out, not walked to; only shaping is
walked, once, change by change.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.plan.mirror import full_parts
from purlside.plan.plan import Cable, Plan, StitchWork
from purlside.plan.repeats import Repeat
from purlside.rows.segments import Segment, Unshaped, segments
from purlside.work.crossing import Crossed
from purlside.work.work import Edges, Work, stitch_kind

Tried = tuple[int, int, list[tuple[Segment, tuple[Needle, ...]]]]
"""Which time of a work, the fabric's row, and each panel or part that has the row: the needles that are not knit there."""


class Falls:
    """What a plan asks of its rows, 1 to ``rows`` in knitting order: the panel's, then each part's.

    ``cables`` and ``stitches`` are the plan's, and those of mirrored parts; ``end`` is the fabric's last row.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.segments: tuple[Segment, ...] = segments(plan)
        self.rows = self.segments[-1].last
        self._firsts = [segment.first for segment in self.segments]
        mirrored = full_parts(plan)
        self.cables: tuple[Cable, ...] = (*plan.cable, *(c for part in mirrored for c in part.mirrored_cables(plan)))
        self.stitches: tuple[StitchWork, ...] = (
            *plan.stitch,
            *(s for part in mirrored for s in part.mirrored_stitches(plan)),
        )
        self.end = max(s.fabric_row(s.last) for s in self.segments)
        self.repeats = tuple(self._repeat(c.part, c.first_row, c.every, c.times) for c in self.cables)
        self.stitch_repeats = tuple(self._repeat(s.part, s.first_row, s.every, s.times) for s in self.stitches)

    def _repeat(self, part: str | None, first: int, every: int | None, times: int | None) -> Repeat:
        ends = [s.fabric_row(s.last) for s in self.segments if part in (None, s.part)]
        return Repeat.within(max(ends, default=0), first, every, times)

    @property
    def unshaped(self) -> tuple[Unshaped, ...]:
        """Shaping that cannot be done."""
        return tuple(each for segment in self.segments for each in segment.unshaped)

    def segment(self, number: int) -> Segment:
        """The panel or part a row belongs to."""
        return self.segments[bisect_right(self._firsts, number) - 1]

    def numbers(self, first: int, last: int) -> list[int]:
        """The rows that are the fabric's rows ``first`` to ``last``, in knitting order: those of several parts."""
        return [
            number
            for segment in self.segments
            for number in range(max(segment.first, segment.number(first)), min(segment.last, segment.number(last)) + 1)
        ]

    def fabric_row(self, number: int) -> int:
        """The fabric's row that a row in knitting order is."""
        return self.segment(number).fabric_row(number)

    def next_shaping(self, number: int) -> int | None:
        """The first row at or after ``number`` before which something is shaped, or a part begins."""
        for segment in self.segments:
            if segment.part is not None and segment.first >= number:
                return segment.first
            i = bisect_left(segment.changes, number)
            if i < len(segment.changes):
                return segment.changes[i]
        return None

    # --- crossings ---

    def crossed(self, number: int) -> tuple[Crossed, ...]:
        """The crossings of a row, in the plan's order."""
        segment = self.segment(number)
        row, edges = segment.fabric_row(number), segment.edges_in(number)
        found = []
        for index, repeat in enumerate(self.repeats):
            if (k := repeat.k(row)) and (made := self._crossing(index, k, segment, edges)) is not None:
                found.append(made)
        return tuple(found)

    def crossing(self, index: int, k: int) -> Crossed:
        """A cable's ``k``-th crossing, counted from 1, where the plan lays it."""
        cable = self.cables[index]
        turns = cable.crossings
        return Crossed(index, cable.name, turns[(k - 1) % len(turns)], k, self.repeats[index].of)

    def laid(self, index: int, k: int, number: int) -> Crossed:
        """A cable's ``k``-th crossing on the needles it has in row ``number``."""
        segment = self.segment(number)
        return self._laid(index, k, segment, segment.edges_in(number))

    def _crossing(self, index: int, k: int, segment: Segment, edges: Edges) -> Crossed | None:
        """That crossing as it falls with these edges; None where the panel or part does not work it."""
        part = self.cables[index].part
        if part is not None and part != segment.part:
            return None
        made = self._laid(index, k, segment, edges)
        return made if self._works(part, made.needles, segment, edges) else None

    def _laid(self, index: int, k: int, segment: Segment, edges: Edges) -> Crossed:
        """That crossing on the needles it has with these edges."""
        made = self.crossing(index, k)
        moved = self.followed(index, segment, edges)
        return replace(made, crossing=shifted(made.crossing, moved)) if moved else made

    def followed(self, index: int, segment: Segment, edges: Edges) -> int:
        """How many needles to the right a cable's have moved with the edge it follows, from row 1 or its part's first.

        One of the panel's follows the edge of all that is in work, and so goes on in the part that has it.
        """
        cable = self.cables[index]
        if cable.follows is None:
            return 0
        side = Side(cable.follows)
        if cable.part is not None:
            return int(edges.edge(side)) - int(segment.edges.edge(side))
        ends = [int(edges.edge(side)), *map(int, segment.others[:1]), *map(int, segment.others[-1:])]
        return (min if side is Side.LEFT else max)(ends) - int(self.segments[0].edges.edge(side))

    @staticmethod
    def _works(part: str | None, needles: tuple[Needle, ...], segment: Segment, edges: Edges) -> bool:
        """Whether a segment does work on these needles: its own always, other work if it knits all of them."""
        if part is not None or segment.part is None:
            return part == segment.part
        return set(needles) <= set(edges.knit)

    def crossing_rows(
        self, index: int, number: int = 1, before: int | None = None, *, once: bool = False
    ) -> Iterator[int]:
        """The rows of a cable's crossings from ``number`` on, those before ``before``, in knitting order."""
        repeat, part = self.repeats[index], self.cables[index].part
        for segment in self.segments:
            if segment.last < number or (part is not None and part != segment.part):
                continue
            row = repeat.after(segment.fabric_row(max(number, segment.first)))
            while row is not None and segment.number(row) <= segment.last:
                at = segment.number(row)
                if before is not None and at >= before:
                    return
                if segment.part is None or self._crossing(index, repeat.k(row), segment, segment.edges_in(at)):
                    yield at
                    if once:
                        return
                row = repeat.after(row + 1)

    def places(self, index: int) -> Iterator[tuple[int, Crossing, Sequence[int]]]:
        """Where a cable crosses: which of its crossings, on which needles, and in which of the fabric's rows, in order."""
        cable, repeat = self.cables[index], self.repeats[index]
        turns = cable.crossings
        if cable.follows is None and len(self.segments) == 1:
            for turn, crossing in enumerate(turns):
                if rows := range(repeat.first + repeat.every * turn, repeat.last + 1, repeat.every * len(turns)):
                    yield turn, crossing, rows
            return
        found: dict[tuple[int, Crossing], list[int]] = {}
        for number in self.crossing_rows(index):
            row = self.fabric_row(number)
            k = repeat.k(row)
            found.setdefault(((k - 1) % len(turns), self.laid(index, k, number).crossing), []).append(row)
        yield from ((turn, crossing, sorted(rows)) for (turn, crossing), rows in found.items())

    def crossings_before(self, index: int, number: int) -> int:
        """How many crossings of a cable fall before row ``number``."""
        if len(self.segments) == 1:
            return self.repeats[index].before(number)
        return sum(1 for _ in self.crossing_rows(index, before=number))

    def crossings_in_all(self, index: int) -> int:
        return self.crossings_before(index, self.rows + 1)

    # --- work on single needles ---

    def stitched(self, segment: Segment, row: int, edges: Edges) -> Iterator[Work]:
        for stitch, repeat in zip(self.stitches, self.stitch_repeats, strict=True):
            if (k := repeat.k(row)) and self._works(stitch.part, stitch.needles, segment, edges):
                begun = row if stitch.part is None else row - segment.fabric + 1
                # Work that comes every so many rows goes back as many the first time too.
                since = begun if stitch.every is None else min(stitch.every, begun)
                yield stitch_kind(stitch.do).of_plan(stitch, k, repeat.of, since)

    # --- where they are tried ---

    def cable_rows(self, index: int) -> Iterator[Tried]:
        """A cable's rows, each of its crossings once wherever the edges change."""
        cable = self.cables[index]

        def needles(k: int, segment: Segment, edges: Edges) -> tuple[Needle, ...]:
            return self._laid(index, k, segment, edges).needles

        return self._tried(cable.part, self.repeats[index], len(cable.crossings), needles)

    def stitch_rows(self, index: int, alone: Needle | None = None) -> Iterator[Tried]:
        """The rows of work on single needles, as :meth:`cable_rows`; with ``alone``, as if on that needle only."""
        stitch = self.stitches[index]
        needles = stitch.needles if alone is None else (alone,)
        return self._tried(stitch.part, self.stitch_repeats[index], 1, lambda k, segment, edges: needles)

    def _tried(
        self,
        part: str | None,
        repeat: Repeat,
        turns: int,
        needles: Callable[[int, Segment, Edges], tuple[Needle, ...]],
    ) -> Iterator[Tried]:
        for low, high in pairwise(self._changes):
            done = repeat.before(low)
            for k in range(done + 1, min(repeat.before(high), done + turns) + 1):
                row = repeat.first + repeat.every * (k - 1)
                tried = []
                for segment in self.segments:
                    if segment.fabric <= row <= segment.fabric_row(segment.last) and part in (None, segment.part):
                        edges = segment.edges_in(segment.number(row))
                        knit = set(edges.knit)
                        tried.append((segment, tuple(n for n in needles(k, segment, edges) if n not in knit)))
                yield k, row, tried

    @property
    def _changes(self) -> list[int]:
        """The fabric's rows before which edges change in a part, or the part begins or has ended."""
        return sorted({s.fabric_row(number) for s in self.segments for number in (s.first, *s.changes, s.last + 1)})


def shifted(crossing: Crossing, by: int) -> Crossing:
    """The crossing so many needles to the right."""

    def moved(span: Span) -> Span:
        return Span(Needle(span.left + by), Needle(span.right + by))

    return Crossing(moved(crossing.front), moved(crossing.back))
