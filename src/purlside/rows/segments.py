"""The panel and its parts, one after the other: their rows, where the carriage begins, the edges in each row."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import field
from functools import lru_cache

from purlside.bed.needles import Needle, Side, Span
from purlside.plan.machine import Machine
from purlside.plan.mirror import full_parts
from purlside.plan.plan import Panel, PanelPart, Plan, Shape
from purlside.plan.repeats import Repeat
from purlside.values import Value, dataclass
from purlside.work.part import PartBegun
from purlside.work.work import CannotBeShaped, Edges, EdgeWork, edge_kind


class Unshaped(Value):
    """Shaping the plan asks for that cannot be done: the shape's place in the plan, the fabric's row, and why."""

    shape: int
    part: str | None
    row: int
    why: str


@dataclass
class Segment:
    """Rows ``first`` to ``last`` in knitting order: the panel's, or a part's; ``fabric`` is the first one's row.

    ``others`` are needles in work that are not its own: they rest throughout. ``begun`` is what a part begins with.
    """

    part: str | None
    first: int
    rows: int
    fabric: int
    start: Side
    edges: Edges
    others: tuple[Needle, ...] = ()
    begun: PartBegun | None = None
    turned: bool = False
    works: dict[int, tuple[EdgeWork, ...]] = field(default_factory=dict)
    unshaped: list[Unshaped] = field(default_factory=list)
    _rows: list[int] = field(default_factory=list)
    _edges: list[Edges] = field(default_factory=list)

    @property
    def last(self) -> int:
        return self.first + self.rows - 1

    def side(self, number: int) -> Side:
        """Where the carriage stands before row ``number``: the one place where sides are decided."""
        return self.start if (number - self.first) % 2 == 0 else self.start.other

    def fabric_row(self, number: int) -> int:
        return number - self.first + self.fabric

    def number(self, fabric_row: int) -> int:
        return fabric_row - self.fabric + self.first

    def edges_in(self, number: int) -> Edges:
        """The edges as row ``number`` is knit."""
        i = bisect_right(self._rows, number)
        return self._edges[i - 1] if i else self.edges

    @property
    def last_edges(self) -> Edges:
        return self._edges[-1] if self._edges else self.edges

    @property
    def all_edges(self) -> list[Edges]:
        """The edges after each change."""
        return self._edges

    @property
    def changes(self) -> list[int]:
        """The rows before which the edges change."""
        return self._rows

    def shaped(self, shapes: list[tuple[int, Shape]]) -> None:
        """Work the shapes out, row by row: (place in the plan, shape)."""
        falls: dict[int, list[tuple[int, int, Shape, Side, int]]] = {}
        for order, (index, shape) in enumerate(shapes):
            repeat = Repeat.within(self.fabric_row(self.last), shape.first_row, shape.every, shape.times)
            for k in range(1, repeat.of + 1):
                row = repeat.first + repeat.every * (k - 1)
                if row < self.fabric:
                    self._cannot(index, row, f"{self.part} begins with row {self.fabric}")
                    continue
                for number, edge in self.when(shape, self.number(row)):
                    if number > self.last:
                        self._cannot(index, self.fabric_row(number), f"its {edge} edge would come after the last row")
                    else:
                        falls.setdefault(number, []).append((order, index, shape, edge, k))
        of = {i: Repeat.within(self.fabric_row(self.last), s.first_row, s.every, s.times).of for i, s in shapes}
        edges = self.edges
        for number in sorted(falls):
            made: list[EdgeWork] = []
            for _, index, shape, edge, k in sorted(falls[number], key=lambda fall: fall[:2]):
                try:
                    work = edge_kind(shape.do).at(shape, edge, edges, k, of[index])
                    edges = work.leaves
                    made.append(work)
                except CannotBeShaped as error:
                    self._cannot(index, self.fabric_row(number), str(error))
            if made:
                self.works[number] = tuple(made)
                self._rows.append(number)
                self._edges.append(edges)

    def when(self, shape: Shape, number: int) -> Iterator[tuple[int, Side]]:
        """The rows and edges of one time of a shape; at both edges some are done in two rows, one edge in each."""
        at = edge_kind(shape.do).at_carriage
        if shape.edge != "both":
            yield number, Side(shape.edge)
        elif at is None:
            yield from ((number, side) for side in Side)
        else:
            for row in (number, number + 1):
                yield row, self.side(row) if at else self.side(row).other

    def _cannot(self, index: int, row: int, why: str) -> None:
        self.unshaped.append(Unshaped(index, self.part, row, why))

    def across(self, edges: Edges) -> Span:
        """What the last pass goes past: the panel's edges, or just past the last needle knit where others rest."""
        knit = edges.knit
        left = knit[0] if edges.resting_at(Side.LEFT) or (self.others and self.others[0] < knit[0]) else edges.left
        right = (
            knit[-1] if edges.resting_at(Side.RIGHT) or (self.others and self.others[-1] > knit[-1]) else edges.right
        )
        return Span(left, right)

    def wraps(self, edges: Edges, toward: Side) -> tuple[Needle, ...]:
        """The needle wrapped at the turn of a short row: the resting one nearest to the yarn."""
        resting = edges.resting_at(toward)
        return (resting[-1][0],) if resting and resting[-1][1] else ()


