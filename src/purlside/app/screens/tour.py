"""The tour: a crossing row of a small plan on the strip itself, the text beside it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from textual.app import ComposeResult
from textual.containers import Container
from textual.events import Resize

from purlside.app.actions import TOUR
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.shown import strip
from purlside.shown.touring import STOPS, Stop, view
from purlside.text import signs

STRIP = strip.GUTTER + 40
"""Columns of the strip; the text takes what is left, or stands below where that is little."""
TEXT = 28
"""Columns the text needs beside the strip."""


class TourStrip(Pane):
    def __init__(self, screen: Tour) -> None:
        super().__init__(id="tourstrip")
        self.of = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        glyphs = signs.ASCII if self.of.owner.settings.look.drawing == "ascii" else signs.UNICODE
        return [[(text, tone.value) for text, tone in line] for line in strip.draw(view(self.of.stop), width, glyphs)]


class TourText(Pane):
    def __init__(self, screen: Tour) -> None:
        super().__init__(id="tourtext")
        self.of = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        stop = self.of.stop
        yield [(f" {self.of.at + 1} of {len(STOPS)}  ", "quiet"), (stop.heading, "figure")]
        yield []
        for line in textwrap.wrap(stop.text, max(10, width - 2)):
            yield [(f" {line}", "plain")]


class Tour(Keyed):
    """Steps through the stops; leaving is one key at any time."""

    ACTIONS = TOUR

    def __init__(self) -> None:
        super().__init__()
        self.at = 0

    @property
    def stop(self) -> Stop:
        return STOPS[self.at]

    def compose(self) -> ComposeResult:
        with Container(id="tour"):
            yield TourStrip(self)
            yield TourText(self)
        yield KeyLine(lambda: self.keys, lambda: "", id="keys")

    def on_mount(self) -> None:
        self._fit(self.app.size.width)

    def on_resize(self, event: Resize) -> None:
        self._fit(event.size.width)
        self.call_after_refresh(self._repaint)

    def _fit(self, width: int) -> None:
        """Text beside the strip, or below it where the screen is narrow."""
        beside = width >= STRIP + TEXT
        self.query_one("#tour").set_class(not beside, "-narrow")
        drawn = self.query_one("#tourstrip")
        drawn.styles.width = STRIP if beside else "100%"
        drawn.styles.height = "100%" if beside else len(strip.LANES) + 2
        self.call_after_refresh(self._repaint)

    def do_forward(self) -> None:
        if self.at + 1 == len(STOPS):
            self.dismiss()
        else:
            self.at += 1
            self._repaint()

    def do_back(self) -> None:
        self.at = max(0, self.at - 1)
        self._repaint()

    def do_leave(self) -> None:
        self.dismiss()
