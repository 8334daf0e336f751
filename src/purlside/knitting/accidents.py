"""Accidents: what befell the bed in a row, and what puts it right, move by move.

An accident is said when ``done`` moves of row ``at`` were made. It splits the
row's moves: those made before it, what befell the bed, what mends it, and what
of the row is left then. All of it is replayed on the bed like any other move.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Push, Return
from purlside.bed.needles import Crossing, Needle, Position, Side, Span, needles_text
from purlside.knitting import mends
from purlside.knitting.deviations import Deviation, DoesNotFit
from purlside.rows.row import Row
from purlside.text.counts import counted
from purlside.values import Value

FREE = "Don't force the carriage: free the latches, and lift or slide it off as its manual says"
NO_PASS = "there is no such pass in the step in hand"
TAILS = "leave a hand's length of both ends, to be woven in"


class Begun(NamedTuple):
    """A row under way: as it was begun; once it was shaped, its moves as planned and the bed; and the bed as it is now."""

    row: Row
    planned: tuple[Move, ...]
    before: Bed
    bed: Bed


class Mended(NamedTuple):
    """What befell the bed, what mends it, and what of the row is left then."""

    befell: tuple[Move, ...]
    mend: tuple[Move, ...]
    rest: tuple[Move, ...]


class Accident(Deviation, Value):
    """Something that befell the bed when ``done`` moves of row ``at`` were made."""

    at: int
    done: int

    @property
    def plain(self) -> bool:
        """Whether the row is knit plain after all."""
        return False

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        """What happened and what mends it; ``left`` are the row's moves from ``done`` on. Raises DoesNotFit."""
        raise NotImplementedError


class HoldOff(Accident):
    """In the next push hold was off, and every needle as far as ``last`` was knit.

    ``way``: "back" unknits what was knit wrongly, "start" the whole row, "plain" knits
    the row on as a plain one.
    """

    form = "hold off to {last} at {at}.{done}, {way}"
    said = "Hold was off in row {at:,}, knit as far as {last}"
    last: Needle
    way: str

    @property
    def plain(self) -> bool:
        return self.way == "plain"

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        if not left or not isinstance(push := left[0], Knit | BackUp):
            raise DoesNotFit(NO_PASS)
        bed = begun.bed
        asked = push.needles if isinstance(push, Knit) else ()
        if not bed.on_way(push.toward, self.last):
            raise DoesNotFit(f"{self.last} is not on this pass's way")
        passed = tuple(n for n in bed.passed(push.toward, self.last) if bed.working(n))
        wrong = tuple(n for n in passed if n not in asked)
        if not wrong or not set(asked) <= set(passed):
            raise DoesNotFit(
                f"this pass ends with {asked[-1]}: name a held needle beyond it" if asked else "none was knit"
            )
        last, across = passed[-1], begun.row.across.edge(push.toward)
        outermost = max if push.toward is Side.RIGHT else min
        beyond = outermost(last, across) if last == begun.before.edge(push.toward) else last
        befell = mends.HeldKnit(push.toward, beyond, passed)
        after = _with(bed, befell)
        if self.way == "start":
            return Mended((befell,), _to_start(begun, after), begun.planned)
        if self.way == "plain":
            return Mended((befell,), *_plain(begun, after, left))
        if asked and passed[0] in wrong:
            # The pass began over held needles: it is knit again whole.
            again = (_unknit(begun, after, len(passed)), Hold(tuple(sorted(passed))))
            back = (BackUp(push.toward.other, passed[0]), Return(tuple(sorted(asked))))
            return Mended((befell,), (*again, *back), left)
        mend: list[Move] = [_unknit(begun, after, len(wrong)), Hold(tuple(sorted(wrong)))]
        if isinstance(push, Knit):
            mend.append(BackUp(push.toward.other, wrong[0]))
        elif _with(after, *mend).on_way(push.toward, push.beyond):
            mend.append(BackUp(push.toward, push.beyond))
        return Mended((befell,), tuple(mend), left[1:])


