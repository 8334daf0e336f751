"""The yarn drawer on screen: yarns kept, their swatches, and what their crossings have taught."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from textual.app import ComposeResult
from textual.events import Resize

from purlside.app.actions import YARNS
from purlside.app.screens.ask import Ask
from purlside.app.screens.form import Form, FormField
from purlside.app.screens.keyed import Keyed
from purlside.app.screens.swatch import SWATCH, number_in, swatch_values
from purlside.app.widgets.bedside import KeyLine
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
from purlside.text.harmless import shown

MOST_TOLD = 10
"""Lines of an offer shown at once."""


class YarnList(Pane):
    """The yarns, the chosen one marked; under them all that is known of it."""

    def __init__(self, screen: Yarns) -> None:
        super().__init__(id="page")
        self.yarns = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        kept, chosen = self.yarns.kept.yarn, self.yarns.chosen
        if self.yarns.trouble:
            yield from ([(line, "plain")] for line in wrapped([f" {self.yarns.trouble}"], width - 2))
            return
        if not kept:
            yield [(" No yarn kept yet.", "strong")]
            yield from ([(line, "plain")] for line in wrapped([f" {self._how_to_begin()}"], width - 2))
            return
        room = max(1, min(len(kept), height // 3))
        top = max(0, min(chosen - room // 2, len(kept) - room))
        for i in range(top, top + room):
            mark, style = (" > ", "figure") if i == chosen else ("   ", "strong")
            yield [(mark, "key"), (kept[i].name, style), (f"   {brief(kept[i])}", "plain")]
        yield []
        for line in wrapped(self.yarns.told(), min(width - 2, 100)):
            yield [(f" {line}", "plain" if line.startswith(" ") else "strong")]

    def _how_to_begin(self) -> str:
        begin = "n keeps a new yarn"
        if self.yarns.plan is not None:
            begin += ", filled in from this plan"
        return f"{begin}. A plan uses it by its name: [yarn] name = …"


class Top(Pane):
    """The name of the screen, and how many yarns."""

    def __init__(self, screen: Yarns) -> None:
        super().__init__(id="heading")
        self.yarns = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        count = len(self.yarns.kept.yarn)
        where = f"yarn {self.yarns.chosen + 1} of {count}" if count else ""
        yield []
        yield [(" My yarns", "figure"), (f"   {where}", "quiet")]
        yield []


class Yarns(Keyed):
    """All yarns of the drawer. ``plan`` is the one it was opened from: loops are held against its gauge.

    Its own keys are fixed, as those of the figures.
    """

    ACTIONS = YARNS
    FIXED = True

    def __init__(self, plan: Plan | None = None, path: Path | None = None) -> None:
        super().__init__()
        self.plan, self.path = plan, path
        self.kept = Drawer()
        self.chosen = 0
        self.trouble = ""
        self.note_line = ""
        self._read()
        if plan is not None and plan.yarn.name is not None:
            self._choose(plan.yarn.name)

    def compose(self) -> ComposeResult:
        yield Top(self)
        yield YarnList(self)
        yield KeyLine(lambda: self.keys, lambda: self.note_line, id="keys")

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self._repaint)

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

    def _read(self) -> None:
        self.note_line = drawer.mend()
        try:
            self.kept, self.trouble = drawer.read(), ""
        except (Unfit, OSError) as error:
            self.kept, self.trouble = Drawer(), f"Your yarns cannot be read; the file is left as it is. {error}"
        self.chosen = max(0, min(self.chosen, len(self.kept.yarn) - 1))

    def _change(self, how: Callable[[Drawer], Drawer], said: str) -> None:
        try:
            self.kept = drawer.change(how)
        except (Unfit, OSError) as error:
            said = str(error).splitlines()[0]
        self.chosen = max(0, min(self.chosen, len(self.kept.yarn) - 1))
        self.say(said)

    def _choose(self, name: str) -> None:
        names = [yarn.name.casefold() for yarn in self.kept.yarn]
        if name.casefold() in names:
            self.chosen = names.index(name.casefold())

    # --- what keys do -------------------------------------------------------

    def do_down(self) -> None:
        self._move(1)

    def do_up(self) -> None:
        self._move(-1)

    def _move(self, by: int) -> None:
        self.chosen = max(0, min(self.chosen + by, len(self.kept.yarn) - 1))
        self.say("")

    def do_new_yarn(self) -> None:
        """Keep a yarn, beginning with the plan's own where there is one that is not kept yet."""
        plan = self.plan
        values: dict[str, Any] = {}
        if plan is not None and not (plan.yarn.name and self.kept.has(plan.yarn.name)):
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

        def made(answers: dict[str, str]) -> KeptYarn:
            extension, pitch = number_in(answers["extension"], 200), number_in(answers["pitch"], 30)
            given: dict[str, Any] = {
                "name": answers["name"],
                "fibre": answers["fibre"] or None,
                "extension_at_break": extension / 100 if extension else None,
                "count": answers["count"] or None,
                "pitch_mm": pitch or None,
            }
            rest = {key: value for key, value in values.items() if key in ("loop_mm", "swatch", "crossing")}
            return drawer.new_yarn(**rest, **{key: value for key, value in given.items() if value is not None})

        def refuse(answers: dict[str, str]) -> str | None:
            try:
                name = made(answers).name
            except ValueError as error:
                return "\n".join(str(error).splitlines()[:3])
            if self.kept.has(name) and (old is None or name.casefold() != old.casefold()):
                return f"{name} is here already: choose it and change it, or take another name"
            return None

        def keep(answers: dict[str, str] | None) -> None:
            if answers is None:
                return
            yarn = made(answers)

            def how(kept: Drawer) -> Drawer:
                if old is None:
                    return kept.with_yarn(yarn)
                place = [one.name.casefold() for one in kept.yarn].index(kept.find(old).name.casefold())
                return Drawer(yarn=(*kept.yarn[:place], yarn, *kept.yarn[place + 1 :]))

            self._change(how, f"{yarn.name} is kept")
            self._choose(yarn.name)
            self._repaint()

        hint = "Enter: next line, after the last: keep. Esc leaves it. Empty: not known."
        self.app.push_screen(Form(question, fields, hint, refuse), keep)

    def do_swatch(self) -> None:
        """A swatch measured, unravelled or both, kept with its date; at two sizes the yarn has its own loops."""
        if (yarn := self.yarn) is None:
            self.say("Keep a yarn first")
            return
        unit = self.unit

        def refuse(answers: dict[str, str]) -> str | None:
            try:
                drawer.Drawer(yarn=(yarn,)).swatched(yarn.name, **swatch_values(answers, unit))
            except ValueError as error:
                return "\n".join(str(error).splitlines()[:3])
            return None

        def keep(answers: dict[str, str] | None) -> None:
            if answers is None:
                return
            values = swatch_values(answers, unit)
            if self.plan is not None:
                values["pitch_mm"] = self.plan.machine.pitch_mm
            self._change(
                lambda kept: kept.swatched(yarn.name, date=today(), **values), f"The swatch of {yarn.name} is kept"
            )
            kept = self.kept.find(yarn.name).swatch[-1] if self.kept.has(yarn.name) else None
            if kept is not None and kept.loop_mm and kept.gauge:
                doubt = conflict(kept.loop_mm, kept.stitch_size, *kept.gauge)
                self.say(
                    f"Doubtful: {doubt}" if doubt else f"One loop at SS {kept.stitch_size:g}: {kept.loop_mm:.2f} mm"
                )

        question = f"A swatch of {shown(yarn.name)}"
        hint = f"Empty: not measured; lengths in {unit} or as 5.4 in. Measure unravelled yarn straight, not stretched."
        self.app.push_screen(Form(question, SWATCH, hint, refuse), keep)

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

        def refuse(answer: str) -> str | None:
            known = answer.isascii() and answer.isdigit() and int(answer) in (0, *fits)
            return None if known else f"Found {shown(answer, 20)}; allowed: {', '.join(map(str, (0, *fits)))}"

        def chosen(answer: str | None) -> None:
            if answer is not None:
                self._offer(plan, path, yarn, yarn.swatch[int(answer) - 1] if int(answer) else None)

        question = "\n".join(
            ["Which swatch's numbers?", *(f"{i}  {yarn.swatch[i - 1].words()}" for i in fits[-MOST_TOLD:])]
        )
        self.app.push_screen(Ask(question, "its number; 0: none of them; Esc leaves it", refuse, str(fits[-1])), chosen)

    def _offer(self, plan: Plan, path: Path, yarn: KeptYarn, swatch: Swatch | None) -> None:
        limit = drawer.offered(replace(plan, yarn=replace(plan.yarn, name=yarn.name)), self.kept)
        found = intoplan.into_plan(plan, yarn, swatch, limit)
        if found is None:
            self.say("The plan says it already")
            return

        def refuse(answer: str) -> str | None:
            return None if answer.casefold() in ("y", "yes") else "y writes it; Esc leaves the plan as it is"

        def write(answer: str | None) -> None:
            if answer is None:
                return
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
        self.app.push_screen(Ask(question, "y writes it; Esc leaves the plan as it is", refuse), write)

    def do_remove(self) -> None:
        if (yarn := self.yarn) is None:
            return

        def remove(answer: str | None) -> None:
            if answer is not None:
                self._change(lambda kept: kept.without(yarn.name), f"{yarn.name} is taken out")

        def refuse(answer: str) -> str | None:
            return None if answer.casefold() in ("y", "yes") else "y takes it out; Esc leaves it"

        count = len(yarn.crossing)
        swatches = len(yarn.swatch)
        lost = (
            f", with its loops, {swatches} swatch{'es' if swatches != 1 else ''} and {count} "
            f"crossing{'s' if count != 1 else ''} recorded"
        )
        self.app.push_screen(Ask(f"Take {yarn.name} out{lost}?", "y takes it out; Esc leaves it", refuse), remove)

    def do_theme(self) -> None:
        super().do_theme()
        self.call_after_refresh(self._repaint)

    def do_leave(self) -> None:
        self.app.pop_screen()
