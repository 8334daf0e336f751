"""The fabric in characters: what a knitter would see, from either side."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.fabric.picture import ASCII, UNICODE, draw, picture_text, window
from purlside.fabric.stitches import Fabric, Face
from purlside.fabric.written import crossing
from purlside.shown.strip import Tone, text
from tests.fabric.test_stitches import LEFT_IN_FRONT, RIGHT_IN_FRONT, panel


def drawn(*cables: str, face: Face = Face.KNIT, rows: tuple[int, int] = (7, 9), out: str = "[]") -> list[str]:
    fabric = Fabric(panel(*cables, needles="L4-R4", out=out))
    return text(draw(fabric, face, window(fabric, *rows), per=2).lines).splitlines()


def test_a_right_half_in_front_runs_from_lower_left_to_upper_right_on_the_knit_side() -> None:
    assert drawn(RIGHT_IN_FRONT) == [
        "      R4      L1    L4",
        "  9   v v v v v v v v",
        r"         \ \ / / /",
        r"           / / /",
        "         / / / \\ \\",
        "  8 • v v v v v v v v",
        "  7   v v v v v v v v",
        "      R4      L1    L4",
    ]


def test_the_mirror_image_crosses_the_other_way() -> None:
    assert drawn(LEFT_IN_FRONT)[2:5] == [
        r"         \ \ \ / /",
        "           \\ \\ \\",
        "         / / \\ \\ \\",
    ]


def test_the_purl_side_shows_the_bed_as_it_stands_and_the_same_handedness() -> None:
    lines = drawn(RIGHT_IN_FRONT, face=Face.PURL)
    assert lines[0].split() == ["L4", "L1", "R4"]
    assert lines[2:5] == drawn(RIGHT_IN_FRONT)[2:5]
    assert lines[1].split() == ["9", *"--------"]


def test_on_the_purl_side_it_is_the_half_behind_that_runs_through() -> None:
    fabric = Fabric(panel('cross = "R1 over L3-L1"\nfirst_row = 8'))
    knit, purl = (draw(fabric, face, window(fabric, 8, 8), per=3) for face in Face)
    assert [tone for part, tone in knit.lines[2] if part.strip()].count(Tone.FRONT) == 1
    assert Tone.FRONT not in [tone for part, tone in purl.lines[2] if "/" in part or "\\" in part]
    assert Tone.BACK in [tone for _, tone in purl.lines[2]]


def test_enlarged_extra_and_by_hand_stitches_and_ladders_have_marks_of_their_own() -> None:
    lines = drawn(
        RIGHT_IN_FRONT + '\nease = ["enlarge", "extra rows"]\nenlarged_size = 9\nextra_rows = 2', out='["R4"]'
    )
    assert lines[5] == "  8 • × 3 3 3 O O O v"
    by_hand = drawn('cross = "R1 over L1"\nfirst_row = 8\nease = "by hand"')
    assert by_hand[3] == "  8 • v v v @ v v v v"


def test_a_whole_panel_is_one_line_a_row_with_the_crossing_in_its_row() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT, rows=100))
    drawing = draw(fabric, Face.KNIT, per=1)
    assert len(drawing.lines) == 102
    assert drawing.rows == [None, *range(100, 0, -1), None]
    assert text([drawing.lines[100 - 8 + 1]]) == "  8 • vvv  /// vvv"


def test_every_line_knows_its_row() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    drawing = draw(fabric, Face.KNIT, window(fabric, 7, 9))
    assert drawing.rows == [None, 9, 8, 8, 8, 8, 7, None]


def test_a_needle_is_found_in_its_column() -> None:
    fabric = Fabric(panel(out='["R2"]'))
    for face in Face:
        drawing = draw(fabric, face, window(fabric, 1, 1), per=3)
        cell = text([drawing.lines[1]])[drawing.column(1) :][:3]
        assert cell.strip() == "×"


@given(st.integers(1, 120), st.integers(12, 200))
def test_no_line_is_wider_than_the_screen_and_what_is_cut_has_a_sign(needles: int, width: int) -> None:
    fabric = Fabric(panel(needles=f"L{needles}-R{needles}"))
    drawing = draw(fabric, Face.KNIT, window(fabric, 1, 2), width=width)
    lines = text(drawing.lines).splitlines()
    assert max(map(len, lines)) <= width
    whole = drawing.window.right - drawing.window.left + 1 == 2 * needles
    assert ("‹" not in lines[0] and "›" not in lines[0]) is whole


def test_cut_in_the_middle_of_a_cable_the_rest_is_still_drawn_right() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    whole = draw(fabric, Face.PURL, window(fabric, 8, 8), per=1)
    part = draw(fabric, Face.PURL, window(fabric, 8, 8, left=-6, right=-1), per=1)
    for seen, all_of_it in zip(part.lines[1:5], whole.lines[1:5], strict=True):
        assert text([seen]) == text([all_of_it])[: part.gutter + 6].rstrip()


@given(st.sampled_from(list(Side)), st.integers(1, 4), st.integers(1, 4), st.sampled_from([1, 2, 3]))
def test_every_strand_on_top_is_seen_on_every_line_of_the_crossing(lean: Side, a: int, b: int, per: int) -> None:
    made = crossing(lean, a, b, panel().panel.needles.left)
    fabric = Fabric(panel(f'cross = "{made}"\nfirst_row = 8'))
    drawing = draw(fabric, Face.KNIT, window(fabric, 8, 8), per=per)
    stroke = "/" if lean is Side.RIGHT else "\\"
    lines = text(drawing.lines[1:-2]).splitlines()
    assert lines
    assert all(line.count(stroke) == a for line in lines)


def test_the_text_says_its_side_its_rows_and_its_marks() -> None:
    told = picture_text(panel(RIGHT_IN_FRONT), Face.PURL, (5, 9))
    assert told.startswith("Purl side, rows 5–9 of 20, needles L6 to R6 (as at the bed)")
    assert "• a crossing row" in told
    assert "ladder" not in told


def test_the_plain_drawing_has_only_plain_characters() -> None:
    told = picture_text(panel(RIGHT_IN_FRONT, out='["L5"]'), ascii_only=True)
    assert told.isascii()
    assert ASCII != UNICODE


def test_what_cannot_be_knit_is_marked_in_its_row_and_told() -> None:
    told = picture_text(panel(RIGHT_IN_FRONT, 'cross = "R3-R4 over R1-R2"\nfirst_row = 8'))
    assert "\n  8 ! " in told
    assert "Row 8: " in told


@pytest.mark.parametrize(("rows", "first", "last"), [((-5, 3), 1, 3), ((18, 99), 18, 20), ((30, 40), 20, 20)])
def test_rows_outside_the_panel_are_left_out(rows: tuple[int, int], first: int, last: int) -> None:
    part = window(Fabric(panel()), *rows)
    assert (part.first, part.last) == (first, last)
