"""The sheet: a plan worked out on paper, for whoever has no screen beside the bed.

:func:`sheet` makes one value of sections with typed content; :func:`render`
writes it out as a page, as Markdown, or as plain text of 80 columns. The
passes alone are also a table of comma separated values.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TypeVar

from purlside.bed.moves import size_text
from purlside.bed.needles import needles_text
from purlside.ease.yarncount import CountError
from purlside.figures.whole import Asked, Figures, figures
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.sheet.calendar import calendar_section
from purlside.sheet.crossings import crossing_kinds, crossings_section
from purlside.sheet.needed import (
    cautions_section,
    needed_section,
    reach_section,
    size_section,
    sources_section,
    words_section,
)
from purlside.sheet.parts import Block, Detail, Paper, Para, Section, Sheet
from purlside.sheet.picture import picture_section
from purlside.sheet.words import Letters
from purlside.text.units import Unit

Choice = TypeVar("Choice", bound=StrEnum)

SUFFIXES = (".html", ".md", ".txt", ".csv")


def sheet(
    plan: Plan,
    detail: Detail = Detail.FULL,
    paper: Paper = Paper.A4,
    *,
    letters: bool = False,
    unit: Unit = Unit.CM,
    cable: str | None = None,
    asked: Asked | None = None,
) -> Sheet:
    """The hand-out of a plan without faults.

    ``letters`` prints the machine's own position letters beside the trade's
    words, ``cable`` keeps to the crossing rows of one cable, ``asked`` is what
    the knitter adds to the figures (pace, take-in). Raises ValueError
    for a cable the plan does not have, BedFault for a row that cannot be knit.
    """
    index = _cable(plan, cable)
    asked = asked or Asked()
    working = Working(plan)
    worked, trouble = _figures(plan, asked)
    names = Letters.of(plan) if letters else Letters()
    kinds = crossing_kinds(working, index)
    sections = [needed_section(plan, worked, unit), size_section(worked, unit)]
    if worked is not None and worked.crossings and detail is not Detail.SHORT:
        sections.append(reach_section(worked))
    sections.append(words_section(plan, names))
    sections.append(picture_section(working, worked, unit))
    sections.append(calendar_section(working, kinds, detail, index))
    if kinds:
        of = len(kinds) if index is None else len(crossing_kinds(working))
        sections.append(crossings_section(working, kinds, detail, names, of))
    sections += [cautions_section(detail), sources_section(worked, trouble, unit)]
    return Sheet(plan.title, _lead(plan, cable), tuple(sections), detail, paper)


def render(made: Sheet, suffix: str) -> str:
    """The sheet as text: ``.html``, ``.md`` or ``.txt``. Raises ValueError for another suffix."""
    if suffix == ".html":
        from purlside.sheet.html import page

        return page(made)
    if suffix == ".md":
        from purlside.sheet.md import markdown

        return markdown(made)
    if suffix == ".txt":
        from purlside.sheet.text import text

        return text(made)
    raise ValueError(f"a sheet is written as {', '.join(SUFFIXES)}, not {suffix or 'without a suffix'}")


def sheet_command(
    plan: Plan,
    out_suffix: str,
    detail: str = "full",
    paper: str = "A4",
    letters: bool = False,
    unit: str = "cm",
    cable: str | None = None,
    asked: Asked | None = None,
) -> str:
    """What ``purlside sheet PLAN -o FILE`` writes. Raises ValueError naming what is allowed."""
    suffix = out_suffix.lower()
    if suffix == ".csv":
        from purlside.sheet.csv import passes_csv

        return passes_csv(plan, _cable(plan, cable), asked)
    if suffix not in SUFFIXES:
        raise ValueError(f"a sheet is written as {', '.join(SUFFIXES)}, not {suffix or 'without a suffix'}")
    return render(
        sheet(
            plan,
            _one_of(Detail, "detail", detail),
            _one_of(Paper, "paper", paper),
            letters=letters,
            unit=_one_of(Unit, "unit", unit),
            cable=cable,
            asked=asked,
        ),
        suffix,
    )


def _one_of(kind: type[Choice], name: str, text: str) -> Choice:
    for value in kind:
        if value.value.lower() == text.lower():
            return value
    raise ValueError(f"{name} is {', '.join(value.value for value in kind)}, not {text}")


def _cable(plan: Plan, name: str | None) -> int | None:
    if name is None:
        return None
    for index, cable in enumerate(plan.cable):
        if cable.name == name:
            return index
    known = ", ".join(cable.name for cable in plan.cable) or "none"
    raise ValueError(f"the plan has no cable named {name}; it has {known}")


def _figures(plan: Plan, asked: Asked) -> tuple[Figures | None, str]:
    try:
        return figures(plan, asked), ""
    except CountError as error:
        return None, str(error)


def _lead(plan: Plan, cable: str | None) -> tuple[Block, ...]:
    panel = plan.panel
    needles = f"{panel.needles}".replace("-", "–")
    crossing = Calendar(plan).next_crossing(1)
    first = f"; the first crossing row is row {crossing:,}" if crossing else "; no cable is crossed"
    lead: list[Block] = [
        Para(
            f"{panel.rows:,} rows over {needles} ({needles_text(plan.in_work, plan.in_work).partition('(')[2]} "
            f"in work at SS {size_text(panel.stitch_size)}{first}."
        )
    ]
    if cable is not None:
        lead.append(Para(f"This sheet keeps to the crossing rows of {cable}."))
    notes = [" ".join(part.split()) for part in plan.notes.split("\n\n")]
    lead += [Para(note) for note in notes if note]
    return tuple(lead)


__all__ = ["SUFFIXES", "Detail", "Paper", "Section", "Sheet", "Unit", "render", "sheet", "sheet_command"]