class Jammed(Accident):
    """In the next push the carriage stuck; ``last`` is the needle knit last. ``way``: knit "on", or go "back"."""

    form = "jammed at {last} at {at}.{done}, {way}"
    said = "Carriage jammed in row {at:,}, {last} knit last"
    last: Needle
    way: str

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        push, knit, rest = _parted(left, self.last)
        befell = Knit(push.toward, self.last, knit)
        back: tuple[Move, ...] = (Hold(tuple(sorted(knit))), BackUp(push.toward.other, knit[0]))
        if self.way == "back":
            after = _with(begun.bed, befell)
            if not set(begun.bed.held) - set(begun.before.held):
                back = (mends.Across(push.toward.other, knit[0]),)
            else:
                back = (*back, Return(tuple(sorted(knit))))
            return Mended((befell,), (mends.ByWord(FREE, "FREE IT"), _unknit(begun, after, len(knit)), *back), left)
        on = (Knit(push.toward, push.beyond, rest), Return(tuple(sorted(knit))))
        return Mended((befell,), (mends.ByWord(FREE, "FREE IT"), *back, *on), left[1:])


class YarnEnded(Accident):
    """The yarn ended or broke where it lies, or in the next push after ``last`` was knit.

    ``way``: joined "here", in the row, or at the "edge", the row unknit.
    """

    form = "yarn ended at {last} at {at}.{done}, joined {way}"
    last: Needle
    way: str

    @property
    def words(self) -> str:
        return f"Yarn joined {'at the edge' if self.way == 'edge' else f'at {self.last}'} in row {self.at:,}"

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        bed, row = begun.bed, begun.row
        here = mends.ByWord(f"Join the new yarn at {self.last}; {TAILS}", "JOIN YARN")
        edge = mends.ByWord(f"Join the new yarn at the {row.side} edge; {TAILS}", "JOIN YARN")
        if self.last == bed.yarn:
            if self.way == "here" or not _path(begun, bed):
                return Mended((), (edge if not _path(begun, bed) else here,), left)
            return Mended((), (*_to_start(begun, bed), edge), begun.planned)
        push, knit, off = _parted(left, self.last)
        befell: tuple[Move, ...] = (Knit(push.toward, self.last, knit), mends.RanEmpty(push.toward, push.beyond, off))
        after = _with(bed, *befell)
        hung = mends.Rehang(tuple(sorted(off)))
        if self.way == "edge":
            return Mended(befell, (hung, *_to_start(begun, _with(after, hung)), edge), begun.planned)
        every, again = tuple(sorted(push.needles)), Knit(push.toward, push.beyond, off)
        back = (Hold(every), BackUp(push.toward.other, knit[0]), Return(tuple(sorted(off))))
        return Mended(befell, (hung, here, *back, again, Return(tuple(sorted(knit)))), left[1:])


class Dropped(Accident):
    """Stitches dropped off their needles, ``rows`` rows down."""

    form = "dropped {needles} by {rows} at {at}.{done}"
    needles: Span
    rows: int

    @property
    def words(self) -> str:
        return f"{needles_text(self.needles, count=False)} dropped in row {self.at:,}"

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        off = _hanging(self.needles, begun.bed)
        return Mended((mends.LetDown(off, self.rows, fell=True),), (mends.Rehang(off, self.rows),), left)


class Broken(Accident):
    """Stitches broke, as a crossing was made: caught, and worked in again with a length of yarn."""

    form = "broken {needles} at {at}.{done}"
    needles: Span

    @property
    def words(self) -> str:
        return f"{needles_text(self.needles, count=False)} broke in row {self.at:,}, mended"

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        off = _hanging(self.needles, begun.bed)
        caught = mends.ByWord(
            "Catch the loop below on a safety pin before it runs, and fasten both broken ends", "CATCH IT"
        )
        mended = mends.ByWord(f"Work a hand's length of the same yarn in as the broken stitch; {TAILS}", "WORK IT IN")
        return Mended((mends.LetDown(off, 1, fell=True),), (caught, mended, mends.Rehang(off)), left)


