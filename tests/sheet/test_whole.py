"""The sheet: what is on it is what the plan has, at every detail, in every way of writing it."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purlside.bed.moves import Tell
from purlside.bed.needles import Needle, Side, Span
from purlside.fabric import motifs
from purlside.fabric.written import name
from purlside.figures.whole import figures
from purlside.files import planfile
from purlside.plan.plan import Cable, Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.sheet.kinds import letters, sheet_rows
from purlside.sheet.parts import Boxes, Detail, Drawing, Facts, Table
from purlside.sheet.rowlist import ticked
from purlside.sheet.whole import Wish, render, sheet, sheet_command
from tests import plans
from tests.sheet_reader import listed, read

ROOT = Path(__file__).parents[2]
PATTERNS = sorted((ROOT / "patterns").glob("*.toml"))
GOLDEN = Path(__file__).parents[1] / "golden"
NASTY = "<script>alert(1)</script> & | `code` *bold* [a](http://x.example) # \\ ![i](y) $m$ ~~s~~ 毛糸"


def rope(**more: object) -> Plan:
    return plans.plan(plans.cable(ease="enlarge", enlarged_size=9.0), **more)


def breakwater() -> Plan:
    return planfile.read(ROOT / "patterns" / "breakwater-rope.toml").plan


def with_motifs(*laid: Iterable[Cable], needles: str = "L60-R60", rows: int = 640) -> Plan:
    """The scarf's yarn and machine on a wide panel with other cables."""
    plan = breakwater()
    cables = tuple(cable for each in laid for cable in each)
    panel = replace(plan.panel, needles=Span.parse(needles), rows=rows)
    return replace(plan, panel=panel, cable=cables, reminder=())


def blanket() -> Plan:
    """640 rows: a rope with larger stitches behind, a plait, a travelling cable; the same every 48 rows."""

    def laying(name: str, left: str, every: int) -> motifs.Laying:
        return motifs.Laying(name, Needle.parse(left), 8, every)

    eased = replace(laying("rope", "L40", 8), ease="enlarge", enlarged_size=9.0)
    return with_motifs(
        motifs.rope(eased, 3),
        motifs.plait(laying("plait", "L4", 4), 2, 3),
        motifs.travelling(laying("wander", "R20", 3), 2, 1, 8),
    )


def cushion() -> Plan:
    """180 rows with a lattice of twelve strands, every crossing with larger stitches behind."""
    laying = motifs.Laying("lattice", Needle.parse("L12"), 6, 4, ease="enlarge", enlarged_size=9.0)
    return with_motifs(motifs.lattice(laying, 2, 12), needles="L52-R52", rows=180)


def headings(plan: Plan, detail: Detail) -> list[str]:
    return [section.heading for section in sheet(plan, Wish(detail=detail)).sections]


def tables(plan: Plan, wish: Wish) -> dict[str, Table]:
    found = [b for top in sheet(plan, wish).sections for s in top.walk() for b in s.blocks if isinstance(b, Table)]
    return {table.caption: table for table in found}


def test_the_sheet_has_all_a_knitter_without_a_screen_needs() -> None:
    short = [
        "You will need",
        "Chart",
        "Casting on and off, finishing",
        "Rows",
        "Crossing rows",
        "Abbreviations",
        "Cautions",
        "Credit",
    ]
    assert headings(breakwater(), Detail.SHORT) == short
    assert set(headings(breakwater(), Detail.WORKING)) == {*short, "As it will look"}
    assert set(headings(breakwater(), Detail.FULL)) == {
        *short,
        "As it will look",
        "Will the crossings go over?",
        "Where the estimates come from",
    }


def test_every_abbreviation_of_a_sheet_is_told_and_the_two_that_are_written_alike_both() -> None:
    printed = " ".join(sheet_command(breakwater(), ".txt").split())
    assert "written 3/3 RC" in printed
    assert (
        "RC: row counter" in printed
        and "3/3 RC: right cross, as patterns write it, 3/3 being 3 over 3: the strand" in printed
    )
    assert "right cross" not in sheet_command(plans.plan(), ".txt"), "a panel without cables has none"


