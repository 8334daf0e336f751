"""The yarn drawer in words: its list, and all that is known of one yarn."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from purlside.bed.moves import size_text
from purlside.ease.fibres import find
from purlside.ease.loops import fit, measured_loops
from purlside.ease.yarncount import tex_in
from purlside.figures.text import counts_text
from purlside.plan.checked import written
from purlside.text.units import Unit

if TYPE_CHECKING:
    from purlside.keep.drawer import Drawer, KeptYarn

MOST_SHOWN = 8
"""Crossings of one yarn told one by one, the latest."""


def as_json(kept: Drawer) -> dict[str, Any]:
    """The drawer as plain values."""
    yarns = [{**written(yarn), "limit": round(yarn.limit.value, 4)} for yarn in kept.yarn]
    return {"format": 1, "yarn": yarns}


def listed(kept: Drawer) -> Iterator[str]:
    """One line a yarn."""
    if not kept.yarn:
        yield 'No yarn kept yet; keep one with: purlside yarn keep NAME --fibre wool --count "2/8 Nm"'
    for yarn in kept.yarn:
        yield f"{yarn.name}: {brief(yarn)}"


def brief(yarn: KeptYarn) -> str:
    """``"wool, 2/8 Nm, reach limit 1.04"``."""
    count = yarn.count or (f"{yarn.tex:g} tex" if yarn.tex else "no count")
    return f"{yarn.fibre or 'no fibre'}, {count}, reach limit {yarn.limit.value:.2f}"


def yarn_lines(yarn: KeptYarn, unit: Unit = Unit.CM) -> Iterator[str]:
    """All that is known of one yarn, not wrapped."""
    yield yarn.name
    if yarn.fibre is not None:
        unknown = "" if find(yarn.fibre) or yarn.extension_at_break is not None else " (not in the table of fibres)"
        yield f"  fibre {yarn.fibre}{unknown}"
    if yarn.count is not None or yarn.tex is not None:
        tex = yarn.tex if yarn.tex is not None else tex_in(yarn.count or "")
        grams = f"{tex:.4g} tex"
        yield f"  {f'{yarn.count}, ' if yarn.count not in (None, grams) else ''}{grams}: {counts_text(tex, unit)}"
    yield from _loops(yarn)
    for number, swatch in enumerate(yarn.swatch, 1):
        yield f"  swatch {number}: {swatch.words(unit)}"
    yield f"  reach limit {yarn.limit.value:.2f}: {yarn.limit.source}"
    shown = yarn.crossing[-MOST_SHOWN:]
    if len(shown) < len(yarn.crossing):
        yield f"  {len(yarn.crossing)} crossings recorded, the last {len(shown)}:"
    for one in shown:
        note = f" ({one.note})" if one.note else ""
        yield f"    reach {one.ratio:.2f}: {one.outcome}{note}"


def _loops(yarn: KeptYarn) -> Iterator[str]:
    pitch = f" at {yarn.pitch_mm:g} mm pitch" if yarn.pitch_mm is not None else ""
    points = measured_loops(yarn.loop_mm)
    if not points:
        yield "  no loop measured: unravel a swatch"
    for size, mm in points.items():
        yield f"  one loop at SS {size_text(size)}: {mm:.2f} mm{pitch}"
    if len(points) == 1:
        yield "  measured at one size: the usual slope is taken; a second size gives this yarn's own"
    elif points:
        _, _, slope = fit(points.items())
        yield f"  {slope:+.2f} mm a dial number over {len(points)} sizes, straight from one to the next"
        if slope <= 0:
            yield "  doubtful: larger sizes measured no more yarn than smaller ones; measure again"
