"""The rows as comma separated values: all of them, and the moves of each kind of row, or of every row.

A line is a stretch of rows that are alike (``record`` is "rows") or a move
("move"). *Short* has the rows, *working* also the moves of each kind of row
once for each side, *full* the moves of every row.
"""

from __future__ import annotations

import csv
from collections.abc import Hashable, Iterator, Sequence
from io import StringIO
from typing import Any

from purlside.bed.moves import Dial
from purlside.bed.needles import Needle, spans
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.row import Row
from purlside.rows.steps import steps
from purlside.sheet.kinds import SheetRows, in_play, row_moves, sheet_rows
from purlside.sheet.parts import Detail
from purlside.sheet.rowwords import PLAIN, called, ticked

HEAD = (
    "plan", "record", "part", "row", "last_row", "carriage", "kind", "size", "colour", "works", "reminders", "weights",
    "step", "do", "needles", "toward", "beyond", "front", "words",
)  # fmt: skip

MIGHT_BE_FORMULAS = ("=", "+", "-", "@", "\t", "\r")


def rows_csv(plans: Sequence[Plan], detail: Detail, cable: str | None = None) -> str:
    """``needles`` are spans in bed order with a space between, ``toward`` and ``beyond`` are as in a pass.

    ``cable`` keeps to the rows in which that cable crosses. Text of the plan that a
    spreadsheet might take for a formula has an apostrophe before it.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    for plan in plans:
        title = _harmless(plan.title)
        for line in _lines(sheet_rows(Calendar(plan)), detail, cable):
            writer.writerow([title, *(_harmless(line.get(key, "")) for key in HEAD[1:])])
    return out.getvalue()


def _harmless(value: object) -> object:
    return f"'{value}" if isinstance(value, str) and value.startswith(MIGHT_BE_FORMULAS) else value


def _lines(sheet: SheetRows, detail: Detail, cable: str | None) -> Iterator[dict[str, Any]]:
    written: set[Hashable] = set()
    moves = _Moves(sheet)
    for first, last in ticked(sheet):
        row, kind = sheet.calendar.row(first), sheet.kind(first)
        if cable is not None and not (kind is not None and kind.has(cable)):
            continue
        about = {"part": row.part or "", "kind": kind.letter if kind else PLAIN}
        yield {"record": "rows", "last_row": row.fabric + last - first, **about, **_row(row)}
        if detail is Detail.FULL:
            for number in range(first, last + 1):
                yield from moves(number, about)
        elif detail is Detail.WORKING:
            # Plain rows come in pairs: one from each side.
            for number in range(first, min(last, first + 1) + 1):
                row = sheet.likes[number - 1]
                which = (kind.letter, row.side) if kind else row.kind
                if which not in written:
                    written.add(which)
                    yield from moves(kind.shown(sheet.calendar, row.side) if kind else number, about)


def _row(row: Row) -> dict[str, Any]:
    return {
        "row": row.fabric,
        "carriage": row.side.carriage,
        "size": f"{row.size:g}",
        "colour": row.colour or "",
        "works": "; ".join(f"{called(work)} {work.k} of {work.of}" for work in row.works),
        "reminders": "; ".join(row.told),
        "weights": "all needles" if row.weights else "",
    }


class _Moves:
    """The moves of rows, as lines."""

    def __init__(self, sheet: SheetRows) -> None:
        self._sheet = sheet
        self._known: dict[Hashable, list[dict[str, Any]]] = {}

    def __call__(self, number: int, about: dict[str, Any]) -> Iterator[dict[str, Any]]:
        row, working = self._sheet.calendar.row(number), self._sheet.working
        # Rows of a kind have the same moves where nothing is shaped: thousands of rows, a few kinds.
        alike = (row.kind, row.weights, working.dial_before(number), working.wraps(row))
        key = number if row.shaped else alike
        if key not in self._known:
            self._known[key] = list(self._lines(number))
        for line in self._known[key]:
            yield {"record": "move", "row": row.fabric, "carriage": row.side.carriage, **about, **line}

    def _lines(self, number: int) -> Iterator[dict[str, Any]]:
        working = self._sheet.working
        dial, in_work = self._sheet.likes[number - 1].size, in_play(working, number)
        for i, step in enumerate(steps(row_moves(working, number)), 1):
            for move in step.moves:
                dial = move.size if isinstance(move, Dial) else dial
                told = move.json()
                needles = told.get("needles") or [
                    *told.get("first", {}).get("to", ()),
                    *told.get("second", {}).get("to", ()),
                ]
                yield {
                    "size": f"{dial:g}" if told["do"] in ("dial", "knit") else "",
                    "step": i,
                    "do": told["do"],
                    "needles": " ".join(map(str, spans(sorted(map(Needle.parse, needles))))),
                    **{key: told[key] for key in ("toward", "beyond", "front") if key in told},
                    "words": move.words(in_work),
                }
