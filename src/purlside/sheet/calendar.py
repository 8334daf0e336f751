"""The row calendar of a sheet: which rows are plain, which cross, what else falls on them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import merge
from itertools import groupby

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, Side, needles_text
from purlside.plan.plan import Plan
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.rows.counter import Trip
from purlside.rows.row import Row
from purlside.rows.working import Working
from purlside.sheet.crossings import CrossingKind, plain_row
from purlside.sheet.parts import Block, Boxes, Cell, Detail, Para, Section, Table

MOST_LINES = 500
"""Lines of the row calendar; the rows after them follow the rules above it."""

MOST_TOLD = 20
"""Reminders, and cables, written on one line of the row calendar; all of them stand above it."""

MOST_BOXES = 60
"""Boxes on one line: where there are more rows than that, a box stands for 10, 100, … of them."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Rows ``first`` to ``last``, both counted, knit alike but for the side. ``row`` is the first of them."""

    first: int
    last: int
    row: Row

    @property
    def rows(self) -> int:
        return self.last - self.first + 1


def stretches(plan: Plan) -> Iterator[Stretch]:
    """All rows in order: each row on which something falls by itself, the plain rows between them gathered."""
    calendar = Calendar(plan)
    rows = calendar.rows
    falls = [range(r.first, r.last + 1, r.every) for r in calendar.repeats if r.of]
    falls += [range(r.first, r.last + 1, r.every) for r in Calendar(plan).reminders if r.of]
    falls += [range(edge, edge + 1) for b in plan.band for edge in (b.rows.first, b.rows.last + 1) if edge <= rows]
    if every := plan.panel.weights_every:
        falls.append(range(every, rows + 1, every))
    at = 1
    for number, _ in groupby(merge(*falls)):
        if number > at:
            yield Stretch(at, number - 1, calendar.row(at))
            at = number
        row = calendar.row(number)
        if row.crossed or row.told or row.weights:
            yield Stretch(number, number, row)
            at = number + 1
    if at <= rows:
        yield Stretch(at, rows, calendar.row(at))


