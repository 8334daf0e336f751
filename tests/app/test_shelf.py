"""The shelf says of each plan what is true of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.keep import shelf
from tests.apps import knitting, press, shown, small_plan
from tests.plans import cable
from tests.sessions import opened, written

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


def test_of_a_piece_in_parts_the_shelf_tells_the_row_of_the_part_and_when_both_are_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    parts = [
        {"name": "right", "needles": "R1-R10", "rows": 4, "carriage": "right"},
        {"name": "left", "mirrors": "right"},
    ]
    path = written(
        tmp_path, cable("R1-R2 over L2-L1", first_row=2, times=1), name="neck", needles="L10-R10", rows=6, part=parts
    )
    session = opened(path)
    for row, told in ((6, "row 6 of 10"), (8, "row 8 of 10, right"), (12, "row 8 of 10, left"), (15, "finished")):
        session.go_to(row)
        shelf.opened(path)
        (line,) = shelf.plans()
        assert line.progress == told
    assert line.summary == "20 needles, 10 rows (2 parts), 1 cable, 1 crossing"
