"""A plan that cannot be read is mended on screen, line by line, and drafted."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.app.app import PurlsideApp
from purlside.app.screens.drafting import Drafting
from purlside.app.screens.mending import MendingScreen
from purlside.app.screens.shelf import Shelf
from purlside.files.planfile import read
from tests.apps import knitting, press, shown
from tests.keep.test_draftfile import COMMENTED

pytestmark = pytest.mark.usefixtures("home")


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    made = tmp_path / "patterns" / "jetty.toml"
    made.write_text(COMMENTED.replace('"Jetty band"', '"Jetty [red]band').replace("rows = 40", "rows = 4o"), "utf-8")
    return made


def top(app: PurlsideApp) -> type[object]:
    return type(app.screen)


@pytest.mark.parametrize("size", [(80, 24), (200, 50)])
async def test_the_line_is_shown_mended_and_the_plan_drafted(path: Path, size: tuple[int, int]) -> None:
    async with knitting(path.parent, plan=False, size=size) as (app, pilot):
        await press(pilot, "f2")
        assert top(app) is MendingScreen
        assert "line 3: the plan: found" in shown(app) and 'a text ends with "' in " ".join(shown(app).split())
        assert "[red]band" in shown(app), "what stands in the file is no markup"
        await press(pilot, *["left"] * len("   # for the door"), '"', "enter")
        assert "line 6: " in shown(app)
        await press(pilot, "backspace", "0", "enter")
        assert top(app) is Drafting and "Jetty [red]band" in shown(app)
        assert read(path).plan.panel.rows == 40 and "# for the door" in path.read_text("utf-8")
        await press(pilot, "q")
        assert top(app) is Shelf and "cannot be knit" not in shown(app)


async def test_left_before_it_can_be_read_the_file_is_as_it_was_and_that_is_said_first(path: Path) -> None:
    before = path.read_bytes()
    async with knitting(path.parent, plan=False) as (app, pilot):
        await press(pilot, "f2", "up", "f3", *"# a remark", "escape")
        assert top(app) is MendingScreen and "is not written" in shown(app)
        await press(pilot, "escape")
        assert top(app) is Shelf and path.read_bytes() == before


async def test_a_copy_is_mended_and_the_file_left_alone(path: Path) -> None:
    before = path.read_bytes()
    async with knitting(path.parent, plan=False) as (app, pilot):
        await press(pilot, "c", *["left"] * len("   # for the door"), '"', "enter", "backspace", "0", "enter")
        assert top(app) is Drafting and "not saved" in shown(app)
        await press(pilot, "ctrl+s")
        assert path.read_bytes() == before
        assert "# for the door" in (path.parent / "jetty-red-band-copy.toml").read_text("utf-8")
