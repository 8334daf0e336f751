"""Purl columns: a stitch is dropped down and latched up from the knit side, where it then shows purl."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.transfers import LatchUp
from purlside.plan.plan import StitchWork
from purlside.work.work import Easing, StitchKind


class PurlColumn(StitchKind):
    """These needles' stitches are dropped down ``rows`` and latched up again."""

    title: ClassVar[str] = "purl column"
    how: ClassVar[str] = (
        "To latch up: drop the stitch down so many rows, one needle at a time, and latch it up again from the knit side, "
        "where it then shows purl."
    )
    sign: ClassVar[str] = "-"
    rows: int

    @classmethod
    def of_plan(cls, stitch: StitchWork, k: int, of: int, since: int) -> PurlColumn:
        return cls(stitch.needles, k, of, since)

    @property
    def down(self) -> int:
        return self.rows

    def after(self, easing: Easing) -> tuple[Move, ...]:
        return (LatchUp(self.on, self.rows),)

    @property
    def words(self) -> str:
        return f"latch up {self.named}, {self.rows} rows"


KIND = PurlColumn
