"""When: which row crosses what, shaping, single needles, bands, reminders, weights.

Rows are numbered in the order they are knit: the panel's, then each part's. A
row's place in its repeats is worked out, not walked to; only shaping is walked,
once, change by change.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from math import lcm
from typing import Protocol, TypeVar

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.plan.mirror import full_parts
from purlside.plan.plan import Cable, Plan, StitchWork
from purlside.plan.repeats import Repeat
from purlside.rows.bands import Bands, Reminded
from purlside.rows.row import Kind, Row, Tally
from purlside.rows.segments import Segment, Unshaped, segments
from purlside.values import dataclass
from purlside.work.crossing import Crossed
from purlside.work.work import Edges, Work, stitch_kind

T = TypeVar("T")

MOST_KINDS = 1000
"""Kinds of rows in one plan. A limit of ours: each is tried on the bed, and a panel of up to 1,000 rows never has more."""

MOST_TRIED = 200_000
"""Kinds of rows times needles: on panels of more than 200 needles fewer kinds are allowed. Ours."""

LATELY = 16
"""Rows kept, the latest asked for."""

BLOCK = 512
"""Rows looked at together when kinds are counted: a plan of too many shows that soon."""


class TooManyKinds(ValueError):
    """Rows of more than ``most`` kinds; ``row`` is the first that is one too many."""

    def __init__(self, most: int, row: int | str) -> None:
        self.most, self.row = most, row
        super().__init__(f"more than {most:,} kinds of rows, the next of them in row {row}")


@dataclass(frozen=True, slots=True)
class CableCount:
    """One cable's repeat counter: ``done`` of ``of`` crossings made; the next after ``next_row``."""

    name: str
    done: int
    of: int
    next_row: int | None
    rows_away: int | None


class Rows(Protocol):
    """Whatever can say what each row is: the plan's calendar, or the plan as it is really being knit."""

    @property
    def plan(self) -> Plan: ...
    @property
    def rows(self) -> int: ...
    @property
    def befallen(self) -> Sequence[int]: ...
    @property
    def cables(self) -> tuple[Cable, ...]: ...
    def row(self, number: int) -> Row: ...
    def next_crossing(self, number: int, cable: int | None = None) -> int | None: ...
    def next_shaping(self, number: int) -> int | None: ...
    def count(self, index: int, number: int, *, crossed: bool) -> CableCount: ...
    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]: ...


