"""Transfer tools: what each hand holds at a crossing."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Crossing, Side
from purlside.figures.tools import lift, most_lifted, shaping_advice, widths
from tests.plans import plan


def over(front: int, back: int, front_side: Side = Side.RIGHT) -> Crossing:
    if front_side is Side.RIGHT:
        return Crossing.parse(f"R1-R{front} over L{back}-L1")
    return Crossing.parse(f"L{front}-L1 over R1-R{back}")


def test_each_hand_takes_the_tool_that_fits_its_half() -> None:
    found = lift(over(3, 3), [1, 2, 3, 3, 4])
    assert [hand.tools for hand in found.hands] == [(3,), (3,)]
    assert found.words == "left hand: 3 prongs for 3; right hand: 3 prongs for 3"


def test_the_left_hand_takes_the_left_half_whichever_is_in_front() -> None:
    assert [h.stitches for h in lift(over(3, 1), [1, 3]).hands] == [1, 3]
    assert [h.stitches for h in lift(over(3, 1, Side.LEFT), [1, 3]).hands] == [3, 1]


def test_two_tools_held_together_lift_a_wide_half() -> None:
    found = lift(over(4, 4), [1, 2, 3, 3, 4])
    assert sorted(hand.tools for hand in found.hands) == [(3, 1), (4,)]
    assert "3 and 1 prongs held together for 4" in found.words


def test_eight_eleven_and_eighteen_sound_as_they_are_said() -> None:
    told = {n: lift(over(n, 1), [1]).missing_words for n in (8, 9, 11, 12, 18, 19)}
    assert told == {n: f"you need {'an' if n in (8, 11, 18) else 'a'} {n}-prong tool" for n in told}


def test_one_prong_is_one_prong() -> None:
    assert lift(over(1, 3), [1, 3]).words == "left hand: 3 prongs for 3; right hand: 1 prong for 1"
    assert lift(over(3, 1), None).words.startswith("wants 1 prong in the left hand and 3")


def test_a_tool_is_never_in_both_hands() -> None:
    assert not lift(over(3, 3), [3]).hands
    assert not lift(over(2, 2), [2, 1]).hands


def test_a_prong_may_stay_empty() -> None:
    assert [hand.tools for hand in lift(over(2, 2), [3, 3]).hands] == [(3,), (3,)]


def test_what_is_missing_is_named() -> None:
    found = lift(over(4, 4), [1, 2, 3])
    assert found.missing == (2,), "3 and 1 together, 2 and another 2 together"
    assert found.words == "not enough tools for 4 and 4 stitches at once: you need a 2-prong tool"
    assert lift(over(4, 4), []).missing == (4, 4)
    assert "you need two 4-prong tools" in lift(over(4, 4), []).words
    assert "you need an 8-prong tool and a 3-prong tool" in lift(over(8, 3), []).words
    assert lift(over(9, 9), [2, 2]).missing_words == "you need two 9-prong tools"


def test_getting_what_is_missing_is_enough() -> None:
    for prongs in ([], [1], [2], [1, 1], [3], [2, 2, 2], [1, 2, 3]):
        for n in range(1, 7):
            for m in range(1, 7):
                found = lift(over(n, m), prongs)
                assert bool(found.hands) != bool(found.missing)
                assert lift(over(n, m), [*prongs, *found.missing]).hands


def test_tools_the_plan_does_not_list_are_not_judged() -> None:
    found = lift(over(4, 3), None)
    assert not found.checked
    assert found.words == "wants 3 prongs in the left hand and 4 in the right; the plan lists no tools"


@given(st.integers(1, 6), st.integers(1, 6), st.lists(st.integers(1, 5), max_size=6))
def test_hands_are_found_exactly_when_some_sharing_out_of_the_tools_works(n: int, m: int, prongs: list[int]) -> None:
    left, right = widths(over(n, m))
    chosen = range(len(prongs))
    hands = [set(c) for size in (1, 2) for c in combinations(chosen, size)]
    possible = any(
        not one & other and sum(prongs[i] for i in one) >= left and sum(prongs[i] for i in other) >= right
        for one in hands
        for other in hands
    )
    found = lift(over(n, m), prongs)
    assert bool(found.hands) == possible
    for hand in found.hands:
        assert sum(hand.tools) >= hand.stitches
        assert len(hand.tools) <= 2


def test_the_widest_crossings_that_tools_lift_are_told_uneven_ones_too() -> None:
    assert most_lifted([3, 3]) == ((3, 3),)
    assert most_lifted([3, 4]) == ((3, 4),)
    assert most_lifted([1, 3]) == ((1, 3),)
    assert most_lifted([2, 2, 1]) == ((2, 3), (1, 4)), "2 and 1 in one hand, or both 2s"
    assert most_lifted([3]) == (), "both halves are lifted at once"
    assert most_lifted([]) == ()
    assert most_lifted(None) is None


@given(st.lists(st.integers(1, 5), max_size=5))
def test_tools_lift_what_they_are_told_to_lift_and_nothing_wider(prongs: list[int]) -> None:
    told = most_lifted(prongs)
    assert told is not None
    for n in range(1, 12):
        for m in range(n, 12):
            within = any(n <= narrow and m <= wide for narrow, wide in told)
            assert bool(lift(over(n, m), prongs).hands) == within, (n, m)


def test_edge_stitches_moved_together_want_a_tool_or_two_held_together() -> None:
    def told(prongs: list[int] | None) -> list[str]:
        shapes = [{"edge": "both", "do": "decrease", "tool": tool, "first_row": 9 + tool} for tool in (1, 3, 6, 6)]
        return [
            problem.why
            for problem in shaping_advice(
                plan(needles="L30-R30", tools={"prongs": prongs} if prongs else {}, shape=shapes)
            )
        ]

    assert told([3, 3]) == told([1, 2, 4]) == told([7]) == told(None) == []
    assert told([2, 3]) == ["you need another 3-prong tool, to hold beside the 3"]
    assert told([1, 1]) == [
        "you need a 2-prong tool, to hold beside the 1",
        "you need a 5-prong tool, to hold beside the 1",
    ]


@pytest.mark.parametrize(
    ("tool", "prongs", "why"),
    [
        (12, [2], "you need two 6-prong tools, held together"),
        (12, [4], "you need an 8-prong tool, to hold beside the 4"),
        (18, [9], "you need another 9-prong tool, to hold beside the 9"),
        (20, [9, 9], "two of the widest tools held together take 18: move fewer stitches"),
    ],
)
def test_what_is_missing_to_move_edge_stitches_is_the_least_that_is_made(
    tool: int, prongs: list[int], why: str
) -> None:
    shapes = [{"edge": "left", "do": "decrease", "tool": tool, "first_row": 9}]
    [told] = shaping_advice(plan(needles="L30-R30", tools={"prongs": prongs}, shape=shapes))
    assert (told.key, told.found, told.why) == (("shape", 0, "tool"), str(tool), why)
