"""Back after a break: how the metal must look, told and drawn, ticked off before the next move is made."""

from __future__ import annotations

import textwrap

from textual.app import ComposeResult

from purlside.app.actions import WELCOME
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.page import sight
from purlside.app.widgets.pane import Pane, Run
from purlside.knitting.cursor import Knitting
from purlside.shown.strip import draw
from purlside.shown.view import View


class Welcome(Keyed):
    """Space ticks a line off; after the last one the bedside follows."""

    ACTIONS = WELCOME

    def __init__(self, head: str, checks: tuple[str, ...], knitting: Knitting) -> None:
        super().__init__()
        self.head, self.checks, self.knitting = head, checks, knitting
        self.ticked = 0

    def panes(self) -> ComposeResult:
        yield Pane(self._checks, id="welcome")

    def _checks(self, width: int, height: int) -> list[list[Run]]:
        """The list, each line ticked once it was looked at; the bed below it, where there is room."""
        laid: list[list[Run]] = [[(f" {self.head}", "figure")], [(" Look at the bed before you knit on:", "quiet")]]
        at = 0
        for i, line in enumerate(self.checks):
            mark, tone = (self.glyphs.done, "quiet") if i < self.ticked else (" ", "plain")
            if i == self.ticked:
                at, mark, tone = len(laid), self.glyphs.doing, "figure"
            for part in textwrap.wrap(line, max(10, width - 6), subsequent_indent="  "):
                laid.append([(f" {mark}  ", "key"), (part, tone)])
                mark = " "
        knitting = self.knitting
        size = knitting.row.size if knitting.row else knitting.plan.panel.stitch_size
        resting = knitting.row.resting if knitting.row else ()
        ladders = knitting.plan.panel.out_of_work
        view = View(knitting.bed, size=size, before=knitting.size_before, resting=resting, ladders=ladders)
        bed = draw(view, width - 1, self.glyphs)
        if len(laid) + 1 + len(bed) <= height:
            laid += [[], *([(" ", "plain"), *((text, tone.value) for text, tone in line)] for line in bed)]
        return [laid[i] for i in sight(at, len(laid), height)]

    def do_tick(self) -> None:
        self.ticked += 1
        if self.ticked >= len(self.checks):
            self.do_leave()
        else:
            self.repaint()

    def do_untick(self) -> None:
        self.ticked = max(0, self.ticked - 1)
        self.repaint()