@pytest.mark.parametrize("path", PATTERNS, ids=lambda path: path.stem)
def test_the_crosses_explained_are_those_of_the_plan(path: Path) -> None:
    plan = planfile.read(path).plan
    written_here = {name(crossing) for cable in plan.cable for crossing in cable.crossings}
    told = next(
        names
        for section in sheet(plan, Wish()).sections
        if section.heading == "Abbreviations"
        for block in section.blocks
        if isinstance(block, Facts)
        for names, what in block.pairs
        if "cross" in what
    )
    assert set(told.split(", ")) == written_here


def test_size_and_yarn_are_the_figures_of_the_plan() -> None:
    plan = breakwater()
    worked = figures(plan)
    assert worked.finished is not None and worked.needs[0].grams is not None
    for detail in ("short", "full"):
        printed = sheet_command(plan, ".txt", detail)
        assert f"Width: {worked.finished.width_mm.value / 10:.1f} cm" in printed
        assert f"Length: {worked.finished.length_mm / 10:.1f} cm" in printed
        assert f"about {worked.needs[0].metres:.0f} m, {worked.needs[0].grams:.0f} g" in printed


def test_inches_are_inches_everywhere_on_what_is_measured() -> None:
    plan = breakwater()
    worked = figures(plan)
    assert worked.finished is not None
    printed = " ".join(sheet_command(plan, ".html", unit="inch").split())
    assert f"{worked.finished.length_mm / 25.4:.1f} in" in printed
    assert f"{worked.needs[0].metres / 0.9144:,.0f} yd" in printed
    needed = printed[printed.index("You will need</h2>") : printed.index("Chart</h2>")]
    assert not re.search(r"\d (cm|mm|m|g)\b", re.sub(r"<svg.*?>", "", needed))


def test_the_schematic_has_the_size_in_measures_and_in_stitches_and_rows() -> None:
    plan = breakwater()
    finished = figures(plan).finished
    assert finished is not None
    printed = sheet_command(plan, ".txt", "short")
    assert f"cast-on edge: {finished.width_mm.value / 10:.1f} cm, 40 st" in printed
    assert (
        f"after row 420, at {finished.length_mm / 10:.1f} cm: {finished.width_mm.value / 10:.1f} cm, 40 st" in printed
    )
    page = sheet_command(plan, ".html", "short")
    assert f"{finished.width_mm.value / 10:.1f} cm, 40 st</text>" in page
    assert f"{finished.length_mm / 10:.1f} cm, 420 rows</text>" in page


def test_the_chart_has_its_repeat_framed() -> None:
    page, text = (sheet_command(breakwater(), suffix, "short") for suffix in (".html", ".txt"))
    assert 'class="repeat"' in page
    assert "Framed: the repeat of 7 rows, knit 59 times, rows 8-420." in text


def test_both_sides_of_the_fabric_are_shown_to_learn_from_and_the_knit_side_to_knit_from() -> None:
    full, working, short = (sheet_command(rope(), ".txt", detail) for detail in ("full", "working", "short"))
    assert [text.count("Knit side, rows ") for text in (full, working, short)] == [1, 1, 1]
    assert [text.count("Purl side, rows ") for text in (full, working, short)] == [1, 0, 0]


def test_on_a_wide_panel_the_drawing_in_characters_is_cut_to_the_cables() -> None:
    plan = plans.plan(plans.cable("R80-R82 over R83-R85"), needles="L90-R90")
    printed = sheet_command(plan, ".txt")
    looks = printed[printed.index("As it will look\n") : printed.index("Rows\n====")]
    assert "\\\\" in looks and "R85" in looks


# --- rows -----------------------------------------------------------------


@pytest.mark.parametrize("row", [1, 2, 9])
def test_the_first_crossing_row_is_named_at_the_top(row: int) -> None:
    printed = " ".join(sheet_command(plans.plan(plans.cable(first_row=row)), ".txt").split())
    assert f"; the first crossing row is row {row}" in printed


