"""A plan in hand: the knitting, and the ledger that each step is written to before it is shown."""

from __future__ import annotations

import hashlib
import time
from datetime import datetime
from itertools import pairwise

from purlside import folders
from purlside.calling import CALLING, Call, Calling
from purlside.knitting import Knitting, Place
from purlside.ledger import Ledger, entries_backwards
from purlside.outcomes import Outcomes, opening_limit
from purlside.pace import Pace
from purlside.planfile import PlanFile
from purlside.working import Working

LOOKED_BACK = 2000
"""Ledger lines read on opening to know the pace; more would not change a median of the last rows."""


class Session:
    """One plan being knit, resumed from its ledger.

    Every step is first appended to the ledger and then made, so that whatever
    ends the program, the place last asked for is known.
    """

    def __init__(self, file: PlanFile, *, calling: Calling = CALLING) -> None:
        self.file = file
        self.calling = calling
        self.ledger = Ledger(folders.ledger_for(file.path))
        self.pace = Pace()
        self._row_since: float | None = None
        self._called: tuple[object, ...] | None = None
        self._rows_left: tuple[int, int, int] | None = None
        place = self._resume()
        limit, self.limit_said = opening_limit(file.plan, self.ledger.path, place)
        self.knitting = Knitting(Working(file.plan, limit), place)
        self.outcomes = Outcomes(self)
        self.ledger.append(
            "open",
            str(self.knitting.place),
            plan=str(file.path.absolute()),
            title=file.plan.title,
            digest=hashlib.sha256(file.text.encode()).hexdigest()[:16],
            limit=None if limit is None else limit.value,
        )

    def _resume(self) -> Place | None:
        """The last place in the ledger; the pace of the rows before it is learnt on the way."""
        place: Place | None = None
        seen: list[tuple[datetime, Place, str]] = []
        try:
            for count, entry in enumerate(entries_backwards(self.ledger.path)):
                if count >= LOOKED_BACK:
                    break
                try:
                    at = Place.parse(entry.at)
                except ValueError:
                    continue
                place = place or at
                if entry.did != "crossing":
                    seen.append((entry.when, at, entry.did))
        except OSError:
            return None
        self._learn(seen[::-1])
        return place

    def _learn(self, seen: list[tuple[datetime, Place, str]]) -> None:
        """Take the pace from steps: a row runs from one arrival at a row's start to the next row's."""
        starts: list[tuple[datetime, int, bool]] = []
        steps = 0
        for when, at, did in seen:
            steps += 1
            if at.done == 0 or did not in ("card", "move"):
                starts.append((when, at.row if did in ("card", "move") else -1, steps > 1))
                steps = 0
        for (began, row, _), (ended, after, several) in pairwise(starts):
            if row >= 0 and after == row + 1:
                self.pace.row_done((ended - began).total_seconds(), crossing=several)

    # --- stepping ----------------------------------------------------------

    def forward(self) -> bool:
        """Done: the next card."""
        return self._step("card", self.knitting.next_place())

    def back(self) -> bool:
        """One card back."""
        return self._step("back", self.knitting.place_before())

    def next_move(self) -> bool:
        return self._step("move", self.knitting.next_move_place())

    def move_back(self) -> bool:
        return self._step("back", self.knitting.move_before_place())

    def next_row(self) -> bool:
        """To the start of the next row."""
        return self._step("go", Place(self.knitting.place.row + 1, 0))

    def row_back(self) -> bool:
        """To the start of this row, or of the one before when there already."""
        place = self.knitting.place
        return self._step("go", Place(place.row if place.done else place.row - 1, 0))

    def go_to(self, row: int) -> bool:
        """To the start of a row; past the end is the finished panel."""
        return self._step("go", Place(row, 0))

    def _step(self, did: str, to: Place) -> bool:
        """Write the step, then make it. False where it leads nowhere or another window writes."""
        to = self.knitting.clamped(to)
        before = self.knitting.place
        if to == before or self.ledger.read_only:
            return False
        self.ledger.append(did, str(to))
        crossing = bool(self.knitting.row and self.knitting.row.crossed)
        self.knitting.go(to)
        now = time.monotonic()
        if to.row != before.row:
            if did in ("card", "move") and to == Place(before.row + 1, 0) and self._row_since is not None:
                self.pace.row_done(now - self._row_since, crossing=crossing)
            self._row_since = now
        elif self._row_since is None:
            self._row_since = now
        return True

    def note(self, text: str) -> None:
        """Keep a note at this place."""
        self.ledger.append("note", str(self.knitting.place), text=text)

    # --- asking ------------------------------------------------------------

    @property
    def call(self) -> Call | None:
        """The call that stands here, if any."""
        return self.knitting.call(self.calling)

    def call_due(self) -> Call | None:
        """The call to sound now: one that has not been sounded since the last time there was another."""
        call = self.call
        key = call.key if call else None
        due = call if key is not None and key != self._called else None
        self._called = key
        return due

    def rows_left(self) -> tuple[int, int]:
        """Plain and crossing rows still to knit, the row in hand among them."""
        row = self.knitting.place.row
        if self._rows_left is None or self._rows_left[0] not in (row, row - 1):
            kinds = self.knitting.working.calendar.kinds(row) if not self.knitting.finished else {}
            plain = sum(t.count for k, t in kinds.items() if not k.crossings)
            self._rows_left = (row, plain, sum(t.count for t in kinds.values()) - plain)
        elif self._rows_left[0] == row - 1:
            at, plain, crossing = self._rows_left
            crossed = bool(self.knitting.working.calendar.row(at).crossed)
            self._rows_left = (row, plain - (not crossed), crossing - crossed)
        return self._rows_left[1:]

    def time_left(self) -> float | None:
        """Seconds left at this knitter's own pace, an estimate; None while it is not known."""
        return self.pace.left(*self.rows_left())

    def close(self) -> None:
        self.ledger.append("close", str(self.knitting.place))
        self.ledger.close()
