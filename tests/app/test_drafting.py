"""The drafting table on screen: keys, mouse, fields, verdicts beside the chart, saved, and knit where one was."""

from __future__ import annotations

import contextlib
import random
import re
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from purlside.app.actions import DRAFTING
from purlside.app.app import PurlsideApp
from purlside.app.rebinding import bound
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.drafting import Drafting
from purlside.app.screens.settings import SettingsScreen
from purlside.app.screens.shelf import Shelf
from purlside.draft import fields
from purlside.draft.drafting import CannotDraft
from purlside.fabric.stitches import Face
from purlside.files.planfile import read
from purlside.keep import panels
from purlside.keep import settings as stored
from purlside.keep.ledger import entries_backwards
from purlside.keep.settings import Settings
from purlside.rows.checking import faults
from tests.apps import knitting, press, settled, shown

COMMENTED = """\
# the harbour
format = 1
title = "Small [b]harbour[/b]"  # for the quay
[machine]
pitch_mm = 4.5
[gauge]
stitches_per_10cm = 28
rows_per_10cm = 40
[panel]
needles = "L9-R9"
rows = 60
stitch_size = 5
[[cable]]
name = "[red]rope"   # brackets and all
cross = "R1-R3 over L3-L1"
first_row = 8
every = 8
"""


