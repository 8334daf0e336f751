"""Back after a break: how the metal must look for the next move to be right, a line a thing to check."""

from __future__ import annotations

from collections.abc import Iterator

from purlside.bed.moves import size_text
from purlside.bed.needles import needles_text
from purlside.knitting.cursor import Knitting
from purlside.rows.counter import Reading
from purlside.text.counts import counted

AWAY = 1800.0
"""Seconds after which one is welcomed back: half an hour. Ours."""


def away_text(seconds: float) -> str:
    """``"35 minutes away"``, ``"8 days away"``."""
    for unit, long in (("day", 86_400), ("hour", 3_600), ("minute", 60)):
        if (many := int(seconds // long)) >= 1:
            return f"{many:,} {unit}{'s' if many > 1 else ''} away"
    return "Just back"


def to_check(knitting: Knitting, reading: Reading | None = None, panel: str = "") -> Iterator[str]:
    """What to look at, the place first; ``reading`` is what the machine's counter should read."""
    bed, row = knitting.bed, knitting.row
    of = f"{panel}, " if panel else ""
    if row is None:
        yield f"{of}all {knitting.rows:,} rows are knit"
        return
    rows = "" if knitting.plan.part else f" of {knitting.rows:,}"
    yield f"{of}row {row.label}{rows}{_where(knitting)}"
    needle, beside = bed.carriage
    if bed.side is not None:
        yield f"Carriage on the {bed.side} ({bed.side.carriage})"
    else:
        yield f"Carriage inside the panel, just {beside} of {needle}"
    yield f"Yarn at {bed.yarn}"
    if bed.in_work != knitting.plan.in_work:
        # Ranges run over ladders; what was emptied for a neck parts them.
        ladders = set(knitting.plan.panel.out_of_work)
        yield f"In work: {needles_text(bed.in_work, [n for n in bed.panel if n not in ladders])}"
    if held := bed.held:
        yield f"{counted(len(held), 'needle')} held: {needles_text(held, bed.in_work, count=False)}"
    else:
        yield "No needle held"
    if empty := tuple(n for n in bed.in_work if not bed.loops_on(n)):
        yield f"No stitch on {needles_text(empty, bed.in_work)}"
    yield f"Dial at SS {size_text(bed.dial)}"
    if bed.lever == "knit":
        yield "Hold lever off"
    elif held or any(step.pushes > 1 for step in knitting.steps if not step.mends):
        yield "Hold lever on"
    if reading is not None:
        yield f"Machine's counter at {reading}"


def _where(knitting: Knitting) -> str:
    """How far the row in hand has got, in words."""
    step, done = knitting.step, knitting.place.done
    if step is None or not done:
        return ", not begun"
    title = f"{step.title[:1].lower()}{step.title[1:]}"
    made, moves = done - step.first, step.last - step.first
    if not made:
        return f", {title} comes next"
    last, following = (knitting.moves[i].words(knitting.bed.in_work) for i in (done - 1, done))
    return f", {title}: {made} of {moves} done. Done last: {last}. Next: {following}"
