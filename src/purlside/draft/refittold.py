"""What a refit changed, told side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from typing import NamedTuple

from purlside.bed.moves import size_text
from purlside.draft import reshaping, together
from purlside.ease.loops import loop_line
from purlside.ease.reach import choose
from purlside.fabric import written
from purlside.figures import sizing
from purlside.plan.plan import Cable, Plan, StitchWork
from purlside.rows.calendar import Calendar


class RefitChange(NamedTuple):
    """One thing that is otherwise: what, as it was, as it is."""

    what: str
    before: str
    after: str


LEFT_OUT = "left out"


def changes(old: Plan, new: Plan, left: Mapping[str, Set[int]] | None = None) -> Iterator[RefitChange]:
    """All that is otherwise; ``left`` are the tables of the old plan, by kind, that the new one has not."""
    told = _told(old, new, left or {})
    return (RefitChange(what, before, after) for what, before, after in told if before != after)


def _told(old: Plan, new: Plan, left: Mapping[str, Set[int]]) -> Iterator[tuple[str, str, str]]:
    for what, words in _PLAN.items():
        yield what, words(old), words(new)
    for part, again in zip(old.part, new.part, strict=True):
        yield part.name, f"{part.needles}, {part.rows} rows", f"{again.needles}, {again.rows} rows"
    was, after = _shaping_words(old), _shaping_words(new)
    for what in was | after:
        yield what, was.get(what, "none"), after.get(what, "none")
    cables, stitches = iter(new.cable), iter(new.stitch)
    for i, one in enumerate(old.cable):
        # A motif of one cable goes by its own name, as at the drafting table.
        name = together.name(old, i) if len(together.members(old, i)) == 1 else one.name
        gone = i in left.get("cable", ())
        yield name, cable_words(old, one), LEFT_OUT if gone else cable_words(new, next(cables))
    for i, stitch in enumerate(old.stitch):
        gone = i in left.get("stitch", ())
        yield f"single needles {i + 1}", _stitch_words(stitch), LEFT_OUT if gone else _stitch_words(next(stitches))
    for i, (band, moved) in enumerate(zip(old.band, new.band, strict=True), 1):
        yield f"band {i}", f"rows {band.rows}", f"rows {moved.rows}"
    for note, told in zip(old.reminder, new.reminder, strict=True):
        yield f"reminder: {note.text}", f"row {note.row or note.first_row}", f"row {told.row or told.first_row}"


def _shaping_words(plan: Plan) -> dict[str, str]:
    """What is done at each edge, from the lowest row up: ``"1 in row 61, every 4 rows 12 times"``."""
    found: dict[str, list[str]] = {}
    for shape in sorted(plan.shape, key=lambda s: s.first_row):
        edge = "both edges" if shape.edge == "both" else f"the {shape.edge} edge"
        every = "" if shape.every is None else " row" if shape.every == 1 else f" {shape.every} rows"
        often = f", every{every}{f' {shape.times} times' if shape.times else ''}" if every else ""
        told = f"{shape.stitches} in row {shape.first_row}{often}"
        found.setdefault(f"{shape.part + ': ' if shape.part else ''}{shape.do} at {edge}", []).append(told)
    return {what: "; ".join(told) for what, told in found.items()}


def _stitch_words(stitch: StitchWork) -> str:
    """``"bead, L20, R20, from row 12, every 12, 11 times"``."""
    every = f", every {stitch.every}" if stitch.every else ""
    times = f", {stitch.times} times" if every and stitch.times else ""
    return f"{stitch.do}, {', '.join(map(str, stitch.needles))}, from row {stitch.first_row}{every}{times}"


def _size_words(plan: Plan) -> str:
    line = loop_line(plan)
    made_of = sizing.gauged(plan, line)
    if made_of is None:
        return "not known without a gauge"
    size = sizing.finished(Calendar(plan), made_of)
    mean = ", the width on average" if plan.shape or plan.part else ""
    return f"about {size.width_mm.value / 10:.1f} × {size.length_mm / 10:.1f} cm{mean}"


_PLAN: Mapping[str, Callable[[Plan], str]] = {
    "needles apart": lambda p: f"{p.machine.pitch_mm:g} mm",
    "bed": lambda p: f"{p.machine.needles} needles",
    "yarn": lambda p: (
        ", ".join(filter(None, (p.yarn.name, p.yarn.fibre, p.yarn.count, f"{p.yarn.tex:g} tex" if p.yarn.tex else "")))
        or "not said"
    ),
    "stitch size": lambda p: size_text(p.panel.stitch_size),
    "gauge in 10 cm": lambda p: (
        f"{p.gauge.stitches_per_10cm:.4g} st, {p.gauge.rows_per_10cm:.4g} rows" if p.gauge else "not known"
    ),
    "tools": lambda p: "not listed" if p.tools.prongs is None else f"{', '.join(map(str, p.tools.prongs))} prongs",
    "needles": lambda p: f"{len(p.panel.needles)}, {p.panel.needles}",
    "rows": lambda p: f"{p.panel.rows:,}",
    "size": _size_words,
    "out of work": lambda p: ", ".join(map(str, p.panel.out_of_work)) or "none",
    "weights moved every": lambda p: f"{p.panel.weights_every} rows" if p.panel.weights_every else "not said",
}


def cable_words(plan: Plan, cable: Cable) -> str:
    """``"3/3 RC, R1-R3 over L3-L1; row 8 and every 8 rows, 22 times; SS 9 behind"``."""
    turns = ", then ".join(f"{written.name(c)} {c}" for c in cable.crossings[:2])
    more = f" … {len(cable.crossings)} in turn" if len(cable.crossings) > 2 else ""
    every = "" if cable.every is None else f" and every {cable.every} rows"
    times = "" if cable.every is None else f", {reshaping.crossing_rows((cable,), Calendar(plan).end)} times"
    choice = choose(plan, cable, cable.crossings[0], plan.panel.stitch_size)
    return f"{turns}{more}; row {cable.first_row}{every}{times}; {choice.technique}"


MOST_BESIDE = 100
"""Columns up to which a change stands on one line."""


def side_by_side(changes: Sequence[RefitChange], said: Sequence[str] = ()) -> Iterator[str]:
    """What changed: what, as it was, as it is; the longest under one another; then what could not be kept."""
    if not changes:
        yield "Nothing changed."
    short = [c for c in changes if len(c.what) + len(c.before) + len(c.after) < MOST_BESIDE]
    what, before = (max((len(getattr(c, name)) for c in short), default=0) for name in ("what", "before"))
    for change in changes:
        if change in short:
            yield f"{change.what:<{what}}  {change.before:<{before}}  →  {change.after}"
        else:
            yield from (change.what, f"    was  {change.before}", f"    now  {change.after}")
    if said:
        yield from ("", "Before you knit it:", *(f"    {words}" for words in said))
