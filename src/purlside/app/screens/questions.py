"""Questions of the drafting table: five for a new plan, another machine, shaping, a motif and its numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.events import DescendantFocus
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from purlside.app.screens.ask import Dialog
from purlside.app.screens.form import Form, FormField, Given, Heard
from purlside.bed.needles import Side
from purlside.draft import beginning, beside, measured
from purlside.draft.drafting import CannotDraft, Draft
from purlside.draft.refit import RefitFor, refit, refit_for
from purlside.draft.refittold import side_by_side
from purlside.fabric import motifs
from purlside.figures.shaping import words
from purlside.plan.plan import Plan

GOES_ON = "Enter goes on; Esc leaves."


class FiveQuestions(Form[Plan]):
    """A new plan: each answer may stand as it is, and is shown as it is understood; the hint says how it is written."""

    def __init__(self) -> None:
        asked = [FormField(f"q{i}", question.asked, question.usual) for i, question in enumerate(beginning.QUESTIONS)]
        hint = beginning.QUESTIONS[0].hint
        super().__init__("A new plan", asked, hint, lambda given: beginning.begin([*given.values()]), self._hear)

    def _hear(self, given: Given) -> dict[str, Heard]:
        heard = beginning.hear([*given.values()])
        return {key: (each.words, each.wrong) for key, each in zip(given, heard, strict=True)}

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        if (name := event.widget.id or "").startswith("q"):
            self.tell(f"{beginning.QUESTIONS[int(name[1:])].hint}. {GOES_ON}")


def _outcome(come_of: Callable[[], Sequence[str]], most: int) -> str:
    """What would come of the answers, in so many lines at most; or what is wrong with them."""
    try:
        lines = come_of()
    except ValueError as error:
        return str(error)
    more = [f"… and {len(lines) - most} lines more"] if len(lines) > most else []
    return "\n".join([*lines[:most], *more])


def refit_form(plan: Plan) -> Form[RefitFor]:
    """Another machine, yarn, gauge or tools: what would come of it is told as one types; empty lines stay as they are."""

    def taken(given: Given) -> RefitFor:
        asked = refit_for(plan, **given)
        refit(plan, asked)
        return asked

    def hear(given: Given) -> dict[str, Heard]:
        told: dict[str, Heard] = {}
        for key, answer in given.items():
            if answer:
                try:
                    refit_for(plan, **{key: answer})
                except ValueError as error:
                    told[key] = (str(error), True)
        hint = f"9 mm, 110 needles; wool 1000 tex, SS 4; 14 st and 20 rows in 10 cm; 2, 3, 3. {GOES_ON}"
        if not told and any(given.values()):
            hint = _outcome(lambda: [*side_by_side(refit(plan, refit_for(plan, **given)).changes)], 5)
        return {**told, "": (hint, False)}

    fields = (
        FormField("pitch", "Needle pitch, needles"),
        FormField("yarn", "Yarn, stitch size"),
        FormField("gauge", "Gauge of its swatch"),
        FormField("tools", "Tools, their prongs"),
    )
    return Form("Refit: the same design for …", fields, "", taken, hear)


def even_form(draft: Draft) -> Form[str]:
    """So many stitches over so many rows; how they fall is told as one types."""

    def hear(given: Given) -> dict[str, Heard]:
        hint = f"Decrease, increase, cast off, cast on or hold. {GOES_ON}"
        if given["stitches"]:
            hint = _outcome(lambda: [f"{given['do']} {words(measured.even_for(given)[0])}"], 1)
        return {"": (hint, False)}

    rows, part = draft.fabric_rows
    fields = (
        FormField("stitches", "Stitches at each edge"),
        FormField("rows", "Over rows", str(rows)),
        FormField("do", "What is done", "decrease"),
        FormField("edge", "Edge", "both"),
        FormField("tool", "Moved together", "3"),
        *([FormField("part", "Only in the part", part or "")] if draft.plan.part else []),
    )
    return Form("Shape evenly", fields, "", draft.shape_evenly, hear)


def measures_form(draft: Draft) -> Form[str]:
    """A back, a front or a sleeve from its measures in cm; what they come to is told as one types."""

    def come_of(given: Given) -> list[str]:
        piece = measured.piece_for(draft.plan, given)
        size = f"{len(piece.needles)} stitches, {piece.rows} rows"
        return [f"{size}; the edge to be sewn is {piece.edge / 10:.1f} cm long", *map(str, piece.measures)]

    fields = (
        FormField("widths", "Height:width, …", "0:50, 36:50"),
        FormField("armhole", "Armhole or cap", "set-in"),
        FormField("depth", "Depth from there up", "20"),
        FormField("shoulder", "One shoulder (not of a raglan)", "11"),
        FormField("slope", "Shoulder slope (not of a raglan)", "3"),
        FormField("neck", "Neck, width, depth", "round 17 8"),
        FormField("tool", "Edge stitches moved together", "3"),
        FormField("edge", "Of a sleeve: the armhole's edge"),
    )
    title = "Shape from measures in cm"
    return Form(
        title, fields, "", draft.shape_to_measures, lambda given: {"": (_outcome(lambda: come_of(given), 6), False)}
    )


class MotifMenu(Dialog[str]):
    """Choose a motif by its name."""

    BINDINGS: ClassVar[list[BindingType]] = [("q", "leave", "leave it")]
    CSS = "MotifMenu .ask { width: 76; }"

    def __init__(self) -> None:
        super().__init__("Lay down a motif: left edge at cursor")

    def body(self) -> ComposeResult:
        wide = max(map(len, motifs.MOTIFS)) + 2
        yield OptionList(*(Option(Content(f"{name:<{wide}}{m.words}"), id=name) for name, m in motifs.MOTIFS.items()))

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.answer(event.option.id)


def motif_form(name: str, draft: Draft) -> Form[dict[str, Any]]:
    """A motif's numbers: width, repeat and handedness; how many needles and rows it takes is told as one types."""
    motif = motifs.MOTIFS[name]

    def laid(given: Given) -> dict[str, Any]:
        """The answers as the draft takes them."""
        back = given["back"].lower() == "yes" if "back" in given else None
        numbers = {key: int(given[key]) for key in (*motif.numbers, "every")}
        return {**numbers, "lean": Side(given["lean"].lower()), "back": back}

    def hear(given: Given) -> dict[str, Heard]:
        wrong: dict[str, str] = {}
        for key, (least, _, most) in motif.numbers.items():
            if not _whole(given[key]) or not least <= int(given[key]) <= most:
                wrong[key] = f"a whole number, {least} to {most}"
        if not _whole(given["every"]) or int(given["every"]) < 1:
            wrong["every"] = "a whole number, 1 or more"
        if given["lean"].lower() not in ("right", "left"):
            wrong["lean"] = "right or left, on the knit side"
        if given.get("back", "yes").lower() not in ("yes", "no"):
            wrong["back"] = "yes or no"
        told = {key: (words, True) for key, words in wrong.items()}
        return {**told, "": ("" if wrong else f"{takes(given)}. {GOES_ON}", False)}

    def takes(given: Given) -> str:
        """What it would take: needles and rows."""
        try:
            return beside.takes_words(draft.plan, draft.laying(name, **laid(given)))
        except CannotDraft as error:
            return str(error)

    widest = max(2, 2 * next(iter(motif.numbers.values()))[1])
    fields = [
        *(FormField(key, key, str(usual)) for key, (_, usual, _) in motif.numbers.items()),
        FormField("every", "rows from crossing to crossing", str(max(4, widest))),
        FormField("lean", "first strand in front leans", "right"),
        *([FormField("back", "and back again", "yes")] if motif.back else []),
    ]
    return Form(f"{name[0].upper()}{name[1:]}: {motif.words}", fields, "", laid, hear)


def _whole(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 6
