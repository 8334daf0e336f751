"""Hands-free: a pedal, a guard against repeats, keys of one's own, and a view for two metres away."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.app.presses import Press, Presses
from purlside.keep.settings import Pedal, Settings, load
from tests.apps import knitting, press, press_at, settled, shown, small_plan
from tests.terminal.terminal import at_row, purlside

pytestmark = pytest.mark.usefixtures("home")


def told(settings: Settings, *times: float) -> list[str]:
    """What a pedal's presses at these times are taken for; every next leaves a step."""
    presses, found = Presses(settings), []
    for when in times:
        what = presses.press(when)
        if what is Press.NEXT:
            presses.moved(True)
        found.append(what.value if what is not Press.BACK else f"back {presses.undo}")
    return found


DOUBLE = Settings(pedal=Pedal(key="f9", back="double"))
LONG = Settings(pedal=Pedal(key="f9", back="long"))


# --- one key for next and back ----------------------------------------------


def test_slow_presses_are_each_a_step() -> None:
    assert told(DOUBLE, 1, 2, 3) == ["next"] * 3
    assert told(LONG, 1, 2.2, 3.4) == ["next"] * 3


def test_pressed_twice_is_back_and_takes_its_first_press_back() -> None:
    assert told(DOUBLE, 1, 1.3) == ["next", "back 1"]


def test_twice_and_twice_again_is_two_steps_back() -> None:
    assert told(DOUBLE, 1, 1.3, 1.9, 2.2) == ["next", "back 1", "next", "back 1"]


def test_a_bouncing_pedal_counts_once_and_is_not_taken_for_a_double_press() -> None:
    assert told(DOUBLE, 1, 1.01, 1.03, 3) == ["next", "nothing", "nothing", "next"]
    assert told(LONG, 1, 1.02, 3) == ["next", "nothing", "next"]


def test_held_down_is_back_and_takes_back_what_it_began_with() -> None:
    repeats = [1.5 + i / 30 for i in range(30)]
    assert told(LONG, 1, *repeats) == ["next", "next", "nothing", "back 2"] + ["nothing"] * 27


def test_a_press_long_before_the_held_one_is_not_taken_back() -> None:
    assert told(LONG, 1, 5, 5.4, 5.43, 5.46) == ["next", "next", "next", "nothing", "back 2"]


def test_held_down_with_back_off_goes_on_by_no_more_than_the_repeat_that_comes_late() -> None:
    never = Settings(pedal=Pedal(key="f9", back="off"))
    assert told(never, 1, *[1.5 + i / 30 for i in range(30)]).count("next") == 2


def test_at_the_end_nothing_is_taken_back_that_was_not_done() -> None:
    presses = Presses(DOUBLE)
    presses.press(1)
    presses.moved(False)
    assert presses.press(1.2) is Press.BACK
    assert presses.undo == 0


async def test_the_pedal_knits_a_row_and_goes_back_at_the_bedside(tmp_path: Path) -> None:
    async with knitting(tmp_path, DOUBLE) as (app, pilot):
        assert app.session is not None
        await press_at(pilot, "f9", 1, 2, 3)
        assert app.session.knitting.place == (4, 0)
        await press_at(pilot, "f9", 4, 4.2)
        assert app.session.knitting.place == (3, 0)


async def test_from_the_finished_panel_the_pedal_goes_one_step_back(tmp_path: Path) -> None:
    async with knitting(tmp_path, DOUBLE) as (app, pilot):
        assert app.session is not None
        app.session.go_to(41)
        await press_at(pilot, "f9", 1, 1.2)
        assert app.session.knitting.place.row == 40


# --- the guard ----------------------------------------------------------------


async def test_without_a_guard_every_key_of_a_flood_counts(tmp_path: Path) -> None:
    async with knitting(tmp_path, Settings(guard_ms=0), rows=600, cables=[]) as (app, pilot):
        assert app.session is not None
        for _ in range(500):
            pilot.app.simulate_key("space")
        await settled(pilot)
        assert app.session.knitting.place == (501, 0)


# --- keys of one's own --------------------------------------------------------


async def to_line(app: PurlsideApp, pilot: Pilot[int], words: str) -> None:
    """To the line of the settings that begins so."""
    for _ in range(120):
        if f"> {words}" in shown(app):
            return
        await press(pilot, "down")
    raise AssertionError(shown(app))


