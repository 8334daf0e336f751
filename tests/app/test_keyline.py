"""The key line: which keys it has room for, and how the others are found."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.apps import knitting, press, shown

pytestmark = pytest.mark.usefixtures("home")


@pytest.mark.parametrize("width", [60, 80, 100, 200])
async def test_where_not_all_keys_have_room_the_one_that_tells_the_others_has(tmp_path: Path, width: int) -> None:
    async with knitting(tmp_path, size=(width, 24)) as (app, pilot):
        for keys in ([], ["D"]):
            await press(pilot, *keys)
            line = shown(app).splitlines()[-1]
            assert re.search(r"\? (all )?keys", line) and len(line) <= width
