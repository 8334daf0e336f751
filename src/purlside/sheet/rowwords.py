"""The rows of a sheet: said as a repeat, and what falls on them beside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from purlside.bed.moves import Join, size_text
from purlside.bed.needles import Side, needles_text
from purlside.fabric.repeats import Repeated, Stretch, fold, gathered
from purlside.plan.plan import Shape
from purlside.plan.repeats import Repeat
from purlside.rows.row import Row
from purlside.rows.segments import Segment
from purlside.sheet.kinds import MIRRORED, RowKind, SheetRows, special
from purlside.sheet.parts import Block, Cell, Detail, Items, Para, SheetSection, Table
from purlside.work.work import edge_kind

MOST_SAID = 60
"""Lines of rows said as a repeat; where there would be more, each kind's rows are listed instead. Ours."""

MOST_SAID_SHORT = 34
"""The same on a sheet of two pages."""

MOST_NAMED = 6
"""Cables named one by one in a line; of more the first and the last are, and they are counted."""

PLAIN = "plain"

WHEN = ("First row", "Every", "Times", "Last row")


def rows_section(sheet: SheetRows, detail: Detail, only: str | None = None) -> SheetSection:
    """How the rows follow each other. ``only`` keeps to the rows in which that cable crosses."""
    said = [
        (
            of,
            fold(
                gathered(
                    (of.fabric_row(number), what_is_knit(sheet, number)) for number in range(of.first, of.last + 1)
                )
            ),
        )
        for of in sheet.calendar.segments
    ]
    most = MOST_SAID_SHORT if detail is Detail.SHORT else MOST_SAID
    lines = sum(s.what[0] != PLAIN or i == 0 for _, f in said for one in f for i, s in enumerate(one.stretches))
    tables: list[Block] = []
    mirrored: list[Block] = []
    if only is None and lines <= most:
        mirrors = {} if detail is Detail.FULL else {p.name: p.mirrors for p in sheet.working.plan.part if p.mirrors}
        told = {of.part: of for of in sheet.calendar.segments}
        for of, folded in said:
            if of.part and (other := mirrors.get(of.part)) and _in_the_mirror(sheet, of, told[other]):
                mirrored.append(Para(_mirrored(of, other)))
            else:
                tables += [_said(sheet, one, of, detail) for one in folded]
    else:
        tables.append(_by_kind(sheet, only))
    # Tables that follow each other share a page's width: what is said of a part in the mirror stands after them.
    return SheetSection("Rows", (Para(_plain_row(sheet)), *tables, *_beside(sheet, detail), *mirrored))


def names(cables: Iterable[str]) -> str:
    """Cables by name, briefly: ``"rope, wave"``, ``"honeycomb 1 to honeycomb 12 (12 cables)"``."""
    listed = list(dict.fromkeys(cables))
    if len(listed) <= MOST_NAMED:
        return ", ".join(listed)
    return f"{listed[0]} to {listed[-1]} ({len(listed)} cables)"


def _in_the_mirror(sheet: SheetRows, part: Segment, other: Segment) -> bool:
    """Whether the rows of a part are those of another, begun from the other side, each kind in the mirror."""

    def turned(number: int) -> tuple[str, float, Side]:
        letter, size = what_is_knit(sheet, number)
        return (letter if letter == PLAIN else letter + MIRRORED), size, other.side(number).other

    own = [(*what_is_knit(sheet, number), part.side(number)) for number in range(part.first, part.last + 1)]
    return own == [turned(number) for number in range(other.first, other.last + 1)]


def _mirrored(part: Segment, other: str) -> str:
    return (
        f"{part.part}: rows {span_words(part.fabric, part.fabric_row(part.last))} as the {other}, in the mirror: "
        f"{part.start.carriage} for {part.start.other.carriage}, left for right, and each letter the one marked "
        f"{MIRRORED.strip()}."
    )


def _plain_row(sheet: SheetRows) -> str:
    plan, in_work = sheet.working.plan, sheet.working.in_work
    panel = plan.panel.needles
    other = any(not kind.row.crossed for kind in sheet.kinds)
    letters = "A letter names a crossing row: it is written out below, and crossed after it."
    if other:
        letters = (
            "A letter names a row that is written out below: knit it, then cross, latch up or bead as is said there."
        )
    if plan.shape or plan.part:
        return (
            "A plain row: no needle held but those that rest, the dial at the row's SS, the carriage across all others and "
            f"just past the last. {letters} At the same time shape the edges, before plain rows too, as their table says."
        )
    return (
        f"A plain row: no needle held, the dial at the row's SS, the carriage across {needles_text(in_work, in_work)} to "
        f"the other side, past {panel.left} going left or past {panel.right} going right. {letters}"
    )


