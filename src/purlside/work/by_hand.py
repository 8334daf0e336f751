"""Single stitches knit by hand, drawn back to the rail."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.demand import Demand
from purlside.work.work import Easing, StitchKind


class KnitByHand(StitchKind):
    """These needles are knit by hand: very large stitches."""

    title: ClassVar[str] = "stitch by hand"
    sign: ClassVar[str] = "@"

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        return demand.asking(self.on, by_hand=True)

    @property
    def words(self) -> str:
        return f"{self.named} by hand"


KIND = KnitByHand
