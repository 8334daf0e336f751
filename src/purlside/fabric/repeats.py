"""Rows said as a repeat: a long list of rows folded into those that come again and again.

``fold`` takes what each row is, as stretches of rows that are alike, and gives
it back as parts, each one or more stretches knit once or several times::

    fold([Stretch(1, 7, "plain"), Stretch(8, 8, "A"), Stretch(9, 15, "plain"), Stretch(16, 16, "A"), …])
    # rows 1–7 plain; then rows 8–15, "A" and 7 rows plain, 12 times
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from typing import Any, Generic, TypeVar

from purlside.rows.calendar import Rows
from purlside.rows.row import Row
from purlside.values import Value
from purlside.work.work import StitchKind

T = TypeVar("T")

MOST_FOLDED = 120
"""Stretches in one repeat, at most: longer ones would be no easier to follow than the list."""


class Stretch(Generic[T], Value):
    """Rows ``first`` to ``last``, both counted, which are all ``what``."""

    first: int
    last: int
    what: T

    @property
    def rows(self) -> int:
        return self.last - self.first + 1


class Repeated(Generic[T], Value):
    """Stretches as they are knit the first time, and how many times they are knit one after the other."""

    stretches: tuple[Stretch[T], ...]
    times: int

    @property
    def first(self) -> int:
        return self.stretches[0].first

    @property
    def every(self) -> int:
        """Rows of one repeat."""
        return self.stretches[-1].last - self.first + 1

    @property
    def last(self) -> int:
        """The last row of the last time."""
        return self.first + self.every * self.times - 1


def gathered(rows: Iterable[tuple[int, T]]) -> list[Stretch[T]]:
    """Neighbouring rows that are alike, as stretches."""
    found: list[Stretch[T]] = []
    for number, what in rows:
        if found and found[-1].what == what and found[-1].last == number - 1:
            found[-1] = Stretch(found[-1].first, number, what)
        else:
            found.append(Stretch(number, number, what))
    return found


def fold(stretches: Sequence[Stretch[T]]) -> list[Repeated[T]]:
    """The same rows, folded where that leaves fewest to read; stretches that come once stand together."""
    known: dict[tuple[T, int], int] = {}
    alike = [known.setdefault((stretch.what, stretch.rows), len(known)) for stretch in stretches]
    found: list[Repeated[T]] = []
    once: list[Stretch[T]] = []
    at = 0
    while at < len(alike):
        period, times = max(_repeats(alike, at), key=lambda found: ((found[1] - 1) * found[0], -found[0]))
        if times == 1:
            once.append(stretches[at])
            at += 1
            continue
        found += [Repeated(tuple(once), 1)] if once else []
        once = []
        found.append(Repeated(tuple(stretches[at : at + period]), times))
        at += period * times
    return [*found, *([Repeated(tuple(once), 1)] if once else [])]


def _repeats(alike: list[int], at: int) -> Iterator[tuple[int, int]]:
    """How many stretches from ``at`` on come how many times."""
    yield 1, 1
    end = at + min(MOST_FOLDED, (len(alike) - at) // 2) + 1
    following = at + 1
    while alike[at] in alike[following:end]:
        again = alike.index(alike[at], following, end)
        period, same = again - at, 1
        while again + same < len(alike) and alike[at + same] == alike[again + same]:
            same += 1
        if same >= period:
            yield period, 1 + same // period
        following = again + 1


def _stitches(row: Row) -> frozenset[Hashable]:
    """What a row's single stitches are asked that shows in this row alone."""
    return frozenset(work.alike for work in row.works if isinstance(work, StitchKind) and work.down == 1)


def main_repeat(rows: Rows) -> Repeated[Any] | None:
    """The repeat of crossings and single stitches that takes up most of the panel, or None where nothing comes again."""
    shows: dict[int, tuple[Hashable, Hashable]] = {}

    def of_panel() -> Iterator[tuple[int, tuple[Hashable, Hashable]]]:
        for number in range(1, rows.rows + 1):
            like = rows.like(number)
            if like.number not in shows:
                shows[like.number] = frozenset(like.cables), _stitches(like)
            if like.part is None:
                yield number, shows[like.number]

    stretches = gathered(of_panel())
    return max((one for one in fold(stretches) if one.times > 1), key=lambda one: one.every * one.times, default=None)
