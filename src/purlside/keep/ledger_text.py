"""The ledger as it is read: what each line took, each row, each crossing, each session; as plain text, Markdown, CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field
from datetime import datetime

from purlside.keep.events import Event, Forward, Opened, Snapshot
from purlside.keep.ledger import Entry
from purlside.knitting.cursor import Place
from purlside.knitting.pace import PAUSE, duration, median
from purlside.text.counts import counted
from purlside.text.harmless import shown
from purlside.values import Value, dataclass


class Line(Value):
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


class RowTime(Value):
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
        return median(row.seconds for row in self.rows if not row.crossings)

    @property
    def crossing_row(self) -> float | None:
        """Median seconds of a crossing row, its crossings included."""
        return median(row.seconds for row in self.rows if row.crossings)

    @property
    def crossing(self) -> float | None:
        """Median seconds of one crossing by itself."""
        return median(seconds for row in self.rows for _, seconds in row.crossings)

    @property
    def seconds(self) -> float:
        """Seconds at work in all."""
        return sum(visit.seconds for visit in self.visits)


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


WIDE = 300
"""Characters of a title or a cell; longer ones are cut with a sign."""

TOLD = 2000
"""Characters of one event: what to undo after ripping back must not be cut short."""


def what(event: Event) -> str:
    """What happened, in words that a terminal takes no harm from."""
    return shown(event.says, TOLD)


def took(line: Line) -> str:
    """The time since the line before; a pause is called one."""
    if line.seconds is None:
        return ""
    return f"pause {duration(line.seconds)}" if line.pause else f"{line.seconds:.1f} s"


def summary(found: Times) -> Iterator[str]:
    """Time in all, a row, a crossing row, a crossing."""
    yield (
        f"{counted(len(found.visits), 'session')}, {duration(found.seconds)} at work, "
        f"{counted(len(found.rows), 'row')} knit step by step"
    )
    for name, seconds in (
        ("a plain row", found.plain),
        ("a crossing row", found.crossing_row),
        ("a crossing by itself", found.crossing),
    ):
        if seconds is not None:
            yield f"{name}: {duration(seconds)}, the median"


def _visit(visit: Visit) -> tuple[str, ...]:
    until = "%H:%M" if visit.began.date() == visit.ended.date() else "%Y-%m-%d %H:%M"
    when, rows = f"{visit.began:%Y-%m-%d %H:%M} to {visit.ended:{until}}", f"row {visit.first:,} to {visit.last:,}"
    return when, rows, f"{visit.rows:,}", duration(visit.seconds)


VISIT_HEAD = ("session", "rows", "finished", "at work")
ROW_HEAD = ("row", "took", "crossings in it")
LINE_HEAD = ("time", "row", "moves", "took", "what")


def _row(row: RowTime) -> tuple[str, ...]:
    crossings = ", ".join(f"{shown(name, 40)} {seconds:.1f} s" for name, seconds in row.crossings)
    return f"{row.row:,}", f"{row.seconds:.1f} s", crossings


def _line(line: Line) -> tuple[str, ...]:
    return (f"{line.when:%Y-%m-%d %H:%M:%S}", *map(str, line.place), took(line), what(line.event))


def _tables(found: Times, listed: Iterable[Line]) -> Iterator[tuple[str, tuple[str, ...], list[tuple[str, ...]]]]:
    """Heading, head and rows of each table; without rows there is none."""
    for heading, head, cells in (
        ("Sessions", VISIT_HEAD, map(_visit, found.visits)),
        ("Rows", ROW_HEAD, map(_row, found.rows)),
        ("Lines", LINE_HEAD, map(_line, listed)),
    ):
        if rows := list(cells):
            yield heading, head, rows


def as_text(title: str, found: Times, listed: Iterable[Line]) -> Iterator[str]:
    """Lines of plain text: times, sessions, rows, then every line of the ledger, oldest first."""
    yield shown(title, WIDE)
    yield from summary(found)
    for heading, head, cells in _tables(found, listed):
        yield ""
        yield heading
        yield from _columns([head, *cells])


def _columns(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()


def as_markdown(title: str, found: Times, listed: Iterable[Line]) -> Iterator[str]:
    """Lines of Markdown."""
    yield f"# {_escaped(shown(title, WIDE))}: ledger"
    yield ""
    yield from (f"- {line}" for line in summary(found))
    for heading, head, cells in _tables(found, listed):
        yield ""
        yield f"## {heading}"
        yield ""
        yield f"| {' | '.join(head)} |"
        yield f"|{' --- |' * len(head)}"
        for row in cells:
            yield f"| {' | '.join(map(_escaped, row))} |"


def _escaped(text: str) -> str:
    """Text that Markdown shows as it is."""
    return "".join(f"\\{char}" if char in "\\|`*_<>[]#" else char for char in text)


def as_csv(listed: Iterable[Line]) -> Iterator[str]:
    """Lines of CSV, one a line of the ledger: time, what was done, row, moves made, seconds, words."""
    yield _csv("time", "did", "row", "moves", "seconds", "what")
    for line in listed:
        seconds = "" if line.seconds is None else f"{line.seconds:.3f}"
        when = line.when.isoformat(timespec="milliseconds")
        yield _csv(when, shown(line.event.name, 40), *map(str, line.place), seconds, _no_formula(what(line.event)))


def _no_formula(text: str) -> str:
    """A spreadsheet reads a cell that begins like this as a formula."""
    return f"'{text}" if text[:1] in tuple("=+-@") else text


def _csv(*cells: str) -> str:
    import csv
    import io

    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
