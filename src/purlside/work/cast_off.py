"""Casting off at the edge the carriage stands at, before the row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle, Side
from purlside.bed.transfers import CastOff, OutOfWork
from purlside.plan.plan import Shape
from purlside.work.work import CannotBeShaped, Edges, EdgeWork, bed_order, taken


@dataclass(frozen=True)
class CastOffEdge(EdgeWork):
    """So many stitches go, from the edge inwards; the last loop hangs on the next needle."""

    title: ClassVar[str] = "cast off"
    sign: ClassVar[str] = "▬"
    at_carriage: ClassVar[bool | None] = True
    edge: Side
    edges: Edges
    stitches: int
    k: int
    of: int

    @classmethod
    def at(cls, shape: Shape, edge: Side, edges: Edges, k: int, of: int) -> CastOffEdge:
        stitches = int(shape.stitches)
        if len(edges.knit) <= stitches:
            raise CannotBeShaped(f"{len(edges.knit)} stitches are left; one at least stays of those cast off from")
        return cls(edge, edges, stitches, k, of)

    @property
    def _row(self) -> tuple[Needle, ...]:
        return taken(self.edges.inward(self.edge), self.stitches + 1, "too few stitches are left")

    @property
    def needles(self) -> tuple[Needle, ...]:
        return bed_order(self._row[:-1])

    @property
    def leaves(self) -> Edges:
        return self.edges.moved(self.edge, self._row[-1])

    def before(self) -> tuple[Move, ...]:
        return CastOff(self.needles, self._row[-1]), OutOfWork(self.needles)

    @property
    def words(self) -> str:
        return f"cast off {self.stitches} at the {self.edge} edge"


KIND = CastOffEdge
