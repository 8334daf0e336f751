"""What was really knit: the texts of the plan, each from the row on from which it was knit, kept beside the ledger.

A plan may be changed while its panel hangs on the needles, here or in an
editor while the program is closed. Rows that are knit stay as they were knit;
what the plan has otherwise now is told, row by row.
"""

from __future__ import annotations

import contextlib
import json
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.files.planfile import PlanFile, Refused, parse
from purlside.files.whole import read_whole
from purlside.keep import folders, panels
from purlside.keep.damage import set_aside
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import Deviation, DoesNotFit
from purlside.text.harmless import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from purlside.draft.sameness import AsKnit, Difference
    from purlside.plan.plan import Plan

Texts = tuple[tuple[int, str], ...]
"""(first row of the plan, text of the plan it was knit from), the first from row 1."""


def file_for(ledger: Path) -> Path:
    """The file in which they are kept."""
    return ledger.with_suffix(".knit.json")


def read(ledger: Path) -> Texts:
    """What was kept; empty where nothing can be read."""
    try:
        data = json.loads(read_whole(file_for(ledger)))
        found = tuple((int(first), str(text)) for first, text in data)
    except (OSError, ValueError, TypeError, RecursionError, OverflowError):
        return ()
    rows = [first for first, _ in found]
    return found if rows[:1] == [1] and rows == sorted(set(rows)) else ()


def as_knit(path: Path) -> PlanFile | None:
    """The plan as its panel was knit last, whatever became of its file since; None where nothing is knit."""
    panel = panels.of(path)
    texts = read(panel.ledger)
    if not texts or panel.place is None:
        return None
    try:
        file = PlanFile(path, texts[-1][1], parse(texts[-1][1], "the plan as you knit it"))
    except Refused:
        return None
    return None if file.faults() else file


def opened_as_knit(path: Path, why: str) -> str:
    """What is said where that is opened instead of the file."""
    what = f"cannot be knit from ({why})" if path.exists() else "is gone"
    return (
        f"{shown(path.name, 60)} {what}: opened as you knit it. Put the file right and reload it, or draft it and save"
    )


WORDS_LISTED = 6
"""Rows knit otherwise that are named where little room is."""


def otherwise_words(otherwise: Sequence[Difference], row: int) -> str:
    """What is told where the plan was changed with rows before ``row`` on the needles."""
    if row <= 1:
        return ""
    if not otherwise:
        return f"The plan was changed; rows 1–{row - 1:,} are as you knit them: on with row {row:,}"
    named = "; ".join(map(str, otherwise[:WORDS_LISTED])) + ("; and more" if len(otherwise) > WORDS_LISTED else "")
    rows = sorted({difference.row for difference in otherwise})
    listed = ", ".join(f"{row:,}" for row in rows[:WORDS_LISTED]) + (" …" if len(rows) > WORDS_LISTED else "")
    return (
        f"Already knit otherwise than the plan has it now, row{'s' if len(rows) > 1 else ''} {listed}: rip back to row "
        f"{rows[0]:,}, or go on as it is. Strip, counts and calls are those of the plan as it is now. "
        f"Knit as the plan was before: {named}"
    )


def beyond_words(knit: int, rows: int) -> str:
    """What is told where ``knit`` rows are on the needles, and the plan ends with row ``rows`` now."""
    if knit <= rows:
        return ""
    more = knit - rows
    many = f"{more:,} rows are" if more > 1 else "1 row is"
    return f"{many} knit beyond the plan's last row, {rows:,}: rip back to it, or make the plan longer. "


class KnitFrom:
    """The texts one plan was knit from so far; ``row`` is the row of the plan to be knit next."""

    def __init__(self, ledger: Path, file: PlanFile, row: int) -> None:
        self.ledger = ledger
        self.file = file
        self.row = row
        known = read(ledger)
        self.damaged = set_aside(file_for(ledger)) if not known and file_for(ledger).exists() else ""
        """What is said of the texts kept so far where they cannot be read."""
        self.texts: Texts = _until(known, row) or ((1, file.text),)
        self.changed = self.texts[-1][1] != file.text
        """Whether the plan is another than the one knit last, in whatever its text says."""
        if self.changed and self._plan(self.texts[-1][1]) == file.plan:
            # Only remarks or the way it is written.
            self.changed = False
            self.texts = (*self.texts[:-1], (self.texts[-1][0], file.text))
        elif self.changed:
            self.texts = _then(self.texts, row, file.text)
        self._stale = self.texts != known

    def keep(self) -> None:
        """Bring it to its file, where that says something else; a disk that refuses does not stop the knitting."""
        if self._stale:
            with contextlib.suppress(OSError):
                folders.keep(file_for(self.ledger), json.dumps(self.texts).encode())
                self._stale = False

    def knit(self, row: int) -> None:
        """A row of the plan is knit, from the plan as it is now."""
        self.row = row + 1
        if row >= self.texts[-1][0]:
            return
        self.texts = _then(self.texts, row, self.file.text)
        self._stale = True
        self.__dict__.pop("as_knit", None)
        self.__dict__.pop("otherwise", None)
        self.keep()

    @cached_property
    def as_knit(self) -> AsKnit:
        """The same as plans."""
        from purlside.draft.sameness import AsKnit

        return AsKnit(tuple((first, self._plan(text) or self.file.plan) for first, text in self.texts))

    @cached_property
    def otherwise(self) -> tuple[Difference, ...]:
        """The rows already knit that the plan has otherwise now."""
        if len(self.texts) == 1:
            return ()
        return tuple(self.as_knit.differences(self.file.plan, self.row - 1))

    @property
    def row_differs(self) -> bool:
        """Whether the row in hand was begun from a plan that has it otherwise."""
        if not self.changed:
            return False
        from purlside.draft.sameness import differences

        known = read(self.ledger) or self.texts[:1]
        old = next(text for first, text in reversed(known) if first <= self.row)
        plan = self._plan(old)
        return plan is None or bool(differences(plan, self.file.plan, self.row, self.row, 1))

    def clicked(self, until: Place, said: tuple[Deviation, ...]) -> int | None:
        """The clicks of the machine's counter so far, by the plan it was knit from last; None where that cannot be
        told."""
        (*_, (_, plan), _) = ((0, self.file.plan), *self.as_knit.stretches)
        try:
            return Knitting(CourseWorking(Course(plan, said)), until).counter
        except DoesNotFit:
            return None

    def _plan(self, text: str) -> Plan | None:
        if text == self.file.text:
            return self.file.plan
        try:
            return parse(text, "the plan as it was knit")
        except Refused:
            return None


def _until(texts: Texts, row: int) -> Texts:
    """Rows from ``row`` on are still to be knit."""
    return tuple((first, text) for first, text in texts if first < row or first == 1)


def _then(texts: Texts, row: int, text: str) -> Texts:
    return ((1, text),) if row <= 1 else (*_until(texts, row), (row, text))