def test_the_narrowest_place_is_told_where_it_is_narrower_than_the_average() -> None:
    """60 stitches at 30 in 10 cm; six of them take in a quarter, 5 mm: each time round, or once in a hundred rows. A band
    of smaller stitches is narrower without a cable."""
    known = {
        "yarn": {"loop_mm": {"5": 12.0, "9": 16.0}},
        "gauge": plans.swatch(30, 40),
        "needles": "L30-R30",
        "rows": 100,
    }
    from_a_swatch = {**plans.cable(every=6, first_row=6), "take_in": 0.75}

    def width(*cables: plans.Tables, **more: Any) -> str:
        [told] = [
            line
            for line in sheet_command(plans.plan(*cables, **known, **more), ".txt").splitlines()
            if line.startswith("Width: ")
        ]
        return " ".join(told.split())

    assert width(from_a_swatch) == "Width: 19.5 cm"
    assert width({**from_a_swatch, "every": None}) == "Width: 20.0 cm on average; narrowest 19.5 cm, at row 6"
    assert (
        width(band=[{"rows": "31-50", "stitch_size": 4}]) == "Width: 19.7 cm on average; narrowest 18.3 cm, at row 31"
    )


def test_rows_are_said_as_a_repeat() -> None:
    assert "Rows 8–55, and every 48 rows: 13 times, up to row 631" in tables(blanket(), Wish(detail=Detail.SHORT))
    assert "Rows 6–13, and every 8 rows: 21 times, up to row 173" in tables(cushion(), Wish(detail=Detail.SHORT))
    scarf = tables(breakwater(), Wish())["Rows 8–14, and every 7 rows: 59 times, up to row 420"]
    assert scarf.rows == (("8", "COL, COR in turn", "5", "A", "6 plain rows", "rope"),)


