"""What is already knit, against the plan as it is now: the same, or the first row that differs."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from purlside.draft.sameness import AsKnit, Difference
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from tests.plans import cable, plan, plans


def first_difference(old: Plan, new: Plan, last: int) -> Difference | None:
    return next(iter(AsKnit(((1, old),)).differences(new, last, 1)), None)


def row_of(old: Plan, new: Plan, last: int) -> int | None:
    found = first_difference(old, new, last)
    return found.row if found else None


def test_what_comes_after_the_rows_already_knit_makes_no_difference() -> None:
    old = plan(cable(times=2), rows=60)
    new = plan(cable(times=5), rows=80)
    assert first_difference(old, new, 23) is None
    found = first_difference(old, new, 24)
    assert str(found) == "row 24: R1-R3 over L3-L1 is crossed there now, and was not"


def test_a_cable_renamed_noted_or_written_in_two_parts_is_knit_the_same() -> None:
    old = plan(cable())
    new = plan(
        cable(name="odd", first_row=8, every=16),
        cable(name="even", first_row=16, every=16),
        reminder=[{"row": 3, "text": "look"}],
    )
    assert first_difference(old, new, 40) is None


def test_the_first_row_that_differs_is_named_with_what_is_different() -> None:
    old = plan(cable())
    assert "crossed there, and is not now" in str(first_difference(old, plan(cable(first_row=9)), 40))
    assert "eased in another way" in str(first_difference(old, plan(cable(ease="by hand")), 40))
    assert "was SS 5, now SS 4" in str(
        first_difference(old, plan(cable(), band=[{"rows": "3-5", "stitch_size": 4}]), 40)
    )
    assert row_of(old, plan(cable(), band=[{"rows": "3-5", "stitch_size": 4}]), 2) is None
    assert row_of(old, plan(cable(), band=[{"rows": "3-5", "colour": "slate"}]), 40) == 3
    assert "the panel was on L6-R6, now L7-R6" in str(first_difference(old, plan(cable(), needles="L7-R6"), 40))
    assert row_of(old, plan(cable(), out=["R5"]), 1) == 1
    assert row_of(old, plan(cable(), carriage="left"), 5) == 1
    assert "now ends after row 10" in str(first_difference(old, plan(cable(every=None, times=None), rows=10), 12))


def test_nothing_is_knit_yet_so_nothing_differs() -> None:
    assert first_difference(plan(), plan(needles="L9-R9"), 0) is None


def kinds(made: Plan, row: int) -> Any:
    calendar = Calendar(made)
    each = calendar.row(row)
    ease = {c.crossing: _ease(made, c.cable) for c in each.crossed}
    return each.side, each.size, each.colour, ease, made.in_work


def _ease(made: Plan, index: int) -> Any:
    cable = made.cable[index]
    return (
        cable.eases,
        cable.enlarged_size if cable.eases & {"enlarge", "auto"} else None,
        cable.extra_rows if cable.eases & {"extra rows", "auto"} else None,
    )


@given(plans(most_rows=40), st.data())
def test_the_first_difference_is_the_one_a_walk_along_the_rows_finds(old: Plan, data: st.DataObject) -> None:
    rows = data.draw(st.integers(1, 50))
    changes: st.SearchStrategy[dict[str, Any]] = st.sampled_from(
        [{}, {}, {"first_row": 3}, {"every": 5}, {"times": 2, "every": 4}]
    )
    cables = tuple(replace(c, **data.draw(changes)) for c in old.cable)
    panel = replace(old.panel, rows=rows)
    new = replace(old, cable=cables, panel=panel)
    last = data.draw(st.integers(0, 45))
    walked = None
    for row in range(1, min(last, old.panel.rows) + 1):
        if row > rows or kinds(old, row) != kinds(new, row):
            walked = row
            break
    assert row_of(old, new, last) == walked


def test_a_long_panel_is_compared_within_a_moment() -> None:
    old = plan(cable(every=8), rows=2_000)
    new = plan(cable(name="a", every=16), cable(name="b", first_row=16, every=16), rows=2_000)
    begun = time.perf_counter()
    assert first_difference(old, new, 2_000) is None
    assert row_of(old, plan(cable(every=8, times=100), rows=2_000), 2_000) == 808
    assert time.perf_counter() - begun < 5


def test_no_technique_is_forgotten_whatever_a_row_is_asked_beyond_crossings() -> None:
    """Whatever kind of work a plan may ask for, a row that has it is not one that has it not."""
    old = plan(rows=40)
    bead = {"needles": "L2", "do": "bead", "first_row": 7}
    for stitch in (
        bead,
        {**bead, "do": "by hand"},
        {**bead, "do": "enlarge", "size": 9},
        {**bead, "do": "purl"},
    ):
        assert row_of(old, plan(rows=40, stitch=[stitch]), 40) == 7, stitch
        assert row_of(plan(rows=40, stitch=[stitch]), old, 40) == 7, stitch
    for do in ("decrease", "increase", "cast off", "cast on", "hold"):
        shaped = plan(rows=40, shape=[{"edge": "left" if do != "hold" else "right", "do": do, "first_row": 8}])
        found = row_of(old, shaped, 40)
        assert found is not None and found <= 9, do


def test_a_decrease_is_told_in_words_where_it_was_not_before() -> None:
    shaped = plan(rows=40, shape=[{"edge": "both", "do": "decrease", "first_row": 9}])
    told = [str(each) for each in AsKnit(((1, plan(rows=40)),)).differences(shaped, 40)]
    assert any(each.startswith("row 9: is now: decrease 1") for each in told), told
