"""What was really knit: the texts of the plan, each from the row on from which it was knit, kept beside the ledger.

A plan may be changed while its panel hangs on the needles, here or in an
editor while the program is closed. Rows that are knit stay as they were knit.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from purlside.files.planfile import PlanFile, Refused, parse
from purlside.keep import folders, panels
from purlside.keep.damage import set_aside
from purlside.knitting.course import Course
from purlside.knitting.cursor import Place
from purlside.knitting.stretches import Counted, PlanFrom
from purlside.plan.plan import Plan
from purlside.text.harmless import shown

if TYPE_CHECKING:
    from purlside.draft.sameness import AsKnit


class AlreadyKnit(NamedTuple):
    """A text of the plan, the row of the plan from which it was knit, and what its repeats count from."""

    first: int
    text: str
    counted: tuple[Counted, ...] = ()


def file_for(ledger: Path) -> Path:
    """The file in which they are kept."""
    return ledger.with_suffix(".knit.json")


def read(ledger: Path) -> tuple[AlreadyKnit, ...]:
    """What was kept, the first from row 1; empty where nothing can be read."""

    def knit(first: Any, text: Any, counted: Any = (), *_: Any) -> AlreadyKnit:
        repeats = tuple(Counted(str(name), int(k), int(row)) for name, k, row in counted)
        return AlreadyKnit(int(first), str(text), repeats)

    found: tuple[AlreadyKnit, ...] = folders.read_json(
        file_for(ledger), lambda data: tuple(knit(*one) for one in data), ()
    )
    rows = [one.first for one in found]
    return found if rows[:1] == [1] and rows == sorted(set(rows)) else ()


def write(ledger: Path, knit: Iterable[AlreadyKnit]) -> None:
    """Keep them. Raises OSError."""
    told = [[one.first, one.text, [[c.cable, c.k, c.row] for c in one.counted]] for one in knit]
    folders.keep(file_for(ledger), json.dumps(told).encode())


def as_knit(path: Path) -> PlanFile | None:
    """The plan as its panel was knit last, whatever became of its file since; None where nothing is knit."""
    panel = panels.of(path)
    texts = read(panel.ledger)
    if not texts or panel.place is None:
        return None
    try:
        file = PlanFile(path, texts[-1].text, parse(texts[-1].text, "the plan as you knit it"))
    except Refused:
        return None
    return None if file.faults() else file


def opened_as_knit(path: Path, why: str) -> str:
    """What is said where that is opened instead of the file."""
    what = f"cannot be knit from ({why})" if os.path.exists(path) else "is gone"
    return (
        f"{shown(path.name, 60)} {what}: opened as you knit it. Put the file right and reload it, or draft it and save"
    )


CABLES_LISTED = 4
"""Cables whose next crossing is told where the plan was changed."""


def beyond_words(knit: int, rows: int) -> str:
    """What is told where ``knit`` rows are on the needles, and the plan ends with row ``rows`` now."""
    if knit <= rows:
        return ""
    more = knit - rows
    many = f"{more:,} rows are" if more > 1 else "1 row is"
    return f"{many} knit beyond the plan's last row, {rows:,}: rip back to it, or make the plan longer. "


def changed_words(course: Course, place: Place) -> str:
    """What is told where the plan was changed with rows on the needles."""
    row = place.row + bool(place.done)
    begun = f"row {place.row:,} is finished as it was begun; " if place.done else ""
    told = [f"The plan was changed: {begun}from row {row:,} on it is the new one, what is knit stays as it is"]
    for index, cable in enumerate(course.cables):
        last, following = course.last_crossing(row, index), course.next_crossing(row, index)
        if following is not None:
            since = f", {following - last:,} after the last" if last is not None else ""
            told.append(f"{cable.name} crosses next in row {following:,}{since}")
    return "; ".join(told[: 1 + CABLES_LISTED])


class KnitFrom:
    """The plans one panel was knit from so far: ``stretches``; ``changed``, the file has another plan now."""

    def __init__(self, ledger: Path, file: PlanFile) -> None:
        self.ledger = ledger
        self.file = file
        known = read(ledger)
        self.damaged = set_aside(file_for(ledger)) if not known and os.path.exists(file_for(ledger)) else ""
        """What is said of the texts kept so far where they cannot be read."""
        self._texts = [(file.plan, file.text)]
        found = [PlanFrom(one.first, plan, one.counted) for one in known if (plan := self._plan(one.text)) is not None]
        if found:
            found[0] = replace(found[0], first=1, counted=())
        self.stretches: tuple[PlanFrom, ...] = tuple(found) or (PlanFrom(1, file.plan),)
        self.changed = self.stretches[-1].plan != file.plan
        # Remarks and the way it is written change nothing.
        self.stale = not known or (not self.changed and known[-1].text != file.text)

    def _plan(self, text: str) -> Plan | None:
        if text == self.file.text:
            return self.file.plan
        try:
            plan = parse(text, "the plan as it was knit")
        except Refused:
            return None
        self._texts.append((plan, text))
        return plan

    def knit(self, stretches: tuple[PlanFrom, ...]) -> None:
        """The panel is knit from these plans."""
        if stretches != self.stretches:
            self.stretches, self.stale = stretches, True
            self.keep()

    def keep(self) -> None:
        """Bring it to its file, where that says something else; a disk that refuses does not stop the knitting."""
        if self.stale:
            with contextlib.suppress(OSError):
                write(self.ledger, (AlreadyKnit(s.first, self._text(s.plan), s.counted) for s in self.stretches))
                self.stale = False

    def _text(self, plan: Plan) -> str:
        return next(text for known, text in self._texts if known == plan)

    def as_knit(self, row: int) -> AsKnit:
        """The same as the drafting table compares with, rows of the plan before ``row`` being knit."""
        from purlside.draft.sameness import AsKnit

        knit = [
            (stretch.first, stretch.plan) for stretch in self.stretches if stretch.first < row or stretch.first == 1
        ]
        return AsKnit(tuple(knit))
