"""Panels that change width: shaping, short rows, parts and single needles, row by row on one bed carried through."""

from __future__ import annotations

from typing import Any

import pytest

from purlside.bed.faults import BedFault
from purlside.bed.moves import BackUp, Knit
from purlside.draft.together import loose_ends
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.checking import advice, faults
from purlside.rows.shaped import uncarried
from purlside.rows.working import Working
from tests.beds import fewest_movements, state
from tests.plans import cable, plan


def shape(do: str, edge: str = "both", first_row: int = 5, **more: Any) -> dict[str, Any]:
    return {"do": do, "edge": edge, "first_row": first_row, **more}


def knit(of: Plan) -> Working:
    """Knit the whole plan on one bed: no fault, fewest movements, and the bed before each row is the bed carried there."""
    assert faults(of) == []
    working = Working(of)
    bed = working.bed_before(1)
    for number in range(1, working.calendar.rows + 1):
        assert state(working.bed_before(number))[:2] == state(bed)[:2], f"row {number}"
        moves = working.moves(number)
        for move in moves:
            bed.push(move)
        row = working.calendar.row(number)
        movements = sum(isinstance(move, Knit | BackUp) for move in moves)
        assert movements == fewest_movements(working.demand(row)), f"row {number}"
        bed = working.complete(bed, number)
    assert working.simulate() == []
    return working


def words(working: Working, number: int) -> list[str]:
    return [str(move) for move in working.moves(number)]


def widths(working: Working) -> list[int]:
    return [len(working.calendar.row(n).needles) for n in range(1, working.calendar.rows + 1)]


def test_decreasing_moves_the_edge_stitches_inwards_together_and_puts_the_edge_needles_out_of_work() -> None:
    working = knit(plan(shape=[shape("decrease", "left", stitches=2, tool=3)], rows=8))
    assert words(working, 5)[:2] == ["transfer L6-L4 to L4-L2", "out-of-work L6-L5"]
    assert widths(working) == [12] * 4 + [10] * 4


def test_increasing_brings_in_the_next_needle_empty_or_moves_the_edge_out_and_fills_the_gap() -> None:
    working = knit(plan(shape=[shape("increase", "left"), shape("increase", "right", 7, tool=2)], rows=8))
    assert words(working, 5)[0] == "into-work L7"
    assert words(working, 7)[:3] == ["into-work R7", "transfer R5-R6 to R6-R7", "fill R5"]
    assert widths(working) == [12] * 4 + [13] * 2 + [14] * 2


def test_casting_off_at_both_edges_is_done_where_the_yarn_is_one_edge_a_row() -> None:
    working = knit(plan(shape=[shape("cast off", stitches=3)], rows=8))
    assert words(working, 5)[:2] == ["cast-off R4-R6 onto R3", "out-of-work R4-R6"]
    assert words(working, 6)[:2] == ["cast-off L6-L4 onto L3", "out-of-work L6-L4"]


def test_casting_on_at_both_edges_is_done_where_the_yarn_is_one_edge_a_row() -> None:
    working = knit(plan(shape=[shape("cast on", stitches=3)], rows=8))
    assert words(working, 5)[:2] == ["into-work R7-R9", "cast-on R7-R9"]
    assert words(working, 6)[:2] == ["into-work L9-L7", "cast-on L9-L7"]


def test_short_rows_rest_at_the_far_edge_wrap_at_the_turn_and_come_back() -> None:
    rest = shape("hold", stitches=2, every=2, times=2)
    back = shape("return", first_row=9, stitches="all")
    working = knit(plan(shape=[rest, back], rows=12))
    assert words(working, 5) == ["hold L6-L5", "knit left beyond L4: L4-R6", "wrap L5"]
    assert words(working, 6) == ["hold R5-R6", "knit right beyond R4: L4-R4", "wrap R5"]
    assert words(working, 9)[0] == "return L6-L3"
    assert words(working, 10) == ["return R3-R6", "knit right beyond R6: L6-R6"]


def test_without_wrap_no_needle_is_wrapped() -> None:
    working = knit(plan(shape=[shape("hold", wrap=False), shape("return", first_row=9)], rows=12))
    assert not any("wrap" in told for n in range(1, 13) for told in words(working, n))


def test_a_needle_is_wrapped_at_most_so_often_however_many_rows_turn_at_it() -> None:
    working = knit(plan(shape=[shape("hold", "left"), shape("return", "left", 17)], rows=20))
    assert sum("wrap L6" in words(working, n) for n in range(1, 21)) == 3


