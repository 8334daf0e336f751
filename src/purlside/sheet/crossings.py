"""The crossing rows written out: each way of knitting one once, then what is crossed after it.

Many kinds of crossing rows are knit alike and differ only in what is crossed
after them. So a sheet to knit from has a table of the crossings, one of the
kinds, and the passes of each way of knitting a row once. A sheet to learn from
has every kind step by step, with why.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from purlside.bed.moves import ByHand, Knit, size_text
from purlside.bed.needles import Side, needles_text
from purlside.bed.transfers import Cross
from purlside.knitting.reasons import asked_in, why
from purlside.rows.row import Row
from purlside.rows.working import Working
from purlside.sheet.grouped import Groups
from purlside.sheet.kinds import Pass, RowKind, SheetRows, in_play, special
from purlside.sheet.parts import Block, Detail, Items, Para, SheetSection, Steps, Table
from purlside.sheet.strip import STRIP_LEGEND, drawing
from purlside.sheet.ways import Way, WaysTold
from purlside.sheet.words import Letters, bed_words, step_lines, step_short
from purlside.shown.view import View
from purlside.text.counts import counted
from purlside.work.crossing import Crossed

ALONG = "Of several, go along the bed from where the carriage stands then."

AT_EDGES = (
    "The needles written out are those of the row named there; in others the edges, and cables that follow them, are where "
    "they have come to by then. Mirrored: left for right, COR for COL, L for R."
)
"""Of a panel that changes its width."""

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
    ways = [Way(sheet, kind, side) for kind in kinds for side in Side if side in kind.rows]
    full, plan = detail is Detail.FULL, sheet.working.plan
    about = "A crossing row prepares the stitches; they are crossed after it, before the next row."
    hows = dict.fromkeys(work.how for kind in kinds for work in special(kind.row) if work.how)
    several = [ALONG] if any(len(kind.row.crossed) > 1 for kind in kinds) else []
    blocks: list[Block] = [Para(" ".join([about, *([] if full else [HOW, *several]), *hows]))]
    # The tables of parts and shaping take room too: two of their lines that of a pass.
    room = MOST_PASSES[detail] - (len(plan.shape) + len(plan.part)) // 2
    alike, told = WaysTold(ways), WaysTold()
    wanted = ways if full else _to_write(ways, alike)
    sections: list[SheetSection] = []
    written = drawn = 0
    for way in wanted:
        if detail is Detail.SHORT and told.twin(way) is not None:
            continue
        found = way.passes(whole=full)
        written += len(found)
        if sections and written > room:
            break
        draws = drawn + len(found) <= MOST_DRAWN[detail]
        drawn += len(found) if draws else 0
        told.add(way)
        sections.append(_way_section(way, found, detail, letters, draws=draws))
    if full:
        blocks.append(Para("Each kind is written once from each side it begins on. A needle not named stays as it is."))
        left = wanted[len(sections) :]
    else:
        groups = Groups(sheet.calendar, kinds)
        blocks += [groups.table, _kinds_table(ways, alike, told, groups)]
        if plan.shape and sections:
            blocks.append(Para(AT_EDGES))
        left = [way for way in wanted if way not in told and told.twin(way) is None]
    if left:
        there = "the screen has them" if full else "a full sheet, or the screen, has them"
        blocks.append(Para(f"No room here for {'; '.join(way.heading for way in left)}: {there}."))
    return SheetSection("Crossing rows", (*blocks, *([STRIP_LEGEND] if drawn else [])), tuple(sections))


def _to_write(ways: Sequence[Way], alike: WaysTold) -> list[Way]:
    """Those that want writing out, each once: first those that are no other's mirror image."""
    new = [way for way in ways if way in alike and way.pushes > 1]
    among = WaysTold(new)
    return sorted(new, key=lambda way: among.twin(way) is not None)


def _kinds_table(ways: Sequence[Way], alike: WaysTold, told: WaysTold, groups: Groups) -> Table:
    """Each kind: as which it is knit, and what is done then."""
    rows = []
    for way in ways:
        named = groups.labels(way.sheet.calendar.row(way.number))
        then = (named[work.cable] if isinstance(work, Crossed) else work.words for work in way.in_order)
        rows.append((way.kind.letter, way.side.carriage, _knit(way, alike, told), "; ".join(dict.fromkeys(then))))
    cross = all(way.kind.row.crossed for way in ways)
    caption = "The kinds of crossing rows" if cross else "The kinds of crossing rows, and of rows with other work"
    return Table(caption, ("Kind", "From", "Knit", "Then cross" if cross else "Then"), tuple(rows))


def _knit(way: Way, alike: WaysTold, told: WaysTold) -> str:
    """How a kind's row is knit, or where that is written."""
    if way.pushes == 1:
        return "a plain row"
    if way in told:
        return "as written below"
    if told.like(way) is None and (twin := told.twin(way)) is not None:
        return f"as {twin.heading}, mirrored"
    like = alike.like(way)
    return "as written below" if like is None or like is way else f"as {like.heading}"


def _way_section(way: Way, found: list[Pass], detail: Detail, letters: Letters, *, draws: bool) -> SheetSection:
    """A way step by step: to knit from, as far as the first crossing; to learn from, all of it and why."""
    working = way.sheet.working
    in_work = in_play(working, way.number)
    row = working.calendar.row(way.number)
    full = detail is Detail.FULL
    named = f", as in row {way.where}" if working.plan.shape and not full else ""
    moved = f"{counted(way.pushes, 'movement')} of the carriage; it begins {way.side.carriage}{named}."
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
