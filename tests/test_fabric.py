"""The fabric: what was knit and crossed, seen from either side."""

import pytest

from purlside.fabric import Fabric, Face
from purlside.needles import Needle, Side
from purlside.plan import Plan
from purlside.planfile import parse


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
    course = Fabric(panel(RIGHT_IN_FRONT)).course(1)
    assert (course.stitches, course.made, course.refused) == ({}, (), ())


def test_the_half_placed_first_lies_on_top_on_the_knit_side_and_below_on_the_purl_side() -> None:
    [made] = Fabric(panel(RIGHT_IN_FRONT)).course(8).made
    assert travel(made.over(Face.KNIT)) == ["R1>L3", "R2>L2", "R3>L1"]
    assert travel(made.over(Face.PURL)) == ["L3>R1", "L2>R2", "L1>R3"]
    assert made.under(Face.KNIT) == made.over(Face.PURL)


@pytest.mark.parametrize(("cable", "lean"), [(RIGHT_IN_FRONT, Side.RIGHT), (LEFT_IN_FRONT, Side.LEFT)])
def test_turning_the_fabric_over_keeps_the_lean_of_the_strand_on_top(cable: str, lean: Side) -> None:
    [made] = Fabric(panel(cable)).course(8).made
    assert made.lean(Face.KNIT) is lean
    assert made.lean(Face.PURL) is lean


def test_what_is_left_at_the_bed_is_right_on_the_knit_side() -> None:
    assert list(Face.PURL.order(-3, 2)) == [-3, -2, -1, 0, 1, 2]
    assert list(Face.KNIT.order(-3, 2)) == [2, 1, 0, -1, -2, -3]


def test_the_half_behind_has_the_larger_loops() -> None:
    course = Fabric(panel(RIGHT_IN_FRONT + '\nease = "enlarge"\nenlarged_size = 9')).course(8)
    assert {str(Needle(p)): s.size for p, s in course.stitches.items()} == {"L3": 9, "L2": 9, "L1": 9}
    assert all(s.enlarged and s.rows == 1 and not s.by_hand for s in course.stitches.values())


def test_the_half_in_front_has_the_extra_rows() -> None:
    course = Fabric(panel(RIGHT_IN_FRONT + '\nease = "extra rows"\nextra_rows = 2')).course(8)
    assert {str(Needle(p)): s.rows for p, s in course.stitches.items()} == {"R1": 3, "R2": 3, "R3": 3}


def test_a_stitch_knit_by_hand_is_told_from_an_enlarged_one() -> None:
    course = Fabric(panel('cross = "R1 over L3-L1"\nfirst_row = 8\nease = "by hand"')).course(8)
    assert list(course.stitches) == [0]
    assert course.stitches[0].by_hand


def test_a_needle_out_of_work_is_a_ladder_and_never_a_stitch() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, out='["L5", "R5"]'))
    assert fabric.ladders == {-5, 4}
    assert not fabric.ladders & set(fabric.course(8).stitches)


def test_a_crossing_the_bed_refuses_is_not_in_the_fabric_and_says_why() -> None:
    course = Fabric(panel('cross = "R5-R7 over R2-R4"\nfirst_row = 8')).course(8)
    assert course.made == ()
    assert "outside the panel" in course.refused[0]


def test_of_two_crossings_that_share_needles_only_one_is_in_the_fabric() -> None:
    course = Fabric(panel(RIGHT_IN_FRONT, 'cross = "R3-R4 over R1-R2"\nfirst_row = 8')).course(8)
    assert [made.cable for made in course.made] == ["cable 1"]
    assert "already crossed" in course.refused[0]


def test_a_row_that_cannot_be_walked_is_drawn_plain_and_says_why() -> None:
    both = 'cross = "{}"\nfirst_row = 8\nease = {}'
    plan = panel(both.format("R1 over L1", '"by hand"'), both.format("R1 over R2", '"extra rows"\nextra_rows = 2'))
    course = Fabric(plan).course(8)
    assert course.made == ()
    assert "by hand" in course.refused[0]


def test_a_band_gives_its_rows_their_own_size_and_no_marks() -> None:
    fabric = Fabric(panel(extra='[[band]]\nrows = "3-5"\nstitch_size = 7'))
    assert [fabric.course(row).size for row in (2, 3, 5, 6)] == [5, 7, 7, 5]
    assert fabric.course(4).stitches == {}


def test_two_crossings_of_a_rope_bring_each_stitch_home() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    home = tuple(fabric.panel)
    assert fabric.strands(7) == home
    assert " ".join(map(str, fabric.strands(8))) == "L6 L5 L4 R1 R2 R3 L3 L2 L1 R4 R5 R6"
    assert fabric.strands(16) == home


def test_a_fabric_of_a_million_rows_costs_what_is_looked_at() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, rows=1_000_000))
    assert list(fabric.crossing_rows(999_985, 1_000_000)) == [999_992, 1_000_000]
    assert len(fabric.course(999_992).made) == 1