class Recrossed(Accident):
    """A crossing was made with the wrong half in front, ``rows`` rows down, and is made again as planned."""

    form = "crossed again {crossing}, {rows} rows down at {at}.{done}: {cable}"
    said = "{cable} crossed again, the right way"
    crossing: Crossing
    rows: int
    cable: str

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        again, needles = mends.Recross(self.cable, self.crossing), self.crossing.needles
        if not self.rows:
            return Mended((), (again,), left)
        return Mended((), (mends.LetDown(needles, self.rows), again, mends.Rehang(needles, self.rows)), left)


class Unravelled(Accident):
    """Ripped back to row ``at``: the carriage and the dial as they were then, and the way down to it."""

    form = "unravelled from {row}, carriage {side}, dial {dial} at {at}.{done}: {crossings}"
    said = "Ripped back to row {at:,}"
    row: int
    """The first row in which nothing was knit."""
    side: Side
    dial: float
    crossings: str
    """JSON: what is done on the way down, in its order. As it was written once: of each crossing and edge the row at
    whose end it is undone; cable and crossing, or for an edge what to do; the rows between are ripped out."""

    @classmethod
    def saying(cls, at: int, row: int, side: Side, dial: float, way: Iterable[Move]) -> Unravelled:
        return cls(at, 0, row, side, dial, json.dumps([_told(move) for move in way]))

    def mended(self, begun: Begun, left: tuple[Move, ...]) -> Mended:
        stands = mends.Stands(self.side, self.dial)
        way = json.loads(self.crossings)
        once = not way or isinstance(way[0], list)
        mend = [*(self._told_once(way) if once else map(_read, way))]
        mend += _home(begun, _with(begun.bed, stands))
        return Mended((stands,), tuple(mend), left)

    def _told_once(self, undone: Iterable[tuple[int, str, str]]) -> Iterator[Move]:
        down = self.row
        for last, name, text in undone:
            if down > last + 1:
                yield self._ripped(down, last)
            yield mends.Uncross(name, Crossing.parse(text)) if name else mends.ByWord(text, "PUT BACK")
            down = last + 1
        if down > self.at:
            yield self._ripped(down, self.at - 1)

    def _ripped(self, down: int, last: int) -> Move:
        if last >= self.at:
            return mends.RipOut(f"Rip back to the end of row {last:,}", f"RIP TO {last:,}")
        rows = counted(down - self.at, "row")
        return mends.RipOut(f"Rip out {rows}, to the start of row {self.at:,}", f"RIP {rows.upper()}")


def _told(move: Move) -> dict[str, str]:
    """A move of the way down as the ledger keeps it."""
    if isinstance(move, mends.Uncross):
        return {"cable": move.cable, "crossing": str(move.crossing)}
    assert isinstance(move, mends.ByWord)
    return {"rip" if isinstance(move, mends.RipOut) else "verb": move.verb, "text": move.text}


def _read(told: dict[str, str]) -> Move:
    if "cable" in told:
        return mends.Uncross(told["cable"], Crossing.parse(told["crossing"]))
    if "rip" in told:
        return mends.RipOut(told["text"], told["rip"])
    return mends.ByWord(told["text"], told["verb"])


def without_accidents(said: Iterable[Deviation]) -> tuple[Deviation, ...]:
    """What was said, but for what befell the bed."""
    return tuple(one for one in said if not isinstance(one, Accident))


# --- what mends are made of --------------------------------------------------------


def _with(bed: Bed, *moves: Move) -> Bed:
    """The bed once these are made. Raises BedFault."""
    mine = bed.copy()
    for move in moves:
        mine.push(move)
    return mine


