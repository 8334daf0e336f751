"""Short rows: resting needles return to work."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.moves import Return
from purlside.bed.needles import Needle, Side
from purlside.plan.plan import Shape
from purlside.work.work import CannotBeShaped, Edges, EdgeWork, bed_order


class Resume(EdgeWork):
    """So many resting needles, the innermost first, return to work."""

    title: ClassVar[str] = "return"
    reason: ClassVar[str] = "Needles return where the carriage is not: it knits on to them without a float."
    sign: ClassVar[str] = "▫"
    at_carriage: ClassVar[bool | None] = False

    @classmethod
    def at(cls, shape: Shape, edge: Side, edges: Edges, k: int, of: int) -> Resume:
        resting = len(edges.resting_at(edge))
        stitches = resting if shape.stitches == "all" else int(shape.stitches)
        if not resting or stitches > resting:
            raise CannotBeShaped(f"{resting or 'no'} needles rest at the {edge} edge")
        return cls(edge, edges, stitches, k=k, of=of)

    @property
    def needles(self) -> tuple[Needle, ...]:
        return bed_order(tuple(needle for needle, _ in self.edges.resting_at(self.edge)[-self.stitches :]))

    @property
    def leaves(self) -> Edges:
        return self.edges.rested(self.edge, self.edges.resting_at(self.edge)[: -self.stitches])

    def before(self) -> tuple[Move, ...]:
        return (Return(self.needles),)


KIND = Resume
