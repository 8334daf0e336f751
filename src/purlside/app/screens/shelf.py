"""The shelf: choose a plan."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal

from purlside.app.actions import SHELF
from purlside.app.screens.keyed import Choosing
from purlside.app.widgets.page import heading, sight
from purlside.app.widgets.pane import Pane, Run
from purlside.keep import shelf
from purlside.keep.shelf import Shelved
from purlside.plan.plan import Plan
from purlside.text.harmless import shown

LINES = 4
"""Lines of one plan on the list."""
CAPTION = 2
"""Lines below the picture, that say what it shows."""
PICTURED = 76
"""Columns from which on there is room for a picture beside the list."""
IDLE = 0.12
"""Seconds without a key after which the picture is drawn: going through the list waits for none."""


if TYPE_CHECKING:
    from textual.timer import Timer

    from purlside.fabric.small import Small


@lru_cache(maxsize=64)
def _small(plan: Plan, width: int, height: int, ascii_only: bool) -> Small:
    # Imported once the list is on the screen: it waits for no picture.
    from purlside.fabric.small import small

    return small(plan, width, height, ascii_only=ascii_only)


class Shelf(Choosing):
    """Plans in ./patterns and plans opened before."""

    ACTIONS = SHELF

    def __init__(self) -> None:
        super().__init__()
        self.plans: list[Shelved] = []
        self.pictured: Shelved | None = None
        """The plan whose picture is shown: the chosen one, a moment after it was chosen."""
        self._drawing: Timer | None = None

    def panes(self) -> ComposeResult:
        yield heading(lambda: [(" Shelf of plans", "figure"), (f"   {self.where('plan')}", "quiet")])
        with Horizontal(id="shelved"):
            yield Pane(self._listed, id="plans")
            yield Pane(self._picture, id="pictured")

    def _listed(self, width: int, height: int) -> Iterator[list[Run]]:
        """The plans, the chosen one marked; or how to come by one."""
        for i in sight(self.chosen, self.count, max(1, height // LINES)):
            yield from self._plan(self.plans[i], i == self.chosen, width)
        if self.plans:
            return
        yield [(" No plan here yet.", "strong")]
        yield []
        for name, what in (
            ("new_plan", "a new plan, from five questions"),
            ("samples", "copy one of the sample plans into this folder, to knit or to change"),
            ("tour", "the tour: holding, bridging, backing up and crossing in one minute"),
        ):
            yield [(f"   {self.key_of(name):<4}", "key"), (what, "plain")]
        yield []
        yield [(" Plans are looked for in ./patterns; any other is opened by its path:", "plain")]
        yield [("     purlside PLAN.toml", "strong")]

    def _plan(self, plan: Shelved, chosen: bool, width: int) -> Iterator[list[Run]]:
        mark = " > " if chosen else "   "
        name = shown(plan.path.name)
        file = "" if plan.title == name else f"   {name}"
        yield [(mark, "key"), (plan.title, "figure" if chosen else "strong"), (file, "quiet")]
        if plan.reason:
            why = "" if plan.draft else "cannot be knit: "
            told = textwrap.wrap(f"{why}{plan.reason}", max(10, width - 4))
            cut = f" {told[1][: width - 5]}…" if len(told) > 2 else f" {told[1]}" if len(told) > 1 else ""
            yield [(f"   {told[0]}", "plain")]
            yield [(f"  {cut}", "plain")]
        else:
            yield [(f"   {plan.summary}", "plain")]
            when = f", last knit {plan.last:%Y-%m-%d %H:%M}" if plan.last and plan.row else ""
            yield [("   ", "plain"), (plan.progress, "strong"), (when, "quiet")]
        yield []

    def on_mount(self) -> None:
        if said := shelf.mend():
            self.app.notify(said, markup=False, timeout=20)
        self.look_again()

    def on_screen_resume(self) -> None:
        self.look_again()

    def _picture(self, width: int, height: int) -> Iterator[list[Run]]:
        """The chosen plan's fabric, small, once nobody is going through the list; or the whole reason it has none."""
        plan = self.pictured
        # The list may be read anew, and be empty, before another picture is due.
        if plan is None or plan is not self.plan:
            return
        if plan.plan is None:
            yield from ([(f" {line}", "plain")] for line in textwrap.wrap(plan.reason, max(10, width - 2)))
            return
        found = _small(plan.plan, width - 2, height - CAPTION, self.owner.settings.look.drawing == "ascii")
        for line in found.lines:
            yield [(" ", "plain"), *((text, tone.value) for text, tone in line)]
        yield from ([(f" {line}", "quiet")] for line in textwrap.wrap(found.caption, max(10, width - 2)))

    def fit(self, width: int, height: int) -> None:
        pictured = self.query_one("#pictured")
        pictured.display = width >= PICTURED and bool(self.plans)
        pictured.styles.width = min(72, width * 3 // 8)

    def _draw_soon(self) -> None:
        """Picture the chosen plan when no further key comes."""
        if self._drawing is not None:
            self._drawing.stop()
        self._drawing = self.set_timer(IDLE, self._draw)

    def _draw(self) -> None:
        self._drawing = None
        self.pictured = self.plan
        self.query_one("#pictured", Pane).redraw()

    def look_again(self) -> None:
        """Read the shelf anew."""
        self.plans = shelf.plans()
        self.chosen = max(0, min(self.chosen, self.count - 1))
        self.fit(*self.app.size)
        self.call_after_refresh(self.repaint)
        self._draw_soon()

    @property
    def count(self) -> int:
        return len(self.plans)

    @property
    def plan(self) -> Shelved | None:
        """The chosen one."""
        return self.plans[self.chosen] if self.plans else None

    def choose(self, at: int) -> None:
        super().choose(at)
        self._draw_soon()

    def do_open(self) -> None:
        if (plan := self.plan) is None:
            return
        if plan.draft:
            self.say(f"Not saved yet: {self.key_of('draft')} opens it, to be saved and knit")
        elif not self.owner.open_plan(plan.path):
            self.say(f"This plan cannot be knit yet; its reason stands beside it. {self.key_of('draft')} mends it")

    def do_draft(self, *, copy: bool = False) -> None:
        if (plan := self.plan) is not None and (why := self.owner.draft(plan.path, copy=copy)):
            self.say(why)

    def do_copy(self) -> None:
        self.do_draft(copy=True)

    def do_knit_again(self) -> None:
        from purlside.files.planfile import read

        if (shelved := self._knittable("This")) is not None:
            self.owner.knit_again(read(shelved.path))

    def do_new_plan(self) -> None:
        self.owner.new_plan(shelf.PATTERNS)

    def do_figures(self) -> None:
        from purlside.app.screens.figures import of_plan

        if (shelved := self._knittable("No figures: this")) is not None and shelved.plan is not None:
            self.app.push_screen(of_plan(shelved.plan, shelved.path))

    def _knittable(self, begun: str) -> Shelved | None:
        """The chosen plan, where it can be knit; it is said otherwise."""
        if (plan := self.plan) is not None and plan.plan is not None and not plan.reason:
            return plan
        self.say(f"{begun} plan cannot be knit yet" if plan else "")
        return None

    def do_yarns(self) -> None:
        from purlside.app.screens.yarns import Yarns

        self.app.push_screen(Yarns(*((self.plan.plan, self.plan.path) if self.plan else ())))

    def do_samples(self) -> None:
        from purlside.app.screens.samples import Samples

        def copied(path: Path) -> None:
            shelf.opened(path)
            self.chosen = 0
            self.note_line = f"Copied to {path}"

        self.app.push_screen(Samples(copied))

    def do_tour(self) -> None:
        from purlside.app.screens.tour import Tour

        self.app.push_screen(Tour())

    def do_forget(self) -> None:
        if (plan := self.plan) is None:
            return
        if plan.draft:
            self.say(f"Not saved yet: {self.key_of('draft')} asks whether to restore or discard it")
        else:
            shelf.forget(plan.path)
            self.look_again()

    def do_leave(self) -> None:
        self.app.exit(0)