def what_is_knit(sheet: SheetRows, number: int) -> tuple[str, float]:
    kind = sheet.kind(number)
    return (kind.letter if kind else PLAIN), sheet.likes[number - 1].size


def _said(sheet: SheetRows, one: Repeated[tuple[str, float]], part: Segment, detail: Detail) -> Table:
    """Rows as they are knit the first time, each with where the carriage stands before it."""
    where = f"{part.part}: r" if part.part else "R"
    if one.times == 1:
        caption = (
            f"{where}ows {span_words(one.first, one.last)}, once"
            if one.last > one.first
            else f"{where}ow {one.first:,}"
        )
    else:
        caption = (
            f"{where}ows {span_words(one.first, one.first + one.every - 1)}, and every {one.every:,} rows: "
            f"{one.times:,} times, up to row {one.last:,}"
        )
    turns = one.times > 1 and one.every % 2 == 1
    lines: list[tuple[Cell, ...]] = []
    stretches = list(one.stretches)
    while stretches:
        stretch, plain = stretches.pop(0), 0
        # Plain rows of the same size stand with the row they follow.
        if stretch.what[0] != PLAIN and stretches and stretches[0].what == (PLAIN, stretch.what[1]):
            plain = stretches.pop(0).rows
        row = sheet.likes[part.number(stretch.first) - 1]
        work = () if detail is Detail.SHORT else (names(sheet.called(work) for work in special(row)),)
        lines.append((*_line(row, stretch, plain, turns=turns), *work))
    names_too = [] if detail is Detail.SHORT else ["Work"]
    return Table(caption, ("Row", "Carriage", "SS", "Knit", "Then", *names_too), tuple(lines))


def _line(row: Row, stretch: Stretch[tuple[str, float]], plain: int, *, turns: bool) -> tuple[Cell, ...]:
    letter, size = stretch.what
    return (
        span_words(stretch.first, stretch.last),
        f"{row.side.carriage}, {row.side.other.carriage} in turn" if turns else row.side.carriage,
        size_text(size),
        letter if stretch.rows == 1 else f"{letter}, {stretch.rows:,} rows",
        f"{plain:,} plain row{'s' if plain > 1 else ''}" if plain else "",
    )


def span_words(first: int, last: int) -> str:
    return f"{first:,}" if first == last else f"{first:,}–{last:,}"


def _by_kind(sheet: SheetRows, only: str | None) -> Table:
    """Each kind's rows, listed; all others are plain."""
    kinds = [kind for kind in sheet.kinds if only is None or kind.has(only)]
    rows = tuple(
        (kind.letter, size_text(kind.row.size), names(sheet.called(work) for work in kind.works), _sided(sheet, kind))
        for kind in kinds
    )
    rest = "all other rows are plain" if only is None else f"the rows in which {only} crosses"
    return Table(f"Crossing rows; {rest}", ("Kind", "SS", "Work", "Rows"), rows)


def _sided(sheet: SheetRows, kind: RowKind) -> str:
    """A kind's rows, from each side by themselves."""
    return "; ".join(f"from {side.carriage} {sheet.said(kind.rows[side])}" for side in Side if side in kind.rows)


