"""The ledger as it is read: plain text, Markdown, CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from purlside.keep.ledger import Entry
from purlside.keep.ledger_times import Line, Times, Visit
from purlside.knitting.pace import duration
from purlside.text.harmless import shown

WIDE = 300
"""Characters of one text from the ledger; longer ones are cut with a sign."""

TOLD = 2000
"""Characters of what something said did: how to un-cross after ripping back must not be cut short."""

_GONE_ON = {"card": "done", "move": "one move", "back": "one back", "close": "closed"}


def what(entry: Entry) -> str:
    """What a line says, in words."""
    more: dict[str, Any] = entry.more
    row = entry.at.partition(".")[0]
    match entry.did:
        case "open":
            said = "opened"
        case "go":
            said = f"to row {row}"
        case "note":
            said = f"note, row {more.get('row', row)}: {more.get('text', '')}"
        case "note off":
            said = f"note taken off row {more.get('row', row)}: {more.get('text', '')}"
        case "counter":
            said = f"machine's counter reads {more.get('reads')}, {more.get('expected')} expected"
        case "differs":
            told = more.get("told")
            effects = "; ".join(map(str, told)).replace(":; ", ": ") if isinstance(told, list) else ""
            return shown(f"differs: {more.get('words', '')}" + (f". {effects}" if effects else ""), TOLD)
        case "plan changed":
            rows = more.get("told")
            listed = "; ".join(map(str, rows)) if isinstance(rows, list) else ""
            words = f"knit as the plan was before: {listed}" if listed else str(more.get("words", ""))
            # What was said at the bedside may begin alike.
            return shown(f"the plan was changed; {words.removeprefix('The plan was changed; ')}", TOLD)
        case "taken back":
            said = f"taken back: {more.get('words', '')}"
        case "crossing":
            said = f"{more.get('cable', '')}, row {more.get('row', '')}: went {more.get('went', '')}"
        case did:
            said = _GONE_ON.get(did, did)
            if isinstance(names := more.get("cross"), list):
                said += f", crossed {', '.join(map(str, names))}"
    return shown(said, WIDE)


def took(line: Line) -> str:
    """The time since the line before; a pause is called one."""
    if line.seconds is None:
        return ""
    return f"pause {duration(line.seconds)}" if line.pause else f"{line.seconds:.1f} s"


def _place(line: Line) -> tuple[str, str]:
    return ("", "") if line.place is None else (f"{line.place.row}", f"{line.place.done}")


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
        yield (f"{line.entry.when:%Y-%m-%d %H:%M:%S}", *_place(line), took(line), what(line.entry))


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
        when = line.entry.when.isoformat(timespec="milliseconds")
        yield _csv(when, shown(line.entry.did, 40), *_place(line), seconds, _no_formula(what(line.entry)))


def _no_formula(text: str) -> str:
    """A spreadsheet reads a cell that begins like this as a formula."""
    return f"'{text}" if text[:1] in tuple("=+-@") else text


def _csv(*cells: str) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
