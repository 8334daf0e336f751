"""The fabric in characters: what a knitter would see, from either side."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.fabric.picture import draw, legend, picture_text, window
from purlside.fabric.stitches import Fabric, Face
from purlside.fabric.written import crossing
from purlside.text.signs import Tone, text
from tests.fabric.test_stitches import LEFT_IN_FRONT, RIGHT_IN_FRONT, panel
from tests.plans import plan


def drawn(*cables: str, face: Face = Face.KNIT, rows: tuple[int, int] = (7, 10), out: str = "[]") -> list[str]:
    fabric = Fabric(panel(*cables, needles="L4-R4", out=out))
    return text(draw(fabric, face, window(fabric, *rows), per=2).lines).splitlines()


def test_a_right_half_in_front_runs_from_lower_left_to_upper_right_on_the_knit_side() -> None:
    assert drawn(RIGHT_IN_FRONT) == [
        "      R4      L1    L4",
        " 10      \\ \\ / / /",
        "  9       \\ / / /",
        "  8 •     / / / \\",
        "  7      / / / \\ \\",
        "      R4      L1    L4",
    ]


def test_the_ground_is_blank_on_the_knit_side_and_bumps_on_the_purl_side() -> None:
    fabric = Fabric(panel())
    for face, ground in ((Face.KNIT, set("")), (Face.PURL, {"-"})):
        assert set("".join(text(draw(fabric, face, per=1).body).split())) == ground


def test_every_row_is_one_line_and_knows_its_row() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, 'cross = "R5 over R4"\nfirst_row = 9'))
    drawing = draw(fabric, Face.KNIT, window(fabric, 7, 17, left=-6, right=-4))
    assert drawing.rows == [None, *range(17, 6, -1), None]
    assert [line[0][0].split() for line in drawing.lines[1:4]] == [["17"], ["16", "•"], ["15"]]


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize(("cable", "sign"), [(RIGHT_IN_FRONT, "/"), (LEFT_IN_FRONT, "\\")])
def test_the_strands_on_top_are_whole_and_lean_alike_from_either_side(cable: str, sign: str, face: Face) -> None:
    lines = drawn(cable, face=face, rows=(8, 9))[1:-1]
    assert [line[6:].count(sign) for line in lines] == [3, 3]
    other = "/\\".replace(sign, "")
    assert all(line[6:].count(other) < 3 for line in lines), "what lies below is hidden in part"


def test_on_the_purl_side_it_is_the_half_behind_that_runs_through() -> None:
    fabric = Fabric(panel('cross = "R1 over L3-L1"\nfirst_row = 8'))
    for face, tone, strands in ((Face.KNIT, "/", 1), (Face.PURL, "/", 3)):
        lines = text(draw(fabric, face, window(fabric, 8, 9), per=3).body).splitlines()
        assert [line.count(tone) for line in lines] == [strands, strands]


def test_strands_run_on_from_crossing_to_crossing() -> None:
    fabric = Fabric(panel('cross = "R1-R3 over L3-L1"\nfirst_row = 8\nevery = 12'))
    lines = text(draw(fabric, Face.KNIT, window(fabric, 1, 20), per=1).body).splitlines()
    assert lines[20 - 14] == "   ││││││", "between two crossings"
    assert lines[20 - 1] == "   ││││││", "from the cast-on on"
    assert [len(line.strip()) for line in lines if line.strip() and "│" not in line]


def test_a_crossing_far_outside_the_part_in_sight_changes_nothing_in_it() -> None:
    plain, far = (Fabric(panel(*cables)) for cables in ([], [RIGHT_IN_FRONT]))
    parts = [draw(f, Face.PURL, window(f, 1, 20, left=-6, right=-5)).lines for f in (plain, far)]
    assert [line[1:] for line in parts[0]] == [line[1:] for line in parts[1]]


def test_the_loops_of_a_crossing_row_are_marked_on_the_half_they_belong_to() -> None:
    both = RIGHT_IN_FRONT + '\nease = ["enlarge", "extra rows"]\nenlarged_size = 9\nextra_rows = 2'
    fabric = Fabric(panel(both, out='["R6"]'))
    knit, purl = (text(draw(fabric, face, window(fabric, 8, 8), per=1).body) for face in Face)
    assert knit.strip() == "×   333O", "the half in front, of three rows, hides some of the larger loops behind"
    assert purl == "----OOO3---×"
    hand = Fabric(panel('cross = "R1 over L1"\nfirst_row = 8\nease = "by hand"'))
    assert "@" in text(draw(hand, Face.KNIT, window(hand, 8, 8)).body)


def test_a_needle_is_found_in_its_column() -> None:
    fabric = Fabric(panel(out='["R2"]'))
    for face in Face:
        drawing = draw(fabric, face, window(fabric, 1, 1), per=3)
        cell = text([drawing.lines[1]])[drawing.gutter + drawing.window.seen(1, drawing.face) * drawing.per :][:3]
        assert cell.strip() == "×"


@given(st.integers(1, 120), st.integers(8, 200))
def test_no_line_is_wider_than_the_screen_and_what_is_cut_has_a_sign(needles: int, width: int) -> None:
    fabric = Fabric(panel(needles=f"L{needles}-R{needles}"))
    drawing = draw(fabric, Face.PURL, window(fabric, 1, 2), width=width)
    lines = text(drawing.lines).splitlines()
    assert max(map(len, lines)) <= width
    whole = drawing.window.right - drawing.window.left + 1 == 2 * needles
    assert ("‹" not in lines[0] and "›" not in lines[0]) is whole
    if not whole:
        assert drawing.window.right - drawing.window.left + 1 == width - drawing.gutter - 1, (
            "as many as there is room for"
        )
        assert abs((drawing.window.left + needles) - (needles - 1 - drawing.window.right)) <= 1, (
            "cut on both sides alike"
        )


def test_cut_in_the_middle_of_a_cable_the_rest_is_still_drawn_right() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    whole = draw(fabric, Face.PURL, window(fabric, 8, 9), per=1)
    part = draw(fabric, Face.PURL, window(fabric, 8, 9, left=-6, right=-1), per=1)
    for seen, all_of_it in zip(part.body, whole.body, strict=True):
        assert text([seen]) == text([all_of_it])[:6].rstrip()


@given(st.sampled_from(list(Side)), st.integers(1, 4), st.integers(1, 4), st.sampled_from([1, 2, 3]))
def test_every_strand_on_top_is_seen_in_both_rows_of_the_crossing(lean: Side, a: int, b: int, per: int) -> None:
    made = crossing(lean, a, b, panel().panel.needles.left)
    fabric = Fabric(panel(f'cross = "{made}"\nfirst_row = 8'))
    stroke = "/" if lean is Side.RIGHT else "\\"
    for line in draw(fabric, Face.KNIT, window(fabric, 8, 9), per=per).body:
        assert sum(part.count(stroke) for part, tone in line if tone is Tone.FRONT) == a


def test_the_text_says_its_side_its_rows_and_its_marks() -> None:
    told = picture_text(panel(RIGHT_IN_FRONT), Face.PURL, (5, 9))
    assert told.startswith("Purl side, rows 5–9 of 20, needles L6 to R6 (as at the bed)")
    assert "• a crossing row" in told
    assert "ladder" not in told
    assert picture_text(panel(), Face.KNIT, (5, 5)).startswith("Knit side, row 5 of 20, needles R6 to L6 (mirrored")


def test_only_what_is_drawn_is_explained() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT + '\nease = "extra rows"\nextra_rows = 2', out='["L5"]'))
    assert [words[0] for words in legend(draw(fabric, Face.PURL))] == ["-", "/", "×", "•", "3"]
    assert legend(draw(Fabric(panel()), Face.KNIT)) == []


def test_the_plain_drawing_has_only_plain_characters() -> None:
    assert picture_text(panel(RIGHT_IN_FRONT, out='["L5"]'), ascii_only=True).isascii()


def test_what_cannot_be_knit_is_marked_in_its_row_and_told() -> None:
    told = picture_text(panel(RIGHT_IN_FRONT, 'cross = "R3-R4 over R1-R2"\nfirst_row = 8'))
    assert "\n  8 ! " in told
    assert "Row 8: " in told


@pytest.mark.parametrize(("rows", "first", "last"), [((-5, 3), 1, 3), ((18, 99), 18, 20), ((30, 40), 20, 20)])
def test_rows_outside_the_panel_are_left_out(rows: tuple[int, int], first: int, last: int) -> None:
    part = window(Fabric(panel()), *rows)
    assert (part.first, part.last) == (first, last)


def test_beyond_the_edges_and_where_stitches_rest_nothing_is_drawn_as_knit() -> None:
    shaped = plan(
        needles="L3-R3",
        rows=6,
        shape=[
            {"edge": "left", "do": "decrease", "first_row": 3},
            {"edge": "right", "do": "increase", "first_row": 5},
        ],
    )
    drawn = picture_text(shaped, Face.PURL, ascii_only=True).splitlines()
    needles = {line[:3].strip(): line[5:] for line in drawn if line[:3].strip().isdigit()}
    assert [needles[row].split() for row in ("2", "3", "5")] == [
        ["[", "-", "-", "-", "-", "-", "-", "]"],
        ["[", "/", "-", "-", "-", "-", "]"],
        ["[", "-", "-", "-", "-", "-", "+", "]"],
    ]
    places = [re.search(r"\[.*\]", needles[row]).span() for row in ("2", "3", "5")]  # type: ignore[union-attr]
    assert places == [(0, 20), (3, 20), (3, 23)], "three columns a needle, at the edge itself"
    assert "[ ] an edge: nothing is knit beyond it" in drawn[-1]


SHOULDER = """
[[shape]]
edge = "left"
do = "cast off"
stitches = 2
first_row = 6
[[shape]]
edge = "left"
do = "hold"
stitches = 2
first_row = 7
every = 2
times = 2
[[shape]]
edge = "left"
do = "return"
stitches = "all"
first_row = 11
"""


def test_what_rested_stands_lower_and_what_is_cast_off_is_marked_where_it_ends() -> None:
    fabric = Fabric(panel(rows=12, extra=SHOULDER))
    purl = dict(zip(range(12, 0, -1), text(draw(fabric, Face.PURL, per=1).lines).splitlines()[1:-1], strict=True))
    lines = {row: line[5:] for row, line in purl.items()}
    assert lines[4] == "▐------------▌"
    assert lines[5] == "▐▬▬----------▌", "the last row of those cast off before row 6"
    assert lines[6] == "  ▐▪▪--------▌", "the last row of those that rest from row 7 on"
    assert lines[7] == "  ▐▫▫--------▌", "row 11 takes them up again where they were"
    assert lines[8] == "  ▐--▪▪------▌"
    assert lines[9].startswith("    ▐▫▫"), "they rested for two rows, the outer ones for four"
    assert lines[12] == "      ▐------▌"
    told = legend(draw(fabric, Face.PURL))
    assert {"▬ cast off", "▪ short row", "▫ return"} <= set(told)


def test_of_a_panel_with_a_shape_the_whole_is_seen_in_80_columns() -> None:
    wide = panel(needles="L76-R76", rows=12, extra=SHOULDER)
    drawn = picture_text(wide, Face.PURL, width=80).splitlines()
    rows = [line for line in drawn if line[:3].strip().isdigit()]
    assert max(map(len, rows)) <= 80
    assert all(line.endswith("▌") and "▐" in line for line in rows), "both edges, in every row"
    assert "3 needles to a column" in drawn[-1]
    assert "to a column" not in picture_text(wide, Face.PURL, width=200)


NECK = """
[[shape]]
edge = "both"
do = "decrease"
tool = 2
first_row = 3
every = 2
times = 2
[[stitch]]
needles = "L2"
do = "bead"
first_row = 4
[[stitch]]
needles = "R2"
do = "purl"
first_row = 6
[[part]]
name = "right"
needles = "R1-R6"
rows = 4
[[part]]
name = "left"
mirrors = "right"
"""


def test_parts_stand_side_by_side_on_the_panel_and_its_true_edges_are_drawn() -> None:
    fabric = Fabric(panel(rows=8, extra=NECK))
    assert fabric.rows == 12, "four rows of either part, side by side"
    assert fabric.bare(2) == frozenset() and fabric.bare(3) == {-6, 5} and fabric.bare(12) == {-6, -5, 4, 5}
    lines = text(draw(fabric, Face.PURL, per=1).body).splitlines()
    assert [line.strip() for line in lines[:4]] == ["▐" + "-" * 8 + "▌"] * 4
    assert lines[-1] == "-" * 7 + " " + "-" * 4, "and what is latched up from the knit side is knit here"


def test_two_stitches_in_one_lean_inwards_beads_and_purl_columns_are_marked_from_either_side() -> None:
    fabric = Fabric(panel(rows=8, extra=NECK))
    knit, purl = (dict(zip(range(12, 0, -1), text(draw(f, face, per=1).body).splitlines(), strict=True))
                  for f in [fabric] for face in Face)  # fmt: skip
    assert purl[3] == "▐-/---- -\\-▌"
    assert purl[3].index("/") < purl[3].index("\\") and knit[3].index("/") < knit[3].index("\\")
    assert purl[4].index("●") == 4 and knit[4].index("●") == 7, "the second needle left of the centre"
    assert [row for row in range(1, 13) if "-" in knit[row]] == [1, 2, 3, 4, 5, 6], "from the cast-on to row 6"
    assert knit[5].index("-") == 4 and purl[5][7] == " ", "knit where the purl side is looked at"
    told = legend(draw(fabric, Face.KNIT))
    assert "● bead" in told and "/ decrease" in told
    assert picture_text(fabric, ascii_only=True).isascii()