def _beside(sheet: SheetRows, detail: Detail) -> Iterator[Block]:
    """What falls on the rows beside: each by its own rule."""
    plan, calendar = sheet.working.plan, sheet.calendar
    if plan.part:
        mirrors = {
            part.name: f"{part.name}, mirrors {part.mirrors}" if part.mirrors else part.name for part in plan.part
        }
        parts = tuple(
            (
                mirrors[segment.part],
                f"{segment.fabric:,}–{segment.fabric_row(segment.last):,}",
                segment.start.carriage,
                _yarn(sheet.likes[segment.first - 1]),
                f"{segment.edges.left}–{segment.edges.right} ({len(segment.edges.in_work)})",
            )
            for segment in calendar.segments
            if segment.part
        )
        yield Table(
            "Parts, one after the other; all other needles rest",
            ("Part", "Rows", "Carriage", "Yarn", "Needles"),
            parts,
        )
    if plan.shape:
        yield Table("Shaping, before the row is knit", ("Shape", *WHEN), tuple(_shaping(sheet)))
    if detail is not Detail.SHORT and calendar.cables:
        carriages = _carriages(sheet)
        cables = [((*_when(repeat), carriages.get(i, "")), i) for i, repeat in enumerate(calendar.repeats)]
        rows = [(_cables(sheet, (i for _, i in same)), *when) for when, same in groupby(cables, key=lambda one: one[0])]
        yield Table("When the cables cross", ("Cable", *WHEN, "Carriage"), tuple(rows))
    if plan.band:
        sizes = ("" if band.stitch_size is None else size_text(band.stitch_size) for band in plan.band)
        bands = tuple(
            (str(band.rows).replace("-", "–"), size, band.colour or "")
            for band, size in zip(plan.band, sizes, strict=True)
        )
        yield Table("Bands; where two overlap the later line counts", ("Rows", "SS", "Colour"), bands)
    told = [(r.text, w) for r, w in zip(plan.reminder, calendar.reminders, strict=True) if w.of]
    if told and detail is Detail.SHORT and all(when.of == 1 for _, when in told):
        yield Table("At the same time", ("Row", "What"), tuple((f"{when.first:,}", text) for text, when in told))
    elif told:
        yield Table("At the same time", ("What", *WHEN), tuple((text, *_when(when)) for text, when in told))
    after = "under the cable after each crossing" if plan.cable else ""
    every = f"under all needles after every {plan.panel.weights_every:,} rows" if plan.panel.weights_every else ""
    if after or every:
        yield Items((f"Weights: move the claw weights up {', and '.join(filter(None, (every, after)))}.",))


def _cables(sheet: SheetRows, indices: Iterable[int]) -> str:
    """Cables by name, those of a motif at once; of one of which not all are meant, how many."""
    cables = sheet.calendar.cables
    found = Counter(cables[i].motif or cables[i].name for i in indices)
    whole = Counter(cable.motif or cable.name for cable in cables)
    return names(
        name if count == whole[name] else f"{name} ({count} of {whole[name]})" for name, count in found.items()
    )


def _yarn(row: Row) -> str:
    """Whether a part's yarn goes on, or where it is joined."""
    joins = [move for work in row.works for move in work.before() if isinstance(move, Join)]
    return f"joined at the {joins[0].side}" if joins else "goes on"


def _shaping(sheet: SheetRows) -> Iterator[tuple[str, str, str, str, str]]:
    """Each shape of the plan, as it falls."""
    ends = {segment.part: segment.fabric_row(segment.last) for segment in sheet.calendar.segments}
    for shape in _together(sheet.calendar.plan.shape):
        edge, turns = f"the {shape.edge}", False
        if shape.edge == "both":
            turns = edge_kind(shape.do).at_carriage is not None
            edge = "one edge, then the other" if turns else "both edges"
        tool = f", {shape.tool} on the tool" if shape.tool > 1 else ""
        where = f"{shape.part}: " if shape.part else ""
        what = f"{where}{shape.do} {shape.stitches} at {edge}{tool}"
        repeat = Repeat.within(ends[shape.part], shape.first_row, shape.every, shape.times)
        first, every, times, last = _when(repeat)
        # The other edge is done in the row after.
        yield what, first, every, times, f"{repeat.last + 1:,}" if turns and repeat.of else last


def _together(shape: Sequence[Shape]) -> list[Shape]:
    """Shapes in the plan's order; what is done alike at the left and at the right, at either, as done at both."""
    found: list[Shape] = []
    for each in shape:
        alike = replace(each, edge="both")
        side = next(
            (
                i
                for i, other in enumerate(found)
                if other.edge not in ("both", each.edge) and alike == replace(other, edge="both")
            ),
            None,
        )
        if side is None or each.edge == "both" or edge_kind(each.do).at_carriage is not None:
            found.append(each)
        else:
            found[side] = alike
    return found


def _carriages(sheet: SheetRows) -> dict[int, str]:
    """Where the carriage stands before the rows in which each cable crosses."""
    sides: dict[int, dict[Side, None]] = {}
    for row in {like.number: like for like in sheet.likes}.values():
        for crossed in row.crossed:
            sides.setdefault(crossed.cable, {})[row.side] = None
    return {
        cable: ", ".join(side.carriage for side in of) + (" in turn" if len(of) > 1 else "")
        for cable, of in sides.items()
    }


def _when(repeat: Repeat) -> tuple[str, str, str, str]:
    if not repeat.of:
        return f"{repeat.first:,}", "", "never", ""
    every = "" if repeat.of == 1 else f"{repeat.every:,} rows" if repeat.every > 1 else "row"
    return f"{repeat.first:,}", every, f"{repeat.of:,}", f"{repeat.last:,}"
