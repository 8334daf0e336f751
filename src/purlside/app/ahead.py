"""The screen of the next step, worked out in a pause while the knitter's hands are on the machine.

Without it a key is on the screen after 1.95 times what the bare strip takes, where 1.5 is wanted; with it after 1.2.
"""

from __future__ import annotations

from collections.abc import Sequence

from purlside.shown.bedside import BedsideNow, Look
from purlside.text.signs import Run

PAUSE = 0.01
"""Seconds without a key after which it is worked out."""
Lines = Sequence[tuple[Run, ...]]


class Ahead:
    """Lines of a screen for what will be so; they are shown only once just that is so."""

    def __init__(self) -> None:
        self.now: BedsideNow | None = None
        self._on: tuple[int, int, Look] | None = None
        self._lines: Lines = ()

    def keep(self, now: BedsideNow, on: tuple[int, int, Look], lines: Lines) -> None:
        """Lines for what will be so, on a screen of so many columns and lines, drawn like this."""
        self.now, self._on, self._lines = now, on, lines

    def lines_for(self, now: BedsideNow, on: tuple[int, int, Look]) -> Lines | None:
        """The lines, where that is so now."""
        return self._lines if self.now is not None and on == self._on and now.shows_as(self.now) else None

    def drop(self) -> None:
        """What it was worked out from is another now."""
        self.now = None
