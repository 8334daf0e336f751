"""The rows of a plan worked out, and knit from the first to the last on a bed that knows only the rules."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import Demand
from purlside.bed.faults import BedFault, Fault
from purlside.bed.moves import BY_HAND, BackUp, Knit, Tell, Weights
from purlside.bed.needles import Needle, Side, Span
from purlside.bed.transfers import Cross
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from tests.beds import fewest_movements
from tests.naive_bed import NaiveBed
from tests.plans import cable, plan, plans


def told(moves: tuple[Move, ...]) -> list[str]:
    return [str(move) for move in moves]


def knit_through(of: Plan) -> list[NaiveBed]:
    """Every row of a plan on the naive bed, from its JSON alone: the bed before each row, and after the last."""
    working = Working(of)
    names = [str(n) for n in of.panel.needles]
    out = {str(n) for n in of.panel.out_of_work}
    bed = NaiveBed(names, out, of.machine.carriage, of.panel.stitch_size, of.machine.dial)
    before = [bed.copy()]
    for number in range(1, of.panel.rows + 1):
        row = working.calendar.row(number)
        moves = [move.json() for move in working.moves(number)]
        for move in moves:
            assert not bed.refusals(move), (number, move)
            if move["do"] == "dial":
                assert move["size"] != bed.dial, "the dial stands there already"
            if "needles" in move and move["do"] != "knit":
                assert move["needles"] == [n for n in names if n in move["needles"]], "bed order"
            bed.do(move)
        asked = working.demand(row)
        assert not bed.row_refusals(dict(zip(map(str, asked.needles), asked.rows, strict=True)), str(row.side))
        along = sorted(row.crossed, key=lambda c: c.crossing.span.left, reverse=row.side is Side.LEFT)
        assert [m["cable"] for m in moves if m["do"] == "cross"] == [c.name for c in along]
        bed.next_row()
        before.append(bed.copy())
    return before


@given(plans(most_rows=30))
def test_a_whole_panel_is_knit_row_after_row_as_the_contract_says(of: Plan) -> None:
    before = knit_through(of)
    assert sorted(before[-1].stitch.values()) == sorted(before[0].panel), "no stitch is lost"
    working = Working(of)
    for number in range(1, of.panel.rows + 1):
        bed, naive = working.bed_before(number), before[number - 1]
        assert bed.json() == naive.seen()
        assert (str(bed.yarn), bed.row) == (naive.yarn, number)
        assert working.dial_before(number) == naive.dial
        for needle in bed.in_work:
            size = bed.loop_size[needle - bed.panel.left]
            assert ("by hand" if size == BY_HAND else size) == naive.loop_size[str(needle)]


@given(plans(most_rows=30))
def test_no_row_of_a_plan_that_can_be_knit_has_a_fault_and_none_takes_more_movements_than_it_must(of: Plan) -> None:
    working = Working(of)
    assert working.simulate() == []
    for number in range(1, of.panel.rows + 1):
        movements = sum(isinstance(move, Knit | BackUp) for move in working.moves(number))
        assert movements == fewest_movements(working.demand(working.calendar.row(number)))


def test_told_first_then_knit_then_crossed_then_the_weights_moved() -> None:
    of = plan(cable(), needles="L3-R3", reminder=[{"row": 8, "text": "tie a marker"}])
    assert told(Working(of).moves(8)) == [
        "tell tie a marker",
        "knit right beyond R3: L3-R3",
        "cross R1-R3 over L3-L1 as rope",
        "weights L3-R3",
    ]


def test_weights_move_up_under_the_crossed_needles_or_under_all_where_the_plan_says() -> None:
    working = Working(plan(cable(), panel={"weights_every": 12}, rows=48))
    moved = {n: [m for m in working.moves(n) if isinstance(m, Weights)] for n in (1, 8, 12, 24)}
    assert moved[1] == []
    assert moved[8] == [Weights(tuple(Span.parse("L3-R3")))]
    assert moved[12] == moved[24] == [Weights(tuple(Span.parse("L6-R6")))]


def test_the_dial_is_set_back_by_the_first_row_that_wants_another_size() -> None:
    of = plan(cable("R2-R3 over L1-R1", ease="enlarge", enlarged_size=9.0), needles="L1-R3", rows=9, carriage="left")
    working = Working(of)
    assert working.calendar.row(8).side is Side.RIGHT
    assert "dial 9" in told(working.moves(8))
    assert working.dial_before(9) == 9.0, "the half behind lies at the far edge and is knit last"
    assert told(working.moves(9))[0] == "dial 5"


def test_each_ease_asks_what_it_is_for() -> None:
    def asked(**more: Any) -> tuple[Any, ...]:
        working = Working(plan(cable("R1 over L1", **more), needles="L2-R2"))
        demand = working.demand(working.calendar.row(8))
        return demand.rows, demand.sizes, demand.by_hand

    ones, fives, none = (1, 1, 1, 1), (5, 5, 5, 5), (False,) * 4
    assert asked() == (ones, fives, none)
    assert asked(ease="enlarge", enlarged_size=9.0) == (ones, (5, 9, 5, 5), none)
    assert asked(ease="extra rows", extra_rows=2) == ((1, 1, 3, 1), fives, none)
    assert asked(ease="by hand") == (ones, fives, (False, False, True, False))
    both = asked(ease=["enlarge", "extra rows"], enlarged_size=9.0, extra_rows=4)
    assert both == ((1, 1, 5, 1), (5, 9, 5, 5), none)
    assert asked(enlarged_size=9.0, extra_rows=2) == (ones, fives, none), "given, but not asked for by the ease"


def test_an_enlarged_half_and_extra_rows_keep_to_the_size_of_their_band() -> None:
    of = plan(
        cable("R1 over L1", ease=["enlarge", "extra rows"], enlarged_size=9.0, extra_rows=2),
        needles="L2-R2",
        band=[{"rows": "5-10", "stitch_size": 4.0}],
    )
    working = Working(of)
    assert working.demand(working.calendar.row(8)).sizes == (4, 9, 4, 4)
    assert working.demand(working.calendar.row(16)).sizes == (5, 9, 5, 5)


def test_several_cables_cross_in_one_row_along_the_bed_from_where_the_carriage_stands() -> None:
    of = plan(cable("R5 over R6", name="b"), cable("L5-L4 over L3-L2", name="a", ease="extra rows", extra_rows=2))
    assert [m.cable for m in Working(of).moves(8) if isinstance(m, Cross)] == ["b", "a"]


def test_a_limit_written_into_the_plan_decides_what_auto_takes() -> None:
    yarn = {"fibre": "wool", "loop_mm": {"5": 13.7, "9": 17.5}}
    of, taught = plan(cable(ease="auto"), yarn=yarn), plan(cable(ease="auto"), yarn={**yarn, "reach_limit": 0.5})
    row = Calendar(of).row(8)
    plain = Demand.even(of.in_work, 5)
    assert Working(of).demand(row) == plain
    assert Working(taught).demand(row) != plain


def test_a_row_that_cannot_be_knit_is_named_by_number_and_the_rest_still_tried() -> None:
    of = plan(cable("R6 over R7", every=4), cable("R1 over L1", name="b", first_row=1, every=40))
    faults = Working(of).simulate()
    assert {fault.row for fault in faults} == {8}
    assert all(found.fault is Fault.OUTSIDE_PANEL for fault in faults for found in fault.found)
    with pytest.raises(BedFault, match="row 8"):
        Working(of).bed_before(9)


def test_a_row_left_unfinished_cannot_be_closed() -> None:
    working = Working(plan())
    bed = working.bed_before(3)
    with pytest.raises(BedFault, match="row 3"):
        working.complete(bed, 3)
    for move in working.moves(3):
        bed.push(move)
    working.complete(bed, 3)
    assert bed.row == 4


@settings(max_examples=30)
@given(plans(most_rows=30))
def test_one_bed_kept_from_the_first_row_is_the_bed_worked_out_for_each(of: Plan) -> None:
    working = Working(of)
    kept: Bed = working.bed_before(1)
    for number in range(1, of.panel.rows + 1):
        fresh = working.bed_before(number)
        assert fresh.json() == kept.json()
        assert fresh.side == kept.side
        for move in working.moves(number):
            kept.push(move)
        working.complete(kept, number)


def test_what_is_told_changes_nothing_on_the_bed() -> None:
    of = plan(band=[{"rows": "3-4", "colour": "slate"}])
    moves = Working(of).moves(3)
    assert moves[0] == Tell("Change to slate")
    assert isinstance(moves[1], Knit)
    assert moves[1].needles[0] == Needle.parse("R6")