@pytest.fixture(autouse=True)
def here(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    return tmp_path


@pytest.fixture
def plan_path(here: Path) -> Path:
    path = here / "patterns" / "harbour.toml"
    path.write_text(COMMENTED, "utf-8")
    return path


def table(app: PurlsideApp) -> Drafting:
    assert isinstance(app.screen, Drafting)
    return app.screen


async def type_text(pilot: Pilot[int], text: str) -> None:
    await press(pilot, *text)


def cross_of(app: PurlsideApp) -> str:
    cable = table(app).draft.cable
    assert cable is not None
    return str(cable.cross)


# --- getting there ----------------------------------------------------------


async def test_five_questions_make_a_plan_that_is_drafted_saved_and_found_on_the_shelf(here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "n")
        await type_text(pilot, "Quay strip")
        await press(pilot, "enter", "enter", "enter")
        assert "= wool, stitch size 5" in shown(app)
        await type_text(pilot, "7 st and 10 rows to the inch")
        assert "= 27.56 stitches and 39.37 rows in 10 cm" in shown(app)
        await press(pilot, "enter")
        await type_text(pilot, "20 needles, 30 rows")
        await press(pilot, "enter")
        assert "Quay strip" in shown(app) and "not saved" in shown(app)
        await press(pilot, "ctrl+s")
        assert "Saved: quay-strip.toml" in shown(app)
        made = read(here / "patterns" / "quay-strip.toml").plan
        assert (str(made.panel.needles), made.panel.rows) == ("L10-R10", 30)
        await press(pilot, "q")
        assert isinstance(app.screen, Shelf) and "Quay strip" in shown(app)


async def test_an_answer_that_is_none_is_told_and_can_be_mended(here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "n", "enter", "enter", "enter", "enter")
        await type_text(pilot, "300 needles, 30 rows")
        await press(pilot, "enter")
        assert app.focused is not None and app.focused.id == "q4"
        assert "the bed has 200 needles; the panel would take 300" in " ".join(shown(app).split())
        await press(pilot, "escape")
        assert isinstance(app.screen, Shelf)


async def test_a_copy_is_drafted_and_the_original_stays(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (_, pilot):
        await press(pilot, "c", "+", "ctrl+s", "q")
        assert read(plan_path).text == COMMENTED
        copied = read(here / "patterns" / "small-b-harbour-b-copy.toml")
        assert str(copied.plan.cable[0].cross) == "R1-R4 over L4-L1" and "# for the quay" in copied.text


async def test_a_plan_that_is_no_text_says_why_and_stays_on_the_shelf(plan_path: Path, here: Path) -> None:
    plan_path.write_bytes(b"\xff")
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2")
        assert isinstance(app.screen, Shelf) and "cannot be read: the plan: found bytes" in shown(app)


async def test_a_plan_that_cannot_be_knit_is_drafted_until_it_can(plan_path: Path, here: Path) -> None:
    plan_path.write_text(COMMENTED.replace("R1-R3 over L3-L1", "R8-R10 over R5-R7"), "utf-8")
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2")
        assert "R10 (1 needle) outside the panel" in shown(app)
        await press(pilot, "f2")
        assert isinstance(app.screen, Drafting) and "It cannot be knit yet" in shown(app)
        await press(pilot, "shift+right", "f2")
        assert isinstance(app.screen, Bedside)


async def test_on_a_small_screen_the_fields_come_with_the_verdict_in_whole_lines(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(80, 24)) as (app, pilot):
        await press(pilot, "f2", "+", "+", "+")
        assert "lists no tools" not in shown(app), "cut, with a sign"
        await press(pilot, "i")
        whole = " ".join(shown(app).split())
        assert "the plan lists no tools" in whole and "> cable" in whole and "extra rows will" in whole


# --- designing --------------------------------------------------------------


async def test_a_cable_is_placed_moved_turned_and_taken_back_with_the_keyboard(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "delete")
        assert "Nothing in hand" in shown(app)
        await press(pilot, "home", "right", "up", "up", "p")
        await type_text(pilot, "2/2 RC")
        await press(pilot, "enter")
        assert cross_of(app) == "R7-R8 over R5-R6"
        assert "2/2 RC" in shown(app) and "rows 3, 7" in shown(app)
        await press(pilot, "enter", "right", "right", "up", "enter", "x", "+")
        assert cross_of(app) == "R2-R4 over R5-R7" and "rows 4, 8" in shown(app)
        await press(pilot, "u", "u", "u", "u", "u", "u")
        assert "Undone: deleted [red]rope" not in shown(app)
        await press(pilot, "u")
        assert "Undone: deleted [red]rope" in shown(app) and cross_of(app) == "R1-R3 over L3-L1"
        assert " saved" in shown(app).splitlines()[0] and "not saved" not in shown(app).splitlines()[0]
        await press(pilot, "U", "U")
        assert cross_of(app) == "R7-R8 over R5-R6"


async def test_a_written_cable_that_is_none_is_refused_where_it_is_typed(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "p")
        await type_text(pilot, "[bold]C5F")
        await press(pilot, "enter")
        assert "'[BOLD]C5F' is not a written cable" in " ".join(shown(app).split())
        await press(pilot, "escape")
        assert len(table(app).draft.plan.cable) == 1


async def test_the_side_is_named_and_the_knit_side_is_mirrored(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2")
        heading, numbers = shown(app).splitlines()[:2]
        assert "KNIT SIDE, mirrored" in heading and numbers.index("R9") < numbers.index("L9")
        await press(pilot, "V")
        heading, numbers = shown(app).splitlines()[:2]
        assert "PURL SIDE, as at the bed" in heading and numbers.index("L9") < numbers.index("R9")


async def test_a_motif_is_chosen_numbered_and_laid_down(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "delete", "m", "down", "down", "enter")
        assert "strands over and under in turn" in shown(app)
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "plait A: 2/2 RC, then 2/2 LC" in shown(app)


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (200, 50)])
async def test_every_size_shows_chart_verdict_and_keys_and_the_fields_when_asked(
    plan_path: Path, here: Path, size: tuple[int, int]
) -> None:
    async with knitting(here, plan=False, size=size) as (app, pilot):
        await press(pilot, "f2")
        text = shown(app)
        assert "[red]rope: 3/3 RC" in text and "Will it cross?" in text and "p place" in text
        assert "/" in text and "b" in text
        assert ("enlarged size" in text) == (size[0] >= 100)
        assert sum(text.count(word) for word in ("WILL KNIT", "MAY NOT REACH", "WON'T REACH", "NEEDS OTHER TOOLS")) == 1
        await press(pilot, "i")
        assert "first row" in shown(app)
        for line in shown(app).splitlines():
            assert len(line) <= size[0]


async def test_a_field_is_taken_in_letter_by_letter_and_the_verdict_follows(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "i", "down", "down", "down", "enter", "backspace", "4")
        assert "every 4, 14 times" in " ".join(shown(app).split())
        await type_text(pilot, "x[/b]")
        assert 'found "4x[/b]"' in " ".join(shown(app).split())
        assert table(app).draft.plan.cable[0].every == 4
        await press(pilot, "ctrl+s")
        assert table(app).draft.plan.cable[0].every == 4
        await press(pilot, "escape")
        assert table(app).draft.plan.cable[0].every == 8 and "found" not in shown(app)
        await press(pilot, "q", "q")
        assert isinstance(app.screen, Shelf)


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (200, 50)])
async def test_the_fields_say_where_they_go_on_and_the_chosen_one_is_always_in_sight(
    plan_path: Path, here: Path, size: tuple[int, int]
) -> None:
    async with knitting(here, plan=False, size=size) as (app, pilot):
        await press(pilot, "f2", "i")
        listed = list(fields.fields(table(app).draft.plan, 0))
        for field in listed:
            pane = app.screen.query_one("#fields")
            lines = ["".join(s.text for s in pane.render_line(y)) for y in range(pane.size.height)]
            assert sum(line.startswith(f" > {field.label}") for line in lines) == 1
            told = [int(found[1]) for line in lines if (found := re.search(r"… (\d+) more (above|below)", line))]
            seen = sum(bool(line.strip()) for line in lines) - len(told)
            headings = len({field.table for field in listed})
            assert seen + sum(told) == len(listed) + headings
            await press(pilot, "down")


