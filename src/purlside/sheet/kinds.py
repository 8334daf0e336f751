"""The kinds of rows that are more than plain: each has a letter, and is written once for each side it begins on.

A cable that follows an edge crosses on other needles each time and is one
crossing all the same: it is told from its edge. In a part that mirrors another
a kind has the letter of the one it mirrors.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import field, replace
from itertools import groupby

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import Dial, Knit, Tell
from purlside.bed.needles import Crossing, Needle, Side
from purlside.fabric.described import rows_text
from purlside.plan.mirror import crossing as mirrored_crossing
from purlside.plan.mirror import needle as mirrored_needle
from purlside.rows.calendar import Calendar
from purlside.rows.row import Row
from purlside.rows.steps import Step, steps
from purlside.rows.working import Working
from purlside.values import Value, dataclass
from purlside.work.crossing import Crossed
from purlside.work.work import StitchKind, Work


def letters(count: int) -> str:
    """``A`` for 0, ``B`` for 1, … ``Z``, ``AA``, ``AB``, …"""
    name = ""
    count += 1
    while count:
        count, last = divmod(count - 1, 26)
        name = chr(ord("A") + last) + name
    return name


def special(row: Row) -> tuple[Work, ...]:
    """What a row is asked between its edges: crossings and work on single needles. Shaping is told by its own rule."""
    return tuple(work for work in row.works if isinstance(work, (Crossed, StitchKind)))


MIRRORED = " mirrored"
"""Stands after the letter of a kind in a part that mirrors another."""


@dataclass(slots=True)
class RowKind:
    """Rows that are knit alike but for the side they begin on and the edges: by side, the first of them as it is.

    ``mirrors`` is the letter of the kind it is the mirror image of, in a part that mirrors another.
    """

    letter: str
    row: Row
    rows: dict[Side, list[int]] = field(default_factory=dict)
    mirrors: str = ""

    @property
    def works(self) -> tuple[Work, ...]:
        return special(self.row)

    def has(self, cable: str) -> bool:
        """Whether that cable crosses in it."""
        return any(crossed.name == cable for crossed in self.row.crossed)

    def shown(self, calendar: Calendar, side: Side) -> int:
        """The row of that side it is written from: one in which nothing else falls, where there is one."""
        many = len(self.works)
        quiet = (
            n
            for n in self.rows[side]
            if len(calendar.like(n).works) == many and not calendar.weights(n) and not calendar.told(n)
        )
        return next(quiet, self.rows[side][0])


class SheetRows(Value):
    """All rows of a plan in the order they are knit: each with its kind, None for a plain one.

    ``likes`` are the first rows like them (:meth:`Calendar.like`).
    """

    working: Working
    calendar: Calendar
    likes: tuple[Row, ...]
    kinds: tuple[RowKind, ...]
    of: tuple[RowKind | None, ...]

    def kind(self, number: int) -> RowKind | None:
        return self.of[number - 1]

    def called(self, work: Work) -> str:
        """What a work is called: a crossing by its motif, or its cable."""
        return thing(self.calendar, work) if isinstance(work, Crossed) else work.label

    def said(self, numbers: Iterable[int]) -> str:
        """Rows as the fabric counts them, those of a part after its name: ``"8 and 16; left shoulder 153"``."""
        parts = [
            (part, [self.calendar.fabric_row(number) for number in of])
            for part, of in groupby(numbers, key=lambda number: self.likes[number - 1].part)
        ]
        return "; ".join(f"{part} {rows_text(of)}" if part else rows_text(of) for part, of in parts)


def sheet_rows(calendar: Calendar, *, apart: bool = True) -> SheetRows:
    """Every row by its kind; kinds in the order they first come.

    ``apart``: rows in which a cable has followed its edge onto other needles are kinds of their own.
    """
    mirrors = {part.name for part in calendar.plan.part if part.mirrors}
    likes = tuple(calendar.like(number) for number in range(1, calendar.rows + 1))
    found: dict[Hashable, RowKind] = {}
    seen: dict[Hashable, RowKind] = {}
    of_like: dict[int, RowKind | None] = {}
    for row in {like.number: like for like in likes}.values():
        if not (works := special(row)):
            of_like[row.number] = None
            continue
        # Alike but for their side and their edges: what is done first depends on where the carriage stands.
        key = row.size, frozenset(work.alike if apart else _alike(calendar, work) for work in works)
        if (kind := found.get(key)) is None:
            like = seen.get(_where(row, mirrored=True)) if row.part in mirrors else None
            if like is not None:
                kind = RowKind(like.letter + MIRRORED, row, mirrors=like.letter)
            else:
                kind = RowKind(letters(sum(not kind.mirrors for kind in found.values())), row)
            found[key] = kind
        if mirrors and not kind.mirrors:
            seen.setdefault(_where(row), kind)
        of_like[row.number] = kind
    of = tuple(of_like[like.number] for like in likes)
    for number, its in enumerate(of, 1):
        if its is not None:
            its.rows.setdefault(calendar.side(number), []).append(number)
    return SheetRows(Working(calendar), calendar, likes, tuple(found.values()), of)


def thing(calendar: Calendar, made: Crossed) -> str:
    """What a crossing belongs to: the motif its cable was laid as, else the cable."""
    return calendar.cables[made.cable].motif or made.name


def placed(calendar: Calendar, made: Crossed) -> Crossing:
    """A crossing as it is told: that of a cable that follows an edge on its needles of row 1."""
    if calendar.cables[made.cable].follows is None:
        return made.crossing
    return calendar.crossing(made.cable, made.k).crossing


def _alike(calendar: Calendar, work: Work) -> Hashable:
    if not isinstance(work, Crossed) or calendar.cables[work.cable].follows is None:
        return work.alike
    return replace(work, k=0, of=0, crossing=placed(calendar, work))


def _where(row: Row, *, mirrored: bool = False) -> Hashable:
    """What a row is asked and on which needles, whatever the cables are called; or that in the mirror."""

    def named(work: Work) -> Hashable:
        if isinstance(work, Crossed):
            return mirrored_crossing(work.crossing) if mirrored else work.crossing
        needles = map(mirrored_needle, work.needles) if mirrored else iter(work.needles)
        return work.title, tuple(sorted(map(int, needles))), work.down

    return row.size, frozenset(named(work) for work in special(row))


class Pass(Value):
    """A step of a row: what is done, the dial and the bed before it."""

    step: Step
    dial: float
    bed: Bed


def in_play(working: Working, number: int) -> tuple[Needle, ...]:
    """The needles in work before a row or in it, in bed order."""
    row = working.calendar.row(number)
    return tuple(sorted({*working.in_work_before(number), *row.needles, *row.resting}))


def row_moves(working: Working, number: int) -> tuple[Move, ...]:
    """A row's moves by themselves: nothing told, its stitch size named first."""
    moves = tuple(move for move in working.moves(number) if not isinstance(move, Tell))
    first = next((move for move in moves if isinstance(move, (Dial, Knit))), None)
    if isinstance(first, Knit):
        return (Dial(working.dial_before(number)), *moves)
    return moves


def shaping_moves(working: Working, number: int) -> tuple[Move, ...]:
    """Those with which a row's edges are shaped before it is knit."""
    return tuple(move for work in working.calendar.row(number).shaped for move in work.before())


def knit_moves(working: Working, number: int) -> tuple[Move, ...]:
    """Those of them that come between its shaping and what is done once the row is knit, as its crossings."""
    row = working.calendar.row(number)
    before = shaping_moves(working, number)
    moves = tuple(move for move in row_moves(working, number) if move not in before)
    after = [move for work in row.works for move in work.after(working)]
    return moves[: next((i for i, move in enumerate(moves) if move in after), len(moves))]


def passes(working: Working, number: int, moves: tuple[Move, ...], done: tuple[Move, ...] = ()) -> list[Pass]:
    """Moves of a row as steps, with the bed before each; ``done`` are made first. Raises BedFault if the bed refuses one."""
    bed = working.bed_before(number)
    for move in done:
        bed.push(move)
    found = []
    for step in steps(moves):
        found.append(Pass(step, bed.dial, bed.copy()))
        for move in step.moves:
            bed.push(move)
    return found
