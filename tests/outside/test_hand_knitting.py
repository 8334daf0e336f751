"""What hand knitters have published of the width cables take and of charts, against what is worked out here."""

from __future__ import annotations

import pytest

from purlside.bed.needles import Needle
from purlside.ease.loops import loop_line
from purlside.fabric.picture import picture_text
from purlside.fabric.stitches import Face
from purlside.figures.sizing import fabric, finished
from purlside.plan.plan import Plan
from purlside.rows.checking import advice
from tests.plans import cable, plan


def width(made: Plan) -> tuple[float, float, float]:
    """Usual, least and most width as parts of the same stitches knit plain."""
    line = loop_line(made)
    made_of = fabric(made, line)
    assert made_of is not None
    flat = len(made.panel.needles) * 100 / made_of.stitches_per_10cm
    found = finished(made, line, made_of).width_mm
    return found.value / flat, found.least / flat, found.most / flat


def cabled(*crosses: str, needles: str) -> Plan:
    gauge = {"stitches_per_10cm": 28, "rows_per_10cm": 40}
    return plan(*(cable(cross, name=cross) for cross in crosses), needles=needles, gauge=gauge)


def test_a_cable_of_six_stitches_is_as_wide_as_five_to_four() -> None:
    """Hand-knitting practice, in print: about a quarter more stitches are wanted; the usual value is in the middle."""
    usual, least, most = width(cabled("R1-R3 over L3-L1", needles="L3-R3"))
    assert usual == pytest.approx((5 / 6 + 4 / 6) / 2)
    assert least == pytest.approx(4 / 6, abs=0.005)
    assert least < 5 / 6 < most


def test_a_stitch_more_for_each_two_over_two_makes_up_what_it_takes_in() -> None:
    """Hand-knitting practice, in print: cast on one stitch more for every 2 over 2, so 4 stitches are as wide as 3."""
    usual, _, _ = width(cabled("R1-R2 over L2-L1", needles="L2-R2"))
    assert usual == pytest.approx(3 / 4)


@pytest.mark.parametrize("ropes", range(2, 8))
def test_a_panel_of_46_stitches_measured_5_4_percent_narrower_lies_within_what_is_told(ropes: int) -> None:
    """Measured and published by a hand knitter; how many of the stitches were crossed was not said: 12 to 42 here."""
    at = [[Needle(-23 + 6 * i + j) for j in (0, 2, 3, 5)] for i in range(ropes)]
    crosses = [f"{c}-{d} over {a}-{b}" for a, b, c, d in at]
    _, least, most = width(cabled(*crosses, needles="L23-R23"))
    assert least < 1 - 0.054 < most


def test_the_usual_take_in_and_its_range_are_those_of_practice_and_a_swatch_is_asked_for() -> None:
    """Hand-knitting practice, in print: 0.67 to 0.95 of the width knit plain, 0.75 where nothing is known."""
    made = cabled("R1-R3 over L3-L1", needles="L3-R3")
    assert width(made) == pytest.approx((0.75, 0.67, 0.95))
    made_of = fabric(made, loop_line(made))
    assert made_of is not None
    assert "hand-knitting practice; measure a swatch" in made_of.take_in_from


def test_no_take_in_in_length_is_told_since_none_is_published() -> None:
    plain, crossed = (cabled(*crosses, needles="L3-R3") for crosses in ((), ("R1-R3 over L3-L1",)))
    lengths = []
    for made in (plain, crossed):
        made_of = fabric(made, loop_line(made))
        assert made_of is not None
        lengths.append(finished(made, loop_line(made), made_of).length_mm)
    assert lengths[0] == lengths[1]


@pytest.mark.parametrize(("cross", "stitches"), [("R1 over L1", 2), ("R1-R3 over L3-L1", 6), ("R1 over L3-L1", 4)])
def test_crossing_rows_are_at_least_as_many_rows_apart_as_the_cable_has_stitches(cross: str, stitches: int) -> None:
    """Hand-knitting practice, in print."""
    close, usual = (plan(cable(cross, every=every)) for every in (stitches - 1, stitches))
    assert [problem.where for problem in advice(close)] == ["cable 1, every"]
    assert not advice(usual)


def test_the_fabric_is_drawn_as_charts_are_read_from_the_bottom_up_the_right_side_from_the_right() -> None:
    """Craft Yarn Council, how to read a knitting chart: row 1 at the bottom; stitch 1 of a right-side row at the right.

    On the knit side the needles run the other way than at the bed, so the first stitch a carriage knits to the right,
    the one at the left of the bed, stands at the right.
    """
    head, *drawn = picture_text(plan(cable("L6 over L5", first_row=2, every=None), rows=4), Face.KNIT).splitlines()
    assert "needles R6 to L6" in head
    rows = [line for line in drawn if line.strip()[:1].isdigit()]
    assert [int(line.split()[0]) for line in rows] == [4, 3, 2, 1]
