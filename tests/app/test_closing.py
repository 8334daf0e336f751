"""Asked to end, or to close a screen, while that screen is only being made: no mistake comes of it."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual.events import Key

from tests.apps import knitting

pytestmark = pytest.mark.usefixtures("home")


@pytest.mark.parametrize("key", ["/", ",", "g", "d", "s", "f2"])
async def test_ended_while_a_screen_is_only_being_made_it_ends(tmp_path: Path, home: Path, key: str) -> None:
    for turns in range(0, 36, 4):
        async with knitting(tmp_path) as (app, _):
            app.post_message(Key(key, key if len(key) == 1 else None))
            for _ in range(turns):
                await asyncio.sleep(0)
            app.exit(143)
        assert app.return_code in (0, None) and app.return_value == 143
    assert not (home / "mistake.txt").exists()
