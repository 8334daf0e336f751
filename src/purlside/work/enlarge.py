"""Single stitches knit at a larger size, without a crossing."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.demand import Demand
from purlside.bed.moves import size_text
from purlside.plan.plan import StitchWork
from purlside.work.work import Easing, StitchKind


class Enlarged(StitchKind):
    """These needles are knit at ``size``."""

    title: ClassVar[str] = "enlarged stitch"
    sign: ClassVar[str] = "E"
    size: float

    @classmethod
    def of_plan(cls, stitch: StitchWork, k: int, of: int, since: int) -> Enlarged:
        assert stitch.size is not None
        return cls(stitch.needles, k, of, stitch.size)

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        return demand.asking(self.on, size=self.size)

    @property
    def lies_at(self) -> float:
        return self.size

    @property
    def words(self) -> str:
        return f"enlarge {self.named} to SS {size_text(self.size)}"


KIND = Enlarged
