"""Beads: the stitch is knit by hand, so large that a bead goes over it; then the bead is drawn on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.needles import Needle, needles_text
from purlside.bed.transfers import Bead
from purlside.plan.plan import StitchWork
from purlside.work.work import Easing, StitchKind


@dataclass(frozen=True)
class Beaded(StitchKind):
    """Each of these needles gets a bead."""

    title: ClassVar[str] = "bead"
    sign: ClassVar[str] = "●"
    on: tuple[Needle, ...]
    k: int
    of: int

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.on

    @classmethod
    def of_plan(cls, stitch: StitchWork, k: int, of: int, since: int) -> Beaded:
        return cls(stitch.needles, k, of)

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        return demand.asking(self.on, by_hand=True)

    def after(self, easing: Easing) -> tuple[Move, ...]:
        return (Bead(self.on),)

    @property
    def words(self) -> str:
        return f"bead on {needles_text(self.on, count=False)}"


KIND = Beaded
