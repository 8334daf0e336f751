"""The app for tests: on a small plan, its keys pressed through Textual's pilot, its screen read as text."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from textual.events import Key
from textual.pilot import Pilot
from textual.widget import Widget

from purlside import planfile
from purlside.app.app import PurlsideApp
from purlside.keep.settings import Settings
from tests.plans import cable, tables, toml


def small_plan(folder: Path, **more: Any) -> planfile.PlanFile:
    """A 3 over 3, enlarged, crossed after row 8 and every 8 rows, as a file."""
    path = folder / "small.toml"
    cables = more.pop("cables", [cable(ease="enlarge", enlarged_size=9.0)])
    path.write_text(toml(tables(*cables, **more)), "utf-8")
    return planfile.read(path)


@asynccontextmanager
async def knitting(
    folder: Path, settings: Settings | None = None, *, size: tuple[int, int] = (80, 24), plan: bool = True, **more: Any
) -> AsyncIterator[tuple[PurlsideApp, Pilot[int]]]:
    """The app, open on the small plan or on the shelf."""
    file = small_plan(folder, **more) if plan else None
    app = PurlsideApp(file, settings)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Keys one after the other, then a moment to paint."""
    for key in keys:
        pilot.app.simulate_key(key)
        await pilot.pause()


async def press_at(pilot: Pilot[int], key: str, *times: float) -> None:
    """One key at given times, in seconds, as the terminal would have told them."""
    for when in times:
        event = Key(key, key if len(key) == 1 else None)
        event.time = when
        pilot.app.screen.post_message(event)
        await pilot.pause()


def shown(app: PurlsideApp) -> str:
    """What the panes of the screen on top show, line by line."""
    lines: list[str] = []
    for pane in app.screen.query(Widget):
        if (
            pane.display
            and not pane.children
            and pane.size.area
            and all(w.display for w in pane.ancestors if isinstance(w, Widget))
        ):
            lines += ["".join(s.text for s in pane.render_line(y)) for y in range(pane.size.height)]
    return "\n".join(line.rstrip() for line in lines)