async def test_a_key_bound_on_the_screen_works_at_once_and_next_time(tmp_path: Path, home: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, ",")
        await to_line(app, pilot, "done, next step")
        await press(pilot, "enter")
        assert "press a key" in shown(app)
        await press(pilot, "b", "escape", "b", "space")
        assert app.session is not None
        assert app.session.knitting.place == (2, 0)
        assert " b done" in shown(app)
    assert load(home / "settings.toml").settings.keys == {"forward": ("b",)}


async def test_a_key_in_use_is_refused_in_words_and_nothing_changes(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, ",")
        await to_line(app, pilot, "one step back")
        await press(pilot, "+", "w")
        assert 'Refused: w already does "why this step is as it is"' in shown(app)
        assert app.settings.keys == {}
        await press(pilot, "+", "f8")
        assert app.settings.keys == {"back": ("backspace", "pageup", "f8")}
        await press(pilot, "delete")
        assert app.settings.keys == {}


async def test_escape_leaves_a_key_as_it_is(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, ",", *["pagedown"] * 5, "enter", "escape")
        assert app.settings == Settings()
        assert "press a key" not in shown(app)


async def test_all_keys_come_back_with_one_key(tmp_path: Path) -> None:
    async with knitting(tmp_path, Settings(keys={"forward": ("b",), "leave": ("O",)})) as (app, pilot):
        await press(pilot, ",", "f3")
        assert app.settings.keys == {}


async def test_every_setting_is_reachable_and_shown_whole_or_cut_with_a_sign(tmp_path: Path) -> None:
    for size in ((80, 24), (60, 20), (200, 50)):
        async with knitting(tmp_path, size=size) as (app, pilot):
            await press(pilot, ",")
            names = set()
            for _ in range(70):
                line = re.search(r"^ > (.{10,20})", shown(app), re.MULTILINE)
                assert line is not None
                names.add(line[1])
                await press(pilot, "down")
            assert len(names) > 45
            assert all(len(line) <= size[0] for line in shown(app).splitlines())


def test_a_settings_file_with_an_unknown_action_is_said_and_its_keys_are_as_they_came(
    tmp_path: Path, home: Path
) -> None:
    home.mkdir()
    (home / "settings.toml").write_text('[keys]\nforwrd = ["b"]\n', "utf-8")
    with purlside(small_plan(tmp_path).path) as terminal:
        terminal.wait_for('did you mean "forward"?')
        terminal.wait_for("Plain row")
        terminal.press("space")
        terminal.wait_for(at_row(terminal, 2))


def test_in_a_real_terminal_a_bound_pedal_key_knits_and_the_settings_screen_opens(tmp_path: Path, home: Path) -> None:
    home.mkdir()
    (home / "settings.toml").write_text('[pedal]\nkey = "f7"\nback = "double"\n', "utf-8")
    with purlside(small_plan(tmp_path).path) as terminal:
        terminal.wait_for("Plain row")
        terminal.press("f7")
        terminal.wait_for(re.compile(r"Row 2 |▀▀▄"))
        terminal.press(",")
        terminal.wait_for("Settings")
        terminal.wait_for("Call a crossing row")
        terminal.press("pagedown", "pagedown")
        terminal.wait_for(re.compile(r"Pedal with one key +F7"))
        terminal.press("escape")
        terminal.wait_for("Plain row")


# --- magnified ----------------------------------------------------------------


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (200, 50), (60, 20)])
async def test_magnified_shows_row_pass_and_size_big_every_move_and_the_cable_wide(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with knitting(tmp_path, size=size) as (app, pilot):
        await press(pilot, *"rrrrrrr", "z")
        text = shown(app)
        assert size[1] < 24 or text.count("█") > 30
        assert "CROSSING ROW" in text
        assert "COL" in text, "the side of the carriage"
        for move in ("Check that the hold lever is on", "Hold L3", "Knit right"):
            assert move in text, "no move is left out"
        assert "L3" in text
        assert all(len(line) <= size[0] for line in text.splitlines())
        await press(pilot, "space", "z")
        assert "step 2 of 6" in shown(app)


def test_magnified_in_a_real_terminal_and_back(tmp_path: Path) -> None:
    with purlside(small_plan(tmp_path).path) as terminal:
        terminal.wait_for("Plain row")
        terminal.press(*"rrrrrrr", "z")
        terminal.wait_for("then KNIT")
        terminal.resize(200, 50)
        terminal.wait_for("▼ ")
        terminal.press("z")
        terminal.wait_for("step 1 of 6")
