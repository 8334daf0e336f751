"""Edges shaped otherwise than planned: one time of a decrease or an increase left out, or done before another row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from purlside.bed.needles import Side
from purlside.knitting.deviations import Deviation, DoesNotFit
from purlside.plan.plan import Plan, Shape
from purlside.plan.repeats import Repeat

DONE = ("decrease", "increase")
"""What can be done a row late; casting on and off and short rows want the carriage on their side."""

_EDGES: dict[Side, Literal["left", "right"]] = {Side.LEFT: "left", Side.RIGHT: "right"}


@dataclass(frozen=True, slots=True)
class Reshaped(Deviation):
    """The ``k``-th time of a plan's shape, counted from 0, was not done at an edge; it is before row ``row``, or never (0)."""

    form = "shaped {edge} {k} of {shape} before {row} at {at}"
    at: int
    edge: Side
    k: int
    shape: int
    row: int

    @property
    def words(self) -> str:
        when = f"before row {self.row:,}" if self.row else "left out"
        return f"{str(self.edge).capitalize()} edge, shaping {self.k:,}: {when}"


def repeat(plan: Plan, shape: Shape) -> Repeat:
    """The rows before which a shape of the panel is done."""
    return Repeat.within(plan.panel.rows, shape.first_row, shape.every, shape.times)


def planned_row(plan: Plan, one: Reshaped) -> int:
    """The plan's row before which that time is due. Raises DoesNotFit."""
    if one.shape >= len(plan.shape) or (shape := plan.shape[one.shape]).do not in DONE or shape.part is not None:
        raise DoesNotFit(f"the plan has no such shaping to be done before row {one.row:,}")
    rows = repeat(plan, shape)
    if not 1 <= one.k <= rows.of or shape.edge not in ("both", str(one.edge)):
        raise DoesNotFit(f"that shaping is not done {one.k:,} times at the {one.edge} edge")
    return rows.first + rows.every * (one.k - 1)


def reshaped(plan: Plan, one: Reshaped, row: int) -> Plan:
    """The plan with that time done before the plan's row ``row``, or never where it is 0. Raises DoesNotFit."""
    planned_row(plan, one)
    shape = plan.shape[one.shape]
    return replace(plan, shape=(*plan.shape[: one.shape], *_parts(plan, shape, one, row), *plan.shape[one.shape + 1 :]))


def _parts(plan: Plan, shape: Shape, one: Reshaped, row: int) -> Iterator[Shape]:
    rows = repeat(plan, shape)
    edge = shape if shape.edge != "both" else replace(shape, edge=_EDGES[one.edge])
    if shape.edge == "both":
        yield replace(shape, edge=_EDGES[one.edge.other])
    if one.k > 1:
        yield replace(edge, times=one.k - 1)
    if row:
        yield replace(edge, first_row=row, every=None, times=None)
    if one.k < rows.of:
        yield replace(edge, first_row=rows.first + rows.every * one.k, times=rows.of - one.k)
