"""The kinds of crossing rows: each written once, from COR and from COL, pass by pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate, groupby

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import fewest_movements
from purlside.bed.moves import Dial, Push, size_text
from purlside.bed.needles import Crossing, Side, needles_text
from purlside.knitting.reasons import asked_in, why
from purlside.rows.row import Row, Tally
from purlside.rows.steps import Step, steps
from purlside.rows.working import Working
from purlside.sheet.parts import Detail, Items, Para, Section, Steps, Strip, StripLegend, Table
from purlside.sheet.words import Letters, bed_words, step_lines, step_short
from purlside.shown.strip import View
from purlside.work.crossing import Crossed

MOST_KINDS = 300
"""Kinds of crossing rows written out on one sheet."""

MOST_DRAWN = 24
"""Kinds of crossing rows written out with drawings."""

MOST_PASSES = 2000
"""Passes written out on one sheet, the kinds after them not; the first kind always is."""

MOST_DRAWN_PASSES = 500
"""Passes drawn on one sheet, the kinds after them in words only."""

MOST_SHOWN = 48
"""Needles a drawing shows; on a wider panel the drawing is cut to the part in play."""

UNSET = -1.0
"""No size on any dial: a row written out by itself begins by naming its own."""


@dataclass(frozen=True, slots=True)
class CrossingKind:
    """Crossing rows that are knit alike but for the side they begin on.

    ``crossings`` are (cable index, crossing); ``tallies`` say how many rows
    begin on each side, and the first of them.
    """

    letter: str
    size: float
    crossings: tuple[tuple[int, Crossing], ...]
    tallies: dict[Side, Tally]

    @property
    def first(self) -> int:
        return min(tally.first for tally in self.tallies.values())

    def row(self, working: Working, side: Side) -> Row:
        """A row of this kind from that side, with nothing told."""
        tally = self.tallies.get(side) or next(iter(self.tallies.values()))
        return replace(tally.row, side=side, told=(), weights=False)


@dataclass(frozen=True, slots=True)
class Pass:
    """A step of a row written out by itself: what is done, the dial and the bed before it."""

    step: Step
    dial: float
    view: View


def letters(count: int) -> str:
    """``A`` for 0, ``B`` for 1, … ``Z``, ``AA``, ``AB``, …"""
    name = ""
    count += 1
    while count:
        count, last = divmod(count - 1, 26)
        name = chr(ord("A") + last) + name
    return name


def crossing_kinds(working: Working, cable: int | None = None) -> tuple[CrossingKind, ...]:
    """All kinds of crossing rows, or those in which one cable crosses, in the order they first come."""
    found: dict[tuple[float, tuple[tuple[int, Crossing], ...]], dict[Side, Tally]] = {}
    for tally in working.calendar.kinds().values():
        if tally.row.crossed:
            found.setdefault((tally.row.size, tally.row.cables), {}).setdefault(tally.row.side, tally)
    ordered = sorted(found.items(), key=lambda item: min(t.first for t in item[1].values()))
    kinds = (
        CrossingKind(letters(i), size, crossings, tallies) for i, ((size, crossings), tallies) in enumerate(ordered)
    )
    return tuple(k for k in kinds if cable is None or any(i == cable for i, _ in k.crossings))


def passes(working: Working, row: Row, *, drawn: bool = True) -> list[Pass]:
    """A row's steps with the bed before each, its view only good where it is ``drawn``.

    Raises BedFault if the bed refuses one.
    """
    moves = working.moves_of(row, UNSET)
    plan = working.plan
    bed = Bed(plan.panel.needles, working.in_work, carriage=row.side, dial=row.size, dial_range=plan.machine.dial)
    found, dial = [], row.size
    for step in steps(moves):
        view = View(bed.copy(), step.moves, _near(step, row, bed), row.size) if drawn else View(bed)
        found.append(Pass(step, dial, view))
        for move in step.moves:
            bed.push(move)
            dial = move.size if isinstance(move, Dial) else dial
    return found


def _near(step: Step, row: Row, bed: Bed) -> tuple[Crossed, ...]:
    """The cables to bracket: all of the row, or on a wide panel those where the step is at work."""
    if len(bed.panel) <= MOST_SHOWN:
        return row.crossed
    if (cross := step.crosses) is not None:
        return tuple(c for c in row.crossed if c.crossing == cross.crossing)
    push = next((m for m in step.moves if isinstance(m, Push)), None)
    at = int(push.beyond if push else bed.carriage[0])

    def away(crossed: Crossed) -> int:
        span = crossed.crossing.span
        return max(int(span.left) - at, at - int(span.right), 0)

    return (min(row.crossed, key=away),)


# --- in sections ----------------------------------------------------------


def crossings_section(
    working: Working, kinds: tuple[CrossingKind, ...], detail: Detail, names: Letters, of: int
) -> Section:
    """All kinds written out. ``of`` is how many there are in the whole plan."""
    intro = [
        Para(
            "Each kind of crossing row is written once, from COR and from COL; the row calendar says which row is of "
            "which kind. The row prepares the stitches; the crossing follows it, before the next row. "
            "Every needle in work that is not named stays as it is."
        )
    ]
    written = max(1, min(MOST_KINDS, _within(working, kinds, MOST_PASSES)))
    drawn = min(MOST_DRAWN, _within(working, kinds, MOST_DRAWN_PASSES))
    if len(kinds) > written:
        first = (
            f"The first {written} of {len(kinds):,} kinds are"
            if written > 1
            else f"The first of {len(kinds):,} kinds is"
        )
        intro.append(Para(f"{first} written out here, in order of rows."))
    if detail is not Detail.SHORT and len(kinds) > drawn:
        first = f"The first {drawn} kinds are drawn; those after them are" if drawn else "No kind is drawn; all are"
        intro.append(Para(f"{first} in words only."))
    if detail is Detail.WORKING:
        intro.append(Para("Rows that do not begin on a side in this plan are written for that side in words only."))
    if len(kinds) < of:
        intro.append(Para(f"This sheet keeps to {len(kinds)} of the plan's {of} kinds."))
    legend = (StripLegend(),) if detail is not Detail.SHORT and kinds else ()
    sections = tuple(
        _kind_section(working, kind, detail, names, drawn=detail is not Detail.SHORT and i < drawn)
        for i, kind in enumerate(kinds[:written])
    )
    return Section("Crossing rows", (*intro, *legend), sections)


def _within(working: Working, kinds: tuple[CrossingKind, ...], most: int) -> int:
    """How many of the kinds, from the first, have at most so many passes together, from both sides."""
    passes = accumulate(2 * fewest_movements(working.demand(k.row(working, Side.RIGHT))) for k in kinds)
    return sum(1 for so_far in passes if so_far <= most)


def _kind_section(working: Working, kind: CrossingKind, detail: Detail, names: Letters, *, drawn: bool) -> Section:
    about: list[str] = []
    for index, crossing in kind.crossings:
        side = crossing.front_side
        about.append(
            f"{working.plan.cable[index].name}: {crossing.words}, the {side} half {_dash(crossing.front)} in front, "
            f"the {side.other} half {_dash(crossing.back)} behind"
        )
    blocks: list[Items | Table] = [Items(tuple(about))]
    if detail is Detail.FULL:
        blocks += _asked(working, kind)
    sections = tuple(
        # To work from, the rows there are want drawings; to learn from, the mirror image wants them too.
        _side_section(
            working, kind, side, detail, names, drawn=drawn and (detail is Detail.FULL or side in kind.tallies)
        )
        for side in (Side.RIGHT, Side.LEFT)
    )
    return Section(f"Crossing row {kind.letter}", tuple(blocks), sections)


def _dash(span: object) -> str:
    return str(span).replace("-", "–")


def _asked(working: Working, kind: CrossingKind) -> Iterator[Items | Table]:
    """What the row asks of each needle, and why it is eased that way."""
    demand = working.demand(kind.row(working, Side.RIGHT))
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
    reasons = []
    for index, crossing in kind.crossings:
        choice = working.choice(index, crossing, kind.size)
        reasons.append(f"{working.plan.cable[index].name}: {choice.why}")
    yield Items(tuple(reasons))


def times_words(tally: Tally | None) -> str:
    """How often, and where first."""
    if tally is None:
        return "not in this plan as it stands; here in case rows are added or ripped back"
    if tally.count == 1:
        return f"row {tally.first:,}"
    return f"{tally.count:,} rows, the first is row {tally.first:,}"


def _side_section(
    working: Working, kind: CrossingKind, side: Side, detail: Detail, names: Letters, *, drawn: bool
) -> Section:
    heading = f"{kind.letter} from {side.carriage}"
    row = kind.row(working, side)
    found = passes(working, row, drawn=drawn)
    pushes = sum(isinstance(move, Push) for one in found for move in one.step.moves)
    start = f"{times_words(kind.tallies.get(side))[0].upper()}{times_words(kind.tallies.get(side))[1:]}."
    count = f"{pushes} movement{'s' if pushes != 1 else ''} of the carriage; it begins {side.carriage}."
    about = Para(f"{start} {count}")
    if detail is Detail.SHORT:
        lines = tuple(step_short(one.step, working.in_work, names) for one in found)
        return Section(heading, (about, Steps(lines)), whole=True)
    moves = tuple(move for one in found for move in one.step.moves)
    asked = asked_in(working, row)
    sections = []
    for one in found:
        blocks: list[Steps | Strip | Para] = [Steps(step_lines(one.step, one.dial, working.in_work, names))]
        if drawn:
            blocks.append(Strip(one.view, bed_words(one.view.bed, one.step, working.in_work)))
        if detail is Detail.FULL:
            blocks.append(Para(f"Why: {why(working, row, moves, one.step, asked)}"))
        sections.append(Section(one.step.title, tuple(blocks), whole=True))
    return Section(heading, (about,), tuple(sections))


def plain_row(working: Working, side: Side, size: float) -> tuple[Move, ...]:
    """A row without crossings, its size named first."""
    row = working.calendar.row(1)
    return working.moves_of(replace(row, side=side, size=size, works=(), told=(), weights=False), UNSET)
