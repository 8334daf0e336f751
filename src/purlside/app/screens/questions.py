"""Questions of the drafting table: five for a new plan, a motif's numbers, whether to save before leaving."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.events import DescendantFocus
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from purlside.app.screens.form import Form, FormField, Heard
from purlside.bed.needles import Side
from purlside.draft import beginning, beside, measured
from purlside.draft.drafting import CannotDraft, Draft
from purlside.draft.refit import refit, refit_for
from purlside.draft.refittold import side_by_side
from purlside.fabric import motifs
from purlside.figures.shaping import words
from purlside.plan.plan import Plan


class FiveQuestions(Form):
    """A new plan: each answer may stand as it is, and is shown as it is understood; the hint says how it is written."""

    def __init__(self) -> None:
        asked = [FormField(f"q{i}", question.asked, question.usual) for i, question in enumerate(beginning.QUESTIONS)]
        super().__init__("A new plan", asked, beginning.QUESTIONS[0].hint, hear=self._hear)

    @staticmethod
    def given(answers: dict[str, str]) -> list[str]:
        return [answers[f"q{i}"] for i in range(len(beginning.QUESTIONS))]

    def _hear(self, answers: dict[str, str]) -> dict[str, tuple[str, bool]]:
        heard = beginning.hear(self.given(answers))
        return {f"q{i}": (each.words, each.wrong) for i, each in enumerate(heard)}

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        if (name := event.widget.id or "").startswith("q"):
            hint = beginning.QUESTIONS[int(name[1:])].hint
            self.query_one(".hint", Static).update(Content(f"{hint}. Enter goes on; Esc leaves."))


class RefitForm(Form):
    """Another machine, yarn, gauge or tools: what would come of it is told as one types; empty lines stay as they are."""

    MOST_LINES = 5

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        asked = [
            FormField("pitch", "Needle pitch, needles"),
            FormField("yarn", "Yarn, stitch size"),
            FormField("gauge", "Gauge of its swatch"),
            FormField("tools", "Tools, their prongs"),
        ]
        super().__init__("Refit: the same design for …", asked, "", refuse=self._refuse, hear=self._hear)

    def _refuse(self, given: dict[str, str]) -> str | None:
        try:
            refit(self.plan, refit_for(self.plan, **given))
        except ValueError as error:
            return str(error)
        return None

    def _hear(self, given: dict[str, str]) -> dict[str, Heard]:
        told: dict[str, Heard] = {}
        for key, answer in given.items():
            if answer:
                try:
                    refit_for(self.plan, **{key: answer})
                except ValueError as error:
                    told[key] = (str(error), True)
        hint = "9 mm, 110 needles; wool 1000 tex, SS 4; 14 st and 20 rows in 10 cm; 2, 3, 3. Enter goes on; Esc leaves."
        if not told and any(given.values()):
            try:
                lines = list(side_by_side(refit(self.plan, refit_for(self.plan, **given)).changes))
            except ValueError as error:
                lines = [str(error)]
            more = [f"… and {len(lines) - self.MOST_LINES} lines more"] if len(lines) > self.MOST_LINES else []
            hint = "\n".join([*lines[: self.MOST_LINES], *more])
        return {**told, "": (hint, False)}


class EvenForm(Form):
    """So many stitches over so many rows; how they fall is told as one types."""

    def __init__(self, row: int, last: int) -> None:
        asked = [
            FormField("stitches", "Stitches at each edge"),
            FormField("rows", "Over rows", f"{row}-{last}"),
            FormField("do", "What is done", "decrease"),
            FormField("edge", "Edge", "both"),
            FormField("tool", "Moved together", "3"),
        ]
        super().__init__("Shape evenly", asked, "", refuse=self._refuse, hear=self._hear)

    def _refuse(self, given: dict[str, str]) -> str | None:
        try:
            measured.even_for(given)
        except ValueError as error:
            return str(error)
        return None

    def _hear(self, given: dict[str, str]) -> dict[str, Heard]:
        hint = "Decrease, increase, cast off, cast on or hold. Enter goes on; Esc leaves."
        if given["stitches"]:
            try:
                hint = f"{given['do']} {words(measured.even_for(given)[0])}"
            except ValueError as error:
                hint = str(error)
        return {"": (hint, False)}


class MeasuresForm(Form):
    """A back, a front or a sleeve from its measures in cm; what they come to is told as one types."""

    MOST_LINES = 7

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        asked = [
            FormField("widths", "Height:width, …", "0:50, 36:50"),
            FormField("armhole", "Armhole or cap", "set-in"),
            FormField("depth", "Depth from there up", "20"),
            FormField("shoulder", "One shoulder", "11"),
            FormField("slope", "Shoulder slope", "3"),
            FormField("neck", "Neck, width, depth", "round 17 8"),
            FormField("edge", "Of a sleeve: the armhole's edge"),
        ]
        super().__init__("Shape from measures in cm", asked, "", refuse=self._refuse, hear=self._hear)

    def _refuse(self, given: dict[str, str]) -> str | None:
        try:
            measured.piece_for(self.plan, given)
        except ValueError as error:
            return str(error)
        return None

    def _hear(self, given: dict[str, str]) -> dict[str, Heard]:
        try:
            piece = measured.piece_for(self.plan, given)
        except ValueError as error:
            return {"": (str(error), False)}
        lines = [
            f"{len(piece.needles)} stitches, {piece.rows} rows; the edge to be sewn is {piece.edge / 10:.1f} cm long",
            *map(str, piece.measures),
        ]
        more = [f"… and {len(lines) - self.MOST_LINES} lines more"] if len(lines) > self.MOST_LINES else []
        return {"": ("\n".join([*lines[: self.MOST_LINES], *more]), False)}


class MotifMenu(ModalScreen[str | None]):
    """Choose a motif by its name; None if left."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,q", "leave", "leave it")]
    CSS = """
    MotifMenu { align: center middle; background: $background 60%; }
    MotifMenu .ask { width: 76; }
    MotifMenu OptionList, .-ascii MotifMenu OptionList { height: auto; border: none; background: $surface; padding: 0; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(classes="ask"):
            yield Static(Content("Lay down a motif: left edge at cursor"), classes="question")
            wide = max(map(len, motifs.MOTIFS)) + 2
            yield OptionList(
                *(Option(Content(f"{name:<{wide}}{m.words}"), id=name) for name, m in motifs.MOTIFS.items())
            )

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option.id)

    def action_leave(self) -> None:
        self.dismiss(None)


class MotifNumbers(Form):
    """Which motif, and its numbers: width, repeat and handedness; how many needles and rows it takes is told as one types."""

    def __init__(self, name: str, draft: Draft) -> None:
        self.motif, self.draft = motifs.MOTIFS[name], draft
        asked = [FormField(key, key, str(usual)) for key, (_, usual, _) in self.motif.numbers.items()]
        widest = max(2, 2 * next(iter(self.motif.numbers.values()))[1])
        asked += [
            FormField("every", "rows from crossing to crossing", str(max(4, widest))),
            FormField("lean", "first strand in front leans", "right"),
            *([FormField("back", "and back again", "yes")] if self.motif.back else []),
        ]
        title = f"{name[0].upper()}{name[1:]}: {self.motif.words}"
        super().__init__(title, asked, "", hear=self._hear)

    def _hear(self, given: dict[str, str]) -> dict[str, Heard]:
        wrong: dict[str, str] = {}
        for key, (least, _, most) in self.motif.numbers.items():
            if not _whole(given[key]) or not least <= int(given[key]) <= most:
                wrong[key] = f"a whole number, {least} to {most}"
        if not _whole(given["every"]) or int(given["every"]) < 1:
            wrong["every"] = "a whole number, 1 or more"
        if given["lean"].lower() not in ("right", "left"):
            wrong["lean"] = "right or left, on the knit side"
        if given.get("back", "yes").lower() not in ("yes", "no"):
            wrong["back"] = "yes or no"
        told = {key: (words, True) for key, words in wrong.items()}
        return {**told, "": ("" if wrong else f"{self._takes(given)}. Enter goes on; Esc leaves.", False)}

    def _takes(self, given: dict[str, str]) -> str:
        """What it would take: needles and rows."""
        laid: dict[str, Any] = self.laid(given)
        try:
            return beside.takes_words(self.draft.plan, self.draft.laying(self.motif.name, **laid))
        except CannotDraft as error:
            return str(error)

    def laid(self, given: dict[str, str]) -> dict[str, object]:
        """The answers as the draft takes them."""
        numbers: dict[str, object] = {key: int(given[key]) for key in self.motif.numbers}
        back = given["back"].lower() == "yes" if "back" in given else None
        return {**numbers, "every": int(given["every"]), "lean": Side(given["lean"].lower()), "back": back}


def _whole(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 6


class LeftUnsaved(ModalScreen[str]):
    """Save before leaving? ``"save"``, ``"leave"`` or ``"stay"``."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("s,enter", "answer('save')", "save"),
        ("delete", "answer('leave')", "leave without saving"),
        ("escape,q", "answer('stay')", "stay"),
    ]
    CSS = "LeftUnsaved { align: center middle; background: $background 60%; }"

    def __init__(self, what: str) -> None:
        super().__init__()
        self.what = what

    def compose(self) -> ComposeResult:
        with Vertical(classes="ask"):
            yield Static(Content(self.what), classes="question")
            yield Static(Content("Enter   save it\nDelete  leave without saving\nEsc     stay here"))

    def action_answer(self, answer: str) -> None:
        self.dismiss(answer)


