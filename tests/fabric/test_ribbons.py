"""Where strands run: from where the fabric has them to where it has them, without a gap, over and under as crossed."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings

from purlside.bed.needles import Needle
from purlside.fabric import motifs
from purlside.fabric.motifs import Laying
from purlside.fabric.ribbons import MOST_SPREAD, Length, lengths, window
from purlside.fabric.stitches import Fabric, Face
from purlside.files import planfile
from purlside.plan.plan import Cable, Plan
from tests.fabric.test_stitches import LEFT_IN_FRONT, RIGHT_IN_FRONT, panel
from tests.plans import cable, plans
from tests.plans import plan as shaped_plan


def laid(cables: list[Cable], rows: int = 60) -> Plan:
    return replace(panel(needles="L20-R20", rows=rows), cable=tuple(cables))


def laying(every: int = 4) -> Laying:
    return Laying("one", Needle.parse("L6"), first_row=8, every=every)


def ribbons(plan: Plan, face: Face = Face.KNIT) -> list[list[Length]]:
    """The lengths of each ribbon from the lowest up: each begins where one ends."""
    fabric = Fabric(plan)
    found: list[list[Length]] = []
    for length in sorted(lengths(fabric, face, window(fabric)), key=lambda one: one.row):
        for ribbon in found:
            if (ribbon[-1].x1, ribbon[-1].top, ribbon[-1].width) == (length.x0, length.bottom, length.width):
                ribbon.append(length)
                break
        else:
            found.append([length])
    return found


def test_a_rope_is_two_ribbons_that_change_places_at_each_crossing_row() -> None:
    one, two = ribbons(panel(RIGHT_IN_FRONT))
    assert [(a.row, a.x0, a.x1, a.over) for a in one] == [(8, 6, 3, False), (16, 3, 6, True)]
    assert [(a.row, a.x0, a.x1, a.over) for a in two] == [(8, 3, 6, True), (16, 6, 3, False)]
    assert {a.width for a in (*one, *two)} == {3}
    assert all(a.raised for a in (*one, *two))


def test_from_the_purl_side_places_and_the_strand_on_top_change_and_not_the_lean() -> None:
    knit, purl = (
        {a.over: (a.x0, a.x1) for a in lengths(f, face, window(f))}
        for face in Face
        for f in [Fabric(panel('cross = "R1-R2 over L3-L1"\nfirst_row = 8'))]
    )
    assert knit == {True: (4, 7), False: (6, 4)}
    assert purl == {True: (3, 5), False: (6, 3)}


def test_a_strand_is_half_way_over_at_the_line_between_its_row_and_the_next() -> None:
    [under, over] = lengths(f := Fabric(panel('cross = "L3-L1 over R1-R3"\nfirst_row = 8')), Face.KNIT, window(f))
    for length in (under, over):
        x, lean = length.at(8.0)
        assert x == pytest.approx((length.x0 + length.x1) / 2)
        assert (lean > 0) is (length.x1 > length.x0)
        assert length.high - 8 == pytest.approx(2.9)
        assert 8 - length.low == pytest.approx(2.9)


@settings(max_examples=60, deadline=None)
@given(plans(most_rows=40))
def test_ribbons_run_where_the_fabric_has_their_stitches_and_never_break_off(wanted: Plan) -> None:
    fabric = Fabric(wanted)
    part = window(fabric)
    for face in Face:
        found = lengths(fabric, face, part)
        seen = sorted((row, made) for row in fabric.crossing_rows() for made in [len(fabric.row(row).crossings)])
        assert sum(one.width for one in found) == sum(
            len(made.needles) for row, _ in seen for made in fabric.row(row).crossings
        )
        for length in found:
            crossings = [
                (made.over(face) if length.over else made.under(face)) for made in fabric.row(length.row).crossings
            ]
            ways = {(part.seen(int(a), face), part.seen(int(b), face)) for strands in crossings for a, b in strands}
            assert {(length.x0 + i, length.x1 + i) for i in range(length.width)} <= ways
            assert length.bottom <= length.low < length.row <= length.high <= length.top
            assert max(length.row - length.low, length.high - length.row) <= MOST_SPREAD
            for y in (length.low, length.high):
                # No jump where the bend begins and ends.
                assert length.at(y)[0] == pytest.approx(length.at(y + 1e-9)[0], abs=1e-6)


@pytest.mark.parametrize("face", list(Face))
def test_a_plait_runs_without_a_gap_from_its_first_crossing_to_its_last(face: Face) -> None:
    found = ribbons(laid(motifs.plait(laying(), 2, 3)), face)
    assert len(found) == 3
    for ribbon in found:
        assert all(a.top == b.bottom and a.x1 == b.x0 for a, b in pairwise(ribbon))
        assert len({a.over for a in ribbon}) == 2, "over and under"


def test_what_only_gives_way_to_a_travelling_strand_does_not_stand_out() -> None:
    found = ribbons(laid(motifs.travelling(laying(), 2, 1, 4)))
    assert [(r[0].width, r[0].raised) for r in found if r[0].raised] == [(2, True)]
    assert all(r[0].width == 1 for r in found if not r[0].raised)


def test_strands_that_travel_on_below_others_stand_out_too() -> None:
    found = [one for r in ribbons(laid(motifs.lattice(laying(), 2, 6))) for one in r]
    assert all(one.raised for one in found)


def test_a_ribbon_that_travels_on_runs_in_a_line_and_one_that_turns_back_bends() -> None:
    for face, right in ((Face.KNIT, 1), (Face.PURL, -1)):
        [strand] = [r for r in ribbons(laid(motifs.travelling(laying(every=2), 2, 1, 4)), face) if r[0].width == 2]
        assert strand[0].lean0 == 0
        assert strand[1].lean0 == strand[0].lean1 == pytest.approx(0.40625 * right), "between the leans of both"
        assert strand[2].lean0 == strand[2].lean1 == 0.5 * right, "a needle in two rows"
        assert strand[4].lean0 == 0, "where it turns back"


def test_a_crossing_is_spread_by_how_far_it_goes_and_never_beyond_half_the_way_to_the_next() -> None:
    """0.8 rows and 0.7 more for each needle, up to 4: for 3 over 3 2.9 rows, where the next is 4 rows off 2."""
    [far, *_], [near, *_] = (
        [one for one in lengths(f, Face.KNIT, window(f)) if one.row == 16]
        for every in (8, 4)
        for f in [Fabric(panel(RIGHT_IN_FRONT.replace("every = 8", f"every = {every}"), rows=40))]
    )
    assert (far.low, far.high) == pytest.approx((13.1, 18.9))
    assert (near.low, near.high) == (14, 18)
    wide = Fabric(panel('cross = "R1-R6 over L6-L1"\nfirst_row = 20', rows=40))
    assert {(one.low, one.high) for one in lengths(wide, Face.KNIT, window(wide))} == {(16, 24)}
    close = Fabric(panel(RIGHT_IN_FRONT.replace("= 8\n", "= 2\n"), rows=3))
    assert {(one.low, one.high) for one in lengths(close, Face.KNIT, window(close))} == {(0, 3)}, (
        "nor beyond the fabric"
    )


def test_ribbons_meet_half_way_between_crossings_and_end_at_the_edge_or_two_rows_beyond_a_crossing_far_from_it() -> (
    None
):
    """3 over 3 in rows 15 and 40 of 55: the bends are over 2.9 rows away. The edge is near within twelve rows of a bend."""
    rope = Fabric(panel('cross = "R1-R3 over L3-L1"\nfirst_row = 15\nevery = 25\ntimes = 2', rows=55))
    found = lengths(rope, Face.KNIT, window(rope))
    assert {one.top for one in found if one.row == 15} == {one.bottom for one in found if one.row == 40} == {28}

    def ends(halves: int, row: int) -> tuple[float, float]:
        once = Fabric(panel(f'cross = "R1-R{halves} over L{halves}-L1"\nfirst_row = {row}', rows=55))
        [end] = {(round(one.bottom, 6), round(one.top, 6)) for one in lengths(once, Face.KNIT, window(once))}
        return end

    assert [ends(3, row) for row in (14, 15, 40, 41)] == [(0, 18.9), (10.1, 19.9), (35.1, 44.9), (36.1, 55)]
    assert (ends(6, 16), ends(6, 39)) == ((0, 22), (33, 55)), "just twelve rows are near"


def test_a_bend_that_neither_comes_nor_goes_on_leaning_is_half_way_over_in_its_middle_and_upright_at_its_ends() -> None:
    bend = Length(
        8, 3, x0=2, x1=6, bottom=0, low=4, high=12, top=20, lean0=0, lean1=0, over=True, raised=True, knit=(None,) * 3
    )
    # A smooth step of 4 needles over 8 rows: x = 2 + 4·(3t² - 2t³), t the part of the rise.
    for y, x, lean in (
        (0, 2, 0),
        (4, 2, 0),
        (6, 2.625, 0.5625),
        (8, 4, 0.75),
        (10, 5.375, 0.5625),
        (12, 6, 0),
        (15, 6, 0),
    ):
        assert bend.at(y) == pytest.approx((x, lean)), y
    on = replace(bend, lean0=0.5, lean1=0.5)
    for up in (4, 5.5, 8, 12):
        assert on.at(up) == pytest.approx((2 + (up - 4) / 2, 0.5)), "it runs on in a line"
    assert on.at(3.9) == (2, 0) and on.at(12.1) == (6, 0)


def test_a_ribbon_moved_with_its_edge_leans_evenly_between_the_heights_it_is_moved_at() -> None:
    moved = Length(
        8, 3, x0=2, x1=2, bottom=0, low=4, high=12, top=30, lean0=0, lean1=0, over=True, raised=True, knit=(None,) * 3,
        drift=((10, 1), (20, 3), (24, 4)),
    )  # fmt: skip
    told = [(5, 1), (10, 1), (12.5, 1.5), (15, 2), (20, 3), (22, 3.5), (24, 4), (30, 4)]
    assert [(y, moved.drifted(y)) for y, _ in told] == told
    assert moved.at(15) == pytest.approx((4, 0.2))
    assert moved.at(2) == pytest.approx((3, 0))


def test_only_what_is_in_sight_is_given() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, LEFT_IN_FRONT.replace("8", "9", 1), rows=200))
    part = window(fabric, 100, 103)
    assert {one.row for one in lengths(fabric, Face.KNIT, part)} <= {96, 97, 104, 105}
    assert all(one.top > 99 and one.bottom < 103 for one in lengths(fabric, Face.KNIT, part))


def test_what_lies_below_comes_first() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    assert [one.over for one in lengths(fabric, Face.KNIT, window(fabric))] == [False, False, True, True]


# --- where the panel changes width ----------------------------------------------


def carried(do: str = "decrease", tool: int = 6, every: int = 3) -> Fabric:
    """A rope two stitches inside the left edge, moved with it."""
    return Fabric(
        shaped_plan(
            cable("L18-L17 over L16-L15", first_row=6, every=6, times=6, follows="left"),
            needles="L20-R20",
            rows=44,
            shape=[{"edge": "left", "do": do, "tool": tool, "first_row": 9, "every": every, "times": 7}],
        )
    )


def test_a_rope_moved_twice_is_moved_half_way_in_the_middle_of_each_row_it_is_moved_in_and_leans_evenly_between() -> (
    None
):
    """Crossed in row 5, its edge decreased before rows 10 and 20: a needle to the right at the bed each time."""
    fabric = Fabric(
        shaped_plan(
            cable("L18-L17 over L16-L15", first_row=5, every=40, times=1, follows="left"),
            needles="L20-R20",
            rows=44,
            shape=[{"edge": "left", "do": "decrease", "tool": 6, "first_row": 10, "every": 10, "times": 2}],
        )
    )
    for face, right in ((Face.PURL, 1), (Face.KNIT, -1)):
        drifts = {one.drift for one in lengths(fabric, face, window(fabric))}
        assert drifts == {((9, 0), (9.5, 0.5 * right), (19.5, 1.5 * right), (20, 2 * right))}


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize("do", ["decrease", "increase"])
@pytest.mark.parametrize("every", [1, 2, 3])
def test_a_rope_moved_with_its_edge_is_two_ribbons_without_a_gap_that_keep_their_distance(
    face: Face, do: str, every: int
) -> None:
    fabric = carried(do, every=every)
    part = window(fabric)
    found = lengths(fabric, face, part)
    assert len(found) == 2 * 6
    for below, above in pairwise(sorted({one.row for one in found})):
        ends = sorted(one.at(one.top)[0] for one in found if one.row == below)
        begins = sorted(one.at(one.bottom)[0] for one in found if one.row == above)
        assert ends == pytest.approx(begins)
    for one in found:
        for row in range(max(2, round(one.bottom) + 1), min(44, round(one.top))):
            edge = part.seen(min(fabric.knit_in(row)), face)
            # The outermost stitch of the two strands is the third from the edge; half a needle for the lean of it all.
            inside = [abs(other.at(row - 0.5)[0] - edge) for other in found if other.row == one.row]
            assert min(inside) == pytest.approx(3 if face is Face.KNIT else 2, abs=1.6)


def test_a_strand_its_tool_leaves_behind_is_not_followed_on_to_other_stitches() -> None:
    narrow = carried(tool=3)
    found = lengths(narrow, Face.KNIT, window(narrow))
    assert len({(one.row, one.width) for one in found}) > 2
    assert any(one.width == 1 for one in found)


def test_short_rows_leave_no_hole_in_the_fabric() -> None:
    """What stands over a place is a stack of its own rows: a needle's own row count is what the fabric has there."""
    patterns = Path(__file__).parents[2] / "patterns"
    darted = shaped_plan(
        needles="L20-R20",
        rows=40,
        shape=[
            {"edge": "left", "do": "hold", "stitches": 5, "first_row": 11, "every": 2, "times": 3},
            {"edge": "left", "do": "return", "stitches": "all", "first_row": 17},
        ],
    )
    jersey = [planfile.read(path).plan for path in patterns.glob("slipway-jersey-*.toml")]
    for plan in (darted, *jersey):
        fabric = Fabric(plan)
        own: dict[int, int] = {}
        for row in range(1, fabric.rows + 1):
            for place in fabric.knit_in(row):
                own[place] = own.get(place, 0) + 1
                if place not in fabric.empty(1):
                    assert fabric.height(place, row) == own[place]
        for place, rows in own.items():
            stands = [place not in fabric.empty(height) for height in range(1, fabric.rows + 1)]
            assert sum(stands) == rows
            first = stands.index(True)
            assert all(stands[first : first + rows])
    assert Fabric(darted).height(-20, 40) == 34 and Fabric(darted).height(-20, 13.5) == 10
