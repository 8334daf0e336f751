"""Beads: the stitch is knit by hand, so large that a bead goes over it; then the bead is drawn on."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.transfers import Bead
from purlside.work.work import Easing, StitchKind


class Beaded(StitchKind):
    """Each of these needles gets a bead."""

    title: ClassVar[str] = "bead"
    how: ClassVar[str] = (
        "To bead: lift the stitch knit by hand, draw the bead on with a fine hook, put the stitch back."
    )
    sign: ClassVar[str] = "●"

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        return demand.asking(self.on, by_hand=True)

    def after(self, easing: Easing) -> tuple[Move, ...]:
        return (Bead(self.on),)

    @property
    def words(self) -> str:
        return f"bead on {self.named}"


KIND = Beaded
