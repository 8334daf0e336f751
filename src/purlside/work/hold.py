"""Short rows: needles are rested at an edge, held with their stitches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.moves import Hold
from purlside.bed.needles import Needle, Side
from purlside.plan.plan import Shape
from purlside.work.work import CannotBeShaped, Edges, EdgeWork, bed_order


@dataclass(frozen=True)
class Rest(EdgeWork):
    """So many more needles rest at an edge, held with their stitches."""

    title: ClassVar[str] = "short row"
    sign: ClassVar[str] = "▪"
    at_carriage: ClassVar[bool | None] = False
    edge: Side
    edges: Edges
    stitches: int
    wrap: bool
    k: int
    of: int

    @classmethod
    def at(cls, shape: Shape, edge: Side, edges: Edges, k: int, of: int) -> Rest:
        stitches = int(shape.stitches)
        if len(edges.knit) <= stitches:
            raise CannotBeShaped(f"{len(edges.knit)} stitches are knit; one at least is left of those that rest")
        return cls(edge, edges, stitches, shape.wrap, k, of)

    @property
    def _rows(self) -> tuple[Needle, ...]:
        knit = self.edges.knit if self.edge is Side.LEFT else self.edges.knit[::-1]
        return knit[: self.stitches]

    @property
    def needles(self) -> tuple[Needle, ...]:
        return bed_order(self._rows)

    @property
    def leaves(self) -> Edges:
        more = tuple((needle, self.wrap) for needle in self._rows)
        return self.edges.rested(self.edge, (*self.edges.resting_at(self.edge), *more))

    def before(self) -> tuple[Move, ...]:
        return (Hold(self.needles),)

    @property
    def words(self) -> str:
        return f"short row: rest {self.stitches} at the {self.edge} edge"


KIND = Rest
