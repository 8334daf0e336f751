"""Ripping back: what was done in the rows ripped out that the yarn does not undo, undone from the latest to the first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from purlside.bed.bed import Move
from purlside.bed.headline import ranges
from purlside.bed.moves import ByHand, Hold, Join, Knit
from purlside.bed.needles import Needle, needles_text
from purlside.bed.transfers import Cross
from purlside.knitting.accidents import Unravelled
from purlside.knitting.course import Course
from purlside.knitting.cursor import Knitting
from purlside.knitting.mends import ByWord, RipOut, Uncross
from purlside.text.counts import counted
from purlside.values import Value

MOST_UNDONE = 300
"""Things to undo that one rip tells each for itself: its line in the ledger keeps them all."""


class Undone(Value):
    """A move that is to be undone. It was made in row ``row``, ``after`` knitting in it or before; ``work`` says what for."""

    row: int
    move: Move
    after: bool
    work: str = ""

    @property
    def above(self) -> int:
        """The row down to whose end must be ripped first."""
        return self.row if self.after else self.row - 1


def unknit_from(knitting: Knitting) -> int:
    """The first row in which nothing is knit yet: the one after the row in hand, once a pass of that is made."""
    return knitting.place.row + any(knitting.bed.rows)


def undone(knitting: Knitting, course: Course, to: int) -> Iterator[Undone]:
    """All that was done in row ``to`` or later and that the yarn does not undo, the latest first."""
    yield from _of_row_in_hand(knitting)
    for number in range(min(knitting.place.row - 1, course.rows), to - 1, -1):
        made = course.row(number)
        if made.works:
            yield from (Undone(number, Cross(c.name, c.crossing), True) for c in reversed(made.along))
            yield from (Undone(number, m, False, w.words) for w in reversed(made.works) for m in reversed(w.before()))


def _of_row_in_hand(knitting: Knitting) -> Iterator[Undone]:
    row, done = knitting.place
    works = {m: work.words for work in knitting.row.works for m in work.before()} if knitting.row else {}
    moves = knitting.moves[:done]
    shaped = next((i for i, move in enumerate(moves) if isinstance(move, Knit | ByHand)), done)
    for i in reversed(range(done)):
        yield Undone(row, moves[i], i >= shaped, works.get(moves[i], "") if i < shaped else "")


class WayDown:
    """The way from where the knitting stands to the start of row ``to``, in the order in which the hands must go it.

    ``held`` are the needles that rest there.
    """

    def __init__(self, knitting: Knitting, course: Course, to: int, held: Iterable[Needle]) -> None:
        self.knitting, self.course, self.to = knitting, course, to
        self._now = set(knitting.bed.held)
        self._then = set(held)

    def moves(self) -> Iterator[Move]:
        """What is told, one thing to do each: rows to rip out, crossings, edges, resting needles."""
        down = unknit_from(self.knitting)
        rest = set(self._now)
        told = 0
        yield from self._left_of_the_last()
        for one in undone(self.knitting, self.course, self.to):
            move = one.move
            if isinstance(move, Hold):
                rest -= set(move.needles)
            elif isinstance(move, Cross) or move.put_back:
                told += 1
                if told > MOST_UNDONE:
                    continue
                yield from self._ripped(down, one.above)
                down = min(down, one.above + 1)
                # The yarn comes out of held needles too: they are returned where stitches are handled, and held at the end.
                yield from () if isinstance(move, Join) else self._rested(rest)
                yield self._undoing(one)
        if (more := told - MOST_UNDONE) > 0:
            yield ByWord(f"On the way down {counted(more, 'thing')} more to undo, each like those above", "GO ON ALIKE")
        yield from self._ripped(down, self.to - 1)
        yield from self._rested(self._then)

    def _left_of_the_last(self) -> Iterator[Move]:
        """What is still to be done of a rip that was said in this row: the next one begins with it."""
        row, done = self.knitting.place
        if not any(isinstance(one, Unravelled) for one in self.course.accidents(row)[-1:]):
            return
        left = (step for step in self.knitting.steps if step.mends and step.last > done)
        moves = (self.knitting.moves[max(step.first, done) : step.last] for step in left)
        yield from (move for move in chain.from_iterable(moves) if isinstance(move, ByWord | Uncross))

    def _undoing(self, one: Undone) -> Move:
        if isinstance(one.move, Cross):
            return Uncross(one.move.cable, one.move.crossing)
        row = f"row {self.named(one.row)}"
        why = one.work if isinstance(one.move, Join) else f"{row}: {one.work}" if one.work else row
        return ByWord(f"{one.move.put_back} ({why})", "PUT BACK")

    def _ripped(self, down: int, last: int) -> Iterator[Move]:
        """Out with the rows from the start of row ``down`` to the end of row ``last``."""
        if down <= last + 1:
            return
        if last + 1 == self.to:
            rows = counted(down - self.to, "row")
            yield RipOut(f"Rip out {rows}, to the start of row {self.named(self.to)}", f"RIP {rows.upper()}")
        else:
            fabric = self.course.row(last).fabric
            yield RipOut(f"Rip back to the end of row {self.named(last)}", f"RIP TO {fabric:,}")

    def _rested(self, wanted: set[Needle]) -> Iterator[Move]:
        """Needles held and returned, so that those rest that rested then."""
        hold, back = sorted(wanted - self._now), sorted(self._now - wanted)
        self._now = set(wanted)
        within = self.knitting.bed.in_work
        if hold:
            yield ByWord(f"Hold {needles_text(hold, within)}", f"HOLD {ranges(tuple(hold))}")
        if back:
            yield ByWord(f"Return {needles_text(back, within)} to working position", f"RETURN {ranges(tuple(back))}")

    def named(self, number: int) -> str:
        """A row as it is told on the way: its part is named where the way leads from one part into another."""
        row, here, there = (
            self.course.row(min(n, self.course.rows)) for n in (number, self.knitting.place.row, self.to)
        )
        return f"{row.fabric:,}" if row.part is None or row.part == here.part == there.part else str(row.label)
