"""Shaping spread evenly over rows, in a knitter's words and as the plan's tables.

Changes are laid as a line is drawn in whole steps (the integer line of
Bresenham 1965): at most two distances, one row apart, or two where only every
other row will do. Equal distances are put together, as a knitter writes them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from purlside.plan.plan import Shape
from purlside.values import Value


class Changes(Value):
    """``times`` changes of ``stitches`` each, every one ``every`` rows after the one before."""

    stitches: int
    every: int
    times: int

    @property
    def rows(self) -> int:
        return self.every * self.times

    def __str__(self) -> str:
        each = "" if self.stitches == 1 else f"{self.stitches} stitches "
        often = {1: "once", 2: "twice"}.get(self.times, f"{self.times} times")
        return f"{each}every {_nth(self.every)}{often}"


def _nth(every: int) -> str:
    """``"4th row "``."""
    if every < 3:
        return ("row ", "other row ")[every - 1]
    ending = "th" if every % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(every % 10, "th")
    return f"{every}{ending} row "


def words(changes: Iterable[Changes]) -> str:
    """``"every 4th row 6 times, then every 5th row 3 times"``."""
    alike = ((key, list(same)) for key, same in groupby(changes, key=lambda c: (c.stitches, c.every)))
    return ", then ".join(str(Changes(*key, sum(c.times for c in same))) for key, same in alike)


def evenly(stitches: int, rows: int, *, step: int = 1, longer_first: bool = False) -> tuple[Changes, ...]:
    """``stitches`` changed over ``rows`` as evenly as can be, one at a time while there are rows enough.

    With ``step`` 2 only every other row will do. The shorter distances come
    first, or the longer with ``longer_first``; where several stitches fall in a
    row, the larger changes first and so the other way round. The last change
    falls in the last of the rows, or in the last that will do. Raises ValueError
    for less than no stitch and for no row to change them in.
    """
    if stitches < 0:
        raise ValueError(f"{stitches} stitches cannot be changed; give 0 or more")
    if stitches == 0:
        return ()
    places = rows // step
    if places < 1:
        raise ValueError(f"{stitches} stitches cannot be changed over {max(rows, 0)} rows; give at least {step}")
    if stitches <= places:
        short, long_ones = divmod(places, stitches)
        found = [Changes(1, short * step, stitches - long_ones), Changes(1, (short + 1) * step, long_ones)]
    else:
        few, more_ones = divmod(stitches, places)
        found = [Changes(few + 1, step, more_ones), Changes(few, step, places - more_ones)]
    return tuple(c for c in (reversed(found) if longer_first else found) if c.times)


class Change(Value):
    """``stitches`` changed at an edge before ``row`` is knit."""

    row: int
    stitches: int


def placed(changes: Iterable[Changes], after: int) -> Iterator[Change]:
    """Each change by itself; ``after`` is the row before the first that counts."""
    for each in changes:
        for _ in range(each.times):
            after += each.every
            yield Change(after, each.stitches)


def gathered(changes: Iterable[Change]) -> Iterator[tuple[Change, int | None, int]]:
    """Changes in rows that follow each other evenly, together: the first, every how many rows, how often."""
    for _, alike in groupby(changes, key=lambda c: c.stitches):
        run: list[Change] = []
        for change in alike:
            if len(run) > 1 and change.row - run[-1].row != run[1].row - run[0].row:
                yield _run(run)
                run = []
            run.append(change)
        yield _run(run)


def _run(run: list[Change]) -> tuple[Change, int | None, int]:
    return run[0], (run[1].row - run[0].row if len(run) > 1 else None), len(run)


def shapes(changes: Iterable[Change], **keys: Any) -> tuple[Shape, ...]:
    """The plan's ``[[shape]]`` tables; ``keys`` are edge, do, tool, part … of each."""
    return tuple(
        Shape(
            first_row=first.row,
            stitches=first.stitches,
            every=every,
            times=None if every is None else times,
            **{**keys, **({"tool": max(keys["tool"], first.stitches)} if "tool" in keys else {})},
        )
        for first, every, times in gathered(changes)
    )