class TakeUp(ModalScreen[str]):
    """Changes kept from before: restore or discard them? ``"take"``, ``"drop"``, or ``"leave"`` both for later.

    Where several drafts are kept, ``"next"`` asks for another of them.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("enter", "answer('take')", "restore"),
        ("delete", "answer('drop')", "discard"),
        ("o", "answer('next')", "look at the others"),
        ("escape,q", "answer('leave')", "leave both as they are"),
    ]
    CSS = "TakeUp { align: center middle; background: $background 60%; }"

    def __init__(self, what: str, of_file: str, number: int = 1, of: int = 1) -> None:
        super().__init__()
        self.what, self.of_file, self.number, self.of = what, of_file, number, of

    def compose(self) -> ComposeResult:
        with Vertical(classes="ask"):
            yield Static(Content(self.what), classes="question")
            others, as_is = "", "both as they are" if self.of_file else "it as it is"
            if self.of > 1:
                number = "another" if self.of > 2 else "the other"
                others = f"o       {number} draft kept of it; this is {self.number} of {self.of}, the latest first\n"
                as_is = "all as they are"
            yield Static(
                Content(f"Enter   restore them\nDelete  discard them{self.of_file}\n{others}Esc     leave {as_is}")
            )

    def action_answer(self, answer: str) -> None:
        if answer != "next" or self.of > 1:
            self.dismiss(answer)
