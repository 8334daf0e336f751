"""The ways in which crossing rows are knit: each kind from each side, and which of them are alike, or mirror images."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from functools import cached_property

from purlside.bed.bed import Move
from purlside.bed.moves import Push
from purlside.bed.needles import Side
from purlside.plan.mirror import needle as mirrored_needle
from purlside.sheet.kinds import Pass, RowKind, SheetRows, knit_moves, passes, row_moves, shaping_moves, special
from purlside.values import Value
from purlside.work.work import Work


class Way(Value):
    """A kind of row from one side."""

    sheet: SheetRows
    kind: RowKind
    side: Side

    @property
    def heading(self) -> str:
        return f"{self.kind.letter} from {self.side.carriage}"

    @cached_property
    def number(self) -> int:
        """The row it is written from."""
        return self.kind.shown(self.sheet.calendar, self.side)

    @property
    def where(self) -> int | str:
        """That row as it is told."""
        return self.sheet.calendar.row(self.number).label

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        return row_moves(self.sheet.working, self.number)

    @cached_property
    def knit(self) -> tuple[Move, ...]:
        return knit_moves(self.sheet.working, self.number)

    @property
    def in_order(self) -> list[Work]:
        """What the row is asked, in the order it is done."""

        def when(work: Work) -> int:
            after = work.after(self.sheet.working)
            return self.moves.index(after[0]) if after else -1

        return sorted(special(self.sheet.calendar.row(self.number)), key=when)

    @property
    def pushes(self) -> int:
        return sum(isinstance(move, Push) for move in self.knit)

    def passes(self, *, whole: bool) -> list[Pass]:
        """Its row step by step: with all that is done before it and after, or as it is knit. Raises BedFault."""
        working = self.sheet.working
        if whole:
            return passes(working, self.number, self.moves)
        return passes(working, self.number, self.knit, shaping_moves(working, self.number))

    @cached_property
    def asked(self) -> tuple[Hashable, Hashable]:
        """All that decides its passes but where the edges are; and the same of its mirror image."""
        row = self.sheet.calendar.row(self.number)
        demand = self.sheet.working.demand(row)
        asked = list(zip(demand.needles, demand.rows, demand.sizes, demand.by_hand, strict=True))
        other = [i for i, one in enumerate(asked) if one[1:] != (1, row.size, False)]
        ends = (other[0] > 0, other[-1] < len(asked) - 1) if other else (True, True)
        own = [asked[i] for i in other]
        turned = [(mirrored_needle(needle), *more) for needle, *more in reversed(own)]
        return (
            (self.side, row.size, ends, tuple((int(n), *more) for n, *more in own)),
            (self.side.other, row.size, ends[::-1], tuple((int(n), *more) for n, *more in turned)),
        )


class WaysTold:
    """Ways in their order: which of them a way is knit like, and which it is the mirror image of."""

    def __init__(self, ways: Iterable[Way] = ()) -> None:
        self._first: dict[Hashable, tuple[int, Way]] = {}
        for way in ways:
            self.add(way)

    def add(self, way: Way) -> None:
        self._first.setdefault(way.asked[0], (len(self._first), way))

    def __contains__(self, way: Way) -> bool:
        return self.like(way) is way

    def like(self, way: Way) -> Way | None:
        """The first that is knit in the same way, but for the edges."""
        found = self._first.get(way.asked[0])
        return None if found is None else found[1]

    def twin(self, way: Way) -> Way | None:
        """The first that is its mirror image, if that comes before any that is knit as it is."""
        found, own = self._first.get(way.asked[1]), self._first.get(way.asked[0])
        return None if found is None or (own is not None and own[0] <= found[0]) else found[1]
