"""Decreasing: edge stitches move inwards together, and the needles they leave go out of work."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle
from purlside.bed.transfers import OutOfWork, Transfer
from purlside.work.work import Edges, EdgeWork, bed_order


class Decrease(EdgeWork):
    """``tool`` edge stitches move inwards by ``stitches``."""

    title: ClassVar[str] = "decrease"
    reason: ClassVar[str] = (
        "Moved inwards together, the edge stitches stay whole; where two lie on a needle they knit as one."
    )
    sign: ClassVar[str] = "/"

    def __post_init__(self) -> None:
        many = self.tool + self.stitches
        self.wants(many, f"left, fewer than the {many} this takes at one edge")

    @property
    def _row(self) -> tuple[Needle, ...]:
        return self.inward(self.tool + self.stitches)

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


KIND = Decrease
