"""The sample plans: choose one to copy into this folder."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable
from pathlib import Path

from textual.app import ComposeResult
from textual.events import Resize

from purlside import samples
from purlside.app.actions import SAMPLES
from purlside.app.screens.keyed import Keyed
from purlside.app.screens.settings import Title
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.files import planfile
from purlside.keep import shelf
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar


class SampleList(Pane):
    """The samples by title; of the chosen one, what it is."""

    def __init__(self, screen: Samples) -> None:
        super().__init__(id="samples")
        self.of = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        for i, (name, plan) in enumerate(self.of.plans):
            here = i == self.of.chosen
            yield [
                (" > " if here else "   ", "key"),
                (plan.title, "figure" if here else "strong"),
                (f"   {name}", "quiet"),
            ]
        yield []
        _, plan = self.of.plans[self.of.chosen]
        cables = ", ".join(cable.name for cable in plan.cable)
        about = f"{len(plan.in_work)} needles, {Calendar(plan).end:,} rows; cables: {cables or 'none'}."
        for line in textwrap.wrap(f"{about} {' '.join(plan.notes.split())}", max(20, width - 6)):
            yield [(f"   {line}", "plain")]


class Samples(Keyed):
    """Copies the chosen sample into ./patterns, where the shelf finds it."""

    ACTIONS = SAMPLES

    def __init__(self, copied: Callable[[Path], None]) -> None:
        super().__init__()
        self.copied = copied
        self.chosen = 0
        self.note_line = ""
        self.plans: list[tuple[str, Plan]] = [(n, planfile.parse(samples.text(n), n)) for n in samples.names()]

    def compose(self) -> ComposeResult:
        yield Title(lambda: " Sample plans", id="heading")
        yield SampleList(self)
        yield KeyLine(lambda: self.keys, lambda: self.note_line, id="keys")

    def on_mount(self) -> None:
        self.call_after_refresh(self._repaint)

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self._repaint)

    def _move(self, by: int) -> None:
        self.chosen = max(0, min(self.chosen + by, len(self.plans) - 1))
        self.note_line = ""
        self._repaint()

    def do_down(self) -> None:
        self._move(1)

    def do_up(self) -> None:
        self._move(-1)

    def do_open(self) -> None:
        name, _ = self.plans[self.chosen]
        try:
            path = samples.copy_to(shelf.PATTERNS, name)
        except OSError as error:
            self.note_line = f"Not copied: {error.strerror or error}"
            self._repaint()
            return
        self.copied(path)
        self.dismiss()

    def do_leave(self) -> None:
        self.dismiss()
