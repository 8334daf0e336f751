"""All rows of a plan, to tick: those that are alike and have nothing else to them in one line."""

from __future__ import annotations

from itertools import compress

from purlside.bed.moves import size_text
from purlside.fabric.repeats import gathered
from purlside.rows.counter import Trip
from purlside.rows.row import Row
from purlside.sheet.kinds import SheetRows, row_moves
from purlside.sheet.parts import Boxes, Cell, Para, SheetSection, Table
from purlside.sheet.rowwords import span_words, what_is_knit
from purlside.work.work import Work

MOST_BOXES = 60
"""Boxes on one line: where there are more rows than that, a box stands for 10, 100, … of them."""

UNSURE = (
    "Counter after: about. In a crossing row a pass that is taken on over the counter's trip, until needles are clear, "
    "clicks more often; go by the row."
)

LISTED = ("Rows", "Part", "Carriage", "SS", "Knit", "Colour", "Also", "Counter after", "Done")
"""Columns of the row list; parts, colours and the counter only where there are any."""


def row_list(sheet: SheetRows) -> SheetSection:
    """Every row, those that are alike and have nothing else to them in one line, with boxes to tick."""
    clicks = _Clicks(sheet)
    told_in = {
        "Part": bool(sheet.calendar.plan.part),
        "Colour": any(map(sheet.calendar.colour, range(1, sheet.calendar.rows + 1))),
    }
    told_in["Counter after"] = clicks.known
    wanted = [told_in.get(name, True) for name in LISTED]
    lines: list[tuple[Cell, ...]] = []
    for first, last in ticked(sheet):
        row, count = sheet.calendar.row(first), last - first + 1
        counted = [clicks.after(number) for number in range(first, last + 1)][-1]
        cells: tuple[Cell, ...] = (
            span_words(row.fabric, row.fabric + count - 1), row.part or "panel", row.side.carriage, size_text(row.size),
            what_is_knit(sheet, first)[0], row.colour or "", _also(row, count), f"{counted:,}", boxes(count),
        )  # fmt: skip
        lines.append(tuple(compress(cells, wanted)))
    table = Table("Every row; tick it when it is done", tuple(compress(LISTED, wanted)), tuple(lines))
    return SheetSection("Row list", (table, *([] if clicks.sure else [Para(UNSURE)])))


def ticked(sheet: SheetRows) -> list[tuple[int, int]]:
    """First and last row of each line of the row list."""

    calendar = sheet.calendar

    def alone(number: int, like: Row) -> object:
        """What keeps a row from standing in one line with its neighbours."""
        quiet = not like.works and not calendar.weights(number) and not calendar.told(number)
        return (like.size, calendar.colour(number), like.part) if quiet else number

    return [
        (s.first, s.last) for s in gathered((number, alone(number, row)) for number, row in enumerate(sheet.likes, 1))
    ]


def boxes(rows: int) -> Boxes:
    """As many boxes as fit a line."""
    each = 1
    while -(-rows // each) > MOST_BOXES:
        each *= 10
    return Boxes(-(-rows // each), each)


def _also(row: Row, rows: int) -> str:
    told = [*row.told, *(f"{called(work)} {work.k:,} of {work.of:,}" for work in row.works)]
    told += ["weights up, all needles"] if row.weights else []
    if rows > 1:
        words = boxes(rows).words
        told.append(f"{rows:,} rows" + (f", {words}" if words else ""))
    return "; ".join(told)


def called(work: Work) -> str:
    """A cable by its name; other work in its words."""
    return work.label if work.label != work.title else work.words


class _Clicks:
    """What the machine's own counter should read as the rows go by."""

    def __init__(self, sheet: SheetRows) -> None:
        self._sheet = sheet
        self._trip = Trip(sheet.working.plan)
        self.known = self._trip.known
        self.sure = True
        """Whether every pass so far leaves no doubt on which side of the trip it ends."""
        self._read = 0
        self._of: dict[object, int] = {}

    def after(self, number: int) -> int:
        """The counter after a row; rows are asked for in order."""
        if not self.known:
            return 0
        row = self._sheet.likes[number - 1]
        if row.kind not in self._of:
            counts = self._trip.counts(row_moves(self._sheet.working, number), row.side)
            self.sure = self.sure and counts.fewest == counts.most
            self._of[row.kind] = counts.told
        self._read += self._of[row.kind]
        return self._read
