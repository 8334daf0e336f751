"""Loop length: from swatch, from gauge, from the pitch alone, and what does not fit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.ease.fibres import LEAST, find, yarn_limit
from purlside.ease.loops import (
    RELAXATIONS,
    fit,
    gauge_from_loop,
    loop_from_gauge,
    loop_from_unravelled,
    loop_line,
    measured_loops,
)
from purlside.plan.machine import Yarn
from purlside.plan.plan import Plan
from tests import plans


def plan(loops: dict[str, float] | None = None, gauge: tuple[float, float] | None = None, **machine: object) -> Plan:
    found = None if gauge is None else plans.swatch(*gauge)
    return plans.plan(needles="L20-R20", machine=machine, yarn={"loop_mm": loops or {}}, gauge=found)


def test_ten_rows_of_forty_stitches_unravelled() -> None:
    assert loop_from_unravelled(5480, 40, 10) == pytest.approx(13.7)


@pytest.mark.parametrize("wrong", [(0, 40, 10), (-1, 40, 10), (100, 0, 1), (100, 40, 0)])
def test_a_swatch_of_nothing_is_refused(wrong: tuple[float, int, int]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        loop_from_unravelled(*wrong)


def test_two_measured_loops_give_the_sizes_between_and_beyond() -> None:
    line = loop_line(plan({"5": 12.0, "9": 15.8}))
    assert [line(size) for size in (5, 7, 9, 10)] == pytest.approx([12.0, 13.9, 15.8, 16.75])
    assert (line.measured, line.basis) == (True, "measured at SS 5, 9")
    assert line.doubts == ()


def test_a_measured_loop_is_given_back_as_it_was_measured() -> None:
    """Three swatches: nothing between them is smoothed, and beyond them the nearest two go on."""
    line = loop_line(plan({"5": 13.7, "7": 15.0, "9": 17.5}))
    assert [line(size) for size in (5, 7, 9)] == [13.7, 15.0, 17.5]
    assert [line(size) for size in (3, 6, 8, 10)] == pytest.approx([12.4, 14.35, 16.25, 18.75])
    assert line.per_size == pytest.approx(0.95)
    assert line.basis == "measured at SS 5, 7, 9, at most 0.4 mm off one straight line"


def test_a_loop_that_lies_off_the_line_is_pointed_at() -> None:
    line = loop_line(plan({"3": 10.0, "5": 12.0, "7": 14.0, "9": 26.0}))
    assert any("measure it again" in doubt for doubt in line.doubts)


def test_a_larger_size_with_less_yarn_is_doubted() -> None:
    assert "measure again" in loop_line(plan({"5": 14.0, "9": 12.0})).doubts[0]


@given(st.dictionaries(st.sampled_from(["0", "2.33", "5", "9", "10"]), st.floats(0.1, 200)), st.floats(0, 10))
def test_a_loop_is_never_shorter_than_yarn_laid_straight_or_measured(loops: dict[str, float], size: float) -> None:
    line = loop_line(plan(loops))
    assert line(size) >= min([4.5, *loops.values()])


def test_without_loops_the_gauge_gives_one_by_munden_and_says_in_which_state() -> None:
    line = loop_line(plan(gauge=(29, 41)))
    assert line(5) == pytest.approx(10 * (21.6 / (2.9 * 4.1)) ** 0.5)
    assert line(9) == pytest.approx(line(5) + 4 * 0.95)
    assert "wet relaxed" in line.basis
    assert not line.measured
    assert loop_line(plan(gauge=(29, 41)), "dry relaxed")(5) < line(5)


def test_gauge_and_loop_are_each_others_inverse_within_a_percent() -> None:
    for state in RELAXATIONS:
        stitches, rows = gauge_from_loop(13.0, state)
        assert loop_from_gauge(stitches, rows, state) == pytest.approx(13.0, rel=0.01)


def test_a_gauge_or_loop_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        loop_from_gauge(0, 40)
    with pytest.raises(ValueError, match="above 0"):
        loop_from_gauge(28, 0)
    with pytest.raises(ValueError, match="above 0"):
        gauge_from_loop(-1)
    with pytest.raises(ValueError, match="two sizes"):
        fit([(5, 12.0), (5, 13.0)])


def test_one_measured_loop_holds_at_its_size_with_the_usual_slope() -> None:
    line = loop_line(plan({"5": 12.0}))
    assert [line(5), line(6)] == pytest.approx([12.0, 12.95])
    assert "usual slope" in line.basis
    assert loop_line(plan({"5": 24.0}, pitch_mm=9.0)).per_size == pytest.approx(1.9), "a wider bed, a steeper line"


def test_one_measured_loop_and_a_gauge_at_another_size_give_the_line() -> None:
    line = loop_line(plan({"9": 17.5}, gauge=(29, 41)))
    assert line(9) == pytest.approx(17.5)
    assert line(5) == pytest.approx(loop_from_gauge(29, 41))
    assert "gauge at SS 5 by Munden" in line.basis


def test_a_slope_no_dial_has_is_not_taken_from_gauge() -> None:
    line = loop_line(plan({"6": 25.0}, gauge=(29, 41)))
    assert line.per_size == pytest.approx(0.95)
    assert line(6) == pytest.approx(25.0)


def test_loops_and_gauge_that_contradict_each_other_are_reported() -> None:
    doubts = loop_line(plan({"5": 20.0, "9": 24.0}, gauge=(29, 41))).doubts
    assert len(doubts) == 1
    assert "measured loops give 20.0 mm at SS 5, the gauge 12.6-13.9 mm" in doubts[0]
    assert loop_line(plan({"5": 13.5, "9": 17.3}, gauge=(29, 41))).doubts == ()


def test_with_nothing_known_the_pitch_gives_a_guess_that_says_so() -> None:
    line = loop_line(plan())
    assert [line(5), line(9)] == pytest.approx([13.7, 17.5])
    assert line.basis.startswith("a guess from the 4.5 mm pitch alone")


def test_a_loop_under_a_key_that_is_no_size_is_left_out() -> None:
    assert measured_loops({"nine": 17.0, "9": 17.5, "-1": 3.0, "nan": 3.0, "inf": 3.0, "5": 13.7}) == {
        5.0: 13.7,
        9.0: 17.5,
    }


@pytest.mark.parametrize(
    ("words", "fibre"),
    [
        ("wool", "wool"),
        ("Merino", "fine wool"),
        ("fine wool", "fine wool"),
        ("80 % wool, 20 % nylon", "nylon"),
        ("Wool/Silk", "silk"),
        ("Leinen", None),
        ("flax", "linen"),
        ("woollen", None),
    ],
)
def test_fibres_are_found_in_a_knitters_words(words: str, fibre: str | None) -> None:
    found = find(words)
    assert (found.name if found else None) == fibre


def test_the_limit_says_where_it_is_from() -> None:
    assert yarn_limit(Yarn(fibre="wool")).value == pytest.approx(0.86 * (1 + 0.6 * 0.35))
    assert "Morton & Hearle" in yarn_limit(Yarn(fibre="silk")).source
    assert yarn_limit(Yarn(extension_at_break=0.3, fibre="linen")).value == pytest.approx(0.86 * 1.18)
    assert yarn_limit(Yarn()).value == yarn_limit(Yarn(fibre=LEAST.name)).value
    assert "no fibre given" in yarn_limit(Yarn()).source
    assert 'fibre "mystery" is not in the table' in yarn_limit(Yarn(fibre="mystery")).source


def test_a_loop_shorter_than_the_way_to_the_next_needle_is_doubted() -> None:
    doubts = loop_line(plan({"5": 4.0, "9": 17.3})).doubts
    assert any("a loop of 4 mm at SS 5 does not reach over 4.5 mm to the next needle" in doubt for doubt in doubts)
    assert not loop_line(plan({"5": 13.5, "9": 17.3})).doubts


@pytest.mark.parametrize(("part", "taken"), [(0.45, False), (0.55, True), (1.9, True), (2.2, False)])
def test_a_slope_between_loop_and_gauge_is_taken_from_half_to_twice_the_usual(part: float, taken: bool) -> None:
    """13 mm at SS 5, and a swatch at SS 9 whose loop lies so many times the usual 0.95 mm a number above it."""
    stitches, rows = gauge_from_loop(13 + 4 * 0.95 * part)
    swatch = {"stitches_per_10cm": stitches, "rows_per_10cm": rows, "stitch_size": 9}
    line = loop_line(plans.plan(yarn={"loop_mm": {"5": 13.0}}, gauge=swatch))
    assert line(5) == 13.0
    assert line.per_size == pytest.approx(0.95 * part if taken else 0.95, abs=0.02)
