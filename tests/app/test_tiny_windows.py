"""A window dragged down to a few columns, or to none that could show anything: nothing stops, and it comes back whole."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.apps import knitting, press, settled, shown
from tests.plans import cable

pytestmark = pytest.mark.usefixtures("home")
TINY = [(1, 1), (2, 30), (200, 2)]


async def to_size(pilot: Pilot[int], size: tuple[int, int]) -> None:
    await pilot.resize_terminal(*size)
    await settled(pilot)


@pytest.mark.parametrize("size", TINY, ids=str)
async def test_at_the_bedside_no_key_needs_room_to_do_what_it_does(tmp_path: Path, size: tuple[int, int]) -> None:
    cables = [cable(ease="by hand", first_row=2, every=3)]
    async with knitting(tmp_path, cables=cables) as (app, pilot):
        await press(pilot, *["space"] * 5)
        whole = shown(app).splitlines()
        await to_size(pilot, size)
        await press(pilot, "w", "down", "up", "w", "z", "down", "up", "z", "space", "backspace")
        for opens in ["g", "n", "d", "v", "l", "j", "f", "k", "s", "slash", "comma", "question_mark", "f2"]:
            await press(pilot, opens)
            assert len(app.screen_stack) == 2, opens
            await press(pilot, "down", "pagedown", "up", "escape")
            assert len(app.screen_stack) == 1, opens
        await to_size(pilot, (80, 24))
        assert [line for line in shown(app).splitlines()[2:-1] if " s a row" not in line] == whole[2:-1]


@pytest.mark.parametrize("size", TINY, ids=str)
async def test_on_the_shelf_neither(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]) -> None:
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, plan=False) as (app, pilot):
        whole = shown(app)
        await to_size(pilot, size)
        for opens in ["question_mark", "f3", "y", "f4", "n", "slash", "comma"]:
            await press(pilot, opens)
            assert len(app.screen_stack) == 2, opens
            await press(pilot, "down", "pagedown", "up", "escape")
            assert len(app.screen_stack) == 1, opens
        await to_size(pilot, (80, 24))
        assert shown(app) == whole
