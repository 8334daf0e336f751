"""What of a plan its rows written out as a hand-knitting pattern leave out: its shape, its parts, work on single stitches.

The rows are those of the panel, over all its stitches; what they do not tell is told beside them.
"""

from __future__ import annotations

from collections.abc import Iterator

from purlside.bed.needles import Side, needles_text
from purlside.fabric.described import band_words, rows_text
from purlside.fabric.pattern import Remark, RemarkKind
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.work.crossing import Crossed
from purlside.work.purl import PurlColumn
from purlside.work.work import StitchKind


def left_out(calendar: Calendar, first: int, last: int, *, whole: bool) -> Iterator[Remark]:
    """What rows ``first`` to ``last`` of the panel, both counted, leave out; ``whole``: the parts are asked for too."""
    plan = calendar.plan
    shaping: dict[str, list[int]] = {}
    singly: dict[str, list[int]] = {}
    moving: dict[str, list[int]] = {}
    for number in range(first, last + 1):
        row = calendar.row(number)
        if row.shaping:
            shaping.setdefault(row.shaping, []).append(number)
        for work in row.works:
            if isinstance(work, Crossed):
                if moved_with_edge(calendar, work, number) and (number < last or whole):
                    moving.setdefault(work.name, []).append(number)
            elif isinstance(work, StitchKind) and not isinstance(work, PurlColumn):
                singly.setdefault(work.words, []).append(number)
    if shaping:
        why = f"the rows are written straight, over all {len(plan.panel.needles)} stitches"
        yield Remark(0, "shaping", why, RemarkKind.LEFT_OUT)
    for words, rows in shaping.items():
        yield _remark(rows, words)
    for name, rows in moving.items():
        yield _remark(rows, f"{name} moves with its edge; it is not crossed in the rows written")
    for words, rows in singly.items():
        yield _remark(rows, words)
    if plan.panel.out_of_work:
        needles = needles_text(sorted(set(plan.panel.out_of_work)), count=False)
        yield Remark(
            0, f"needles {needles}", "out of work, a ladder each; written as knit stitches", RemarkKind.LEFT_OUT
        )
    yield from _told_beside(calendar, first, last)
    if whole:
        yield from _after(calendar, last)


def moved_with_edge(calendar: Calendar, crossed: Crossed, number: int) -> bool:
    """Whether a crossing follows an edge that is no longer where the panel was cast on."""
    follows = calendar.cables[crossed.cable].follows
    if follows is None:
        return False
    panel, side = calendar.plan.panel.needles, Side(follows)
    edge = calendar.segment(number).edges_in(number).edge(side)
    return edge != (panel.left if side is Side.LEFT else panel.right)


def is_shaped(plan: Plan) -> bool:
    """Whether its rows do not all have the same stitches, so that they cannot be repeated."""
    return bool(plan.shape or plan.part)


def _told_beside(calendar: Calendar, first: int, last: int) -> Iterator[Remark]:
    """Bands and reminders that fall in those rows."""
    plan = calendar.plan
    for band in plan.band:
        if band.rows.first <= last and band.rows.last >= first and (words := band_words(band, "in ")):
            yield Remark(0, f"rows {band.rows}", words, RemarkKind.LEFT_OUT)
    for note, repeat in zip(plan.reminder, calendar.reminders, strict=True):
        rows = [repeat.first + repeat.every * k for k in range(repeat.of)]
        if rows := [row for row in rows if first <= row <= last]:
            yield _remark(rows, f"the reminder “{note.text}”")


def _after(calendar: Calendar, last: int) -> Iterator[Remark]:
    """What comes after the panel's last row."""
    for made in calendar.crossed(last):
        why = f"{made.name} is crossed after the last row, and no row is left to write it in"
        yield Remark(0, f"row {last}", why, RemarkKind.LEFT_OUT)
    for segment in calendar.segments:
        if segment.part is not None:
            rows = f"rows {segment.fabric}–{segment.fabric_row(segment.last)}"
            yield Remark(0, segment.part, f"{rows}, with all that is worked in them", RemarkKind.LEFT_OUT)


def _remark(rows: list[int], why: str) -> Remark:
    return Remark(0, f"row{'' if len(rows) == 1 else 's'} {rows_text(rows)}", why, RemarkKind.LEFT_OUT)
