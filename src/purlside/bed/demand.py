"""What one row asks of each needle: rows, size, by hand or not."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from purlside.bed.needles import Crossing, Needle, Span


class CannotBeWalked(ValueError):
    """A row that no walk of the yarn along the bed can knit; the message says why."""


@dataclass(frozen=True, slots=True)
class Demand:
    """One row's wishes, for the needles in work, in bed order.

    The four tuples have one entry a needle. ``rows`` is odd and at least 1;
    ``sizes`` are dial numbers; ``by_hand`` needles are knit once, by hand, and
    their size does not count. Raises :class:`CannotBeWalked` otherwise.
    """

    needles: tuple[Needle, ...]
    rows: tuple[int, ...]
    sizes: tuple[float, ...]
    by_hand: tuple[bool, ...]

    def __post_init__(self) -> None:
        if not self.needles:
            raise CannotBeWalked("no needle is in work")
        if not len(self.needles) == len(self.rows) == len(self.sizes) == len(self.by_hand):
            raise ValueError("a demand gives rows, size and by hand for each needle")
        for needle, rows, hand in zip(self.needles, self.rows, self.by_hand, strict=True):
            if rows < 1:
                raise CannotBeWalked(f"{needle} is asked for {rows} rows; each needle in work is knit at least once")
            if rows % 2 == 0:
                raise CannotBeWalked(
                    f"{needle} is asked for {rows} rows; an even number cannot be walked, "
                    "the carriage would come out on the wrong side"
                )
            if hand and rows != 1:
                raise CannotBeWalked(f"{needle} is knit by hand and asked for {rows} rows; by hand is once")
        if all(self.by_hand):
            raise CannotBeWalked("every needle is knit by hand; the carriage would pass and knit nothing")

    @classmethod
    def even(cls, needles: Iterable[Needle], size: float) -> Demand:
        """One row at one size on each needle."""
        needles = tuple(needles)
        count = len(needles)
        return cls(needles, (1,) * count, (float(size),) * count, (False,) * count)

    def asking(
        self,
        crossing: Crossing,
        *,
        enlarged_size: float | None = None,
        extra_rows: int = 0,
        by_hand: bool = False,
    ) -> Demand:
        """This demand with what one crossing wants.

        The half behind is knit once at ``enlarged_size``; the half in front
        gets ``extra_rows`` more at its own size, or is knit by hand.
        """
        rows, sizes, hands = list(self.rows), list(self.sizes), list(self.by_hand)
        for i in self._places(crossing.front):
            rows[i] += extra_rows
            hands[i] = hands[i] or by_hand
        if enlarged_size is not None:
            for i in self._places(crossing.back):
                sizes[i] = float(enlarged_size)
        return Demand(self.needles, tuple(rows), tuple(sizes), tuple(hands))

    def _places(self, half: Span) -> range:
        """Where the needles of a half stand in the tuples."""
        return range(bisect_left(self.needles, half.left), bisect_right(self.needles, half.right))


def fewest_movements(demand: Demand) -> int:
    """The least number of carriage movements, knitting passes and back-ups together.

    The closed form: 1 + Σ over boundaries of |a − b|/2 where the size stays,
    (a + b)/2 + 1 where it changes or by-hand needles lie between; a and b are
    the rows of two neighbours among the needles the carriage knits, and an
    imagined neighbour with one row and the same size stands beyond each outer
    edge of those needles. Derived here; checked against an exhaustive search.
    """
    knit = [i for i, hand in enumerate(demand.by_hand) if not hand]
    movements = 1 + (demand.rows[knit[0]] - 1) // 2 + (demand.rows[knit[-1]] - 1) // 2
    for i, j in pairwise(knit):
        a, b = demand.rows[i], demand.rows[j]
        if demand.sizes[i] == demand.sizes[j] and j == i + 1:
            movements += abs(a - b) // 2
        else:
            movements += (a + b) // 2 + 1
    return movements
