"""The ledger, read: sessions, times, every line; the latest first."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any

from purlside.app.screens.readscreen import ReadScreen
from purlside.app.widgets.read import Told
from purlside.keep.ledger import entries_backwards
from purlside.keep.ledger_text import summary, took, what
from purlside.keep.ledger_times import Line, Times, lines, times
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.pace import duration

SHOWN = 5000
"""Lines read back on the screen; the command prints all of them."""

SESSIONS = 8
"""Times at the bed that are listed, the latest first; those before are counted."""


class LedgerScreen(ReadScreen):
    """What was done, when, and how long it took."""

    def __init__(self, session: Session, settings: Settings, **options: Any) -> None:
        self.session = session
        super().__init__(list(self._read()), settings, **options)

    def _read(self) -> Iterator[Told]:
        path = self.session.ledger.path
        yield f"Ledger of {self.session.file.plan.title}", "figure"
        try:
            read = list(islice(entries_backwards(path), SHOWN + 1))
        except OSError as error:
            yield f"It cannot be read: {error.strerror or error}", "strong"
            return
        listed = list(lines(reversed(read[:SHOWN])))
        found = times(listed)
        if trouble := self.session.ledger.trouble:
            yield trouble, "strong"
        if len(read) > SHOWN:
            yield f"The last {SHOWN:,} lines; purlside ledger PLAN prints all of them", "quiet"
        for line in summary(found):
            yield line, "plain"
        yield from self._sessions(found)
        if self.session.kept.notes:
            yield "", "plain"
            yield "Notes, pinned to their rows", "strong"
            for row, text in sorted(self.session.kept.notes):
                yield f"row {row:,}: {text}", "plain"
        yield "", "plain"
        yield "Latest first", "strong"
        yield from self._lines(listed)
        yield f"kept in {path}", "quiet"

    def _sessions(self, found: Times) -> Iterator[Told]:
        yield "", "plain"
        yield "Sessions", "strong"
        for visit in found.visits[: -SESSIONS - 1 : -1]:
            yield (
                f"{visit.began:%Y-%m-%d %H:%M} to {visit.ended:%H:%M}  rows {visit.first:,} to {visit.last:,}, "
                f"{visit.rows:,} finished, {duration(visit.seconds)} at work",
                "plain",
            )
        if len(found.visits) > SESSIONS:
            yield f"and {len(found.visits) - SESSIONS:,} before", "quiet"

    def _lines(self, listed: list[Line]) -> Iterator[Told]:
        for line in reversed(listed):
            at = str(line.place)
            yield f"{line.when:%m-%d %H:%M:%S}  {at:>7}  {took(line):>9}  {what(line.event)}", "plain"
