"""The ledger, read: sessions, times, every line; the latest first."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from textual.app import ComposeResult

from purlside.app.actions import LEDGER
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.page import ReadingPane, Told
from purlside.keep.ledger import entries_backwards
from purlside.keep.ledger_text import Line, Times, lines, summary, times, took, what
from purlside.keep.session import Session
from purlside.knitting.pace import duration

SHOWN = 5000
"""Lines read back on the screen; the command prints all of them."""

SESSIONS = 8
"""Times at the bed that are listed, the latest first; those before are counted."""


class LedgerScreen(Keyed):
    """What was done, when, and how long it took."""

    ACTIONS = LEDGER

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._text: list[Told] = list(self._read())

    def panes(self) -> ComposeResult:
        yield ReadingPane(lambda: self._text, id="ledger")

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
        if self.session.in_force.notes:
            yield "", "plain"
            yield "Notes, pinned to their rows", "strong"
            for row, text in sorted(self.session.in_force.notes):
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