def boxes(rows: int) -> Boxes:
    """As many boxes as fit a line."""
    each = 1
    while -(-rows // each) > MOST_BOXES:
        each *= 10
    return Boxes(-(-rows // each), each)


def calendar_section(
    working: Working, kinds: tuple[CrossingKind, ...], detail: Detail, cable: int | None = None
) -> Section:
    """Rules first, then the rows. ``cable`` keeps to the crossing rows of one cable."""
    plan = working.plan
    blocks: list[Block] = [Para(_plain_words(working)), *_rules(plan)]
    found = _listed(working, kinds, detail, cable)
    blocks.append(found[0])
    if found[1]:
        blocks.append(Para(found[1]))
    return Section("Row calendar", tuple(blocks))


def _plain_words(working: Working) -> str:
    panel = working.plan.panel.needles
    needles = needles_text(working.in_work, working.in_work)
    return (
        f"A plain row: no needle held, the dial at the SS of its line, the carriage across {needles} to the other side, "
        f"past {panel.left} going left or past {panel.right} going right. Carriage is where it stands before the row, "
        f"or before the first row of a line; it changes sides with every row."
    )


def _rules(plan: Plan) -> Iterator[Block]:
    rows = []
    for cable, repeat in zip(plan.cable, Calendar(plan).repeats, strict=True):
        crossings = "; then ".join(str(c).replace("-", "–") for c in cable.crossings)
        if len(cable.crossings) > 1:
            crossings += "; in turn"
        rows.append((cable.name, crossings, *_when(repeat), _sides(plan, repeat)))
    if rows:
        head = ("Cable", "Crosses", "First row", "Every", "Times", "Last row", "Carriage")
        yield Table("When the cables cross", head, tuple(rows))
    if plan.band:
        bands = tuple(
            (
                str(band.rows).replace("-", "–"),
                "" if band.stitch_size is None else size_text(band.stitch_size),
                band.colour or "",
            )
            for band in plan.band
        )
        yield Table("Bands; where two overlap the later line counts", ("Rows", "SS", "Colour"), bands)
    if plan.reminder:
        told = tuple((r.text, *_when(w)) for r, w in zip(plan.reminder, Calendar(plan).reminders, strict=True))
        yield Table("Reminders", ("Reminder", "First row", "Every", "Times", "Last row"), told)
    if every := plan.panel.weights_every:
        yield Para(
            f"Weights: move the claw weights up under all needles after every {every:,} rows, "
            "and under the cable after each crossing."
        )
    elif plan.cable:
        yield Para("Weights: move the claw weights up under the cable after each crossing.")


def _when(repeat: Repeat) -> tuple[str, str, str, str]:
    if not repeat.of:
        return f"{repeat.first:,}", "", "never", ""
    every = f"{repeat.every:,} rows" if repeat.of > 1 else ""
    return f"{repeat.first:,}", every, f"{repeat.of:,}", f"{repeat.last:,}"


def _sides(plan: Plan, repeat: Repeat) -> str:
    """Where the carriage stands before the rows of a repeat."""
    if not repeat.of:
        return ""
    first = plan.machine.side if repeat.first % 2 else plan.machine.side.other
    if repeat.of == 1 or repeat.every % 2 == 0:
        return first.carriage
    return f"{first.carriage}, {first.other.carriage} in turn"


def _listed(working: Working, kinds: tuple[CrossingKind, ...], detail: Detail, cable: int | None) -> tuple[Table, str]:
    """The table of rows, and what to say if it had to stop."""
    plan = working.plan
    letters: dict[tuple[float, tuple[tuple[int, Crossing], ...]], str] = {
        (k.size, k.crossings): k.letter for k in kinds
    }
    clicks = _Clicks(working)
    lines: list[tuple[Cell, ...]] = []
    more = ""
    for stretch in stretches(plan):
        counted = clicks.after(stretch) if clicks.known else None
        row = stretch.row
        if cable is not None and not any(c.cable == cable for c in row.crossed):
            continue
        if len(lines) == MOST_LINES:
            more = (
                f"The calendar lists {MOST_LINES} lines, up to row {stretch.first - 1:,} of {plan.panel.rows:,}; "
                "the rows after it follow the rules above."
            )
            break
        knit = letters[row.kind.size, row.cables] if row.crossed else "plain"
        span = f"{stretch.first:,}" if stretch.rows == 1 else f"{stretch.first:,}–{stretch.last:,}"
        cells: list[Cell] = [span, row.side.carriage, size_text(row.size), knit, _also(stretch)]
        if counted is not None:
            cells.append(f"{counted:,}")
        lines.append((*cells, boxes(stretch.rows)))
    head = ["RC" if detail is Detail.SHORT else "Rows", "Carriage", "SS", "Knit", "Also"]
    head += [*(["Counter after"] if clicks.known else []), "Done"]
    caption = "The rows; Knit names the crossing row's kind; tick each row when it is done"
    if cable is not None:
        caption = f"The crossing rows of {plan.cable[cable].name}; tick each row when it is done"
    if not clicks.sure:
        more = f"{more} {UNSURE}".strip()
    return Table(caption, tuple(head), tuple(lines)), more


def _also(stretch: Stretch) -> str:
    row = stretch.row
    told = [*row.told[:MOST_TOLD]]
    if len(row.told) > MOST_TOLD:
        told.append(f"and {len(row.told) - MOST_TOLD} more reminders, see above")
    told += [f"{c.name} {c.k:,} of {c.of:,}" for c in row.crossed[:MOST_TOLD]]
    if len(row.crossed) > MOST_TOLD:
        told.append(f"and {len(row.crossed) - MOST_TOLD} more cables, see above")
    if row.weights:
        told.append("weights up, all needles")
    found = boxes(stretch.rows)
    if stretch.rows > 1:
        told.append(f"{stretch.rows:,} rows" + (f", {found.words}" if found.words else ""))
    if row.colour and not row.told:
        told.append(row.colour)
    return "; ".join(told)


UNSURE = (
    "Counter after: about. In a crossing row a pass that is taken on over the counter's trip, until needles are clear, "
    "clicks more often; go by the row."
)


class _Clicks:
    """What the machine's own counter should read as the rows go by."""

    def __init__(self, working: Working) -> None:
        self._working = working
        self._trip = Trip(working.plan)
        self.known = self._trip.known
        self.sure = True
        """Whether every pass so far leaves no doubt on which side of the trip it ends."""
        self._read = 0
        self._of: dict[tuple[object, ...], int] = {}

    def after(self, stretch: Stretch) -> int:
        row = stretch.row
        if row.crossed:
            self._read += self._one(row.side, row)
        else:
            here = -(-stretch.rows // 2)
            self._read += here * self._one(row.side, row) + (stretch.rows - here) * self._one(row.side.other, row)
        return self._read

    def _one(self, side: Side, row: Row) -> int:
        key = (side, row.size, row.cables)
        if key not in self._of:
            moves = self._working.moves_of(row, row.size) if row.crossed else plain_row(self._working, side, row.size)
            counts = self._trip.counts(moves, side)
            self.sure = self.sure and counts.fewest == counts.most
            self._of[key] = counts.told
        return self._of[key]
