"""One session that knits at random until it is killed, in a process of its own; it tells what it asks and shows."""

from __future__ import annotations

import os
import random
from multiprocessing.connection import Connection
from pathlib import Path

from purlside.files import planfile
from purlside.keep.session import Session
from purlside.knitting.differing import CannotBe, differ
from tests.plans import cable, tables, toml

planfile.parse(toml(tables(cable())), "first.toml")
"""What reading a plan brings in is brought in here, once, not by each of the sessions that are killed."""

Shown = tuple[str, tuple[str, ...]]
"""A place, and the deviations in force."""


def shown(session: Session) -> Shown:
    return str(session.knitting.place), tuple(map(str, session.course.said))


def knit(plan: Path, home: Path, seed: int, tell: Connection) -> None:
    """Step after step; before each, what it leads to is told, and after it what is shown."""
    os.environ["PURLSIDE_HOME"] = str(home)
    chance = random.Random(seed)
    session = Session(planfile.read(plan))
    tell.send(("shown", shown(session)))
    while True:
        step(session, chance, tell)
        tell.send(("shown", shown(session)))


def step(session: Session, chance: random.Random, tell: Connection) -> None:
    """One key, or one thing said."""
    knitting = session.knitting
    said = tuple(map(str, session.course.said))
    draw = chance.random()
    if draw < 0.6:
        tell.send(("asked", (str(knitting.clamped(knitting.next_place())), said)))
        session.forward()
    elif draw < 0.75:
        tell.send(("asked", (str(knitting.clamped(knitting.next_move_place())), said)))
        session.next_move()
    elif draw < 0.85:
        tell.send(("asked", (str(session.jumped_from or knitting.clamped(knitting.place_before())), said)))
        session.back()
    elif draw < 0.9:
        row = chance.randint(1, session.course.rows)
        tell.send(("asked", (f"{row}.0", said)))
        session.go_to(row)
    elif draw < 0.93:
        session.note("a note of some length, so that a line can be torn")
    else:
        line = chance.choice([line for line in session.happenings() if not line.not_now])
        try:
            way = chance.choice(line.ways(str(chance.randint(1, 9)) if line.question else ""))
            if way.deviations:
                outcome = differ(knitting, session.course, *way.deviations)
                after = (str(outcome.knitting.place), tuple(map(str, outcome.course.said)))
                tell.send(("asked", after))
            session.take(way)
        except (CannotBe, ValueError):
            pass
