"""Ten thousand keys at random through the real app: nothing falls over, and the bed shown is the bed replayed."""

from __future__ import annotations

import asyncio
import os
import random
import time
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

import pytest
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from purlside.app.actions import DIFFERS, FIGURES, SETTINGS, Action
from purlside.app.app import PurlsideApp
from purlside.app.screens.ask import Ask, Choose
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.differs import WhatHappened
from purlside.app.screens.drafting import Drafting
from purlside.app.screens.figures import FiguresScreen
from purlside.app.screens.finding import Finding
from purlside.app.screens.keyed import Keyed
from purlside.app.screens.settings import SettingsScreen
from purlside.app.screens.went import Went
from purlside.app.widgets.bedside import BedsidePane
from purlside.files import planfile
from purlside.keep.session import Session
from tests.apps import CHARACTERS, settled
from tests.plans import cable
from tests.sessions import Replay, bed_seen, opened, seen, written

T = TypeVar("T")
LANES = ("needle", "F", "loops", "rows", "rail", "WP", "UWP", "HP", "working", "upper", "holding", "carriage")
KEYS = int(os.environ.get("PURLSIDE_KEYS", "10000"))
SEEDS = (1907, 1911, 1926, 1931)
"""The keys are shared out between them."""
PAINTED_EVERY = 40
"""Keys between two looks at what is painted, and at what a second window reads from the ledger."""
GAPS: dict[float, float] = {0.03: 3, 0.3: 3, 2.0: 4}
"""Seconds between two keys, and how often: some are repeats of a key held down, some run away."""

OFTEN: dict[str, float] = {
    "forward": 34, "back": 8, "next_move": 14, "move_back": 8, "next_row": 8, "row_back": 8, "go_to": 2, "differs": 16,
    "check": 1, "note": 2, "went": 1, "reread": 1, "why": 1, "magnify": 0.5, "again": 1, "ledger": 1, "figures": 1,
    "knit_again": 0.3, "draft": 1, "sheet": 0.3, "settings": 1, "find": 1, "help": 0.5, "leave": 0,
}  # fmt: skip
"""Actions of the bedside and how often. Those that end the program, or write into the plan, are left out everywhere."""
SETTLED: dict[str, float] = {action.name: 1.0 for action in SETTINGS} | {"leave": 2, "reset_keys": 3}
READ: dict[str, float] = {action.name: 1.0 for action in FIGURES} | {"yarns": 0.1, "leave": 4}
SAID: dict[str, float] = {
    **{action.name: 1.0 for action in DIFFERS}, "say": 3, "leave": 1.5
}  # fmt: skip
LOOKED_AT = {"use": 0.0, "remove": 0.0, "leave": 4.0}
TYPED = {"1": 4, "2": 4, "3": 3, "5": 2, "7": 1, "0": 1, "l": 3, "r": 3, "/": 1, "a": 1, "escape": 1}
ANSWERED = {"enter": 12, "backspace": 4, "1": 1, "2": 1, " ": 1, "l": 1, "r": 1, "escape": 4}


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
    quiet = 0
    began = time.monotonic()
    while time.monotonic() - began < 10:
        await asyncio.sleep(0)
        pumps = [app, *app.screen_stack]
        busy = app.typed_ahead.busy or not all(pump._message_queue.empty() for pump in pumps)
        quiet = 0 if busy else quiet + 1
        if quiet > 1:
            return
    raise AssertionError("keys wait for ever")


def one_of(chance: random.Random, weights: Mapping[T, float]) -> T:
    return chance.choices(list(weights), list(weights.values()))[0]


def key_for(keys: dict[str, Action], chance: random.Random, weights: dict[str, float], other: float = 0.0) -> str:
    """A key of an action that comes so often."""
    return one_of(chance, {key: weights.get(action.name, other) for key, action in keys.items()})


