"""The sheet: a plan, or the pieces of a garment, worked out on paper for whoever has no screen beside the bed.

:func:`sheet` makes one value of sections with typed content; :func:`render`
writes it out as a page, as Markdown, or as plain text of 80 columns. *Short*
is a hand-out of two pages, *working* one of six to knit from, *full* one to
learn from. The rows are also a table of comma separated values.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import TypeVar

from purlside.bed.moves import size_text
from purlside.bed.needles import needles_text
from purlside.ease.yarncount import CountError
from purlside.fabric.stitches import Fabric
from purlside.figures.whole import Figures, figures
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.sheet import needed
from purlside.sheet.crossings import crossings_section
from purlside.sheet.csv import rows_csv
from purlside.sheet.html import page
from purlside.sheet.kinds import sheet_rows
from purlside.sheet.md import markdown
from purlside.sheet.parts import Block, Detail, Paper, Para, Sheet, SheetSection
from purlside.sheet.picture import chart_section, picture_section, schematics, small_picture
from purlside.sheet.rowlist import row_list
from purlside.sheet.rowwords import rows_section
from purlside.sheet.text import text
from purlside.sheet.words import Letters
from purlside.text.units import Unit
from purlside.values import Value

Choice = TypeVar("Choice", bound=StrEnum)

SUFFIXES = (".html", ".md", ".txt", ".csv")


class Wish(Value, kw_only=True):
    """What a sheet is asked for.

    ``letters`` prints the machine's own position letters beside the trade's
    words, ``cable`` keeps to the crossing rows of one cable, ``row_list`` adds
    every row with boxes to tick, ``plan`` is the text of the plan file that a page
    carries along for whoever opens it with Purlside.
    """

    detail: Detail = Detail.FULL
    paper: Paper = Paper.A4
    letters: bool = False
    unit: Unit = Unit.CM
    cable: str | None = None
    row_list: bool = False
    credit: str = ""
    plan: str = ""


def sheet(plans: Plan | Sequence[Plan], wish: Wish | None = None) -> Sheet:
    """The hand-out of plans without faults: one panel, or the pieces of a garment in their order.

    Raises ValueError for a cable no plan has, BedFault for a row that cannot be knit.
    """
    wish = wish or Wish()
    pieces = [plans] if isinstance(plans, Plan) else list(plans)
    if wish.cable is not None:
        pieces = [plan for plan in pieces if any(cable.name == wish.cable for cable in plan.cable)] or pieces
        _check_cable(pieces, wish.cable)
    troubles: list[SheetSection] = []
    sections: list[SheetSection] = []
    # A piece knit twice is told once.
    often = Counter(pieces)
    named = {plan: plan.title if count == 1 else f"{plan.title}: knit {count}" for plan, count in often.items()}
    pieces = list(often)
    told = {plan: _figures(plan) for plan in pieces}
    known = [worked for plan, (worked, _) in told.items() if worked is not None for _ in range(often[plan])]
    if len(known) == often.total() > 1:
        sections.append(needed.together_section([(p.title, often[p]) for p in pieces], known, wish.unit))
    for plan, (worked, trouble) in told.items():
        found = tuple(_piece(plan, worked, wish))
        sections += found if len(pieces) == 1 else [SheetSection(named[plan], tuple(_lead(plan, wish)), found)]
        if wish.detail is Detail.FULL:
            troubles.append(needed.sources_section(worked, trouble, wish.unit))
    first = pieces[0]
    names = Letters.of(first) if wish.letters else Letters()
    sections += [needed.words_section(pieces, names, wish.detail), needed.cautions_section(wish.detail), *troubles]
    sections.append(needed.credit_section(wish.credit))
    titles = [plan.title for plan in pieces] if len(pieces) > 1 else list(named.values())
    title = " and ".join(filter(None, [", ".join(titles[:-1]), titles[-1]]))
    lead = tuple(_lead(first, wish)) if len(pieces) == 1 else ()
    return Sheet(title, lead, tuple(sections), wish.detail, wish.paper, wish.plan)


def _piece(plan: Plan, worked: Figures | None, wish: Wish) -> Iterator[SheetSection]:
    """What a sheet tells of one piece."""
    detail = wish.detail
    rows = sheet_rows(Calendar(plan), apart=detail is Detail.FULL)
    fabric = Fabric(rows.working)
    yield needed.needed_section(plan, worked, wish.unit, tuple(schematics(plan, worked, wish.unit, detail)))
    if worked is not None and worked.crossings and detail is Detail.FULL:
        yield needed.reach_section(worked)
    if plan.cable:
        yield chart_section(fabric, detail)
    if detail is not Detail.SHORT:
        yield picture_section(fabric, worked, wish.unit, detail)
    yield needed.edges_section(plan, worked, wish.unit)
    yield rows_section(rows, detail, wish.cable)
    kinds = tuple(kind for kind in rows.kinds if wish.cable is None or kind.has(wish.cable))
    if kinds:
        names = Letters.of(plan) if wish.letters else Letters()
        yield crossings_section(rows, kinds, detail, names)
    if wish.row_list:
        yield row_list(rows)


def render(made: Sheet, suffix: str) -> str:
    """The sheet as text: ``.html``, ``.md`` or ``.txt``. Raises ValueError for another suffix."""
    writers = {".html": page, ".md": markdown, ".txt": text}
    if suffix not in writers:
        raise ValueError(f"a sheet is written as {', '.join(SUFFIXES)}, not {suffix or 'without a suffix'}")
    return writers[suffix](made)


def written(plans: Plan | Sequence[Plan], suffix: str, wish: Wish | None = None) -> str:
    """What ``purlside sheet PLAN -o FILE`` writes. Raises ValueError naming what is allowed, BedFault."""
    wish = wish or Wish()
    if suffix.lower() != ".csv":
        return render(sheet(plans, wish), suffix.lower())
    pieces = [plans] if isinstance(plans, Plan) else list(plans)
    if wish.cable is not None:
        _check_cable(pieces, wish.cable)
    return rows_csv(pieces, wish.detail, wish.cable)


def sheet_command(
    plan: Plan,
    out_suffix: str,
    detail: str = "full",
    paper: str = "A4",
    letters: bool = False,
    unit: str = "cm",
    cable: str | None = None,
    row_list: bool = False,
    credit: str = "",
    embed: str = "",
) -> str:
    """A sheet from words, as a command line or a form gives them. Raises ValueError naming what is allowed."""
    wish = Wish(
        detail=_one_of(Detail, "detail", detail), paper=_one_of(Paper, "paper", paper), letters=letters,
        unit=_one_of(Unit, "unit", unit), cable=cable, row_list=row_list, credit=credit, plan=embed,
    )  # fmt: skip
    return written(plan, out_suffix, wish)


def _one_of(kind: type[Choice], name: str, text: str) -> Choice:
    for value in kind:
        if value.value.lower() == text.lower():
            return value
    raise ValueError(f"{name} is {', '.join(value.value for value in kind)}, not {text}")


def _check_cable(plans: Sequence[Plan], name: str) -> None:
    known = [cable.name for plan in plans for cable in plan.cable]
    if name not in known:
        raise ValueError(f"the plan has no cable named {name}; it has {', '.join(known) or 'none'}")


def _figures(plan: Plan) -> tuple[Figures | None, str]:
    try:
        return figures(plan), ""
    except CountError as error:
        return None, str(error)


def _lead(plan: Plan, wish: Wish) -> Iterator[Block]:
    if wish.detail is Detail.SHORT:
        yield from small_picture(Fabric(Working(plan)))
    panel = plan.panel
    needles = f"{panel.needles}".replace("-", "–")
    calendar = Calendar(plan)
    crossing = calendar.next_crossing(1)
    first = (
        f"; the first crossing row is row {calendar.row(crossing).seen_from(None)}"
        if crossing
        else "; no cable is crossed"
    )
    yield Para(
        f"{panel.rows:,} rows over {needles} ({needles_text(plan.in_work, plan.in_work).partition('(')[2]} "
        f"in work at SS {size_text(panel.stitch_size)}{first}."
    )
    if wish.cable is not None:
        yield Para(f"This sheet keeps to the crossing rows of {wish.cable}.")
    notes = [" ".join(part.split()) for part in plan.notes.split("\n\n")]
    yield from (Para(note) for note in notes if note)