class Calendar:
    """The plan's rows, 1 to ``rows`` in knitting order. ``cables`` are the plan's, and those of mirrored parts."""

    befallen: Sequence[int] = ()
    """Rows in which something befell the bed: as planned, none."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.segments: tuple[Segment, ...] = segments(plan)
        self.rows = self.segments[-1].last
        mirrored = full_parts(plan)
        self.cables: tuple[Cable, ...] = (*plan.cable, *(c for part in mirrored for c in part.mirrored_cables(plan)))
        self.stitches: tuple[StitchWork, ...] = (
            *plan.stitch,
            *(s for part in mirrored for s in part.mirrored_stitches(plan)),
        )
        self.end = max(s.fabric_row(s.last) for s in self.segments)
        """The fabric's last row."""
        self.repeats = tuple(self._repeat(c.part, c.first_row, c.every, c.times) for c in self.cables)
        self._turns = [
            (i, (_turns(cable.crossings), repeat))
            for i, (cable, repeat) in enumerate(zip(self.cables, self.repeats, strict=True))
        ]
        self._stitch_repeats = tuple(self._repeat(s.part, s.first_row, s.every, s.times) for s in self.stitches)
        self.reminders = tuple(
            Repeat.within(self.end, r.row or r.first_row or 1, r.every, r.times) for r in plan.reminder
        )
        self._reminded = Reminded([r.text for r in plan.reminder], self.reminders)
        self._tells = bool(plan.reminder) or any(b.colour is not None for b in plan.band)
        self._lately: dict[int, Row] = {}
        self._firsts = [segment.first for segment in self.segments]
        self._sizes = Bands(
            [(b.rows.first, b.rows.last, b.stitch_size) for b in plan.band if b.stitch_size is not None]
        )
        self._colours = Bands([(b.rows.first, b.rows.last, b.colour) for b in plan.band if b.colour is not None])

    def _repeat(self, part: str | None, first: int, every: int | None, times: int | None) -> Repeat:
        ends = [s.fabric_row(s.last) for s in self.segments if part in (None, s.part)]
        return Repeat.within(max(ends, default=0), first, every, times)

    @property
    def unshaped(self) -> tuple[Unshaped, ...]:
        """Shaping that cannot be done."""
        return tuple(each for segment in self.segments for each in segment.unshaped)

    # --- one row -------------------------------------------------------------

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

    def side(self, number: int) -> Side:
        """Where the carriage stands before row ``number``."""
        return self.segment(number).side(number)

    def size(self, number: int) -> float:
        """The row's own stitch size: its band's, or the panel's."""
        size = self._sizes.at(self.fabric_row(number))
        return self.plan.panel.stitch_size if size is None else size

    def colour(self, number: int) -> str | None:
        return self._colours.at(self.fabric_row(number))

    def sizes(self) -> dict[float, int]:
        """How many rows each stitch size has."""
        found: dict[float, int] = {}
        for segment in self.segments:
            last = segment.fabric_row(segment.last)
            edges = [segment.fabric, *(e for e in self._sizes.edges if segment.fabric < e <= last), last + 1]
            for first, after in pairwise(edges):
                size = self.size(segment.number(first))
                found[size] = found.get(size, 0) + after - first
        return found

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
        made, part = self._laid(index, k, segment, edges), self.cables[index].part
        if part is None and segment.part is None:
            return made
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

    def _stitched(self, segment: Segment, row: int, edges: Edges) -> Iterator[Work]:
        for stitch, repeat in zip(self.stitches, self._stitch_repeats, strict=True):
            if (k := repeat.k(row)) and self._works(stitch.part, stitch.needles, segment, edges):
                begun = row if stitch.part is None else row - segment.fabric + 1
                # Work that comes every so many rows goes back as many the first time too.
                since = begun if stitch.every is None else min(stitch.every, begun)
                yield stitch_kind(stitch.do).of_plan(stitch, k, repeat.of, since)

    def row(self, number: int) -> Row:
        """Everything about a row. Raises IndexError outside 1 to ``rows``."""
        # A row and its neighbours are asked for a dozen times while it is worked out.
        if (known := self._lately.get(number)) is None:
            if len(self._lately) >= LATELY:
                self._lately.clear()
            known = self._lately[number] = self._row(number)
        return known

    def _row(self, number: int) -> Row:
        if not 1 <= number <= self.rows:
            raise IndexError(f"row {number} is not in 1 to {self.rows}")
        segment = self.segment(number)
        fabric, side, edges = segment.fabric_row(number), segment.side(number), segment.edges_in(number)
        begun = (segment.begun,) if segment.begun is not None and number == segment.first else ()
        stitched = tuple(self._stitched(segment, fabric, edges)) if self.stitches else ()
        every = self.plan.panel.weights_every
        resting = (*segment.others, *(n for side_ in edges.rest for n, _ in side_))
        return Row(
            number,
            side,
            self.size(number),
            edges.knit,
            segment.across(edges),
            (*begun, *segment.works.get(number, ()), *stitched, *self.crossed(number)),
            tuple(sorted(resting)) if resting else (),
            segment.wraps(edges, side.other),
            self._told(number, fabric) if self._tells else (),
            weights=bool(every and fabric % every == 0),
            colour=self._colours.at(fabric),
            part=segment.part,
            fabric=fabric,
            turned=segment.turned or bool(edges.resting),
            waiting=segment.others,
        )

    def _told(self, number: int, fabric: int) -> tuple[str, ...]:
        told = list(self._reminded.at(fabric))
        colour = self.colour(number)
        if number > 1 and colour != (before := self.colour(number - 1)):
            told.insert(0, f"Change to {colour}" if colour else f"Change back from {before}")
        elif number == 1 and colour:
            told.insert(0, f"Knit with {colour}")
        return tuple(told)

    def cable_rows(self, index: int) -> Iterator[tuple[int, int, list[tuple[Segment, tuple[Needle, ...]]]]]:
        """A cable's rows: which one from 1, the fabric's row, and where it is tried: needles that are not knit there."""
        cable = self.cables[index]

        def needles(k: int, segment: Segment, edges: Edges) -> tuple[Needle, ...]:
            return self._laid(index, k, segment, edges).needles

        return self._tried(cable.part, self.repeats[index], needles)

    def stitch_rows(self, index: int) -> Iterator[tuple[int, int, list[tuple[Segment, tuple[Needle, ...]]]]]:
        """The rows of work on single needles, as :meth:`cable_rows`."""
        stitch = self.stitches[index]
        return self._tried(stitch.part, self._stitch_repeats[index], lambda k, segment, edges: stitch.needles)

    def _tried(
        self, part: str | None, repeat: Repeat, needles: Callable[[int, Segment, Edges], tuple[Needle, ...]]
    ) -> Iterator[tuple[int, int, list[tuple[Segment, tuple[Needle, ...]]]]]:
        for k in range(1, repeat.of + 1):
            row = repeat.first + repeat.every * (k - 1)
            tried = []
            for segment in self.segments:
                if not segment.fabric <= row <= segment.fabric_row(segment.last) or part not in (None, segment.part):
                    continue
                edges = segment.edges_in(segment.number(row))
                knit = set(edges.knit)
                tried.append((segment, tuple(n for n in needles(k, segment, edges) if n not in knit)))
            yield k, row, tried

    # --- what comes, and how often --------------------------------------------

    def next_crossing(self, number: int, cable: int | None = None) -> int | None:
        """The first crossing row at or after ``number``, of one cable or of any."""
        indices = range(len(self.repeats)) if cable is None else (cable,)
        return min((row for i in indices for row in self.crossing_rows(i, number, once=True)), default=None)

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

    def crossings_before(self, index: int, number: int) -> int:
        """How many crossings of a cable fall before row ``number``."""
        if len(self.segments) == 1:
            return self.repeats[index].before(number)
        return sum(1 for _ in self.crossing_rows(index, before=number))

    def crossings_in_all(self, index: int) -> int:
        return self.crossings_before(index, self.rows + 1)

    def count(self, index: int, number: int, *, crossed: bool) -> CableCount:
        """A cable's repeat counter in row ``number``; ``crossed`` if that row's crossing is made."""
        done = self.crossings_before(index, number) + crossed
        following = self.next_crossing(number + crossed, index)
        away = None if following is None else following - number
        return CableCount(self.cables[index].name, done, self.crossings_in_all(index), following, away)

    def next_shaping(self, number: int) -> int | None:
        """The first row at or after ``number`` before which something is shaped, or a part begins."""
        for segment in self.segments:
            if segment.part is not None and segment.first >= number:
                return segment.first
            i = bisect_left(segment.changes, number)
            if i < len(segment.changes):
                return segment.changes[i]
        return None

    # --- many rows at once ------------------------------------------------

    def kinds(self, first: int = 1, last: int | None = None) -> dict[Kind, Tally]:
        """How many rows of each kind there are from ``first`` to ``last``, both counted.

        Where nothing begins or ends, what falls comes round with the cables' common period: one is looked at. Raises
        TooManyKinds as soon as so many were met.
        """
        last = self.rows if last is None else min(last, self.rows)
        counts: dict[Hashable, tuple[Kind, int]] = {}
        found: dict[Kind, Tally] = {}
        for segment in self.segments:
            low, high = max(first, segment.first), min(last, segment.last)
            for start, stop in pairwise(sorted(self._stretches(segment, low, high)) if low <= high else ()):
                running = self._running(segment, start)
                period = lcm(2, *(repeat.every * len(turns) for _, turns, repeat in running))
                span = min(stop - start, period)
                size, edges = self.size(start), id(segment.edges_in(start))
                begins = start if start == segment.first or start in segment.works else 0
                for block in range(start, start + span, BLOCK):
                    after = min(block + BLOCK, start + span)
                    falls = self._falling(segment, running, block, after)
                    for number in range(block, after):
                        key = segment.side(number), size, edges, begins, *falls.get(number, ())
                        kind, count = counts.get(key) or (self.row(number).kind, 0)
                        counts[key] = kind, count + (stop - 1 - number) // span + 1
                        if kind not in found:
                            if len(found) == self.most_kinds:
                                raise TooManyKinds(self.most_kinds, self.row(number).label)
                            found[kind] = Tally(0, self.row(number))
        for kind, count in counts.values():
            found[kind] = Tally(found[kind].count + count, found[kind].row)
        return found

    @property
    def most_kinds(self) -> int:
        """How many kinds of rows this plan may have: each is tried on its needles."""
        return min(MOST_KINDS, MOST_TRIED // len(self.plan.panel.needles))

    def _stretches(self, segment: Segment, first: int, last: int) -> set[int]:
        """Rows of a segment from which on other work repeats, other edges or another size hold, and the end."""
        edges = {segment.first + 1, *segment.changes, *(row + 1 for row in segment.changes)}
        edges |= {segment.number(edge) for edge in self._sizes.edges}
        for repeat in (*self.repeats, *self._stitch_repeats):
            edges |= {segment.number(repeat.first), segment.number(repeat.last + 1)} if repeat.of else set()
        return {first, last + 1, *(edge for edge in edges if first < edge <= last)}

    def _running(self, segment: Segment, number: int) -> list[tuple[int, tuple[int, ...], Repeat]]:
        """The repeats that go on in a row: which, its crossings in turn, those alike by the same number, and its rows."""
        row = segment.fabric_row(number)
        works = [*self._turns, *((-1 - i, ((0,), repeat)) for i, repeat in enumerate(self._stitch_repeats))]
        return [(i, turns, repeat) for i, (turns, repeat) in works if repeat.first <= row <= repeat.last]

    @staticmethod
    def _falling(
        segment: Segment, running: list[tuple[int, tuple[int, ...], Repeat]], first: int, after: int
    ) -> dict[int, list[tuple[int, int]]]:
        """What of the repeats falls on rows ``first`` to ``after - 1``."""
        falls: dict[int, list[tuple[int, int]]] = {}
        low, end = segment.fabric_row(first), segment.fabric_row(after)
        for index, turns, repeat in running:
            for k in range(repeat.before(low), repeat.before(end)):
                falls.setdefault(segment.number(repeat.first + repeat.every * k), []).append(
                    # Work on single needles goes back as far as its last time: the first is apart.
                    (index, turns[k % len(turns)] if index >= 0 else min(k, 1))
                )
        return falls

    def falls(self, number: int) -> Hashable:
        """What falls on a row, in the plan's terms: rows with the same are of one kind, though not the other way round."""
        segment = self.segment(number)
        row = segment.fabric_row(number)
        crossings = [(i, turns[(k - 1) % len(turns)]) for i, (turns, r) in self._turns if (k := r.k(row))]
        stitched = [(i, k > 1) for i, r in enumerate(self._stitch_repeats) if (k := r.k(row))]
        edges = segment.edges_in(number)
        begins = number if number == segment.first or number in segment.works else 0
        return segment.side(number), self.size(number), id(edges), begins, *crossings, "", *stitched

    def marks(self, first: int, last: int) -> set[int]:
        """Rows where something falls and those after them, band edges, and both ends."""
        marks = {first, last + 1}
        for segment in self.segments:
            if segment.last < first or segment.first > last:
                continue
            marks |= {segment.first, segment.first + 1, *segment.changes, *(row + 1 for row in segment.changes)}
            low = segment.fabric_row(max(first, segment.first))
            high = segment.fabric_row(min(last, segment.last))
            marks |= {segment.number(edge) for edge in self._sizes.edges if low <= edge <= high}
            for repeat in (*self.repeats, *self._stitch_repeats):
                begin, end = repeat.before(low), repeat.before(high + 1)
                for k in range(begin, end):
                    at = segment.number(repeat.first + repeat.every * k)
                    marks |= {at, at + 1}
        return {mark for mark in marks if first <= mark <= last + 1}


def _turns(crossings: tuple[Crossing, ...]) -> tuple[int, ...]:
    """Crossings taken in turn as the place of each one's first like, as few as say it all."""
    turns = tuple(crossings.index(crossing) for crossing in crossings)
    many = len(turns)
    return next(turns[:n] for n in range(1, many + 1) if many % n == 0 and turns[:n] * (many // n) == turns)


def shifted(crossing: Crossing, by: int) -> Crossing:
    """The crossing so many needles to the right."""

    def moved(span: Span) -> Span:
        return Span(Needle(span.left + by), Needle(span.right + by))

    return Crossing(moved(crossing.front), moved(crossing.back))
