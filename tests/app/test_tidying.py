"""Memory over a long evening: what was left behind is freed in a pause, whichever way it was left."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.app.screens.ask import Ask
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.drafting import Drafting
from purlside.app.screens.went import Went
from tests.apps import knitting, press, settled

pytestmark = pytest.mark.usefixtures("home")


@pytest.fixture(autouse=True)
def started_by_command() -> Iterator[None]:
    """The command starts the app without collections; the app begins them once its first picture is there."""
    threshold = gc.get_threshold()
    gc.disable()
    yield
    gc.unfreeze()
    gc.set_threshold(*threshold)
    gc.enable()


async def pause(app: PurlsideApp, pilot: Pilot[int]) -> None:
    """No key for two ticks of the clock that memory is tidied by."""
    await settled(pilot)
    app._tidy()
    app._tidy()


async def test_a_session_that_a_changed_plan_replaced_is_freed(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        bedside = app.screen
        assert isinstance(bedside, Bedside) and app.session is not None
        await press(pilot, "space", "r")
        assert app.session.outcomes is not None
        await pause(app, pilot)
        before, file = weakref.ref(app.session), app.session.file
        file.path.write_text(file.text + "# once more\n", "utf-8")
        await press(pilot, "p", "space")
        await pause(app, pilot)
        assert before() is None
        assert app.session.knitting.place.row == 4


@pytest.mark.parametrize(
    ("keys", "kind", "left"), [("g", Ask, "escape"), ("rrrrrrrre", Went, "escape"), ("D", Drafting, "q")]
)
async def test_a_screen_that_was_left_is_freed(tmp_path: Path, keys: str, kind: type, left: str) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, *keys)
        await pause(app, pilot)
        assert isinstance(app.screen, kind)
        before = weakref.ref(app.screen)
        await press(pilot, left, "space")
        assert isinstance(app.screen, Bedside)
        await pause(app, pilot)
        assert before() is None