def test_the_two_sides_of_a_neck_are_knit_one_after_the_other_the_yarn_joined_for_the_second() -> None:
    right = {"name": "right", "needles": "R3-R6", "rows": 4, "carriage": "right"}
    off = shape("cast off", "left", 6, part="right")
    working = knit(plan(part=[right, {"name": "left", "mirrors": "right"}], shape=[off], rows=4))
    assert [(r.fabric, r.part) for r in map(working.calendar.row, (4, 5, 8, 9, 12))] == [
        (4, None),
        (5, "right"),
        (8, "right"),
        (5, "left"),
        (8, "left"),
    ]
    assert words(working, 5) == ["hold L6-R2", "knit left beyond R3: R3-R6"]
    assert words(working, 9) == ["hold R4-R6", "join left", "return L6-L3", "knit right beyond L3: L6-L3"] or (
        words(working, 9)[1].startswith("join left")
    )
    assert words(working, 6)[:1] == ["cast-off R3 onto R4"]
    assert words(working, 10)[:1] == ["cast-off L3 onto L4"]


def test_a_cable_that_follows_an_edge_moves_with_it_and_is_crossed_after_the_shaping_of_its_row() -> None:
    edge = cable("L5 over L4", follows="left", first_row=5, every=2)
    working = knit(plan(edge, shape=[shape("decrease", "left", every=2)], rows=10))
    assert [str(c.crossing) for n in (5, 7, 9) for c in working.calendar.row(n).crossed] == [
        "L4 over L3",
        "L3 over L2",
        "L2 over L1",
    ]
    told = words(working, 5)
    assert told.index("out-of-work L6") < told.index("cross L4 over L3 as rope")


def test_bridging_in_a_short_row_never_touches_the_needles_that_rest() -> None:
    rope = cable(first_row=6, every=2, ease="enlarge", enlarged_size=9.0)
    working = knit(
        plan(rope, shape=[shape("hold", stitches=2), shape("return", first_row=11, stitches="all")], rows=14)
    )
    for number in range(6, 11):
        resting = set(working.calendar.row(number).resting)
        touched = {n for move in working.moves(number)[1:] for n in getattr(move, "needles", ())}
        assert touched & resting <= set(working.calendar.row(number).wraps)


def test_single_needles_are_enlarged_knit_by_hand_beaded_and_latched_up() -> None:
    stitches = [
        {"needles": "L4", "do": "enlarge", "size": 9.0, "first_row": 3},
        {"needles": "R4", "do": "by hand", "first_row": 4},
        {"needles": "L2, R2", "do": "bead", "first_row": 5},
        {"needles": "R6", "do": "purl", "first_row": 4, "every": 3, "times": 2},
    ]
    working = knit(plan(stitch=stitches, rows=8))
    assert "dial 9" in words(working, 3)
    assert "by-hand R4" in words(working, 4)
    assert words(working, 4)[-1] == "latch-up R6 by 3", "it begins in row 2"
    assert words(working, 5)[-1] == "bead L2 R2"
    assert words(working, 7)[-1] == "latch-up R6 by 3"


# --- what cannot be knit is told with the row and the mend ---------------------------


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (
            {"shape": [shape("cast off", "left", 5)]},
            "shape 1, first_row: found cast off at the left in row 5, begun COR; allowed: rows in which the carriage "
            "stands at that edge (row 6 would do)",
        ),
        (
            {"shape": [shape("hold", "right", 5)]},
            "rows in which the carriage stands at the other edge (row 6 would do)",
        ),
        ({"shape": [shape("decrease", stitches=3, tool=3, every=1, times=4)]}, "fewer than the 6 this takes"),
        ({"shape": [shape("return", "left")]}, "no needles rest at the left edge"),
        (
            {"shape": [shape("cast on", "right", stitches=4)], "machine": {"needles": 12}},
            "the bed has no 4 more needles",
        ),
        ({"part": [{"name": "a", "needles": "R20-R30", "rows": 4}]}, "some needles still in work when the part begins"),
    ],
)
def test_shaping_that_cannot_be_done_is_a_fault_with_row_and_mend(more: dict[str, Any], told: str) -> None:
    found = [str(problem) for problem in faults(plan(rows=12, **more))]
    assert any(told in problem for problem in found), found


@pytest.mark.parametrize(
    ("shapes", "out", "told"),
    [
        (
            [shape("cast off", edge="right", first_row=3, stitches=1), shape("decrease", first_row=3)],
            (),
            "shape 2, first_row: found decrease 1 at the right edge in row 3; allowed: what the bed takes "
            "(more than 2 loops on R4",
        ),
        (
            [
                shape("hold", edge="right", first_row=6),
                shape("cast on", edge="right", first_row=7, stitches=2),
                shape("return", edge="right", first_row=10),
            ],
            (),
            "shape 2, first_row: found cast on 2 at the right edge in row 7; allowed: what the bed takes "
            "(the yarn lies at R5, not beside R7",
        ),
    ],
)
def test_shaping_that_the_bed_refuses_is_a_fault_of_the_plan_not_of_the_hour_at_the_bed(
    shapes: list[dict[str, Any]], out: tuple[str, ...], told: str
) -> None:
    [problem] = faults(plan(rows=10, needles="L6-R6", out=out, machine={"needles": 20}, shape=shapes))
    assert str(problem).startswith(told)


