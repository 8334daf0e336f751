"""When: spans of rows, and rows that repeat."""

from __future__ import annotations

from purlside.bed.needles import quoted
from purlside.values import Value


class RowSpan(Value):
    """Rows ``first`` to ``last``, both counted; written ``"1-20"`` or ``"8"``. Raises ValueError."""

    first: int
    last: int

    def __post_init__(self) -> None:
        if not 1 <= self.first <= self.last:
            raise ValueError(f"{quoted(str(self))} is not a span of rows; rows count from 1, the smaller number first")

    @classmethod
    def parse(cls, text: str) -> RowSpan:
        """Raises ValueError."""
        ends = text.strip().split("-")
        if len(ends) > 2 or not all(e.isascii() and e.isdigit() and len(e) <= 9 for e in ends):
            raise ValueError(f"{quoted(text)} is not a span of rows; write it as 1-20, or 8 for one row")
        return cls(first=int(ends[0]), last=int(ends[-1]))

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"


class Repeat(Value):
    """Rows ``first``, ``first + every``, … up to ``last``, ``of`` in all."""

    first: int
    every: int
    of: int

    @classmethod
    def within(cls, rows: int, first: int, every: int | None, times: int | None) -> Repeat:
        """Those within a panel of ``rows``; ``every`` None is once, ``times`` None to the panel's end."""
        if first > rows:
            return cls(first, every or 1, 0)
        if every is None:
            return cls(first, 1, 1)
        fits = (rows - first) // every + 1
        return cls(first, every, min(fits, times or fits))

    @property
    def last(self) -> int:
        return self.first + self.every * (self.of - 1)

    def k(self, row: int) -> int:
        """Which repeat falls on ``row``, counted from 1; 0 if none."""
        before, rest = divmod(row - self.first, self.every)
        return before + 1 if not rest and 0 <= before < self.of else 0

    def before(self, row: int) -> int:
        """How many have come before ``row``."""
        if row <= self.first or not self.of:
            return 0
        return min(self.of, (row - 1 - self.first) // self.every + 1)

    def after(self, row: int) -> int | None:
        """The first one at or after ``row``, or None."""
        done = self.before(row)
        return self.first + self.every * done if done < self.of else None