@pytest.mark.parametrize(("detail", "most"), [(Detail.WORKING, 60), (Detail.SHORT, 34)])
def test_as_many_rows_as_the_page_has_lines_for_are_said_in_turn_and_one_more_lists_them_by_kind(
    detail: Detail, most: int
) -> None:
    """Crossings ever further apart repeat nothing: the plain rows before the first are a line, and each crossing row."""

    def captions(crossings: int) -> list[str]:
        ropes = [
            {"name": f"c{n}", "cross": "R1 over L1", "first_row": 3 + n * (n + 1) // 2} for n in range(1, crossings + 1)
        ]
        return [*tables(plans.plan(*ropes, rows=2000), Wish(detail=detail))]

    assert any(caption.startswith("Rows 1–") and caption.endswith(", once") for caption in captions(most - 1))
    assert "Crossing rows; all other rows are plain" in captions(most)


def test_a_row_that_stands_by_itself_is_one_row_and_what_is_done_after_it_is_named() -> None:
    """A bead in row 8 once, and every row of another size around it: the row says itself, and the letter what it stands for."""
    bead = {"do": "bead", "needles": "R3", "first_row": 8}
    beaded = plans.plan(rows=8, stitch=[bead], band=[{"rows": "8", "stitch_size": 6}])
    assert {"Rows 1–8, once"} == {c for c in tables(beaded, Wish(detail=Detail.WORKING)) if c.startswith("Row")}
    one = plans.plan(rows=1)
    assert "Row 1" in tables(one, Wish(detail=Detail.WORKING))
    for made, letter in (
        (beaded, "A letter names a row that is written out below: knit it, then cross, latch up or bead"),
        (rope(), "A letter names a crossing row: it is written out below, and crossed after it."),
    ):
        assert letter in " ".join(sheet_command(made, ".txt").split())


def test_rows_that_follow_no_repeat_are_listed_by_kind_all_of_them() -> None:
    squares = [n * n for n in range(2, 42)]
    cables = [
        {**plans.cable(f"L{n} over L{n + 1}", first_row=row, every=None), "name": f"one {n}"}
        for n, row in zip(range(1, 81, 2), squares, strict=True)
    ]
    plan = plans.plan(*cables, needles="L82-R2", rows=1700)
    found = tables(plan, Wish(detail=Detail.SHORT))["Crossing rows; all other rows are plain"]
    assert sorted(row for line in found.rows for row in listed(str(line[-1]))) == squares
    for side, rows in re.findall(r"from (CO[LR]) ([^;]*)", "; ".join(str(line[-1]) for line in found.rows)):
        assert {row % 2 for row in listed(rows)} == {int(side == "COR")}, "row 1 is begun from the right"


@given(plans.plans(most_rows=60), st.sampled_from(list(Detail)))
@settings(max_examples=60, deadline=None)
def test_the_sheet_says_each_row_once_with_its_side_and_size(plan: Plan, detail: Detail) -> None:
    told = read(render(sheet(plan, Wish(detail=detail)), ".txt"), ".txt")
    calendar = Working(plan).calendar
    for number in range(1, calendar.rows + 1):
        row, said = calendar.row(number), told.rows[number]
        assert (said.side, said.knit == "plain") == (row.side, not row.crossed), f"row {number}"


def test_kinds_that_the_plan_has_not_are_not_printed() -> None:
    plan = plans.plan(plans.cable(every=8, ease="enlarge", enlarged_size=9.0))
    for detail in ("full", "working", "short"):
        printed = sheet_command(plan, ".txt", detail)
        assert "A from COL" in printed and "A from COR" not in printed


def test_rows_knit_alike_are_written_once_whatever_is_crossed_after_them() -> None:
    printed = sheet_command(blanket(), ".txt", "short")
    kinds = tables(blanket(), Wish(detail=Detail.SHORT))["The kinds of crossing rows"]
    assert [row[2] for row in kinds.rows if "rope" in str(row[3])] == [
        "as written below",
        "as A from COL",
        "as A from COL",
    ]
    assert {row[2] for row in kinds.rows if "rope" not in str(row[3])} == {"a plain row"}
    assert len(re.findall(r"^[A-Z]+ from CO[LR]$", printed, re.MULTILINE)) == 1


def test_what_falls_beside_is_told_with_its_own_rule() -> None:
    plan = rope(
        rows=100,
        band=[{"rows": "3-20", "stitch_size": 4, "colour": "slate"}, {"rows": "50", "colour": "rust"}],
        reminder=[{"row": 21, "text": "measure"}, {"first_row": 5, "every": 10, "text": "marker"}],
        panel={"weights_every": 30},
    )
    for detail in Detail:
        found = tables(plan, Wish(detail=detail))
        assert found["Bands; where two overlap the later line counts"].rows == (
            ("3–20", "4", "slate"),
            ("50", "", "rust"),
        )
        assert found["At the same time"].rows == (
            ("measure", "21", "", "1", "21"),
            ("marker", "5", "10 rows", "10", "95"),
        )
        printed = " ".join(sheet_command(plan, ".txt", detail).split())
        assert "under all needles after every 30 rows, and under the cable after each crossing" in printed


def test_when_each_cable_crosses_is_the_calendars() -> None:
    [row] = tables(breakwater(), Wish(detail=Detail.WORKING))["When the cables cross"].rows
    assert row == ("rope", "8", "7 rows", "59", "414", "COL, COR in turn")


# --- the row list ---------------------------------------------------------


def row_list(plan: Plan) -> Table:
    return tables(plan, Wish(detail=Detail.SHORT, row_list=True))["Every row; tick it when it is done"]


def test_the_row_list_is_there_when_asked_for_only() -> None:
    assert "Row list" not in sheet_command(rope(), ".txt")
    printed = sheet_command(rope(), ".txt", "short", row_list=True)
    assert printed[printed.index("Every row;") :].count("[]") == 40


@given(plans.plans(most_rows=60))
@settings(deadline=None)
def test_the_row_list_tells_all_that_falls_on_each_row(plan: Plan) -> None:
    calendar = Working(plan).calendar
    table = row_list(plan)
    column = {name: i for i, name in enumerate(table.head)}
    at = 1
    for line in table.rows:
        first, _, last = str(line[0]).replace(",", "").partition("–")
        assert int(first) == at
        row = calendar.row(at)
        assert line[column["Carriage"]] == row.side.carriage
        also = str(line[column["Also"]])
        for told in row.told:
            assert told in also
        for crossed in row.crossed:
            assert f"{crossed.name} {crossed.k:,} of {crossed.of:,}" in also
        assert ("weights up" in also) is row.weights
        if row.colour:
            assert line[column["Colour"]] == row.colour, "whatever else falls on the row"
        for number in range(at, int(last or first) + 1):
            other = calendar.row(number)
            assert (other.size, other.colour) == (row.size, row.colour)
            assert number == at or not (other.crossed or other.told or other.weights)
        ticks = line[column["Done"]]
        assert isinstance(ticks, Boxes) and ticks.count == int(last or first) + 1 - at
        at = int(last or first) + 1
    assert at == plan.panel.rows + 1


def test_the_counter_on_the_sheet_is_the_counter_at_the_bedside() -> None:
    from purlside.knitting.cursor import Knitting, Place

    plan = breakwater()
    knitting = Knitting(Working(plan))
    table = row_list(plan)
    column = table.head.index("Counter after")
    for line in (table.rows[i] for i in (0, 1, 7, 40, -1)):
        last = int(str(line[0]).rpartition("–")[2])
        knitting.go(Place(last + 1, 0))
        assert line[column] == str(knitting.counter)


def test_a_box_stands_for_more_rows_where_there_are_very_many() -> None:
    plain = plans.plan(rows=20_000)
    [line] = row_list(plain).rows
    assert line[0] == "1–20,000" and "a box for 1,000 rows" in str(line[-2])
    assert isinstance(line[-1], Boxes) and line[-1].count == 20


def test_kinds_are_lettered_like_columns() -> None:
    assert [letters(i) for i in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


# --- crossing rows --------------------------------------------------------


def test_full_says_why_and_short_has_no_drawings() -> None:
    full, working, short = (sheet_command(rope(), ".txt", detail) for detail in ("full", "working", "short"))
    assert "Why: " in full and "Why: " not in working + short
    assert "holding   " in full and "holding   " in working and "holding   " not in short
    for word in ("HP L3–R6 (9)", "UWP", "SS 9", "RC", "COR", "COL"):
        assert word in short


def test_short_lines_are_these() -> None:
    printed = sheet_command(rope(), ".txt", "short")
    passes = printed[printed.index("Crossing rows\n") : printed.index("Abbreviations\n")]
    assert passes == (GOLDEN / "sheet-rope-short.txt").read_text(encoding="utf-8")


def test_the_machines_own_letters_stand_beside_the_trades_words_when_asked() -> None:
    plan = rope(machine={"position_letters": {"wp": "B", "uwp": "C", "hp": "D; E"}})
    plain, lettered = sheet_command(plan, ".txt"), sheet_command(plan, ".txt", letters=True)
    assert "(D; E)" not in plain
    assert "Hold L3–R6 (9 needles), holding (D; E)" in lettered
    assert "to upper working (C)" in lettered
    assert "HP (D; E) L3–R6 (9)" in sheet_command(plan, ".txt", "short", letters=True)


def test_one_cable_can_have_a_sheet_of_its_own() -> None:
    plan = plans.plan(
        plans.cable("R1-R2 over L2-L1"),
        {**plans.cable("R4-R5 over R6", every=12), "name": "bead"},
        rows=40,
    )
    found = tables(plan, Wish(detail=Detail.SHORT, cable="bead"))["Crossing rows; the rows in which bead crosses"]
    assert sorted(row for line in found.rows for row in listed(str(line[-1]))) == [8, 20, 32]
    assert "This sheet keeps to the crossing rows of bead." in sheet_command(plan, ".txt", "short", cable="bead")


def test_of_a_garment_one_cables_sheet_has_the_pieces_it_is_in() -> None:
    front, back = (
        plans.plan({**plans.cable(), "name": name}, title=title)
        for title, name in (("Front", "rope"), ("Back", "braid"))
    )
    assert sheet([front, back], Wish(cable="braid")).title == "Back"
    assert sheet([front, back], Wish(cable="rope")).title == "Front"
    assert sheet([front, back], Wish()).title == "Front and Back"


def test_what_there_is_no_room_for_is_said() -> None:
    cables = [
        {
            **plans.cable(f"R{n} over R{n + 1}", first_row=5, every=n + 1, ease="enlarge", enlarged_size=9.0),
            "name": f"c{n}",
        }
        for n in range(2, 24, 2)
    ]
    printed = " ".join(sheet_command(plans.plan(*cables, needles="L2-R40", rows=200), ".txt", "short").split())
    match = re.search(r"No room here for (.*?): a full sheet, or the screen, has them\.", printed)
    assert match
    written = set(re.findall(r"([A-Z]+ from CO[LR]) [-~]+ \d+ movements", printed))
    named = set(match[1].split("; "))
    kinds = set(re.findall(r"([A-Z]+) (CO[LR]) as written below", printed))
    assert {f"{kind} from {side}" for kind, side in kinds} == written | named and not written & named


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
    printed = sheet_command(rope(yarn={"count": "very thick"}), ".txt")
    assert "No figures could be worked out" in printed
    assert "Pass 1 of 5" in printed


def test_credit_is_the_designers_or_a_line_to_fill_in() -> None:
    assert "Design and copyright: ____" in sheet_command(rope(), ".txt", "short")
    credited = sheet_command(rope(), ".txt", "short", credit="© 2026 A. Weaver; for your own use")
    assert "© 2026 A. Weaver" in credited and "Design and copyright" not in credited


def test_several_pieces_make_one_sheet_with_a_schematic_each() -> None:
    back, front = breakwater(), replace(breakwater(), title="Front")
    made = sheet([back, front], Wish(detail=Detail.WORKING))
    assert [s.heading for s in made.sections] == [
        "All together",
        "Breakwater scarf",
        "Front",
        "Abbreviations",
        "Cautions",
        "Credit",
    ]
    for piece in made.sections[1:3]:
        drawings = [b for s in piece.walk() for b in s.blocks if isinstance(b, Drawing)]
        assert sum(drawing.beside for drawing in drawings) == 1
    assert made.title == "Breakwater scarf and Front"
    assert "Front\n=====" in render(made, ".txt")


# --- ways of writing it ---------------------------------------------------


def columns(line: str) -> int:
    return sum(
        0
        if unicodedata.combining(c) or unicodedata.category(c) in ("Mn", "Me", "Cf")
        else 2
        if unicodedata.east_asian_width(c) in "WF"
        else 1
        for c in line
    )


@given(plans.plans(most_rows=20), st.sampled_from(["full", "working", "short"]))
@settings(max_examples=30)
def test_plain_text_is_never_wider_than_80_columns(plan: Plan, detail: str) -> None:
    assert max(map(columns, sheet_command(plan, ".txt", detail, letters=True, row_list=True).splitlines())) <= 80


def test_long_words_of_a_plan_are_broken_not_cut() -> None:
    title = "x" * 150 + "毛" * 40
    plan = rope(title=title, notes="word " * 60 + "y" * 300, reminder=[{"row": 3, "text": "z" * 190}])
    printed = sheet_command(plan, ".txt")
    assert max(map(columns, printed.splitlines())) <= 80
    for char, count in (("x", 150), ("毛", 40), ("y", 300), ("z", 190)):
        assert sum(len(run) for run in re.findall(f"{char}{{20,}}|{char}+(?= *$)", printed, re.MULTILINE)) >= count


def test_text_of_a_plan_cannot_mark_up_the_markdown() -> None:
    name = "a|b `c` *d* <i>"
    plan = plans.plan(
        {**plans.cable(), "name": name}, title=NASTY, notes=f"- {NASTY}\n\n1. {NASTY}\n\n# {NASTY}",
        reminder=[{"row": 2, "text": NASTY}],
    )  # fmt: skip
    printed = sheet_command(plan, ".md", "short", credit=NASTY)
    bare = re.sub(r"```text\n.*?```", "", printed, flags=re.DOTALL)
    bare = re.sub(r"\\[!-/:-@\[-`{-~]", "", bare)
    for mark in ("<", ">", "[", "]", "`", "~", "$", "&", "!", "*bold"):
        assert mark not in bare
    head = next(line for line in printed.splitlines() if line.startswith("| Row | What |"))
    row = next(line for line in printed.splitlines() if "alert" in line and line.startswith("|"))
    assert len(re.split(r"(?<!\\)\|", row)) == len(re.split(r"(?<!\\)\|", head))


def test_a_plan_without_cables_has_a_sheet_too() -> None:
    assert "Crossing rows" not in headings(plans.plan(), Detail.FULL)
    assert "no cable is crossed" in sheet_command(plans.plan(), ".txt")


@pytest.mark.parametrize(
    ("trip", "told"),
    [("centre", "at the centre"), ("left end", "at the left end"), ("R3", "at R3"), ("L3", "at L3")],
)
def test_where_the_counter_is_tripped_is_said_as_one_says_it(trip: str, told: str) -> None:
    assert f"Row counter: tripped {told}\n" in sheet_command(rope(machine={"counter_trip": trip}), ".txt")


# --- comma separated values -----------------------------------------------


def lines(plan: Plan, detail: str = "working", cable: str | None = None) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(sheet_command(plan, ".csv", detail, cable=cable))))


