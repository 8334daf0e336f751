"""A pedal with one key: pressed it is "next"; pressed twice, or held down, it is "back".

Terminals tell of presses only, never of a key let go; a key held down comes
as the same press again and again. So "next" is done at once and taken back
when the press turns out to have been the beginning of something else.
"""

from __future__ import annotations

from enum import StrEnum

from purlside.keep.settings import Settings

REPEAT = 0.12
"""Seconds within which a key held down comes again; usual systems repeat 20 to 40 times a second. Common practice."""
DELAY = 1.1
"""Seconds at most before a key held down begins to repeat; usual systems wait 0.2 to 1 s. Common practice."""
HELD = 2
"""Repeats in a row that make a long press; a bouncing contact gives one."""


class Press(StrEnum):
    NEXT = "next"
    BACK = "back"
    NOTHING = "nothing"


class Presses:
    """Takes presses with their time in seconds; says what each is.

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
