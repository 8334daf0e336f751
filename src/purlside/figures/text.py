"""Figures in words: sections of plain lines, wrapped to 80 columns where a page is wanted."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from purlside.bed.moves import size_text
from purlside.ease.reach import BY_HAND_TIMES, EASY, Attempt, Reach, Verdict
from purlside.ease.yarncount import count_in, metres_per_100g
from purlside.figures.timing import BREAK
from purlside.figures.widest import Widest, halves
from purlside.knitting.pace import duration

if TYPE_CHECKING:
    from purlside.figures.sizing import Range
    from purlside.figures.whole import CrossingFigures, Figures

COLUMNS = 80

WIDEST = "Widest crossing this yarn will do on this bed"

MARKS = {Verdict.EASY: "=", Verdict.FIRM: "-", Verdict.NOT_ENOUGH: "."}
"""A crossing in the small chart of the widest ones: easy, firm, not enough."""


ESTIMATES = "All of these are estimates; your swatch and your crossings correct them."


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and the lines under it, not wrapped. Each of ``parts`` is best kept together."""

    title: str
    parts: tuple[tuple[str, ...], ...]


def sections(figures: Figures) -> tuple[Section, ...]:
    """All there is to say, without the title."""
    crossings = tuple(tuple(_crossing(alike)) for alike in _alike(figures.crossings))
    found = [
        Section("Size", (tuple(_size(figures)),)),
        Section("Yarn", (tuple(_yarn(figures)),)),
        Section("Crossings", (tuple(_reach_begins(figures)), *crossings)),
        Section(WIDEST, ((*widest_lines(figures.widest), lifted_line(figures.lifted)),)),
        Section("Time", (tuple(_time(figures)),)),
    ]
    if figures.missing:
        found.append(Section("Missing in the plan", (tuple(f"  {missing}" for missing in figures.missing),)))
    return tuple(found)


def lines(figures: Figures) -> list[str]:
    """The whole of it, for reading. No line is longer than COLUMNS."""
    return list(wrapped(_lines(figures)))


def wrapped(text: Iterable[str], columns: int = COLUMNS) -> Iterator[str]:
    """Lines no longer than ``columns``; what is carried over stands two columns further in."""
    for line in text:
        further = " " * (len(line) - len(line.lstrip()) + 2)
        yield from textwrap.wrap(line, max(1, columns), subsequent_indent=further) or [""]


def _lines(figures: Figures) -> Iterator[str]:
    yield f"{figures.title}: figures"
    yield ESTIMATES
    for section in sections(figures):
        yield ""
        yield section.title
        for part in section.parts:
            yield from part


def _cm(value: Range) -> str:
    text = f"{value.value / 10:.1f} cm"
    if value.least != value.most:
        text += f" ({value.least / 10:.1f}-{value.most / 10:.1f})"
    return text


def _size(figures: Figures) -> Iterator[str]:
    panel = f"{figures.panel_needles} needles, {figures.panel_rows:,} rows at SS {size_text(figures.panel_size)}"
    if figures.finished is None:
        yield f"  {panel}: not known without gauge or a measured loop"
        return
    finished = figures.finished
    made_of = finished.fabric
    yield f"  {panel}: width {_cm(finished.width_mm)}, length {finished.length_mm / 10:.1f} cm"
    yield (
        f"  from {made_of.stitches_per_10cm:.3g} stitches and {made_of.rows_per_10cm:.3g} rows in 10 cm: "
        f"{made_of.gauge_from}"
    )
    if finished.cable_needles:
        yield f"  cables take in to {made_of.take_in.value:.0%} of their width: {made_of.take_in_from}"
    if figures.wanted is not None:
        yield from _wanted(figures)


def _wanted(figures: Figures) -> Iterator[str]:
    wanted = figures.wanted
    if wanted is None:
        return
    if wanted.width_mm is not None and wanted.needles is not None:
        enough = "the bed is wide enough" if wanted.bed_is_enough else f"the bed has only {wanted.bed_needles}"
        yield f"  for a width of {wanted.width_mm / 10:g} cm: {wanted.needles} needles; {enough}"
    if wanted.length_mm is not None:
        yield f"  for a length of {wanted.length_mm / 10:g} cm: {wanted.rows} rows"


def _yarn(figures: Figures) -> Iterator[str]:
    for need in figures.needs:
        grams = f", {need.grams:.0f} g" if need.grams is not None else ""
        colour = f"{need.colour or 'other rows'}: " if len(figures.needs) > 1 or need.colour else ""
        yield f"  {colour}{need.metres:.0f} m{grams} for {need.loops:,} loops, {figures.margin:.0%} added"
    loop = figures.loop
    size = figures.panel_size
    yield f"  one loop at SS {size_text(size)} {loop(size):.1f} mm, {loop.per_size:+.2f} mm a dial number: {loop.basis}"
    yield from (f"  doubtful: {doubt}" for doubt in loop.doubts)
    yarn = figures.yarn
    if yarn.tex is not None and yarn.diameter_mm is not None:
        yield f"  {yarn.tex:.4g} tex ({yarn.tex_from}), about {yarn.diameter_mm:.2f} mm thick"
        yield f"  the same yarn is {counts_text(yarn.tex)}"
        yield f"  tightness factor {yarn.tightness:.1f}: {yarn.tightness_words}"
        if yarn.grams_per_m2 is not None:
            yield f"  plain fabric of it weighs about {yarn.grams_per_m2:.0f} g/m²"
        if yarn.jammed:
            yield "  the loops are shorter than this yarn's thickness allows; check tex and loop"
    if yarn.hand_knitting_weights:
        weights = " or ".join(map(str, yarn.hand_knitting_weights))
        yield f"  the plan's gauge is that of hand-knitting weight {weights} (Craft Yarn Council)"
    yield f"  about {yarn.usual_tex:.0f} tex suits a pitch of {figures.pitch_mm:g} mm (Spencer, Knitting Technology)"