@given(plans.plans(most_rows=40), st.sampled_from(["short", "working", "full"]))
@settings(max_examples=40, deadline=None)
def test_the_table_carries_every_row_with_all_that_falls_on_it(plan: Plan, detail: str) -> None:
    calendar = Working(plan).calendar
    at = 1
    for line in (one for one in lines(plan, detail) if one["record"] == "rows"):
        assert int(line["row"]) == at
        row = calendar.row(at)
        assert (line["carriage"], float(line["size"]), line["colour"]) == (
            row.side.carriage,
            row.size,
            row.colour or "",
        )
        assert line["reminders"].lstrip("'") == "; ".join(row.told)
        assert line["works"].lstrip("'") == "; ".join(f"{c.name} {c.k} of {c.of}" for c in row.crossed)
        assert bool(line["weights"]) is row.weights
        assert (line["kind"] == "plain") is not bool(row.crossed)
        at = int(line["last_row"]) + 1
    assert at == plan.panel.rows + 1


def test_of_very_many_moves_the_full_table_has_those_of_each_kind_once_and_says_so() -> None:
    many = plans.plan(plans.cable(first_row=2, every=2, ease="extra rows", extra_rows=8), rows=20_000)
    [note, *others] = lines(many, "full")
    assert note["record"] == "note" and "too many moves to write out" in note["words"]
    assert {line["row"] for line in others if line["record"] == "move"} == {"1", "2"}
    rows = [line for line in others if line["record"] == "rows"]
    assert [int(line["row"]) for line in rows] == list(range(1, 20_001))
    assert rows[-1]["works"] == "rope 10000 of 10000", "they are few enough to count"