async def test_a_click_puts_the_cursor_there_and_takes_the_cable_in_hand(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2")
        chart = app.screen.query_one("#chart")
        lines = ["".join(s.text for s in chart.render_line(y)) for y in range(chart.size.height)]
        y = next(y for y, line in enumerate(lines) if line.startswith("   8"))
        x = lines[y].index("/")
        await pilot.click("#chart", offset=(x, y))
        assert (str(table(app).draft.needle), table(app).draft.row) == ("R3", 8)
        assert table(app).draft.selected == 0


async def test_the_fabric_is_drawn_from_the_stitches(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "v")
        assert "│  │  │" in shown(app) and "\\" in shown(app)
        await press(pilot, "V")
        assert table(app).draft.face is Face.PURL and "-  -  -" in shown(app)
        await press(pilot, "q")
        assert "v  v" not in shown(app)


async def test_bands_reminders_and_ladders_stand_where_they_were_put(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "home", "o", "up", "up", "n")
        await type_text(pilot, "[i]marker")
        await press(pilot, "enter", "up", "up", "b", "down", "enter", "backspace", "4", "enter")
        text = shown(app)
        assert "×" in text and "> [i]marker" in text and "SS 4" in text
        assert [b.stitch_size for b in table(app).draft.plan.band] == [4]
        await press(pilot, "delete")
        assert table(app).draft.plan.band == ()


@pytest.mark.parametrize("seed", [8])
async def test_whatever_keys_are_pressed_the_chart_shows_the_draft_and_all_of_it_can_be_undone(
    plan_path: Path, here: Path, seed: int
) -> None:
    chance = random.Random(seed)
    out = {"save", "save_as", "knit", "leave", "undo", "redo", "help", "theme", "settings", "go_to"}
    keys = [action.keys[0] for action in DRAFTING if action.name not in out]
    asked = ["enter", "enter", "escape", "3", "slash", "2", "space", "R", "C"]
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2")
        screen = table(app)
        with app.batch_update():
            for _ in range(150):
                typing = app.screen is not screen or screen.has_class("-typing")
                app.simulate_key(chance.choice(asked if typing else keys))
                await settled(pilot)
        while app.screen is not screen:
            await press(pilot, "escape")
        draft = screen.draft
        assert draft.judgement.faults == tuple(faults(draft.plan))
        screen.repaint()
        await settled(pilot)
        assert f"{draft.needle} row {draft.row} of {draft.rows:,}" in shown(app)
        with contextlib.suppress(CannotDraft):
            while True:
                draft.undo()
        assert draft.plan == read(plan_path).plan and not draft.changed


async def test_any_action_is_found_by_a_word_and_done(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "/")
        await type_text(pilot, "wider")
        assert "each strand a stitch wider" in shown(app) and "note to be told" not in shown(app)
        await press(pilot, "enter")
        assert cross_of(app) == "R1-R4 over L4-L1"


async def test_a_pair_is_made_in_one_key_and_moved_as_one(plan_path: Path, here: Path) -> None:
    plan_path.write_text(COMMENTED.replace("R1-R3 over L3-L1", "R6-R7 over R4-R5"), "utf-8")
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "f3")
        assert "mirrored twin" in shown(app)
        await press(pilot, "shift+left")
        assert [str(c.cross) for c in table(app).draft.plan.cable] == ["R7-R8 over R5-R6", "L8-L7 over L6-L5"]
        await press(pilot, "delete")
        assert not table(app).draft.plan.cable


