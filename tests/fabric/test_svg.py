"""The drawing on paper: a whole SVG document that says what it shows."""

import re
import time
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from purlside.fabric.paper import SHEET_MM
from purlside.fabric.ribbons import window
from purlside.fabric.stitches import Fabric, Face
from purlside.fabric.svg import LOOP, drawing, picture_svg
from purlside.files.planfile import parse
from tests.bench.plans import plan_text
from tests.fabric.test_stitches import LEFT_IN_FRONT, RIGHT_IN_FRONT, panel
from tests.hostile.handled import slowness

SVG = "{http://www.w3.org/2000/svg}"
EVERYTHING = (
    RIGHT_IN_FRONT + '\nease = "enlarge"\nenlarged_size = 9',
    'cross = "R5-R6 over R4"\nfirst_row = 6\nevery = 8\nease = "extra rows"\nextra_rows = 2',
    'cross = "L4 over L6-L5"\nfirst_row = 6\nevery = 8\nease = "by hand"',
)


def root(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def words(svg: str) -> str:
    return "\n".join(element.text or "" for element in root(svg).iter(f"{SVG}text"))


def strands(svg: str, css: str) -> list[Any]:
    """Of each length of a ribbon where its left edge begins below and ends above, as (needles, rows) from the lower left."""
    clip = root(svg).find(f"{SVG}defs/{SVG}clipPath/{SVG}path")
    assert clip is not None
    high = float(clip.get("d", "").partition("V")[2].partition("H")[0])
    stitch = root(svg).find(f"{SVG}defs/{SVG}pattern")
    assert stitch is not None
    row = float(stitch.get("height", ""))
    found = []
    for path in root(svg).iter(f"{SVG}path"):
        if path.get("class") == css:
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
            (x0, y0), (x1, y1) = numbers[:2], numbers[10:12]
            found.append(((x0 / 10, (high - y0) / row), (x1 / 10, (high - y1) / row)))
    return found


def at(x: float, y: float) -> Any:
    return (pytest.approx(x, abs=0.02), pytest.approx(y, abs=0.02))


def test_each_strand_stands_over_its_needles_and_changes_places_at_its_row() -> None:
    svg = picture_svg(panel('cross = "R1-R3 over L3-L1"\nfirst_row = 8'))
    assert strands(svg, "over") == [(at(3, 0), at(6, 20))]
    assert strands(svg, "under") == [(at(6, 0), at(3, 20))]
    [path] = [p.get("d", "") for p in root(svg).iter(f"{SVG}path") if p.get("class") == "over"]
    bend = [float(n) for n in re.findall(r"-?[\d.]+", path)][2:10]
    assert (bend[1] + bend[7]) / 2 == pytest.approx((20 - 8) * 7.2, abs=0.02), "half way over above row 8"


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize(("cable", "right"), [(RIGHT_IN_FRONT, True), (LEFT_IN_FRONT, False)])
def test_the_strands_drawn_last_lean_as_the_fabric_does_from_either_side(cable: str, right: bool, face: Face) -> None:
    svg = picture_svg(panel(cable), face)
    drawn = [p.get("class") for p in root(svg).iter(f"{SVG}path") if p.get("class") in ("over", "under")]
    assert drawn == ["under", "under", "over", "over"]
    assert all((high > low) is right for (low, _), (high, _) in strands(svg, "over"))


def test_each_side_puts_another_half_on_top() -> None:
    plan = panel('cross = "R1 over L3-L1"\nfirst_row = 8')
    assert strands(picture_svg(plan, Face.KNIT), "over") == [(at(5, 0), at(8, 20))]
    assert strands(picture_svg(plan, Face.PURL), "over") == [(at(3, 0), at(4, 20))]


def test_nothing_is_drawn_over_the_frame() -> None:
    svg = root(picture_svg(panel(RIGHT_IN_FRONT), Face.KNIT, (5, 8)))
    clip = svg.find(f"{SVG}defs/{SVG}clipPath/{SVG}path")
    assert clip is not None and clip.get("d") == f"M0 0H120V{4 * 7.2:g}H0Z"
    cloth = next(g for g in svg.iter(f"{SVG}g") if g.get("clip-path"))
    assert len(cloth.findall(f"{SVG}path")) > 2, "all of the fabric is inside"


def test_a_ladder_stands_where_its_needle_is_seen() -> None:
    for face, x in ((Face.KNIT, 10), (Face.PURL, 100)):
        ladders = [
            p.get("d", "")
            for p in root(picture_svg(panel(out='["R5"]'), face)).iter(f"{SVG}path")
            if "ladder" in p.get("fill", "")
        ]
        assert ladders == [f"M{x} 0h10v144h-10Z"]


def test_extra_rows_crowd_the_strand_in_front_and_a_stitch_knit_by_hand_is_one() -> None:
    def stitches(ease: str) -> list[int]:
        svg = picture_svg(panel(f'cross = "R1 over L3-L1"\nfirst_row = 8\n{ease}'))
        found, counts = False, []
        for path in root(svg).iter(f"{SVG}path"):
            if path.get("class") in ("over", "under"):
                found = True
            elif found and "Q" in path.get("d", ""):
                counts.append(path.get("d", "").count("M") // 2)
                found = False
        return counts

    under, over = stitches("")
    assert (under, over) == (60, 20), "a stitch a row on each needle"
    assert stitches('ease = "extra rows"\nextra_rows = 2')[1] > over
    assert stitches('ease = "by hand"') == [under, over - 6]


def test_a_bead_lies_on_the_large_stitch_it_is_drawn_on() -> None:
    bead = '[[stitch]]\nneedles = "L3"\ndo = "bead"\nfirst_row = 4\n'
    for face in Face:
        svg = picture_svg(Fabric(panel(rows=8, extra=bead)), face)
        assert svg.index('class="bead"') > max(m.start() for m in re.finditer('class="large"', svg))


@pytest.mark.parametrize("rows", [(1, 1), (1, 20), (8, 8), (7, 12)])
def test_it_is_whole_has_a_size_on_paper_and_fits_both_sheets(rows: tuple[int, int]) -> None:
    svg = root(picture_svg(panel(*EVERYTHING), Face.KNIT, rows))
    wide, high = (float(svg.get(side, "").removesuffix("mm")) for side in ("width", "height"))
    assert wide <= SHEET_MM[0] + 0.01
    assert high <= SHEET_MM[1] + 0.01
    assert svg.get("viewBox") == f"0 0 {svg.get('width', '')[:-2]} {svg.get('height', '')[:-2]}"


def test_it_has_a_title_and_a_description_that_are_named() -> None:
    svg = root(picture_svg(panel(RIGHT_IN_FRONT)))
    names = (svg.get("aria-labelledby") or "").split()
    title, desc = svg.find(f"{SVG}title"), svg.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert svg.get("role") == "img"
    assert names == [title.get("id"), desc.get("id")]
    assert title.text == "Eel grass, knit side, rows 1–20; crossed: cable 1"
    assert "R1–R3, lies in front" in (desc.text or "")


def test_only_plain_elements_and_no_script_or_style() -> None:
    allowed = {
        "svg",
        "title",
        "desc",
        "defs",
        "clipPath",
        "path",
        "pattern",
        "g",
        "rect",
        "text",
    }
    svg = picture_svg(panel(*EVERYTHING, out='["R6"]'))
    assert {element.tag.removeprefix(SVG) for element in root(svg).iter()} <= allowed
    assert "style" not in svg
    assert "://" not in svg.replace("http://www.w3.org/2000/svg", "")


def test_a_title_with_angle_brackets_and_quotes_is_text() -> None:
    title = """<script>alert("x")</script> & 'so' on"""
    plan = replace(panel(RIGHT_IN_FRONT), title=title)
    svg = picture_svg(plan)
    assert "<script" not in svg
    assert title.startswith(words(svg).splitlines()[0].rstrip("…"))


def test_everything_shown_is_in_the_legend_and_nothing_else() -> None:
    told = words(picture_svg(panel(*EVERYTHING, out="[]")))
    for mark in ("extra rows", "knit by hand", "an unbroken strand is on top", "crossing row"):
        assert mark in told
    assert "ladder" not in told
    plain = words(picture_svg(panel(out='["L2"]')))
    assert "ladder" in plain
    assert "enlarged" not in plain
    assert "crossing row" not in plain


def test_a_decrease_is_explained_where_there_is_one() -> None:
    shaped = '[[shape]]\nedge = "both"\ndo = "decrease"\nfirst_row = 6\n'
    assert "two stitches in one: a decrease" in words(picture_svg(panel(extra=shaped)))
    assert "decrease" not in words(picture_svg(panel()))


def test_a_latched_column_is_explained_as_it_is_seen_from_either_side() -> None:
    purl = '[[stitch]]\nneedles = "R3"\ndo = "purl"\nfirst_row = 10\nevery = 10\n'
    knit_side, purl_side = (words(picture_svg(panel(extra=purl), face)) for face in (Face.KNIT, Face.PURL))
    assert "Columns of purl bumps: latched up from the knit side." in knit_side
    assert "Columns of knit stitches: latched up." in purl_side


def cloth(svg: str) -> tuple[float, float, float]:
    """(mm from the left of the page to the fabric, mm a needle, a row's height over a needle's width)."""
    group = next(g for g in root(svg).iter(f"{SVG}g") if "scale" in g.get("transform", ""))
    left, _, scale = (float(n) for n in re.findall(r"[\d.]+", group.get("transform", "")))
    stitch = root(svg).find(f"{SVG}defs/{SVG}pattern")
    assert stitch is not None
    return left, 10 * scale, float(stitch.get("height", "")) / 10


def test_the_page_ends_a_margin_beyond_the_fabric_a_wide_one_where_bands_are_named() -> None:
    for extra, margin in (("", 6), ('[[band]]\nrows = "3-5"\nstitch_size = 7\ncolour = "slate"', 34)):
        svg = picture_svg(panel(extra=extra, needles="L40-R40"))
        left, needle, _ = cloth(svg)
        page = float(root(svg).get("viewBox", "").split()[2])
        assert page - left - 80 * needle == pytest.approx(margin, abs=0.1)


@pytest.mark.parametrize(("stitches", "rows", "drawn"), [(20, 50, 0.4), (30, 25, 1.2), (10, 40, 0.35), (40, 20, 1.4)])
def test_stitches_are_drawn_in_the_gauges_proportions_as_far_as_they_can_be_told_apart(
    stitches: int, rows: int, drawn: float
) -> None:
    gauge = f"[gauge]\nstitches_per_10cm = {stitches}\nrows_per_10cm = {rows}\n"
    assert cloth(picture_svg(panel(extra=gauge)))[2] == pytest.approx(drawn)


def test_crossing_rows_and_needles_are_numbered_on_the_side_named() -> None:
    knit, purl = (words(picture_svg(panel(RIGHT_IN_FRONT), face)).splitlines() for face in (Face.KNIT, Face.PURL))
    for told in (knit, purl):
        assert {"• 8", "• 16", "1", "20", "L6", "L1", "R1", "R6"} <= set(told)
    assert knit[1].startswith("Knit side (left at the bed is on the right), rows 1–20 of 20")
    assert purl[1].startswith("Purl side (as at the bed)")


def test_what_cannot_be_knit_is_told_and_the_stitches_prepared_for_it_are_marked() -> None:
    refused = 'cross = "L4-L3 over L2-L1"\nfirst_row = 8\nease = "enlarge"\nenlarged_size = 8'
    svg = picture_svg(panel('cross = "R1 over L1"\nfirst_row = 8', refused))
    assert "! row 8: " in words(svg)
    large = [p for p in root(svg).iter(f"{SVG}path") if p.get("class") == "large"]
    assert len(large) == 2, "the loop no other crossing took, and the legend's"
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", large[0].get("d", ""))]
    middle = [(min(along) + max(along)) / 2 for along in (numbers[::2], numbers[1::2])]
    assert middle == pytest.approx([7.5 * 10, (20 - 7.5) * 7.2], abs=0.1), (
        "L2, the eighth needle from the left, in row 8"
    )


def test_bands_stand_beside_all_their_rows_and_no_other() -> None:
    plan = panel(extra='[[band]]\nrows = "3-5"\nstitch_size = 7\ncolour = "slate"')
    svg = picture_svg(plan)
    assert "SS 7, slate" in words(svg)
    [bracket] = [p.get("d", "") for p in root(svg).iter(f"{SVG}path") if p.get("class") == "band"]
    high, low = (float(n) for n in re.findall(r"[MV](?:[\d.]+ )?([\d.]+)h", bracket))
    assert [high, low] == pytest.approx([18 + 15 * 3.6, 18 + 18 * 3.6], abs=0.02)
    assert "slate" not in words(picture_svg(plan, Face.KNIT, (8, 12)))


def test_numbers_stand_at_their_rows_and_needles() -> None:
    svg = root(picture_svg(panel(RIGHT_IN_FRONT)))
    numbers = {e.text: e for e in svg.iter(f"{SVG}text")}
    assert float(numbers["• 8"].get("y", "")) == pytest.approx(18 + 12.5 * 3.6 + 2.6 * 0.36, abs=0.02)
    left = 7 + 2.6 * 0.62 * 2
    assert float(numbers["L6"].get("x", "")) == pytest.approx(left + 11.5 * 5, abs=0.02)
    assert float(numbers["R6"].get("x", "")) == pytest.approx(left + 0.5 * 5, abs=0.02)


def test_needles_are_numbered_above_and_below_and_rows_beside_the_fabric() -> None:
    """Twelve needles of 5 mm and 20 rows of 3.6; numbers above at 16.4 mm, below a line lower than the fabric's end."""
    texts = [
        (e.text or "", float(e.get("x", "")), float(e.get("y", "")))
        for e in root(picture_svg(panel(RIGHT_IN_FRONT))).iter(f"{SVG}text")
    ]
    left = 7 + 2.6 * 0.62 * 2
    assert [y for text, _, y in texts if text == "L6"] == pytest.approx([18 - 1.6, 18 + 20 * 3.6 + 2.6 * 1.2], abs=0.02)
    [beside] = {x for text, x, _ in texts if text in ("1", "• 8", "20")}
    assert beside == pytest.approx(left - 1.5, abs=0.02)
    [heading] = {x for _, x, _ in texts[:2]}
    assert heading == 3, "title and what is seen begin under each other"


def test_the_stitches_of_a_ribbon_are_drawn_on_it() -> None:
    """The rope of L3 to R3 is the fourth to the ninth needle seen; its stitches lie on those from the first row to the last."""
    svg = root(picture_svg(panel(RIGHT_IN_FRONT)))
    stitches = [p.get("d", "") for p in svg.iterfind(f"{SVG}g//{SVG}path") if p.get("fill") == LOOP]
    starts = [float(x) for d in stitches for x in re.findall(r"M(-?[\d.]+) ", d)]
    assert min(starts) >= 30 and max(starts) <= 90
    assert {int(x // 10) for x in starts} == set(range(3, 9))
    assert len(starts) > 6 * 20


@pytest.mark.parametrize("face", list(Face))
def test_two_stitches_in_one_lean_inwards_from_either_edge(face: Face) -> None:
    shaped = '[[shape]]\nedge = "both"\ndo = "decrease"\nfirst_row = 6\n'
    [leans] = [
        p.get("d", "")
        for p in root(picture_svg(panel(extra=shaped), face)).iter(f"{SVG}path")
        if p.get("class") == "two-in-one"
    ]
    lines = [tuple(map(float, line)) for line in re.findall(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", leans)]
    assert len(lines) == 2
    for x0, y0, x1, y1 in lines:
        assert y1 < y0, "from below"
        assert (x1 > x0) == (x0 + x1 < 120), "the left one to the right, the right one to the left"


def test_two_drawings_in_one_page_share_no_ids() -> None:
    fabric = Fabric(panel(RIGHT_IN_FRONT))
    found = [
        {element.get("id") for element in root(svg).iter()} - {None}
        for svg in (
            drawing(fabric, Face.KNIT),
            drawing(fabric, Face.PURL),
            drawing(fabric, Face.KNIT, window(fabric, 1, 9)),
            drawing(fabric, Face.KNIT, ident="again"),
        )
    ]
    assert len(set().union(*found)) == sum(map(len, found))


def test_every_shape_used_is_there() -> None:
    svg = picture_svg(panel(*EVERYTHING))
    ids = {element.get("id") for element in root(svg).iter()}
    used = re.findall(r"url\(#([^)]+)\)", svg)
    assert used
    assert set(used) <= ids


def test_a_panel_of_200_needles_and_2000_rows_is_drawn_in_under_3_seconds() -> None:
    plan = parse(plan_text(rows=2000, needles=200, cables=12), "groyne.toml")
    began = time.process_time()
    svg = picture_svg(plan)
    took = time.process_time() - began
    # On a machine that is slow just now, as much longer as a plain loop takes there.
    assert took < 3 or took < 3 * slowness()
    assert len(strands(svg, "over")) == 12 * 250


@pytest.mark.parametrize("rows", [30, 60, 97, 400, 1700])
def test_row_numbers_that_are_not_at_the_ends_are_as_far_apart_as_one_counts(rows: int) -> None:
    told = [int(t) for t in words(picture_svg(panel(rows=rows))).splitlines() if t.isdigit()]
    between = sorted(set(told) - {1, rows})
    assert len({b - a for a, b in pairwise(between)}) == 1
    assert between[1] - between[0] in {sign * 10**n for sign in (1, 2, 5) for n in range(3)}
    assert not between[0] % (between[1] - between[0])


@pytest.mark.parametrize("face", list(Face))
def test_where_nothing_is_knit_the_paper_is_bare_and_nowhere_else(face: Face) -> None:
    """One stitch off at the left before row 5, two at the right before row 11: row by row from the lower left."""
    shapes = '[[shape]]\nedge = "left"\ndo = "decrease"\nfirst_row = 5\n' + "".join(
        f'[[shape]]\nedge = "right"\ndo = "decrease"\nfirst_row = {row}\n' for row in (11, 12)
    )
    svg = root(picture_svg(panel(extra=shapes), face))
    cloth = next(g for g in svg.iter(f"{SVG}g") if g.get("clip-path"))
    [bare] = [p.get("d", "") for p in cloth.iter(f"{SVG}path") if p.get("fill") == "#fff" and "Q" not in p.get("d", "")]
    found = set()
    for x, y, wide, high in re.findall(r"M([\d.]+) ([\d.]+)h([\d.]+)v([\d.]+)h", bare):
        rows = range(round(20 - (float(y) + float(high)) / 7.2) + 1, round(20 - float(y) / 7.2) + 1)
        found |= {(row, round(float(x) / 10) + i) for row in rows for i in range(round(float(wide) / 10))}
    left = {(row, 0) for row in range(5, 21)}
    right = {(row, 11) for row in range(11, 21)} | {(row, 10) for row in range(12, 21)}
    assert found == {(row, at if face is Face.PURL else 11 - at) for row, at in left | right}
