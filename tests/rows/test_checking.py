"""What only several values of a plan together show, found before anyone knits."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purlside.plan.plan import Plan
from purlside.plan.problems import Problem
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.rows.checking import advice, faults, first_meeting
from tests.plans import cable, crossings, plan, plans


def told(problems: list[Problem]) -> list[str]:
    return [str(problem) for problem in problems]


@given(plans())
def test_a_plan_that_can_be_knit_has_no_fault(of: Plan) -> None:
    assert told(faults(of)) == []


@pytest.mark.parametrize(
    ("cables", "more", "told_of"),
    [
        ([], {"needles": "L101-R100"}, 'panel, needles: found "L101-R100"; allowed: needles of the bed, L100-R100'),
        ([], {"needles": "L6-R101"}, "needles of the bed, L100-R100 (it has 200 needles)"),
        ([], {"machine": {"needles": 10}}, "needles of the bed, L5-R5"),
        ([], {"machine": {"dial": (6.0, 6.0)}}, "machine, dial: found [6, 6]; allowed: the smallest size first"),
        ([], {"machine": {"counter_trip": "R101"}}, 'machine, counter_trip: found "R101"; allowed: a needle of the'),
        ([], {"out": ["R7"]}, 'panel, out_of_work 1: found "R7"; allowed: needles of the panel, L6-R6'),
        ([], {"needles": "R1", "out": ["R1"]}, "found every needle of the panel; allowed: at least one needle left"),
        ([], {"size": 10.5}, "panel, stitch_size: found 10.5; allowed: a size on the dial, 0 to 10"),
        ([], {"band": [{"rows": "1-2", "stitch_size": 11.0}]}, "band 1, stitch_size: found 11"),
        ([], {"yarn": {"loop_mm": {"11": 12.0}}}, 'yarn, loop_mm, 11: found "11"; allowed: a size on the dial'),
        ([], {"yarn": {"loop_mm": {"five": 12.0}}}, 'yarn, loop_mm, five: found "five"'),
        ([], {"yarn": {"loop_mm": {"nan": 12.0}}}, "yarn, loop_mm, nan"),
        ([], {"yarn": {"count": "two eighths"}}, 'yarn, count: found "two eighths"'),
        ([cable(ease="enlarge", enlarged_size=12.0)], {}, "cable 1, enlarged_size: found 12; allowed: a size on"),
        ([cable("R5-R7 over R3-R4")], {}, "needles of the panel, L6-R6 (R7 (1 needle) outside it)"),
        ([cable()], {"out": ["L2"]}, 'found "R1-R3 over L3-L1"; allowed: needles in work (L2 (1 needle) out of work)'),
        ([cable("R2 over L1")], {}, "allowed: two halves that are neighbours (R1 (1 needle) in work between them)"),
        ([cable(["R1 over L1", "R6 over R7"])], {}, 'cable 1, cross 2: found "R6 over R7"'),
        ([cable(), cable("R3 over R4", name="b")], {}, 'cable 2, cross: found "R3 over R4"; allowed: crossings of one'),
    ],
)
def test_what_keeps_a_plan_from_being_knit_is_named(cables: list[Any], more: dict[str, Any], told_of: str) -> None:
    assert any(told_of in problem for problem in told(faults(plan(*cables, **more))))


def test_a_dial_written_the_wrong_way_round_is_the_only_fault_told() -> None:
    of = plan(size=5.0, machine={"dial": (9.0, 3.0)}, yarn={"loop_mm": {"5": 12.0}})
    assert [problem.where for problem in faults(of)] == ["machine, dial"]


def test_both_ends_of_the_dial_are_on_it() -> None:
    loops = {"loop_mm": {"0": 9.0, "10": 19.0}}
    assert not faults(plan(cable(ease="enlarge", enlarged_size=10.0), size=0, yarn=loops))


def test_all_faults_are_told_at_once_in_the_plans_order() -> None:
    of = plan(
        cable("R2 over L1"),
        cable("R5-R7 over R3-R4", name="b", first_row=3),
        size=11,
        out=["R9"],
        machine={"counter_trip": "R101"},
    )
    assert [problem.where for problem in faults(of)] == [
        "panel, out_of_work 1",
        "machine, counter_trip",
        "panel, stitch_size",
        "cable 1, cross",
        "cable 2, cross",
    ]


def test_a_ladder_between_two_halves_is_allowed_in_a_half_it_is_not() -> None:
    assert not faults(plan(cable("R1-R3 over L4-L2"), out=["L1"]))
    assert faults(plan(cable("R1-R3 over L3-L1"), out=["L1"]))


# --- crossings that meet ---------------------------------------------------------


repeats = st.builds(Repeat, st.integers(1, 60), st.integers(1, 14), st.integers(0, 12))


@settings(max_examples=1000)
@given(repeats, repeats)
def test_two_repeats_meet_first_where_their_lists_do(a: Repeat, b: Repeat) -> None:
    listed = [{r.first + r.every * i for i in range(r.of)} for r in (a, b)]
    assert first_meeting(a, b) == min(listed[0] & listed[1], default=None)


@st.composite
def crowded(draw: st.DrawFn) -> Plan:
    """Cables on few needles, so that their crossings often want the same."""
    count = draw(st.integers(2, 3))
    cables = []
    for i in range(count):
        crosses = draw(st.lists(crossings(-5, 4, most=2).map(str), min_size=1, max_size=3))
        cables.append(
            cable(
                crosses,
                name=f"c{i}",
                first_row=draw(st.integers(1, 12)),
                every=draw(st.integers(2, 9)),
                times=draw(st.none() | st.integers(1, 4)),
            )
        )
    return plan(*cables, rows=draw(st.integers(10, 80)))


@given(crowded())
def test_crossings_that_want_the_same_needles_in_one_row_are_found_and_the_row_is_right(of: Plan) -> None:
    calendar = Calendar(of)
    shared: set[tuple[int, int]] = set()
    for number in range(1, of.panel.rows + 1):
        crossed = calendar.row(number).crossed
        for i, a in enumerate(crossed):
            for b in crossed[i + 1 :]:
                if set(a.crossing.needles) & set(b.crossing.needles):
                    shared.add((number, b.cable))
    found = [problem for problem in faults(of) if "share no needles" in problem.allowed]
    assert bool(found) == bool(shared)
    for problem in found:
        row = int(problem.why.split(":")[0].removeprefix("row "))
        assert (row, problem.key[1]) in shared


def test_cables_that_share_needles_but_never_a_row_are_no_fault() -> None:
    wide = [cable("R1-R100 over L100-L1", name=f"c{i}", first_row=i + 1, every=None) for i in range(400)]
    assert not faults(plan(*wide, needles="L100-R100", rows=400))


# --- advice ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cables", "more", "told_of"),
    [
        ([cable(first_row=41)], {}, "cable 1, first_row: found 41; allowed: a row of the panel, 1 to 40 (the cable is"),
        ([], {"band": [{"rows": "1-41", "colour": "slate"}]}, 'band 1, rows: found "1-41"'),
        ([], {"reminder": [{"row": 41, "text": "x"}]}, "reminder 1, row: found 41"),
        ([], {"reminder": [{"first_row": 41, "every": 2, "text": "x"}]}, "reminder 1, first_row: found 41"),
        ([cable(every=5)], {}, "cable 1, every: found 5; allowed: 6 or more rows apart is usual for 6 stitches"),
        (
            [cable(ease="enlarge", enlarged_size=5.0)],
            {},
            "cable 1, enlarged_size: found 5; allowed: larger than the row's own SS 5",
        ),
        (
            [cable(ease="enlarge", enlarged_size=5.5)],
            {"band": [{"rows": "1-8", "stitch_size": 6.0}]},
            "larger than the row's own SS 6",
        ),
    ],
)
def test_what_is_worth_a_second_look_is_advice_and_no_fault(
    cables: list[Any], more: dict[str, Any], told_of: str
) -> None:
    of = plan(*cables, **more)
    assert not faults(of)
    assert any(told_of in problem for problem in told(advice(of)))


@pytest.mark.parametrize(
    ("size", "clicks", "stops"), [(5.5, 3, "5.33 or 5.67"), (5.2, 3, "5 or 5.33"), (7.25, 2, "7 or 7.5")]
)
def test_a_size_the_dial_has_no_stop_for_is_told_with_the_stops_beside_it(size: float, clicks: int, stops: str) -> None:
    (found,) = told(advice(plan(size=size, machine={"dial_clicks": clicks})))
    assert found.startswith(
        f"panel, stitch_size: found {size:g}; allowed: a click of the dial, as {stops} (dial_clicks"
    )


@pytest.mark.parametrize("size", [5, 5.3, 5.33, 5.333, 5.67, 5.7, 6.66])
def test_a_third_of_a_size_may_be_written_short(size: float) -> None:
    assert not advice(plan(size=size))


def test_a_usual_plan_gets_no_advice() -> None:
    told_in_time = [{"row": 40, "text": "x"}, {"first_row": 40, "text": "y"}]
    bands = [{"rows": "1-7", "stitch_size": 9.0}, {"rows": "30-40", "colour": "slate"}]
    assert not advice(plan(cable(ease="enlarge", enlarged_size=9.0), band=bands, reminder=told_in_time))


def test_crossings_of_the_same_needles_by_two_cables_are_not_too_close_unnoticed() -> None:
    both = plan(
        cable("R1-R3 over L3-L1", name="a", every=12), cable("L3-L1 over R1-R3", name="b", first_row=12, every=12)
    )
    [found] = advice(both)
    assert str(found) == (
        "cable 2, first_row: found row 12, 4 after a crossing of the same needles; allowed: 6 or more rows apart is usual "
        "for 6 stitches (closer crossings make a stiff cable that pulls in)"
    )
    uneven = plan(cable(["R1-R3 over L3-L1", "R1-R3 over L3-L1", "L4 over L5"], every=4))
    assert [p.key for p in advice(uneven)] == [("cable", 0, "every")]


@pytest.mark.parametrize(("cross", "stitches"), [("R1 over L1", 2), ("R1-R3 over L3-L1", 6), ("R1 over L3-L1", 4)])
def test_crossing_rows_are_at_least_as_many_rows_apart_as_the_cable_has_stitches(cross: str, stitches: int) -> None:
    """Hand-knitting practice, no source."""
    close, usual = (plan(cable(cross, every=every)) for every in (stitches - 1, stitches))
    assert [problem.where for problem in advice(close)] == ["cable 1, every"]
    assert not advice(usual)


def test_a_plait_crossed_in_turn_is_not_too_close() -> None:
    assert not advice(plan(cable(["R1-R2 over L2-L1", "L4-L3 over L2-L1"], every=4)))


def test_bands_over_the_same_rows_are_worth_a_second_look() -> None:
    overlaid = plan(rows=40, band=[{"rows": "1-20", "stitch_size": 4.0}, {"rows": "15-30", "stitch_size": 6.0}])
    assert not faults(overlaid)
    [found] = advice(overlaid)
    assert (found.key, found.found) == (("band", 1, "rows"), '"15-30"')
    apart = plan(rows=40, band=[{"rows": "1-20", "stitch_size": 4.0}, {"rows": "15-30", "colour": "slate"}])
    assert not advice(apart)


def test_a_fibre_nobody_knows_is_worth_a_second_look() -> None:
    [found] = advice(plan(rows=40, yarn={"fibre": "wol"}))
    assert found.key == ("yarn", "fibre")
    assert not advice(plan(rows=40, yarn={"fibre": "wol", "extension_at_break": 0.3}))
