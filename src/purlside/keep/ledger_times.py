"""Times from a ledger: what each line took, each row, each crossing, each session."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from statistics import median

from purlside.keep.events import Event, Forward, Opened, Snapshot
from purlside.keep.ledger import Entry
from purlside.knitting.cursor import Place
from purlside.knitting.pace import PAUSE


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the ledger: when, what happened, and the seconds since the line before.

    ``seconds`` is None where it is not known: the first line of a session, and
    where the clock was set back.
    """

    when: datetime
    event: Event
    seconds: float | None

    @property
    def place(self) -> Place:
        """Where it leads to."""
        return self.event.at

    @property
    def pause(self) -> bool:
        """Whether the knitter was away before this line."""
        return self.seconds is not None and self.seconds > PAUSE


@dataclass(slots=True)
class Visit:
    """One session at the machine, from opening the plan to closing it or to its last line."""

    began: datetime
    ended: datetime
    first: int
    last: int
    rows: int = 0
    """Rows finished in it."""
    seconds: float = 0.0
    """Seconds at work, pauses left out."""


@dataclass(frozen=True, slots=True)
class RowTime:
    """A row knit from start to end: seconds at work, and of these the seconds for its crossings."""

    row: int
    ended: datetime
    seconds: float
    crossings: tuple[tuple[str, float], ...] = ()


@dataclass
class Times:
    """Everything a ledger says about time. Estimates, where the knitter's keys came late."""

    visits: list[Visit] = field(default_factory=list)
    rows: list[RowTime] = field(default_factory=list)

    @property
    def plain(self) -> float | None:
        """Median seconds of a plain row."""
        return _median(row.seconds for row in self.rows if not row.crossings)

    @property
    def crossing_row(self) -> float | None:
        """Median seconds of a crossing row, its crossings included."""
        return _median(row.seconds for row in self.rows if row.crossings)

    @property
    def crossing(self) -> float | None:
        """Median seconds of one crossing by itself."""
        return _median(seconds for row in self.rows for _, seconds in row.crossings)

    @property
    def seconds(self) -> float:
        """Seconds at work in all."""
        return sum(visit.seconds for visit in self.visits)


def _median(values: Iterable[float]) -> float | None:
    listed = list(values)
    return median(listed) if listed else None


def lines(entries: Iterable[Entry]) -> Iterator[Line]:
    """The entries with the time each took; snapshots are left out."""
    before: datetime | None = None
    for entry in entries:
        if isinstance(entry.event, Snapshot):
            continue
        known = before is not None and not isinstance(entry.event, Opened)
        seconds = (entry.when - before).total_seconds() if before is not None and known else None
        yield Line(entry.when, entry.event, None if seconds is None or seconds < 0 else seconds)
        before = entry.when


def times(listed: Iterable[Line]) -> Times:
    """Gather sessions and rows. A row counts once it was knit through, from its start, step by step."""
    found = Times()
    row: int | None = None
    seconds = 0.0
    crossings: list[tuple[str, float]] = []
    for line in listed:
        event, place = line.event, line.place
        if isinstance(event, Opened) or not found.visits:
            found.visits.append(Visit(line.when, line.when, place.row, place.row))
        visit = found.visits[-1]
        visit.ended, visit.last = line.when, place.row
        took = 0.0 if line.seconds is None or line.pause else line.seconds
        visit.seconds += took
        seconds += took
        if isinstance(event, Forward):
            crossings += [(name, took / len(event.cross)) for name in event.cross]
            if place.done == 0:
                visit.rows += 1
                if row == place.row - 1:
                    found.rows.append(RowTime(row, line.when, seconds, tuple(crossings)))
                row, seconds, crossings = place.row, 0.0, []
        elif not event.aside:
            row, seconds, crossings = (place.row if place.done == 0 else None), 0.0, []
    return found
