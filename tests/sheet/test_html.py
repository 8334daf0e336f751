"""The page: valid, self-contained, safe, readable without seeing it."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings

from purlside.bed.moves import ByHand, Knit
from purlside.bed.needles import Needle
from purlside.bed.transfers import Cross
from purlside.files import planfile
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.sheet.html import carried
from purlside.sheet.kinds import Pass, passes, row_moves, sheet_rows
from purlside.sheet.strip import HOLDING, ON_PAPER, UPPER, WORKING, svg
from purlside.sheet.whole import sheet_command
from purlside.shown.view import View
from tests import plans
from tests.sheet.test_whole import NASTY, rope

PATTERNS = sorted((Path(__file__).parents[2] / "patterns").glob("*.toml"))


def parsed(page: str) -> Element:
    """Raises where the page is not valid: the parser is strict."""
    root: Element = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    return root


def words(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def local(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


@pytest.mark.parametrize("path", PATTERNS, ids=lambda p: p.stem)
@pytest.mark.parametrize("detail", ["full", "short"])
def test_every_pattern_makes_a_valid_page(path: Path, detail: str) -> None:
    root = parsed(sheet_command(planfile.read(path).plan, ".html", detail))
    assert root.get("lang") == "en"
    headings = [int(local(e)[1]) for e in root.iter() if re.fullmatch(r"h[1-6]", local(e))]
    assert headings[0] == 1 and headings.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(headings))


@given(plans.plans(most_rows=16))
@settings(max_examples=20)
def test_any_plan_makes_a_valid_page(plan: Plan) -> None:
    parsed(sheet_command(plan, ".html", letters=True))


@pytest.mark.parametrize(("detail", "margin"), [("short", "8mm 10mm 10mm"), ("working", "10mm 14mm 12mm")])
def test_a_page_is_printed_with_the_margins_its_pages_are_counted_with(detail: str, margin: str) -> None:
    assert f"@page{{size:A4;margin:{margin};" in sheet_command(rope(), ".html", detail)


def test_the_page_fetches_nothing_and_runs_nothing() -> None:
    page = sheet_command(rope(), ".html")
    root = parsed(page)
    tags = {local(e) for e in root.iter()}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "base", "form", "image", "foreignObject"}
    for element in root.iter():
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            if name.rpartition("}")[2] in ("href", "src"):
                assert value.startswith("#")
    assert "url(" not in re.sub(r"url\(#[\w-]+\)", "", page) and "@import" not in page


def test_text_of_a_plan_is_shown_and_never_becomes_part_of_the_page() -> None:
    plan = plans.plan(
        {**plans.cable(), "name": '"><b onclick=x>'},
        title=NASTY + "</title></style>",
        notes=NASTY,
        reminder=[{"row": 2, "text": NASTY}],
        machine={"position_letters": {"hp": "<u>", "uwp": "&amp;"}},
        band=[{"rows": "1-3", "colour": "</td><td>"}],
    )
    page = sheet_command(plan, ".html", letters=True)
    root = parsed(page)
    tags = {local(e) for e in root.iter()}
    assert not tags & {"script", "b", "u"}
    shown = words(root.findall(".//h1")[0])
    assert shown == (NASTY + "</title></style>")
    assert any("&amp;" in words(e) for e in root.iter("td"))
    assert any('"><b onclick=x>' in words(e) for e in root.iter("h4"))


def test_tables_name_their_rows_and_columns() -> None:
    tables = list(parsed(sheet_command(rope(), ".html")).iter("table"))
    assert tables
    for table in tables:
        assert words(table.findall("caption")[0])
        assert {th.get("scope") for th in table.findall("thead/tr/th")} == {"col"}
        firsts = [next(iter(row)) for row in table.findall("tbody/tr")]
        assert {(first.tag, first.get("scope")) for first in firsts} == {("th", "row")}


def test_what_belongs_together_is_kept_on_one_page() -> None:
    """The steps of a pass, casting on and off, cautions and the credit are not parted by a page's end."""
    kept = set()
    for element in parsed(sheet_command(rope(), ".html", "full")).iter():
        if element.get("class") == "whole":
            kept |= {words(head) for head in element if local(head) in ("h2", "h3", "h4", "h5")}
    assert {"Casting on and off, finishing", "Credit", "Cautions", "Pass 1 of 5"} <= kept
    assert not kept & {"Rows", "Crossing rows"}


def test_every_drawing_is_told_in_words() -> None:
    page = sheet_command(rope(), ".html")
    root = parsed(page)
    names = {e.get("id"): words(e) for e in root.iter() if e.get("id")}
    drawings = [e for e in root.iter() if local(e) == "svg"]
    assert len(drawings) == 3 + 6, "the chart, both sides of the fabric, and each step"
    for drawing in drawings:
        assert drawing.get("role") == "img"
        assert all(names[name] for name in (drawing.get("aria-labelledby") or "").split())
    told = [text for text in names.values() if text.startswith("The bed before pass 3 of 5")]
    assert "holding L6–R6" in told[0] and "yarn at L4" in told[0] and "to the right, past L1" in told[0]


def test_the_bed_is_told_needle_by_needle_before_each_pass() -> None:
    """3 over 3 from COL, the left half behind and enlarged: held back, knit by itself, and held again."""
    texts = [text for text in re.findall(r"The bed before[^<\"]*", sheet_command(rope(), ".html")) if ": " in text]
    assert list(dict.fromkeys(texts))[:3] == [
        "The bed before pass 1 of 5: working L6–R6; COL; yarn at L6; the push goes to the right, past L4.",
        "The bed before pass 2 of 5: holding L3–R6; working L6–L4; carriage just right of L4; yarn at L4; "
        "the push goes back to the left, past L4.",
        "The bed before pass 3 of 5: holding L6–R6; carriage just left of L4; yarn at L4; the push goes to the right, "
        "past L1.",
    ]


