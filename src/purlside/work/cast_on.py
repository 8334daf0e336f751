"""Casting on (e-wrap) at the edge the carriage stands at, before the row."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.needles import Needle
from purlside.bed.transfers import CastOn, IntoWork
from purlside.work.work import Edges, EdgeWork, bed_order, taken


class CastOnEdge(EdgeWork):
    """So many needles come into work beyond the edge, the yarn wound round each."""

    title: ClassVar[str] = "cast on"
    reason: ClassVar[str] = "Stitches are cast on at the edge the carriage stands at, for the yarn is there."
    sign: ClassVar[str] = "ʊ"
    at_carriage: ClassVar[bool | None] = True

    @property
    def _new(self) -> tuple[Needle, ...]:
        why = f"the bed has no {self.stitches} more needles on the {self.edge}"
        return taken(self.edges.outward(self.edge), self.stitches, why)

    @property
    def needles(self) -> tuple[Needle, ...]:
        return bed_order(self._new)

    @property
    def leaves(self) -> Edges:
        return self.edges.moved(self.edge, self._new[-1])

    def before(self) -> tuple[Move, ...]:
        return IntoWork(self.needles), CastOn(self.needles)


KIND = CastOnEdge
