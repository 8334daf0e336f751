"""What one row asks of each needle, and the least it costs."""

from __future__ import annotations

import pytest
from hypothesis import given

from purlside.bed.demand import CannotBeWalked, Demand
from purlside.bed.needles import Crossing, Needle, Span
from tests.beds import fewest_movements
from tests.plans import demand, demands

PANEL = tuple(Span.parse("L5-R5"))
RIGHT_OVER_LEFT = Crossing.parse("R1-R3 over L3-L1")


def rows_and_sizes(asked: Demand) -> dict[str, tuple[int, float, bool]]:
    return {
        str(n): (rows, size, hand)
        for n, rows, size, hand in zip(asked.needles, asked.rows, asked.sizes, asked.by_hand, strict=True)
    }


def test_the_enlarged_half_is_the_one_behind_and_is_knit_once() -> None:
    asked = rows_and_sizes(Demand.even(PANEL, 5).asking(RIGHT_OVER_LEFT.back, size=9))
    assert {n for n, (_, size, _) in asked.items() if size == 9} == {"L3", "L2", "L1"}
    assert all(rows == 1 and not hand for rows, _, hand in asked.values())


def test_extra_rows_go_to_the_half_in_front_at_the_rows_own_size() -> None:
    asked = rows_and_sizes(Demand.even(PANEL, 5).asking(RIGHT_OVER_LEFT.front, extra_rows=2))
    assert {n for n, (rows, _, _) in asked.items() if rows == 3} == {"R1", "R2", "R3"}
    assert {size for _, size, _ in asked.values()} == {5}


def test_by_hand_are_the_stitches_in_front() -> None:
    asked = rows_and_sizes(Demand.even(PANEL, 5).asking(Span.parse("R1"), by_hand=True))
    assert {n for n, (_, _, hand) in asked.items() if hand} == {"R1"}


def test_enlarging_and_extra_rows_combine_and_crossings_add_up() -> None:
    asked = Demand.even(PANEL, 5).asking(Span.parse("L5-L4"), extra_rows=2).asking(Span.parse("L3-L2"), size=9)
    asked = asked.asking(Span.parse("R3-R4"), extra_rows=4)
    assert asked.rows == (3, 3, 1, 1, 1, 1, 1, 5, 5, 1)
    assert asked.sizes == (5, 5, 9, 9, 5, 5, 5, 5, 5, 5)


def test_a_plain_crossing_asks_for_a_plain_row() -> None:
    plain = Demand.even(PANEL, 5)
    assert plain.asking(RIGHT_OVER_LEFT.front) == plain


@pytest.mark.parametrize("rows", ["2", "121", "104", "144"])
def test_rows_that_cannot_be_walked_are_refused(rows: str) -> None:
    with pytest.raises(CannotBeWalked):
        demand("b" * len(rows), rows)


def test_a_row_that_cannot_be_walked_says_which_needle_and_why() -> None:
    with pytest.raises(CannotBeWalked, match=r"asked for 0 rows; each needle in work is knit at least once$"):
        demand("bb", "10")
    with pytest.raises(CannotBeWalked, match=r"cannot be walked, the carriage would come out on the wrong side$"):
        demand("bb", "12")


def test_a_row_by_hand_is_knit_once_and_never_the_whole_row() -> None:
    with pytest.raises(CannotBeWalked, match="by hand is once"):
        demand("bh", "13")
    with pytest.raises(
        CannotBeWalked, match=r"^every needle is knit by hand; the carriage would pass and knit nothing$"
    ):
        demand("hh")
    with pytest.raises(CannotBeWalked, match=r"^no needle is in work$"):
        Demand((), (), (), ())
    with pytest.raises(ValueError, match=r"^a demand gives rows, size and by hand for each needle$"):
        Demand((Needle(0),), (1, 1), (5.0,), (False,))


@pytest.mark.parametrize(
    ("kinds", "rows", "movements"),
    [
        ("BBBB", None, 1),
        ("BBlllrrrBB", "1111111111", 1),
        ("BBLLLrrrBB", None, 5),
        ("BBlllLLLBB", None, 5),
        ("BBlllrrrBB", "1111133311", 3),
        ("BBlllrrrBB", "1111155511", 5),
        ("BBhBB", None, 3),
        ("BBhhhBB", None, 3),
        ("hBBBBh", None, 1),
        ("BBLLLrrrBB", "1111133311", 7),
        ("b", "7", 7),
    ],
)
def test_the_closed_form_on_rows_worked_by_hand(kinds: str, rows: str | None, movements: int) -> None:
    asked = demand(kinds, rows, left="L5", sizes={"L": 9.0})
    assert fewest_movements(asked) == movements


@given(demands())
def test_movements_are_odd_so_the_carriage_changes_sides_and_at_least_the_most_rows_asked(asked: Demand) -> None:
    assert fewest_movements(asked) % 2 == 1
    assert fewest_movements(asked) >= max(asked.rows)
