"""Reach against common practice at the machine; no source, and never more than an estimate.

The reference case is a bed of 4.5 mm pitch with 13.7 mm of yarn in a loop at
SS 5 and 17.5 mm at SS 9.
"""

from __future__ import annotations

import pytest

from purlside.ease.reach import Attempt, Reach, Verdict, reach
from purlside.figures.tools import lift
from tests.plans import cable, plan


def crossing(fibre: str, cross: str) -> Reach:
    yarn = {"fibre": fibre, "loop_mm": {"5": 13.7, "9": 17.5}}
    of = plan(cable(cross, ease="auto"), needles="L20-R20", yarn=yarn)
    return reach(of, of.cable[0], of.cable[0].crossings[0], 5.0)


def attempt(found: Reach, name: str) -> Attempt:
    return next(a for a in found.attempts if a.technique.name == name)


def test_three_over_three_in_wool_goes_plain_though_firmly() -> None:
    found = crossing("wool", "R1-R3 over L3-L1")
    assert attempt(found, "plain").verdict is Verdict.FIRM
    assert found.choice.technique.enlarged_size is None
    assert not found.choice.technique.extra_rows


@pytest.mark.parametrize("fibre", ["cotton", "linen"])
def test_three_over_three_in_yarn_with_little_stretch_wants_about_ss_9_behind(fibre: str) -> None:
    found = crossing(fibre, "R1-R3 over L3-L1")
    assert attempt(found, "plain").verdict is Verdict.NOT_ENOUGH
    assert found.choice.technique.enlarged_size is not None
    assert found.choice.technique.enlarged_size == pytest.approx(9, abs=1.01)


def test_three_over_three_in_silk_wants_an_enlarged_half_and_ss_9_makes_it_easy() -> None:
    found = crossing("silk", "R1-R3 over L3-L1")
    assert attempt(found, "plain").verdict is Verdict.NOT_ENOUGH
    assert found.choice.technique.enlarged_size is not None
    assert found.travel_mm / (13.7 + 17.5) < 0.9 * found.limit.value


@pytest.mark.parametrize("fibre", ["wool", "silk", "cotton", "linen"])
def test_four_over_four_is_too_wide_for_an_enlarged_half_at_ss_9_but_not_for_two_extra_rows(fibre: str) -> None:
    found = crossing(fibre, "R1-R4 over L4-L1")
    assert found.travel_mm / (13.7 + 17.5) > found.limit.value
    assert attempt(found, "enlarge").verdict is Verdict.NOT_ENOUGH, "even at the end of the dial"
    assert attempt(found, "extra rows").technique.extra_rows == 2
    assert attempt(found, "extra rows").enough
    assert found.choice.technique.extra_rows == 2


@pytest.mark.parametrize("fibre", ["wool", "silk", "cotton", "linen"])
def test_two_over_two_goes_plain_in_any_yarn(fibre: str) -> None:
    assert crossing(fibre, "R1-R2 over L2-L1").attempts[0].verdict is Verdict.EASY


@pytest.mark.parametrize(("width", "gap"), [(2, 3), (3, 5), (4, 7)])
def test_the_widest_gap_between_neighbours(width: int, gap: int) -> None:
    """Derived: max(n + m - 1, n + 1, m + 1) pitches."""
    found = crossing("wool", f"R1-R{width} over L{width}-L1")
    assert (found.gap_pitches, found.gap_mm) == (gap, gap * 4.5)


@pytest.mark.parametrize("width", [4, 5])
def test_wide_halves_want_tools_as_wide_or_two_in_each_hand(width: int) -> None:
    cross = crossing("wool", f"R1-R{width} over L{width}-L1").crossing
    assert all(len(hand.tools) == 1 for hand in lift(cross, [width, width]).hands)
    assert all(len(hand.tools) == 2 for hand in lift(cross, [width - 2, 2, width - 2, 2]).hands)
    assert not lift(cross, [width - 1, width - 1]).hands


@pytest.mark.parametrize("fibre", ["silk", "cotton", "linen"])
def test_yarn_with_little_stretch_is_told_a_size_about_ss_9(fibre: str) -> None:
    """Enough from about there in cotton and linen; silk goes from less, and easily from about there."""
    found = crossing(fibre, "R1-R3 over L3-L1")
    sizes = [a.technique.enlarged_size for a in (attempt(found, "enlarge"), *found.easily)]
    assert any(size == pytest.approx(9, abs=1.01) for size in sizes if size is not None)
