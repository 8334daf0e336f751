"""Calls at the bedside: what is called, when, in which words, seen and heard."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import pytest

from purlside.keep.settings import CallSettings, Settings
from purlside.knitting.calling import Call, Calling, CallKind, call_at
from purlside.rows.calendar import Calendar
from tests.apps import knitting, press, shown, small_plan
from tests.plans import cable, plan
from tests.terminal.terminal import Terminal, purlside

pytestmark = pytest.mark.usefixtures("home")

TWO = [cable(), cable("R5 over R6", name="bead", first_row=5, every=10)]


def calls(calling: Calling, upto: int = 12, **more: Any) -> dict[int, Call]:
    """The calls that stand in the first rows of a plan with a rope (row 8) and a bead (row 5)."""
    rows = Calendar(plan(*TWO, **more))
    return {n: call for n in range(1, upto + 1) if (call := call_at(rows, n, calling)) is not None}


# --- which rows are called ----------------------------------------------------


@pytest.mark.parametrize("ahead", range(1, 10))
def test_a_crossing_row_is_called_as_many_rows_ahead_as_was_set(ahead: int) -> None:
    only = Calling(ahead=ahead, silent=frozenset({"bead"}))
    found = calls(only, upto=8)
    assert sorted(found) == list(range(max(1, 8 - ahead), 9))
    assert {n: c.rows_away for n, c in found.items()} == {n: 8 - n for n in found}
    assert found[8].kind is CallKind.NOW


def test_a_cable_that_is_not_called_is_left_out_and_the_other_one_is_not() -> None:
    assert sorted(calls(Calling())) == [4, 5, 7, 8]
    assert sorted(calls(Calling(silent=frozenset({"rope"})))) == [4, 5]
    assert calls(Calling(silent=frozenset({"rope", "bead"}))) == {}


def test_of_two_cables_in_one_row_only_the_one_that_is_called_is_named() -> None:
    rows = Calendar(plan(cable(), cable("R5 over R6", name="bead")))
    call = call_at(rows, 8, Calling(silent=frozenset({"rope"})))
    assert call is not None
    assert call.seen() == "CROSSING ROW: bead, 1 over 1, left half in front"


def test_reminders_and_weights_are_called_ahead_and_in_their_row() -> None:
    told: dict[str, Any] = {"reminder": [{"row": 3, "text": "tie a marker"}], "panel": {"weights_every": 10}}
    found = calls(Calling(), **told)
    assert found[2].seen() == "REMINDER NEXT ROW (row 3): tie a marker"
    assert found[3].seen() == "REMINDER: tie a marker"
    assert found[9].seen() == "WEIGHTS UP AFTER THE NEXT ROW (row 10)"
    assert found[10].spoken == "after this row, move the weights up"
    without = calls(Calling(reminders=False, weights=False), **told)
    assert sorted(without) == [4, 5, 7, 8]


def test_weights_that_move_with_a_crossing_are_not_called_besides_it() -> None:
    found = calls(Calling(), panel={"weights_every": 8})
    assert found[8].weights is False


def test_what_is_here_comes_before_what_is_coming_and_neither_is_lost() -> None:
    found = calls(Calling(), reminder=[{"row": 7, "text": "tie a marker"}])
    assert found[7].kind is CallKind.NOW
    assert found[7].seen() == (
        "REMINDER: tie a marker | CROSSING ROW NEXT (row 8): rope, 3 over 3, right half in front"
    )
    assert found[7].spoken == "reminder, tie a marker. crossing row next, rope, right half in front"


def test_a_reminder_of_the_crossing_row_itself_is_one_call_with_it() -> None:
    found = calls(Calling(), reminder=[{"row": 8, "text": "tie a marker"}])
    assert found[8].also is None
    assert found[8].seen() == "CROSSING ROW: rope, 3 over 3, right half in front | REMINDER: tie a marker"


def test_the_end_of_the_panel_is_a_call() -> None:
    call = call_at(Calendar(plan(cable())), 41, Calling())
    assert call is not None
    assert (call.kind, call.seen(), call.spoken) == (
        CallKind.FINISHED,
        "THE PANEL IS FINISHED",
        "the panel is finished",
    )


def test_a_call_too_long_for_the_screen_says_less_and_then_is_cut_with_a_sign() -> None:
    call = calls(Calling())[8]
    assert call.seen(60) == "CROSSING ROW: rope, 3 over 3, right half in front"
    assert call.seen(30) == "CROSSING ROW: rope"
    assert call.seen(12) == "CROSSING RO…"


def test_of_two_cables_the_banner_says_which_half_is_in_front_on_80_columns() -> None:
    pair = [cable("R2-R5 over R6-R9", name="right lantern"), cable("L5-L2 over L9-L6", name="left lantern")]
    rows = Calendar(plan(*pair, needles="L12-R12"))
    call = call_at(rows, 7, Calling())
    assert call is not None
    assert call.seen(74) == ("CROSSING ROW NEXT: right lantern: left, left lantern: right half in front")
    assert "right lantern, left half in front; left lantern, right half in front" in call.seen(100)


def test_of_cables_with_the_same_half_in_front_the_banner_says_it_once_where_there_is_little_room() -> None:
    three = [cable(f"R{n}-R{n + 1} over R{n + 2}-R{n + 3}", name=f"rope {n}") for n in (1, 5, 9)]
    call = call_at(Calendar(plan(*three, needles="R1-R12")), 8, Calling())
    assert call is not None
    assert call.seen(60) == "CROSSING ROW: rope 1, rope 5, rope 9: left half in front"
    assert call.seen(50) == "CROSSING ROW: rope 1; rope 5; rope 9"


# --- at the bedside -----------------------------------------------------------


async def test_the_call_is_words_and_signs_above_the_strip(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, *"rrrrr")
        assert "CROSSING ROW" not in shown(app)
        await press(pilot, "r")
        assert "┤ CROSSING ROW NEXT (row 8): rope, 3 over 3, right half in front ├" in shown(app)
        await press(pilot, "r")
        assert "  CROSSING ROW: rope, 3 over 3, right half in front" in shown(app)


async def test_each_call_is_sounded_once_and_again_after_going_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard: list[str] = []
    async with knitting(tmp_path, Settings(calls=CallSettings(ahead=3, spoken=True))) as (app, pilot):
        # The device is the edge of the program: what is handed to it is what is heard.

        def play(kind: str) -> None:
            if kind != "dial":
                heard.append(kind)

        monkeypatch.setattr(app.calls, "play", play)
        monkeypatch.setattr(app.calls, "speak", heard.append)
        await press(pilot, *"rrrr")
        assert heard == ["coming", "crossing row in 3 rows, rope, right half in front"]
        await press(pilot, *"rr")
        assert len(heard) == 2
        await press(pilot, "r")
        assert heard[2:] == ["now", "crossing row, rope, right half in front"]
        await press(pilot, "space", "space")
        assert len(heard) == 4
        await press(pilot, *"RRR")
        assert heard[4] == "coming"


async def test_a_cable_turned_off_on_the_settings_screen_is_called_no_more(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, *"rrrrrr")
        assert "CROSSING ROW NEXT" in shown(app)
        await press(pilot, ",", *["down"] * 8)
        assert "> Cable rope" in shown(app)
        await press(pilot, "space", "escape")
        assert "CROSSING ROW NEXT" not in shown(app)
        assert app.settings.calls.silent == {"Tried out": ("rope",)}


# --- heard --------------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="programs are found by their name alone")
def test_the_call_is_spoken_by_the_speech_engine_that_is_there(tmp_path: Path) -> None:
    engines, said = tmp_path / "bin", tmp_path / "said"
    engines.mkdir()
    engine = engines / "espeak-ng"
    engine.write_text(f'#!/bin/sh\nprintf "%s\\n" "$1" >> {said}\n')
    engine.chmod(0o755)
    home = tmp_path / "home"
    home.mkdir()
    (home / "settings.toml").write_text("guard_ms = 0\n[calls]\nspoken = true\n", "utf-8")
    file = small_plan(tmp_path)
    env = {"PURLSIDE_SOUND": None, "PURLSIDE_HOME": str(home), "PATH": f"{engines}{os.pathsep}{os.environ['PATH']}"}
    with purlside(file.path, env=env) as terminal:
        terminal.wait_for("Plain row")
        terminal.press(*"rrrrrr")
        terminal.wait_for("CROSSING ROW NEXT")
        terminal.wait_for(lambda: said.exists() and said.read_text().endswith("\n"))
    assert said.read_text() == "crossing row next, rope, right half in front\n"


def without_time(terminal: Terminal) -> list[str]:
    return [line for line in terminal.lines if "about" not in line]


def test_without_colour_the_call_says_the_same(tmp_path: Path) -> None:
    file = small_plan(tmp_path)
    seen: list[list[str]] = []
    for colour in (None, "1"):
        env = {"NO_COLOR": colour, "PURLSIDE_HOME": str(tmp_path / f"home-{colour}")}
        with purlside(file.path, env=env) as terminal:
            terminal.wait_for("Plain row")
            terminal.press(*"rrrrrrr")
            terminal.wait_for("CROSSING ROW: rope")
            if seen:
                terminal.wait_for(lambda: without_time(terminal) in seen)
            terminal.settle()
            seen.append(without_time(terminal))


def test_a_shaping_row_is_called_with_its_own_word_and_sound_and_both_edges_told_once() -> None:
    shapes = [{"do": "decrease", "edge": "both", "first_row": 10, "every": 4, "times": 3}]
    found = calls(Calling(), shape=shapes)
    assert found[9].seen() == "SHAPING ROW NEXT (row 10): decrease 1 at both edges"
    assert (found[9].sound, found[9].spoken) == ("shaping", "shaping row next, decrease 1 at both edges")
    assert not {9, 10} & calls(Calling(shaping=False), shape=shapes).keys()


def test_a_row_that_is_shaped_and_crossed_is_one_call_and_sounds_as_a_crossing_row() -> None:
    shapes = [{"do": "decrease", "edge": "left", "first_row": 8}]
    call = calls(Calling(), shape=shapes)[8]
    assert call.seen() == "CROSSING ROW: rope, 3 over 3, right half in front | SHAPING ROW: decrease 1 at the left edge"
    assert call.sound == "now"
