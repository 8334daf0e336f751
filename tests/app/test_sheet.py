"""The sheet written from the bedside, through the pilot."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import pytest
from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.sheet.html import carried
from purlside.sheet.whole import sheet_command
from tests.apps import knitting, press, shown

pytestmark = pytest.mark.usefixtures("home")


async def wait_for(pilot: Pilot[int], app: PurlsideApp, text: str) -> None:
    for _ in range(100):
        if text in shown(app):
            return
        await pilot.pause(0.05)
    raise AssertionError(shown(app))


async def test_the_sheet_is_written_where_the_knitter_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, size=(100, 30)) as (app, pilot):
        await press(pilot, "s", "enter", "enter")
        await wait_for(pilot, app, "-sheet.html written")
        assert app.session is not None
        stem, plan = app.session.file.path.stem, app.session.file.plan
    assert (tmp_path / f"{stem}-sheet.html").read_text("utf-8") == sheet_command(plan, ".html")


async def test_a_sheet_that_cannot_be_written_says_why(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, size=(100, 30)) as (app, pilot):
        await press(pilot, "s", *(["backspace"] * 60), "x", "enter")
        assert "allowed: a file name that ends in" in shown(app)
        await press(pilot, "backspace", *"no/x.txt", "enter", "enter")
        await wait_for(pilot, app, "Not written")


@pytest.mark.parametrize(("words", "mark"), [("chart", 'class="front"'), ("purl", "Purl side")])
async def test_pictures_and_charts_are_written_from_the_drafting_table(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: str, mark: str
) -> None:
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, size=(120, 40)) as (app, pilot):
        await press(pilot, "f2", "s", *(["backspace"] * 60), *"out.svg", "enter")
        await press(pilot, *(["backspace"] * 12), *words, "enter")
        await wait_for(pilot, app, "out.svg written")
    assert mark in (tmp_path / "out.svg").read_text("utf-8")


async def test_the_page_is_opened_in_the_browser_when_asked_and_carries_the_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []

    class Browser(webbrowser.BackgroundBrowser):
        def open(self, url: str, new: int = 0, autoraise: bool = True) -> bool:
            opened.append(url)
            return True

    monkeypatch.setattr(webbrowser, "get", lambda: Browser("none"))
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, size=(100, 30)) as (app, pilot):
        await press(pilot, "s", "enter", *(["backspace"] * 12), *"working Letter plan open", "enter")
        await wait_for(pilot, app, "-sheet.html written")
        assert app.session is not None
        text = app.session.file.text
    [page] = tmp_path.glob("*-sheet.html")
    assert opened == [page.as_uri()]
    assert carried(page.read_text("utf-8")) == text