def test_a_cable_whose_needles_are_gone_is_a_fault_that_names_the_row_and_the_mend() -> None:
    of = plan(cable("L5 over L6"), shape=[shape("decrease", "left", 10, every=2, times=3, tool=2)], rows=40)
    (problem,) = faults(of)
    assert str(problem) == (
        "cable 1, cross: found L6–L5 in row 16; allowed: needles knit in that row, L3–R6 (they are out of work or "
        "resting; end it with times = 1, or let it follow the left edge)"
    )


def test_a_stitch_on_a_needle_that_rests_is_a_fault() -> None:
    of = plan(
        shape=[shape("hold", "left"), shape("return", "left", 11)],
        stitch=[{"needles": "L6", "do": "bead", "first_row": 7}],
        rows=12,
    )
    assert any("stitch 1, needles: found L6 in row 7" in str(problem) for problem in faults(of))


def test_a_column_dropped_through_a_crossing_of_its_needle_is_a_fault() -> None:
    of = plan(cable(), stitch=[{"needles": "R2", "do": "purl", "first_row": 10}])
    (problem,) = faults(of)
    assert "rope crosses it in row 8; latch it up in row 8" in str(problem)
    assert not faults(plan(cable(), stitch=[{"needles": "R2", "do": "purl", "first_row": 8, "every": 8}]))


def test_a_cable_is_worked_in_each_part_that_knits_all_its_needles() -> None:
    parts = [{"name": "right", "needles": "R1-R6", "rows": 8}, {"name": "left", "needles": "L6-L1", "rows": 8}]
    of = plan(cable("R2 over R3", every=2), part=parts, rows=8)
    calendar = Calendar(of)
    assert [calendar.row(n).label for n in range(1, 25) if calendar.row(n).crossed] == [
        8,
        "10 of right",
        "12 of right",
        "14 of right",
        "16 of right",
    ]
    assert calendar.count(0, 25, crossed=False).done == calendar.count(0, 1, crossed=False).of == 5


def test_the_bed_itself_refuses_a_short_row_rested_at_the_carriages_side() -> None:
    working = Working(plan(shape=[shape("hold", "right", 5, stitches=2)], rows=8))
    with pytest.raises(BedFault, match="a float from R6"):
        bed = working.bed_before(5)
        for move in working.moves(5):
            bed.push(move)


# --- cables that shaping moves --------------------------------------------------


def advised(of: Plan) -> list[tuple[Any, ...]]:
    assert faults(of) == []
    return [(problem.key, problem.found, problem.allowed, problem.why) for problem in uncarried(of)]


@pytest.mark.parametrize("do", ["decrease", "increase"])
@pytest.mark.parametrize("tool", [1, 3, 5, 6])
def test_a_following_cable_wants_a_tool_that_takes_it_whole(do: str, tool: int) -> None:
    rope = cable(cross="L18-L17 over L16-L15", first_row=4, every=6, times=4, follows="left")
    found = advised(plan(rope, needles="L20-R20", shape=[shape(do, "left", 8, tool=tool, every=4, times=3)]))
    if tool == 6:
        assert found == []
    else:
        assert [(key, told) for key, told, _, _ in found] == [(("shape", 0, "tool"), str(tool))]
        assert "6 or more" in found[0][2]
        assert "in row 8 it lies 3 to 6 stitches in" in found[0][3] and "tool = 6 carries it" in found[0][3]


def test_a_cable_begun_after_the_shaping_or_ended_before_it_is_no_matter() -> None:
    for first_row, every in ((8, 6), (1, 2)):
        rope = cable(cross="L18-L17 over L16-L15", first_row=first_row, every=every, times=3, follows="left")
        assert advised(plan(rope, needles="L20-R20", shape=[shape("decrease", "left", 8, tool=2)])) == []


def test_a_following_cable_is_not_carried_over_a_cast_off() -> None:
    rope = cable(cross="L18-L17 over L16-L15", first_row=4, every=6, times=4, follows="left")
    (told,) = advised(plan(rope, needles="L20-R20", shape=[shape("cast off", "both", 9, stitches=3)]))
    assert told[:2] == (("shape", 0, "first_row"), "cast off 3 at the left edge in row 10")
    assert "end it before, and let another begin after" in told[3]


