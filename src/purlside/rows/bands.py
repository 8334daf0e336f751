"""What bands set and reminders tell, row by row of the fabric."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import Generic, TypeVar

from purlside.plan.repeats import Repeat

T = TypeVar("T")


BLOCK = 512
"""Rows of which reminders are worked out together: asked row by row, as many as a plan may have take 0.2 ms in each."""


class Reminded:
    """What reminders tell in each row of the fabric."""

    def __init__(self, texts: Sequence[str], repeats: Sequence[Repeat]) -> None:
        self._reminders = list(zip(texts, repeats, strict=True))
        self._block = range(0)
        self._told: dict[int, list[str]] = {}

    def at(self, row: int) -> tuple[str, ...]:
        """The texts, in the plan's order."""
        if row not in self._block:
            first = row - row % BLOCK
            self._block, self._told = range(first, first + BLOCK), {}
            for text, repeat in self._reminders:
                for k in range(repeat.before(first), repeat.before(first + BLOCK)):
                    self._told.setdefault(repeat.first + repeat.every * k, []).append(text)
        return tuple(self._told.get(row, ()))


class Bands(Generic[T]):
    """What bands set, by row; where two bands overlap the later one in the plan counts."""

    def __init__(self, bands: list[tuple[int, int, T]]) -> None:
        self.edges = sorted({1, *(first for first, _, _ in bands), *(last + 1 for _, last, _ in bands)})
        self._values: list[T | None] = [None] * len(self.edges)
        for first, last, value in bands:
            begin, end = bisect_left(self.edges, first), bisect_left(self.edges, last + 1)
            self._values[begin:end] = [value] * (end - begin)

    def at(self, row: int) -> T | None:
        return self._values[bisect_right(self.edges, row) - 1]
