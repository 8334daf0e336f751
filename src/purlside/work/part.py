"""The beginning of a part: other needles rest, and where the yarn lies elsewhere it is broken and joined at the part."""

from __future__ import annotations

from typing import ClassVar

from purlside.bed.bed import Move
from purlside.bed.moves import Hold, Join, Lever, Return
from purlside.bed.needles import Needle, Side
from purlside.values import Value
from purlside.work.work import Work


class PartBegun(Work, Value):
    """``own`` needles are knit from now on, ``others`` rest; ``held`` rest already.

    ``stands`` is the side the carriage stands on, ``side`` the one the part begins from, ``yarn`` the needle the yarn
    lies at. ``lever``: the machine's hold lever stands at knit before a row.
    """

    title: ClassVar[str] = "part"
    part: str
    own: tuple[Needle, ...]
    others: tuple[Needle, ...]
    held: frozenset[int]
    stands: Side
    side: Side
    yarn: Needle
    lever: bool
    k: int = 1
    of: int = 1

    @property
    def label(self) -> str:
        return self.part

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.own

    def before(self) -> tuple[Move, ...]:
        at = self.own[0] if self.side is Side.LEFT else self.own[-1]
        joins = at != self.yarn or self.side is not self.stands
        # Taken over its own needles the carriage would knit them: they are held until it has passed.
        beside = self.yarn <= self.own[0] if self.side is Side.LEFT else self.yarn >= self.own[-1]
        over = joins and not beside
        wanted = (*self.others, *self.own) if over else self.others
        hold = tuple(sorted(n for n in wanted if int(n) not in self.held))
        back = self.own if over else tuple(n for n in self.own if int(n) in self.held)
        moves: list[Move] = [Hold(hold)] if hold else []
        moves += [Lever("hold")] if joins and self.lever else []
        moves += [Join(self.side, at)] if joins else []
        return (*moves, Return(back)) if back else tuple(moves)

    @property
    def words(self) -> str:
        return f"{self.part} begins"
