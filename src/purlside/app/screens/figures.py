"""Figures on screen: all that ``purlside figures`` says of a plan, and the questions turned round."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partialmethod
from pathlib import Path
from typing import Any

from textual.app import ComposeResult

from purlside.app.actions import FIGURES
from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.page import Block, Line, Page, heading
from purlside.app.widgets.pane import Run
from purlside.ease.reach import Verdict
from purlside.figures.costs import Timings
from purlside.figures.sizing import MOST_SIZE_MM
from purlside.figures.text import ESTIMATES, WIDEST, Emphasis, FigureLine, lifted_line, sections, wrapped
from purlside.figures.whole import Figures, FiguresAsked, figures
from purlside.figures.widest import Widest, halves
from purlside.keep.session import Session
from purlside.plan.plan import Plan
from purlside.plan.problems import Unfit
from purlside.text.harmless import shown
from purlside.text.units import length_mm

MARKS = {
    "lines": {Verdict.EASY: "■", Verdict.FIRM: "□", Verdict.NOT_ENOUGH: "·"},
    "ascii": {Verdict.EASY: "=", Verdict.FIRM: "-", Verdict.NOT_ENOUGH: "."},
}
_STYLES = {Verdict.EASY: "strong", Verdict.FIRM: "figure", Verdict.NOT_ENOUGH: "quiet"}

MOST_STITCHES = 40
"""Stitches of both halves the chart shows at most."""


class FiguresScreen(Keyed):
    """Figures of one plan. ``asked`` brings the knitter's pace.

    Its own keys are fixed, so that keys chosen for knitting cannot take one from it.
    """

    ACTIONS = FIGURES

    def __init__(self, plan: Plan, path: Path, asked: FiguresAsked) -> None:
        super().__init__()
        self.plan, self.path, self.asked = plan, path, asked
        self.said = _known(plan)
        self.figures: Figures = figures(plan, self.asked)

    def panes(self) -> ComposeResult:
        page = Page(self._blocks)
        yield heading(
            lambda: [(" Figures", "figure"), (f"   {self.plan.title}", "strong"), (f"   {page.where}", "quiet")]
        )
        yield page

    # --- what is shown ------------------------------------------------------

    def _blocks(self, width: int) -> list[Block]:
        found: list[Block] = [[*_lines(map(FigureLine, (ESTIMATES, *self.said)), width), []]]
        for section in sections(self.figures, self.unit):
            title: Line = [(section.title, "figure")]
            if section.title == WIDEST:
                found.append([title, *self._chart(width), []])
                continue
            for i, part in enumerate(section.parts):
                found.append([*([title] if i == 0 else []), *_lines(part, width), []])
        return found

    def _chart(self, width: int) -> Iterator[Line]:
        """The widest crossing by each technique, and every width judged: one mark a stitch of both halves."""
        marks = MARKS[self.owner.settings.look.drawing]
        all_ = self.figures.widest
        wide = max(len(str(one.technique)) for one in all_) + 2
        most = min(max(2, width - wide - 26 + 1), MOST_STITCHES, max(6, *(one.firm + 2 for one in all_)))
        lead = " " * (wide + 2)
        scale = "".join(f"{n:<4}" for n in range(2, most + 1, 4))[: most + 2].rstrip()
        yield [(f"{lead}{'easily':<11}{'firmly':<11}{scale}", "quiet")]
        for one in all_:
            text = f"  {one.technique!s:<{wide}}{halves(one.easy):<11}{halves(one.firm):<11}"
            yield [(text, "plain"), *_bar(one, most, marks)]
        ours = max((c.reach.crossing for c in self.figures.crossings), key=lambda c: len(c.needles), default=None)
        if ours is not None:
            at = len(ours.needles)
            sign = "^" if at <= most else ">"
            place = " " * (min(at, most) - 2)
            yield [(f"  {f'the widest of this plan: {ours.words}':<{wide + 22}}{place}{sign}", "strong")]
        legend = ", ".join(f"{marks[verdict]} {verdict}" for verdict in Verdict)
        yield from _lines([FigureLine(f"  chart: stitches of both halves together; {legend}; an estimate")], width)
        yield from _lines([FigureLine(lifted_line(self.figures.lifted))], width)

    # --- what keys do -------------------------------------------------------

    def _ask_size(self, question: str, key: str) -> None:
        allowed = "22 cm, 8.5 in and so on, to 20 m"
        self._ask(question, allowed, lambda text: length_mm(text, self.unit), MOST_SIZE_MM, key)

    do_width = partialmethod(_ask_size, "Wanted width", "width_mm")
    do_length = partialmethod(_ask_size, "Wanted length", "length_mm")

    def do_take_in(self) -> None:
        question = "Take-in: width of a cable, in % of the same stitches knit plain"
        self._ask(question, "above 0 to 200", lambda text: float(text) / 100, 2, "take_in")

    def _ask(self, question: str, allowed: str, read: Callable[[str], float], most: float, key: str) -> None:
        """Ask for a number, at most so much, then work the figures out with it; 0 takes it away."""

        def heard(answer: str) -> float:
            with contextlib.suppress(ValueError):
                if 0 <= (value := read(answer)) <= most:
                    return value
            raise ValueError(f"Found {shown(answer, 20)}; allowed: {allowed}")

        def settle(value: float) -> None:
            changes: dict[str, Any] = {key: value or None}
            self.asked = replace(self.asked, **changes)
            self.figures = figures(self.plan, self.asked)
            self.query_one(Page).top = 0
            self.say("" if self.figures.finished else "No size without gauge or a measured loop")

        self.owner.ask(Ask(question, f"{allowed}; 0 takes it away; Esc leaves it", heard), settle)

    def do_yarns(self) -> None:
        from purlside.app.screens.yarns import Yarns

        self.app.push_screen(Yarns(self.plan, self.path))


def _known(plan: Plan) -> tuple[str, ...]:
    from purlside.keep import drawer

    try:
        return drawer.known(plan)
    except (Unfit, OSError) as error:
        return (f"your yarns cannot be read: {str(error).splitlines()[0]}",)


def of_plan(plan: Plan, path: Path) -> FiguresScreen:
    """Figures of a plan on the shelf, with what the drawer knows of its yarn and its ledger of the knitter's pace."""
    from purlside.keep.resuming import own_timings

    return FiguresScreen(plan, path, FiguresAsked(timings=own_timings(path)))


