"""The app for tests: on a small plan, its keys pressed through Textual's pilot, its screen read as text."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from itertools import count
from pathlib import Path
from typing import Any

from textual.app import App
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widget import Widget

from purlside.app.app import PurlsideApp
from purlside.files import planfile
from purlside.keep.settings import Settings
from tests.plans import cable, tables, toml

CHARACTERS = {_character_to_key(character): character for character in map(chr, range(32, 127))}
"""What a terminal says was typed with each key, by the key's name."""

LATER = count(2, 2)
"""Seconds that the clock of the keys is ahead: hands are slower than tests."""


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
        await settled(pilot)
        yield app, pilot


def waiting(app: App[Any]) -> bool:
    """Whether anything the app was told is still to be taken in or painted.

    Textual's own pause takes 20 ms without much work for a sign that all is done: slow, and on a busy machine not true.
    """
    screen = app.screen
    pumps = [app, *app.screen_stack, *screen.walk_children()]
    return any(
        not pump._message_queue.empty() or pump._pending_message is not None or pump._next_callbacks for pump in pumps
    ) or bool(
        screen._callbacks
        or (
            not app._batch_count
            and (
                screen._dirty_widgets
                or screen._layout_required
                or screen._repaint_required
                or screen._recompose_required
            )
        )
    )


async def settled(pilot: Pilot[Any]) -> None:
    """Wait until the app has taken in all it was told and painted it: twice round all its parts with nothing left."""
    rounds = 0
    while rounds < 2:
        # The pilot's pause sends messages round: keys that wait for quiet would wait for its end.
        while isinstance(pilot.app, PurlsideApp) and pilot.app.typed_ahead.busy:
            await asyncio.sleep(0)
            rounds = 0
        await pilot.pause(0)
        if pilot.app._exception is not None:
            raise pilot.app._exception
        rounds = 0 if waiting(pilot.app) else rounds + 1


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Keys one after the other, as slowly as hands are, each taken in and painted."""
    for key in keys:
        name = _character_to_key(key) if len(key) == 1 else key
        event = Key(name, CHARACTERS.get(name))
        event.time += next(LATER)
        pilot.app.post_message(event)
        await settled(pilot)


async def press_at(pilot: Pilot[int], key: str, *times: float) -> None:
    """One key at given times, in seconds, as the terminal would have told them."""
    for when in times:
        event = Key(key, key if len(key) == 1 else None)
        event.time = when
        pilot.app.screen.post_message(event)
        await settled(pilot)


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
