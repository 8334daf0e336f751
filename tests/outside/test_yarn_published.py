"""Yarn counts, loops and fibres against published values, and conversions against another library."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint
import pytest

from purlside.ease.fibres import FIBRES
from purlside.ease.loops import RELAXATIONS, fit, gauge_from_loop, loop_from_gauge, loop_line
from purlside.ease.reach import reach
from purlside.ease.yarncount import LENGTH_COUNTS, WEIGHT_COUNTS, count_in, tex_of
from purlside.figures.sizing import gauged
from purlside.figures.whole import figures
from purlside.figures.yarn import (
    JAMMED,
    USUAL_TIGHTNESS,
    area_mass,
    diameter_mm,
    hand_knitting_weights,
    tightness,
    usual_tex,
)
from purlside.rows.checking import faults
from tests.plans import cable, plan

UNITS: Any = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("system", "constant"),
    [("Ne", 590.5412), ("worsted", 885.8119), ("run", 310.0342), ("Nm", 1000.0), ("lea", 1653.5155)],
)
def test_tex_times_number_is_the_constant_of_the_standard(system: str, constant: float) -> None:
    """ASTM D2260 (consistent with ISO 2947), tables of constants; to 1e-5."""
    assert LENGTH_COUNTS[system] == pytest.approx(constant, rel=1e-5)


def test_denier_is_nine_to_a_tex() -> None:
    """ASTM D2260."""
    assert count_in(100, "denier") == pytest.approx(900)
    assert count_in(100, "dtex") == pytest.approx(1000)


def test_published_examples_of_counts() -> None:
    """30 tex is Ne 19.7, worsted = 1.5 × and run = 0.525 × the cotton number: ASTM D2260."""
    assert count_in(30, "Ne") == pytest.approx(19.7, abs=0.05)
    assert count_in(30, "worsted") / count_in(30, "Ne") == pytest.approx(1.5)
    assert count_in(30, "run") / count_in(30, "Ne") == pytest.approx(0.525)


def test_plied_yarns_worked_by_hand() -> None:
    """2/28 Nm: 2 · 1000/28. 2/14 worsted: 2 · 885.8119/14."""
    assert tex_of("2/28 Nm") == pytest.approx(71.43, abs=0.005)
    assert tex_of("2/14 worsted") == pytest.approx(126.54, abs=0.006)


@pytest.mark.parametrize(
    ("system", "unit"),
    [("tex", "tex"), ("dtex", "dtex"), ("denier", "denier"), ("Nm", "number_meter"), ("Ne", "number_english")],
)
@pytest.mark.parametrize("number", [1.5, 7, 20, 150])
def test_counts_agree_with_pint(system: str, unit: str, number: float) -> None:
    quantity = UNITS.Quantity(number, unit)
    # pint takes Nm and Ne as length by weight and does not turn them over by itself.
    tex = ((1 / quantity) if system in LENGTH_COUNTS else quantity).to("gram / kilometer").magnitude
    assert (LENGTH_COUNTS[system] / number if system in LENGTH_COUNTS else number * WEIGHT_COUNTS[system]) == (
        pytest.approx(tex, rel=1e-5)
    )
    if 1 <= tex <= 20_000:
        assert tex_of(f"{number} {system}") == pytest.approx(tex, rel=1e-5)


@pytest.mark.parametrize(("system", "yards"), [("worsted", 560), ("run", 1600), ("lea", 300)])
def test_counts_pint_does_not_know_agree_with_its_yards_and_pounds(system: str, yards: int) -> None:
    tex = (1 / UNITS.Quantity(8 * yards, "yard / pound")).to("gram / kilometer").magnitude
    assert tex_of(f"8 {system}") == pytest.approx(tex, rel=1e-9)


def test_metres_and_yards_by_weight_agree_with_pint() -> None:
    tex = (UNITS.Quantity(1, "pound") / UNITS.Quantity(1800, "yard")).to("gram / kilometer").magnitude
    assert tex_of("1800 yd/lb") == pytest.approx(tex, rel=1e-9)
    assert tex_of("420 m per 100 g") == pytest.approx(100 / 0.42)


def test_munden_fully_relaxed_wool() -> None:
    """The form: Munden, J. Text. Inst. 50 (1959) T448; read in a handbook: l 0.5 cm gives 11.0 courses and 8.4 wales a cm."""
    stitches, rows = gauge_from_loop(5.0, "fully relaxed")
    assert rows / 10 == pytest.approx(11.0)
    assert stitches / 10 == pytest.approx(8.4)
    # The three constants are published apart from each other: ks is not exactly kc·kw.
    assert loop_from_gauge(84, 110, "fully relaxed") == pytest.approx(5.0, rel=0.005)


def test_the_constants_of_each_relaxed_state_agree_with_each_other_to_a_percent() -> None:
    """Dry and wet relaxed from memory; fully relaxed read in a handbook, which credits later work than Munden's."""
    for state in RELAXATIONS.values():
        assert state.kc * state.kw == pytest.approx(state.ks, rel=0.01)
    assert [s.ks for s in RELAXATIONS.values()] == sorted(s.ks for s in RELAXATIONS.values())


