"""The fabric so far, beside the step on a wide screen: it shows no row that is not on the needles."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.app.screens.bedside import IDLE, Bedside
from purlside.knitting.deviations import RippedBack, TooFew
from tests.apps import knitting, press, settled, shown

pytestmark = pytest.mark.usefixtures("home")
WIDE = (200, 50)


async def fabric(app: PurlsideApp, pilot: Pilot[Any]) -> str:
    """The heading of the fabric, once no further key comes."""
    await pilot.pause(2 * IDLE)
    await settled(pilot)
    return next(
        line[line.index("Under the") :].strip() for line in shown(app).splitlines() if "Under the needles: " in line
    )


async def test_rows_knit_before_the_first_crossing_are_shown(tmp_path: Path) -> None:
    async with knitting(tmp_path, size=WIDE) as (app, pilot):
        assert await fabric(app, pilot) == "Under the needles: nothing is knit yet"
        await press(pilot, "space", "space")
        assert await fabric(app, pilot) == "Under the needles: purl side, rows 1–2"


async def test_rows_gone_back_over_are_not_shown_as_knit(tmp_path: Path) -> None:
    async with knitting(tmp_path, size=WIDE) as (app, pilot):
        assert app.session is not None
        app.session.go_to(7)
        assert isinstance(app.screen, Bedside)
        app.screen._stepped()
        assert await fabric(app, pilot) == "Under the needles: purl side, rows 1–6"
        await press(pilot, "up", "up")
        assert app.session.knitting.place.row == 5
        assert await fabric(app, pilot) == "Under the needles: purl side, rows 1–4"


@pytest.mark.parametrize("said", [RippedBack(7, 5), TooFew(7, 2)])
async def test_rows_ripped_back_or_never_knit_go_from_the_fabric(tmp_path: Path, said: RippedBack | TooFew) -> None:
    async with knitting(tmp_path, size=WIDE) as (app, pilot):
        assert app.session is not None
        app.session.go_to(7)
        assert isinstance(app.screen, Bedside)
        app.screen._stepped()
        assert await fabric(app, pilot) == "Under the needles: purl side, rows 1–6"
        app.session.differ(said)
        app.screen._stepped()
        row = app.session.knitting.place.row
        assert row < 7
        assert await fabric(app, pilot) == f"Under the needles: purl side, rows 1–{row - 1}"
