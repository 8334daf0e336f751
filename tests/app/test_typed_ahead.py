"""Keys typed before the question they answer is on screen: none is lost, none overtakes another."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual.events import Key

from purlside.app.app import PurlsideApp
from purlside.app.screens.bedside import Bedside
from tests.apps import knitting, settled

pytestmark = pytest.mark.usefixtures("home")


async def typed(app: PurlsideApp, keys: str, turns: int) -> None:
    """Keys as a terminal sends them, so many turns of the app's loop between two."""
    for key in keys:
        app.post_message(Key("enter", "\r") if key == "\r" else Key(key, key))
        for _ in range(turns):
            await asyncio.sleep(0)


async def test_a_note_typed_however_fast_is_kept_whole_and_answers_nothing_else(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        assert app.session is not None
        for turns in range(40):
            await typed(app, f"nhi{turns}q\r", turns)
            await settled(pilot)
            assert isinstance(app.screen, Bedside), turns
            assert app.session.notes[-1:] == (f"hi{turns}q",)


async def test_keys_behind_several_screens_one_after_another_each_reach_their_own(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        assert app.session is not None
        for turns in range(0, 40, 4):
            row = turns % 30 + 2
            await typed(app, f"g{row}\r", turns)
            await settled(pilot)
            assert app.session.knitting.place.row == row, turns
            await typed(app, "f?", turns)
            await settled(pilot)
            assert len(app.screen_stack) == 3, turns
            app.simulate_key("escape")
            await settled(pilot)
            app.simulate_key("escape")
            await settled(pilot)
            assert isinstance(app.screen, Bedside), turns