async def test_a_motif_tells_what_it_takes_before_it_is_laid(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "delete", "m", "down", "down", "down", "enter")
        await type_text(pilot, "2")
        assert "Takes 12 needles" in shown(app) and "whole repeats" in shown(app)
        await press(pilot, "enter", "4", "enter")
        assert "Takes 16 needles" in " ".join(shown(app).split())
        await press(pilot, "escape")


async def test_a_needle_and_a_row_are_gone_to_in_one_line(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "g")
        await type_text(pilot, "L4 33")
        await press(pilot, "enter")
        assert "L4 row 33 of 60" in shown(app)
        await press(pilot, "g")
        await type_text(pilot, "R40")
        await press(pilot, "enter")
        assert "a row, 1 to 60, a needle, L9 to R9" in " ".join(shown(app).split())
        await press(pilot, "escape")


async def test_a_written_pattern_is_read_looked_at_and_laid_at_the_cursor(plan_path: Path, here: Path) -> None:
    (here / "braid.txt").write_text(
        "Row 1 (RS): p1, k4, p1\nRow 2: k1, p4, k1\nRow 3: p1, 2/2 RC, p1\nRow 4: as row 2\n"
    )
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "delete", "home", "ctrl+o")
        await type_text(pilot, "braid.txt")
        await press(pilot, "enter")
        assert "─__//─" in shown(app) and "lay it here" in shown(app)
        await press(pilot, "enter")
        made = table(app).draft.plan
        assert [str(c.cross) for c in made.cable] == ["R7-R8 over R5-R6"]
        assert {str(n) for s in made.stitch for n in s.needles} == {"R4", "R9"}
        await press(pilot, "u")
        assert not table(app).draft.plan.stitch


async def test_a_design_is_refitted_at_the_table_and_undo_takes_it_back(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(120, 40)) as (app, pilot):
        await press(pilot, "f2", "ctrl+f")
        await type_text(pilot, "9 mm")
        await press(pilot, "enter", "enter")
        await type_text(pilot, "14 st and 20 rows in 10 cm")
        await press(pilot, "enter", "enter")
        assert "Laid again" in shown(app) and "→" in shown(app)
        await press(pilot, "escape")
        assert table(app).draft.plan.machine.pitch_mm == 9 and table(app).draft.plan.panel.rows == 30
        await press(pilot, "u")
        assert table(app).draft.plan == read(plan_path).plan


async def test_stitches_are_shaped_evenly_over_rows_and_the_words_are_told_as_one_types(
    plan_path: Path, here: Path
) -> None:
    async with knitting(here, plan=False, size=(120, 40)) as (app, pilot):
        await press(pilot, "f2", "ctrl+e")
        await type_text(pilot, "3")
        await press(pilot, "enter")
        assert "decrease every" in shown(app)
        await press(pilot, "enter", "enter", "enter", "enter")
        rows = read(plan_path).plan.panel.rows
        made = table(app).draft.plan.shape
        assert sum(shape.times or 1 for shape in made) == 3
        assert max(shape.first_row + (shape.every or 0) * ((shape.times or 1) - 1) for shape in made) == rows
        await press(pilot, "u")
        assert not table(app).draft.plan.shape


async def test_in_a_part_its_own_rows_are_proposed_and_what_is_shaped_is_the_parts(plan_path: Path, here: Path) -> None:
    part = '\n[[part]]\nname = "right side"\nneedles = "R1-R6"\nrows = 20\n'
    plan_path.write_text(plan_path.read_text("utf-8") + part, "utf-8")
    panel = read(plan_path).plan.panel.rows
    async with knitting(here, plan=False, size=(120, 40)) as (app, pilot):
        await press(pilot, "f2")
        table(app).draft.go(2, panel + 5)
        await press(pilot, "ctrl+e")
        proposed = {line.id: line.value for line in app.screen.query(Input)}
        assert proposed["rows"] == f"{panel + 5}-{panel + 20}" and proposed["part"] == "right side"
        await type_text(pilot, "2")
        await press(pilot, *["enter"] * 6)
        made = table(app).draft.plan.shape
        assert made and all(shape.part == "right side" and shape.first_row > panel for shape in made)


