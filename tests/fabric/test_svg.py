"""The drawing on paper: a whole SVG document that says what it shows."""

import re
import time
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from purlside.fabric.picture import window
from purlside.fabric.stitches import Fabric, Face
from purlside.fabric.svg import SHEET_MM, drawing, picture_svg
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


def top_strands(svg: str) -> list[tuple[float, float]]:
    """(x below, x above) of the left edge of each strand on top, in the first crossing drawn."""
    symbol = root(svg).find(f"{SVG}defs/{SVG}g")
    assert symbol is not None
    filled = [p.get("d", "") for p in symbol.iter(f"{SVG}path") if p.get("fill") not in ("none", None)]
    number = r"-?[\d.]+"
    strands = re.findall(rf"M({number}) {number}C{number} {number} {number} {number} ({number}) {number}H", filled[-1])
    return [(float(low), float(high)) for low, high in strands]


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize(("cable", "right"), [(RIGHT_IN_FRONT, True), (LEFT_IN_FRONT, False)])
def test_the_strands_drawn_last_lean_as_the_fabric_does_from_either_side(cable: str, right: bool, face: Face) -> None:
    strands = top_strands(picture_svg(panel(cable), face))
    assert len(strands) == 3
    assert all((high > low) is right for low, high in strands)


def test_each_side_puts_another_half_on_top() -> None:
    plan = panel('cross = "R1 over L3-L1"\nfirst_row = 8')
    assert [len(top_strands(picture_svg(plan, face))) for face in (Face.KNIT, Face.PURL)] == [1, 3]


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
        "use",
        "text",
        "ellipse",
        "circle",
    }
    svg = picture_svg(panel(*EVERYTHING, out='["R6"]'))
    assert {element.tag.removeprefix(SVG) for element in root(svg).iter()} <= allowed
    assert "style" not in svg
    assert "://" not in svg.replace("http://www.w3.org/2000/svg", "")


def test_a_title_with_angle_brackets_and_quotes_is_text() -> None:
    title = """<script>alert("x")</script> & 'so' \ufffe on"""
    plan = replace(panel(RIGHT_IN_FRONT), title=title)
    svg = picture_svg(plan)
    assert "<script" not in svg
    assert title.replace("\ufffe", "\ufffd").startswith(words(svg).splitlines()[0].rstrip("…"))


def test_everything_shown_is_in_the_legend_and_nothing_else() -> None:
    told = words(picture_svg(panel(*EVERYTHING, out="[]")))
    for mark in ("enlarged", "extra rows", "knit by hand", "on top on this side", "crossing row"):
        assert mark in told
    assert "ladder" not in told
    plain = words(picture_svg(panel(out='["L2"]')))
    assert "ladder" in plain
    assert "enlarged" not in plain
    assert "crossing row" not in plain


def test_crossing_rows_and_needles_are_numbered_on_the_side_named() -> None:
    knit, purl = (words(picture_svg(panel(RIGHT_IN_FRONT), face)).splitlines() for face in (Face.KNIT, Face.PURL))
    for told in (knit, purl):
        assert {"• 8", "• 16", "1", "20", "L6", "L1", "R1", "R6"} <= set(told)
    assert knit[1].startswith("Knit side (left at the bed is on the right), rows 1–20 of 20")
    assert purl[1].startswith("Purl side (as at the bed)")


def test_what_cannot_be_knit_is_told_and_the_stitches_prepared_for_it_are_marked() -> None:
    refused = 'cross = "R3-R4 over R1-R2"\nfirst_row = 8\nease = "enlarge"\nenlarged_size = 8'
    svg = picture_svg(panel('cross = "L1 over R1"\nfirst_row = 8', refused))
    assert "! row 8: " in words(svg)
    assert len(root(svg).findall(f".//{SVG}g/{SVG}ellipse")) > 1


def test_bands_stand_beside_their_rows() -> None:
    plan = panel(extra='[[band]]\nrows = "3-5"\nstitch_size = 7\ncolour = "slate"')
    assert "SS 7, slate" in words(picture_svg(plan))
    assert "slate" not in words(picture_svg(plan, Face.KNIT, (8, 12)))


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
    used = re.findall(r'href="#([^"]+)"', svg) + re.findall(r"url\(#([^)]+)\)", svg)
    assert used
    assert set(used) <= ids


def test_a_crossing_after_the_last_row_shown_is_drawn_whole() -> None:
    svg = picture_svg(panel(RIGHT_IN_FRONT), Face.KNIT, (5, 8))
    clip = root(svg).find(f"{SVG}defs/{SVG}clipPath/{SVG}path")
    assert clip is not None
    assert float(clip.get("d", "").split()[1].split("H")[0]) < 0


def test_a_panel_of_200_needles_and_2000_rows_is_drawn_in_under_3_seconds() -> None:
    plan = parse(plan_text(rows=2000, needles=200, cables=12), "groyne.toml")
    began = time.process_time()
    svg = picture_svg(plan)
    took = time.process_time() - began
    # On a machine that is slow just now, as much longer as a plain loop takes there.
    assert took < 3 or took < 3 * slowness()
    assert len(re.findall("<use ", svg)) == 12 * 250
