"""Sessions in a folder of their own, and a replay of their ledgers that shares no code with resuming."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from purlside.files import planfile
from purlside.keep.session import Session
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import Deviation, parse
from purlside.knitting.happening import Way
from purlside.plan.plan import Plan
from tests.plans import Tables, cable, tables, toml

ROPE: Tables = cable(ease="enlarge", enlarged_size=9)
"""3 over 3 in row 8 and every 8 rows, the half behind enlarged: five pushes and a crossing."""

OPEN: list[Session] = []
"""Sessions a test has opened; the fixture closes them."""


def written(folder: Path, *cables: Tables, name: str = "band", **more: Any) -> Path:
    """A plan file."""
    path = folder / f"{name}.toml"
    machine = {"counter_trip": "centre", **more.pop("machine", {})}
    path.write_text(toml(tables(*(cables or (ROPE,)), machine=machine, **more)), "utf-8")
    return path


def opened(path: Path) -> Session:
    """The plan, where it was left."""
    OPEN.append(Session(planfile.read(path)))
    return OPEN[-1]


def at(session: Session, row: int, steps: int = 0) -> Session:
    """Go to a row and knit so many of its steps."""
    session.go_to(row)
    for _ in range(steps):
        session.forward()
    return session


def again(session: Session) -> Session:
    """Close the plan and open it anew."""
    session.close()
    return opened(session.file.path)


def ways(session: Session, letter: str, answer: str = "") -> dict[str, Way]:
    """The ways of a line of "What happened?", by their labels."""
    line = next(line for line in session.happenings() if line.letter == letter)
    assert not line.not_now, line.not_now
    return {way.label: way for way in line.ways(answer)}


def seen(knitting: Knitting) -> tuple[Any, ...]:
    """What the knitter can compare with the metal: place, bed and what comes; and the counters."""
    return (*bed_seen(knitting), tuple(knitting.cables()), knitting.counter)


def bed_seen(knitting: Knitting) -> tuple[Any, ...]:
    """The place, the bed and what comes. Not which stitch came from where: that is told from the row in hand on."""
    bed = knitting.bed
    return (
        knitting.place,
        tuple(bed.position),
        tuple(bed.loops),
        tuple(bed.rows),
        tuple(bed.loop_size),
        bed.carriage,
        bed.dial,
        bed.yarn,
        knitting.moves,
        knitting.rows,
    )


class Replay:
    """Reads a ledger on as it grows, and knits each line anew."""

    def __init__(self, plan: Plan, ledger: Path) -> None:
        self.plan, self.ledger = plan, ledger
        self._read = 0
        self.said: tuple[Deviation, ...] = ()
        self.working = CourseWorking(Course(self.plan))
        self.place = Place(1, 0)

    def read_on(self) -> Knitting:
        """Take the lines that are new; the knitting as the last of them leaves it."""
        with self.ledger.open("rb") as stream:
            stream.seek(self._read)
            new = stream.read()
        self._read += len(new)
        for line in new.splitlines():
            entry = json.loads(line)
            self.place = Place.parse(entry["at"])
            if "kept" in entry:
                said = tuple(map(parse, entry["kept"]["said"]))
                if said != self.said:
                    self.said, self.working = said, CourseWorking(Course(self.plan, said))
        return Knitting(self.working, self.place)
