"""Figures in words and as JSON: plain lines of at most 80 columns, and a table of plain values."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from purlside.moves import number, size_text
from purlside.reach import Attempt, Technique, Verdict
from purlside.timing import BREAK
from purlside.widest import Widest, halves

if TYPE_CHECKING:
    from purlside.figures import CrossingFigures, Figures
    from purlside.sizing import Range

COLUMNS = 80

MARKS = {Verdict.EASY: "=", Verdict.FIRM: "-", Verdict.NOT_ENOUGH: "."}
"""A crossing in the small chart of the widest ones: easy, firm, not enough."""


def lines(figures: Figures) -> list[str]:
    """The whole of it, for reading. No line is longer than COLUMNS."""
    return list(wrapped(_lines(figures)))


def wrapped(text: Iterable[str]) -> Iterator[str]:
    """Lines no longer than COLUMNS; what is carried over stands two columns further in."""
    for line in text:
        further = " " * (len(line) - len(line.lstrip()) + 2)
        yield from textwrap.wrap(line, COLUMNS, subsequent_indent=further) or [""]


def _lines(figures: Figures) -> Iterator[str]:
    yield f"{figures.title}: figures"
    yield "All of these are estimates; your swatch and your crossings correct them."
    yield ""
    yield from _size(figures)
    yield from _yarn(figures)
    yield from _crossings(figures)
    yield from widest_lines(figures.widest)
    yield ""
    yield from _time(figures)
    if figures.missing:
        yield ""
        yield "Missing in the plan"
        yield from (f"  {missing}" for missing in figures.missing)


def _cm(value: Range) -> str:
    text = f"{value.value / 10:.1f} cm"
    if value.least != value.most:
        text += f" ({value.least / 10:.1f}-{value.most / 10:.1f})"
    return text


def _size(figures: Figures) -> Iterator[str]:
    yield "Size"
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
    yield ""
    yield "Yarn"
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
        yield f"  tightness factor {yarn.tightness:.1f}: {yarn.tightness_words}"
        if yarn.jammed:
            yield "  the loops are shorter than this yarn's thickness allows; check tex and loop"
    yield f"  about {yarn.usual_tex:.0f} tex suits a pitch of {figures.pitch_mm:g} mm (Spencer, Knitting Technology)"


def _crossings(figures: Figures) -> Iterator[str]:
    yield ""
    yield "Crossings: reach is travel over the yarn at hand; firm up to the limit"
    yield f"  limit {figures.limit.value:.2f}: {figures.limit.source}"
    if not figures.crossings:
        yield "  the plan has none"
    for alike in _alike(figures.crossings):
        yield from _crossing(alike)
    yield ""


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
    if cheapest is None:
        yield "    nothing tried is enough: cross fewer stitches"
    elif planned.verdict is Verdict.NOT_ENOUGH:
        yield f"    as planned is not enough; {cheapest.technique} is"
    yield f"    tools: {found.lift.words}"


def _attempt(attempt: Attempt, sign: str) -> str:
    return f"  {sign} {attempt.technique!s:<34} {attempt.yarn_mm:6.1f} mm of yarn, reach {attempt.ratio:.2f}: {attempt.verdict}"


def _short(why: str) -> str:
    return why.partition(";")[0]


def technique_text(technique: Technique) -> str:
    """``"enlarge to SS 8⅓ and 2 extra rows"``."""
    return str(technique)


def widest_lines(found: tuple[Widest, ...], most: int = 14) -> Iterator[str]:
    """The widest crossings as a table with a small chart of crossings up to ``most`` stitches."""
    yield "Widest crossing this yarn will do on this bed"
    scale = "".join(f"{stitches:<4}" for stitches in range(2, most + 1, 4)).rstrip()
    yield f"  {'':<33} {'easily':<10} {'firmly':<10}  {scale}"
    for one in found:
        chart = "".join(MARKS[one.verdict(stitches)] for stitches in range(2, most + 1))
        yield f"  {one.technique!s:<33} {halves(one.easy):<10} {halves(one.firm):<10}  {chart}"
    easy, firm, not_enough = (MARKS[verdict] for verdict in Verdict)
    yield f"  at the right, stitches of both halves: {easy} easy, {firm} firm, {not_enough} not enough"


def _time(figures: Figures) -> Iterator[str]:
    time = figures.time
    yield "Time"
    yield (
        f"  about {duration(time.total_s)} at the bed: {time.plain_rows:,} plain rows {duration(time.plain_s)}, "
        f"{time.crossing_rows:,} crossing rows {duration(time.crossing_s)}, weights {duration(time.weights_s)}"
    )
    yield f"  {time.pace_from}; {BREAK} come on top"


def duration(seconds: float) -> str:
    """``"2 h 05 min"``, ``"12 min"``, ``"under a minute"``."""
    minutes = round(seconds / 60)
    if minutes < 1:
        return "under a minute" if seconds > 0 else "0 min"
    hours, minutes = divmod(minutes, 60)
    return f"{hours:,} h {minutes:02} min" if hours else f"{minutes} min"


def as_json(figures: Figures) -> dict[str, Any]:
    """The figures as plain values; lengths in mm or metres as named, ratios without unit, None where not known."""
    wanted = figures.wanted
    return {
        "format": 1,
        "title": figures.title,
        "estimate": True,
        "size": None
        if figures.finished is None
        else {
            "width_mm": _range(figures.finished.width_mm),
            "length_mm": round(figures.finished.length_mm, 1),
            "gauge": {
                "stitches_per_10cm": round(figures.finished.fabric.stitches_per_10cm, 2),
                "rows_per_10cm": round(figures.finished.fabric.rows_per_10cm, 2),
                "from": figures.finished.fabric.gauge_from,
            },
            "take_in": {**_range(figures.finished.fabric.take_in, 4), "from": figures.finished.fabric.take_in_from},
        },
        "wanted": None if wanted is None else {**asdict(wanted), "bed_is_enough": wanted.bed_is_enough},
        "yarn": {
            **asdict(figures.yarn),
            "loop_mm": round(figures.loop(figures.panel_size), 3),
            "loop_mm_per_size": round(figures.loop.per_size, 4),
            "loop_measured": figures.loop.measured,
            "loop_from": figures.loop.basis,
            "doubts": list(figures.loop.doubts),
            "by_hand_loop_mm": round(figures.by_hand_mm, 3),
            "margin": figures.margin,
            "needs": [
                {
                    "colour": need.colour,
                    "loops": need.loops,
                    "metres": round(need.metres, 1),
                    "grams": None if need.grams is None else round(need.grams, 1),
                }
                for need in figures.needs
            ],
        },
        "limit": {"value": round(figures.limit.value, 4), "from": figures.limit.source},
        "crossings": [_crossing_json(crossing) for crossing in figures.crossings],
        "widest": [
            {
                **_technique(one.technique),
                "easily": halves(one.easy),
                "easily_stitches": one.easy,
                "firmly": halves(one.firm),
                "firmly_stitches": one.firm,
            }
            for one in figures.widest
        ],
        "time": {
            "seconds": round(figures.time.total_s),
            "plain_rows": figures.time.plain_rows,
            "plain_seconds": round(figures.time.plain_s),
            "crossing_rows": figures.time.crossing_rows,
            "crossing_seconds": round(figures.time.crossing_s),
            "weights_seconds": round(figures.time.weights_s),
            "from": figures.time.pace_from,
        },
        "missing": list(figures.missing),
    }


def _range(value: Range, digits: int = 1) -> dict[str, float]:
    return {
        "value": round(value.value, digits),
        "least": round(value.least, digits),
        "most": round(value.most, digits),
    }


def _technique(technique: Technique) -> dict[str, Any]:
    size = technique.enlarged_size
    return {
        "technique": technique.name,
        "enlarged_size": None if size is None else number(size),
        "extra_rows": technique.extra_rows,
    }


def _crossing_json(found: CrossingFigures) -> dict[str, Any]:
    reach, lift = found.reach, found.lift

    def tried(attempt: Attempt) -> dict[str, Any]:
        return {
            **_technique(attempt.technique),
            "yarn_mm": round(attempt.yarn_mm, 2),
            "reach": round(attempt.ratio, 4),
            "verdict": str(attempt.verdict),
        }

    return {
        "cable": found.name,
        "cross": str(reach.crossing),
        "stitch_size": number(reach.size),
        "times": found.rows,
        "travel_mm": reach.travel_mm,
        "travel_pitches": reach.travel_pitches,
        "widest_gap_mm": reach.gap_mm,
        "widest_gap_pitches": reach.gap_pitches,
        "planned": tried(reach.planned),
        "cheapest": None if reach.cheapest is None else tried(reach.cheapest),
        "attempts": [tried(attempt) for attempt in reach.attempts],
        "chosen": reach.choice.why,
        "tools": {
            "checked": lift.checked,
            "hands": {str(hand.side): list(hand.tools) for hand in lift.hands},
            "missing": list(lift.missing),
        },
    }
