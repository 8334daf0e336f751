"""The needle bed: one state, changed only by moves, refusing what a real bed would punish.

``push(move)`` changes the bed and ``pop()`` takes the last move back.
What a move does, and what is wrong with making it here, the move knows itself
(:class:`Move`); the bed offers what moves are made of.
"""

from __future__ import annotations

import copy
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields
from itertools import pairwise
from typing import Any, ClassVar, Literal

from purlside.bed.demand import Demand
from purlside.bed.faults import BedFault, Fault, Found, found_of
from purlside.bed.headline import Headline, number, plain, told
from purlside.bed.needles import Needle, Position, Side, Span
from purlside.bed.rates import Rates
from purlside.values import Value


class Bed:
    """The needles, the carriage, the dial and the yarn.

    Lists have one entry a needle of ``panel``, left to right: ``position``,
    ``loops``, ``rows`` (worked in the row in hand), ``loop_size`` (dial number
    or :data:`purlside.bed.moves.BY_HAND`) and ``strand`` (which needle's stitch, as of the start,
    hangs here). ``panel`` is as wide as the work ever gets. ``loops`` given at
    the start are those of needles that do not carry one, as after a transfer;
    ``resting`` needles are held; the carriage stands ``past`` a needle on its
    side, else outside. ``carriage`` is (needle, side): just past that
    needle on that side. ``yarn`` is the needle it lies at.
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
        resting: Iterable[Needle] = (),
        yarn: Needle | None = None,
        past: Needle | None = None,
        lever: Literal["hold", "knit"] = "hold",
    ) -> None:
        self.panel = panel
        self.dial_range = dial_range
        self._needles = tuple(panel)
        self.in_work: tuple[Needle, ...] = tuple(in_work)
        self._order = {int(n): i for i, n in enumerate(self.in_work)}
        working = [int(n) in self._order for n in panel]
        self.position = [Position.WP if w else Position.NWP for w in working]
        self.loops = [1 if w else 0 for w in working]
        for needle, carried in (loops or {}).items():
            self.loops[self._i(needle)] = carried
        for needle in resting:
            self.position[self._i(needle)] = Position.HP
        self.rows = [0] * len(panel)
        self.loop_size = [dial] * len(panel)
        self.strand = [int(n) for n in panel]
        self.yarn = self.edge(carriage) if yarn is None else yarn
        self.carriage: tuple[Needle, Side] = (panel.edge(carriage) if past is None else past, carriage)
        self.dial = dial
        self.lever: Literal["hold", "knit"] = lever
        self.row: int | str | None = None
        self.crossed: frozenset[int] = frozenset()
        """Needles whose stitches have been crossed in the row in hand."""
        self.entered: frozenset[int] = frozenset()
        """Needles that came into work empty for the row in hand."""
        self._done: list[tuple[Move, dict[str, Any]]] = []
        self._changed: dict[str, Any] | None = None

    def _i(self, needle: int) -> int:
        return int(needle) - int(self.panel.left)

    def at(self, needle: int) -> Position:
        """Where a needle stands; outside the panel all are out of work."""
        return self.position[self._i(needle)] if needle in self.panel else Position.NWP

    def loops_on(self, needle: int) -> int:
        return self.loops[self._i(needle)] if needle in self.panel else 0

    def working(self, needle: int) -> bool:
        """Whether a needle is in work: held ones and empty ones are."""
        return int(needle) in self._order

    @property
    def gap(self) -> int:
        """The place the carriage stands before: needles at or above it are to its right."""
        needle, side = self.carriage
        return int(needle) + (1 if side is Side.RIGHT else 0)

    @property
    def side(self) -> Side | None:
        """The side of the needles in work the carriage is outside of, or None within them."""
        return self.side_of(self.in_work)

    def side_of(self, needles: Sequence[Needle]) -> Side | None:
        """The side of these needles, in bed order, the carriage is outside of, or None among them."""
        if self.gap <= int(needles[0]):
            return Side.LEFT
        return Side.RIGHT if self.gap > int(needles[-1]) else None

    def edge(self, side: Side) -> Needle:
        """The outermost needle in work."""
        return self.in_work[0] if side is Side.LEFT else self.in_work[-1]

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
        """The moves made since the row in hand began, oldest first."""
        return tuple(move for move, _ in self._done)

    def neighbours(self, a: int, b: int) -> bool:
        """Whether no needle in work lies between two needles; the first may have gone out of work."""
        low, high = sorted((int(a), int(b)))
        return bisect_left(self.in_work, high) - bisect_right(self.in_work, low) <= 0

    def hand_order(self, needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
        """By-hand needles, all in work, in the order knit: from where the yarn lies."""
        yarn = bisect_left(self.in_work, self.yarn)
        from_left = abs(self._order[int(needles[0])] - yarn) <= abs(self._order[int(needles[-1])] - yarn)
        return needles if from_left else tuple(reversed(needles))

    def knits_on_way(self, toward: Side, beyond: Needle) -> tuple[Needle, ...]:
        """The needles the carriage would knit on its way."""
        position, left = self.position, int(self.panel.left)
        knits = (Position.WP, Position.UWP) if self.lever == "hold" else (Position.WP, Position.UWP, Position.HP)
        return tuple([n for n in self.passed(toward, beyond) if position[n - left] in knits])

    def on_way(self, toward: Side, beyond: Needle) -> bool:
        """Whether the carriage passes a needle on its way to that side."""
        return int(beyond) < self.gap if toward is Side.LEFT else int(beyond) >= self.gap

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
        return move.faults(self)

    def not_working(self, needles: Iterable[Needle]) -> list[Found]:
        return found_of(Fault.OUT_OF_WORK, "{} not in work", [n for n in needles if int(n) not in self._order])

    def resting_touched(self, needles: Iterable[Needle]) -> list[Found]:
        return found_of(Fault.NOT_TOUCHED, "{} held", [n for n in needles if self.at(n) is Position.HP])

    def thread_faults(self, needles: Sequence[Needle]) -> list[Found]:
        """Faults of knitting these needles one after another with the yarn."""
        early = [n for n in needles if int(n) in self.crossed] if self.crossed else []
        found = found_of(Fault.ROW_NOT_FINISHED, "{} crossed already: their row was not finished", early)
        if not self.neighbours(self.yarn, needles[0]):
            told = f"a float from {self.yarn}, where the yarn lies, to {needles[0]}"
            found.append(Found(Fault.FLOAT_FROM_YARN, told, (self.yarn, needles[0])))
        places = [self._order[n] for n in needles]
        for (a, b), (place, then) in zip(pairwise(needles), pairwise(places), strict=True):
            if not -1 <= then - place <= 1:
                found.append(Found(Fault.FLOAT_IN_PASS, f"a float from {a} to {b} inside the pass", (a, b)))
        return found + self._empty_faults(needles)

    def _empty_faults(self, needles: Sequence[Needle]) -> list[Found]:
        """A needle without a loop takes its first one from the pass only at an edge, of a part too, beside a stitch."""
        loops, left = self.loops, int(self.panel.left)
        empty = [n for n in needles if not loops[n - left]]
        if not empty:
            return []
        if other := [n for n in empty if int(n) not in self.entered]:
            return found_of(Fault.NO_LOOP, "no loop on {}", other)

        def knits(place: int) -> bool:
            return place in self._order and self.at(Needle(place)) is not Position.HP

        inside = [n for n in empty if knits(int(n) - 1) and knits(int(n) + 1)]
        beside = [n for n in empty if n in inside or n - 1 in empty or n + 1 in empty]
        return found_of(Fault.EMPTY_SIDE_BY_SIDE, "no loop on {}", beside)

    def row_faults(self, demand: Demand, start: Side, resting: Sequence[Needle] = ()) -> list[Found]:
        """What is wrong with calling the row complete, carriage having come from ``start``; ``resting`` stay held."""
        worked, left = self.rows, int(self.panel.left)
        asked = zip(demand.needles, demand.rows, strict=True)
        found = [
            *found_of(Fault.HELD_AT_END, "{} still held", [n for n in self.held if n not in resting]),
            *found_of(Fault.NOT_TOUCHED, "{} not held", [n for n in resting if self.at(n) is not Position.HP]),
            *found_of(
                Fault.ROWS_MISSING, "{} not knit as the row asks", [n for n, rows in asked if worked[n - left] != rows]
            ),
            *found_of(Fault.NOT_TOUCHED, "{} knit while resting", [n for n in resting if worked[n - left]]),
            *found_of(Fault.EMPTY_IN_WORK, "no loop on {}", [n for n in self.in_work if not self.loops[n - left]]),
        ]
        if self.side_of(demand.needles) is not start.other:
            found.append(Found(Fault.WRONG_SIDE, f"the carriage is not on the {start.other}"))
        return found

    # --- changing ---------------------------------------------------------

    def push(self, move: Move) -> None:
        """Make a move. Raises :class:`BedFault` and changes nothing if the bed refuses it."""
        if found := move.faults(self):
            raise BedFault(self.row, move, found)
        self._changed = {}
        move.make(self)
        self._done.append((move, self._changed))
        self._changed = None

    def pop(self) -> Move:
        """Take the last move back. Raises IndexError at the start."""
        move, change = self._done.pop()
        for name, before in change.items():
            setattr(self, name, before)
        return move

    def copy(self) -> Bed:
        """A bed of its own that stands as this one does: what is made or taken back there leaves this one as it is."""
        mine = copy.copy(self)
        mine._done = self._done.copy()
        return mine

    def next_row(self) -> None:
        """Begin the next row: no needle has been worked in it. Not undone by pop."""
        self.rows = [0] * len(self.rows)
        self.crossed = self.entered = frozenset()
        self._done.clear()

    # --- what moves are made of: nothing else changes the bed -------------------

    def change(self, **values: Any) -> None:
        """Facts of the whole bed: ``dial``, ``lever``, ``carriage``, ``yarn``, ``crossed``."""
        assert self._changed is not None, "a bed is changed by moves only"
        for name, value in values.items():
            self._changed.setdefault(name, getattr(self, name))
            setattr(self, name, value)

    def put(self, name: str, needles: Iterable[int], value: Any) -> None:
        """One value for some needles' ``position``, ``loops``, ``loop_size`` or ``strand``."""
        cells, left = self._changing(name), int(self.panel.left)
        for needle in needles:
            cells[needle - left] = value

    def _changing(self, name: str) -> list[Any]:
        """The cells of that name, to be written to; as they were they are kept for :meth:`pop`, and for copies."""
        self.change(**{name: getattr(self, name).copy()})
        cells: list[Any] = getattr(self, name)
        return cells

    def work(self, needles: Sequence[Needle], size: float) -> None:
        """Knit needles in this order, at a size: each ends in working position with one loop."""
        self.put("position", needles, Position.WP)
        self.put("loops", needles, 1)
        self.put("loop_size", needles, size)
        rows, left = self._changing("rows"), int(self.panel.left)
        for needle in needles:
            rows[needle - left] += 1
        self.change(yarn=needles[-1])

    def carry(self, came: Sequence[Needle], goes: Sequence[Needle]) -> None:
        """Lift loops and put them onto other needles, all at once, beside what stays there."""
        lifted = [(self.loops_on(n), self.loop_size[self._i(n)], self.strand[self._i(n)]) for n in came]
        loops, sizes, strands = (self._changing(name) for name in ("loops", "loop_size", "strand"))
        for needle in came:
            loops[self._i(needle)] = 0
        for needle, (count, size, strand) in zip(goes, lifted, strict=True):
            i = self._i(needle)
            if not loops[i]:
                sizes[i], strands[i] = size, strand
            loops[i] += count

    def loop(self, needles: Iterable[Needle]) -> None:
        """Hang one loop more on each of these needles, at the dial's size."""
        cells, sizes = self._changing("loops"), self._changing("loop_size")
        for needle in needles:
            i = self._i(needle)
            if not cells[i]:
                sizes[i] = self.dial
            cells[i] += 1

    def set_work(self, needles: Iterable[Needle]) -> None:
        """These needles are in work, and no others; a carriage that stood outside goes on standing outside."""
        outside = self.side_of(self._free())
        in_work = tuple(sorted(needles))
        self.change(in_work=in_work, _order={int(n): i for i, n in enumerate(in_work)})
        free = self._free()
        if outside is not None and self.side_of(free) is not outside:
            self.change(carriage=(free[0] if outside is Side.LEFT else free[-1], outside))

    def _free(self) -> tuple[Needle, ...]:
        """The needles in work that are not held: the carriage stands outside of these, perhaps over held ones."""
        held = [self.position[n - self.panel.left] is Position.HP for n in self.in_work]
        return tuple(n for n, is_held in zip(self.in_work, held, strict=True) if not is_held) or self.in_work


