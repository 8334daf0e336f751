"""The next step's screen is worked out in a pause: what comes of it is what would be drawn anew, whatever happens."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from purlside.app.app import PurlsideApp
from purlside.app.screens.bedside import Bedside
from purlside.app.widgets.bedside import BedsidePane, told
from purlside.files import planfile
from purlside.shown import layout
from purlside.shown.thisrow import Told
from purlside.text.signs import text
from tests.apps import press, settled

pytestmark = pytest.mark.usefixtures("home")
PATTERNS = Path(__file__).parents[2] / "patterns"
STEPS = 60


def anew(pane: BedsidePane) -> str:
    """The screen with nothing kept from before."""
    now = told(pane.session, pane.session.knitting, Told(), why=pane.why)
    return text([list(line) for line in layout.screen(now, *pane.size, pane.look, pane._under)])


def shown(pane: BedsidePane) -> str:
    return text([list(line) for line in pane.lines(*pane.size)])  # type: ignore[arg-type]


FROM = [
    *(("slipway-jersey-front", row) for row in (1, 93, 195, 231)),
    *(("net-loft-cushion", row) for row in (1, 60)),
    ("breakwater-rope", 231),
]


@pytest.mark.parametrize(("name", "row"), FROM)
async def test_every_step_worked_out_ahead_is_the_step_that_comes(name: str, row: int, tmp_path: Path) -> None:
    plan = planfile.read(Path(shutil.copy(PATTERNS / f"{name}.toml", tmp_path)))
    app = PurlsideApp(plan)
    async with app.run_test(size=(110, 32)) as pilot:
        await settled(pilot)
        screen = app.screen
        assert isinstance(screen, Bedside)
        pane, session, served = screen.pane, screen.session, 0
        session.go_to(row)
        screen._stepped()
        for _ in range(STEPS):
            pane.look_ahead()
            coming = pane.ahead.now
            session.forward()
            assert shown(pane) == anew(pane)
            served += coming is not None and coming.told is pane.told
        assert served > STEPS * 0.8


async def test_a_key_that_does_something_else_shows_what_it_did(tmp_path: Path) -> None:
    plan = planfile.read(Path(shutil.copy(PATTERNS / "breakwater-rope.toml", tmp_path)))
    app = PurlsideApp(plan)
    async with app.run_test(size=(110, 32)) as pilot:
        await settled(pilot)
        screen = app.screen
        assert isinstance(screen, Bedside)
        pane, session = screen.pane, screen.session
        for keys in (
            ["space"] * 3,
            ["backspace"],
            ["down"],
            ["w"],
            ["z"],
            ["z"],
            ["R"],
            ["l"],
            ["t"],
            ["d", "a", "escape"],
        ):
            pane.look_ahead()
            await press(pilot, *keys)
            assert shown(pane) == anew(pane), keys
        session.go_to(4)
        pane.look_ahead()
        session.note("5: the purl side was dropped here")
        session.forward()
        assert session.knitting.place == (5, 0)
        assert "the purl side was dropped here" in shown(pane) == anew(pane)
