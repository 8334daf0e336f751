"""Time at the bed, from defaults or from the knitter's own timings."""

from __future__ import annotations

from typing import Any

import pytest

from purlside.figures.timing import Timings, time
from purlside.rows.working import Working
from tests import plans

ROPE = plans.cable(first_row=10, every=10)


def working(rows: int = 100, cables: list[dict[str, Any]] | None = None, **panel: Any) -> Working:
    return Working(plans.plan(*(cables or []), needles="L24-R24", rows=rows, panel=panel))


def test_a_plain_panel_takes_its_passes() -> None:
    found = time(working())
    assert (found.plain_rows, found.crossing_rows) == (100, 0)
    assert found.total_s == pytest.approx(100 * (Timings().knit + 48 * Timings().knit_needle))
    assert "rough estimate" in found.pace_from


def test_the_knitters_own_time_for_a_row_is_taken_and_scales_the_rest() -> None:
    default = time(working(cables=[ROPE]))
    own = time(working(cables=[ROPE]), Timings(row=3.0))
    assert own.plain_s == pytest.approx(90 * 3.0)
    assert own.crossing_s / default.crossing_s == pytest.approx(own.plain_s / default.plain_s)
    assert own.pace_from == "the knitter's own time for a plain row"


def test_the_knitters_own_time_for_a_crossing_row_is_taken_as_it_is() -> None:
    found = time(working(cables=[ROPE]), Timings(row=3.0, crossing_row=90.0))
    assert found.crossing_rows == 10
    assert found.crossing_s == pytest.approx(900)
    assert found.pace_from == "the knitter's own time for a plain row and a crossing row"


def test_every_ease_takes_longer_than_plain() -> None:
    plain = time(working(cables=[ROPE])).total_s
    for ease in (
        {"ease": "enlarge", "enlarged_size": 9},
        {"ease": "extra rows", "extra_rows": 2},
        {"ease": "by hand"},
    ):
        assert time(working(cables=[{**ROPE, **ease}])).total_s > plain


def test_moving_the_weights_takes_time() -> None:
    found = time(working(weights_every=25))
    assert found.weights_s == pytest.approx(4 * Timings().weights)


def test_a_panel_with_a_crossing_in_every_row_has_no_plain_row_to_scale_by() -> None:
    found = time(working(5, [{**ROPE, "first_row": 1, "every": 1}]), Timings(row=3.0))
    assert (found.plain_rows, found.plain_s) == (0, 0)
    assert found.crossing_s > 0


@pytest.mark.parametrize("wrong", [{"row": 0.0}, {"crossing_row": -1.0}, {"knit": float("nan")}, {"dial": 1e9}])
def test_impossible_seconds_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="seconds above 0"):
        Timings(**wrong)
