"""A key that is leaned on makes one step; steps that ran away are taken back with one key."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.app.presses import Held, Pressed
from purlside.keep.settings import CallSettings, Settings
from tests.apps import knitting, press, press_at, shown

pytestmark = pytest.mark.usefixtures("home")

HELD_DOWN = [1.0, *(1.5 + i / 30 for i in range(60))]
"""A press, the wait before a key repeats, and two seconds of repeats."""


def told(*times: float) -> list[Pressed]:
    held = Held()
    return [held.press("space", when) for when in times]


def test_slow_presses_are_each_meant() -> None:
    assert told(1, 1.3, 1.6, 3) == [Pressed.MEANT] * 4


def test_held_down_the_late_first_repeat_is_taken_back_and_the_others_are_not_meant() -> None:
    assert told(*HELD_DOWN)[:5] == [
        Pressed.MEANT,
        Pressed.MEANT,
        Pressed.REPEATED,
        Pressed.TAKEN_BACK,
        Pressed.REPEATED,
    ]
    assert Pressed.MEANT not in told(*HELD_DOWN)[2:]


def test_a_bouncing_key_counts_once_and_takes_nothing_back() -> None:
    assert told(1, 1.02, 2, 2.03) == [Pressed.MEANT, Pressed.REPEATED] * 2


async def test_leaning_on_space_makes_one_step(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        assert app.session is not None
        await press_at(pilot, "space", *HELD_DOWN)
        assert app.session.knitting.place == (2, 0)
        assert "A key held down makes one step" in shown(app)
        await press_at(pilot, "space", 9.0)
        assert app.session.knitting.place == (3, 0)


async def test_who_wants_it_may_hold_a_key_down(tmp_path: Path) -> None:
    async with knitting(tmp_path, Settings(guard_ms=0), rows=200, cables=[]) as (app, pilot):
        assert app.session is not None
        await press_at(pilot, "space", *HELD_DOWN)
        assert app.session.knitting.place == (1 + len(HELD_DOWN), 0)


async def test_thirty_rows_in_two_seconds_are_noticed_and_one_key_goes_back(tmp_path: Path) -> None:
    async with knitting(tmp_path, rows=200) as (app, pilot):
        assert app.session is not None
        await press(pilot, *["space"] * 3)
        for i in range(40):
            # Two keys in turn: no key is held, and nobody knits so fast.
            await press_at(pilot, ("r", "pagedown")[i % 2], 1e9 + i / 25)
        assert "Rows are running away: Backspace takes you back to row 4" in shown(app)
        await press(pilot, "backspace")
        assert app.session.knitting.place == (4, 0)


async def test_inside_a_crossing_row_a_dial_change_is_heard_and_a_step_is_spoken_if_wanted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard: list[str] = []
    async with knitting(tmp_path, Settings(calls=CallSettings(steps=True))) as (app, pilot):
        monkeypatch.setattr(app.calls, "play", heard.append)
        monkeypatch.setattr(app.calls, "speak", heard.append)
        await press(pilot, *"rrrrrrr")
        heard.clear()
        await press(pilot, "space", "space")
        assert heard == [
            "hold L6 to L4, then back up left",
            "dial",
            "dial to 9, then return L3 to L1, then knit right L3 to L1, size 9",
        ]
        await press(pilot, "a")
        assert heard[-1] == heard[2]
