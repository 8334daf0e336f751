"""What hand knitters have published of the width cables take and of charts, against what is worked out here."""

from __future__ import annotations

from dataclasses import replace

import pytest

from purlside.bed.needles import Needle
from purlside.ease.loops import loop_line
from purlside.fabric.picture import picture_text
from purlside.fabric.stitches import Face
from purlside.figures import takein
from purlside.figures.sizing import finished, gauged
from purlside.plan.machine import Gauge
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.checking import advice
from tests.plans import cable, plan


def width(made: Plan) -> tuple[float, float, float]:
    """Usual, least and most width in the middle of the panel, as parts of the same stitches knit plain."""
    calendar = Calendar(made)
    crossed = ((n, one) for n in range(1, calendar.rows + 1) for one in calendar.row(n).crossed)
    found = takein.taken_in(
        takein.pulls(crossed, made.cable), calendar.rows, (takein.DEPTH, *reversed(takein.DEPTH_RANGE))
    )
    needles = len(made.panel.needles)
    usual, least, most = (1 - sum(lost[60:120]) / 60 / needles for lost in found)
    return usual, least, most


def cabled(*crosses: str, needles: str, every: int) -> Plan:
    ropes = (cable(cross, name=cross, first_row=every, every=every) for cross in crosses)
    return plan(*ropes, needles=needles, rows=180)


def test_a_cable_of_six_stitches_is_as_wide_as_five_to_four() -> None:
    """Hand-knitting practice, in print: 6 stitches, crossed every 6 rows, take the room of 5 to 4."""
    usual, least, most = width(cabled("R1-R3 over L3-L1", needles="L3-R3", every=6))
    assert 4 / 6 <= usual <= 5 / 6
    assert least == pytest.approx(4 / 6, abs=0.005)
    assert most > 5 / 6


def test_a_stitch_more_for_each_two_over_two_makes_up_what_it_takes_in() -> None:
    """Hand-knitting practice, in print: cast on one stitch more for every 2 over 2, so 4 stitches are as wide as 3."""
    usual, _, _ = width(cabled("R1-R2 over L2-L1", needles="L2-R2", every=4))
    assert usual * 4 == pytest.approx(3)


@pytest.mark.parametrize("ropes", range(2, 8))
def test_a_panel_of_46_stitches_measured_5_4_percent_narrower_lies_within_what_is_told(ropes: int) -> None:
    """Measured and published by a hand knitter for a whole panel; how many of its stitches were crossed was not said."""
    at = [[Needle(-23 + 6 * i + j) for j in (0, 2, 3, 5)] for i in range(ropes)]
    crosses = [f"{c}-{d} over {a}-{b}" for a, b, c, d in at]
    _, least, most = width(cabled(*crosses, needles="L23-R23", every=6))
    assert least < 1 - 0.054 < most


def test_no_take_in_in_length_is_told_since_none_is_published() -> None:
    lengths = []
    for crosses in ((), ("R1-R3 over L3-L1",)):
        made = replace(cabled(*crosses, needles="L3-R3", every=6), gauge=Gauge(stitches_per_10cm=28, rows_per_10cm=40))
        made_of = gauged(made, loop_line(made))
        assert made_of is not None
        lengths.append(finished(Calendar(made), made_of).length_mm)
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
