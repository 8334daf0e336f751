"""A question on one line: nothing typed ahead of it is lost."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from tests.apps import knitting, settled, shown

pytestmark = pytest.mark.usefixtures("home")


@pytest.mark.parametrize("turns", range(12))
async def test_what_is_typed_ahead_of_a_question_is_its_answer(tmp_path: Path, turns: int) -> None:
    async with knitting(tmp_path) as (app, pilot):
        app.simulate_key("n")
        for _ in range(turns):
            await asyncio.sleep(0)
        for key in ("h", "e", "y", "enter"):
            app.simulate_key(key)
            await asyncio.sleep(0)
        await settled(pilot)
        await settled(pilot)
        assert "Note: hey" in shown(app), turns
