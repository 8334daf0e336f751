"""The schematic: the outline of a piece as it is shaped, with its widths and heights in stitches, rows and mm.

The heights are those of the needles: where stitches rest in short rows their
edge is lower. Without a gauge there are no lengths.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from purlside.bed.needles import Side
from purlside.figures.pieces import Scale
from purlside.figures.shaping import Change, gathered
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.segments import Segment
from purlside.values import Value
from purlside.work.work import Edges

Corner = tuple[int, int]
"""(stitches from the centre of the bed, to the left below 0; rows from the cast-on)."""


class Outline(Value):
    """The panel or a part: its corners, from the lower left up, over and down. The last is joined to the first."""

    part: str | None
    corners: tuple[Corner, ...]


class WidthAt(Value):
    """How wide the piece is ``up`` rows from the cast-on: ``stitches``, the first of them at ``left``."""

    part: str | None
    up: int
    left: int
    stitches: int
    mm: float | None


class HeightOf(Value):
    """``rows`` high from ``up`` rows above the cast-on."""

    part: str | None
    up: int
    rows: int
    mm: float | None


class Schematic(Value):
    """A piece seen from the purl side, as it hangs on the bed. ``scale`` is the swatch's, None without a gauge."""

    title: str
    outlines: tuple[Outline, ...]
    widths: tuple[WidthAt, ...]
    heights: tuple[HeightOf, ...]
    scale: Scale | None


NEAR = 3
"""Corners fewer rows apart than this are measured as one. Ours: a measure of two rows says nothing on paper."""


def schematic(plan: Plan, scale: Scale | None = None) -> Schematic:
    """The outline of a plan without faults; its lengths go by the swatch, or by another ``scale``."""
    if scale is None and plan.gauge is not None:
        scale = Scale.of(plan.gauge)
    outlines: list[Outline] = []
    widths: list[WidthAt] = []
    heights: list[HeightOf] = []
    up: dict[int, int] = {}
    for segment in Calendar(plan).segments:
        traced = _Traced(segment, up)
        outlines.append(Outline(segment.part, traced.outline))
        levels = traced.levels()
        before: int | None = None
        for height, left, stitches in (found for level in levels for found in traced.widths(*level)):
            if stitches != before:
                widths.append(WidthAt(segment.part, height, left, stitches, stitches * scale.stitch if scale else None))
            before = stitches
        top = max(height for _, height in traced.outline)
        for (low, _), (high, _) in pairwise([*levels, *([(top, top)] if top - levels[-1][0] >= NEAR else [])]):
            heights.append(HeightOf(segment.part, low, high - low, (high - low) * scale.row if scale else None))
        up = traced.up
    return Schematic(plan.title, tuple(outlines), tuple(widths), tuple(heights), scale)


class _Traced:
    """One segment followed row by row. ``up`` is how many rows each needle's stitch is up, before it and then after."""

    def __init__(self, segment: Segment, up: dict[int, int]) -> None:
        base = {int(n): up.get(int(n), 0) for n in segment.edges.in_work}
        self.up = up | base
        edges = _ends(segment.edges)
        moved: dict[Side, list[tuple[Change, int]]] = {side: [] for side in Side}
        low = edges[Side.LEFT], edges[Side.RIGHT]
        # Between two changes of the edges all rows are alike.
        for number, after in pairwise(sorted({segment.first, *segment.changes, segment.last + 1})):
            now = segment.edges_in(number)
            for side in Side:
                before, edge = edges[side], _ends(now)[side]
                if edge == before:
                    continue
                if side.step * (edge - before) > 0:
                    # Needles that come in stand as high as the stitch they came beside.
                    self.up |= dict.fromkeys(range(min(edge, before), max(edge, before) + 1), self.up[before])
                moved[side].append((Change(number, edge - before), self.up[edge]))
                edges[side] = edge
            for needle in now.knit:
                self.up[int(needle)] = self.up.get(int(needle), 0) + after - number
        high = edges[Side.LEFT], edges[Side.RIGHT]
        self.left = list(_edge((low[0], base[low[0]]), moved[Side.LEFT], self.up[high[0]]))
        self.right = list(_edge((low[1] + 1, base[low[1]]), moved[Side.RIGHT], self.up[high[1]]))
        top = _steps(self.up, [int(n) for n in segment.last_edges.in_work])
        bottom = _steps(base, list(base))
        self.outline = tuple(_plain([*self.left, *top, *reversed(self.right), *reversed(bottom[1:])]))

    def levels(self) -> list[tuple[int, int]]:
        """Where the edges have corners, those near each other together: (the lowest, the highest)."""
        found: list[tuple[int, int]] = []
        for height in sorted({up for _, up in (*_plain(self.left), *_plain(self.right))}):
            if found and height - found[-1][1] < NEAR:
                found[-1] = found[-1][0], height
            else:
                found.append((height, height))
        return found

    def widths(self, low: int, high: int) -> Iterator[tuple[int, int, int]]:
        """The widths at one level, below and above what is cast on or off there: (rows up, left end, stitches)."""
        for up, last in ((low, False), (high, True)):
            left, right = _across(self.left, up, last), _across(self.right, up, last)
            yield up, left, right - left


def _ends(edges: Edges) -> dict[Side, int]:
    """The outermost needles in work."""
    return {Side.LEFT: int(edges.in_work[0]), Side.RIGHT: int(edges.in_work[-1])}


def _edge(start: Corner, moved: list[tuple[Change, int]], end: int) -> Iterator[Corner]:
    """The corners of one edge from its first up; ``moved`` are its changes, each with the rows its stitch is up."""
    at, reached = start
    yield start
    heights = {change.row: up for change, up in moved}
    for first, every, times in gathered(change for change, _ in moved):
        ups = [heights[first.row + (every or 0) * i] for i in range(times)]
        if abs(first.stitches) > 1 and every != 1:
            for up in ups:
                yield at, up
                at += first.stitches
                yield at, up
        else:
            yield at, max(reached, ups[0] - (every or 1))
            at += first.stitches * times
            yield at, ups[-1]
        reached = ups[-1]
    yield at, end


def _across(edge: list[Corner], up: int, last: bool) -> int:
    """Where an edge is at a height: of several places the last, or the first."""
    found = edge[-1][0]
    for (a, low), (b, high) in reversed(list(pairwise(edge))) if last else pairwise(edge):
        if low <= up <= high:
            return (b if last else a) if low == high else round(a + (b - a) * (up - low) / (high - low))
    return found


def _steps(up: dict[int, int], needles: Sequence[int]) -> list[Corner]:
    """The corners along needles in work that stand at several heights, but for the last, where an edge begins or ends; a
    ladder is as high as what is left of it."""
    found: list[Corner] = []
    for height, alike in groupby(needles, key=up.__getitem__):
        first = next(alike)
        if found:
            found.append((first, found[-1][1]))
        found.append((first, height))
    return found


def _plain(corners: Iterable[Corner]) -> Iterator[Corner]:
    """The corners without those that stand twice or on a straight line."""
    found: list[Corner] = []
    for corner in corners:
        if found and corner == found[-1]:
            continue
        while len(found) > 1:
            (x0, y0), (x1, y1), (x2, y2) = found[-2], found[-1], corner
            if (x1 - x0) * (y2 - y1) != (x2 - x1) * (y1 - y0):
                break
            found.pop()
        found.append(corner)
    return iter(found)
