"""The published chart: its symbols stand where the stitches cross, lean as they lean, and mean what the key says."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given, settings

from purlside.bed.needles import Side
from purlside.fabric.paper import SHEET_MM
from purlside.fabric.published import LeftOut, Published, chart_svg, chart_text, published
from purlside.fabric.stitches import Fabric
from purlside.plan.plan import Plan
from tests.fabric.test_stitches import LEFT_IN_FRONT, RIGHT_IN_FRONT, panel
from tests.plans import plans

SVG = "{http://www.w3.org/2000/svg}"


def chart(*cables: str, needles: str = "L6-R6", rows: int = 40, out: str = "[]") -> Published:
    return published(Fabric(panel(*cables, needles=needles, rows=rows, out=out)))


def paths(svg: str, css: str) -> list[list[float]]:
    return [
        [float(n) for n in re.findall(r"-?[\d.]+", p.get("d", ""))]
        for p in ET.fromstring(svg).iter(f"{SVG}path")
        if p.get("class") == css
    ]


def test_a_right_cross_is_drawn_from_the_lower_left_its_front_strip_whole() -> None:
    assert "   [      / / / ──────      ] 8" in chart_text(chart(RIGHT_IN_FRONT)).splitlines()
    assert "──────\\ \\ \\" in chart_text(chart(LEFT_IN_FRONT))


def test_the_ground_is_blank_and_neither_dot_nor_bar_stands_in_it() -> None:
    for line in chart_text(chart(RIGHT_IN_FRONT)).splitlines():
        if match := re.match(r" *\d* [│\[](.*)[│\]]", line):
            assert not set(match[1]) - set(" /─"), line


@settings(max_examples=60, deadline=None)
@given(plans(most_rows=30))
def test_symbols_stand_over_the_stitches_that_cross_in_the_row_after_which_they_do(plan: Plan) -> None:
    fabric = Fabric(plan)
    made = published(fabric, (1, fabric.rows))
    expected = [(row, one) for row in fabric.crossing_rows() for one in fabric.row(row).crossings]
    assert [(s.row, s.made) for s in made.symbols] == expected
    for symbol in made.symbols:
        seen = [c for c in made.columns[symbol.at : symbol.end + 1] if c not in fabric.ladders]
        assert seen == [int(n) for n in reversed(symbol.made.needles)], "as seen on the knit side, no column left out"
    stitches = sum(c.stitches if isinstance(c, LeftOut) else 1 for c in made.columns)
    assert stitches == len(plan.panel.needles)
    svg = chart_svg(made)
    root = ET.fromstring(svg)
    assert float(root.get("width", "")[:-2]) <= SHEET_MM[0] + 0.01
    assert float(root.get("height", "")[:-2]) <= SHEET_MM[1] + 0.01
    for front, symbol in zip(paths(svg, "front"), [*made.symbols], strict=False):
        low, high = front[0], front[2]
        assert (high > low) is (symbol.made.lean() is Side.RIGHT)


def test_each_strip_is_as_wide_as_its_half_and_goes_from_end_to_end_of_its_squares() -> None:
    svg = chart_svg(chart('cross = "R1-R2 over L3-L1"\nfirst_row = 8\nevery = 8'))
    [box, *_], [front, *_], [back, *_] = (paths(svg, css) for css in ("cable", "front", "behind"))
    x, y, wide, high = box[:4]
    w = wide / 5
    assert front[:5] == pytest.approx([x, y + high, x + 3 * w, y, 2 * w], abs=0.02)
    assert back[:5] == pytest.approx([x + 2 * w, y + high, x, y, 3 * w], abs=0.02)


def test_the_repeat_is_framed_and_said() -> None:
    made = chart(RIGHT_IN_FRONT, rows=43)
    assert made.framed == (1, 8)
    assert "Framed: the repeat of 8 rows, knit 5 times, rows 1–40." in made.notes
    framed = [line for line in chart_text(made).splitlines() if re.search(r"\[.*\] ?\d*$", line)]
    assert [int(re.sub(r"\D", "", line)) for line in framed] == [8, 7, 6, 5, 4, 3, 2, 1]
    [box] = paths(chart_svg(made), "repeat")
    squares = paths(chart_svg(made), "cable")[0]
    assert (box[1] - box[2]) / squares[3] == pytest.approx(8, abs=0.05)


def test_right_side_rows_are_those_that_cross_and_are_numbered_on_the_right() -> None:
    even, odd = chart(RIGHT_IN_FRONT), chart(RIGHT_IN_FRONT.replace("first_row = 8", "first_row = 7"))
    assert even.right_side(8) and not even.right_side(7)
    assert odd.right_side(7) and not odd.right_side(8)
    assert re.search(r"\] 8$", chart_text(even), re.MULTILINE) and re.search(r"^ ?7 \[", chart_text(even), re.MULTILINE)
    numbers = {t.text: float(t.get("x", "")) for t in ET.fromstring(chart_svg(even)).iter(f"{SVG}text") if t.text}
    assert numbers["8"] > numbers["7"]


def test_plain_stitches_far_from_cables_are_left_out_and_counted() -> None:
    made = chart(RIGHT_IN_FRONT, needles="L30-R30")
    assert [c.stitches for c in made.columns if isinstance(c, LeftOut)] == [25, 25]
    assert "25" in chart_text(made)
    assert any("as many as the figure says" in words for _, words in made.key)


def test_the_key_has_each_symbol_once_with_what_a_hand_knitter_does() -> None:
    made = chart(RIGHT_IN_FRONT, 'cross = "L6 over L5-L4"\nfirst_row = 4\nevery = 8', out='["R6"]')
    told = [words for _, words in made.key]
    assert told[0] == "blank: knit on right-side rows, purl on wrong-side rows"
    assert "3/3 RC or C6B: slip 3 to cn, hold in back, k3, k3 from cn" in told
    assert "1/2 LC: slip 1 to cn, hold in front, k2, k1 from cn" in told
    assert len(told) == len(set(told)) and "no stitch" in told


def test_of_a_repeat_too_tall_for_the_page_the_beginning_is_drawn_and_that_is_said() -> None:
    made = chart('cross = ["R1 over L1", "L1 over R1"]\nfirst_row = 8\nevery = 50', rows=600)
    assert made.last - made.first < 70
    assert made.framed is None
    assert any(note.startswith("The beginning of the repeat of 100 rows") for note in made.notes)


def test_a_panel_without_cables_and_one_without_a_repeat_have_charts_too() -> None:
    assert chart(rows=5).symbols == ()
    assert chart('cross = "R1 over L1"\nfirst_row = 8').repeat is None


def test_the_plain_drawing_has_only_plain_characters() -> None:
    assert chart_text(chart(RIGHT_IN_FRONT), ascii_only=True).isascii()


def test_a_symbol_stands_on_the_line_of_its_row_of_the_squares() -> None:
    made = chart('cross = "R1-R2 over L3-L1"\nfirst_row = 8', rows=12)
    [(_, y, _, high, *_)] = paths(chart_svg(made), "cable")[:1]
    assert (made.first, made.last) == (1, 10)
    assert y == pytest.approx(14 + (made.last - 8) * high, abs=0.05), "two rows below the top of the squares"
    numbers = {t.text: float(t.get("y", "")) for t in ET.fromstring(chart_svg(made)).iter(f"{SVG}text") if t.text}
    assert y < numbers["8"] < y + high, "its number beside it"


def test_a_wide_chart_has_its_key_below_the_squares_a_narrow_one_beside_them_and_both_have_room_for_it() -> None:
    for wide in (False, True):
        ropes = [f'cross = "L{n}-L{n - 2} over L{n - 3}-L{n - 5}"\nfirst_row = 8\nevery = 8' for n in range(40, 5, -6)]
        made = chart(*(ropes if wide else [RIGHT_IN_FRONT]), needles="L40-R6" if wide else "L6-R6")
        svg = ET.fromstring(chart_svg(made))
        [squares] = [p for p in svg.iter(f"{SVG}path") if p.get("stroke") == "#999" and p.get("fill") == "none"]
        right, low = (max(float(n) for n in re.findall(rf"{way}([\d.]+)", squares.get("d", ""))) for way in "HV")
        if wide:
            left = min(float(x) for x in re.findall(r"M([\d.]+) ", squares.get("d", "")))
            assert left + right == pytest.approx(SHEET_MM[0], abs=0.02), "as wide as the sheet, numbers on both sides"
        told = [t for t in svg.iter(f"{SVG}text") if (t.text or "").startswith(("blank:", "3/3", "Right-side", "cn:"))]
        assert len(told) >= 4
        for text in told:
            x, y = float(text.get("x", "")), float(text.get("y", ""))
            assert (y > low + 2 and x < right) if wide else (x > right and y < float(svg.get("height", "")[:-2]))
            assert y < float(svg.get("height", "")[:-2])


def test_what_stands_in_single_squares_stands_in_those_alone() -> None:
    """A bead on L2 in row 4, a needle out of work, a decrease at the left before row 3: square by square."""
    extra = (
        '[[stitch]]\nneedles = "L2"\ndo = "bead"\nfirst_row = 4\n'
        '[[shape]]\nedge = "left"\ndo = "decrease"\nfirst_row = 3\n'
    )
    made = published(Fabric(panel(out='["R3"]', rows=6, extra=extra)), (1, 6))
    signs = {(row, c): s for row in range(1, 7) for c in range(-6, 6) if (s := made.sign(row, c))}
    none = {(row, 2) for row in range(1, 7)} | {(row, -6) for row in range(3, 7)}
    # The left edge is on the right on the knit side, and the stitch moved inwards leans to the left there.
    assert signs == dict.fromkeys(none, "x") | {(3, -5): "\\", (4, -2): "●"}
    svg = chart_svg(made)
    [lines] = [p.get("d", "") for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("stroke") == "#999"][:1]
    left, top = (float(n) for n in re.findall(r"M([\d.]+) ([\d.]+)V", lines)[0])
    [grey] = [p.get("d", "") for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("class") == "none"]
    boxes = [tuple(map(float, box)) for box in re.findall(r"M([\d.]+) ([\d.]+)h([\d.]+)v([\d.]+)", grey)]
    assert {(6 - round((y - top) / high), 5 - round((x - left) / wide)) for x, y, wide, high in boxes} == none
    [bead] = [t for t in ET.fromstring(svg).iter(f"{SVG}text") if t.text == "●" and t.get("font-size") != "2.3"]
    wide, high = boxes[0][2:]
    assert float(bead.get("x", "")) == pytest.approx(left + (5 + 2 + 0.5) * wide, abs=0.02)
    assert top + (6 - 4) * high < float(bead.get("y", "")) < top + (6 - 4 + 1) * high
    upright = [float(x) for x in re.findall(r"M([\d.]+) [\d.]+V", lines)]
    assert [b - a for a, b in pairwise(upright)] == pytest.approx([boxes[0][2]] * 11, abs=0.02), "a line a needle"


@pytest.mark.parametrize("rows", [9, 40, 200])
def test_a_needle_has_two_columns_where_the_screen_has_room_for_them(rows: int) -> None:
    made = published(Fabric(panel(RIGHT_IN_FRONT, rows=rows)), (rows - 8, rows))

    def longest(width: int) -> int:
        drawn = [line for line in chart_text(made, width=width).splitlines() if re.match(r" *\d* [│\[]", line)]
        return max(map(len, drawn))

    whole = longest(200)
    assert longest(whole + 2) == whole, "a column to spare on either side"
    assert longest(whole - 1) == whole - len(made.columns)