def test_a_cable_that_stays_is_told_of_a_tool_that_reaches_into_it() -> None:
    rope = cable(cross="L15-L14 over L13-L12", first_row=4, every=6, times=4)
    shapes = [shape("decrease", "left", 8, tool=3, every=2, times=5)]
    (told,) = advised(plan(rope, needles="L20-R20", shape=shapes))
    assert told[0] == ("shape", 0, "tool") and "in row 14 it lies 3 to 6 stitches in" in told[3]


def test_a_cable_of_the_panel_follows_its_edge_on_into_the_part_that_has_it() -> None:
    rope = cable(cross="L20-L19 over L18-L17", first_row=8, every=4, times=5, follows="left")
    shapes = [
        shape("decrease", "left", 5, tool=4),
        shape("decrease", "left", 22, tool=4, part="left side"),
        shape("decrease", "left", 22, tool=4, part="right side"),
    ]
    parts = [
        {"name": "right side", "needles": "R1-R20", "rows": 8, "carriage": "right"},
        {"name": "left side", "needles": "L20-L1", "rows": 8, "carriage": "left"},
    ]
    knitting = knit(plan(rope, needles="L20-R20", rows=20, shape=shapes, part=parts))
    calendar = knitting.calendar
    crossed = [
        (row.part, row.fabric, str(made.crossing))
        for row in map(calendar.row, range(1, calendar.rows + 1))
        for made in row.crossed
    ]
    # Three in the panel one needle in; in the left side one as it begins and one after its own decrease.
    assert crossed[:2] == [(None, 8, "L19-L18 over L17-L16"), (None, 12, "L19-L18 over L17-L16")]
    assert crossed[-1] == ("left side", 24, "L18-L17 over L16-L15")
    assert {part for part, _, _ in crossed} == {None, "left side"}


@pytest.mark.parametrize("inner", ["L20-L1", "L20-L2"])
def test_a_needle_comes_in_empty_at_the_inner_edge_of_a_part_too(inner: str) -> None:
    parts = [
        {"name": "right side", "needles": "R1-R20", "rows": 8, "carriage": "right"},
        {"name": "left side", "needles": inner, "rows": 8, "carriage": "left"},
    ]
    shapes = [
        shape("decrease", "right", 22, part="left side"),
        shape("increase", "right", 25, part="left side"),
    ]
    knit(plan(needles="L20-R20", rows=20, shape=shapes, part=parts))


def test_a_cable_that_goes_on_in_a_part_is_not_said_to_cross_in_the_last_row() -> None:
    parts = [{"name": "right side", "needles": "R1-R20", "rows": 8, "carriage": "right"}]
    rope = cable("R6-R7 over R8-R9", first_row=4, every=4)
    assert [told for _, told in loose_ends(plan(rope, needles="L20-R20", rows=20))] == [
        "crosses after the last row, 20: nothing is knit over it any more"
    ]
    assert not list(loose_ends(plan({**rope, "times": 6}, needles="L20-R20", rows=20, part=parts)))


def test_a_stitch_by_hand_where_a_crossing_wants_extra_rows_is_a_fault_that_names_the_stitch_and_the_row() -> None:
    wide = cable("R1-R3 over L3-L1", ease="extra rows", extra_rows=2, first_row=8, every=8)
    beads = {"needles": "R3", "do": "bead", "first_row": 4, "every": 4}
    [problem] = faults(plan(wide, stitch=[beads], rows=20))
    assert str(problem) == (
        "stitch 1, first_row: found row 8: R3 is knit by hand and asked for 3 rows; by hand is once; allowed: work "
        "that one row can take (let one come in another row)"
    )


def test_work_one_row_cannot_take_is_told_where_the_row_after_it_is_shaped() -> None:
    made = plan(
        cable("R1-R2 over R3-R4", first_row=4, every=None, ease="extra rows", extra_rows=2),
        stitch=[{"needles": "R1", "do": "by hand", "first_row": 4}],
        shape=[{"edge": "left", "do": "decrease", "first_row": 5}],
    )
    assert ["by hand is once" in str(problem) for problem in faults(made)] == [True]


def test_what_no_row_comes_for_is_said_and_which_times_there_are_rows_for() -> None:
    made = plan(
        needles="L20-R20",
        rows=40,
        shape=[shape("decrease", first_row=41), shape("decrease", first_row=30, every=4, times=5)],
        stitch=[{"needles": "R1", "do": "bead", "first_row": 60}],
    )
    told = {problem.key: (problem.found, problem.allowed) for problem in advice(made)}
    assert told == {
        ("shape", 0, "first_row"): ("41", "a row of the panel, 1 to 40"),
        ("shape", 1, "times"): ("5", "1 to 3"),
        ("stitch", 0, "first_row"): ("60", "a row of the panel, 1 to 40"),
    }
