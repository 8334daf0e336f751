"""A panel's shape and parts for another gauge: as wide at every height, in cm, as before.

Widths are scaled from the edge inwards, all that an edge has changed by so far
together, so that rounding does not add up. What an edge is asked keeps its
order; what wants the carriage at a side keeps that side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field, replace
from itertools import groupby
from typing import Any

from purlside.bed.needles import Needle, Span
from purlside.figures.shaping import Change, Changes, evenly, placed, shapes
from purlside.plan.plan import Cable, PanelPart, Plan, Shape
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.values import dataclass
from purlside.work.work import edge_kind

CLOSE = 3
"""Rows from one thing done at an edge to the next that are kept as they are. Ours."""


@dataclass(frozen=True, slots=True)
class Reshaped:
    """The panel's rows, its parts, shapes; ``end`` is the fabric's last row; ``said`` what to look at."""

    rows: int
    parts: tuple[PanelPart, ...]
    shapes: tuple[Shape, ...]
    end: int
    said: tuple[str, ...]


def reshaped(plan: Plan, panel: Span, up: float) -> Reshaped:
    """The shape of a plan on the needles of ``panel``, with ``up`` times the rows."""
    old = plan.panel.needles
    across = len(panel) / len(old)
    body = _Edges(1, 1, plan.panel.rows, across, up)
    found = list(body.shaped(shape for shape in plan.shape if shape.part is None))
    rows, parts, said, end = body.rows, [], list(body.said), body.rows
    for part in plan.part:
        if part.needles is None or part.rows is None:
            parts.append(part)
            continue
        edges = _Edges(plan.panel.rows + 1, rows + 1, part.rows, across, up)
        found += edges.shaped(shape for shape in plan.shape if shape.part == part.name)
        ends = (int(part.needles.left), int(part.needles.right) + 1)
        left, right = (int(panel.left) + round((at - int(old.left)) * across) for at in ends)
        parts.append(replace(part, needles=Span(Needle(left), Needle(max(left, right - 1))), rows=edges.rows))
        said += edges.said
        end = max(end, rows + edges.rows)
    return Reshaped(rows, tuple(parts), tuple(found), end, tuple(said))


def even(number: float, like: int) -> int:
    """The nearest whole number that is even as ``like`` is, or odd as that is; never below it where that is 0 or 1."""
    whole = round(number)
    if (whole - like) % 2:
        whole += 1 if number >= whole else -1
    return max(whole, like % 2)


@dataclass
class _Edges:
    """The edges of the panel or a part: it began with row ``was``, now ``begins`` with, and had ``old`` rows."""

    was: int
    begins: int
    old: int
    across: float
    up: float
    said: list[str] = field(default_factory=list)
    _rows: int = 0

    @property
    def rows(self) -> int:
        """Its rows, enough for all that is done in them."""
        return max(2 - self.old % 2, even(max(self.old * self.up, self._rows), self.old))

    def shaped(self, asked: Iterable[Shape]) -> Iterator[Shape]:
        done: dict[str, int] = {"left": 0, "right": 0}
        rested = dict(done)
        busy = {"left": (0, 0), "right": (0, 0)}
        for shape in sorted(asked, key=lambda s: s.first_row):
            sides = ("left", "right") if shape.edge == "both" else (shape.edge,)
            counted = rested if shape.do in ("hold", "return") else done
            repeat = Repeat.within(self.was + self.old - 1, shape.first_row, shape.every, shape.times)
            if not repeat.of:
                continue
            first = repeat.first - self.was
            before, last = max(busy[side] for side in sides)
            if shape.stitches == "all":
                counted |= dict.fromkeys(sides, 0)
                made = [replace(shape, first_row=self.begins + self._at(first, before, last, shape))]
            else:
                sign = -1 if shape.do in ("return", "increase", "cast on") else 1
                so_far = counted[sides[0]]
                total = so_far + sign * shape.stitches * repeat.of
                counted |= dict.fromkeys(sides, total)
                stitches = abs(round(total * self.across) - round(so_far * self.across))
                if not stitches:
                    self.said.append(
                        f"{shape.do} from row {shape.first_row} comes to no stitch of its own: what is done before and after it makes up the width"
                    )
                    continue
                if edge_kind(shape.do).at_carriage is None:
                    made = list(self._evenly(shape, repeat, stitches, last))
                else:
                    made = list(self._in_steps(shape, repeat, stitches, self._at(first, before, last, shape)))
            yield from made
            ends = max(s.first_row + (s.every or 0) * ((s.times or 1) - 1) for s in made) - self.begins
            ends += shape.edge == "both" and edge_kind(shape.do).at_carriage is not None
            was = repeat.last - self.was + (shape.edge == "both" and edge_kind(shape.do).at_carriage is not None)
            busy |= dict.fromkeys(sides, (was, ends))
            self._rows = max(self._rows, ends + 1)

    def _at(self, first: int, before: int, last: int, shape: Shape) -> int:
        """The row, counted from 0, in which something is done once, or begins: on the side the carriage was."""
        gap = first - before
        at = even(first * self.up, first)
        if last and gap <= CLOSE:
            at = last + gap
        at = max(at, last + 1 if last else 0)
        return at if (at - first) % 2 == 0 or edge_kind(shape.do).at_carriage is None else at + 1

    def _evenly(self, shape: Shape, repeat: Repeat, stitches: int, last: int) -> Iterator[Shape]:
        """Increases and decreases, spread over as much of the height as they were."""
        step = repeat.every if repeat.of > 1 else 1
        after = max(round((repeat.first - step - self.was + 1) * self.up) - 1, last if last else -1)
        rows = max(1, round((repeat.last - self.was + 1) * self.up) - 1 - after)
        many = 1 if shape.do == "increase" else stitches
        rows = max(rows, -(-stitches // many))
        keys: dict[str, Any] = {"edge": shape.edge, "do": shape.do, "tool": shape.tool}
        keys |= {"part": shape.part} if shape.part else {}
        yield from shapes(placed(evenly(stitches, rows), self.begins + after), **keys)

    def _in_steps(self, shape: Shape, repeat: Repeat, stitches: int, at: int) -> Iterator[Shape]:
        """Casting off and on, and short rows: as many steps as the height takes, the larger first."""
        every = repeat.every if repeat.of > 1 else 0
        steps = min(stitches, max(1, round(repeat.of * self.up))) if every else 1
        few, more = divmod(stitches, steps)
        sizes = [Changes(few + 1, 1, more), Changes(few, 1, steps - more)]
        changes = [each for size in sizes for each in [size.stitches] * size.times]
        listed = [Change(self.begins + at + every * i, count) for i, count in enumerate(changes)]
        for _, alike in groupby(listed, key=lambda change: change.stitches):
            run = list(alike)
            times = len(run) if len(run) > 1 else None
            yield replace(
                shape, first_row=run[0].row, stitches=run[0].stitches, every=every if times else None, times=times
            )


def ended(plan: Plan) -> Iterator[tuple[int, int]]:
    """(cable, times) of each that must end sooner: its next crossing would have needles no part knits."""
    calendar = Calendar(plan)
    for i in range(len(plan.cable)):
        for k, _, tried in calendar.cable_rows(i):
            if tried and all(needles for _, needles in tried):
                if k > 1:
                    yield i, k - 1
                break


def carried(plan: Plan, old: Plan) -> Sequence[Shape]:
    """The shapes, each with a tool that takes in the cables its edge has carried."""
    most = max((shape.tool for shape in old.shape), default=1)
    reach = {"left": 0, "right": 0}
    for was, other in zip(old.cable, plan.cable, strict=True):
        if was.follows is not None and _far(old, was) <= most:
            reach[was.follows] = max(reach[was.follows], _far(plan, other))

    def tool(shape: Shape) -> int:
        far = max(reach[str(side)] for side in shape.sides) if shape.tool == most else 0
        return max(shape.tool, far)

    return [replace(s, tool=tool(s)) if s.do in ("decrease", "increase") else s for s in plan.shape]


def _far(plan: Plan, cable: Cable) -> int:
    """How many stitches in a cable's innermost needle lies from the edge it follows."""
    edge = plan.panel.needles.left if cable.follows == "left" else plan.panel.needles.right
    return max(abs(int(n) - int(edge)) + 1 for crossing in cable.crossings for n in crossing.needles)
