"""Keys typed before the question they answer is on screen: none is lost, none overtakes another."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual.events import Key

from purlside.app.app import PurlsideApp
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.form import Form, FormField
from tests.apps import knitting, settled

pytestmark = pytest.mark.usefixtures("home")


async def typed(app: PurlsideApp, keys: str, turns: int) -> None:
    """Keys as a terminal sends them, so many turns of the app's loop between two."""
    for key in keys:
        app.post_message(Key({"\r": "enter", " ": "space"}.get(key, key), key))
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


async def test_enter_and_the_key_behind_it_lose_nothing_at_a_question(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        assert app.session is not None
        for turns in range(12):
            await typed(app, f"g{turns + 2}\r ", turns)
            await settled(pilot)
            assert app.session.knitting.place != (turns + 2, 0), f"{turns}: the step behind the answer is made"
            assert isinstance(app.screen, Bedside)


@pytest.mark.parametrize("turns", range(6))
async def test_a_form_filled_in_one_burst_fills_its_lines_in_turn(tmp_path: Path, turns: int) -> None:
    async with knitting(tmp_path) as (app, pilot):
        answers: list[dict[str, str] | None] = []
        fields = [FormField("one", "one"), FormField("two", "two"), FormField("three", "three")]
        form = Form("Numbers", fields, "hint", dict)
        app.push_screen(form, answers.append)
        await settled(pilot)
        await typed(app, "abc\rdef\rghi\r", turns)
        await settled(pilot)
        await settled(pilot)
        assert answers == [{"one": "abc", "two": "def", "three": "ghi"}]


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
