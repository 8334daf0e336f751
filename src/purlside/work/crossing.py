"""A cable's crossing: the halves are prepared in the row, and change places after it."""

from __future__ import annotations

from collections.abc import Hashable
from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.needles import Crossing, Needle
from purlside.bed.transfers import Cross
from purlside.values import Value
from purlside.work.work import Easing, Work


class Crossed(Work, Value):
    """One cable's crossing in one row: the ``k``-th of ``of``.

    Not ``made``, the row is knit for it and it is skipped; not ``eased``, it is made after a row knit plain;
    ``turned``, it was made with the half in front that should lie behind, in a row knit for the other way.
    """

    title: ClassVar[str] = "crossing"
    cable: int
    name: str
    crossing: Crossing
    k: int
    of: int
    made: bool = True
    eased: bool = True
    turned: bool = False

    @property
    def label(self) -> str:
        return self.name

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.crossing.needles

    @property
    def planned(self) -> Crossing:
        """The crossing its row is knit for."""
        return self.crossing.other_way if self.turned else self.crossing

    @property
    def alike(self) -> Hashable:
        return self.cable, self.crossing, self.made, self.eased, self.turned

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        if not self.eased:
            return demand
        crossing = self.planned
        choice = easing.choice(self.cable, crossing, size).technique
        if choice.extra_rows or choice.by_hand:
            demand = demand.asking(crossing.front, extra_rows=choice.extra_rows, by_hand=choice.by_hand)
        return demand if choice.enlarged_size is None else demand.asking(crossing.back, size=choice.enlarged_size)

    def after(self, easing: Easing) -> tuple[Move, ...]:
        return (Cross(self.name, self.crossing),) if self.made else ()

    @property
    def words(self) -> str:
        return f"{self.name}, {self.crossing.words}, {self.crossing.front_side} half in front"