def counts_text(tex: float) -> str:
    """``"Nm 3.57, Ne 2.11, worsted 3.16, 2520 denier, 357 m per 100 g"``: a yarn in the other systems."""
    named = ", ".join(f"{system} {count_in(tex, system):.3g}" for system in ("Nm", "Ne", "worsted"))
    return f"{named}, {count_in(tex, 'denier'):.0f} denier, {metres_per_100g(tex):.0f} m per 100 g"


def _reach_begins(figures: Figures) -> Iterator[str]:
    """What reach is, and where its three numbers are from."""
    loop = figures.loop
    yield "  reach is travel over the yarn at hand; it goes over firmly up to the limit,"
    yield f"  easily below {EASY:.0%} of it"
    yield f"  travel: pitches of {figures.pitch_mm:g} mm, both halves together"
    yield f"  yarn at hand: a loop of each half and its extra rows; loops {loop.basis}"
    yield f"  by hand: a stitch is taken as {BY_HAND_TIMES:g} times the loop at the dial's end, a rough rule of ours"
    yield f"  limit {figures.limit.value:.2f}: {figures.limit.source}"
    if not figures.crossings:
        yield "  the plan has none"


def _alike(crossings: tuple[CrossingFigures, ...]) -> list[list[CrossingFigures]]:
    """Crossings of one cable that come out the same, as in a plait, gathered; in the order they first come."""
    groups: dict[Any, list[CrossingFigures]] = {}
    for found in crossings:
        reach = found.reach
        key = (found.cable, reach.size, reach.attempts, reach.planned, reach.gap_pitches, found.lift.words)
        groups.setdefault(key, []).append(found)
    return list(groups.values())


def _crossing(alike: list[CrossingFigures]) -> Iterator[str]:
    found = alike[0]
    reach = found.reach
    count = sum(one.rows for one in alike)
    names = " and ".join(str(one.reach.crossing) for one in alike)
    yield (
        f"  {found.name}: {names}; {reach.crossing.words} at SS {size_text(reach.size)}, "
        f"{count:,} time{'s' if count != 1 else ''}"
    )
    yield (
        f"    travel {reach.travel_mm:.1f} mm ({reach.travel_pitches} pitches); widest gap {reach.gap_mm:.1f} mm "
        f"({reach.gap_pitches} pitches)"
    )
    planned = reach.planned
    for attempt in reach.attempts:
        yield _attempt(attempt, "*" if attempt.technique == planned.technique else " ")
    if all(attempt.technique != planned.technique for attempt in reach.attempts):
        yield _attempt(planned, "*")
    yield "    * as planned" if reach.choice.enough is None else f"    * auto chose {_short(reach.choice.why)}"
    cheapest = reach.cheapest
    yield f"    {_from_which(reach)}"
    if cheapest is None:
        yield "    nothing tried is enough: cross fewer stitches"
    elif planned.verdict is Verdict.NOT_ENOUGH:
        yield f"    as planned is not enough; {cheapest.technique} is"
    yield f"    tools: {found.lift.words}"


def _attempt(attempt: Attempt, sign: str) -> str:
    return f"  {sign} {attempt.technique!s:<34} {attempt.yarn_mm:5.1f} mm yarn, reach {attempt.ratio:.2f}: {attempt.verdict}"


def _from_which(reach: Reach) -> str:
    """The least dial size and the least extra rows that are enough, and with which it is easy."""
    plain = reach.attempts[0]
    if plain.verdict is Verdict.EASY:
        return "plain is easy"
    alone = [a for a in reach.attempts if (a.technique.enlarged_size is None) != (not a.technique.extra_rows)]
    least = "plain" if plain.enough else " or ".join(str(a.technique) for a in alone if a.enough)
    easy = " or ".join(str(a.technique) for a in reach.easily)
    return f"enough: {least or 'neither a size on the dial nor extra rows'}; easy from: {easy or 'none of these'}"


def _short(why: str) -> str:
    return why.partition(";")[0]


def widest_lines(found: tuple[Widest, ...], most: int = 14) -> Iterator[str]:
    """The widest crossings as a table with a small chart of crossings up to ``most`` stitches."""
    scale = "".join(f"{stitches:<4}" for stitches in range(2, most + 1, 4)).rstrip()
    yield f"  {'':<33} {'easily':<10} {'firmly':<10}  {scale}"
    for one in found:
        chart = "".join(MARKS[one.verdict(stitches)] for stitches in range(2, most + 1))
        yield f"  {one.technique!s:<33} {halves(one.easy):<10} {halves(one.firm):<10}  {chart}"
    easy, firm, not_enough = (MARKS[verdict] for verdict in Verdict)
    yield f"  at the right, stitches of both halves: {easy} easy, {firm} firm, {not_enough} not enough"


def lifted_line(stitches: int | None) -> str:
    """What the table of widest crossings leaves out: the tools that lift both halves."""
    if stitches is None:
        return "  the yarn alone is judged: a half also wants a prong for each stitch; the plan lists no tools"
    lifted = f"at most {halves(stitches)}" if stitches else "no crossing"
    return f"  the yarn alone is judged: the plan's tools lift {lifted} at once"


def _time(figures: Figures) -> Iterator[str]:
    time = figures.time
    yield (
        f"  about {duration(time.total_s)} at the bed: {time.plain_rows:,} plain rows {duration(time.plain_s)}, "
        f"{time.crossing_rows:,} crossing rows {duration(time.crossing_s)}, weights {duration(time.weights_s)}"
    )
    yield f"  {time.pace_from}; {BREAK} come on top"