@pytest.mark.parametrize(
    ("state", "courses", "wales", "loops", "numbers"),
    [
        ("dry relaxed", 10.0, 7.6, 76.0, "numbers from memory"),
        ("wet relaxed", 10.6, 8.2, 86.4, "numbers from memory"),
        ("fully relaxed", 11.0, 8.4, 92.4, "later than Munden 1959"),
    ],
)
def test_half_a_centimetre_of_loop_in_each_relaxed_state(
    state: str, courses: float, wales: float, loops: float, numbers: str
) -> None:
    """kc kw ks over l 0.5 cm: fully relaxed read in a handbook, dry and wet relaxed from memory, which is said of them."""
    stitches, rows = gauge_from_loop(5.0, state)
    assert (rows / 10, stitches / 10) == pytest.approx((courses, wales))
    assert RELAXATIONS[state].ks / 0.5**2 == pytest.approx(loops)
    assert numbers in RELAXATIONS[state].source


@pytest.mark.parametrize("state", RELAXATIONS)
def test_the_relaxed_state_is_named_with_every_size_worked_out_from_a_loop(state: str) -> None:
    """Munden 1959: a loop has one size for each state, and none without it."""
    measured = plan(yarn={"loop_mm": {"5": 12.0}})
    made_of = gauged(measured, loop_line(measured), state=state)
    assert made_of is not None
    assert state in made_of.gauge_from
    swatch = plan(gauge={"stitches_per_10cm": 28, "rows_per_10cm": 40})
    assert state in loop_line(swatch, state).basis


def test_peirce_diameter() -> None:
    """F. T. Peirce 1947: tex 20 is 0.167 mm; as a rod of 0.91 g/cm³ the same."""
    assert diameter_mm(20) == pytest.approx(0.167, abs=0.0005)
    assert diameter_mm(20, density=0.91) == pytest.approx(diameter_mm(20), rel=0.001)


def test_the_rod_formula_is_plain_geometry() -> None:
    """A cylinder of 1 km weighing T grams: π/4 · d² · 10⁵ cm · density = T."""
    d_cm = diameter_mm(137, density=1.1) / 10
    assert math.pi / 4 * d_cm**2 * 1e5 * 1.1 == pytest.approx(137)
    assert diameter_mm(1, density=1) == pytest.approx(0.035682, abs=1e-6)


def test_jamming_by_peirce() -> None:
    """Peirce 1947, l = 2c + w + 5.94 d with w = 4 d and c = 3.364 d; Chamberlain gives 16.67."""
    assert pytest.approx(2 * 3.364 + 4 + 5.94, abs=0.005) == JAMMED


def test_a_crossing_takes_all_the_yarn_that_enlarging_the_half_behind_gives() -> None:
    """Peirce 1947, l = 2c + w + 5.94 d: the legs of a stitch carried over n others rise c and go n·w sideways, so that 2c
    becomes 2 √(c² + (n·w)²). In the reference case, at 29 stitches and 41 rows in 10 cm."""
    c, w, given = 100 / 41, 100 / 29, 17.5 - 13.7
    taken = [2 * (math.hypot(c, n * w) - c) for n in (1, 2, 3)]
    assert taken == pytest.approx([3.6, 9.8, 16.4], abs=0.06)
    for n in range(1, 5):
        rope = cable(f"R1-R{n} over L{n}-L1", ease="auto", first_row=8)
        made = plan(rope, yarn={"fibre": "cotton", "loop_mm": {"5": 13.7, "9": 17.5}})
        wants = not reach(made, made.cable[0], made.cable[0].crossings[0], 5.0).attempts[0].enough
        assert not wants or 2 * (math.hypot(c, n * w) - c) > given
    assert wants, "the widest do not go over plain"


def test_jamming_by_those_who_measured_it() -> None:
    """Chamberlain 16.67; Hepworth & Leaf 16.75, from memory: half a percent apart, less than any loop is measured to."""
    assert pytest.approx(16.67, abs=0.005) == JAMMED
    assert pytest.approx(16.75, rel=0.005) == JAMMED


@pytest.mark.parametrize(("loops_to_diameter", "jammed"), [(16.5, True), (17.0, False)])
def test_a_loop_below_all_published_limits_is_told_to_jam_and_one_above_is_not(
    loops_to_diameter: float, jammed: bool
) -> None:
    """Between Chamberlain's 16.67 and Hepworth & Leaf's 16.75 authors differ; on either side of both they do not."""
    tex = 250
    made = plan(yarn={"tex": tex, "loop_mm": {"5": round(loops_to_diameter * diameter_mm(tex), 4)}})
    told = figures(made).yarn
    assert told is not None
    assert told.jammed is jammed


