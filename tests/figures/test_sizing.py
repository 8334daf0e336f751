"""Size and yarn: what the knitter measures when the panel is done."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.moves import ByHand, Dial, Knit
from purlside.ease.loops import loop_line
from purlside.ease.reach import by_hand_loop
from purlside.figures.sizing import TAKE_IN, YarnNeed, cabled, fabric, finished, wanted, yarn_needs
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from tests import plans

LOOPS = {"loop_mm": {"5": 12.0, "9": 16.0}, "tex": 250.0}


def plan(
    cables: list[dict[str, Any]] | None = None,
    gauge: tuple[float, float] | None = (30.0, 40.0),
    yarn: plans.Tables | None = None,
    bands: list[dict[str, Any]] | None = None,
    machine: plans.Tables | None = None,
    **panel: Any,
) -> Plan:
    return plans.plan(
        *(cables or []),
        needles="L30-R30",
        rows=100,
        machine=machine,
        panel=panel,
        yarn=LOOPS if yarn is None else yarn,
        gauge=None if gauge is None else plans.swatch(*gauge),
        band=bands or [],
    )


ROPE = plans.cable()


def needs(made: Plan, margin: float = 0.0) -> tuple[YarnNeed, ...]:
    line = loop_line(made)
    return yarn_needs(Working(made), line, made.yarn.tex, margin)


def test_a_plain_panel_is_its_stitches_and_rows_by_gauge() -> None:
    made = plan()
    found = fabric(made, loop_line(made))
    assert found is not None
    size = finished(made, loop_line(made), found)
    assert size.width_mm.value == size.width_mm.least == size.width_mm.most == pytest.approx(200)
    assert size.length_mm == pytest.approx(250)


def test_cables_take_in_by_default_with_a_range_and_by_the_knitters_own_swatch_without() -> None:
    made = plan([ROPE])
    line = loop_line(made)
    usual, own = fabric(made, line), fabric(made, line, take_in=0.8)
    assert usual is not None
    assert own is not None
    width = finished(made, line, usual).width_mm
    assert width.value == pytest.approx((54 + 6 * TAKE_IN) * 100 / 30)
    assert width.least < width.value < width.most < 200
    measured = finished(made, line, own).width_mm
    assert measured.least == measured.value == measured.most == pytest.approx((54 + 6 * 0.8) * 100 / 30)


def test_needles_of_several_cables_count_once_and_a_cable_never_crossed_not_at_all() -> None:
    plait = {"name": "plait", "cross": ["R1-R2 over L2-L1", "R3-R4 over R1-R2"], "first_row": 4, "every": 4}
    assert len(cabled(plan([ROPE, plait]))) == 7
    assert len(cabled(plan([{**plait, "times": 1}]))) == 4, "its second crossing never comes"
    assert not cabled(plan([{**ROPE, "first_row": 101}]))


def test_rows_of_a_larger_size_make_the_panel_longer() -> None:
    made = plan(bands=[{"rows": "1-50", "stitch_size": 9}])
    line = loop_line(made)
    found = fabric(made, line)
    assert found is not None
    assert finished(made, line, found).length_mm == pytest.approx(125 + 125 * 16 / 12)


def test_without_gauge_a_measured_loop_gives_the_size_and_without_both_there_is_none() -> None:
    made = plan(gauge=None)
    found = fabric(made, loop_line(made))
    assert found is not None
    assert found.stitches_per_10cm == pytest.approx(41 / 1.2)
    assert "Munden" in found.gauge_from
    bare = plan(gauge=None, yarn={"fibre": "wool"})
    assert fabric(bare, loop_line(bare)) is None


def test_needles_and_rows_for_a_wanted_size_give_that_size_back() -> None:
    made = plan([ROPE])
    line = loop_line(made)
    found = fabric(made, line)
    assert found is not None
    asked = wanted(made, found, 410, 600)
    assert asked.needles is not None
    assert asked.rows == 240
    half = asked.needles // 2
    again = plan([ROPE], needles=f"L{half}-R{asked.needles - half}", rows=asked.rows)
    size = finished(again, line, found)
    assert size.width_mm.value == pytest.approx(410, abs=100 / 30 / 2)
    assert size.length_mm == pytest.approx(600, abs=100 / 40 / 2)


def test_a_bed_too_narrow_for_the_wanted_width_is_said() -> None:
    made = plan(machine={"needles": 100})
    found = fabric(made, loop_line(made))
    assert found is not None
    assert wanted(made, found, 330).bed_is_enough
    assert not wanted(made, found, 340).bed_is_enough


def test_a_panel_narrower_than_its_cables_keeps_the_cables() -> None:
    made = plan([ROPE])
    found = fabric(made, loop_line(made))
    assert found is not None
    assert wanted(made, found, 1).needles == 6


@pytest.mark.parametrize("size", [0.0, -1.0, 1e9, float("nan")])
def test_an_impossible_size_is_refused(size: float) -> None:
    made = plan()
    found = fabric(made, loop_line(made))
    assert found is not None
    with pytest.raises(ValueError, match="wanted width is above 0"):
        wanted(made, found, width_mm=size)
    with pytest.raises(ValueError, match="wanted length is above 0"):
        wanted(made, found, length_mm=size)


@pytest.mark.parametrize("take_in", [0.0, -0.5, 3.0, float("nan")])
def test_an_impossible_take_in_is_refused(take_in: float) -> None:
    made = plan()
    with pytest.raises(ValueError, match="take-in"):
        fabric(made, loop_line(made), take_in)


def test_two_hundred_stitches_by_three_hundred_rows() -> None:
    """Worked by hand: 200 · 300 · 11 mm = 660 m, at 250 tex 165.0 g."""
    made = plan(needles="L100-R100", rows=300, yarn={"loop_mm": {"5": 11.0}, "tex": 250})
    [need] = needs(made)
    assert (need.loops, need.colour) == (60_000, None)
    assert need.metres == pytest.approx(660)
    assert need.grams == pytest.approx(165.0)
    [more] = needs(made, margin=0.1)
    assert more.metres == pytest.approx(726)


def test_each_ease_costs_the_yarn_it_puts_in() -> None:
    def metres(**ease: Any) -> float:
        return needs(plan([{**ROPE, "times": 5, **ease}]))[0].metres

    plain = metres(ease="plain")
    assert plain == pytest.approx(60 * 100 * 0.012)
    assert metres(ease="enlarge", enlarged_size=9) == pytest.approx(plain + 5 * 3 * 0.004)
    assert metres(ease="extra rows", extra_rows=4) == pytest.approx(plain + 5 * 3 * 4 * 0.012)
    assert metres(ease=["enlarge", "extra rows"], enlarged_size=9, extra_rows=2) == pytest.approx(
        plain + 5 * 3 * 0.004 + 5 * 3 * 2 * 0.012
    )
    hand = by_hand_loop(loop_line(plan()), (0, 10)) / 1000
    assert metres(ease="by hand") == pytest.approx(plain + 5 * 3 * (hand - 0.012))


def test_yarn_is_told_by_colour_in_the_order_the_colours_begin() -> None:
    made = plan(
        bands=[{"rows": "1-20", "colour": "slate"}, {"rows": "61-70", "colour": "slate", "stitch_size": 9}],
    )
    slate, own = needs(made)
    assert (slate.colour, own.colour) == ("slate", None)
    assert slate.metres == pytest.approx(60 * (20 * 0.012 + 10 * 0.016))
    assert own.metres == pytest.approx(60 * 70 * 0.012)


def test_without_tex_there_are_metres_and_no_grams() -> None:
    [need] = needs(plan(yarn={"loop_mm": {"5": 12.0}}))
    assert need.metres > 0
    assert need.grams is None


@pytest.mark.parametrize("margin", [-0.1, 11.0, float("nan")])
def test_an_impossible_margin_is_refused(margin: float) -> None:
    with pytest.raises(ValueError, match="margin"):
        needs(plan(), margin)


def test_many_rows_are_all_counted() -> None:
    made = plan([ROPE], rows=20_000)
    [need] = needs(made)
    assert need.loops == 60 * 20_000


eases = st.sampled_from(
    [
        {"ease": "plain"},
        {"ease": "enlarge", "enlarged_size": 8},
        {"ease": "extra rows", "extra_rows": 2},
        {"ease": ["enlarge", "extra rows"], "enlarged_size": 9, "extra_rows": 4},
        {"ease": "by hand"},
        {"ease": "auto"},
    ]
)


@given(eases, eases, st.integers(1, 9), st.integers(1, 9), st.integers(1, 6), st.integers(1, 40))
def test_the_yarn_is_that_of_every_loop_the_moves_knit(
    one: dict[str, Any], two: dict[str, Any], first: int, every: int, times: int, band: int
) -> None:
    """Against knitting the panel move by move, the dial followed as the knitter sets it."""
    made = plan(
        [
            {"name": "a", "cross": "L4-L3 over L6-L5", "first_row": first, "every": every, **one},
            {"name": "b", "cross": ["R1-R4 over L2-L1", "R3-R4 over R1-R2"], "first_row": 2, "every": 3, **two}
            | {"times": times},
        ],
        bands=[{"rows": f"{band}-{band + 3}", "stitch_size": 6, "colour": "slate"}],
        needles="L8-R8",
        rows=40,
        out_of_work=["L7"],
    )
    line = loop_line(made)
    working = Working(made)
    knit: dict[str | None, list[float]] = {}
    dial = made.panel.stitch_size
    for number in range(1, 41):
        loops = knit.setdefault(working.calendar.row(number).colour, [])
        for move in working.moves(number):
            if isinstance(move, Dial):
                dial = move.size
            elif isinstance(move, Knit):
                loops += [line(dial)] * len(move.needles)
            elif isinstance(move, ByHand):
                loops += [by_hand_loop(line, made.machine.dial)] * len(move.needles)
    found = needs(made)
    assert [n.colour for n in found] == list(knit)
    assert [n.loops for n in found] == [len(loops) for loops in knit.values()]
    assert [n.metres for n in found] == pytest.approx([sum(loops) / 1000 for loops in knit.values()])
