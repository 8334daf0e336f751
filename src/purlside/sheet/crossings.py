"""The kinds of rows written out: each once for every side it begins on in the plan, pass by pass."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from purlside.bed.moves import Push, size_text
from purlside.bed.needles import Side, needles_text
from purlside.fabric.described import rows_text
from purlside.knitting.reasons import asked_in, why
from purlside.rows.calendar import Crossed, Row
from purlside.rows.working import Working
from purlside.sheet.kinds import Pass, RowKind, passes, row_moves
from purlside.sheet.parts import Detail, Drawing, Items, Para, SheetSection, Steps, Table
from purlside.sheet.rowwords import names
from purlside.sheet.strip import STRIP_LEGEND, drawing
from purlside.sheet.words import Letters, bed_words, step_lines, step_short
from purlside.shown.strip import View

MOST_SHOWN = 48
"""Needles a drawing shows; on a wider panel the drawing is cut to the part in play."""

MOST_SHORT_PASSES, MOST_WORKING_PASSES, MOST_PASSES = 48, 64, 2000
"""Passes written out on a sheet of two pages, of six, and on one for teaching; the first kind always is. Ours."""

MOST_WORKING_DRAWN, MOST_DRAWN = 12, 500
"""Passes drawn on a sheet of six pages, and on one for teaching."""


def crossings_section(working: Working, kinds: tuple[RowKind, ...], detail: Detail, letters: Letters) -> SheetSection:
    """The kinds written out, as many as the sheet has room for; which are not is said."""
    most = {Detail.SHORT: MOST_SHORT_PASSES, Detail.WORKING: MOST_WORKING_PASSES, Detail.FULL: MOST_PASSES}[detail]
    most_drawn = {Detail.SHORT: 0, Detail.WORKING: MOST_WORKING_DRAWN, Detail.FULL: MOST_DRAWN}[detail]
    intro = [
        Para(
            "Each kind of crossing row is written once, from the side or sides it begins on. The row prepares the "
            "stitches; the crossing follows it, before the next row. Every needle in work that is not named stays as it is."
        )
    ]
    sections: list[SheetSection] = []
    drawn = written = 0
    for i, kind in enumerate(kinds):
        sides = [(side, passes(working, kind.shown(working, side))) for side in Side if side in kind.rows]
        written += sum(len(found) for _, found in sides)
        if i and written > most:
            left = [k.letter for k in kinds[i:]]
            only = left[0] if len(left) == 1 else f"{left[0]} to {left[-1]}"
            more = {Detail.SHORT: "a working sheet has more room", Detail.WORKING: "a full sheet has more room"}
            intro.append(
                Para(
                    f"Not written out here: {only} ({len(left)} of {len(kinds)}); {more.get(detail, 'see the screen')}."
                )
            )
            break
        of_sides = []
        for side, found in sides:
            draws = drawn + len(found) <= most_drawn
            drawn += len(found) if draws else 0
            of_sides.append(_side_section(working, kind, side, found, detail, letters, draws=draws))
        blocks = [
            Items(tuple(_about(working, kind, detail))),
            *(_asked(working, kind) if detail is Detail.FULL else ()),
        ]
        sections.append(SheetSection(f"Crossing row {kind.letter}", tuple(blocks), tuple(of_sides)))
    if 0 < drawn < written:
        intro.append(Para("Passes without a drawing are told in words only."))
    return SheetSection("Crossing rows", (*intro, *([STRIP_LEGEND] if drawn else [])), tuple(sections))


def _about(working: Working, kind: RowKind, detail: Detail) -> Iterator[str]:
    """What is crossed in rows of a kind; on a short sheet cables that cross alike in one line."""

    def words(crossed: Crossed) -> str:
        side = crossed.crossing.front_side
        return f"{crossed.crossing.words}, the {side} half in front"

    if detail is Detail.SHORT:
        ordered = sorted(kind.row.crossed, key=words)
        for told, alike in groupby(ordered, key=words):
            yield f"{names(c.name for c in alike)}: {told}"
        return
    for crossed in kind.row.crossed:
        front, back = crossed.crossing.front, crossed.crossing.back
        yield f"{crossed.name}: {words(crossed)} ({_dash(front)}), the other behind ({_dash(back)})"


def _dash(span: object) -> str:
    return str(span).replace("-", "–")


def _asked(working: Working, kind: RowKind) -> Iterator[Items | Table]:
    """What the row asks of each needle, and why it is eased that way."""
    demand = working.demand(kind.row.kind)
    asked = zip(demand.needles, demand.rows, demand.sizes, demand.by_hand, strict=True)
    rows = []
    for (times, size, by_hand), group in groupby(asked, key=lambda a: (a[1], a[2] if not a[3] else 0.0, a[3])):
        needles = [needle for needle, *_ in group]
        rows.append(
            (
                needles_text(needles, working.in_work),
                "by hand" if by_hand else f"{times} time{'s' if times > 1 else ''}",
                "as large as the rail allows" if by_hand else f"SS {size_text(size)}",
            )
        )
    yield Table(f"What crossing row {kind.letter} asks of each needle", ("Needles", "Knit", "Loops"), tuple(rows))
    yield Items(tuple(f"{a.name}: {a.choice.why}" for a in asked_in(working, kind.row)))


def _side_section(
    working: Working, kind: RowKind, side: Side, found: list[Pass], detail: Detail, letters: Letters, *, draws: bool
) -> SheetSection:
    heading = f"{kind.letter} from {side.carriage}"
    number = kind.shown(working, side)
    row, in_work = working.calendar.row(number), working.in_work
    pushes = sum(isinstance(move, Push) for one in found for move in one.step.moves)
    rows = kind.rows[side]
    when = f"{'Row' if len(rows) == 1 else 'Rows'} {rows_text(rows)}."
    about = Para(f"{when} {pushes} movement{'s' if pushes != 1 else ''} of the carriage; it begins {side.carriage}.")
    if detail is Detail.SHORT:
        lines = tuple(step_short(one.step, in_work, letters) for one in found)
        return SheetSection(heading, (about, Steps(lines)))
    moves, asked = row_moves(working, number), asked_in(working, row)
    sections = []
    for one in found:
        blocks: list[Steps | Drawing | Para] = [Steps(step_lines(one.step, one.dial, in_work, letters))]
        if draws:
            view = View(one.bed, one.step.moves, _near(one, row), row.size)
            blocks.append(drawing(view, bed_words(one.bed, one.step, in_work), MOST_SHOWN))
        if detail is Detail.FULL:
            blocks.append(Para(f"Why: {why(working, row, moves, one.step, asked)}"))
        sections.append(SheetSection(one.step.title, tuple(blocks), whole=True))
    return SheetSection(heading, (about,), tuple(sections))


def _near(one: Pass, row: Row) -> tuple[Crossed, ...]:
    """The cables to bracket: all of the row, or on a wide panel those the step's needles belong to, else the nearest."""
    if len(one.bed.panel) <= MOST_SHOWN:
        return row.crossed
    moved = {n for move in one.step.moves for n in getattr(move, "needles", ())}
    at = int(one.bed.carriage[0])
    concerned = [c for c in row.crossed if moved & set(c.crossing.needles)] or list(row.crossed)
    cross = one.step.crosses
    if cross is not None:
        return tuple(c for c in row.crossed if c.crossing == cross.crossing)

    def away(crossed: Crossed) -> int:
        span = crossed.crossing.span
        hand = any(n in crossed.crossing.front for n in one.step.by_hand_next)
        return -1 if hand else max(int(span.left) - at, at - int(span.right), 0)

    return (min(concerned, key=away),)
