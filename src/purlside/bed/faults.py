"""What a real bed would punish, named: the fault, the needles, the mend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum

from purlside.bed.needles import Needle, needles_text
from purlside.values import Value


class Fault(Enum):
    """Everything a real bed would punish; the value is the mend."""

    BACK_UP_KNITS = "hold them before the carriage goes back"
    FLOAT_IN_PASS = "end the pass there, or return the needles between"
    FLOAT_FROM_YARN = "begin the pass where the yarn lies, or next to it"
    KNITS_NOTHING = "return the needles to be knit, or leave the pass out"
    NO_LOOP = "hang a stitch on it, or push it out of work"
    ROW_NOT_FINISHED = "finish the row on these needles before crossing them"
    UNDER_CARRIAGE = "take the carriage past the cable before crossing"
    TOO_MANY_LOOPS = "put each stitch on a needle of its own"
    HELD_AT_END = "return them to upper working before the next row"
    WRONG_SIDE = "take the carriage to the other side, or say where it stands"
    OFF_DIAL = "choose a size on the dial"
    OUTSIDE_PANEL = "move the crossing inside the panel, or widen the panel"
    OUT_OF_WORK = "bring the needle into work, or move the crossing"
    SHARES_NEEDLES = "cross one of them in another row"
    SKIPS_NEEDLES = "let the two halves touch"
    ROWS_MISSING = "knit them as often as the row asks"
    WRONG_NEEDLES = "name just the needles that are not held"
    WRONG_WAY = "send the carriage towards a needle that lies ahead of it"
    EMPTY_IN_WORK = "fill it from the purl bump of its neighbour, or put it out of work"
    EMPTY_SIDE_BY_SIDE = "bring in one needle at a time, or cast on"
    ALREADY_IN_WORK = "name a needle that is out of work"
    YARN_ELSEWHERE = "wait for the row in which the carriage stands at that edge"
    NONE_LEFT = "keep a needle in work"
    STILL_LOADED = "move its loop to a neighbour first, or it would drop"
    NOT_TOUCHED = "return it first: a resting needle keeps its stitch"


class Found(Value):
    """One fault of one move: what is wrong, with which needles, and the mend."""

    fault: Fault
    what: str
    needles: tuple[Needle, ...] = ()

    @property
    def mend(self) -> str:
        return self.fault.value

    def __str__(self) -> str:
        return f"{self.what}; {self.mend}"


def found_of(fault: Fault, what: str, needles: Iterable[Needle]) -> list[Found]:
    """That fault of these needles, which stand for ``{}`` in ``what``; nothing where there are none."""
    named = tuple(needles)
    return [Found(fault, what.format(needles_text(named)), named)] if named else []


class BedFault(Exception):
    """A move the bed refuses. ``found`` names every fault; the bed is unchanged."""

    def __init__(self, row: int | str | None, move: object | None, found: Sequence[Found]) -> None:
        self.row, self.move, self.found = row, move, tuple(found)
        where = ", ".join(
            [*([f"row {row}"] if row is not None else []), *([f"move '{move}'"] if move is not None else [])]
        )
        super().__init__(f"{where}: {'; '.join(map(str, found))}" if where else "; ".join(map(str, found)))
