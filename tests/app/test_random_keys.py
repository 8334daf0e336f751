"""Ten thousand keys at random through the real app: nothing falls over, and the bed shown is the bed replayed."""

from __future__ import annotations

import asyncio
import os
import random
from pathlib import Path

from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.app.screens.ask import Ask
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.differs import WhatHappened
from purlside.app.widgets.bedside import BedsidePane
from purlside.files import planfile
from purlside.keep.session import Session
from tests.apps import settled
from tests.plans import cable
from tests.sessions import Replay, bed_seen, opened, seen, written

LANES = ("needle", "F", "loops", "rows", "rail", "working", "upper", "holding", "carriage")
KEYS = int(os.environ.get("PURLSIDE_KEYS", "10000"))
PAINTED_EVERY = 40
"""Keys between two looks at what is painted, and at what a second window reads from the ledger."""

BEDSIDE: dict[str, float] = {
    "space": 30, "pagedown": 4, "backspace": 8, "down": 14, "up": 8, "r": 8, "R": 4, "g": 1, "d": 4, "n": 1, "h": 0.5,
    "w": 1, "z": 0.5, "e": 1, "f": 0.3, "t": 0.3, "comma": 0.3, "c": 1, "a": 1, "l": 0.3, "m": 0.5, "question_mark": 0.5, "x": 0.5,
}  # fmt: skip
"""Keys and how often; those that end the program are left out."""
DIFFERS: dict[str, float] = {
    **dict.fromkeys("mfrownlxhsjyetbcp", 2), "u": 1, "down": 2, "up": 2, "enter": 2, "pagedown": 2, "escape": 4, "x": 1,
}  # fmt: skip
WAYS: dict[str, float] = {"1": 1, "2": 4, "3": 2, "y": 12, "down": 1, "enter": 1, "pagedown": 1, "escape": 3}
ASKED: dict[str, float] = {
    "l": 3,
    "r": 3,
    "space": 1,
    "enter": 9,
    "1": 3,
    "2": 2,
    "3": 2,
    "7": 1,
    "0": 1,
    "slash": 1,
    "a": 1,
    "backspace": 1,
    "escape": 3,
}
ELSEWHERE: dict[str, float] = {"down": 2, "pagedown": 2, "escape": 3, "end": 1}


def drawn(session: Session, pane: BedsidePane) -> list[str]:
    """The bed strip of another session, as text, drawn as the pane is."""
    other = BedsidePane(session, pane.settings)
    other.magnified, other.why = pane.magnified, pane.why
    return strip_of(["".join(text for text, _ in line).rstrip() for line in other.lines(*pane.size)])


def strip_of(lines: list[str]) -> list[str]:
    """The lanes among the lines."""
    return [line for line in lines if line.split()[:1] and line.split()[0] in LANES]


def painted(pane: BedsidePane) -> list[str]:
    """What stands on the screen."""
    return strip_of([pane.render_line(y).text.rstrip() for y in range(pane.size.height)])


async def until_idle(app: PurlsideApp) -> None:
    """Let the keys that wait be taken."""
    for _ in range(200):
        await asyncio.sleep(0)
        if app._message_queue.empty() and all(screen._message_queue.empty() for screen in app.screen_stack):
            await asyncio.sleep(0)
            if app._message_queue.empty() and app.screen._message_queue.empty():
                return


def next_key(app: PurlsideApp, chance: random.Random) -> str:
    match app.screen:
        case Bedside():
            weights = BEDSIDE
        case WhatHappened() as screen:
            weights = WAYS if screen.ways else DIFFERS
        case Ask():
            weights = ASKED
        case _:
            weights = ELSEWHERE
    return chance.choices(list(weights), list(weights.values()))[0]


async def check_painted(app: PurlsideApp, pilot: Pilot[int], session: Session, again: Session) -> None:
    await settled(pilot)
    assert isinstance(app.screen, Bedside)
    pane = app.screen.query_one(BedsidePane)
    again.look_again()
    assert again.ledger.read_only
    assert painted(pane) == drawn(again, pane)
    assert painted(pane) or pane.magnified
    assert seen(again.knitting) == seen(session.knitting)
    assert (again.course.said, again.counter, again.in_force) == (
        session.course.said,
        session.counter,
        session.in_force,
    )


async def test_ten_thousand_random_keys_and_the_bed_shown_is_the_bed_replayed(home: Path, tmp_path: Path) -> None:
    chance = random.Random(1907)
    plan = written(
        tmp_path,
        cable(ease="enlarge", enlarged_size=9),
        cable("L5 over L6", name="bead", first_row=3, every=5, ease="by hand"),
        cable(["R4-R5 over R6", "R5-R6 over R4"], name="wave", first_row=4, every=6, ease="extra rows", extra_rows=2),
        rows=60,
        band=[{"rows": "20-25", "stitch_size": 4.0}],
        reminder=[{"row": 9, "text": "[b]marker"}],
        panel={"weights_every": 7},
    )
    file = planfile.read(plan)
    app = PurlsideApp(file)
    keys = said = looks = 0
    async with app.run_test(size=(90, 26)) as pilot:
        await settled(pilot)
        session = app.session
        assert session is not None
        replay, again = Replay(file.plan, session.ledger.path), opened(plan)
        while keys < KEYS:
            # Nothing is painted between two looks: that would be most of the time this takes.
            with app.batch_update():
                for _ in range(PAINTED_EVERY):
                    keys += 1
                    key = next_key(app, chance)
                    before = session.course.said
                    app.simulate_key(key)
                    await until_idle(app)
                    assert app.session is session, f"key {keys}, {key}: the plan is closed"
                    assert bed_seen(session.knitting) == bed_seen(replay.read_on()), f"key {keys}, {key}"
                    said += session.course.said != before
            if isinstance(app.screen, Bedside):
                await check_painted(app, pilot, session, again)
                looks += 1
        assert session.ledger.trouble is None
    assert keys >= KEYS
    assert looks > KEYS // PAINTED_EVERY // 10
    assert said > KEYS // 200, "much was said to differ on the way"
