"""The machine's own counter: it clicks each time the carriage passes its trip."""

from __future__ import annotations

from collections.abc import Iterable

from purlside.moves import Move, Push
from purlside.needles import Needle, Side
from purlside.plan import Plan


class Trip:
    """Where the counter is tripped, and how often a row's moves trip it.

    A carriage that has stopped just at the centre has passed it in the way it
    went: carriages are wide, and are taken on until needles are clear.
    """

    def __init__(self, plan: Plan) -> None:
        where, panel = plan.machine.counter_trip, plan.panel.needles
        self.known = where is not None
        self._needle: int | None = None
        if isinstance(where, Needle):
            self._needle = int(where)
        elif where == "left end":
            self._needle = int(panel.left)
        elif where == "right end":
            self._needle = int(panel.right)
        self._start = {side: self._is_left(panel.edge(side), side) for side in Side}

    def _is_left(self, beyond: Needle, side: Side) -> bool:
        """Whether a carriage that went past ``beyond`` to ``side`` is left of the trip."""
        gap = int(beyond) + (1 if side is Side.RIGHT else 0)
        if self._needle is not None:
            return gap <= self._needle
        return gap < 0 or (gap == 0 and side is Side.LEFT)

    def clicks(self, moves: Iterable[Move], start: Side) -> int:
        """How often a row's moves trip the counter, from outside the panel on ``start``."""
        if not self.known:
            return 0
        left, clicks = self._start[start], 0
        for move in moves:
            if isinstance(move, Push):
                now = self._is_left(move.beyond, move.toward)
                clicks += now is not left
                left = now
        return clicks