def _hanging(needles: Span, bed: Bed) -> tuple[Needle, ...]:
    """Those of the needles that have a stitch. Raises DoesNotFit where none has."""
    if not (found := tuple(filter(bed.loops_on, needles))):
        raise DoesNotFit(f"no stitch hangs on {needles_text(needles, count=False)}")
    return found


def _parted(left: Sequence[Move], last: Needle) -> tuple[Knit, tuple[Needle, ...], tuple[Needle, ...]]:
    """The next pass, the needles it has knit when ``last`` was knit, and those it has not. Raises DoesNotFit."""
    if not left or not isinstance(push := left[0], Knit):
        raise DoesNotFit(NO_PASS)
    if last not in push.needles[:-1]:
        raise DoesNotFit(f"this pass knits {needles_text(push.needles)}; {last} is not one of them, or is its last")
    at = push.needles.index(last) + 1
    return push, push.needles[:at], push.needles[at:]


def _path(begun: Begun, bed: Bed) -> list[Needle]:
    """The needles knit since the row began and not unknit, in the order knit."""
    path: list[Needle] = []
    for move in bed.moves:
        if isinstance(move, Knit):
            path += move.needles
        elif isinstance(move, ByHand):
            yarn = path[-1] if path else begun.before.yarn
            path += sorted(move.needles, key=lambda n: abs(n - yarn))
        elif isinstance(move, mends.Unknit):
            del path[-len(move.needles) :]
    return path


def _unknit(begun: Begun, bed: Bed, many: int) -> mends.Unknit:
    """Take the last so many stitches back."""
    path = _path(begun, bed)
    back_to = path[-many - 1] if many < len(path) else begun.before.yarn
    return mends.Unknit(tuple(reversed(path[-many:])), back_to, begun.row.size)


def _home(begun: Begun, bed: Bed) -> list[Move]:
    """Take the carriage to where the row begins, the dial as it was then."""
    mend: list[Move] = []
    knit = tuple(n for n in bed.in_work if begun.before.at(n) is not Position.HP)
    side, beyond = begun.row.side, begun.before.carriage[0]
    if bed.side_of(knit) is not side:
        loose = tuple(n for n in knit if bed.at(n) is not Position.HP)
        if len(loose) == len(knit):
            mend.append(mends.Across(side, beyond))
        else:
            mend += [*([Hold(loose)] if loose else []), BackUp(side, beyond), Return(knit)]
    elif held := tuple(n for n in bed.held if begun.before.at(n) is not Position.HP):
        mend.append(Return(held))
    if bed.dial != begun.before.dial:
        mend.append(Dial(begun.before.dial))
    return mend


def _to_start(begun: Begun, bed: Bed) -> tuple[Move, ...]:
    """Unknit all of the row, and take the carriage back to where it began."""
    path = _path(begun, bed)
    unknit = [_unknit(begun, bed, len(path))] if path else []
    return (*unknit, *_home(begun, _with(bed, *unknit)))


def _plain(begun: Begun, bed: Bed, left: Sequence[Move]) -> tuple[tuple[Move, ...], tuple[Move, ...]]:
    """Knit the row on as a plain one; what is left of it then. Where a needle was knit twice the bed refuses it."""
    path, toward = _path(begun, bed), begun.row.side.other
    knit = [n for n in bed.in_work if begun.before.at(n) is not Position.HP]
    mend: list[Move] = []
    if held := tuple(n for n in bed.held if n in knit):
        mend.append(Return(held))
    if rest := tuple(n for n in (knit if toward is Side.RIGHT else reversed(knit)) if n not in set(path)):
        if bed.dial != begun.row.size:
            mend.append(Dial(begun.row.size))
        mend.append(Knit(toward, begun.row.across.edge(toward), rest))
    pushes = [i for i, move in enumerate(left) if isinstance(move, Push)]
    after = left[pushes[-1] + 1 :]
    return tuple(mend), tuple(m for m in after if not isinstance(m, Hold | Return | Dial | ByHand))
