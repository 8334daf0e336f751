"""What a press is: meant, or a key held down; of a pedal's one key, on or back. Steps that run away are noticed.

Terminals tell of presses only, never of a key let go: a key held down comes as
the same press again and again, the second of them late, as a press of its own
would. So a press is done at once, and taken back when those after it show that
it was the beginning of something else.
"""

from __future__ import annotations

from collections import deque
from enum import Enum, StrEnum

from purlside.keep.settings import Settings
from purlside.knitting.cursor import Place

REPEAT = 0.12
"""Seconds within which a key held down comes again; usual systems repeat 10 to 40 times a second. Common practice."""
DELAY = 1.1
"""Seconds at most before a key held down begins to repeat; usual systems wait 0.2 to 1 s. Common practice."""
HELD = 2
"""Repeats in a row that make a long press of a pedal; a bouncing contact gives one."""
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


class Press(StrEnum):
    NEXT = "next"
    BACK = "back"
    NOTHING = "nothing"


class Presses:
    """Takes presses of a pedal's one key with their time in seconds; says what each is.

    Pressed it is "next"; pressed twice, or held down, it is "back".

    After NEXT the caller says with :meth:`moved` whether a step was left; after
    BACK, ``undo`` of them are to be taken back before the step back.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings, self.back = settings, settings.pedal.back
        self.window = settings.pedal.window_ms / 1000
        self.guard = settings.guard / 1000
        self.undo = 0
        self._last = float("-inf")
        self._nexts: list[tuple[float, bool]] = []
        self._repeats = 0

    def press(self, now: float) -> Press:
        gap, self._last = now - self._last, now
        if self.back == "long":
            return self._long(now, gap)
        if gap < self.guard:
            return Press.NOTHING
        if self.back == "double" and self._nexts and now - self._nexts[-1][0] <= self.window:
            return self._go_back(1)
        self._nexts = [(now, False)]
        return Press.NEXT

    def moved(self, did: bool) -> None:
        """Whether the NEXT just told left a step; at the end of the panel it does not."""
        self._nexts[-1] = (self._nexts[-1][0], did)

    def _long(self, now: float, gap: float) -> Press:
        if gap < max(REPEAT, self.guard):
            self._repeats += 1
            return self._go_back(2) if self._repeats == HELD else Press.NOTHING
        self._repeats = 0
        # The first repeat comes late and looks like a press of its own.
        self._nexts = [(when, did) for when, did in self._nexts[-1:] if now - when <= DELAY] + [(now, False)]
        return Press.NEXT

    def _go_back(self, most: int) -> Press:
        self.undo = sum(did for _, did in self._nexts[-most:])
        self._nexts = []
        return Press.BACK


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
