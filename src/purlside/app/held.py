"""A key held down makes one step, and a bouncing one too; steps that run away are noticed.

Terminals tell of presses only: a key held down comes as the same press again
and again, the second of them late, as a press of its own would. So that one is
taken at first, and taken back once those after it show what it was.
"""

from __future__ import annotations

from collections import deque
from enum import Enum

from purlside.knitting.cursor import Place

REPEAT = 0.12
"""Seconds within which a key held down comes again; usual systems repeat 10 to 40 times a second. Common practice."""
DELAY = 1.1
"""Seconds at most before a key held down begins to repeat; usual systems wait 0.2 to 1 s. Common practice."""
RUN_ROWS, RUN_SECONDS = 30, 2.0
"""So many rows in so short a time are more than anyone knits. Ours."""


class Pressed(Enum):
    MEANT = "meant"
    REPEATED = "repeated"
    """Not meant: the key is held, or bounces."""
    TAKEN_BACK = "taken back"
    """Not meant, nor was the press before."""


class Held:
    """Tells presses that are meant from a key held down."""

    def __init__(self) -> None:
        self._key = ""
        self._last = float("-inf")
        self._meant: list[float] = []
        self._repeats = 0

    def press(self, key: str, now: float) -> Pressed:
        """What a press at this time, in seconds, is."""
        gap = now - self._last if key == self._key else float("inf")
        if key != self._key:
            self._meant = []
        self._key, self._last = key, now
        if gap >= REPEAT:
            self._meant = [when for when in self._meant[-1:] if now - when <= DELAY] + [now]
            self._repeats = 0
            return Pressed.MEANT
        self._repeats += 1
        if self._repeats == 2 and len(self._meant) == 2:
            self._meant = []
            return Pressed.TAKEN_BACK
        return Pressed.REPEATED


class Runs:
    """Notices rows that go by faster than anyone knits."""

    def __init__(self) -> None:
        self._steps: deque[tuple[float, Place]] = deque()
        self._from: Place | None = None

    def step(self, now: float, before: Place) -> None:
        """A step is made from a place."""
        while self._steps and now - self._steps[0][0] > RUN_SECONDS:
            self._steps.popleft()
        if not self._steps:
            self._from = None
        self._steps.append((now, before))

    def ran_from(self, place: Place) -> Place | None:
        """Where a run began that is now at ``place``; None where there is none."""
        if self._from is None and self._steps and place.row - self._steps[0][1].row >= RUN_ROWS:
            self._from = self._steps[0][1]
        return self._from
