"""A bare strip to measure against: 250 needles in 8 lanes, line-drawn, and nothing else.

One widget, ``render_line``, runs of one style, and at most one region redrawn a
row. Each key moves needles all over the bed between the lanes, as a step does.
Which needle stands where is worked out before the first picture, so that what
is measured is the drawing.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from operator import itemgetter
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

NEEDLES = 250
CYCLE = 30
"""Steps after which the lanes come round again."""
LANES = 8
STYLES = [Style.parse(text) for text in ("#c0c0c0", "bold #f0f0f0", "#70c0d0", "bold #f0c060", "#101010 on #c0c0c0")]

Cells = list[tuple[str, int]]


@lru_cache(CYCLE)
def lanes(step: int) -> list[Cells]:
    """Eight rows of (mark, style) cells, one cell a needle."""
    bed = range(NEEDLES)
    held = [(step * 7 + n // 7 * 3) % 5 < 2 for n in bed]
    moved = [(step + n // 9) % 6 == 0 for n in bed]
    carriage = step * 37 % NEEDLES
    return [
        [("└" if n % 25 == 0 else "─" if n % 25 < 6 else " ", 2) for n in bed],
        [("2", 3) if moved[n] else ("1", 0) for n in bed],
        [(str((step + n // 11) % 4), 0) for n in bed],
        [("═", 0)] * NEEDLES,
        [(" " if held[n] or moved[n] else "■", 0) for n in bed],
        [("▼" if moved[n] and not held[n] else " ", 3) for n in bed],
        [("■" if held[n] else " ", 1) for n in bed],
        [("█", 4) if abs(n - carriage) < 8 else ("•" if n == 3 else " ", 2) for n in bed],
    ]


@lru_cache(4 * CYCLE)
def changed(before: int, after: int) -> list[Region]:
    """Where two steps of the cycle differ: a region a row at most, below the count's row."""
    regions = []
    for y, (old, new) in enumerate(zip(lanes(before), lanes(after), strict=True), 1):
        differing = [n for n in range(NEEDLES) if old[n] != new[n]]
        if differing:
            regions.append(Region(differing[0], y, differing[-1] - differing[0] + 1, 1))
    return regions


class BareStrip(Widget):
    step = 0

    def on_mount(self) -> None:
        for step in range(CYCLE):
            changed(step, (step + 1) % CYCLE)
            changed((step + 1) % CYCLE, step)
        base = self.rich_style
        self.styles_drawn = [base + style for style in STYLES]

    def strip(self, lane: int) -> Strip:
        runs = groupby(lanes(self.step % CYCLE)[lane], key=itemgetter(1))
        return Strip([Segment("".join(m for m, _ in run), self.styles_drawn[style]) for style, run in runs], NEEDLES)

    def show(self, step: int) -> None:
        before, self.step = self.step, step
        self.refresh(Region(0, 0, 16, 1), *changed(before % CYCLE, step % CYCLE))

    def render_line(self, y: int) -> Strip:
        if y == 0:
            strip = Strip([Segment(f"step {self.step}", self.styles_drawn[1])])
        elif y <= LANES:
            strip = self.strip(y - 1)
        else:
            return Strip.blank(self.size.width, self.rich_style)
        return strip.adjust_cell_length(self.size.width, self.rich_style)


class Bare(App[None]):
    CSS = "BareStrip { height: 1fr; }"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [Binding("space", "move(1)"), Binding("backspace", "move(-1)")]
    step = 0

    def compose(self) -> ComposeResult:
        yield BareStrip()

    def action_move(self, by: int) -> None:
        self.step += by
        self.query_one(BareStrip).show(self.step)


if __name__ == "__main__":
    Bare().run()