def test_of_very_many_crossings_the_table_names_those_of_each_row() -> None:
    cables = [plans.cable(f"R{2 * i + 1} over R{2 * i + 2}", name=f"c{i}", first_row=1, every=1) for i in range(7)]
    many = plans.plan(*cables, needles="R1-R14", rows=16_000)
    [note, *rows] = lines(many, "short")
    assert (note["record"], note["words"]) == (
        "note",
        "too many works to count one by one: those of a row are named",
    )
    assert len(rows) == 16_000 and {line["works"] for line in rows} == {"c0 to c6 (7 cables)"}


@given(plans.plans(most_rows=24))
@settings(max_examples=30, deadline=None)
def test_the_full_table_has_every_move_of_every_row_and_the_working_one_each_kind_once(plan: Plan) -> None:
    working = Working(plan)
    full = [line for line in lines(plan, "full") if line["record"] == "move"]
    for number, moves in groupby(full, key=lambda line: int(line["row"])):
        ours = [m for m in working.moves(number) if not isinstance(m, Tell)]
        printed = list(moves)
        if printed[0]["do"] == "dial" and ours[0].json()["do"] != "dial":
            assert float(printed.pop(0)["size"]) == working.dial_before(number), "where the dial stands is named"
        assert [m.json()["do"] for m in ours] == [line["do"] for line in printed]
        assert {line["carriage"] for line in printed} == {working.calendar.row(number).side.carriage}
        for move, line in zip(ours, printed, strict=True):
            told = move.json()
            assert line["words"].lstrip("'") == move.words(working.in_work)
            if "needles" in told:
                assert [str(n) for part in line["needles"].split() for n in Span.parse(part)] == sorted(
                    told["needles"], key=Needle.parse
                )
            for key in ("toward", "beyond", "front"):
                assert line[key] == told.get(key, "")
    once = [line for line in lines(plan, "working") if line["record"] == "move"]
    assert {line["row"] for line in once} <= {line["row"] for line in full}
    kinds = {working.calendar.row(number).kind for number in range(1, plan.panel.rows + 1)}
    assert len({line["row"] for line in once}) == len(kinds)
    assert not [line for line in lines(plan, "short") if line["record"] == "move"]


