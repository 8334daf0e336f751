"""The app, driven through its pilot: it says what the engine says, and no text of a plan can disturb it."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.screen import Screen

from purlside.app.actions import BEDSIDE, SHELF, Action
from purlside.app.app import PurlsideApp
from purlside.app.screens.shelf import IDLE, Shelf
from purlside.fabric.small import so_far
from purlside.files import planfile
from purlside.files.tables import checked
from purlside.keep.settings import Settings
from purlside.knitting.cursor import Knitting, Place
from purlside.rows.steps import short
from purlside.rows.working import Working
from purlside.shown.capitals import capitals
from tests.apps import knitting, press, settled, shown, small_plan
from tests.plans import cable, tables, toml

pytestmark = pytest.mark.usefixtures("home")
HOSTILE = "[red]x[/] [/] [@click=app.bell]y[/] \\[b] {z} $w %s"
"""Text that is markup for the screen's library where it is taken for that."""


def engine(app: PurlsideApp, place: Place) -> Knitting:
    """The engine by itself, at a place of the app's plan."""
    assert app.session is not None
    return Knitting(Working(app.session.file.plan), place)


# --- what the bedside says --------------------------------------------------


async def test_the_bedside_says_what_the_engine_says_at_each_step_of_two_repeats(tmp_path: Path) -> None:
    async with knitting(tmp_path, size=(100, 34), rows=17, machine={"counter_trip": "centre"}) as (app, pilot):
        assert app.session is not None
        titles = []
        for _ in range(30):
            own = engine(app, app.session.knitting.place)
            text, step, row = shown(app), own.step, own.row
            if step is None or row is None:
                break
            lines = text.splitlines()
            titles.append(step.title)
            assert any("of 17, 12 st " in line and own.side.carriage in line for line in lines[:3])
            fewest, _, most = own.counts or (0, 0, 0)
            reads = f"{fewest}" if fewest == most else f"{fewest}–{most}"
            assert f"counter {reads} " in text
            (count,) = own.cables()
            assert f"rope {count.done} of {count.of}" in text
            away = {None: "all crossed", 0: "cross it after this row"}
            assert away.get(count.rows_away, f"in {count.rows_away}") in text
            assert all(line.rstrip() in text for line in capitals(str(row.number)))
            for move in step.moves:
                assert move.words(own.working.in_work)[:20] in text or move.words()[:6] in text or step.crosses
            assert ("CROSSING ROW NEXT" in text) == (row.number in (7, 15))
            assert ("CROSSING ROW: rope" in text) == (row.number in (8, 16))
            if own.coming is not None and own.coming[0] == row.number:
                assert short(own.coming[1], own.working.in_work) in text
            await press(pilot, "space")
        assert app.session.knitting.finished
        assert "THE PANEL IS FINISHED" in shown(app)
        # Plain rows are one step each; a crossing row is five passes and the crossing.
        assert titles == 2 * [*7 * ["Plain row"], *[f"Pass {n} of 5" for n in range(1, 6)], "Cross rope: 3 over 3"] + [
            "Plain row"
        ]


@pytest.mark.parametrize(
    "keys", [["w"], ["z"], ["question_mark", "escape"], ["f", "escape"], ["l", "escape"], ["n", "escape"]]
)
async def test_what_was_said_is_gone_with_the_next_key_whatever_it_is(tmp_path: Path, keys: list[str]) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "a")
        assert "Again: knit left 1 row" in shown(app).splitlines()[-1]
        await press(pilot, *keys)
        assert "Space done" in shown(app).splitlines()[-1]


async def test_on_a_small_screen_nothing_of_the_step_or_its_keys_shows_round_the_help(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "question_mark")
        assert app.screen.query_one("#page").region.width == app.screen.region.width


async def test_moves_after_the_last_row_are_not_said_to_come_before_another(tmp_path: Path) -> None:
    async with knitting(tmp_path, rows=9, panel={"weights_every": 9}) as (app, pilot):
        await press(pilot, "g", "9", "enter")
        assert "     move the claw weights up" in shown(app)
        await press(pilot, "space")
        assert "WEIGHTS UP AFTER THIS ROW" in shown(app) and "next row" not in shown(app)


