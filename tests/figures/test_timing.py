"""Time at the bed, from the moves really made, at default rates or the knitter's own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from purlside.bed.rates import Rates
from purlside.ease.loops import loop_line
from purlside.figures.costs import Time, Timings, costs, time
from purlside.rows.calendar import Calendar
from tests import plans

ROPE = plans.cable(first_row=10, every=10)


def timed(
    rows: int = 100,
    cables: list[dict[str, Any]] | None = None,
    own: Timings | None = None,
    bands: list[dict[str, Any]] | None = None,
    **panel: Any,
) -> Time:
    of = plans.plan(*(cables or []), needles="L24-R24", rows=rows, panel=panel, band=bands or [])
    rates = own.rates if own else Rates()
    return time(costs(Calendar(of), loop_line(of), rates), own)


def test_a_plain_panel_takes_its_passes() -> None:
    found = timed()
    assert (found.plain_rows, found.crossing_rows) == (100, 0)
    assert found.total_s == pytest.approx(100 * (4.0 + 48 * 0.03))
    assert "rough estimate" in found.pace_from


def test_the_dial_is_changed_where_a_band_begins_and_ends_and_not_in_every_row_of_it() -> None:
    """Fifty rows of a band: two turns of the dial, not fifty."""
    plain, banded = timed(), timed(bands=[{"rows": "26-75", "stitch_size": 7}])
    assert banded.plain_s - plain.plain_s == pytest.approx(2 * Rates().dial)


def test_weights_that_are_due_in_a_crossing_row_are_moved_once() -> None:
    assert timed(cables=[ROPE], weights_every=10).weights_s == pytest.approx(10 * Rates().weights)
    assert timed(cables=[ROPE], weights_every=25).weights_s == pytest.approx((10 + 2) * Rates().weights), "25 and 75"
    assert timed(weights_every=25).weights_s == pytest.approx(4 * Rates().weights)


@pytest.mark.parametrize(
    "rate", ["knit", "knit_needle", "back_up", "push_group", "push_needle", "dial", "crossing", "crossing_stitch"]
)
def test_every_thing_done_in_a_crossing_row_takes_its_time(rate: str) -> None:
    enlarged = [{**ROPE, "ease": "enlarge", "enlarged_size": 9}]
    slower = Timings(rates=replace(Rates(), **{rate: getattr(Rates(), rate) * 2}))
    usual, slow = timed(cables=enlarged), timed(cables=enlarged, own=slower)
    assert slow.crossing_s > usual.crossing_s
    assert slow.weights_s == usual.weights_s


def test_a_stitch_knit_by_hand_takes_its_time() -> None:
    by_hand = [{**ROPE, "ease": "by hand"}]
    slow = Timings(rates=Rates(by_hand=18.0))
    assert timed(cables=by_hand, own=slow).crossing_s - timed(cables=by_hand).crossing_s == pytest.approx(10 * 3 * 10)


def test_the_knitters_own_time_for_a_row_is_taken_and_scales_the_rest() -> None:
    default = timed(cables=[ROPE])
    own = timed(cables=[ROPE], own=Timings(row=3.0))
    assert own.plain_s == pytest.approx(90 * 3.0)
    assert own.crossing_s / default.crossing_s == pytest.approx(own.plain_s / default.plain_s)
    assert own.weights_s == default.weights_s
    assert own.pace_from == "your own time for a plain row"


def test_the_knitters_own_time_for_a_crossing_row_is_taken_as_it_is() -> None:
    found = timed(cables=[ROPE], own=Timings(row=3.0, crossing_row=90.0))
    assert found.crossing_rows == 10
    assert found.crossing_s == pytest.approx(900)
    assert found.pace_from == "your own time for a plain row and a crossing row"


def test_what_a_crossing_row_costs_in_movements_and_pushes_is_told() -> None:
    """Enlarged, worked by hand: three passes and two back-ups; both steps hold, the second returns."""
    found = timed(cables=[{**ROPE, "ease": "enlarge", "enlarged_size": 9}])
    assert found.movements == 10 * 5
    assert found.groups >= 10 * 3
    assert found.pushed >= 10 * (24 + 3)
    plain = timed(cables=[ROPE])
    assert (plain.movements, plain.groups, plain.pushed) == (10, 0, 0)


def test_a_panel_takes_its_rows_its_crossing_rows_and_its_weights_together() -> None:
    found = timed(cables=[ROPE])
    assert found.total_s == pytest.approx(found.plain_s + found.crossing_s + found.weights_s)
    assert min(found.plain_s, found.crossing_s, found.weights_s) > 0


def test_a_row_may_take_less_than_a_second() -> None:
    assert timed(own=Timings(row=0.5)).plain_s == pytest.approx(50)


def test_a_panel_with_a_crossing_in_every_row_has_no_plain_row_to_scale_by() -> None:
    found = timed(5, [{**ROPE, "first_row": 1, "every": 1}], Timings(row=3.0))
    assert (found.plain_rows, found.plain_s) == (0, 0)
    assert found.crossing_s > 0


@pytest.mark.parametrize("wrong", [0.0, -1.0, 1e9, float("nan")])
def test_impossible_seconds_are_refused(wrong: float) -> None:
    for row, crossing_row in ((wrong, None), (None, wrong)):
        with pytest.raises(ValueError, match="seconds above 0"):
            Timings(row, crossing_row)


def test_work_on_single_stitches_is_told_for_itself_and_is_in_the_whole() -> None:
    """Two columns latched up over 8 rows 5 times, three beads 4 times: counted here by hand."""
    stitches = [
        {"needles": "L9, R9", "do": "purl", "first_row": 8, "every": 8, "times": 5},
        {"needles": "L5, R2, R5", "do": "bead", "first_row": 12, "every": 8, "times": 4},
    ]
    of = plans.plan(needles="L24-R24", rows=50, stitch=stitches)
    rates = Rates()
    found = time(costs(Calendar(of), loop_line(of), rates))
    assert (found.plain_rows, found.worked_rows, found.crossing_rows, found.rows) == (41, 9, 0, 50)
    assert (found.singles.columns, found.singles.latched, found.singles.beads) == (10, 80, 12)
    assert found.singles.latched_s == pytest.approx(10 * rates.latch_up + 80 * rates.latch_row)
    assert found.plain_s == pytest.approx(41 * (rates.knit + 48 * rates.knit_needle))
    assert found.total_s == pytest.approx(found.plain_s + found.worked_s)
    assert found.worked_s > found.singles.latched_s + 12 * (rates.bead + rates.by_hand)
