"""The yarn drawer on screen: yarns kept, their swatches, and what their crossings have taught."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from textual.app import ComposeResult

from purlside.app.actions import YARNS
from purlside.app.screens.ask import Ask
from purlside.app.screens.form import Form, FormField, Given
from purlside.app.screens.keyed import Choosing
from purlside.app.screens.swatch import SWATCH, number_in, swatch_values
from purlside.app.widgets.page import heading, sight
from purlside.app.widgets.pane import Pane, Run
from purlside.ease.loops import conflict, loop_line
from purlside.figures.text import wrapped
from purlside.keep import drawer, intoplan
from purlside.keep.drawer import Drawer, KeptYarn
from purlside.keep.drawer_text import brief, yarn_lines
from purlside.keep.outcomes import kept_values
from purlside.keep.swatches import Swatch, today
from purlside.plan.checked import written
from purlside.plan.plan import Plan
from purlside.plan.problems import Unfit
from purlside.text.counts import counted
from purlside.text.harmless import shown

MOST_TOLD = 10
"""Lines of an offer shown at once."""


class Yarns(Choosing):
    """All yarns of the drawer. ``plan`` is the one it was opened from: loops are held against its gauge.

    Its own keys are fixed, as those of the figures.
    """

    ACTIONS = YARNS

    def __init__(self, plan: Plan | None = None, path: Path | None = None) -> None:
        super().__init__()
        self.plan, self.path = plan, path
        self.note_line = drawer.mend()
        self.kept, self.trouble = Drawer(), ""
        try:
            self.kept = drawer.read()
        except (Unfit, OSError) as error:
            self.trouble = f"Your yarns cannot be read; the file is left as it is. {error}"
        if plan is not None and plan.yarn.name is not None:
            self._find(plan.yarn.name)

    def panes(self) -> ComposeResult:
        yield heading(lambda: [(" My yarns", "figure"), (f"   {self.where('yarn')}", "quiet")])
        yield Pane(self._listed, id="page")

    def _listed(self, width: int, height: int) -> Iterator[list[Run]]:
        """The yarns, the chosen one marked; under them all that is known of it."""
        kept = self.kept.yarn
        if self.trouble or not kept:
            told = self.trouble
            if not told:
                yield [(" No yarn kept yet.", "strong")]
                begin = f"n keeps a new yarn{', filled in from this plan' if self.plan is not None else ''}"
                told = f"{begin}. A plan uses it by its name: [yarn] name = …"
            yield from ([(line, "plain")] for line in wrapped([f" {told}"], width - 2))
            return
        for i in sight(self.chosen, len(kept), max(1, height // 3)):
            mark, style = (" > ", "figure") if i == self.chosen else ("   ", "strong")
            yield [(mark, "key"), (kept[i].name, style), (f"   {brief(kept[i])}", "plain")]
        yield []
        for line in wrapped(self.told(), min(width - 2, 100)):
            yield [(f" {line}", "plain" if line.startswith(" ") else "strong")]

    @property
    def count(self) -> int:
        return len(self.kept.yarn)

    @property
    def yarn(self) -> KeptYarn | None:
        return self.kept.yarn[self.chosen] if self.kept.yarn else None

    def told(self) -> Iterator[str]:
        """All that is known of the chosen yarn, and how it fits the plan."""
        if (yarn := self.yarn) is None:
            return
        yield from yarn_lines(yarn, self.unit)
        if self.plan is None:
            return
        name = self.plan.yarn.name
        if name is None or name.casefold() != yarn.name.casefold():
            yield f'  {self.plan.title} does not use it; its plan would say: [yarn] name = "{yarn.name}"'
        fitted, left_out = drawer.in_plan(self.plan, yarn)
        yield from (f"  {said}" for said in left_out)
        if yarn.loop_mm and not left_out:
            doubts = loop_line(fitted).doubts
            yield from (f"  doubtful in {self.plan.title}: {doubt}" for doubt in doubts)

    # --- the drawer ---------------------------------------------------------

    def _change(self, how: Callable[[Drawer], Drawer], said: str) -> None:
        try:
            self.kept = drawer.change(how)
        except (Unfit, OSError) as error:
            said = str(error).splitlines()[0]
        self.choose(self.chosen)
        self.say(said)

    def _find(self, name: str) -> None:
        names = [yarn.name.casefold() for yarn in self.kept.yarn]
        if name.casefold() in names:
            self.chosen = names.index(name.casefold())

    # --- what keys do -------------------------------------------------------

    def do_new_yarn(self) -> None:
        """Keep a yarn, beginning with the plan's own where there is one that is not kept yet."""
        plan = self.plan
        values: dict[str, Any] = {}
        if plan is not None and self.kept.get(plan.yarn.name) is None:
            values = kept_values(plan, plan.yarn.name or "")
        self._ask_yarn("A yarn to keep", values)

    def do_change_yarn(self) -> None:
        if (yarn := self.yarn) is not None:
            self._ask_yarn("Change what is kept", written(yarn), yarn.name)

    def _ask_yarn(self, question: str, values: dict[str, Any], old: str | None = None) -> None:
        if self.trouble:
            return
        extension, tex = values.get("extension_at_break"), values.get("tex")
        fields = (
            FormField("name", "Name", values.get("name", "")),
            FormField("fibre", "Fibre, as wool or cotton", values.get("fibre", "")),
            FormField("extension", "Or its extension at break, %", f"{extension * 100:g}" if extension else ""),
            FormField("count", "Count, as 2/8 Nm or 250 tex", values.get("count", f"{tex:g} tex" if tex else "")),
            FormField("pitch", "Needle pitch of swatch", f"{values['pitch_mm']:g}" if "pitch_mm" in values else ""),
        )

        def made(answers: Given) -> KeptYarn:
            extension, pitch = number_in(answers["extension"], 200), number_in(answers["pitch"], 30)
            given: dict[str, Any] = {
                "name": answers["name"],
                "fibre": answers["fibre"] or None,
                "extension_at_break": extension / 100 if extension else None,
                "count": answers["count"] or None,
                "pitch_mm": pitch or None,
            }
            rest = {key: value for key, value in values.items() if key in ("loop_mm", "swatch", "crossing")}
            yarn = drawer.new_yarn(**rest, **{key: value for key, value in given.items() if value is not None})
            if self.kept.get(yarn.name) and (old is None or yarn.name.casefold() != old.casefold()):
                raise ValueError(f"{yarn.name} is here already: choose it and change it, or take another name")
            return yarn

        def keep(yarn: KeptYarn) -> None:
            def how(kept: Drawer) -> Drawer:
                if old is None:
                    return kept.with_yarn(yarn)
                place = [one.name.casefold() for one in kept.yarn].index(kept.find(old).name.casefold())
                return Drawer(yarn=(*kept.yarn[:place], yarn, *kept.yarn[place + 1 :]))

            self._change(how, f"{yarn.name} is kept")
            self._find(yarn.name)
            self.repaint()

        hint = "Enter: next line, after the last: keep. Esc leaves it. Empty: not known."
        self.owner.ask(Form(question, fields, hint, made), keep)

    def do_swatch(self) -> None:
        """A swatch measured, unravelled or both, kept with its date; at two sizes the yarn has its own loops."""
        if (yarn := self.yarn) is None:
            self.say("Keep a yarn first")
            return
        unit = self.unit

        def measured(answers: Given) -> dict[str, Any]:
            values = swatch_values(answers, unit)
            drawer.Drawer(yarn=(yarn,)).swatched(yarn.name, **values)
            return values

        def keep(values: dict[str, Any]) -> None:
            if self.plan is not None:
                values["pitch_mm"] = self.plan.machine.pitch_mm
            said = f"The swatch of {yarn.name} is kept"
            self._change(lambda kept: kept.swatched(yarn.name, date=today(), **values), said)
            kept = now.swatch[-1] if (now := self.kept.get(yarn.name)) else None
            if kept is not None and kept.loop_mm and kept.gauge:
                doubt = conflict(kept.loop_mm, kept.stitch_size, *kept.gauge)
                loop = f"One loop at SS {kept.stitch_size:g}: {kept.loop_mm:.2f} mm"
                self.say(f"Doubtful: {doubt}" if doubt else loop)

        question = f"A swatch of {shown(yarn.name)}"
        hint = f"Empty: not measured; lengths in {unit} or as 5.4 in. Measure unravelled yarn straight, not stretched."
        self.owner.ask(Form(question, SWATCH, hint, measured), keep)

    def do_use(self) -> None:
        """A swatch's numbers, and what this yarn's crossings have taught: asked which, shown, then written if agreed."""
        plan, path, yarn = self.plan, self.path, self.yarn
        if plan is None or path is None or yarn is None:
            self.say("Open this from a plan")
            return
        fits = [i for i, swatch in enumerate(yarn.swatch, 1) if swatch.fits(plan.machine.pitch_mm)]
        if not fits:
            self._offer(plan, path, yarn, None)
            return

        def number(answer: str) -> int:
            if answer.isascii() and answer.isdigit() and int(answer) in (0, *fits):
                return int(answer)
            raise ValueError(f"Found {shown(answer, 20)}; allowed: {', '.join(map(str, (0, *fits)))}")

        def chosen(at: int) -> None:
            self._offer(plan, path, yarn, yarn.swatch[at - 1] if at else None)

        listed = (f"{i}  {yarn.swatch[i - 1].words()}" for i in fits[-MOST_TOLD:])
        question, hint = "\n".join(["Which swatch's numbers?", *listed]), "its number; 0: none of them; Esc leaves it"
        self.owner.ask(Ask(question, hint, number, str(fits[-1])), chosen)

    def _offer(self, plan: Plan, path: Path, yarn: KeptYarn, swatch: Swatch | None) -> None:
        limit = drawer.offered(replace(plan, yarn=replace(plan.yarn, name=yarn.name)), self.kept)
        found = intoplan.into_plan(plan, yarn, swatch, limit)
        if found is None:
            self.say("The plan says it already")
            return

        def write(_: bool) -> None:
            try:
                intoplan.write_into(path, found.change)
            except intoplan.NotWrittenIn as error:
                self.say(f"The plan is left as it is: {error}")
                return
            self.plan = found.change(plan)
            self.say(f"Written into {path.name}")

        told = [*found.told]
        if len(told) > MOST_TOLD:
            told[MOST_TOLD:] = [f"  and {len(told) - MOST_TOLD} more"]
        question = "\n".join([f"Write into {shown(plan.title, 40)}?", *told])
        self.owner.ask(_sure(question, "y, then Enter, writes it; Esc leaves the plan as it is"), write)

    def do_remove(self) -> None:
        if (yarn := self.yarn) is None:
            return

        def remove(_: bool) -> None:
            self._change(lambda kept: kept.without(yarn.name), f"{yarn.name} is taken out")

        swatches = f"{len(yarn.swatch)} swatch{'es' if len(yarn.swatch) != 1 else ''}"
        crossings = counted(len(yarn.crossing), "crossing")
        question = f"Take {yarn.name} out, with its loops, {swatches} and {crossings} recorded?"
        self.owner.ask(_sure(question, "y takes it out; Esc leaves it"), remove)


def _sure(question: str, hint: str) -> Ask[bool]:
    """A question that is answered by y."""

    def heard(answer: str) -> bool:
        if answer.casefold() in ("y", "yes"):
            return True
        raise ValueError(hint)

    return Ask(question, hint, heard)
