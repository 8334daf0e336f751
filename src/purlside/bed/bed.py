"""The needle bed: one state, changed only by moves, refusing what a real bed would punish.

``push(move)`` changes the bed and ``pop()`` takes the last move back.
``faults(move)`` names everything that is wrong with a move without making it;
``push`` raises the first of them.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Any

from purlside.bed.demand import Demand
from purlside.bed.faults import BedFault, Fault, Found
from purlside.bed.moves import (
    BackUp,
    ByHand,
    Cross,
    Dial,
    Hold,
    Knit,
    Move,
    Return,
    Weights,
    needles_text,
    number,
    size_text,
)
from purlside.bed.needles import Needle, Side, Span

MOST_LOOPS = 2
"""Loops one needle can carry: the stitch and one transferred onto it. Common practice, no source."""

BY_HAND = math.inf
"""The size of a loop drawn back to the rail by hand: larger than the dial gives."""


class Position(StrEnum):
    """From the rail towards the knitter."""

    NWP = "nwp"
    WP = "wp"
    UWP = "uwp"
    HP = "hp"

    @property
    def words(self) -> str:
        return {"nwp": "non-working", "wp": "working", "uwp": "upper working", "hp": "holding"}[self.value]


@dataclass(slots=True)
class _Change:
    """What a move overwrote, enough to take it back."""

    cells: dict[str, list[Any]]
    carriage: tuple[Needle, Side]
    dial: float
    yarn: Needle
    crossed: frozenset[int]


class Bed:
    """The panel's needles, the carriage, the dial and the yarn.

    Lists have one entry a needle of ``panel``, left to right: ``position``,
    ``loops``, ``rows`` (worked in the row in hand), ``loop_size`` (dial number
    or :data:`BY_HAND`) and ``strand`` (which needle's stitch, as of the start,
    hangs here). ``loops`` given at the start are those of needles that do not
    carry one, as after a transfer. ``carriage`` is (needle, side): just past that needle on that
    side. ``yarn`` is the needle knit last.
    """

    def __init__(
        self,
        panel: Span,
        in_work: Iterable[Needle],
        *,
        carriage: Side,
        dial: float,
        dial_range: tuple[float, float] = (0.0, 10.0),
        loops: Mapping[Needle, int] | None = None,
    ) -> None:
        self.panel = panel
        self.dial_range = dial_range
        self.in_work = tuple(in_work)
        self._order = {int(n): i for i, n in enumerate(self.in_work)}
        self._needles = tuple(panel)
        width = len(panel)
        working = [int(n) in self._order for n in panel]
        self.position = [Position.WP if w else Position.NWP for w in working]
        self.loops = [1 if w else 0 for w in working]
        for needle, carried in (loops or {}).items():
            self.loops[self._i(needle)] = carried
        self.rows = [0] * width
        self.loop_size = [dial] * width
        self.strand = [int(n) for n in panel]
        self.carriage: tuple[Needle, Side] = (panel.edge(carriage), carriage)
        self.dial = dial
        edge = self.in_work[0] if carriage is Side.LEFT else self.in_work[-1]
        self.yarn = edge
        self.row: int | None = None
        self._crossed: frozenset[int] = frozenset()
        self._done: list[tuple[Move, _Change]] = []

    # --- asking -----------------------------------------------------------

    def _i(self, needle: int) -> int:
        return int(needle) - int(self.panel.left)

    def at(self, needle: int) -> Position:
        """Where a needle stands; outside the panel all are out of work."""
        return self.position[self._i(needle)] if needle in self.panel else Position.NWP

    @property
    def gap(self) -> int:
        """The place the carriage stands before: needles at or above it are to its right."""
        needle, side = self.carriage
        return int(needle) + (1 if side is Side.RIGHT else 0)

    @property
    def side(self) -> Side | None:
        """The side of the panel the carriage is outside of, or None within it."""
        if self.gap <= int(self.panel.left):
            return Side.LEFT
        return Side.RIGHT if self.gap > int(self.panel.right) else None

    def passed(self, toward: Side, beyond: Needle) -> Iterator[Needle]:
        """The panel's needles the carriage passes on the way, in that order."""
        left, places = int(self.panel.left), range(len(self._needles))
        if toward is Side.LEFT:
            places = places[max(int(beyond) - left, 0) : max(self.gap - left, 0)][::-1]
        else:
            places = places[max(self.gap - left, 0) : max(int(beyond) + 1 - left, 0)]
        return map(self._needles.__getitem__, places)

    @property
    def held(self) -> tuple[Needle, ...]:
        return tuple([n for n, p in zip(self._needles, self.position, strict=True) if p is Position.HP])

    @property
    def moves(self) -> tuple[Move, ...]:
        """The moves made since the start, oldest first."""
        return tuple(move for move, _ in self._done)

    def neighbours(self, a: int, b: int) -> bool:
        """Whether no needle in work lies between two needles in work."""
        return abs(self._order[int(a)] - self._order[int(b)]) <= 1

    def hand_order(self, needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
        """By-hand needles, all in work, in the order knit: from where the yarn lies."""
        place = self._order[int(self.yarn)]
        from_left = abs(self._order[int(needles[0])] - place) <= abs(self._order[int(needles[-1])] - place)
        return needles if from_left else tuple(reversed(needles))

    def snapshot(self) -> tuple[Any, ...]:
        """Everything that is true of the bed, as one comparable value."""
        return (
            tuple(self.position),
            tuple(self.loops),
            tuple(self.rows),
            tuple(self.loop_size),
            tuple(self.strand),
            self.carriage,
            self.dial,
            self.yarn,
        )

    def json(self) -> dict[str, Any]:
        """The outside contract's form of the bed."""
        needle, side = self.carriage
        return {
            "carriage": {"beyond": str(needle), "side": str(side)},
            "dial": number(self.dial),
            "needles": [
                {"n": str(n), "at": p.value, "loops": loops, "rows": rows}
                for n, p, loops, rows in zip(self.panel, self.position, self.loops, self.rows, strict=True)
            ],
        }

    # --- faults -----------------------------------------------------------

    def faults(self, move: Move) -> list[Found]:
        """Everything wrong with a move here and now; empty if the bed takes it."""
        match move:
            case Dial(size):
                low, high = self.dial_range
                if low <= size <= high:
                    return []
                return [Found(Fault.OFF_DIAL, f"SS {size_text(size)} is off the dial, {low:g} to {high:g}")]
            case Hold(needles) | Return(needles) | Weights(needles):
                return self._not_working(needles)
            case ByHand(needles):
                return self._not_working(needles) or self._hand_faults(needles)
            case Knit():
                return self._knit_faults(move)
            case BackUp(toward, beyond):
                return self._back_up_faults(toward, beyond)
            case Cross():
                return self._cross_faults(move)
            case _:
                return []

    def _not_working(self, needles: tuple[Needle, ...]) -> list[Found]:
        out = tuple(n for n in needles if int(n) not in self._order)
        if not out:
            return []
        return [Found(Fault.OUT_OF_WORK, f"{needles_text(out)} not in work", out)]

    def _thread(self, needles: Sequence[Needle]) -> list[Found]:
        """Faults of knitting these needles one after another with the yarn."""
        found = []
        if early := tuple(n for n in needles if int(n) in self._crossed) if self._crossed else ():
            told = f"{needles_text(early)} crossed already: their row was not finished"
            found.append(Found(Fault.ROW_NOT_FINISHED, told, early))
        if not self.neighbours(self.yarn, needles[0]):
            found.append(
                Found(
                    Fault.FLOAT_FROM_YARN,
                    f"a float from {self.yarn}, where the yarn lies, to {needles[0]}",
                    (self.yarn, needles[0]),
                )
            )
        order, left = self._order, int(self.panel.left)
        places = [order[n] for n in needles]
        for i, (place, then) in enumerate(pairwise(places)):
            if not -1 <= then - place <= 1:
                a, b = needles[i], needles[i + 1]
                found.append(Found(Fault.FLOAT_IN_PASS, f"a float from {a} to {b} inside the pass", (a, b)))
        loops = self.loops
        if empty := tuple([n for n in needles if not loops[n - left]]):
            found.append(Found(Fault.NO_LOOP, f"no loop on {needles_text(empty)}", empty))
        return found

    def _hand_faults(self, needles: tuple[Needle, ...]) -> list[Found]:
        if not needles:
            return [Found(Fault.KNITS_NOTHING, "no needle is named")]
        return self._thread(self.hand_order(needles))

    def _ahead(self, toward: Side, beyond: Needle) -> bool:
        return int(beyond) < self.gap if toward is Side.LEFT else int(beyond) >= self.gap

    def _knit_faults(self, move: Knit) -> list[Found]:
        if not self._ahead(move.toward, move.beyond):
            return [Found(Fault.WRONG_WAY, f"{move.beyond} is not ahead of the carriage", (move.beyond,))]
        knit = self._working(move.toward, move.beyond)
        if not knit:
            return [Found(Fault.KNITS_NOTHING, "the carriage would pass and knit nothing")]
        found = []
        if knit != move.needles:
            wrong = tuple(sorted(set(knit) ^ set(move.needles))) or knit
            found.append(
                Found(
                    Fault.WRONG_NEEDLES,
                    f"the carriage would knit {needles_text(knit)}, not {needles_text(move.needles)}",
                    wrong,
                )
            )
        return found + self._thread(knit)

    def _working(self, toward: Side, beyond: Needle) -> tuple[Needle, ...]:
        """The needles the carriage would knit on its way."""
        position, left = self.position, int(self.panel.left)
        knits = (Position.WP, Position.UWP)
        return tuple([n for n in self.passed(toward, beyond) if position[n - left] in knits])

    def _back_up_faults(self, toward: Side, beyond: Needle) -> list[Found]:
        if not self._ahead(toward, beyond):
            return [Found(Fault.WRONG_WAY, f"{beyond} is not ahead of the carriage", (beyond,))]
        would = self._working(toward, beyond)
        if not would:
            return []
        return [Found(Fault.BACK_UP_KNITS, f"backing up would knit {needles_text(would)}", would)]

    def _cross_faults(self, move: Cross) -> list[Found]:
        crossing, needles = move.crossing, move.crossing.needles
        outside = tuple(n for n in needles if n not in self.panel)
        if outside:
            return [Found(Fault.OUTSIDE_PANEL, f"{needles_text(outside)} outside the panel {self.panel}", outside)]
        out = tuple(n for n in needles if int(n) not in self._order)
        if out:
            return [Found(Fault.OUT_OF_WORK, f"the crossing uses {needles_text(out)}, out of work", out)]
        found = []
        if skipped := tuple(n for n in crossing.gap if int(n) in self._order):
            found.append(Found(Fault.SKIPS_NEEDLES, f"{needles_text(skipped)} in work between the halves", skipped))
        if shared := tuple(n for n in needles if int(n) in self._crossed):
            found.append(Found(Fault.SHARES_NEEDLES, f"{needles_text(shared)} already crossed in this row", shared))
        if unfinished := tuple(n for n in needles if self.rows[self._i(n)] % 2 == 0):
            found.append(
                Found(Fault.ROW_NOT_FINISHED, f"the row is not finished on {needles_text(unfinished)}", unfinished)
            )
        if int(crossing.span.left) < self.gap <= int(crossing.span.right):
            found.append(Found(Fault.UNDER_CARRIAGE, f"the carriage stands over {crossing.span}", needles))
        if empty := tuple(n for n in needles if self.loops[self._i(n)] == 0):
            found.append(Found(Fault.NO_LOOP, f"no loop on {needles_text(empty)}", empty))
        if many := tuple(n for n in needles if self.loops[self._i(n)] > MOST_LOOPS):
            found.append(Found(Fault.TOO_MANY_LOOPS, f"more than {MOST_LOOPS} loops on {needles_text(many)}", many))
        return found

    def row_faults(self, demand: Demand, start: Side) -> list[Found]:
        """What is wrong with calling the row complete, carriage having come from ``start``."""
        found = []
        if self.held:
            found.append(Found(Fault.HELD_AT_END, f"{needles_text(self.held)} still held", self.held))
        worked, left = self.rows, int(self.panel.left)
        asked = zip(demand.needles, demand.rows, strict=True)
        if wrong := tuple([n for n, rows in asked if worked[n - left] != rows]):
            found.append(Found(Fault.ROWS_MISSING, f"{needles_text(wrong)} not knit as the row asks", wrong))
        if self.side is not start.other:
            found.append(Found(Fault.WRONG_SIDE, f"the carriage is not on the {start.other}"))
        return found

    # --- changing ---------------------------------------------------------

    def push(self, move: Move) -> None:
        """Make a move. Raises :class:`BedFault` and changes nothing if the bed refuses it."""
        if found := self.faults(move):
            raise BedFault(self.row, move, found)
        change = _Change({}, self.carriage, self.dial, self.yarn, self._crossed)
        match move:
            case Dial(size):
                self.dial = size
            case Hold(needles):
                self._put(change, "position", needles, Position.HP)
            case Return(needles):
                self._put(change, "position", (n for n in needles if self.at(n) is Position.HP), Position.UWP)
            case ByHand(needles):
                self._work(change, self.hand_order(needles), BY_HAND)
            case Knit(toward, beyond, needles):
                self._work(change, needles, self.dial)
                self.carriage = (beyond, toward)
            case BackUp(toward, beyond):
                self.carriage = (beyond, toward)
            case Cross():
                self._cross(change, move)
            case _:
                pass
        self._done.append((move, change))

    def pop(self) -> Move:
        """Take the last move back. Raises IndexError at the start."""
        move, change = self._done.pop()
        for name, before in change.cells.items():
            setattr(self, name, before)
        self.carriage, self.dial, self.yarn, self._crossed = change.carriage, change.dial, change.yarn, change.crossed
        return move

    def copy(self) -> Bed:
        """A bed of its own that stands as this one does: what is made or taken back there leaves this one as it is."""
        mine = copy.copy(self)
        mine._done = self._done.copy()
        return mine

    def next_row(self) -> None:
        """Begin the next row: no needle has been worked in it. Not undone by pop."""
        self.rows = [0] * len(self.rows)
        self._crossed = frozenset()
        self._done.clear()

    def begin(self, side: Side) -> None:
        """The row in hand begins with the carriage and the yarn on this side: so the knitter says. Not undone by pop."""
        self.carriage = (self.panel.edge(side), side)
        self.yarn = self.in_work[0 if side is Side.LEFT else -1]

    def _changing(self, change: _Change, name: str) -> list[Any]:
        """The cells of that name, to be written to; as they were they are kept for :meth:`pop`, and for copies."""
        cells: list[Any] = getattr(self, name)
        change.cells.setdefault(name, cells)
        setattr(self, name, cells := cells.copy())
        return cells

    def _put(self, change: _Change, name: str, needles: Iterable[int], value: Any) -> None:
        cells, left = self._changing(change, name), int(self.panel.left)
        for needle in needles:
            cells[needle - left] = value

    def _work(self, change: _Change, needles: Sequence[Needle], size: float) -> None:
        self._put(change, "position", needles, Position.WP)
        self._put(change, "loops", needles, 1)
        self._put(change, "loop_size", needles, size)
        rows, left = self._changing(change, "rows"), int(self.panel.left)
        for needle in needles:
            rows[needle - left] += 1
        self.yarn = needles[-1]

    def _cross(self, change: _Change, move: Cross) -> None:
        crossing = move.crossing
        came = (*crossing.front, *crossing.back)
        goes = tuple(n for half in crossing.landing() for n in half)
        for name in ("loops", "loop_size", "strand"):
            cells = self._changing(change, name)
            lifted = [cells[self._i(n)] for n in came]
            for needle, value in zip(goes, lifted, strict=True):
                cells[self._i(needle)] = value
        self._put(change, "position", goes, Position.UWP)
        self._crossed = self._crossed | {int(n) for n in goes}
