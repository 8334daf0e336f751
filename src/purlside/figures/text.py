"""Figures in words: sections of plain lines, wrapped to 80 columns where a page is wanted."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import Any

from purlside.bed.moves import size_text
from purlside.ease.reach import BY_HAND_TIMES, EASY, Attempt, Reach, Verdict
from purlside.ease.yarncount import count_in
from purlside.figures.costs import BREAK
from purlside.figures.sizing import Range
from purlside.figures.whole import CrossingFigures, Figures, Together
from purlside.figures.widest import Widest, halves
from purlside.knitting.pace import duration
from purlside.text.units import G_PER_OUNCE, M_PER_YARD, Unit
from purlside.values import Value

COLUMNS = 80

WIDEST = "Widest crossing this yarn will do on this bed"

MARKS = {Verdict.EASY: "=", Verdict.FIRM: "-", Verdict.NOT_ENOUGH: "."}
"""A crossing in the small chart of the widest ones: easy, firm, not enough."""


ESTIMATES = "All of these are estimates; your swatch and your crossings correct them."


class Emphasis(StrEnum):
    """How much a line matters: as usual, what is planned, what is doubtful or will not do."""

    USUAL = "usual"
    PLANNED = "planned"
    DOUBTFUL = "doubtful"


class FigureLine(Value):
    """One line, not wrapped. With a ``verdict`` it ends in that."""

    text: str
    weight: Emphasis = Emphasis.USUAL
    verdict: Verdict | None = None

    def __str__(self) -> str:
        return self.text if self.verdict is None else f"{self.text}{self.verdict}"


class FigureSection(Value):
    """A heading and the lines under it. Each of ``parts`` is best kept together."""

    title: str
    parts: tuple[tuple[FigureLine, ...], ...]


Told = Iterator[str | FigureLine]


def _lines(told: Iterable[str | FigureLine]) -> tuple[FigureLine, ...]:
    return tuple(FigureLine(line) if isinstance(line, str) else line for line in told)


def sections(figures: Figures, unit: Unit = Unit.CM) -> tuple[FigureSection, ...]:
    """All there is to say, without the title."""
    crossings = (_lines(_crossing(alike, unit)) for alike in _alike(figures.crossings))
    found = [
        FigureSection("Size", (_lines(_size(figures, unit)),)),
        FigureSection("Yarn", (_lines(_yarn(figures, unit)),)),
        FigureSection("Crossings", (_lines(_reach_begins(figures, unit)), *crossings)),
        FigureSection(WIDEST, (_lines([*widest_lines(figures.widest), lifted_line(figures.lifted)]),)),
        FigureSection("Time", (_lines(_time(figures)),)),
    ]
    if figures.missing:
        found.append(FigureSection("Missing in the plan", (_lines(f"  {missing}" for missing in figures.missing),)))
    return tuple(found)


def lines(figures: Figures, unit: Unit = Unit.CM, often: int = 1) -> list[str]:
    """The whole of it, for reading, of a piece knit so ``often``. No line is longer than COLUMNS."""
    told = [f"{figures.title}: figures{f', knit {often}; these are of one' if often > 1 else ''}", ESTIMATES]
    for section in sections(figures, unit):
        told += ["", section.title, *(str(line) for part in section.parts for line in part)]
    return list(wrapped(told))


def wrapped(text: Iterable[str], columns: int = COLUMNS) -> Iterator[str]:
    """Lines no longer than ``columns``; what is carried over stands two columns further in."""
    for line in text:
        further = " " * (len(line) - len(line.lstrip()) + 2)
        yield from textwrap.wrap(line, max(1, columns), subsequent_indent=further) or [""]


def range_text(value: Range, unit: Unit) -> str:
    """``"15.2 cm (14.8 cm to 15.9 cm)"``; without the range where there is none."""
    text = unit.size(value.value)
    if value.least != value.most:
        text += f" ({unit.size(value.least)} to {unit.size(value.most)})"
    return text


def _size(figures: Figures, unit: Unit) -> Told:
    panel = f"{figures.panel_needles} needles, {figures.panel_rows:,} rows at SS {size_text(figures.panel_size)}"
    if figures.finished is None:
        yield f"  {panel}: not known without gauge or a measured loop"
        return
    found = figures.finished
    made_of = found.made_of
    mean = " on average" if found.varies else ""
    yield f"  {panel}: width {range_text(found.width_mm, unit)}{mean}, length {unit.size(found.length_mm)}"
    if found.varies:
        yield f"  narrowest {unit.size(found.narrowest_mm)}, at row {found.narrowest_row:,}"
    gauge = unit.gauge(made_of.stitches_per_10cm, made_of.rows_per_10cm)
    yield f"  from {gauge}: {made_of.gauge_from}"
    if found.taken_in_mm:
        yield f"  cables take in {unit.size(found.taken_in_mm)} of the width on average: {made_of.take_in_from}"
    if figures.wanted is not None:
        yield from _wanted(figures, unit)


def _wanted(figures: Figures, unit: Unit) -> Told:
    wanted, found = figures.wanted, figures.finished
    if wanted is None or found is None:
        return
    if wanted.width_mm is not None and wanted.needles is not None:
        enough = "the bed is wide enough" if wanted.bed_is_enough else f"the bed has only {wanted.bed_needles}"
        off = _off(found.width_mm.value - wanted.width_mm, unit)
        yield f"  for a width of {unit.size(wanted.width_mm)}: {wanted.needles} needles; {enough}; as it is {off}"
    if wanted.length_mm is not None:
        off = _off(found.length_mm - wanted.length_mm, unit)
        yield f"  for a length of {unit.size(wanted.length_mm)}: {wanted.rows:,} rows; as it is {off}"


def _off(mm: float, unit: Unit) -> str:
    if unit.size(abs(mm)) == unit.size(0):
        return "just so"
    return f"{unit.size(abs(mm))} too {'much' if mm > 0 else 'little'}"


def summed(together: Together, unit: Unit) -> Iterator[str]:
    """What the pieces of a garment come to."""
    pieces = [title + (f", knit {count}" if count > 1 else "") for title, count in Counter(together.titles).items()]
    yield f"All together: {'; '.join(pieces)}"
    for need in together.needs:
        grams = f", {unit.weight(need.grams)}" if need.grams is not None else ""
        yield f"  yarn, {need.colour or 'main colour'}: {unit.yarn(need.metres)}{grams} for {need.loops:,} loops"
    yield f"  about {duration(together.seconds)} at the bed for {together.rows:,} rows; {BREAK} come on top"


def _yarn(figures: Figures, unit: Unit) -> Told:
    for need in figures.needs:
        grams = f", {unit.weight(need.grams)}" if need.grams is not None else ""
        colour = f"{need.colour or 'other rows'}: " if len(figures.needs) > 1 or need.colour else ""
        yield f"  {colour}{unit.yarn(need.metres)}{grams} for {need.loops:,} loops, {figures.margin:.0%} added"
    loop, size = figures.loop, figures.panel_size
    more = f"{'+' if loop.per_size >= 0 else '-'}{_finer(abs(loop.per_size), unit)} a dial number"
    yield f"  one loop at SS {size_text(size)} {unit.fine(loop(size))}, {more}: {loop.basis}"
    yield from (FigureLine(f"  doubtful: {doubt}", Emphasis.DOUBTFUL) for doubt in loop.doubts)
    yarn = figures.yarn
    if yarn.tex is not None and yarn.diameter_mm is not None:
        yield f"  {yarn.tex:.4g} tex ({yarn.tex_from}), about {_finer(yarn.diameter_mm, unit)} thick"
        yield f"  the same yarn is {counts_text(yarn.tex, unit)}"
        weight = Emphasis.DOUBTFUL if yarn.jammed else Emphasis.USUAL
        yield FigureLine(f"  tightness factor {yarn.tightness:.1f}: {yarn.tightness_words}", weight)
        if yarn.grams_per_m2 is not None:
            yield f"  plain fabric of it weighs about {unit.by_area(yarn.grams_per_m2)}"
    if yarn.hand_knitting_weights:
        weights = " or ".join(map(str, yarn.hand_knitting_weights))
        yield f"  the plan's gauge is that of hand-knitting weight {weights} (Craft Yarn Council)"
    yield f"  about {yarn.usual_tex:.0f} tex suits a pitch of {figures.pitch_mm:g} mm (Spencer, Knitting Technology)"


def _finer(mm: float, unit: Unit) -> str:
    return f"{mm:.2f} mm" if unit is Unit.CM else f"{mm / 25.4:.3f} in"


def counts_text(tex: float, unit: Unit = Unit.CM) -> str:
    """``"Nm 3.57, Ne 2.11, worsted 3.16, 2520 denier, 357 m per 100 g"``: a yarn in the other systems."""
    named = ", ".join(f"{system} {count_in(tex, system):.3g}" for system in ("Nm", "Ne", "worsted"))
    yards = G_PER_OUNCE * 1000 / tex / M_PER_YARD
    by_weight = f"{100_000 / tex:.0f} m per 100 g" if unit is Unit.CM else f"{yards:.0f} yd an ounce"
    return f"{named}, {count_in(tex, 'denier'):.0f} denier, {by_weight}"


def _reach_begins(figures: Figures, unit: Unit) -> Told:
    """What reach is, and where its three numbers are from."""
    loop = figures.loop
    yield "  reach is distance ÷ yarn available; it goes over firmly up to the limit,"
    yield f"  easily below {EASY:.0%} of it"
    yield f"  travel: pitches of {figures.pitch_mm:g} mm, both halves together"
    yield f"  yarn available: a loop of each half and its extra rows; loops {loop.basis}"
    yield f"  by hand: a stitch is taken as {BY_HAND_TIMES:g} times the loop at the dial's end, a rough rule of ours"
    yield f"  limit {figures.limit.value:.2f}: {figures.limit.source}"
    if not figures.crossings:
        yield "  the plan has none"


def _alike(crossings: tuple[CrossingFigures, ...]) -> list[list[CrossingFigures]]:
    """Crossings of one cable or motif that come out the same, as in a plait, gathered; in the order they first come."""
    groups: dict[Any, list[CrossingFigures]] = {}
    for found in crossings:
        reach = found.reach
        key = (
            found.motif or found.cable,
            reach.size,
            reach.attempts,
            reach.planned,
            reach.gap_pitches,
            found.lift.words,
        )
        groups.setdefault(key, []).append(found)
    return list(groups.values())


def _crossing(alike: list[CrossingFigures], unit: Unit) -> Told:
    found = alike[0]
    reach = found.reach
    count = sum(one.rows for one in alike)
    crossings = [str(one.reach.crossing) for one in alike]
    names = " and ".join(crossings) if len(crossings) < 3 else f"{crossings[0]} and {len(crossings) - 1} like it"
    yield (
        f"  {found.motif or found.name}: {names}; {reach.crossing.words} at SS {size_text(reach.size)}, "
        f"{count:,} time{'s' if count != 1 else ''}"
    )
    yield (
        f"    travel {unit.fine(reach.travel_mm)} ({reach.travel_pitches} pitches); widest gap {unit.fine(reach.gap_mm)} "
        f"({reach.gap_pitches} pitches)"
    )
    planned = reach.planned
    for attempt in reach.attempts:
        yield _attempt(attempt, unit, planned=attempt.technique == planned.technique)
    if all(attempt.technique != planned.technique for attempt in reach.attempts):
        yield _attempt(planned, unit, planned=True)
    chosen = "as planned" if reach.choice.enough is None else f"auto chose {planned.technique}"
    yield FigureLine(f"    * {chosen}", Emphasis.PLANNED)
    cheapest = reach.cheapest
    yield f"    {_from_which(reach)}"
    if cheapest is None:
        yield FigureLine("    nothing tried will reach: cross fewer stitches", Emphasis.DOUBTFUL)
    elif planned.verdict is Verdict.NOT_ENOUGH:
        yield FigureLine(f"    as planned is not enough; {cheapest.technique} is", Emphasis.DOUBTFUL)
    lacking = found.lift.checked and not found.lift.hands
    yield FigureLine(f"    tools: {found.lift.words}", Emphasis.DOUBTFUL if lacking else Emphasis.USUAL)


def _attempt(attempt: Attempt, unit: Unit, *, planned: bool) -> FigureLine:
    yarn = f"{unit.fine(attempt.yarn_mm):>7} yarn"
    text = f"  {'*' if planned else ' '} {attempt.technique!s:<34} {yarn}, reach {attempt.ratio:.2f}: "
    return FigureLine(text, Emphasis.PLANNED if planned else Emphasis.USUAL, attempt.verdict)


def _from_which(reach: Reach) -> str:
    """The least dial size and the least extra rows that are enough, and with which it is easy."""
    plain = reach.attempts[0]
    if plain.verdict is Verdict.EASY:
        return "plain is easy"
    alone = [a for a in reach.attempts if (a.technique.enlarged_size is None) != (not a.technique.extra_rows)]
    least = "plain" if plain.enough else " or ".join(str(a.technique) for a in alone if a.enough)
    easy = " or ".join(str(a.technique) for a in reach.easily)
    return f"enough: {least or 'neither a size on the dial nor extra rows'}; easy from: {easy or 'none of these'}"


def widest_lines(found: tuple[Widest, ...], most: int = 14) -> Iterator[str]:
    """The widest crossings as a table with a small chart of crossings up to ``most`` stitches."""
    scale = "".join(f"{stitches:<4}" for stitches in range(2, most + 1, 4)).rstrip()
    yield f"  {'':<33} {'easily':<10} {'firmly':<10}  {scale}"
    for one in found:
        chart = "".join(MARKS[one.verdict(stitches)] for stitches in range(2, most + 1))
        yield f"  {one.technique!s:<33} {halves(one.easy):<10} {halves(one.firm):<10}  {chart}"
    easy, firm, not_enough = (MARKS[verdict] for verdict in Verdict)
    yield f"  at the right, stitches of both halves: {easy} easy, {firm} firm, {not_enough} not enough"


def lifted_line(lifted: tuple[tuple[int, int], ...] | None) -> str:
    """What the table of widest crossings takes from the tools that lift both halves."""
    if lifted is None:
        return "  a half wants a prong for each stitch; the plan lists no tools, so no half is told wider than 9"
    if not lifted:
        return "  the plan's tools lift no crossing: both halves are lifted at once"
    return f"  the plan's tools lift at most {' or '.join(f'{narrow} over {wide}' for narrow, wide in lifted)} at once"


def _time(figures: Figures) -> Told:
    time, singles = figures.time, figures.time.singles
    worked = f"{time.worked_rows:,} rows with other work {duration(time.worked_s)}, " if time.worked_rows else ""
    yield (
        f"  about {duration(time.total_s)} at the bed: {time.plain_rows:,} plain rows {duration(time.plain_s)}, {worked}"
        f"{time.crossing_rows:,} crossing rows {duration(time.crossing_s)}, weights {duration(time.weights_s)}"
    )
    if singles.columns:
        yield (
            f"  of it {duration(singles.latched_s)} for purl columns: {singles.columns:,} dropped, {singles.latched:,} "
            "stitches latched up"
        )
    if singles.beads:
        yield f"  {singles.beads:,} bead{'s' if singles.beads > 1 else ''} to draw on"
    if rows := time.crossing_rows:
        yield (
            f"  a crossing row: {time.movements / rows:.1f} movements of the carriage, needles pushed "
            f"{time.groups / rows:.1f} times, {time.pushed / rows:.0f} needles in all, on average"
        )
    yield f"  {time.pace_from}; {BREAK} come on top"
