"""Back after a break: how the metal must look, told and drawn, ticked off before the next move is made."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from textual.app import ComposeResult

from purlside.app.actions import WELCOME
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.knitting.cursor import Knitting
from purlside.shown.strip import draw
from purlside.shown.view import View
from purlside.text.signs import ASCII, UNICODE


class Checks(Pane):
    """The list, each line ticked once it was looked at."""

    def __init__(self, screen: Welcome) -> None:
        super().__init__(id="welcome")
        self.welcome = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        screen, laid = self.welcome, list[list[Run]]()
        glyphs = ASCII if screen.owner.settings.look.drawing == "ascii" else UNICODE
        laid.append([(f" {screen.head}", "figure")])
        laid.append([(" Look at the bed before you knit on:", "quiet")])
        at = 0
        for i, line in enumerate(screen.checks):
            mark, tone = (
                (glyphs.done, "quiet")
                if i < screen.ticked
                else (glyphs.doing, "figure")
                if i == screen.ticked
                else (" ", "plain")
            )
            if i == screen.ticked:
                at = len(laid)
            for part in textwrap.wrap(line, max(10, width - 6), subsequent_indent="  "):
                laid.append([(f" {mark}  ", "key"), (part, tone)])
                mark = " "
        knitting = screen.knitting
        size = knitting.row.size if knitting.row else knitting.plan.panel.stitch_size
        resting = knitting.row.resting if knitting.row else ()
        ladders = knitting.plan.panel.out_of_work
        view = View(knitting.bed, size=size, before=knitting.size_before, resting=resting, ladders=ladders)
        bed = draw(view, width - 1, glyphs)
        if len(laid) + 1 + len(bed) <= height:
            laid += [[], *([(" ", "plain"), *((text, tone.value) for text, tone in line)] for line in bed)]
        top = max(0, min(at - height // 2, len(laid) - height))
        return laid[top : top + height]


class Welcome(Keyed):
    """Space ticks a line off; after the last one the bedside follows."""

    ACTIONS = WELCOME
    FIXED = True
    CSS = "#welcome { height: 1fr; }"

    def __init__(self, head: str, checks: tuple[str, ...], knitting: Knitting) -> None:
        super().__init__()
        self.head, self.checks, self.knitting = head, checks, knitting
        self.ticked = 0

    def compose(self) -> ComposeResult:
        yield Checks(self)
        yield KeyLine(lambda: self.keys, lambda: "", id="keys")

    def do_tick(self) -> None:
        self.ticked += 1
        if self.ticked >= len(self.checks):
            self.do_leave()
        else:
            self._repaint()

    def do_untick(self) -> None:
        self.ticked = max(0, self.ticked - 1)
        self._repaint()

    def do_leave(self) -> None:
        if self.is_current:
            self.app.pop_screen()
