"""Even shaping against worked numbers in print, a drawn line, and every other way there is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest

from purlside.figures.shaping import Change, evenly, gathered, placed, words


def distances(stitches: int, rows: int, step: int = 1) -> Counter[int]:
    """How often each distance from one change to the next comes."""
    return Counter({c.every: c.times for c in evenly(stitches, rows, step=step)})


def test_worked_numbers_come_out_as_published() -> None:
    """A. Budd (2010), even spacing of decreases and increases, worked by example."""
    assert words(evenly(36, 140)) == "every 3rd row 4 times, then every 4th row 32 times"
    assert words(evenly(14, 124)) == "every 8th row twice, then every 9th row 12 times"


def line(rows: int, stitches: int) -> list[int]:
    """J. E. Bresenham, Algorithm for computer control of a digital plotter, IBM Systems Journal 4 (1965):
    the rows in which a line drawn from one corner to the other steps one stitch across, by whole numbers only."""
    found, error = [], rows // 2
    for row in range(1, rows + 1):
        error -= stitches
        if error < 0:
            error += rows
            found.append(row)
    return found


@pytest.mark.parametrize("rows", range(1, 60))
def test_the_distances_are_those_of_a_line_drawn_in_whole_steps(rows: int) -> None:
    for stitches in range(1, rows + 1):
        stepped = line(rows, stitches)
        assert len(stepped) == stitches
        # The line goes on into the next rows as it began: its first step stands after its last.
        round_trip = [b - a for a, b in zip(stepped, [*stepped[1:], stepped[0] + rows], strict=True)]
        assert Counter(round_trip) == distances(stitches, rows)


def every_way(stitches: int, rows: int) -> Iterator[tuple[int, ...]]:
    """All distances from change to change that fill the rows."""
    if stitches == 1:
        yield (rows,)
        return
    for first in range(1, rows - stitches + 2):
        for rest in every_way(stitches - 1, rows - first):
            yield (first, *rest)


def test_of_all_placements_none_is_more_even() -> None:
    tried = 0
    for rows in range(1, 15):
        for stitches in range(1, rows + 1):
            ours = tuple(sorted(distances(stitches, rows).elements()))
            unevenness = sum(d * d for d in ours)
            for way in every_way(stitches, rows):
                tried += 1
                assert sum(d * d for d in way) >= unevenness
                if sum(d * d for d in way) == unevenness:
                    assert tuple(sorted(way)) == ours
                assert max(way) - min(way) >= max(ours) - min(ours)
    assert tried > 16_000


def test_at_most_two_distances_that_differ_by_one_or_by_two_where_every_other_row_will_do() -> None:
    for rows in range(2, 80):
        for stitches in range(1, rows + 1):
            for step in (1, 2):
                found = sorted(distances(stitches, rows, step))
                assert len(found) <= 2
                assert all(d % step == 0 for d in found)
                assert found[-1] - found[0] in (0, step)


def test_every_stitch_is_changed_within_the_rows_whatever_the_numbers() -> None:
    for rows in range(2, 60):
        for stitches in range(1, 90):
            for step in (1, 2):
                for longer_first in (False, True):
                    changes = list(placed(evenly(stitches, rows, step=step, longer_first=longer_first), 100))
                    assert sum(c.stitches for c in changes) == stitches
                    assert changes[-1].row == 100 + rows // step * step
                    assert all((c.row - 100) % step == 0 for c in changes)
                    sizes = {c.stitches for c in changes}
                    assert max(sizes) - min(sizes) <= 1


def test_changes_gathered_into_tables_are_the_same_changes() -> None:
    for rows in range(2, 50):
        for stitches in range(1, 60):
            changes = list(placed(evenly(stitches, rows), 0))
            again = [
                Change(first.row + i * (every or 0), first.stitches)
                for first, every, times in gathered(changes)
                for i in range(times)
            ]
            assert again == changes
