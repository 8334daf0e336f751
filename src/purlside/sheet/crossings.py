"""The crossing rows written out: each way of knitting one once, then what is crossed after it.

Many kinds of crossing rows are knit alike and differ only in what is crossed
after them. So a sheet to knit from has a table of the crossings, one of the
kinds, and the passes of each way of knitting a row once. A sheet to learn from
has every kind step by step, with why.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import groupby

from purlside.bed.bed import Move
from purlside.bed.moves import ByHand, Knit, Push, size_text
from purlside.bed.needles import Crossing, Side, needles_text
from purlside.bed.transfers import Cross
from purlside.knitting.reasons import asked_in, why
from purlside.rows.row import Row
from purlside.rows.working import Working
from purlside.sheet.kinds import Pass, RowKind, SheetRows, in_play, knit_moves, passes, row_moves, special
from purlside.sheet.parts import Block, Detail, Items, Para, SheetSection, Steps, Table
from purlside.sheet.strip import STRIP_LEGEND, drawing
from purlside.sheet.words import Letters, bed_words, step_lines, step_short
from purlside.shown.view import View
from purlside.text.counts import counted
from purlside.values import dataclass
from purlside.work.crossing import Crossed
from purlside.work.work import Work

MOST_SHOWN = 48
"""Needles a drawing shows; on a wider panel the drawing is cut to the part in play."""

MOST_PASSES = {Detail.SHORT: 48, Detail.WORKING: 64, Detail.FULL: 2000}
"""Passes written out on a sheet of two pages, of six, and on one for teaching; the first kind always is. Ours."""

MOST_DRAWN = {Detail.SHORT: 0, Detail.WORKING: 6, Detail.FULL: 500}
"""Passes drawn on a sheet."""

HOW = (
    "To cross: lift both halves on transfer tools, one in each hand; put the half in front back FIRST, on the needles the "
    "table says: it shows on the knit side; then the other half behind it; push all these needles to upper working."
)


def crossings_section(sheet: SheetRows, kinds: tuple[RowKind, ...], detail: Detail, letters: Letters) -> SheetSection:
    """The kinds written out, as many as the sheet has room for; which are not is said."""
    working = sheet.working
    ways = [_Way(sheet, kind, side) for kind in kinds for side in Side if side in kind.rows]
    about = "A crossing row prepares the stitches; they are crossed after it, before the next row."
    hows = dict.fromkeys(work.how for kind in kinds for work in special(kind.row) if work.how)
    blocks: list[Block] = [Para(" ".join([about, *([] if detail is Detail.FULL else [HOW]), *hows]))]
    if detail is Detail.FULL:
        blocks.append(Para("Each kind is written once from each side it begins on. A needle not named stays as it is."))
        wanted = ways
    else:
        labels = _labels(kinds)
        blocks += [_crossings_table(labels), _kinds_table(ways, labels)]
        wanted = [way for way in ways if way.new(ways)]
    sections: list[SheetSection] = []
    written = drawn = 0
    # The tables of parts and shaping take room too: two of their lines that of a pass.
    room_for = MOST_PASSES[detail] - (len(working.plan.shape) + len(working.plan.part)) // 2
    for way in wanted:
        found = passes(working, way.number, way.moves if detail is Detail.FULL else way.knit)
        written += len(found)
        if sections and written > room_for:
            left = "; ".join(way.heading for way in wanted[len(sections) :])
            room = "the screen has them" if detail is Detail.FULL else "a full sheet, or the screen, has them"
            blocks.append(Para(f"No room here for {left}: {room}."))
            break
        draws = drawn + len(found) <= MOST_DRAWN[detail]
        drawn += len(found) if draws else 0
        sections.append(_way_section(way, found, detail, letters, draws=draws))
    return SheetSection("Crossing rows", (*blocks, *([STRIP_LEGEND] if drawn else [])), tuple(sections))


@dataclass(frozen=True)
class _Way:
    """A kind of row from one side."""

    sheet: SheetRows
    kind: RowKind
    side: Side

    @property
    def heading(self) -> str:
        return f"{self.kind.letter} from {self.side.carriage}"

    @cached_property
    def number(self) -> int:
        """The row it is written from."""
        return self.kind.shown(self.sheet.working, self.side)

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        return row_moves(self.sheet.working, self.number)

    @cached_property
    def knit(self) -> tuple[Move, ...]:
        return knit_moves(self.sheet.working, self.number)

    @property
    def in_order(self) -> list[Work]:
        """What the row is asked, in the order it is done."""

        def when(work: Work) -> int:
            after = work.after(self.sheet.working)
            return self.moves.index(after[0]) if after else -1

        return sorted(special(self.sheet.rows[self.number - 1]), key=when)

    @property
    def pushes(self) -> int:
        return sum(isinstance(move, Push) for move in self.knit)

    def like(self, ways: Sequence[_Way]) -> _Way:
        """The first that is knit in the same way."""
        return next(way for way in ways if way.knit == self.knit)

    def new(self, ways: Sequence[_Way]) -> bool:
        """Whether it has to be written out: more than one pass, and none before it is knit alike."""
        return self.pushes > 1 and self.like(ways) is self


def _labels(kinds: Sequence[RowKind]) -> dict[tuple[int, Crossing], str]:
    """Each crossing's label: its cable's name, numbered where the cable takes several in turn."""
    found: dict[int, list[Crossing]] = {}
    named: dict[int, str] = {}
    for kind in kinds:
        for crossed in kind.row.crossed:
            named[crossed.cable] = crossed.name
            turns = found.setdefault(crossed.cable, [])
            if crossed.crossing not in turns:
                turns.append(crossed.crossing)
    return {
        (cable, crossing): named[cable] if len(turns) == 1 else f"{named[cable]}, {i}"
        for cable, turns in found.items()
        for i, crossing in enumerate(turns, 1)
    }


def _crossings_table(labels: dict[tuple[int, Crossing], str]) -> Table:
    rows = []
    for (_, crossing), label in labels.items():
        halves = zip((crossing.front, crossing.back), crossing.landing(), strict=True)
        front, back = (f"{_named(half)} on {_named(to)}" for half, to in halves)
        rows.append((label, crossing.words, front, back))
    return Table("The crossings", ("Crossing", "Stitches", "First, in front", "Then, behind"), tuple(rows))


def _kinds_table(ways: Sequence[_Way], labels: dict[tuple[int, Crossing], str]) -> Table:
    rows = []
    for way in ways:
        like = way.like(ways)
        knit = "a plain row" if way.pushes == 1 else "as written below" if like is way else f"as {like.heading}"
        then = (labels[w.cable, w.crossing] if isinstance(w, Crossed) else w.words for w in way.in_order)
        rows.append((way.kind.letter, way.side.carriage, knit, "; ".join(then)))
    cross = all(way.kind.row.crossed for way in ways)
    caption = "The kinds of crossing rows" if cross else "The kinds of crossing rows, and of rows with other work"
    return Table(caption, ("Kind", "From", "Knit", "Then cross" if cross else "Then"), tuple(rows))


def _named(needles: Iterable[int]) -> str:
    return needles_text(needles, count=False)


def _way_section(way: _Way, found: list[Pass], detail: Detail, letters: Letters, *, draws: bool) -> SheetSection:
    """A way step by step: to knit from, as far as the first crossing; to learn from, all of it and why."""
    working = way.sheet.working
    in_work = in_play(working, way.number)
    row = working.calendar.row(way.number)
    moved = f"{counted(way.pushes, 'movement')} of the carriage; it begins {way.side.carriage}."
    full = detail is Detail.FULL
    if not full and not draws:
        short = detail is Detail.SHORT
        lines = (
            step_short(one.step, in_work, letters)
            if short
            else ". ".join(step_lines(one.step, one.dial, in_work, letters))
            for one in found
        )
        return SheetSection(way.heading, (Para(moved), Steps(tuple(lines))))
    rows = way.kind.rows[way.side]
    when = f"{'Row' if len(rows) == 1 else 'Rows'} {way.sheet.said(rows)}. " if full else ""
    asked = asked_in(working, row)
    sections = []
    for one in found:
        blocks: list[Block] = [Steps(step_lines(one.step, one.dial, in_work, letters))]
        if draws:
            ladders = working.plan.panel.out_of_work
            view = View(one.bed, one.step.moves, _near(one, row), row.size, resting=row.resting, ladders=ladders)
            blocks.append(drawing(view, bed_words(one.bed, one.step, in_work), MOST_SHOWN))
        if full:
            blocks.append(Para(f"Why: {why(working, row, way.moves, one.step, asked)}"))
        title = one.step.title if full or (one.step.pushes and one.step.push) else "Before you cross"
        sections.append(SheetSection(title, tuple(blocks), whole=True))
    about = [Para(f"{when}{moved}"), *(_asked(working, way.kind) if full else ())]
    return SheetSection(way.heading, tuple(about), tuple(sections))


def _asked(working: Working, kind: RowKind) -> Iterator[Items | Table]:
    """What the row asks of each needle, and why it is eased that way."""
    demand = working.demand(kind.row)
    asked = zip(demand.needles, demand.rows, demand.sizes, demand.by_hand, strict=True)
    rows = []
    for (times, size, by_hand), group in groupby(asked, key=lambda a: (a[1], a[2] if not a[3] else 0.0, a[3])):
        needles = [needle for needle, *_ in group]
        knit = (
            ("by hand", "as large as the rail allows") if by_hand else (counted(times, "time"), f"SS {size_text(size)}")
        )
        rows.append((needles_text(needles, kind.row.needles), *knit))
    yield Table(f"What crossing row {kind.letter} asks of each needle", ("Needles", "Knit", "Loops"), tuple(rows))
    yield Items(tuple(f"{a.name}: {a.choice.why}" for a in asked_in(working, kind.row)))


def _near(one: Pass, row: Row) -> tuple[Crossed, ...]:
    """The cables to bracket: all of the row, or on a wide panel that whose stitches the step is about, else the nearest."""
    if len(one.bed.panel) <= MOST_SHOWN or not row.crossed:
        return row.crossed
    about = set(one.step.by_hand_next)
    for move in one.step.moves:
        if isinstance(move, (ByHand, Knit, Cross)):
            about |= set(move.needles)
    at = int(one.bed.carriage[0])

    def away(crossed: Crossed) -> tuple[bool, int]:
        needles = set(crossed.crossing.needles)
        span = crossed.crossing.span
        return not about & needles or not about <= needles, max(int(span.left) - at, at - int(span.right), 0)

    return (min(row.crossed, key=away),)