def of_session(session: Session) -> FiguresScreen:
    """Figures of the plan in hand, with the knitter's own pace."""
    pace, plan = session.pace, session.file.plan
    timings = Timings(row=pace.plain_row, crossing_row=pace.crossing_row)
    return FiguresScreen(plan, session.file.path, FiguresAsked(timings=timings))


def _bar(one: Widest, most: int, marks: dict[Verdict, str]) -> Iterator[Run]:
    """One mark for each width from 2 stitches to ``most``, in runs of one verdict."""
    verdicts = [one.verdict(stitches) for stitches in range(2, most + 1)]
    for verdict in Verdict:
        if count := verdicts.count(verdict):
            yield marks[verdict] * count, _STYLES[verdict]


def _lines(text: Iterable[FigureLine], width: int) -> Iterator[Line]:
    """Lines of text as they look: what is planned and what is doubtful stand out, by words and signs first."""
    for said in text:
        style = "plain" if said.weight is Emphasis.USUAL else "strong"
        found = list(wrapped([str(said)], width))
        if said.verdict is not None and len(found) == 1:
            verdict = "figure" if said.verdict is Verdict.NOT_ENOUGH else "strong"
            yield [(said.text, style), (str(said.verdict), verdict)]
        else:
            yield from ([(line, style)] for line in found)
