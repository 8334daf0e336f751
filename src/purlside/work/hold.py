"""Short rows: needles are rested at an edge, held with their stitches."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.moves import Hold
from purlside.bed.needles import Needle, Side
from purlside.work.work import Edges, EdgeWork, bed_order


class Rest(EdgeWork):
    """So many more needles rest at an edge, held with their stitches."""

    title: ClassVar[str] = "short row"
    reason: ClassVar[str] = (
        "Needles are rested where the carriage is not: it knits towards them, turns, and the yarn lies nowhere across them."
    )
    sign: ClassVar[str] = "▪"
    at_carriage: ClassVar[bool | None] = False

    def __post_init__(self) -> None:
        self.wants(self.stitches + 1, "knit; one at least is left of those that rest")

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
    def done(self) -> str:
        return f"short row: rest {self.stitches}"


KIND = Rest
