"""What the constants of reach were chosen for: ours, so nothing here speaks for them; a change of one is noticed.

A bed of 4.5 mm pitch, 13.7 mm of yarn in a loop at SS 5 and 17.5 mm at SS 9:
what goes over there in which yarn is common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from purlside.ease.fibres import FIBRES
from purlside.ease.reach import Attempt, Reach, Verdict, reach
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


@pytest.mark.parametrize("fibre", ["silk", "cotton", "linen"])
def test_yarn_with_little_stretch_is_told_a_size_about_ss_9(fibre: str) -> None:
    """Enough from about there in cotton and linen; silk goes from less, and easily from about there."""
    found = crossing(fibre, "R1-R3 over L3-L1")
    sizes = [a.technique.enlarged_size for a in (attempt(found, "enlarge"), *found.easily)]
    assert any(size == pytest.approx(9, abs=1.01) for size in sizes if size is not None)


@pytest.mark.parametrize("fibre", sorted(FIBRES))
def test_a_fibre_says_which_handbook_its_stretch_is_from_or_that_none_is_at_hand(fibre: str) -> None:
    """The handbook's own are compared with it in ``tests/outside``; the others' are the least met, and no evidence."""
    told = crossing(fibre, "R1-R3 over L3-L1").limit.source
    assert re.search(r"Morton & Hearle|is not noted|from memory", told), told
    assert f"{FIBRES[fibre].extension * 100:g} % at break" in told
