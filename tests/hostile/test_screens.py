"""Text of strangers on the app's screens: from a ledger, a shelf, a file's name and the drawer. All that is painted is text."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.files import planfile
from purlside.keep import panels, shelf
from tests.apps import press, settled
from tests.hostile.handled import DISTURBING
from tests.hostile.test_text import DISTURBERS, MARKUP
from tests.plans import cable, tables, toml

PLAN = toml(tables(cable(ease="enlarge", enlarged_size=9), yarn={"name": "grey"}))


def painted(app: PurlsideApp) -> str:
    """All text on the screen, as it goes to the terminal but for its colours."""
    lines = app.screen._compositor.render_strips()
    for strip in lines:
        for segment in strip:
            assert segment.control is None
            assert segment.style is None or segment.style.link is None, "a hyperlink of a stranger's"
    return "\n".join(strip.text for strip in lines)


def only_text(app: PurlsideApp) -> str:
    text = painted(app)
    disturbing = DISTURBING.search(text)
    assert disturbing is None, ascii(disturbing[0]) if disturbing else ""
    assert "\u0301" * 6 not in text
    return text


async def keys(app: PurlsideApp, pilot: Pilot[int], *pressed: str) -> None:
    """Press each key, and look at the screen after it."""
    for key in pressed:
        await press(pilot, key)
        only_text(app)


@pytest.fixture
def place(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "patterns").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


async def test_notes_and_words_of_a_ledger_someone_else_wrote_are_painted_as_text(place: Path) -> None:
    plan = place / "plan.toml"
    plan.write_text(PLAN, "utf-8")
    ledger = panels.of(plan).ledger
    ledger.parent.mkdir(parents=True)
    strange = [*DISTURBERS.values(), *MARKUP.values()]
    lines = [
        {"t": "2024-05-05T10:00:00+00:00", "did": "note", "at": f"{2 + i // 6}.0", "row": 2 + i // 6, "text": text}
        for i, text in enumerate(strange)
    ]
    lines += [{"t": "2024-05-05T10:00:01+00:00", "did": text, "at": "2.0", "words": text} for text in strange]
    lines.append({"t": "2024-05-05T10:00:02+00:00", "did": "card", "at": "2.0"})
    ledger.write_text("".join(json.dumps(line) + "\n" for line in lines), "utf-8")
    app = PurlsideApp(planfile.read(plan))
    async with app.run_test(size=(100, 40)) as pilot:
        await settled(pilot)
        assert "days away" in only_text(app)
        await keys(app, pilot, "escape")
        assert "rope" in painted(app)
        await keys(app, pilot, *["space"] * 4, "l", "escape", "w", "escape", "f", "escape", "question_mark", "escape")


async def test_files_and_places_with_names_no_one_gives_are_painted_as_text_on_the_shelf(place: Path) -> None:
    for i, text in enumerate([*DISTURBERS.values(), *MARKUP.values()]):
        name = text.replace("/", "-").replace("\0", "")[:60]
        (place / "patterns" / f"{i} {name}.toml").write_text(PLAN if i % 2 else f"title = {text!r}", "utf-8")
    raw = os.fsencode(place / "patterns") + b"/half \xff\xed\xa0\x80.toml"
    Path(os.fsdecode(raw)).write_text("", "utf-8")
    assert len(shelf.plans()) >= len(DISTURBERS) + len(MARKUP)
    app = PurlsideApp(None)
    async with app.run_test(size=(100, 60)) as pilot:
        await settled(pilot)
        only_text(app)
        await keys(app, pilot, *["down"] * len(shelf.plans()))
        assert "half" in painted(app)
        await keys(app, pilot, "enter", "escape", "up", "e", "escape")


async def test_a_drawer_someone_else_wrote_is_painted_as_text(place: Path) -> None:
    home = place / "home"
    home.mkdir()
    yarns = [f'[[yarn]]\nname = {json.dumps(text[:40])}\nfibre = "wool"\n' for text in MARKUP.values()]
    (home / "yarns.toml").write_text("format = 1\n" + "".join(yarns), "utf-8")
    (place / "patterns" / "plan.toml").write_text(PLAN, "utf-8")
    app = PurlsideApp(None)
    async with app.run_test(size=(100, 40)) as pilot:
        await settled(pilot)
        await keys(app, pilot, "y", *["down"] * 8, "enter", "escape", "escape")