def test_one_cables_table_has_its_rows_only() -> None:
    plan = plans.plan(
        plans.cable("R1-R2 over L2-L1"), {**plans.cable("R4-R5 over R6", every=12), "name": "bead"}, rows=40
    )
    assert [line["row"] for line in lines(plan, "short", "bead")] == ["8", "20", "32"]


def test_no_cell_of_the_table_can_be_a_formula() -> None:
    plan = plans.plan(
        {**plans.cable(), "name": "=cmd()"},
        title="+1",
        reminder=[{"row": 2, "text": "@x"}],
        band=[{"rows": "3", "colour": "-y"}],
    )
    table = list(csv.reader(io.StringIO(sheet_command(plan, ".csv", "full"))))
    assert {len(row) for row in table} == {len(table[0])}
    assert not [cell for row in table for cell in row if cell[:1] in ("=", "+", "-", "@", "\t")]


@given(plans.plans(most_rows=60))
def test_lines_to_tick_cover_every_row_once(plan: Plan) -> None:
    at = 1
    for first, last in ticked(sheet_rows(Calendar(plan))):
        assert first == at <= last
        at = last + 1
    assert at == plan.panel.rows + 1


def test_a_kind_is_written_from_a_row_in_which_nothing_else_falls() -> None:
    plan = rope(rows=60, reminder=[{"row": 8, "text": "look"}], panel={"weights_every": 8})
    [kind] = sheet_rows(Calendar(plan)).kinds
    assert kind.shown(Calendar(plan), Side.LEFT) == 8, "weights fall on all of them"
    other = rope(rows=60, reminder=[{"row": 8, "text": "look"}])
    [kind] = sheet_rows(Calendar(other)).kinds
    assert kind.shown(Calendar(other), Side.LEFT) == 16


