"""What one row asks of each needle: rows, size, by hand or not."""

from __future__ import annotations

from collections.abc import Iterable

from purlside.bed.needles import Needle
from purlside.values import Value


class CannotBeWalked(ValueError):
    """A row that no walk of the yarn along the bed can knit; the message says why, ``needle`` where it is one's."""

    def __init__(self, why: str, needle: Needle | None = None) -> None:
        super().__init__(why)
        self.needle = needle


class Demand(Value):
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
                raise CannotBeWalked(
                    f"{needle} is asked for {rows} rows; each needle in work is knit at least once", needle
                )
            if rows % 2 == 0:
                raise CannotBeWalked(
                    f"{needle} is asked for {rows} rows; an even number cannot be walked, "
                    "the carriage would come out on the wrong side",
                    needle,
                )
            if hand and rows != 1:
                raise CannotBeWalked(f"{needle} is knit by hand and asked for {rows} rows; by hand is once", needle)
        if all(self.by_hand):
            raise CannotBeWalked("every needle is knit by hand; the carriage would pass and knit nothing")

    @classmethod
    def even(cls, needles: Iterable[Needle], size: float) -> Demand:
        """One row at one size on each needle."""
        needles = tuple(needles)
        count = len(needles)
        return cls(needles, (1,) * count, (float(size),) * count, (False,) * count)

    def asking(
        self, needles: Iterable[int], *, extra_rows: int = 0, size: float | None = None, by_hand: bool = False
    ) -> Demand:
        """This demand with more asked of some of its needles: rows beyond the first, another size, to be knit by hand."""
        rows, sizes, hands = list(self.rows), list(self.sizes), list(self.by_hand)
        asked = set(map(int, needles))
        for i, needle in enumerate(self.needles):
            if int(needle) in asked:
                rows[i] += extra_rows
                sizes[i] = sizes[i] if size is None else float(size)
                hands[i] = hands[i] or by_hand
        return Demand(self.needles, tuple(rows), tuple(sizes), tuple(hands))