def test_tightness_factor() -> None:
    """T 250 tex, l 11.29 mm → 14.0, in the middle of the usual range for plain wool."""
    factor = tightness(250, 11.29)
    assert factor == pytest.approx(14.0, abs=0.01)
    assert USUAL_TIGHTNESS[0] < factor < USUAL_TIGHTNESS[1]


def test_area_mass() -> None:
    """204 loops/cm², l 3.0 mm, 20 tex → 122.4 g/m², a published worked example."""
    assert area_mass(204, 3.0, 20) == pytest.approx(122.4)


def test_the_figures_weigh_a_square_metre_as_the_published_example_does() -> None:
    """The same example as a plan: 120 wales by 170 courses in 10 cm are 2.04 loops/mm²."""
    made = plan(
        yarn={"tex": 20, "loop_mm": {"5": 3.0}}, gauge={"stitches_per_10cm": 120, "rows_per_10cm": 170}, size=5.0
    )
    assert figures(made).yarn.grams_per_m2 == pytest.approx(122.4)


@pytest.mark.parametrize(("pitch", "tex"), [(4.5, 250), (9.0, 1001)])
def test_yarn_suiting_the_bed(pitch: float, tex: float) -> None:
    """Worsted count = gauge²/9: D. J. Spencer, Knitting Technology."""
    assert usual_tex(pitch) == pytest.approx(tex, rel=0.002)


PITCH_CLASSES = [
    (3.6, 7.06, 250),
    (4.5, 5.64, 200),
    (6.0, 4.23, 160),
    (7.0, 3.63, 140),
    (8.0, 3.18, 120),
    (9.0, 2.82, 114),
]
"""mm from needle to needle, needles an inch, needles on the bed at most: the usual hand-operated beds, from memory."""


@pytest.mark.parametrize(("pitch", "an_inch", "needles"), PITCH_CLASSES)
def test_every_usual_bed_can_be_planned_from_end_to_end_and_is_told_the_yarn_of_its_gauge(
    pitch: float, an_inch: float, needles: int
) -> None:
    """Beds from memory; worsted count = gauge² / 9: Spencer, Knitting Technology. ASTM D2260: 885.8119 / count."""
    half = needles // 2
    made = plan(cable(), needles=f"L{half}-R{half}", machine={"pitch_mm": pitch, "needles": needles})
    assert faults(made) == []
    assert usual_tex(pitch) == pytest.approx(885.8119 / (an_inch**2 / 9), rel=0.005)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("fine wool", 0.425, 0.425),
        ("coarse wool", 0.298, 0.298),
        ("wool", 0.298, 0.425),
        ("silk", 0.234, 0.234),
        ("nylon", 0.26, 0.26),
        ("viscose", 0.157, 0.157),
        ("cotton", 0.056, 0.071),
        ("linen", 0.03, 0.03),
    ],
)
def test_extension_at_break(name: str, low: float, high: float) -> None:
    """Morton & Hearle, Physical Properties of Textile Fibres, 4th ed. 2008, Table 13.1."""
    assert low <= FIBRES[name].extension <= high


def test_fibres_stretch_in_the_published_order() -> None:
    """Morton & Hearle 2008, Table 13.1."""
    order = [FIBRES[name].extension for name in ("wool", "nylon", "silk", "viscose", "cotton", "linen")]
    assert order == sorted(order, reverse=True)


def test_the_line_through_measured_loops_is_the_least_squares_line() -> None:
    random = np.random.default_rng(7)
    for _ in range(20):
        sizes = random.choice(31, size=int(random.integers(2, 8)), replace=False) / 3
        loops = 9 + 0.9 * sizes + random.normal(0, 0.5, len(sizes))
        slope, intercept = np.polyfit(sizes, loops, 1)
        at, mm, per_size = fit(list(zip(sizes.tolist(), loops.tolist(), strict=True)))
        assert per_size == pytest.approx(slope)
        assert mm - per_size * at == pytest.approx(intercept)


@pytest.mark.parametrize(
    ("in_4_inches", "weights"),
    [
        *((n, (0,)) for n in (33, 40)),
        *((n, (1,)) for n in (27, 32)),
        *((n, (2,)) for n in (25, 26)),
        *((n, (2, 3)) for n in (23, 24)),
        *((n, (3,)) for n in (21, 22)),
        *((n, (4,)) for n in (16, 20)),
        *((n, (5,)) for n in (12, 15)),
        *((n, (6,)) for n in (7, 11)),
        *((n, (7,)) for n in (1, 6)),
        (41, ()),
    ],
)
def test_a_gauge_has_the_hand_knitting_weight_of_the_published_table(
    in_4_inches: int, weights: tuple[int, ...]
) -> None:
    """Craft Yarn Council, Standard Yarn Weight System: stockinette stitches in 4 inches (10.16 cm), read there."""
    assert hand_knitting_weights(in_4_inches / 1.016) == weights
