"""A plan's fabric in a few lines and columns: to know it again on the shelf, and as it hangs below the needles."""

from __future__ import annotations

from purlside.bed.needles import Needle, Span
from purlside.fabric.picture import draw, per_needle
from purlside.fabric.ribbons import Window
from purlside.fabric.stitches import Fabric, Face
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.text.signs import Line
from purlside.values import Value

BELOW = 4
"""Rows shown below the first crossing row."""


class Small(Value):
    """Lines from the top, and what they show: ``"knit side, rows 6–20, R12–L13 of 40 needles"``."""

    lines: tuple[Line, ...]
    caption: str


def small(plan: Plan, width: int, height: int, *, ascii_only: bool = False) -> Small:
    """The knit side from just below the first crossing up, at most ``width`` columns and ``height`` lines.

    Where the panel is wider than that, the part with the most cables is shown.
    """
    fabric = Fabric(plan)
    height = max(1, height)
    # A short panel is shown from its first row.
    first = max(1, min(next(fabric.crossing_rows(), 1) - BELOW, fabric.rows - height + 1))
    last = min(fabric.rows, first + height - 1)
    return _drawn(fabric, Face.KNIT, first, last, width, fabric.plan.panel.needles, ascii_only)


def so_far(
    working: Working,
    number: int,
    width: int,
    height: int,
    *,
    under: Span | None = None,
    ascii_only: bool = False,
    face: Face = Face.PURL,
) -> Small:
    """The fabric below the needles when row ``number`` is in hand, the latest row first; empty before row 1 is knit.

    From the purl side it hangs as the knitter sees it. The crossing made after
    a row belongs to that row. Where the panel is wider than ``width``, what hangs
    ``under`` those needles is shown, of the part in hand.
    """
    if number <= 1:
        return Small((), "nothing is knit yet")
    before, here = (working.calendar.row(min(row, working.calendar.rows)) for row in (number - 1, number))
    # Under a part that begins hangs what it is knit on to, not the part before it.
    last = before.fabric if here.part == before.part else here.fabric - 1
    fabric, first = Fabric(working, number - 1), max(1, last - max(1, height) + 1)
    return _drawn(fabric, face, first, last, width, under or working.plan.panel.needles, ascii_only)


def _drawn(fabric: Fabric, face: Face, first: int, last: int, width: int, of: Span, ascii_only: bool) -> Small:
    width = max(1, width)
    left, right = _seen(fabric.plan, width, of)
    per = per_needle(right - left + 1, width)
    drawing = draw(fabric, face, Window(first, last, left, right), width=10_000, ascii_only=ascii_only, per=per)
    rows = f"row {last}" if first == last else f"rows {first}–{last}"
    ends = (left, right) if face is Face.PURL else (right, left)
    whole = right - left + 1 == len(fabric.panel)
    part = "" if whole else f", {Needle(ends[0])}–{Needle(ends[1])} of {len(fabric.panel)} needles"
    return Small(tuple(drawing.body), f"{face.words}, {rows}{part}")


def _seen(plan: Plan, width: int, of: Span) -> tuple[int, int]:
    """The needle places shown: the whole panel, or ``width`` needles: about ``of``, or those of it with the most cables."""
    low, high = int(plan.panel.needles.left), int(plan.panel.needles.right)
    if high - low < width:
        return low, high
    if len(of) <= width:
        start = max(low, min(int(of.left) - (width - len(of)) // 2, high - width + 1))
        return start, start + width - 1
    low, high = int(of.left), int(of.right)
    cables = [[c.span for c in cable.crossings] for cable in plan.cable]
    each_span = [(min(int(s.left) for s in each), max(int(s.right) for s in each)) for each in cables]
    spans = [(a, b) for a, b in each_span if low <= a and b <= high]

    def within(start: int) -> list[int]:
        return [b for a, b in spans if start <= a and b < start + width]

    start = max((a for a, _ in spans), key=lambda a: (len(within(a)), -a), default=low)
    # What is shown lies in the middle.
    spare = width - (max(within(start), default=start + width) - start + 1)
    start = max(low, min(start - max(0, spare) // 2, high - width + 1))
    return start, start + width - 1
