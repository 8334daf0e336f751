"""The fabric: what was knit and crossed, seen from either side."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.moves import Weights
from purlside.bed.needles import Needle, Side
from purlside.bed.transfers import Cross
from purlside.fabric.stitches import Fabric, Face, Stitch
from purlside.files.planfile import parse
from purlside.knitting.course import Course
from purlside.knitting.deviations import Skipped
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from tests import plans
from tests.plans import strands_after


def panel(*cables: str, needles: str = "L6-R6", rows: int = 20, extra: str = "", out: str = "[]") -> Plan:
    """A small plan; each cable is the inside of a [[cable]] table without its name."""
    tables = "".join(f'[[cable]]\nname = "cable {i + 1}"\n{cable}\n' for i, cable in enumerate(cables))
    return parse(
        f'format = 1\ntitle = "Eel grass"\n[machine]\npitch_mm = 4.5\n[panel]\nneedles = "{needles}"\nrows = {rows}\n'
        f"stitch_size = 5\nout_of_work = {out}\n{extra}\n{tables}",
        "eel-grass.toml",
    )


RIGHT_IN_FRONT = 'cross = "R1-R3 over L3-L1"\nfirst_row = 8\nevery = 8'
LEFT_IN_FRONT = 'cross = "L3-L1 over R1-R3"\nfirst_row = 8\nevery = 8'


def travel(strands: tuple[tuple[Needle, Needle], ...]) -> list[str]:
    return [f"{came}>{went}" for came, went in strands]


def test_a_plain_row_has_nothing_to_tell() -> None:
    row = Fabric(panel(RIGHT_IN_FRONT)).row(1)
    assert (row.stitches, row.crossings, row.refused) == ({}, (), ())


def test_the_half_placed_first_lies_on_top_on_the_knit_side_and_below_on_the_purl_side() -> None:
    [made] = Fabric(panel(RIGHT_IN_FRONT)).row(8).crossings
    assert travel(made.over(Face.KNIT)) == ["R1>L3", "R2>L2", "R3>L1"]
    assert travel(made.over(Face.PURL)) == ["L3>R1", "L2>R2", "L1>R3"]
    assert made.under(Face.KNIT) == made.over(Face.PURL)


@pytest.mark.parametrize(("cable", "lean"), [(RIGHT_IN_FRONT, Side.RIGHT), (LEFT_IN_FRONT, Side.LEFT)])
def test_turning_the_fabric_over_keeps_the_lean_of_the_strand_on_top(cable: str, lean: Side) -> None:
    [made] = Fabric(panel(cable)).row(8).crossings
    assert made.lean(Face.KNIT) is lean
    assert made.lean(Face.PURL) is lean


def test_what_is_left_at_the_bed_is_right_on_the_knit_side() -> None:
    assert list(Face.PURL.order(-3, 2)) == [-3, -2, -1, 0, 1, 2]
    assert list(Face.KNIT.order(-3, 2)) == [2, 1, 0, -1, -2, -3]


def test_the_half_behind_has_the_larger_loops() -> None:
    row = Fabric(panel(RIGHT_IN_FRONT + '\nease = "enlarge"\nenlarged_size = 9')).row(8)
    assert {str(Needle(p)): s.size for p, s in row.stitches.items()} == {"L3": 9, "L2": 9, "L1": 9}
    assert all(s.enlarged and s.rows == 1 and not s.by_hand for s in row.stitches.values())


def test_the_half_in_front_has_the_extra_rows() -> None:
    row = Fabric(panel(RIGHT_IN_FRONT + '\nease = "extra rows"\nextra_rows = 2')).row(8)
    assert {str(Needle(p)): s.rows for p, s in row.stitches.items()} == {"R1": 3, "R2": 3, "R3": 3}


def test_a_stitch_knit_by_hand_is_told_from_an_enlarged_one() -> None:
    row = Fabric(panel('cross = "R1 over L3-L1"\nfirst_row = 8\nease = "by hand"')).row(8)
    assert list(row.stitches) == [0]
    assert row.stitches[0].by_hand


def test_a_needle_out_of_work_is_a_ladder_and_never_a_stitch() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, out='["L5", "R5"]'))
    assert fabric.ladders == {-5, 4}
    assert not fabric.ladders & set(fabric.row(8).stitches)


def test_a_crossing_the_bed_refuses_is_not_in_the_fabric_and_says_why() -> None:
    row = Fabric(panel('cross = "R5-R7 over R2-R4"\nfirst_row = 8')).row(8)
    assert row.crossings == ()
    assert "outside the panel" in row.refused[0]


def test_of_two_crossings_that_share_needles_only_one_is_in_the_fabric() -> None:
    row = Fabric(panel(RIGHT_IN_FRONT, 'cross = "R3-R4 over R1-R2"\nfirst_row = 8')).row(8)
    assert [made.cable for made in row.crossings] == ["cable 2"], "the one made first, from where the carriage stands"
    assert "already crossed" in row.refused[0]


def test_a_row_that_cannot_be_walked_is_drawn_plain_and_says_why() -> None:
    both = 'cross = "{}"\nfirst_row = 8\nease = {}'
    plan = panel(both.format("R1 over L1", '"by hand"'), both.format("R1 over R2", '"extra rows"\nextra_rows = 2'))
    row = Fabric(plan).row(8)
    assert row.crossings == ()
    assert "by hand" in row.refused[0]


def test_a_band_gives_its_rows_their_own_size_and_no_marks() -> None:
    fabric = Fabric(panel(extra='[[band]]\nrows = "3-5"\nstitch_size = 7'))
    assert [fabric.row(row).size for row in (2, 3, 5, 6)] == [5, 7, 7, 5]
    assert fabric.row(4).stitches == {}


def test_two_crossings_of_a_rope_bring_each_stitch_home() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    home = tuple(fabric.panel)
    assert strands_after(fabric, 7) == home
    assert " ".join(map(str, strands_after(fabric, 8))) == "L6 L5 L4 R1 R2 R3 L3 L2 L1 R4 R5 R6"
    assert strands_after(fabric, 16) == home


def test_a_fabric_of_many_rows_costs_what_is_looked_at() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, rows=20_000))
    assert list(fabric.crossing_rows(19_985, 20_000)) == [19_992, 20_000]
    assert len(fabric.row(19_992).crossings) == 1


@given(
    st.lists(st.sampled_from(["plain", "enlarge", "extra rows", "by hand", "both"]), min_size=3, max_size=3),
    st.sampled_from(["left", "right"]),
    st.integers(3, 4),
    st.booleans(),
)
def test_the_fabric_is_what_a_bed_carries_that_makes_every_move(
    eases: list[str], carriage: str, number: int, lean: bool
) -> None:
    blocks = ["L9-L7 over L6-L5", "L2 over L1-R2", "R6-R7 over R4-R5"]
    cables = []
    for block, ease in zip(blocks, eases, strict=True):
        cross = block if lean else " over ".join(reversed(block.split(" over ")))
        named = '["enlarge", "extra rows"]' if ease == "both" else f'"{ease}"'
        cables.append(f'cross = "{cross}"\nfirst_row = {number}\nease = {named}\nenlarged_size = 9\nextra_rows = 4')
    plan = panel(*cables, needles="L10-R10", out='["L4", "R10"]')
    plan = replace(plan, machine=replace(plan.machine, carriage=Side(carriage).value))
    working = Working(plan)
    bed = working.bed_before(number)
    for move in working.moves(number):
        if not isinstance(move, (Cross, Weights)):
            bed.push(move)
    row = Fabric(working).row(number)
    left = int(plan.panel.needles.left)
    for needle in plan.in_work:
        place = int(needle)
        stitch = row.stitches.get(place, Stitch(1, 5.0, False))
        assert (stitch.rows, stitch.size) == (bed.rows[place - left], bed.loop_size[place - left])
    for move in working.moves(number):
        if isinstance(move, Cross):
            bed.push(move)
    went = {int(went): int(came) for crossing in row.crossings for came, went in (*crossing.front, *crossing.back)}
    assert [went.get(int(n), int(n)) for n in plan.panel.needles] == bed.strand
    assert len(row.crossings) == 3


def test_a_row_prepared_for_a_crossing_that_was_skipped_has_the_loops_and_not_the_crossing() -> None:
    plan = panel(RIGHT_IN_FRONT + '\nease = "enlarge"\nenlarged_size = 9')
    fabric = Fabric(Working(Course(plan, [Skipped(8, "cable 1", 1, prepared=True)])))
    assert fabric.row(8).crossings == ()
    assert set(fabric.row(8).stitches) == {-3, -2, -1}
    assert len(fabric.row(16).crossings) == 1
    assert set(fabric.row(16).stitches) == {-3, -2, -1}
    assert list(fabric.crossing_rows()) == [16]


@given(st.lists(st.integers(1, 20), min_size=1, max_size=6, unique=True))
def test_the_crossing_rows_are_those_after_which_something_is_crossed_neighbours_too(rows: list[int]) -> None:
    fabric = Fabric(panel(*(f'cross = "R1 over L1"\nfirst_row = {row}' for row in rows)))
    assert list(fabric.crossing_rows()) == sorted(rows)
    assert list(fabric.crossing_rows(5, 12)) == [row for row in sorted(rows) if 5 <= row <= 12]


def test_parts_cross_up_to_their_last_row() -> None:
    parts = '[[part]]\nname = "one"\nneedles = "R1-R6"\nrows = 4\n[[part]]\nname = "two"\nmirrors = "one"\n'
    fabric = Fabric(panel('cross = "R2 over R3"\nfirst_row = 24\npart = "one"', extra=parts))
    assert (fabric.rows, list(fabric.crossing_rows())) == (24, [24])


def test_the_fabric_is_as_high_as_each_needle_was_knit() -> None:
    holds = '[[shape]]\nedge = "left"\ndo = "hold"\nstitches = 2\nfirst_row = 6\nevery = 2\ntimes = 2\n'
    back = '[[shape]]\nedge = "left"\ndo = "return"\nstitches = "all"\nfirst_row = 12\n'
    fabric = Fabric(panel(extra=holds + back))
    for place in range(-6, 6):
        for rows in range(21):
            assert fabric.height(place, rows) == sum(place in fabric.knit_in(n) for n in range(1, rows + 1))
    assert fabric.height(-6, 20) < fabric.height(5, 20) == 20


@pytest.mark.parametrize("do", ["decrease", "increase"])
def test_the_rows_before_which_stitches_are_moved_are_those_of_the_fully_fashioned_edges(do: str) -> None:
    shape = f'[[shape]]\nedge = "left"\ndo = "{do}"\ntool = 2\nfirst_row = 5\nevery = 4\ntimes = 3\n'
    fabric = Fabric(panel(extra=shape))
    assert list(fabric.moved_rows()) == [5, 9, 13]
    assert list(fabric.moved_rows(6, 13)) == [9, 13] and list(fabric.moved_rows(6, 12)) == [9]


def test_a_picture_has_room_for_a_thousand_crossings_and_one_row_at_least() -> None:
    fabric = Fabric(panel('cross = "R1 over L1"\nfirst_row = 4\nevery = 4'))
    assert fabric.drawn_rows(1, 20) == 20
    pairs = [plans.cable(f"R{2 * i + 1} over R{2 * i + 2}", name=f"c{i}", first_row=1, every=1) for i in range(120)]
    wide = Fabric(plans.plan(*pairs, needles="R1-R240", machine={"needles": 480}, rows=40))
    assert wide.drawn_rows(3, 40) == 10, "8 rows of 120"
    assert wide.drawn_rows(40, 40) == 40
