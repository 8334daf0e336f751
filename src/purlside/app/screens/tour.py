"""The tour: a crossing row of a small plan on the strip itself, the text beside it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from textual.app import ComposeResult
from textual.containers import Container

from purlside.app.actions import TOUR
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.pane import Pane, Run
from purlside.shown import strip
from purlside.shown.touring import STOPS, Stop, view

STRIP = strip.GUTTER + 40
"""Columns of the strip; the text takes what is left, or stands below where that is little."""
TEXT = 28
"""Columns the text needs beside the strip."""


class Tour(Keyed):
    """Steps through the stops; leaving is one key at any time."""

    ACTIONS = TOUR

    at = 0

    @property
    def stop(self) -> Stop:
        return STOPS[self.at]

    def panes(self) -> ComposeResult:
        with Container(id="tour"):
            yield Pane(self._strip, id="tourstrip")
            yield Pane(self._text, id="tourtext")

    def _strip(self, width: int, height: int) -> Iterator[list[Run]]:
        for line in strip.draw(view(self.stop), width, self.glyphs):
            yield [(text, tone.value) for text, tone in line]

    def _text(self, width: int, height: int) -> Iterator[list[Run]]:
        yield [(f" {self.at + 1} of {len(STOPS)}  ", "quiet"), (self.stop.heading, "figure")]
        yield []
        for line in textwrap.wrap(self.stop.text, max(10, width - 2)):
            yield [(f" {line}", "plain")]

    def fit(self, width: int, height: int) -> None:
        """Text beside the strip, or below it where the screen is narrow."""
        beside = width >= STRIP + TEXT
        self.query_one("#tour").set_class(not beside, "-narrow")
        drawn = self.query_one("#tourstrip")
        drawn.styles.width = STRIP if beside else "100%"
        drawn.styles.height = "100%" if beside else len(strip.LANES) + 2
        self.call_after_refresh(self.repaint)

    def do_forward(self) -> None:
        if self.at + 1 == len(STOPS):
            self.dismiss()
        else:
            self.at += 1
            self.repaint()

    def do_back(self) -> None:
        self.at = max(0, self.at - 1)
        self.repaint()
