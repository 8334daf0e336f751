"""The sample plans: choose one to copy into this folder."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path

from textual.app import ComposeResult

from purlside import samples
from purlside.app.actions import SAMPLES
from purlside.app.screens.keyed import Choosing
from purlside.app.widgets.page import heading
from purlside.app.widgets.pane import Pane, Run
from purlside.files import planfile
from purlside.keep import shelf
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar


class Samples(Choosing):
    """Copies the chosen sample into ./patterns, where the shelf finds it."""

    ACTIONS = SAMPLES

    def __init__(self, copied: Callable[[Path], None]) -> None:
        super().__init__()
        self.copied = copied
        self.plans: list[tuple[str, Plan]] = [(n, planfile.parse(samples.text(n), n)) for n in samples.names()]

    def panes(self) -> ComposeResult:
        yield heading(lambda: [(" Sample plans", "figure")])
        yield Pane(self._listed, id="samples")

    @property
    def count(self) -> int:
        return len(self.plans)

    def _listed(self, width: int, height: int) -> Iterator[list[Run]]:
        """The samples by title; of the chosen one, what it is."""
        for i, (name, plan) in enumerate(self.plans):
            mark, tone = (" > ", "figure") if i == self.chosen else ("   ", "strong")
            yield [(mark, "key"), (plan.title, tone), (f"   {name}", "quiet")]
        yield []
        _, plan = self.plans[self.chosen]
        cables = ", ".join(cable.name for cable in plan.cable)
        about = f"{len(plan.in_work)} needles, {Calendar(plan).end:,} rows; cables: {cables or 'none'}."
        for line in textwrap.wrap(f"{about} {' '.join(plan.notes.split())}", max(20, width - 6)):
            yield [(f"   {line}", "plain")]

    def do_open(self) -> None:
        name, _ = self.plans[self.chosen]
        try:
            path = samples.copy_to(shelf.PATTERNS, name)
        except OSError as error:
            self.say(f"Not copied: {error.strerror or error}")
            return
        self.copied(path)
        self.dismiss()
