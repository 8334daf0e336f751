"""Yarn in a fabric: its diameter, how tightly it is knit, what suits the bed."""

from __future__ import annotations

import math

from purlside.ease.loops import LoopLine
from purlside.ease.yarncount import LENGTH_COUNTS, is_estimate, other_reading, tex_in
from purlside.figures.sizing import Gauged
from purlside.plan.machine import Yarn
from purlside.plan.plan import Plan
from purlside.values import Value

USUAL_TIGHTNESS = (13.0, 15.0)
"""Tightness factor K of plain wool as usually knit, √tex / cm."""

POSSIBLE_TIGHTNESS = (9.0, 19.0)
"""Tightness factors met at all, √tex / cm; from memory."""

JAMMED = 16.67
"""Loop length over yarn diameter below which the loops of plain knitting jam: Chamberlain; Peirce 1947 gives 16.668."""

HAND_KNITTING_WEIGHTS = ((33, 40), (27, 32), (23, 26), (21, 24), (16, 20), (12, 15), (7, 11), (1, 6))
"""Stitches of stockinette in 4 inches for which yarn of weight 0, 1, … is sold: Craft Yarn Council, *Standard Yarn
Weight System*. Weight 7 is 6 stitches or fewer."""


def hand_knitting_weights(stitches_per_10cm: float) -> tuple[int, ...]:
    """The Craft Yarn Council's weights whose gauge this is, to the nearest stitch in 4 inches; neighbours overlap."""
    stitches = math.floor(stitches_per_10cm * 1.016 + 0.5)
    return tuple(weight for weight, (low, high) in enumerate(HAND_KNITTING_WEIGHTS) if low <= stitches <= high)


def yarn_tex(yarn: Yarn) -> tuple[float, str] | None:
    """(tex, where it is from) of a plan's yarn; None if the plan does not say. Raises CountError."""
    if yarn.tex is not None:
        return yarn.tex, "the plan's tex"
    if yarn.count is not None:
        said = ", a rough estimate: weigh a measured length" if is_estimate(yarn.count) else ""
        other = other_reading(yarn.count)
        return tex_in(yarn.count), f"the plan's count, {yarn.count}{said}{f'; {other}' if other else ''}"
    return None


def diameter_mm(tex: float, density: float | None = None) -> float:
    """Diameter of a yarn in mm, taken as a round rod.

    ``density`` is that of the yarn, air and all, in g/cm³. Without it Peirce's
    d = 0.0374 √tex (*Textile Research Journal* 17, 1947), which stands for 0.91 g/cm³.
    """
    if density is None:
        return 0.0374 * math.sqrt(tex)
    if density <= 0:
        raise ValueError("density must be above 0 g/cm³")
    # A rod of 1 km weighing tex grams: d mm = 0.035682 √(tex / density).
    return 2 / math.sqrt(1000 * math.pi) * math.sqrt(tex / density)


def tightness(tex: float, loop_mm: float) -> float:
    """Tightness factor K = √tex / l, l in cm (Munden's school; also called cover factor)."""
    return math.sqrt(tex) / (loop_mm / 10)


def tightness_words(factor: float, jammed: bool = False) -> str:
    """How a tightness factor compares with what is usual for plain wool; ``jammed``: its loops are too short for it."""
    low, high = USUAL_TIGHTNESS
    if jammed:
        return "tighter than loops of this yarn can be: check tex and loop"
    if not POSSIBLE_TIGHTNESS[0] <= factor <= POSSIBLE_TIGHTNESS[1]:
        return f"outside {POSSIBLE_TIGHTNESS[0]:g}-{POSSIBLE_TIGHTNESS[1]:g}, what can be knit: check tex and loop"
    if factor < low:
        return f"looser than the usual {low:g}-{high:g} of plain wool"
    return f"tighter than the usual {low:g}-{high:g} of plain wool" if factor > high else f"usual ({low:g}-{high:g})"


def area_mass(loops_per_cm2: float, loop_mm: float, tex: float) -> float:
    """Mass of plain fabric in g/m²: ``loop_mm`` of yarn in each loop, the yarn's ``tex`` in g/km."""
    return loops_per_cm2 * loop_mm * tex / 100


def usual_tex(pitch_mm: float) -> float:
    """The yarn that suits a bed: worsted count = gauge² / 9, gauge in needles an inch.

    D. J. Spencer, *Knitting Technology*.
    """
    gauge = 25.4 / pitch_mm
    return LENGTH_COUNTS["worsted"] / (gauge**2 / 9)


class YarnFigures(Value):
    """The yarn: tex and where from, diameter in mm, tightness factor at the panel's size, the tex that suits the bed.

    All to ``grams_per_m2`` are None where the plan gives no tex, and that, of plain fabric at the panel's size, where it
    tells no gauge either. ``hand_knitting_weights`` are the Craft Yarn Council's for the plan's gauge, none where it
    gives none.
    """

    tex: float | None
    tex_from: str | None
    diameter_mm: float | None
    tightness: float | None
    tightness_words: str | None
    jammed: bool | None
    grams_per_m2: float | None
    usual_tex: float
    hand_knitting_weights: tuple[int, ...]


def yarn_figures(plan: Plan, line: LoopLine, tex: tuple[float, str] | None, made_of: Gauged | None) -> YarnFigures:
    """What is known of a plan's yarn; ``tex`` is as :func:`yarn_tex` gives it."""
    suited = usual_tex(plan.machine.pitch_mm), hand_knitting_weights(plan.gauge.stitches_per_10cm) if plan.gauge else ()
    if tex is None:
        return YarnFigures(None, None, None, None, None, None, None, *suited)
    loop = line(plan.panel.stitch_size)
    factor = tightness(tex[0], loop)
    thick = diameter_mm(tex[0])
    own = plan.panel.stitch_size
    mass = area_mass(100 / (made_of.stitch_mm(own) * made_of.row_mm(own)), loop, tex[0]) if made_of else None
    jammed = loop / thick < JAMMED
    return YarnFigures(tex[0], tex[1], thick, factor, tightness_words(factor, jammed), jammed, mass, *suited)
