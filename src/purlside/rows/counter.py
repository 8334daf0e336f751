"""The machine's own counter: it clicks each time the carriage passes its trip."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from purlside.bed.bed import Move
from purlside.bed.moves import Push
from purlside.bed.needles import Needle, Side
from purlside.plan.plan import Plan

TAKEN_ON_MM = 100.0
"""How far beyond a pass's last needle a carriage may be taken until that needle is clear. An estimate of ours."""


MOST_SPREAD = 9
"""Clicks up to which the counter's least and most are told; beyond, one number says as much."""


class Reading(NamedTuple):
    """What the counter reads: at least, as told, at most."""

    least: int
    told: int
    most: int

    def __str__(self) -> str:
        """``"13"``, ``"13–15"`` where a pass may have been taken on over the trip, ``"about 288"`` where many may."""
        if self.most - self.least > MOST_SPREAD:
            return f"about {self.told:,}"
        return f"{self.told:,}" if self.least == self.most else f"{self.least:,}–{self.most:,}"


class Clicks(NamedTuple):
    """Clicks: the fewest and the most there can have been, and those of passes that end just where they are told to."""

    fewest: int
    told: int
    most: int

    def times(self, count: int) -> Clicks:
        return Clicks(self.fewest * count, self.told * count, self.most * count)

    def reading(self, ahead: int, fewer: int = 0, more: int = 0) -> Reading:
        """The counter that is ``ahead`` of these clicks; ``fewer`` and ``more`` of the doubt were settled by reading it."""
        reads = self.told + ahead
        low = reads - max(0, self.told - self.fewest - fewer)
        return Reading(max(0, low), max(0, reads), max(0, reads + max(0, self.most - self.told - more)))

    def plus(self, more: Clicks) -> Clicks:
        return Clicks(self.fewest + more.fewest, self.told + more.told, self.most + more.most)


NONE = Clicks(0, 0, 0)


class Trip:
    """Where the counter is tripped, and how often a row's moves trip it.

    A carriage that has stopped just at the centre has passed it in the way it
    went: carriages are wide, and are taken on until needles are clear.
    """

    def __init__(self, plan: Plan) -> None:
        where, panel = plan.machine.counter_trip, plan.panel.needles
        self.known = where is not None
        ends = {"left end": panel.left, "right end": panel.right}
        self._needle: int | None = where if isinstance(where, Needle) else ends.get(where or "")
        self._on = round(TAKEN_ON_MM / plan.machine.pitch_mm)
        self._start = {side: self._is_left(panel.edge(side), side) for side in Side}

    def _is_left(self, beyond: Needle, side: Side, taken_on: int = 0) -> bool:
        """Whether a carriage that went past ``beyond`` to ``side``, and so far on, is left of the trip."""
        gap = int(beyond) + (1 if side is Side.RIGHT else 0) + side.step * taken_on
        if self._needle is not None:
            return gap <= self._needle
        return gap < 0 or (gap == 0 and side is Side.LEFT)

    def counts(self, moves: Sequence[Move], start: Side) -> Clicks:
        """How often a row's moves may trip the counter, from outside the panel on ``start``; see :meth:`along`."""
        return self.along(moves, start)[-1]

    def along(self, moves: Sequence[Move], start: Side) -> list[Clicks]:
        """How often the counter may have clicked when none of a row's moves is made, one, two, …, all.

        Within a row a pass may be taken on beyond its last needle: where the
        trip lies there, the counter may click there and back, or not. The last
        pass of a row ends outside the panel.
        """
        found = [NONE]
        if not self.known:
            return found * (len(moves) + 1)
        left, told = self._start[start], 0
        fewest = most = {left: 0}
        final = max((i for i, move in enumerate(moves) if isinstance(move, Push)), default=-1)
        for i, move in enumerate(moves):
            if not isinstance(move, Push):
                found.append(found[-1])
                continue
            now = self._is_left(move.beyond, move.toward)
            told += now is not left
            left = now
            # Until its needles are clear it may be taken on as far as it goes.
            ends = (now,) if i == final or self._is_left(move.beyond, move.toward, self._on) is now else (now, not now)
            fewest = {end: min(n + (end is not was) for was, n in fewest.items()) for end in ends}
            most = {end: max(n + (end is not was) for was, n in most.items()) for end in ends}
            found.append(Clicks(min(fewest.values()), told, max(most.values())))
        return found
