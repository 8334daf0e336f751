"""The ledger as it is read: plain text, Markdown, CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from purlside.keep.events import Event
from purlside.keep.ledger_times import Line, Times, Visit
from purlside.knitting.pace import duration
from purlside.text.harmless import shown

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
    rows = len(found.rows)
    yield (
        f"{len(found.visits):,} session{'s' if len(found.visits) != 1 else ''}, {duration(found.seconds)} at work, "
        f"{rows:,} row{'s' if rows != 1 else ''} knit step by step"
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
    return (
        f"{visit.began:%Y-%m-%d %H:%M} to {visit.ended:{until}}",
        f"row {visit.first:,} to {visit.last:,}",
        f"{visit.rows:,}",
        duration(visit.seconds),
    )


VISIT_HEAD = ("session", "rows", "finished", "at work")
ROW_HEAD = ("row", "took", "crossings in it")
LINE_HEAD = ("time", "row", "moves", "took", "what")


def _row_cells(found: Times) -> Iterator[tuple[str, ...]]:
    for row in found.rows:
        crossings = ", ".join(f"{shown(name, 40)} {seconds:.1f} s" for name, seconds in row.crossings)
        yield f"{row.row:,}", f"{row.seconds:.1f} s", crossings


def _line_cells(listed: Iterable[Line]) -> Iterator[tuple[str, ...]]:
    for line in listed:
        yield (f"{line.when:%Y-%m-%d %H:%M:%S}", *map(str, line.place), took(line), what(line.event))


def _tables(found: Times, listed: Iterable[Line]) -> Iterator[tuple[str, tuple[str, ...], list[tuple[str, ...]]]]:
    """Heading, head and rows of each table; without rows there is none."""
    for heading, head, cells in (
        ("Sessions", VISIT_HEAD, map(_visit, found.visits)),
        ("Rows", ROW_HEAD, _row_cells(found)),
        ("Lines", LINE_HEAD, _line_cells(listed)),
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
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