async def test_back_shows_again_what_was_shown_before(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (_, pilot):
        app = pilot.app
        assert isinstance(app, PurlsideApp)
        await press(pilot, *["space"] * 7)
        seen = []
        for _ in range(7):
            seen.append(without_time(shown(app)))
            await press(pilot, "space")
        for before in reversed(seen):
            await press(pilot, "pageup")
            assert without_time(shown(app)) == before


def without_time(text: str) -> list[str]:
    return [
        line for line in text.splitlines() if " a row" not in line and " left" not in line.replace("to the left", "")
    ]


async def test_held_needles_stand_in_the_holding_lane_as_the_engine_has_them(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, *["space"] * 8)
        assert app.session is not None
        bed = engine(app, app.session.knitting.place).bed
        lane = next(line for line in shown(app).splitlines() if line.split()[:1] == ["holding"])
        assert sum(lane.count(sign) for sign in "■▲▼") == len(bed.held) > 0


async def test_a_row_is_gone_to_by_its_number_and_a_row_there_is_not_is_refused(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "g", "9", "9", "enter")
        assert "allowed: a row, 1 to 40" in shown(app)
        await press(pilot, "backspace", "backspace", "2", "4", "enter")
        assert app.session is not None
        assert app.session.knitting.place == Place(24, 0)
        assert "CROSSING ROW: rope" in shown(app)


async def test_back_right_after_going_to_a_wrong_row_leads_to_the_step_it_was_left_at(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "g", "8", "enter", "space", "space")
        assert app.session is not None
        left = app.session.knitting.place
        await press(pilot, "g", "3", "enter")
        assert "Gone to row 3; Backspace takes you back to row 8" in shown(app)
        await press(pilot, "backspace")
        assert app.session.knitting.place == left
        await press(pilot, "backspace")
        assert app.session.knitting.place == Place(8, 2), "one step back, as ever"


async def test_a_step_after_going_to_a_row_makes_back_one_step_again(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "g", "2", "0", "enter", "space", "backspace")
        assert app.session is not None
        assert app.session.knitting.place == Place(20, 0)
        await press(pilot, "backspace")
        assert app.session.knitting.place == Place(19, 0)


@pytest.mark.parametrize("size", [(80, 24), (60, 18)])
async def test_why_hides_no_line_of_a_crossing_and_goes_with_its_step(tmp_path: Path, size: tuple[int, int]) -> None:
    async with knitting(tmp_path, size=size) as (app, pilot):
        await press(pilot, "g", "8", "enter", *["space"] * 5, "w")
        text = " ".join(shown(app).split())
        for told in (
            "Lift R1–R3 on 3 prongs",
            "Right half FIRST: R1–R3 onto L3–L1",
            "Then the left half: L3–L1 onto R1–R3",
            "Push all 6 out",
            "Move the claw weights up",
            "Why: The half put back first lies against the knit side",
            "so that the next pass knits them safely.",
        ):
            assert told in text
        await press(pilot, "space")
        assert "KNIT ► 1 ROW" in shown(app) or "Row 9" in shown(app) or "Plain row" in shown(app)
        assert "Why:" not in shown(app)
        assert "needle " in shown(app) and "b┘" not in shown(app), "the strip is that of the new row"


async def test_on_the_smallest_screen_every_line_of_a_crossing_comes_up_move_by_move(tmp_path: Path) -> None:
    async with knitting(tmp_path, size=(40, 12)) as (app, pilot):
        await press(pilot, "g", "8", "enter", *["space"] * 5)
        assert "more: Down" in shown(app)
        await press(pilot, "down")
        text = " ".join(shown(app).split())
        assert "FIRST: R1–R3 onto L3–L1" in text and "Push all 6 out" in text, "the crossing is one move: all of it"


async def test_the_first_screen_is_the_bedside_itself(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, _):
        assert len(app.screen_stack) == 1


async def test_in_ascii_every_character_is_ascii_on_the_bedside_and_in_its_help(tmp_path: Path) -> None:
    settings = checked(Settings, {"look": {"drawing": "ascii"}})
    async with knitting(tmp_path, settings, size=(100, 40)) as (app, pilot):
        for _ in range(16):
            assert shown(app).isascii()
            await press(pilot, "space")
        await press(pilot, "?")
        assert shown(app).isascii()


# --- the shelf --------------------------------------------------------------


async def test_the_shelf_pictures_the_chosen_plan_once_nobody_goes_through_the_list(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    patterns = tmp_path / "patterns"
    patterns.mkdir()
    (patterns / "a-rope.toml").write_text(toml(tables(cable())), "utf-8")
    (patterns / "b-broken.toml").write_text("format = = 1\n", "utf-8")
    (patterns / "c-plain.toml").write_text(toml(tables(needles="L4-R4")), "utf-8")
    async with knitting(tmp_path, plan=False, size=(80, 24)) as (app, pilot):
        await pilot.pause(IDLE * 3)
        assert "knit side, rows 4–" in shown(app) and "/ / /" in shown(app)
        app.simulate_key("down")
        await pilot.pause()
        assert "knit side" not in shown(app), "no plan stands beside another one's picture"
        assert shown(app).count("b-broken.toml") == 1
        await press(pilot, "down")
        await pilot.pause(IDLE * 3)
        assert "knit side, rows 1–" in shown(app), "a plain panel, its ground blank"
    async with knitting(tmp_path, plan=False, size=(60, 20)) as (app, pilot):
        await pilot.pause(IDLE * 3)
        assert "knit side" not in shown(app) and "row" in shown(app)


async def test_the_shelf_lists_what_cannot_be_read_with_the_reason_and_stays_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    patterns = tmp_path / "patterns"
    patterns.mkdir()
    (patterns / "a-good.toml").write_text(toml(tables(cable())), "utf-8")
    (patterns / "b-syntax.toml").write_text("format = = 1\n", "utf-8")
    (patterns / "c-outside.toml").write_text(toml(tables(cable("R5-R6 over R7-R8"))), "utf-8")
    (patterns / "d-bytes.toml").write_bytes(b"\xff\x00")
    (patterns / "e-folder.toml").mkdir()
    (patterns / "f-huge.toml").write_bytes(b"#" * 1_100_000)
    (patterns / "g-unknown.toml").write_text(toml({**tables(cable()), "titel": "x"}), "utf-8")
    (patterns / "h-[red]name[b].toml").write_text("", "utf-8")
    (patterns / "i-\x1b[31mred.toml").write_text("", "utf-8")
    async with knitting(tmp_path, plan=False, size=(120, 40)) as (app, pilot):
        text = shown(app)
        reasons = ["line 1", "R7–R8", "not text", "a directory", "1,100,000 bytes", "unknown", "[red]name[b]"]
        for reason in reasons:
            assert reason in text, reason
        assert "\x1b" not in text
        for _ in range(9):
            await press(pilot, "enter")
            if app.session is not None:
                assert "of 40" in shown(app)
                await press(pilot, "q")
                assert app.session is None
            else:
                assert "cannot be knit" in shown(app)
            await press(pilot, "down")
        assert app.is_running


# --- text that would disturb ------------------------------------------------


def hostile_plan(folder: Path) -> planfile.PlanFile:
    name = HOSTILE[:40]
    data = tables(
        cable(name=name, ease="enlarge", enlarged_size=9.0),
        notes=HOSTILE,
        reminder=[{"first_row": 1, "every": 1, "text": HOSTILE}],
        band=[{"rows": "1-3", "colour": name}],
        yarn={"fibre": "wool"},
    )
    path = folder / "[red]plan[b].toml"
    path.write_text(toml({**data, "title": HOSTILE}), "utf-8")
    return planfile.read(path)


async def tried(app: PurlsideApp, pilot: Pilot[int], actions: tuple[Action, ...]) -> set[type[Screen[object]]]:
    """Press each action's key, look at what comes up, and go back; the screens that came up."""
    seen: set[type[Screen[object]]] = set()
    depth = len(app.screen_stack)
    for action in (a for a in actions if a.name != "leave"):
        await press(pilot, *(action.keys[:1]))
        seen.add(type(app.screen))
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f\x80-\x9f]", shown(app)), action.name
        for key in ("escape", "delete", "q") * 4:
            # Escape leaves, but where leaving would lose something: there Delete leaves without saving.
            if len(app.screen_stack) > depth:
                await press(pilot, key)
        assert len(app.screen_stack) == depth, f"no way out of what {action.name} opens: {app.screen}"
    return seen


async def test_text_that_looks_like_markup_is_shown_as_it_stands_on_every_screen_of_the_bedside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    app = PurlsideApp(hostile_plan(tmp_path))
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        assert HOSTILE in shown(app)
        assert HOSTILE[:40] in shown(app)
        await press(pilot, "n", *"[/]", "enter")
        assert "[/]" in shown(app)
        await press(pilot, *["space"] * 7)
        assert f"CROSSING ROW: {HOSTILE[:40]}" in shown(app)
        assert len(await tried(app, pilot, BEDSIDE)) >= 6
        assert app.is_running


async def test_text_that_looks_like_markup_is_shown_as_it_stands_on_every_screen_of_the_shelf(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    hostile_plan(tmp_path / "patterns")
    async with knitting(tmp_path, plan=False, size=(120, 40)) as (app, pilot):
        assert HOSTILE in shown(app)
        assert "[red]plan[b].toml" in shown(app)
        keep = tuple(action for action in SHELF if action.name not in ("open", "forget"))
        assert len(await tried(app, pilot, keep)) >= 5
        await press(pilot, "enter")
        assert app.session is not None
        assert HOSTILE in shown(app)


async def test_a_tall_screen_lists_the_row_and_marks_the_step_in_hand(tmp_path: Path) -> None:
    many = [
        cable(f"R{n}-R{n + 1} over R{n + 2}-R{n + 3}", name=f"twist {n}", ease="enlarge", enlarged_size=9.0)
        for n in range(1, 24, 5)
    ]
    more: dict[str, Any] = {"cables": many, "panel": {"needles": "L6-R30", "rows": 40, "stitch_size": 5.0}}
    async with knitting(tmp_path, size=(110, 44), **more) as (app, pilot):
        assert app.session is not None
        await press(pilot, *"rrrrrrr")
        steps = app.session.knitting.steps
        assert len(steps) > 10
        for hand, step in enumerate(steps):
            text = shown(app)
            (marked,) = [line for line in text.splitlines() if re.search(r"^.{60,}  ►  [a-z]", line)]
            assert short(step, app.session.knitting.working.in_work) in marked
            listed = re.search(r"steps (\d+)–(\d+) of (\d+)", text)
            assert listed is not None, "what is not listed is counted"
            assert int(listed[1]) <= hand + 1 <= int(listed[2]) <= int(listed[3]) == len(steps)
            assert "then rows 9–15 plain; next crossing row 16" in text
            await press(pilot, "space")


async def test_the_last_plan_taken_off_the_shelf_leaves_it_empty_and_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "patterns").mkdir()
    small_plan(tmp_path / "patterns")
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, size=(100, 30), plan=False) as (app, pilot):
        await pilot.pause(2 * IDLE)
        screen = app.screen
        assert isinstance(screen, Shelf) and screen.pictured is not None
        # The picture waits for a key that does not come; what stands on the shelf does not.
        screen.plans = []
        screen.repaint()
        assert "No plan here yet" in shown(app)


async def test_a_wide_screen_shows_the_fabric_to_the_last_crossing_once_no_key_comes(tmp_path: Path) -> None:
    async with knitting(tmp_path, size=(160, 60), rows=40) as (app, pilot):

        async def wait_for(text: str) -> None:
            for _ in range(200):
                await asyncio.sleep(0.01)
                if text in "\n".join(line.rstrip() for line in shown(app).splitlines()):
                    return
            raise AssertionError(f"{text!r} did not come:\n{shown(app)}")

        await wait_for("Under the needles: nothing is knit yet")
        for row, rows in ((9, "–8\n"), (12, "–8\n"), (5, "–4\n"), (18, "–16\n")):
            await press(pilot, "g", *str(row), "enter")
            await wait_for(rows)
            assert "Under the needles: purl side, rows" in shown(app)
        assert app.session is not None
        drawn = so_far(app.session.knitting.working, 17, 40, 12)
        assert all("".join(text for text, _ in line).strip() in shown(app) for line in drawn.lines)
        await press(pilot, "/", *"ascii", "enter")
        await wait_for("Under the needles: purl side")
        for _ in range(100):
            if shown(app).isascii():
                return
            await asyncio.sleep(0.02)
        raise AssertionError(shown(app))
