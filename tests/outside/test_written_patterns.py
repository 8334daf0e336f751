"""Written patterns, against permutations (sympy.combinatorics) and against themselves: 1,000 generated charts.

What a hand knitter does at a cable (Craft Yarn Council: n/m RC, hold m in
back, knit n, knit the m; LC mirrors it, hold n in front; the words from memory)
is done here to a list of stitches; the plan's own crossings must bring every
stitch to the same place.
"""

from __future__ import annotations

import random

import pytest
from sympy.combinatorics import Permutation

from purlside.bed.needles import Crossing, Side
from purlside.draft.frompattern import as_pattern, plan_of
from purlside.fabric.pattern import Pattern, PatternRow, Placed, words
from purlside.fabric.reading import read
from purlside.fabric.written import WrittenCross
from purlside.rows.calendar import Calendar
from purlside.rows.checking import faults


def chart(seed: int) -> Pattern:
    """A chart of some columns and cables; the wrong side mostly as the stitches appear."""
    rng = random.Random(seed)
    stitches, count = rng.randint(6, 30), 2 * rng.randint(1, 8)
    faces = "".join(rng.choice("kkp") for _ in range(stitches))
    rows = []
    for number in range(1, count + 1):
        crossed, cells = [], list(faces)
        right_side = number % 2 == 1
        place = rng.randint(0, 4)
        while right_side and place < stitches - 2 and rng.random() < 0.6:
            made = WrittenCross(rng.choice(list(Side)), rng.randint(1, 3), rng.randint(1, 3), rng.random() < 0.4)
            if place + made.width > stitches:
                break
            crossed.append(Placed(place, made))
            cells[place : place + made.width] = made.faces
            place += made.width + rng.randint(0, 5)
        if not crossed and rng.random() < 0.15:
            at = rng.randrange(stitches)
            cells[at] = "p" if cells[at] == "k" else "k"
        faces = "".join(cells)
        rows.append(PatternRow(number, right_side, faces, tuple(crossed)))
    first = 2 * rng.randint(0, count // 2 - 1) + 1
    return Pattern(f"Chart {seed}", stitches, tuple(rows), (first, count))


def by_hand(pattern: Pattern, repeats: int) -> list[int]:
    """Which stitch hangs at each place after all rows, as a hand knitter crosses them."""
    stitches = list(range(pattern.stitches))
    first, last = pattern.repeat
    before = [r for r in pattern.rows if r.number < first]
    again = [r for r in pattern.rows if first <= r.number <= last]
    for row in [*before, *again * repeats, *(r for r in pattern.rows if r.number > last)]:
        for placed in row.crossed:
            cross = placed.cross
            tip = stitches[placed.place : placed.place + cross.width]
            held = cross.back if cross.lean is Side.RIGHT else cross.front
            stitches[placed.place : placed.place + cross.width] = tip[held:] + tip[:held]
    return stitches


def permutation(crossing: Crossing, left: int, width: int) -> Permutation:
    to = list(range(width))
    first, second = sorted((crossing.front, crossing.back), key=lambda half: half.left)
    for needle in first:
        to[needle - left] += len(second)
    for needle in second:
        to[needle - left] -= len(first)
    return Permutation(to)


@pytest.mark.parametrize("hundred", range(10))
def test_a_thousand_charts_end_with_every_stitch_where_the_hand_knitter_has_it(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + 100):
        pattern, repeats = chart(seed), 1 + seed % 3
        plan, laid = plan_of(pattern, repeats)
        left = int(laid.needles.left)
        product = Permutation(list(range(pattern.stitches)))
        calendar = Calendar(plan)
        for row in range(1, plan.panel.rows + 1):
            for crossed in calendar.crossed(row):
                product = product * permutation(crossed.crossing, left, pattern.stitches)
        assert list((~product).array_form) == by_hand(pattern, repeats), seed


@pytest.mark.parametrize("hundred", range(10))
def test_a_thousand_charts_said_in_words_are_read_back_as_they_were(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + 100):
        pattern = chart(seed)
        again = read("\n".join(words(pattern)))
        assert not again.wrong, (seed, again.remarks)
        assert (again.title, again.stitches, again.repeat) == (pattern.title, pattern.stitches, pattern.repeat)
        assert [(r.number, r.right_side, r.faces, r.crossed) for r in again.rows] == [
            (r.number, r.right_side, r.faces, r.crossed) for r in pattern.rows
        ], seed


@pytest.mark.parametrize("hundred", range(10))
def test_a_thousand_charts_laid_on_the_bed_show_every_stitch_as_written(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + 100):
        pattern, repeats = chart(seed), 1 + seed % 3
        plan, laid = plan_of(pattern, repeats)
        first, last = pattern.repeat
        order = [r for r in pattern.rows if r.number < first]
        order += [r for r in pattern.rows if first <= r.number <= last] * repeats
        ridges = {
            r.faces and r.number
            for before, r, after in zip((None, *pattern.rows), pattern.rows, (*pattern.rows[1:], None), strict=False)
            if set(r.faces) == {"p"} and any("k" in o.faces for o in (before, after) if o)
        }
        shown = as_pattern(plan).rows[laid.shift :]
        assert len(shown) == len(order)
        for seen, row in zip(shown, order, strict=True):
            assert [(p.place, p.cross) for p in seen.crossed] == [(p.place, p.cross) for p in row.crossed], seed
            assert seen.faces == ("k" * pattern.stitches if row.number in ridges else row.faces), seed


@pytest.mark.parametrize("seed", range(40))
def test_no_purl_column_is_latched_through_a_crossing_of_its_own_stitches(seed: int) -> None:
    plan, laid = plan_of(chart(seed), 2)
    calendar = Calendar(plan)
    for columns in laid.purl:
        assert columns.times is not None and columns.every is not None
        for k in range(columns.times):
            last = columns.first_row + k * columns.every
            for row in range(last - columns.every + 1, last):
                touched = {n for c in calendar.crossed(row) for n in c.crossing.needles}
                assert not touched & set(columns.needles)


@pytest.mark.parametrize("seed", range(40))
def test_a_chart_laid_on_the_bed_can_be_knit(seed: int) -> None:
    plan, _ = plan_of(chart(seed), 2)
    assert not faults(plan)
