"""Each time a plan shapes an edge: when it is due, and the plan with one of them done in another row, or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from purlside.bed.needles import Side
from purlside.knitting.deviations import DoesNotFit, Reshaped
from purlside.plan.mirror import written_out
from purlside.plan.plan import Plan, Shape
from purlside.plan.repeats import Repeat
from purlside.rows.segments import Segment, segments
from purlside.values import Value
from purlside.work.work import edge_kind


class Shaping(Value):
    """The ``k``-th time, from 1, of a plan's shape (counted from 0, mirrored parts written out) at an edge, due before ``row``.

    Rows are the plan's, in knitting order.
    """

    row: int
    shape: int
    k: int
    edge: Side


def shapings(plan: Plan, part: str | None) -> Iterator[Shaping]:
    """All shaping of the panel (None) or of a part, by the plan's order."""
    segment = next(one for one in segments(plan) if one.part == part)
    for index, shape in enumerate(written_out(plan).shape):
        if shape.part == part:
            yield from _times(segment, index, shape)


def _times(segment: Segment, index: int, shape: Shape) -> Iterator[Shaping]:
    rows = _repeat(segment, shape)
    for k in range(1, rows.of + 1):
        for number, edge in segment.when(shape, segment.number(rows.first + rows.every * (k - 1))):
            if segment.first <= number <= segment.last:
                yield Shaping(number, index, k, edge)


def _repeat(segment: Segment, shape: Shape) -> Repeat:
    return Repeat.within(segment.fabric_row(segment.last), shape.first_row, shape.every, shape.times)


def found(plan: Plan, one: Reshaped) -> tuple[Segment, Shaping]:
    """The panel or part, and the time that was not done. Raises DoesNotFit."""
    written = written_out(plan)
    if one.shape >= len(written.shape):
        raise DoesNotFit(f"the plan has no such shaping to be done before row {one.row:,}")
    shape = written.shape[one.shape]
    segment = next((each for each in segments(plan) if each.part == shape.part), None)
    if segment is not None:
        for time in _times(segment, one.shape, shape):
            if (time.k, time.edge) == (one.k, one.edge):
                return segment, time
    raise DoesNotFit(f"that shaping is not done {one.k:,} times at the {one.edge} edge")


def reshaped(plan: Plan, one: Reshaped, row: int) -> Plan:
    """The plan with that time done before its row ``row``, or never where it is 0.

    With what is due there already it is done as one: two decreases of one stitch are a decrease of two, for of two the
    second would move a needle that carries two loops. Raises DoesNotFit where the part has no such row, or the needles
    leave no room.
    """
    segment, time = found(plan, one)
    if row and row <= time.row:
        raise DoesNotFit(f"row {row:,} is not after row {time.row:,}, in which it was due")
    if row > segment.last:
        raise DoesNotFit(f"no row of {segment.part or 'the panel'} is left that it could be done before")
    # What the other side of a neck mirrors is not shaped otherwise there.
    written = plan if written_out(plan).shape[one.shape].part is None else written_out(plan)
    shapes = list(written.shape)
    parts, at = _parted(segment, shapes[one.shape], one, row)
    shapes[one.shape : one.shape + 1] = parts
    at += one.shape
    if row:
        shapes = _together(segment, shapes, at, row, one.edge)
    after = replace(written, shape=tuple(shapes))
    if more := _unshaped(after) - _unshaped(plan):
        at_row, why = min(more)
        raise DoesNotFit(f"the shaping of row {at_row:,} could then not be done: {why}")
    return after


def _unshaped(plan: Plan) -> set[tuple[int, str]]:
    return {(each.row, each.why) for segment in segments(plan) for each in segment.unshaped}


def _parted(segment: Segment, shape: Shape, one: Reshaped, row: int) -> tuple[list[Shape], int]:
    """A shape as several, that time of it done before another row or, where ``row`` is 0, not at all; and which is the
    one done then."""
    rows, parts = _repeat(segment, shape), []
    if shape.edge == "both" and edge_kind(shape.do).at_carriage is not None:
        # One edge a row, now the left one first and now the right one.
        for each in _times(segment, 0, shape):
            if (each.k, each.edge) != (one.k, one.edge):
                parts.append(_once(segment, shape, each.row, each.edge))
        return [*parts, *([_once(segment, shape, row, one.edge)] if row else ())], len(parts)
    edge = shape if shape.edge != "both" else replace(shape, edge=one.edge.value)
    if shape.edge == "both":
        parts.append(replace(shape, edge=one.edge.other.value))
    if one.k > 1:
        parts.append(replace(edge, times=one.k - 1))
    at = len(parts)
    if row:
        parts.append(_once(segment, edge, row, one.edge))
    if one.k < rows.of:
        parts.append(replace(edge, first_row=rows.first + rows.every * one.k, times=rows.of - one.k))
    return parts, at


def _once(segment: Segment, shape: Shape, row: int, edge: Side) -> Shape:
    return replace(shape, edge=edge.value, first_row=segment.fabric_row(row), every=None, times=None)


def _together(segment: Segment, shapes: list[Shape], at: int, row: int, edge: Side) -> list[Shape]:
    """The shapes with the one at ``at``, done before row ``row``, and what is due there at the same edge made one."""
    late = shapes[at]
    for index, shape in enumerate(shapes):
        if index == at or (shape.part, shape.do, shape.wrap) != (late.part, late.do, late.wrap):
            continue
        due = next((t for t in _times(segment, index, shape) if (t.row, t.edge) == (row, edge)), None)
        if due is None or isinstance(shape.stitches, str) or isinstance(late.stitches, str) or shape.do == "increase":
            continue
        stitches = shape.stitches + late.stitches
        tool = max(shape.tool, late.tool, stitches if shape.do == "decrease" else 1)
        shapes[at] = replace(late, stitches=stitches, tool=tool)
        parts, _ = _parted(segment, shape, Reshaped(0, edge, due.k, index, 0), 0)
        return [*shapes[:index], *parts, *shapes[index + 1 :]]
    return shapes
