"""Increasing: the next needle outwards comes into work, empty or, fully fashioned, filled from its neighbour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle, Side
from purlside.bed.transfers import Fill, IntoWork, Transfer
from purlside.plan.plan import Shape
from purlside.work.work import CannotBeShaped, Edges, EdgeWork, bed_order, taken


@dataclass(frozen=True)
class Increase(EdgeWork):
    """With ``tool`` 1 the new needle takes its first loop in the row; else ``tool`` edge stitches move out by one."""

    title: ClassVar[str] = "increase"
    sign: ClassVar[str] = "+"
    edge: Side
    edges: Edges
    tool: int
    k: int
    of: int

    @classmethod
    def at(cls, shape: Shape, edge: Side, edges: Edges, k: int, of: int) -> Increase:
        work = cls(edge, edges, shape.tool, k, of)
        _ = work._new
        if shape.tool > 1 and len(edges.knit) < shape.tool:
            raise CannotBeShaped(f"{len(edges.knit)} stitches are left, fewer than the tool's {shape.tool}")
        return work

    @property
    def _new(self) -> Needle:
        return taken(self.edges.outward(self.edge), 1, f"the bed has no more needles on the {self.edge}")[0]

    @property
    def needles(self) -> tuple[Needle, ...]:
        return (self._new,)

    @property
    def leaves(self) -> Edges:
        return self.edges.moved(self.edge, self._new)

    def before(self) -> tuple[Move, ...]:
        new = self._new
        if self.tool == 1:
            return (IntoWork((new,)),)
        row = taken(self.edges.inward(self.edge), self.tool, "too few stitches are left")
        return (
            IntoWork((new,)),
            Transfer(bed_order(row), bed_order((new, *row[:-1]))),
            Fill((row[-1],)),
        )

    @property
    def words(self) -> str:
        return f"increase 1 at the {self.edge} edge"


KIND = Increase
