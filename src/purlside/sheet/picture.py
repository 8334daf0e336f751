"""The drawings of a sheet: the chart, the fabric as it will look, the schematic."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import replace

from purlside.bed.needles import Needle
from purlside.fabric.described import describe
from purlside.fabric.picture import caption, draw, legend
from purlside.fabric.published import chart_svg, chart_text, published
from purlside.fabric.ribbons import Window, window
from purlside.fabric.stitches import Fabric, Face
from purlside.fabric.svg import USUAL_ROW, drawing, small_drawing
from purlside.figures.pieces import Scale
from purlside.figures.schematic import Schematic, schematic
from purlside.figures.whole import Figures
from purlside.plan.plan import Plan
from purlside.sheet.parts import Block, Detail, Drawing, Para, SheetSection
from purlside.sheet.schematic import BOX_MM, SMALL_BOX_MM, measures, schematic_svg
from purlside.text.signs import text
from purlside.text.units import Unit

COLUMNS = 80

LEAST_ROWS, MOST_ROWS = 16, 48
"""Rows drawn: enough for each cable to come round, and no more than fit half a page."""

MOST_NEEDLES = 70
"""Needles drawn side by side in characters; of a wider panel those about the cables."""

SHORT_CHART_MM, CHART_MM = 54.0, 90.0
"""Height of a chart's squares on a sheet of few pages, and on one to learn from."""

SMALL_MM = (58.0, 30.0)
"""A small picture, at most."""

MOST_SMALL_NEEDLES, BESIDE = 100, 3
"""Needles of a small picture, and those drawn beside its outermost cables."""

BEFORE = 2
"""Rows drawn before the first crossing."""


def chart_section(fabric: Fabric, detail: Detail) -> SheetSection:
    """The published chart, its repeat framed."""
    chart = published(fabric)
    told = (*(words for _, words in chart.key), *chart.notes)

    def lines(ascii_only: bool) -> list[str]:
        drawn = chart_text(chart, ascii_only=ascii_only, width=COLUMNS).splitlines()[2:]
        return [part for line in drawn for part in (textwrap.wrap(line, COLUMNS) if len(line) > COLUMNS else [line])]

    high = CHART_MM if detail is Detail.FULL else SHORT_CHART_MM

    def svg(ident: str) -> str:
        return chart_svg(chart, ident=ident, headed=False, most_high_mm=high)

    block = Drawing(svg, lines, "The chart of the knit side. " + " ".join(told))
    return SheetSection("Chart", (block,), whole=True)


def picture_section(fabric: Fabric, figures: Figures | None, unit: Unit, detail: Detail) -> SheetSection:
    """The fabric as it will look: the knit side, and on a full sheet the purl side too, told in words."""
    part = _part(fabric)
    faces = tuple(Face) if detail is Detail.FULL else (Face.KNIT,)
    blocks: list[Block] = [Para(_scale(figures, unit))] if detail is Detail.FULL else []
    return SheetSection("As it will look", (*blocks, *(_picture(fabric, face, part, detail) for face in faces)))


def small_picture(fabric: Fabric) -> Iterator[Drawing]:
    """The cables as they will look, small, to stand beside a title; none of a panel without any."""
    part = _part(fabric)
    crossed = [made.crossing.span for row in part.rows for made in fabric.row(row).crossings]
    if not crossed:
        return
    left, right = min(int(s.left) for s in crossed), max(int(s.right) for s in crossed)
    over = max(0, right - left + 1 - MOST_SMALL_NEEDLES + 2 * BESIDE)
    part = window(fabric, part.first, part.last, left - BESIDE + over // 2, right + BESIDE - (over - over // 2))
    # As many rows as its width leaves room for, each about 0.7 of a stitch high.
    rows = int(SMALL_MM[1] / SMALL_MM[0] * (part.right - part.left + 1) / USUAL_ROW)
    part = window(fabric, part.first, max(part.last, part.first + rows - 1), part.left, part.right)
    yield replace(
        _picture(fabric, Face.KNIT, part, Detail.SHORT),
        svg=lambda ident: small_drawing(fabric, Face.KNIT, part, SMALL_MM, ident),
        caption=f"Knit side, rows {part.first}–{part.last}, {Needle(part.right)} to {Needle(part.left)}",
        beside=True,
    )


def _picture(fabric: Fabric, face: Face, part: Window, detail: Detail) -> Drawing:
    def lines(ascii_only: bool) -> list[str]:
        drawn = draw(fabric, face, _around_cables(fabric, part), width=COLUMNS, ascii_only=ascii_only)
        return [*text(drawn.lines).splitlines(), "", *textwrap.wrap("; ".join(legend(drawn)), COLUMNS)]

    told = tuple(describe(fabric, face, (part.first, part.last))[1:])
    return Drawing(
        lambda ident: drawing(fabric, face, part, ident=ident),
        lines,
        " ".join(told),
        caption(fabric, face, part),
        told if detail is Detail.FULL else (),
    )


def _part(fabric: Fabric) -> Window:
    """The first repeat of the crossings, with a little before and after it, so that no cable is cut in mid-repeat."""
    first = next(fabric.crossing_rows(), 1)
    repeat = fabric.repeat
    rows = max(LEAST_ROWS, min(MOST_ROWS, repeat.every + 2 * BEFORE if repeat else MOST_ROWS))
    first = max(1, min(first - BEFORE, fabric.rows - rows + 1))
    return window(fabric, first, fabric.drawn_rows(first, min(fabric.rows, first + rows - 1)))


def _around_cables(fabric: Fabric, part: Window) -> Window:
    cables = [c.span for cable in fabric.plan.cable for c in cable.crossings]
    if part.right - part.left < MOST_NEEDLES or not cables:
        return part
    left, right = min(int(s.left) for s in cables), max(int(s.right) for s in cables)
    spare = max(0, MOST_NEEDLES - (right - left + 1))
    return replace(part, left=max(part.left, left - spare // 2), right=min(part.right, right + spare - spare // 2))


def _scale(figures: Figures | None, unit: Unit) -> str:
    both = "The same rows from each side."
    if figures is None or figures.finished is None:
        return f"{both} Not to scale: the plan gives neither gauge nor a measured loop."
    made_of = figures.finished.made_of
    wide, high = made_of.stitch_mm(figures.panel_size), made_of.row_mm(figures.panel_size)
    return f"{both} A plain stitch is about {unit.fine(wide)} wide and {unit.fine(high)} high; an estimate."


def outlined(plan: Plan, figures: Figures) -> Schematic | None:
    """The outline of a piece at its finished size, the cables' take-in spread over the width; None where that is not known."""
    found = figures.finished
    if found is None:
        return None
    made_of, wide = found.made_of, found.width_mm.value
    taken_in = wide / (wide + found.taken_in_mm)
    return schematic(plan, Scale(made_of.stitch_mm(figures.panel_size) * taken_in, made_of.row_mm(figures.panel_size)))


def schematics(plan: Plan, figures: Figures | None, unit: Unit, detail: Detail) -> Iterator[Drawing]:
    """The schematic of a piece, where its size is known."""
    drawn = outlined(plan, figures) if figures is not None else None
    if drawn is None:
        return
    told = measures(drawn, unit)
    yield Drawing(
        lambda ident: schematic_svg(drawn, unit, ident, SMALL_BOX_MM if detail is Detail.SHORT else BOX_MM),
        lambda _: [f"  {line}" for line in told],
        "Schematic, knit side. " + "; ".join(told),
        beside=True,
    )