class _Shaping(Value):
    """What of a plan its segments hang on; the rest of it may change, as at each key of the drafting table."""

    panel: Panel
    machine: Machine
    shape: tuple[Shape, ...]
    part: tuple[PanelPart, ...]
    plan: Plan = field(compare=False)


def segments(plan: Plan) -> tuple[Segment, ...]:
    """The panel, and its parts in the plan's order, shaped."""
    # Shaping a jersey takes about 1 ms, and a dozen calendars of it are made for one edit, painted after 13 where 16 are wanted.
    return _segments(_Shaping(plan.panel, plan.machine, plan.shape, plan.part, plan))


@lru_cache(maxsize=4)
def _segments(asked: _Shaping) -> tuple[Segment, ...]:
    plan = asked.plan
    panel = plan.panel
    ladders = frozenset(int(n) for n in panel.out_of_work)
    edges = Edges(panel.needles.left, panel.needles.right, ladders, plan.machine.bed)
    first = Segment(None, 1, panel.rows, 1, plan.machine.side, edges)
    if plan.shape:
        first.shaped([(i, shape) for i, shape in enumerate(plan.shape) if shape.part is None])
    found = [first]
    work = {int(n): n for n in first.last_edges.in_work}
    held = set(first.last_edges.resting)
    for part in full_parts(plan):
        before = found[-1]
        stands, yarn = _left(before)
        own = tuple(n for n in work.values() if n in part.needles)
        begin = part.carriage or stands
        others = tuple(sorted(n for n in work.values() if n not in part.needles))
        if not own:
            continue
        gone = frozenset(n for n in range(own[0], own[-1] + 1) if n not in work)
        segment = Segment(
            part.name,
            before.last + 1,
            part.rows,
            panel.rows + 1,
            begin,
            Edges(own[0], own[-1], gone, plan.machine.bed),
            others,
            PartBegun(part.name, own, others, frozenset(held), stands, begin, yarn, plan.machine.release_hold),
            turned=any(each.turned or each.last_edges.resting for each in found),
        )
        segment.shaped(list(part.shapes))
        found.append(segment)
        work = {int(n): n for n in sorted((*others, *segment.last_edges.in_work))}
        held = set(map(int, others)) | set(segment.last_edges.resting)
    return tuple(found)


def _left(segment: Segment) -> tuple[Side, Needle]:
    """Where a segment leaves the carriage, and the yarn."""
    side, knit = segment.side(segment.last).other, segment.last_edges.knit
    return side, knit[0] if side is Side.LEFT else knit[-1]
