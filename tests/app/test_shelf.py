"""The shelf says of each plan what is true of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.apps import knitting, press, shown, small_plan

pytestmark = pytest.mark.usefixtures("home")


async def test_a_plan_only_opened_was_not_knit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    small_plan(tmp_path / "patterns")
    async with knitting(tmp_path, plan=False) as (app, pilot):
        await press(pilot, "enter", "q")
        assert "not begun" in shown(app) and "last knit" not in shown(app)
        await press(pilot, "enter", "space", "q")
        assert "row 2 of" in shown(app) and "last knit" in shown(app)
