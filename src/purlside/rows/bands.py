"""What bands set and reminders tell, row by row of the fabric."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import Generic, TypeVar

from purlside.plan.repeats import Repeat

T = TypeVar("T")


class Reminded:
    """What reminders tell in each row of the fabric: rows in which the same ones fall are worked out once."""

    def __init__(self, texts: Sequence[str], repeats: Sequence[Repeat]) -> None:
        self._texts, self._repeats = texts, repeats
        self._rhythms: dict[tuple[int, int], list[int]] = {}
        for i, repeat in enumerate(repeats):
            if repeat.of:
                self._rhythms.setdefault((repeat.every, repeat.first % repeat.every), []).append(i)
        self._everies = sorted({every for every, _ in self._rhythms})
        self._ends = {
            rhythm: sorted({end for i in those for end in (repeats[i].first, repeats[i].last + 1)})
            for rhythm, those in self._rhythms.items()
        }
        self._known: dict[tuple[tuple[tuple[int, int], int], ...], tuple[str, ...]] = {}

    def at(self, row: int) -> tuple[str, ...]:
        """The texts, in the plan's order."""
        falling = ((every, row % every) for every in self._everies)
        key = tuple([(each, bisect_right(self._ends[each], row)) for each in falling if each in self._rhythms])
        if (known := self._known.get(key)) is None:
            those = sorted(i for each, _ in key for i in self._rhythms[each] if self._repeats[i].k(row))
            known = self._known[key] = tuple(self._texts[i] for i in those)
        return known


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
