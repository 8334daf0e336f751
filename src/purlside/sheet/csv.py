"""The rows as comma separated values: all of them, and the moves of each kind of row, or of every row.

A line is a stretch of rows that are alike (``record`` is "rows"), a move ("move") or says what was left out ("note").
*Short* has the rows, *working* also the moves of each kind of row once for each side, *full* the moves of every row, as
far as there are not too many of them.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Hashable, Iterator, Sequence
from io import StringIO
from typing import Any

from purlside.bed.moves import Dial
from purlside.bed.needles import Needle, spans
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.steps import steps
from purlside.sheet.kinds import SheetRows, in_play, row_moves, sheet_rows
from purlside.sheet.parts import Detail
from purlside.sheet.rowlist import called, ticked
from purlside.sheet.rowwords import PLAIN, names

HEAD = (
    "plan", "record", "part", "row", "last_row", "carriage", "kind", "size", "colour", "works", "reminders", "weights",
    "step", "do", "needles", "toward", "beyond", "front", "words",
)  # fmt: skip

MOST_LINES = 100_000
"""Moves written out row by row, and works counted row by row. Ours: nobody reads more, and a plan may have millions."""

MIGHT_BE_FORMULAS = ("=", "+", "-", "@", "\t", "\r")


def rows_csv(plans: Sequence[Plan], detail: Detail, cable: str | None = None) -> str:
    """``needles`` are spans in bed order with a space between, ``toward`` and ``beyond`` are as in a pass.

    ``cable`` keeps to the rows in which that cable crosses. Text of the plan that a
    spreadsheet might take for a formula has an apostrophe before it.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    # A piece knit twice is written once.
    for plan, often in Counter(plans).items():
        title = _harmless(f"{plan.title}: knit {often}" if often > 1 else plan.title)
        for line in _lines(sheet_rows(Calendar(plan)), detail, cable):
            writer.writerow([title, *(_harmless(line.get(key, "")) for key in HEAD[1:])])
    return out.getvalue()


def _harmless(value: object) -> object:
    return f"'{value}" if isinstance(value, str) and value.startswith(MIGHT_BE_FORMULAS) else value


def _lines(sheet: SheetRows, detail: Detail, cable: str | None) -> Iterator[dict[str, Any]]:
    rows = Counter(like.number for like in sheet.likes)
    likes = {like.number: like for like in sheet.likes}.values()
    counted = sum(rows[like.number] * len(like.works) for like in likes) <= MOST_LINES
    if not counted:
        yield {"record": "note", "words": "too many works to count one by one: those of a row are named"}
    if detail is Detail.FULL:
        lines = sum(rows[like.number] * len(sheet.working.as_knit(like)) for like in likes)
        if lines > MOST_LINES:
            detail = Detail.WORKING
            yield {"record": "note", "words": f"too many moves to write out, {lines:,}: those of each kind once"}
    written: set[Hashable] = set()
    moves = _Moves(sheet)
    for first, last in ticked(sheet):
        kind = sheet.kind(first)
        if cable is not None and not (kind is not None and kind.has(cable)):
            continue
        about = {"part": sheet.likes[first - 1].part or "", "kind": kind.letter if kind else PLAIN}
        last_row = sheet.calendar.fabric_row(first) + last - first
        yield {"record": "rows", "last_row": last_row, **about, **_row(sheet, first, counted=counted)}
        if detail is Detail.FULL:
            for number in range(first, last + 1):
                yield from moves(number, about)
        elif detail is Detail.WORKING:
            # Plain rows come in pairs: one from each side.
            for number in range(first, min(last, first + 1) + 1):
                like = sheet.likes[number - 1]
                which = (kind.letter, like.side) if kind else like.kind
                if which not in written:
                    written.add(which)
                    yield from moves(kind.shown(sheet.calendar, like.side) if kind else number, about)


def _row(sheet: SheetRows, number: int, *, counted: bool) -> dict[str, Any]:
    calendar, like = sheet.calendar, sheet.likes[number - 1]
    if counted and like.works:
        works = "; ".join(f"{called(work)} {work.k} of {work.of}" for work in calendar.row(number).works)
    else:
        works = names(map(called, like.works))
    return {
        "row": calendar.fabric_row(number),
        "carriage": like.side.carriage,
        "size": f"{like.size:g}",
        "colour": calendar.colour(number) or "",
        "works": works,
        "reminders": "; ".join(calendar.told(number)),
        "weights": "all needles" if calendar.weights(number) else "",
    }


class _Moves:
    """The moves of rows, as lines."""

    def __init__(self, sheet: SheetRows) -> None:
        self._sheet = sheet
        self._known: dict[Hashable, list[dict[str, Any]]] = {}

    def __call__(self, number: int, about: dict[str, Any]) -> Iterator[dict[str, Any]]:
        sheet, calendar, like = self._sheet, self._sheet.calendar, self._sheet.likes[number - 1]
        wraps = sheet.working.wraps(calendar.row(number)) if like.wraps else ()
        # Rows alike have the same moves, shaped ones after rows alike: thousands of rows, a few kinds.
        before = sheet.likes[max(0, number - 2)].number if like.shaped else 0
        key = (like.number, before, calendar.weights(number), sheet.working.dial_before(number), wraps)
        if key not in self._known:
            self._known[key] = list(self._lines(number))
        row = {"row": calendar.fabric_row(number), "carriage": like.side.carriage}
        for line in self._known[key]:
            yield {"record": "move", **row, **about, **line}

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
