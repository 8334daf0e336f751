"""Single stitches knit by hand, drawn back to the rail."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from purlside.bed.demand import Demand
from purlside.bed.needles import Needle, needles_text
from purlside.plan.plan import StitchWork
from purlside.work.work import Easing, StitchKind


@dataclass(frozen=True)
class KnitByHand(StitchKind):
    """These needles are knit by hand: very large stitches."""

    title: ClassVar[str] = "stitch by hand"
    sign: ClassVar[str] = "@"
    on: tuple[Needle, ...]
    k: int
    of: int

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.on

    @classmethod
    def of_plan(cls, stitch: StitchWork, k: int, of: int, since: int) -> KnitByHand:
        return cls(stitch.needles, k, of)

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        return demand.asking(self.on, by_hand=True)

    @property
    def words(self) -> str:
        return f"{needles_text(self.on, count=False)} by hand"


KIND = KnitByHand
