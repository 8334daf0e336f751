"""The first minute: no plan on the shelf, the tour on the strip, a sample to begin with."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from purlside import samples
from purlside.files import planfile
from purlside.knitting.cursor import Place
from purlside.shown import strip
from purlside.shown.touring import STOPS, view, working
from purlside.text import signs
from tests.apps import knitting, press, shown
from tests.terminal.terminal import purlside

PATTERNS = Path(__file__).parents[2] / "patterns"


@pytest.fixture(autouse=True)
def nothing_yet(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder without plans, and nothing kept from before."""
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")


# --- samples ------------------------------------------------------------------


def test_the_samples_that_come_along_are_the_patterns_beside_the_source() -> None:
    ours = {path.name: path.read_text("utf-8") for path in PATTERNS.glob("*.toml")}
    assert {name: samples.text(name) for name in samples.names()} == ours


@pytest.mark.parametrize("name", samples.names())
def test_every_sample_can_be_knit(name: str, tmp_path: Path) -> None:
    path = samples.copy_to(tmp_path, name)
    assert planfile.read(path).faults() == []


def test_a_copy_never_writes_over_a_file_that_is_there(tmp_path: Path) -> None:
    name = samples.names()[0]
    (tmp_path / name).write_text("mine")
    copied = samples.copy_to(tmp_path, name)
    assert copied.name == f"{name.removesuffix('.toml')}-2.toml"
    assert (tmp_path / name).read_text() == "mine"


async def test_an_empty_shelf_offers_samples_and_the_tour(tmp_path: Path) -> None:
    async with knitting(tmp_path, plan=False) as (app, _):
        text = shown(app)
        assert "No plan here yet." in text
        assert "F4  copy one of the sample plans into this folder" in text
        assert "F3  the tour: holding, bridging, backing up and crossing in one minute" in text


async def test_a_sample_is_copied_here_and_stands_on_the_shelf(tmp_path: Path) -> None:
    async with knitting(tmp_path, plan=False) as (app, pilot):
        await press(pilot, "f4", "down", "enter")
        name = samples.names()[1]
        assert (tmp_path / "empty" / "patterns" / name).read_text("utf-8") == samples.text(name)
        assert f"Copied to patterns/{name}" in shown(app)
        await press(pilot, "enter")
        assert "Row 1 of" in shown(app) or "KNIT" in shown(app) or "Knit" in shown(app)


async def test_a_folder_that_takes_no_file_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "empty" / "patterns").write_text("a file where the folder should be")
    async with knitting(tmp_path, plan=False) as (app, pilot):
        await press(pilot, "f4", "enter")
        assert "Not copied:" in shown(app)


# --- the tour -----------------------------------------------------------------


def test_the_tour_takes_a_minute_and_explains_the_four_words() -> None:
    words = sum(len(stop.text.split()) for stop in STOPS)
    # About a minute: people read some 250 words in one: common practice, no source.
    assert words <= 260
    text = " ".join(f"{stop.heading} {stop.text}" for stop in STOPS).lower()
    assert all(word in text for word in ("holding", "bridging", "backing up", "crossing"))


def test_what_the_tour_says_of_the_bed_is_what_the_bed_shows() -> None:
    drawn = {stop.heading: signs.text(strip.draw(view(stop), 50)).splitlines() for stop in STOPS}
    assert drawn["The needle bed"][5].count("■") == 12
    assert drawn["Holding"][5].count("▼") == 9
    assert drawn["Holding"][5].split("▼")[0].count("■") == 3
    assert re.search(r"rows +─+ 1 ─+[· ]+0", drawn["Backing up"][3])
    assert "yarn L4" in drawn["Backing up"][8] and "●" in drawn["Backing up"][8]
    assert drawn["Larger loops"][7].count("▲") == 3
    assert drawn["On to the edge"][2].count("O") == 3
    assert re.search(r"─ 1 ─+│─+ 1 ─", drawn["Crossing"][3])
    assert drawn["Crossed"][2].split("│")[1].split()[:3] == ["O", "O", "O"]


def test_the_tour_goes_on_by_steps_of_the_plan_in_order() -> None:
    places = [stop.at for stop in STOPS]
    assert places == sorted(places)
    ends = {Place(2, step_end) for step_end in (0, 2, 4, 7, 9, 12)}
    assert {place for place in places if place.row == 2} <= ends
    assert len(working().moves(2)) > 12


@pytest.mark.parametrize("size", [(80, 24), (60, 24), (100, 30), (200, 50)])
async def test_every_stop_fits_and_the_text_is_whole(tmp_path: Path, size: tuple[int, int]) -> None:
    async with knitting(tmp_path, plan=False, size=size) as (app, pilot):
        await press(pilot, "f3")
        for number, stop in enumerate(STOPS, 1):
            text = shown(app)
            assert f"{number} of {len(STOPS)}  {stop.heading}" in text
            assert stop.text.split()[-1] in text
            assert "needle    L6" in text
            await press(pilot, "space")
        assert "Shelf of plans" in shown(app)


async def test_the_tour_goes_back_and_can_be_left_at_any_time(tmp_path: Path) -> None:
    async with knitting(tmp_path, plan=False) as (app, pilot):
        await press(pilot, "f3", "space", "space", "backspace")
        assert f"2 of {len(STOPS)}" in shown(app)
        await press(pilot, "escape")
        assert "Shelf of plans" in shown(app)


def test_the_first_minute_in_a_real_terminal(tmp_path: Path) -> None:
    with purlside(cwd=tmp_path / "empty") as terminal:
        terminal.wait_for("No plan here yet.")
        terminal.press("f3")
        terminal.wait_for("1 of 8")
        for number in range(2, 9):
            terminal.press("space")
            terminal.wait_for(f"{number} of 8")
        terminal.press("space")
        terminal.wait_for("Shelf of plans")
        terminal.press("f4")
        terminal.wait_for("Sample plans")
        terminal.press("enter")
        terminal.wait_for("Copied to")
        terminal.press("enter")
        terminal.wait_for("Plain row")
