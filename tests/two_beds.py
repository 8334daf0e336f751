"""The bed and the naive bed side by side, and random moves for both."""

from __future__ import annotations

from random import Random

import pytest

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import Demand
from purlside.bed.faults import BedFault
from purlside.bed.moves import BY_HAND, BackUp, ByHand, Dial, Hold, Knit, Lever, Return, Tell, Weights
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Bead, CastOff, CastOn, Cross, Fill, IntoWork, LatchUp, OutOfWork, Transfer, Wrap
from tests.beds import state
from tests.naive_bed import NaiveBed, name_at, place


def run_of(rnd: Random, names: list[str]) -> list[str]:
    """Some neighbours of a list of names."""
    first = rnd.randrange(len(names))
    return names[first : rnd.randint(first + 1, len(names))]


def some_needle(rnd: Random, on: NaiveBed) -> str:
    """A needle of the panel, or now and then one beside it."""
    low, high = place(on.panel[0]), place(on.panel[-1])
    return name_at(rnd.choice([*range(low, high + 1, 2)] * 3 + [low - 2, high + 2]))


def some_move(rnd: Random, on: NaiveBed) -> Move:
    """A move that may be legal or not."""

    def needles(names: list[str]) -> tuple[Needle, ...]:
        return tuple(map(Needle.parse, names))

    toward = rnd.choice(["left", "right"])
    kind = rnd.choice(
        [
            "hold",
            "return",
            "knit",
            "knit",
            "knit",
            "knit",
            "back-up",
            "by-hand",
            "cross",
            "cross",
            "rest",
            "shape",
            "shape",
        ]
    )
    named = run_of(rnd, on.work if rnd.random() < 0.9 else on.panel)
    if kind == "hold":
        # Often all but a few, as in bridging.
        return Hold(needles(named if rnd.random() < 0.4 else [n for n in on.work if n not in named] or named))
    if kind == "return":
        return Return(needles(named if rnd.random() < 0.7 else on.work))
    if kind in ("knit", "back-up"):
        beyond = some_needle(rnd, on)
        if rnd.random() < 0.4:
            beyond = on.panel[0] if toward == "left" else on.panel[-1]
        if kind == "back-up":
            return BackUp(Side(toward), Needle.parse(beyond))
        knit = on.would_knit(toward, beyond)
        if rnd.random() < 0.1:
            knit = knit[1:] or named
        return Knit(Side(toward), Needle.parse(beyond), needles(knit or named))
    if kind == "by-hand":
        near = sum(place(n) < place(on.yarn) for n in on.work) + rnd.randint(-1, 1)
        beside = on.work[near : near + rnd.randint(1, 2)] if near >= 0 else named
        return ByHand(needles(beside or named) if rnd.random() < 0.8 else needles(rnd.sample(named, len(named))))
    if kind == "cross":
        return Cross("rope", some_crossing(rnd, on))
    if kind == "shape":
        return shaping(rnd, on, named)
    rest: list[Move] = [Dial(rnd.choice([0, 4.5, 9, 10, 10.1, -1])), Weights(needles(named)), Tell("a marker")]
    return rnd.choice(rest)


def shaping(rnd: Random, on: NaiveBed, named: list[str]) -> Move:
    """A move of stitches or at an edge, that may be legal or not."""

    def needles(names: list[str]) -> tuple[Needle, ...]:
        return tuple(map(Needle.parse, names))

    left = rnd.random() < 0.5
    many = rnd.randint(1, 2)
    edge = on.work[:many] if left else on.work[-many:]
    inner = (on.work[many:] or on.work)[0] if left else (on.work[:-many] or on.work)[-1]
    beyond = [n for n in on.panel if n not in on.work] or named
    held = on.held()
    kind = rnd.choice(
        ["transfer", "transfer", "out", "out", "into", "into", "fill", "off", "on", "wrap", "bead", "latch", "lever"]
    )
    if kind == "transfer":
        came = edge if rnd.random() < 0.8 else named
        step = many if left else -many
        return Transfer(needles(came), tuple(Needle(Needle.parse(n) + step) for n in came))
    empty = [n for n in on.work if not on.loops[n]]
    match kind:
        case "out":
            return OutOfWork(needles(empty or edge))
        case "into":
            return IntoWork(needles(rnd.sample(beyond, rnd.randint(1, len(beyond)))))
        case "fill":
            return Fill(needles(empty[:1] or named))
        case "off" if inner not in edge:
            return CastOff(needles(edge), Needle.parse(inner))
        case "on":
            return CastOn(needles(empty or named))
        case "wrap":
            return Wrap(needles((held or named)[: rnd.randint(1, 2)]))
        case "bead":
            return Bead(needles(named))
        case "latch":
            return LatchUp(needles(named), rnd.randint(1, 9))
    return Lever("knit" if rnd.random() < 0.1 else "hold")