class Move(Value):
    """One thing the knitter does, as a value: its effect on the bed, its faults, its words, its seconds, its JSON.

    A kind says what is its own; the rest is so for any move of ``needles`` in work. Texts are templates with its
    fields in them, needles as :class:`Gathered` writes them. ``str(move)`` is one line for messages and logs.
    """

    do: ClassVar[str]
    """Its name in the outside contract."""
    line: ClassVar[str] = "{do} {needles:spans}"
    says: ClassVar[str] = ""
    """What the knitter is told."""
    short: ClassVar[str] = ""
    """What is read at a glance, in capitals; where it has none, all it says."""
    what: ClassVar[str] = "{needles:within ranges}"
    """What stands behind that."""
    aside: ClassVar[str] = "{needles:ladders}"
    """What stands beside it in ordinary letters: those out of work among its needles."""
    back: ClassVar[str] = ""
    """How it is undone where its row is ripped out; empty where the yarn does it."""
    once: ClassVar[str] = ""
    each: ClassVar[str] = ""
    """Which of the :class:`Rates` it takes, once and for each needle."""
    mark: ClassVar[str] = ""
    """The letter on the bed strip of needles whose stitches it shapes; none: position and cable say it."""

    def __str__(self) -> str:
        return told(self, self.line)

    @property
    def _needles(self) -> tuple[Needle, ...]:
        needles: tuple[Needle, ...] = getattr(self, "needles", ())
        return needles

    def faults(self, bed: Bed) -> list[Found]:
        """Everything wrong with making it on this bed now."""
        return bed.not_working(self._needles)

    def make(self, bed: Bed) -> None:
        """Change the bed; called by :meth:`Bed.push` only, when nothing is wrong."""

    def words(self, within: Iterable[int] | None = None) -> str:
        """What the knitter is told. ``within``: the needles in work, so that ranges run over ladders."""
        return told(self, self.says, within)

    def headline(self, dial: float, within: Sequence[Needle]) -> Headline:
        """What is read at a glance; ``dial`` as it stands then, ``within`` the needles in work."""
        if not self.short:
            return Headline(self.words(within).upper())
        return Headline(*(told(self, template, within) for template in (self.short, self.what, self.aside)))

    def marks(self) -> dict[Needle, str]:
        """The needles whose stitches it shapes, each with its letter on the bed strip."""
        return dict.fromkeys(self._needles, self.mark) if self.mark else {}

    @property
    def put_back(self) -> str:
        """How it is undone where its row is ripped out, in words."""
        return told(self, self.back)

    def seconds(self, rates: Rates) -> float:
        """How long it takes, an estimate."""
        once = getattr(rates, self.once) if self.once else 0.0
        return float(once + getattr(rates, self.each) * len(self._needles) if self.each else once)

    def json(self) -> dict[str, Any]:
        """The outside contract's form: its name and its fields."""
        return {"do": self.do, **{each.name: plain(getattr(self, each.name)) for each in fields(self)}}