def test_ids_are_each_used_once() -> None:
    ids = re.findall(r'\bid="([^"]+)"', sheet_command(rope(), ".html"))
    assert len(ids) == len(set(ids))


def steps_drawn(plan: Plan) -> list[tuple[Pass, str]]:
    """Each step of the crossing rows, and its strip on paper."""
    working = Working(plan)
    found = []
    for kind in sheet_rows(Calendar(plan)).kinds:
        for side in kind.rows:
            number = kind.shown(Calendar(plan), side)
            for one in passes(working, number, row_moves(working, number)):
                view = View(one.bed, one.step.moves, working.calendar.row(number).crossed, one.dial)
                found.append((one, svg(view, "told", "x", 48)))
    return found


def test_a_drawing_shows_needles_in_the_lane_they_stand_in() -> None:
    _, drawn = steps_drawn(rope())[2]
    marks = re.search(r'class="n" d="((?:M[\d.]+ [\d.]+h[78][^M]*)+)"', drawn)
    assert marks is not None
    held = re.findall(rf"M[\d.]+ {HOLDING - 3.5:g}h7", marks[1])
    returning = re.findall(rf"M[\d.]+ {HOLDING + 4:g}h8l-4 -8", marks[1])
    assert (len(held), len(returning)) == (9, 3), "the half behind comes back, all others stay held"
    assert f" {WORKING - 3.5:g}h7" not in marks[1]
    assert len(re.findall(rf"M[\d.]+ {UPPER}a2.2", drawn)) == 3


def test_a_drawing_marks_the_needles_to_be_knit_by_hand_whichever_lane_they_stand_in() -> None:
    for cross in ("R1 over L3-L1", "L1 over R1-R3", "L6-L5 over L4"):
        for one, drawn in steps_drawn(plans.plan(plans.cable(cross, every=7, ease="by hand"))):
            asked = sum(len(move.needles) for move in one.step.moves if isinstance(move, ByHand))
            double = re.findall(rf"M[\d.]+ {WORKING}a4.5 [^M]*M[\d.]+ {WORKING}a2.2 ", drawn)
            assert len(double) == asked
    assert any(sign == "Double ring in the working lane" for sign, _ in ON_PAPER)


def test_on_a_wide_panel_the_cable_bracketed_is_the_one_being_knit_or_else_the_nearest_to_the_carriage() -> None:
    """Four cables of one row over 85 needles: the drawing has room for the stitches about one."""
    enlarged = {"ease": "enlarge", "enlarged_size": 9}
    cables = [
        {**plans.cable("L20-L18 over L23-L21", ease="by hand"), "name": "by hand"},
        *(
            {**plans.cable(f"R{n}-R{n + 2} over R{n + 3}-R{n + 5}", **enlarged), "name": f"at R{n}"}
            for n in (2, 20, 33)
        ),
    ]
    wide = plans.plan(*cables, needles="L40-R45", rows=20)
    working = Working(wide)
    found = passes(working, 8, row_moves(working, 8))
    drawn = re.findall(r'<svg class="strip".*?</svg>', sheet_command(wide, ".html"), re.DOTALL)
    assert len(drawn) == len(found) > 12
    halves = [(sorted(map(int, c.crossings[0].front)), sorted(map(int, c.crossings[0].back))) for c in wide.cable]
    bracketed = set()
    for one, strip in zip(found, drawn, strict=True):
        worked = {int(n) for move in one.step.moves if isinstance(move, ByHand | Knit | Cross) for n in move.needles}
        at = int(one.bed.carriage[0])
        around = min(halves, key=lambda half: min(abs(n - at) for n in half[0] + half[1]))
        of = next((half for half in halves if worked and worked <= {*half[0], *half[1]}), around)
        # Needles stand in the drawing where their numbers do.
        places = {
            int(Needle.parse(name)): float(x) for x, name in re.findall(r'x="([\d.]+)" y="9"[^>]*>([LR]\d+)<', strip)
        }
        low, high = min(places), max(places)
        step = (places[high] - places[low]) / (high - low)
        ends = [
            tuple(round(low + (float(x) - places[low]) / step) for x in bracket)
            for bracket in re.findall(r"M([\d.]+) [\d.]+V[\d.]+H([\d.]+)V", strip.split('class="h"')[1])
        ]
        assert ends == [(half[0], half[-1]) for half in of], str(one.step.title)
        bracketed.add(ends[0])
    assert len(bracketed) == 4


def test_the_step_that_follows_the_passes_is_headed_before_you_cross_where_not_all_is_told() -> None:
    """The needles are pushed back first; what is crossed stands in the table above."""
    heads = {
        detail: [
            words(e) for e in parsed(sheet_command(rope(), ".html", detail)).iter() if local(e) in ("h3", "h4", "h5")
        ]
        for detail in ("working", "full")
    }
    passes_of = [f"Pass {n} of 5" for n in range(1, 6)]
    for detail, after in (("working", "Before you cross"), ("full", "Cross rope: 3 over 3")):
        at = heads[detail].index("Pass 1 of 5")
        assert heads[detail][at : at + 6] == [*passes_of, after]


def test_the_page_carries_the_plan_when_asked_as_it_was_written() -> None:
    text = 'format = 1\ntitle = "Tide & <rope>"\n# a note of mine\n\n'
    page = sheet_command(rope(), ".html", embed=text)
    parsed(page)
    assert carried(page) == text
    assert carried(sheet_command(rope(), ".html")) is None