async def test_a_front_is_shaped_from_its_measures(plan_path: Path, here: Path) -> None:
    swatch = "\n[gauge]\nstitches_per_10cm = 29\nrows_per_10cm = 41\n"
    text = plan_path.read_text("utf-8")
    if "[gauge]" not in text:
        plan_path.write_text(text.replace("[panel]", f"{swatch}[panel]", 1), "utf-8")
    async with knitting(here, plan=False, size=(120, 40)) as (app, pilot):
        await press(pilot, "f2", "ctrl+g")
        assert "stitches" in shown(app) and "armhole depth" not in shown(app)
        for line in app.screen.query(Input):
            at = line.content_region
            assert app.screen.get_widget_at(at.x, at.y)[0] is line, "what is typed is seen"
        await press(pilot, *["enter"] * 8)
        plan = table(app).draft.plan
        assert [part.name for part in plan.part] == ["right shoulder", "left shoulder"] and plan.shape
        assert "Tie a marker at both edges: the armhole begins here" in [told.text for told in plan.reminder]
        await press(pilot, "u")
        assert not table(app).draft.plan.part


async def test_a_picture_and_a_sheet_are_written_from_the_table(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", "s")
        await type_text(pilot, "harbour.svg")
        await press(pilot, "enter", "enter")
        await app.workers.wait_for_complete()
        await settled(pilot)
        assert "<svg" in (here / "harbour.svg").read_text("utf-8")
        await press(pilot, "f9")
        assert "The short sheet" in shown(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, Drafting)


# --- saving and leaving -----------------------------------------------------


async def test_leaving_what_is_not_saved_asks_first(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "+", "q")
        assert "is not saved" in shown(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, Drafting)
        await press(pilot, "q", "delete")
        assert isinstance(app.screen, Shelf) and read(plan_path).text == COMMENTED
        await press(pilot, "f2", "+", "q", "enter")
        assert isinstance(app.screen, Shelf) and "R1-R4 over L4-L1" in read(plan_path).text


async def test_a_file_changed_meanwhile_is_kept_and_the_draft_saved_under_another_name(
    plan_path: Path, here: Path
) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "f2", "+")
        theirs = COMMENTED.replace("rows = 60", "rows = 61")
        plan_path.write_text(theirs, "utf-8")
        await press(pilot, "ctrl+s")
        assert "F12: under another name" in shown(app)[-160:] and "changed by someone else" in shown(app)
        await press(pilot, "f12")
        await type_text(pilot, "ours")
        await press(pilot, "enter")
        assert read(plan_path).text == theirs
        assert read(here / "patterns" / "ours.toml").plan == table(app).draft.plan


# --- drafting while knitting ------------------------------------------------


async def knit_to(pilot: Pilot[int], row: int) -> None:
    await press(pilot, "g", *str(row), "enter")


async def test_what_is_drafted_further_up_keeps_the_place(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "enter")
        await knit_to(pilot, 20)
        await press(pilot, "f2")
        assert "rows 1–19 are as you knit them" in shown(app)
        await press(pilot, "i", *["down"] * 4, "enter", "9", "enter", "i", "ctrl+s", "q")
        assert isinstance(app.screen, Bedside) and app.session is not None
        assert app.session.file.plan.cable[0].times == 9
        assert app.session.knitting.place.row == 20
        assert "from row 20 on it is the new one, what is knit stays" in " ".join(shown(app).split())


async def test_what_is_knit_otherwise_already_is_named_before_and_after(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "enter")
        await knit_to(pilot, 20)
        await press(pilot, "f2", "shift+up")
        assert "Doesn't match your knitting" in shown(app) and "row 8: R1-R3 over L3-L1 was crossed there" in shown(app)
        await press(pilot, "f2")
        assert isinstance(app.screen, Bedside) and app.session is not None
        assert app.session.knitting.place.row == 20
        assert "from row 20 on it is the new one, what is knit stays" in " ".join(shown(app).split())
        await press(pilot, "space")
        assert "the new one" not in shown(app)
        await press(pilot, "pageup")
        assert str(next(entries_backwards(panels.of(plan_path).ledger)).event.at) == "20.0"


