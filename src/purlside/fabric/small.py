"""A plan's fabric in a few lines and columns: enough to know it again on the shelf."""

from __future__ import annotations

from dataclasses import dataclass

from purlside.bed.needles import Needle
from purlside.fabric.picture import UNICODE, Glyphs, Window, draw
from purlside.fabric.stitches import Fabric, Face
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.text.signs import Line

BELOW = 2
"""Plain rows shown below the first crossing row."""


@dataclass(frozen=True, slots=True)
class Small:
    """Lines from the top, and what they show: ``"knit side, rows 6–20, R12–L13 of 40 needles"``."""

    lines: tuple[Line, ...]
    caption: str


def small(plan: Plan, width: int, height: int, glyphs: Glyphs = UNICODE) -> Small:
    """The knit side from just below the first crossing up, at most ``width`` columns and ``height`` lines.

    Where the panel is wider than that, the part with the most cables is shown.
    """
    fabric = Fabric(plan)
    first = max(1, (next(fabric.crossing_rows(), 1)) - BELOW)
    last = min(fabric.rows, first + max(1, height) - 1)
    # A short panel is shown to its first row.
    first = max(1, min(first, last - height + 1)) if last - first + 1 < height else first
    left, right = _seen(plan, max(1, width))
    drawing = draw(
        fabric,
        Face.KNIT,
        Window(first, last, left, right),
        width=10_000,
        glyphs=glyphs,
        per=_per(right - left + 1, width),
    )
    # Without the row numbers and the needles'; the lowest lines, where the window's first row lies.
    drawn = [(line[1:], row) for line, row in zip(drawing.lines[1:-1], drawing.rows[1:-1], strict=True)][-height:]
    top = max((row for _, row in drawn if row is not None), default=last)
    panel = plan.panel.needles
    whole = (left, right) == (int(panel.left), int(panel.right))
    part = "" if whole else f", {Needle(right)}–{Needle(left)} of {len(panel)} needles"
    return Small(tuple(line for line, _ in drawn), f"knit side, rows {first}–{top}{part}")


def so_far(
    working: Working, number: int, width: int, height: int, glyphs: Glyphs = UNICODE, face: Face = Face.PURL
) -> Small:
    """The fabric below the needles when row ``number`` is in hand, the latest row first; empty before row 1 is knit.

    From the purl side it hangs as the knitter sees it. The crossing made after
    a row belongs to that row.
    """
    last = number - 1
    if last < 1:
        return Small((), "nothing is knit yet")
    fabric = Fabric(working)
    first = max(1, last - max(1, height) + 1)
    left, right = _seen(working.plan, max(1, width))
    drawing = draw(
        fabric, face, Window(first, last, left, right), width=10_000, glyphs=glyphs, per=_per(right - left + 1, width)
    )
    drawn = list(zip(drawing.lines[1:-1], drawing.rows[1:-1], strict=True))[:height]
    lowest = min((row for _, row in drawn if row is not None), default=last)
    rows = f"row {last}" if lowest == last else f"rows {lowest}–{last}"
    panel = working.plan.panel.needles
    whole = (left, right) == (int(panel.left), int(panel.right))
    ends = (left, right) if face is Face.PURL else (right, left)
    part = "" if whole else f", {Needle(ends[0])}–{Needle(ends[1])}"
    return Small(tuple(line[1:] for line, _ in drawn), f"{face.words}, {rows}{part}")


def _per(needles: int, width: int) -> int:
    return next((each for each in (3, 2, 1) if needles * each <= width), 1)


def _seen(plan: Plan, width: int) -> tuple[int, int]:
    """The needle places shown: the whole panel, or the ``width`` needles with the most cables on them."""
    low, high = int(plan.panel.needles.left), int(plan.panel.needles.right)
    if high - low < width:
        return low, high
    spans = [
        (min(int(c.span.left) for c in cable.crossings), max(int(c.span.right) for c in cable.crossings))
        for cable in plan.cable
    ]
    if not spans:
        return low, low + width - 1

    def within(start: int) -> list[tuple[int, int]]:
        return [(a, b) for a, b in spans if start <= a and b < start + width]

    start = max((a for a, _ in spans), key=lambda a: (len(within(a)), -a))
    inside = within(start) or [next(span for span in spans if span[0] == start)]
    # What is shown lies in the middle.
    spare = width - (max(b for _, b in inside) - start + 1)
    start = max(low, min(start - max(0, spare) // 2, high - width + 1))
    return start, start + width - 1
