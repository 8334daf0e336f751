"""Increasing: the next needle outwards comes into work, empty or, fully fashioned, filled from its neighbour."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle
from purlside.bed.transfers import Fill, IntoWork, Transfer
from purlside.work.work import Edges, EdgeWork, bed_order, taken


class Increase(EdgeWork):
    """With ``tool`` 1 the new needle takes its first loop in the row; else ``tool`` edge stitches move out by one."""

    title: ClassVar[str] = "increase"
    reason: ClassVar[str] = "One stitch at a time: two empty needles side by side would not form stitches."
    sign: ClassVar[str] = "+"

    def __post_init__(self) -> None:
        _ = self.needles
        if self.tool > 1:
            self.wants(self.tool, f"left, fewer than the tool's {self.tool}")

    @property
    def needles(self) -> tuple[Needle, ...]:
        return taken(self.edges.outward(self.edge), 1, f"the bed has no more needles on the {self.edge}")

    @property
    def leaves(self) -> Edges:
        return self.edges.moved(self.edge, self.needles[0])

    def before(self) -> tuple[Move, ...]:
        new = self.needles
        if self.tool == 1:
            return (IntoWork(new),)
        row = self.inward(self.tool)
        return IntoWork(new), Transfer(bed_order(row), bed_order((*new, *row[:-1]))), Fill((row[-1],))


KIND = Increase
