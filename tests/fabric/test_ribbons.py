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
    [strand] = [r for r in ribbons(laid(motifs.travelling(laying(every=2), 2, 1, 4))) if r[0].raised]
    assert strand[0].lean0 == 0
    assert strand[1].lean0 == strand[0].lean1 == pytest.approx(0.40625), "between the leans of both"
    assert strand[2].lean0 == strand[2].lean1 == 0.5, "a needle in two rows"
    assert strand[4].lean0 == 0, "where it turns back"


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