def test_a_full_sheet_tells_how_often_and_how_large_each_needle_is_knit_in_a_crossing_row() -> None:
    plan = plans.plan(
        plans.cable(ease=["enlarge", "extra rows"], enlarged_size=9.0, extra_rows=2),
        plans.cable("R5 over R6", name="bead", ease="by hand"),
        rows=8,
    )
    times: Counter[str] = Counter()
    loops: dict[str, str] = {}
    dial = ""
    for move in (move.json() for move in Working(plan).moves_of(Working(plan).calendar.row(8), 0.0)):
        dial = f"SS {move['size']:g}" if move["do"] == "dial" else dial
        for needle in move["needles"] if move["do"] in ("knit", "by-hand") else ():
            times[needle] += 1
            loops[needle] = dial if move["do"] == "knit" else "as large as the rail allows"
    [table] = [t for c, t in tables(plan, Wish(detail=Detail.FULL)).items() if c.endswith("asks of each needle")]
    told: dict[str, tuple[str, str]] = {}
    for needles, knit, size in (map(str, line) for line in table.rows):
        for span in needles.partition(" (")[0].split(", "):
            told |= dict.fromkeys(map(str, Span.parse(span.replace("–", "-"))), (knit, size))
    assert told == {
        n: ("by hand" if "rail" in loops[n] else f"{count} time{'s' if count > 1 else ''}", loops[n])
        for n, count in times.items()
    }