def some_crossing(rnd: Random, on: NaiveBed) -> Crossing:
    low, high = place(on.panel[0]) // 2, place(on.panel[-1]) // 2
    if rnd.random() < 0.1:
        low, high = low - 1, high + 1
    middle = rnd.randint(low + 1, max(low + 1, high))
    skip = rnd.random() < 0.15
    left = Span(Needle(rnd.randint(max(low, middle - 2), middle - 1)), Needle(middle - 1))
    right = Span(Needle(middle + skip), Needle(rnd.randint(middle + skip, max(middle + skip, min(high, middle + 1)))))
    return Crossing(left, right) if rnd.random() < 0.5 else Crossing(right, left)


class Pair:
    """The bed and the naive bed, given the same moves."""

    def __init__(self, rnd: Random) -> None:
        left = rnd.randint(-3, 0)
        panel = Span(Needle(left), Needle(left + rnd.randint(1, 5)))
        out = rnd.sample(list(panel), rnd.choice([0, 0, 0, 1]))
        work = [n for n in panel if n not in out]
        loops = {rnd.choice(work): rnd.choice([0, 2, 3])} if rnd.random() < 0.3 else {}
        start = rnd.choice(list(Side))
        self.bed = Bed(panel, work, carriage=start, dial=5.0, loops=loops)
        names = [str(n) for n in panel]
        self.naive = NaiveBed(
            names, map(str, out), str(start), 5.0, loops={str(n): count for n, count in loops.items()}
        )
        self.back: list[tuple[tuple[object, ...], NaiveBed]] = []

    def agree(self) -> None:
        bed, naive = self.bed, self.naive
        assert bed.json() == naive.seen()
        assert [str(Needle(n)) for n in bed.strand] == list(naive.stitch.values())
        assert ["by hand" if s == BY_HAND else s for s in bed.loop_size] == list(naive.loop_size.values())
        assert str(bed.yarn) == naive.yarn
        assert [str(n) for n in bed.held] == naive.held()
        assert bed.side == naive.side()

    def make(self, move: Move) -> set[str]:
        """The names of the faults, from both alike; none: both have made the move."""
        named = {found.fault.name for found in self.bed.faults(move)}
        assert named == self.naive.refusals(move.json()), move
        before = state(self.bed)
        if named:
            with pytest.raises(BedFault):
                self.bed.push(move)
            assert state(self.bed) == before
        else:
            self.back.append((before, self.naive.copy()))
            self.bed.push(move)
            self.naive.do(move.json())
        self.agree()
        return named

    def take_back(self) -> None:
        before, naive = self.back.pop()
        self.bed.pop()
        assert state(self.bed) == before
        self.naive = naive
        self.agree()

    def end_row(self, rnd: Random) -> set[str]:
        """The names of the faults of ending the row here; none: both have begun the next."""
        rows = [n if n % 2 and rnd.random() < 0.97 else 1 for n in self.bed.rows]
        asked = {n: rows[int(n) - int(self.bed.panel.left)] for n in self.bed.in_work}
        wanted = Demand(tuple(asked), tuple(asked.values()), (5.0,) * len(asked), (False,) * len(asked))
        start = rnd.choice(list(Side))
        held = self.bed.held if rnd.random() < 0.5 else ()
        named = {found.fault.name for found in self.bed.row_faults(wanted, start, held)}
        assert named == self.naive.row_refusals({str(n): r for n, r in asked.items()}, str(start), map(str, held))
        if not named:
            self.bed.next_row()
            self.naive.next_row()
            self.back.clear()
        self.agree()
        return named