async def test_a_row_in_hand_that_changed_is_finished_as_it_was_begun(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "enter")
        await knit_to(pilot, 16)
        await press(pilot, "down")
        assert app.session is not None and app.session.knitting.place == (16, 1)
        await press(pilot, "f2", "e", "f2")
        assert app.session is not None and app.session.knitting.place.row == 16
        assert "row 16 is finished as it was begun" in " ".join(shown(app).split())
        assert app.session.knitting.place.done == 1


async def test_opened_on_a_plan_one_comes_back_to_its_bedside_with_the_plan_as_saved(here: Path) -> None:
    async with knitting(here) as (app, pilot):
        await knit_to(pilot, 5)
        await press(pilot, "f2", "x", "ctrl+s", "f2")
        assert isinstance(app.screen, Bedside) and app.session is not None
        assert app.session.knitting.place.row == 5
        assert str(app.session.knitting.plan.cable[0].cross) == "L3-L1 over R1-R3"
        assert "left half in front" in shown(app) or "rope 0 of" in shown(app)
        await press(pilot, "f2", "q", "space")
        assert app.session.knitting.place.row == 6


async def test_a_plan_saved_with_faults_is_not_knit_from(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "enter", "f2", *["shift+left"] * 9, "ctrl+s", "q")
        assert isinstance(app.screen, Bedside) and app.session is not None
        assert "cannot be knit yet" in shown(app)
        assert str(app.session.knitting.plan.cable[0].cross) == "R1-R3 over L3-L1"


async def test_saved_under_another_name_it_is_that_plan_that_is_knit_or_the_one_in_hand_and_that_is_said(
    plan_path: Path, here: Path
) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "enter")
        await knit_to(pilot, 5)
        await press(pilot, "f2", ">", "f12")
        await type_text(pilot, "pier")
        await press(pilot, "enter", "q")
        assert isinstance(app.screen, Bedside) and app.session is not None
        assert "On with harbour.toml; pier.toml is saved, on the shelf" in shown(app)
        assert app.session.file.path.name == "harbour.toml" and app.session.knitting.place.row == 5
        await press(pilot, "f2", "f12")
        await type_text(pilot, "mole")
        await press(pilot, "enter", "f2")
        assert isinstance(app.screen, Bedside) and app.session.file.path.name == "mole.toml"
        assert app.session.knitting.place.row == 1 and len(app.screen_stack) == 2
        await press(pilot, "space", "q")
        assert isinstance(app.screen, Shelf) and "row 5 of" in shown(app) and "row 2 of" in shown(app)


async def test_from_the_shelf_rows_already_knit_are_known_from_the_ledger(plan_path: Path, here: Path) -> None:
    async with knitting(here, plan=False) as (app, pilot):
        await press(pilot, "enter")
        await knit_to(pilot, 12)
        await press(pilot, "q", "f2")
        assert "rows 1–11 are as you knit them; row 12 is next" in shown(app)


# --- keys of one's own ------------------------------------------------------


async def test_a_key_of_the_drafting_table_is_bound_in_the_settings_and_does_it_at_once(
    plan_path: Path, here: Path
) -> None:
    async with knitting(here, plan=False, size=(100, 30)) as (app, pilot):
        await press(pilot, "f2", ",")
        screen = app.screen
        assert isinstance(screen, SettingsScreen)
        while screen.option.binds != "widen":
            await press(pilot, "down")
        await press(pilot, "enter", "x")
        assert 'x already does "cross the other way' in " ".join(shown(app).split())
        await press(pilot, "enter", "W", "escape", "+", "W")
        assert cross_of(app) == "R1-R4 over L4-L1", "the new key widens, the old one no longer"
        await press(pilot, "?")
        assert "W" in [line.split()[0] for line in shown(app).splitlines() if "a stitch wider" in line]
    kept = stored.load().settings
    assert kept.keys["widen"] == ("W",)


async def test_keys_bound_for_the_shelf_leave_those_of_the_drafting_table_alone(plan_path: Path, here: Path) -> None:
    settings = bound(bound(Settings(), "forget", ["X"]), "down", ["z"])
    async with knitting(here, settings, plan=False) as (app, pilot):
        await press(pilot, "f2", "x", "X", "up", "down")
        assert table(app).draft.row == 1 and table(app).draft.undo() == "[red]rope mirrored"
