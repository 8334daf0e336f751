"""Killed at any moment, the program opens again on the last step shown, or on the one the last key asked for."""

from __future__ import annotations

import multiprocessing
import os
import random
import time
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from purlside.files import planfile
from purlside.keep import panels
from purlside.keep.ledger import Entry, entries_backwards
from purlside.keep.session import Session
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from tests.sessions import opened, seen, written
from tests.terminal.steps import Shown, knit, shown
from tests.terminal.terminal import Terminal, at_row, purlside

KILLS = int(os.environ.get("PURLSIDE_KILLS", "200"))
"""Sessions killed; each is opened again on the ledger the one before left."""
MOST_TOLD = 60
"""What a session asks and shows at most before it is killed, counted so that a busy machine does not make it less."""
THEN = 0.002
"""Seconds after that at most: about as long as a step takes."""
PROGRAMS = 10
"""Real programs on a terminal killed the same way."""


class Heard:
    """What was shown last, and what was asked after it, if anything was."""

    def __init__(self, ear: Connection) -> None:
        self.ear = ear
        self.before: Shown | None = None
        self.asked: Shown | None = None

    def listen(self, most: int | None = None) -> None:
        """Take in so much of what is told, or all there is."""
        try:
            while most is None or most > 0:
                kind, what = self.ear.recv()
                if kind == "shown":
                    self.before, self.asked = what, None
                else:
                    self.asked = what
                most = None if most is None else most - 1
        except (EOFError, OSError):
            return


def killed(context: Any, plan: Path, home: Path, seed: int) -> tuple[Shown | None, Shown | None]:
    """Let one session knit for a random while and kill it."""
    ear, mouth = context.Pipe(duplex=False)
    knitter = context.Process(target=knit, args=(plan, home, seed, mouth), daemon=True)
    knitter.start()
    mouth.close()
    chance, heard = random.Random(seed), Heard(ear)
    heard.listen(chance.randint(0, MOST_TOLD))
    time.sleep(chance.uniform(0, THEN))
    knitter.kill()
    knitter.join()
    heard.listen()
    return heard.before, heard.asked


def test_hundreds_of_kills_lose_no_step_and_leave_every_ledger_readable(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path, rows=60)
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.terminal.steps"])
    in_between = steps = 0
    kept = b""
    ledger = panels.of(plan).ledger
    for seed in range(KILLS):
        before, asked = killed(context, plan, home, seed)
        left = ledger.read_bytes() if ledger.exists() else b""
        assert left.startswith(kept), "what was saved before is as it was"
        added = left[len(kept) :].splitlines()
        assert all(Entry.read(line) is not None for line in added[:-1]), "at most the last line is torn"
        session = Session(planfile.read(plan))
        assert session.ledger.path.read_bytes().startswith(left), "opening adds, and changes nothing"
        steps += len(added)
        if before is not None:
            assert shown(session) in (before, asked), f"seed {seed}"
            in_between += asked is not None
        fresh = CourseWorking(Course(session.file.plan, session.course.said))
        assert seen(session.knitting) == seen(Knitting(fresh, session.knitting.place))
        session.close()
        kept = session.ledger.path.read_bytes()
    assert steps > KILLS * 5, "the sessions were killed at work"
    assert in_between > KILLS // 20, "some were killed between a key and its step"


Step = tuple[str, int]
"""How far along its row a step is, as the call bar says it, and the row."""


def shows(terminal: Terminal, step: Step) -> bool:
    along, row = step
    return at_row(terminal, row)() and (along in terminal.text if along else " step 1 of" not in terminal.text)


def step_at(knitting: Knitting, place: Place) -> Step:
    knitting.go(place)
    assert knitting.step is not None
    steps = knitting.steps
    return f"step {steps.index(knitting.step) + 1} of {len(steps)}" if len(steps) > 1 else "", place.row


def test_the_real_program_killed_between_a_key_and_its_step_shows_one_of_the_two(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    chance = random.Random(3)
    model = Knitting(CourseWorking(Course(planfile.read(plan).plan)))
    fair: set[Step] = set()
    place = Place(1, 0)
    for run in range(PROGRAMS):
        with purlside(plan) as terminal:
            terminal.wait_for("Space done")
            terminal.settle(0.05)
            if fair:
                assert any(shows(terminal, step) for step in fair), f"run {run}"
                place = opened_at(home)
            for _ in range(chance.randint(2, 6)):
                before = step_at(model, place)
                place = model.clamped(model.next_place())
                after = step_at(model, place)
                terminal.wait_for(partial(shows, terminal, before))
                terminal.press("space")
            fair = {before, after}
            terminal.read(chance.uniform(0, 0.02))
            terminal.kill()
            terminal.wait()
    assert opened(plan).knitting.place.row > 5


def opened_at(home: Path) -> Place:
    """The place of the ledger's last whole line."""
    (file,) = (home / "ledgers").glob("*.jsonl")
    return next(entries_backwards(file)).event.at
