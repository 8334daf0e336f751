"""Decreasing: edge stitches move inwards together, and the needles they leave go out of work."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle, Side
from purlside.bed.transfers import OutOfWork, Transfer
from purlside.plan.plan import Shape
from purlside.work.work import CannotBeShaped, Edges, EdgeWork, bed_order, taken


@dataclass(frozen=True)
class Decrease(EdgeWork):
    """``tool`` edge stitches move inwards by ``stitches``; ``row`` are the edge needles from the edge inwards."""

    title: ClassVar[str] = "decrease"
    sign: ClassVar[str] = "/"
    edge: Side
    edges: Edges
    stitches: int
    tool: int
    k: int
    of: int

    @classmethod
    def at(cls, shape: Shape, edge: Side, edges: Edges, k: int, of: int) -> Decrease:
        stitches = int(shape.stitches)
        if len(edges.knit) < shape.tool + stitches:
            raise CannotBeShaped(
                f"{len(edges.knit)} stitches are left, fewer than the {shape.tool + stitches} this takes at one edge"
            )
        return cls(edge, edges, stitches, shape.tool, k, of)

    @property
    def _row(self) -> tuple[Needle, ...]:
        return taken(self.edges.inward(self.edge), self.tool + self.stitches, "too few stitches are left")

    @property
    def needles(self) -> tuple[Needle, ...]:
        """The needles that carry two loops after it, in bed order."""
        return bed_order(self._row[self.tool :])

    @property
    def leaves(self) -> Edges:
        return self.edges.moved(self.edge, self._row[self.stitches])

    def before(self) -> tuple[Move, ...]:
        row = self._row
        return (
            Transfer(bed_order(row[: self.tool]), bed_order(row[self.stitches :])),
            OutOfWork(bed_order(row[: self.stitches])),
        )

    @property
    def words(self) -> str:
        return f"decrease {self.stitches} at the {self.edge} edge"


KIND = Decrease
