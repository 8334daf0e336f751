"""Casting off at the edge the carriage stands at, before the row."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle
from purlside.bed.transfers import CastOff, OutOfWork
from purlside.work.work import Edges, EdgeWork, bed_order


class CastOffEdge(EdgeWork):
    """So many stitches go, from the edge inwards; the last loop hangs on the next needle."""

    title: ClassVar[str] = "cast off"
    reason: ClassVar[str] = "Stitches are cast off at the edge the carriage stands at, for the yarn is there."
    sign: ClassVar[str] = "▬"
    at_carriage: ClassVar[bool | None] = True

    def __post_init__(self) -> None:
        self.wants(self.stitches + 1, "left; one at least stays of those cast off from")

    @property
    def needles(self) -> tuple[Needle, ...]:
        return bed_order(self.inward(self.stitches))

    @property
    def _onto(self) -> Needle:
        return self.inward(self.stitches + 1)[-1]

    @property
    def leaves(self) -> Edges:
        return self.edges.moved(self.edge, self._onto)

    def before(self) -> tuple[Move, ...]:
        return CastOff(self.needles, self._onto), OutOfWork(self.needles)


KIND = CastOffEdge
