"""What a sheet tells: contents, detail, letters, units; long panels, plain text of 80 columns, text of the plan."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purlside.figures.whole import figures
from purlside.files import planfile
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.sheet.calendar import MOST_LINES, stretches
from purlside.sheet.crossings import letters
from purlside.sheet.parts import Detail, Table
from purlside.sheet.whole import sheet, sheet_command
from tests import plans

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parents[1] / "golden"
NASTY = "<script>alert(1)</script> & | `code` *bold* [a](http://x.example) # \\ ![i](y) $m$ ~~s~~ \ufffe 毛糸"


def rope(**more: object) -> Plan:
    return plans.plan(plans.cable(ease="enlarge", enlarged_size=9.0), **more)


def breakwater() -> Plan:
    return planfile.read(ROOT / "patterns" / "breakwater-rope.toml").plan


def test_the_sheet_has_all_a_knitter_without_a_screen_needs() -> None:
    headings = [section.heading for section in sheet(breakwater()).sections]
    assert headings == [
        "What is needed",
        "Size and time",
        "Will the crossings go over?",
        "Words used",
        "The fabric",
        "Row calendar",
        "Crossing rows",
        "Cautions",
        "Where the estimates come from",
    ]


def test_every_abbreviation_of_a_sheet_is_told_and_the_two_that_are_written_alike_both() -> None:
    printed = " ".join(sheet_command(breakwater(), ".txt").split())
    assert "written 3/3 RC" in printed
    assert "RC: row counter" in printed and "3/3 RC, 3/3 LC: right cross, left cross" in printed
    assert "right cross" not in sheet_command(plans.plan(), ".txt"), "a panel without cables has none"


def test_size_and_yarn_are_the_figures_of_the_plan() -> None:
    plan = breakwater()
    worked = figures(plan)
    assert worked.finished is not None
    printed = sheet_command(plan, ".txt")
    assert f"Width: {worked.finished.width_mm.value / 10:.1f} cm" in printed
    assert f"Length: {worked.finished.length_mm / 10:.1f} cm" in printed
    assert f"about {worked.needs[0].metres:.0f} m, {worked.needs[0].grams:.0f} g" in printed
    inches = sheet_command(plan, ".txt", unit="inch")
    assert f"Length: {worked.finished.length_mm / 25.4:.1f} in" in inches


def test_both_sides_of_the_fabric_are_shown() -> None:
    printed = sheet_command(rope(), ".txt")
    assert printed.count("Knit side, rows 1–16 of 40") == 1
    assert printed.count("Purl side, rows 1–16 of 40") == 1


def test_on_a_wide_panel_the_drawing_in_characters_is_cut_to_the_cables() -> None:
    plan = plans.plan(plans.cable("R80-R82 over R83-R85"), needles="L90-R90")
    printed = sheet_command(plan, ".txt")
    assert "needles R90 to R48 (mirrored" in printed
    assert "\\\\" in printed[printed.index("The fabric\n") : printed.index("Row calendar\n")]


def test_crossing_rows_knit_alike_are_written_once() -> None:
    printed = sheet_command(breakwater(), ".txt", "working")
    assert printed.count("Crossing row A\n") == 1
    assert "Crossing row B" not in printed
    assert len(re.findall(r"^\d+ +CO[LR] +5 +A ", printed, re.MULTILINE)) == 59


def test_full_says_why_and_short_has_no_drawings() -> None:
    full, working, short = (sheet_command(rope(), ".txt", detail) for detail in ("full", "working", "short"))
    assert "Why: " in full and "Why: " not in working + short
    assert "holding   " in full and "holding   " in working and "holding   " not in short
    assert len(full) > len(working) > len(short)
    for word in ("HP L6–L1 (6)", "UWP", "SS 9", "RC", "COR", "COL"):
        assert word in short


def test_short_lines_are_these() -> None:
    printed = sheet_command(rope(), ".txt", "short")
    passes = printed[printed.index("Crossing rows\n") : printed.index("Cautions\n")]
    assert passes == (GOLDEN / "sheet-rope-short.txt").read_text(encoding="utf-8")


def test_the_machines_own_letters_stand_beside_the_trades_words_when_asked() -> None:
    plan = rope(machine={"position_letters": {"wp": "B", "uwp": "C", "hp": "D; E"}})
    plain, lettered = sheet_command(plan, ".txt"), sheet_command(plan, ".txt", letters=True)
    assert "(D; E)" not in plain
    assert "Hold L6–L1 (6 needles), holding (D; E)" in lettered
    assert "to upper working (C)" in lettered
    assert "HP (D; E) L6–L1 (6)" in sheet_command(plan, ".txt", "short", letters=True)


def test_one_cable_can_have_a_sheet_of_its_own() -> None:
    plan = plans.plan(
        plans.cable("R1-R2 over L2-L1"),
        {**plans.cable("R4-R5 over R6", every=12), "name": "bead"},
        rows=40,
    )
    printed = sheet_command(plan, ".txt", "short", cable="bead")
    assert "This sheet keeps to the crossing rows of bead." in printed
    calendar = printed[printed.index("The crossing rows of bead;") : printed.index("Crossing rows\n")]
    assert re.findall(r"^(\d+) ", calendar, re.MULTILINE) == ["8", "20", "32"]


def test_what_cannot_be_asked_for_is_refused_with_what_can() -> None:
    for wrong, allowed in (
        ({"out_suffix": ".pdf"}, r"\.html, \.md, \.txt, \.csv"),
        ({"out_suffix": ".txt", "detail": "long"}, "full, working, short"),
        ({"out_suffix": ".html", "paper": "A5"}, "A4, Letter"),
        ({"out_suffix": ".txt", "cable": "braid"}, "it has rope"),
        ({"out_suffix": ".csv", "cable": "braid"}, "it has rope"),
    ):
        with pytest.raises(ValueError, match=allowed):
            sheet_command(rope(), **wrong)  # type: ignore[arg-type]


def test_a_yarn_count_that_cannot_be_read_leaves_the_passes() -> None:
    plan = rope(yarn={"count": "very thick"})
    printed = sheet_command(plan, ".txt")
    assert "No figures could be worked out" in printed
    assert "Pass 1 of 5" in printed


@given(plans.plans())
def test_the_calendar_names_every_row_once(plan: Plan) -> None:
    calendar = Working(plan).calendar
    at = 1
    for stretch in stretches(plan):
        assert stretch.first == at
        for number in range(stretch.first, stretch.last + 1):
            row = calendar.row(number)
            assert row.size == stretch.row.size and row.colour == stretch.row.colour
            if stretch.rows > 1:
                assert not row.crossed and not row.told and not row.weights
        at = stretch.last + 1
    assert at == plan.panel.rows + 1


def test_each_row_has_a_box_to_tick() -> None:
    printed = sheet_command(rope(), ".txt", "short")
    calendar = printed[printed.index("The rows; Knit") : printed.index("Crossing rows\n")]
    assert calendar.count("[]") == 40


def test_the_counter_on_the_sheet_is_the_counter_at_the_bedside() -> None:
    from purlside.knitting.cursor import Knitting, Place

    plan = breakwater()
    knitting = Knitting(Working(plan))
    tables = [b for s in sheet(plan).sections for b in s.blocks if isinstance(b, Table) and "Counter after" in b.head]
    column = tables[0].head.index("Counter after")
    for line in (tables[0].rows[i] for i in (0, 1, 7, 40, -1)):
        last = int(str(line[0]).rpartition("–")[2])
        knitting.go(Place(last + 1, 0))
        assert line[column] == str(knitting.counter)


def test_the_longest_panel_fits_a_few_pages() -> None:
    plan = rope(rows=20_000, panel={"weights_every": 1000})
    printed = sheet_command(plan, ".txt")
    assert len(printed) < 100_000
    assert f"The calendar lists {MOST_LINES} lines" in printed
    assert "rope   R1–R3 over L3–L1  8          8 rows  2,500  20,000" in printed
    plain = plans.plan(rows=20_000)
    printed = sheet_command(plain, ".html")
    assert "1–20,000" in printed and len(printed) < 60_000
    assert "a box for 1,000 rows" in printed


def test_kinds_are_lettered_like_columns() -> None:
    assert [letters(i) for i in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


def columns(line: str) -> int:
    return sum(
        0
        if unicodedata.combining(c) or unicodedata.category(c) in ("Mn", "Me", "Cf")
        else 2
        if unicodedata.east_asian_width(c) in "WF"
        else 1
        for c in line
    )


@given(plans.plans(most_rows=20), st.sampled_from(["full", "short"]))
@settings(max_examples=30)
def test_plain_text_is_never_wider_than_80_columns(plan: Plan, detail: str) -> None:
    assert max(map(columns, sheet_command(plan, ".txt", detail, letters=True).splitlines())) <= 80


def test_long_words_of_a_plan_are_broken_not_cut() -> None:
    title = "x" * 150 + "毛" * 40
    plan = rope(title=title, notes="word " * 60 + "y" * 300, reminder=[{"row": 3, "text": "z" * 190}])
    printed = sheet_command(plan, ".txt")
    assert max(map(columns, printed.splitlines())) <= 80
    for char, count in (("x", 150), ("毛", 40), ("y", 300), ("z", 380)):
        assert sum(len(run) for run in re.findall(f"{char}{{20,}}|{char}+(?= *$)", printed, re.MULTILINE)) >= count


def test_text_of_a_plan_cannot_mark_up_the_markdown() -> None:
    name = "a|b `c` *d* <i>"
    plan = plans.plan(
        {**plans.cable(), "name": name}, title=NASTY, notes=f"- {NASTY}\n\n1. {NASTY}\n\n# {NASTY}",
        reminder=[{"row": 2, "text": NASTY}],
    )  # fmt: skip
    printed = sheet_command(plan, ".md", "short")
    bare = re.sub(r"```text\n.*?```", "", printed, flags=re.DOTALL)
    bare = re.sub(r"\\[!-/:-@\[-`{-~]", "", bare)
    for mark in ("<", ">", "[", "]", "`", "~", "$", "&", "!", "*bold"):
        assert mark not in bare
    head = next(line for line in printed.splitlines() if line.startswith("| RC |"))
    rows = [line for line in printed.splitlines() if line.startswith("| 2 |")]
    assert len(re.split(r"(?<!\\)\|", rows[0])) == len(re.split(r"(?<!\\)\|", head))


def test_no_cell_of_the_table_of_passes_can_be_a_formula() -> None:
    plan = plans.plan({**plans.cable(), "name": "=cmd()"}, {**plans.cable("R5 over R4"), "name": "@x"})
    table = list(csv.reader(io.StringIO(sheet_command(plan, ".csv"))))
    assert {len(row) for row in table} == {len(table[0])}
    assert not [cell for row in table for cell in row if cell[:1] in ("=", "+", "-", "@", "\t")]


def test_a_plan_without_cables_has_a_sheet_too() -> None:
    printed = sheet(plans.plan(), Detail.FULL)
    assert "Crossing rows" not in [section.heading for section in printed.sections]
    assert "no cable is crossed" in sheet_command(plans.plan(), ".txt")


@pytest.mark.parametrize(
    ("trip", "told"),
    [("centre", "at the centre"), ("left end", "at the left end"), ("R3", "at R3"), ("L3", "at L3")],
)
def test_where_the_counter_is_tripped_is_said_as_one_says_it(trip: str, told: str) -> None:
    assert f"The machine's counter: tripped {told}\n" in sheet_command(rope(machine={"counter_trip": trip}), ".txt")