def next_key(app: PurlsideApp, chance: random.Random) -> str:
    screen = app.screen
    keys = dict(screen.keys) if isinstance(screen, Keyed) else {}
    match screen:
        case Bedside():
            return key_for(keys, chance, OFTEN)
        case WhatHappened():
            if chance.random() < 0.6:
                return (
                    one_of(chance, {"1": 1, "2": 2, "3": 2, "y": 6})
                    if screen.ways
                    else chance.choice(screen.happenings).letter
                )
            return key_for(keys, chance, SAID)
        case Ask():
            return one_of(chance, ANSWERED if screen.query_one(Input).value else TYPED)
        case Choose():
            return chance.choice(list(screen.answers))
        case Went():
            return chance.choice(["e", "f", "t", "b", "up", "down", "space", "escape"])
        case Finding():
            found = screen.query_one(OptionList)
            chosen = found.highlighted_option
            may = 2.0 if chosen is not None and OFTEN.get(chosen.id or "", 1) else 0.0
            typed = dict.fromkeys([*"ordwn", "space", "backspace", "down", "escape"], 1.0)
            return str(one_of(chance, {**typed, "enter": may}))
        case SettingsScreen():
            return key_for(keys, chance, SETTLED)
        case FiguresScreen():
            return key_for(keys, chance, READ)
        case Drafting():
            return chance.choice(["down", "up", "left", "tab", "v", "f2", "escape"])
        case Keyed():
            return key_for(keys, chance, LOOKED_AT, 1.0)
        case _:
            return chance.choice(["a", "enter", "down", "escape", "escape"])


async def give(app: PurlsideApp, key: str, when: float) -> None:
    name = _character_to_key(key) if len(key) == 1 else key
    event = Key(name, CHARACTERS.get(name))
    event.time = when
    app.post_message(event)
    await until_idle(app)


async def check_painted(app: PurlsideApp, pilot: Pilot[int], session: Session, again: Session) -> None:
    await settled(pilot)
    assert isinstance(app.screen, Bedside)
    pane = app.screen.query_one(BedsidePane)
    again.calling = session.calling
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


@pytest.mark.parametrize("seed", SEEDS)
async def test_ten_thousand_random_keys_and_the_bed_shown_is_the_bed_replayed(
    seed: int, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    chance, keys = random.Random(seed), KEYS // len(SEEDS)
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
    app = PurlsideApp(planfile.read(plan))
    said = looks = number = 0
    when = 1000.0
    screens: Counter[str] = Counter()
    async with app.run_test(size=(90, 26)) as pilot:
        await settled(pilot)
        assert app.session is not None
        session = app.session
        replay, again = Replay(session.file.plan, session.ledger.path), opened(plan)
        while number < keys:
            # Nothing is painted between two looks: that would be most of the time this takes.
            with app.batch_update():
                for _ in range(PAINTED_EVERY):
                    number += 1
                    if app.session is not session:
                        # Knit again: another panel, with a ledger of its own.
                        assert app.session is not None and screens["Choose"]
                        session = app.session
                        replay, again = Replay(session.file.plan, session.ledger.path), opened(session.file.path)
                    key, before = next_key(app, chance), session.course.said
                    screens[type(app.screen).__name__] += 1
                    when += one_of(chance, GAPS)
                    await give(app, key, when)
                    if app.session is session:
                        assert bed_seen(session.knitting) == bed_seen(replay.read_on()), f"key {number}, {key}"
                        said += session.course.said != before
            when += 100
            await back_to_bedside(app, when)
            if app.session is session:
                await check_painted(app, pilot, session, again)
                looks += 1
        assert session.ledger.trouble is None
    assert looks > keys // PAINTED_EVERY * 0.9
    assert said > keys // 200, "much was said to differ on the way"
    assert len(screens) >= min(10, keys // 200), screens


async def back_to_bedside(app: PurlsideApp, when: float) -> None:
    for more in range(12):
        if isinstance(app.screen, Bedside):
            return
        await give(app, "escape", when + 2 * more)
    raise AssertionError(f"Escape does not leave {app.screen}")
