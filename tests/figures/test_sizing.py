"""Size and yarn: what the knitter measures when the panel is done."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.moves import ByHand, Dial, Knit
from purlside.bed.rates import Rates
from purlside.ease.loops import loop_line
from purlside.ease.reach import by_hand_loop
from purlside.figures.costs import costs
from purlside.figures.sizing import Finished, YarnNeed, finished, gauged, needed, yarn_needs
from purlside.figures.takein import MOST_TAKEN, Pull, pulls, taken_in
from purlside.figures.whole import figures
from purlside.files.tables import checked
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from tests import plans

LOOPS = {"loop_mm": {"5": 12.0, "9": 16.0}, "tex": 250.0}


def plan(
    cables: list[dict[str, Any]] | None = None,
    gauge: tuple[float, float] | None = (30.0, 40.0),
    swatch: plans.Tables | None = None,
    yarn: plans.Tables | None = None,
    bands: list[dict[str, Any]] | None = None,
    machine: plans.Tables | None = None,
    needles: str = "L30-R30",
    rows: int = 100,
    **panel: Any,
) -> Plan:
    return plans.plan(
        *(cables or []),
        needles=needles,
        rows=rows,
        machine=machine,
        panel=panel,
        yarn=LOOPS if yarn is None else yarn,
        gauge=None if gauge is None else {**plans.swatch(*gauge), **(swatch or {})},
        band=bands or [],
    )


ROPE = plans.cable()


def needs(made: Plan, margin: float = 0.0) -> tuple[YarnNeed, ...]:
    return yarn_needs(costs(Calendar(made), loop_line(made), Rates()), made.yarn.tex, margin)


def size(made: Plan, take_in: float | None = None) -> Finished:
    found = gauged(made, loop_line(made), take_in)
    assert found is not None
    return finished(Calendar(made), found)


def test_a_plain_panel_is_its_stitches_and_rows_by_gauge_its_ladders_too() -> None:
    for ladders in ([], ["L3", "R9"]):
        found = size(plan(out_of_work=ladders))
        assert found.width_mm.value == found.width_mm.least == found.width_mm.most == pytest.approx(200)
        assert found.narrowest_mm == pytest.approx(200)
        assert found.length_mm == pytest.approx(250)


def test_a_gauge_belongs_to_the_dial_number_it_was_knit_at() -> None:
    """Stitch width and row height go with loop length (Munden 1959): 12 mm at SS 5, 16 mm at SS 9."""
    swatch = {"stitch_size": 5}
    at_5, at_9 = (size(plan(swatch=swatch, stitch_size=s)) for s in (5, 9))
    assert (at_5.width_mm.value, at_5.length_mm) == pytest.approx((200, 250))
    assert (at_9.width_mm.value, at_9.length_mm) == pytest.approx((200 * 16 / 12, 250 * 16 / 12))
    assert "at SS 5; other sizes by their loops, an estimate" in at_9.made_of.gauge_from
    of_its_own = size(plan(swatch={"stitch_size": 9}, stitch_size=9))
    assert of_its_own.width_mm.value == pytest.approx(200), "a swatch at that size replaces it"


def test_cloth_of_longer_loops_is_lighter() -> None:
    weights = [figures(plan(swatch={"stitch_size": 5}, stitch_size=s)).yarn.grams_per_m2 or 0.0 for s in (3, 5, 9)]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] > weights[2] > 0


def test_a_band_of_another_size_is_wider_and_longer_where_it_is() -> None:
    found = size(plan(bands=[{"rows": "1-50", "stitch_size": 9}]))
    assert found.length_mm == pytest.approx(125 + 125 * 16 / 12)
    wide = 200 * 16 / 12
    assert found.width_mm.value == pytest.approx((wide * 4 + 200 * 3) / 7), "the band is four sevenths of the length"
    assert (found.narrowest_mm, found.narrowest_row) == pytest.approx((200, 51))


def test_single_stitches_at_another_size_widen_and_lengthen_their_row_by_their_share_of_it() -> None:
    """Loops of 12 mm at SS 5 and 16 at SS 9; a row of which a quarter is knit at SS 9 has loops of 13 mm on average."""

    def enlarged(**keys: Any) -> Finished:
        tables = plans.tables(needles="L30-R30", rows=100, yarn=LOOPS, gauge=plans.swatch(30, 40))
        return size(checked(Plan, {**tables, "stitch": [{"do": "enlarge", "size": 9, "first_row": 50, **keys}]}))

    some, every = enlarged(needles="L30-L16"), enlarged(needles="L30-R30", first_row=4, every=4)
    assert some.length_mm == pytest.approx(99 * 2.5 + 2.5 * 13 / 12)
    assert some.widths_mm[48:51] == pytest.approx((200, 200 * 13 / 12, 200))
    assert every.length_mm == pytest.approx(75 * 2.5 + 25 * 2.5 * 16 / 12), "a whole row is as one of a band"


def test_what_eases_a_crossing_is_spent_on_the_way_and_changes_no_size() -> None:
    eases: list[dict[str, Any]] = [{"ease": "enlarge", "enlarged_size": 9}, {"ease": "extra rows", "extra_rows": 2}]
    plain = size(plan([{**ROPE, "ease": "plain"}]))
    for eased in (size(plan([{**ROPE, **ease}])) for ease in eases):
        assert (eased.widths_mm, eased.length_mm) == (plain.widths_mm, plain.length_mm)


def test_stitches_knit_by_hand_stand_out_and_change_no_size() -> None:
    tables = plans.tables(needles="L30-R30", rows=100, yarn=LOOPS, gauge=plans.swatch(30, 40))
    for do in ("by hand", "bead"):
        found = size(checked(Plan, {**tables, "stitch": [{"do": do, "needles": "R3-R4", "first_row": 50}]}))
        assert set(found.widths_mm) == {found.narrowest_mm}
        assert found.length_mm == pytest.approx(250)


def test_a_rope_crossed_every_six_rows_takes_in_a_quarter_of_its_six_stitches_all_along() -> None:
    found = size(plan([{**ROPE, "first_row": 6, "every": 6}], rows=600))
    assert found.taken_in_mm == pytest.approx(0.25 * 6 * 100 / 30, rel=0.02)
    assert found.narrowest_mm == pytest.approx(200 - 0.25 * 6 * 100 / 30)
    assert found.width_mm.least < found.width_mm.value < found.width_mm.most < 200
    assert found.length_mm == pytest.approx(600 * 2.5), "none in length: none is published"


def test_the_range_of_take_in_is_that_of_practice() -> None:
    """0.67 to 0.95 of the width knit plain: what was chosen, from hand-knitting practice; no evidence of its own."""
    found = size(plan([{**ROPE, "first_row": 6, "every": 6}], rows=6000))
    gone = [(200 - width) * 30 / 100 / 6 for width in (found.width_mm.most, found.width_mm.least)]
    assert gone == pytest.approx([0.05, 0.33], rel=0.01)


def test_a_rope_takes_in_where_it_crosses_so_once_sixteen_times_and_159_times_differ() -> None:
    once, some, many = (size(plan([{**ROPE, "every": 8, "times": times}], rows=1280)) for times in (1, 16, 159))
    assert 0 < once.taken_in_mm < some.taken_in_mm / 10 < many.taken_in_mm / 10
    assert once.narrowest_mm == some.narrowest_mm == many.narrowest_mm == pytest.approx(200 - 0.25 * 6 * 100 / 30)
    assert once.narrowest_row == 8


def test_take_in_fades_with_distance_and_is_gone_as_many_rows_away_as_the_cable_has_stitches() -> None:
    [lost] = taken_in([Pull(-3, 2, (20,), 6, None, MOST_TAKEN)], 40, [0.25])
    assert lost[19] == pytest.approx(0.25 * 6)
    assert lost[16] == lost[22] == pytest.approx(0.25 * 6 / 2)
    assert [i + 1 for i, stitches in enumerate(lost) if stitches] == list(range(15, 26))


def test_crossings_close_together_take_in_more_up_to_a_third() -> None:
    taken = [size(plan([{**ROPE, "first_row": 6, "every": every}], rows=600)).taken_in_mm for every in (6, 5, 4, 2)]
    assert taken == sorted(taken)
    assert taken[-1] == pytest.approx(0.33 * 6 * 100 / 30, rel=0.02)


def test_a_cable_that_travels_does_not_shrink_the_panel_as_a_rope_does() -> None:
    """Two over one, a needle further on each time, against all the needles it has been on taken in a quarter."""
    steps = [f"R{i + 2}-R{i + 3} over R{i + 1}" for i in range(20)]
    travels = size(plan([{"name": "travels", "cross": steps, "first_row": 4, "every": 4}]))
    covered = 23 * 0.25 * 100 / 30
    assert 0 < travels.taken_in_mm < covered / 8


def test_the_swatchs_own_take_in_is_what_the_cable_takes_in_from_its_first_crossing_to_its_last() -> None:
    for every in (4, 6, 7, 16):
        ropes = [{**ROPE, "first_row": every, "every": every}]
        found = size(plan(ropes, swatch={"cable_take_in": 0.6}, rows=every * 50))
        assert found.taken_in_mm == pytest.approx(0.4 * 6 * 100 / 30, rel=0.03)
        assert found.narrowest_mm == pytest.approx(200 - 0.4 * 6 * 100 / 30)
        assert found.width_mm.least == found.width_mm.value == found.width_mm.most
        assert found.made_of.take_in_from == "your swatch"
    own = size(plan([{**ROPE, "take_in": 0.9}], swatch={"cable_take_in": 0.6}))
    assert own.narrowest_mm == pytest.approx(200 - 0.1 * 6 * 100 / 30), "a cable's own replaces the gauge's"
    assert size(plan([ROPE]), take_in=0.8).narrowest_mm == pytest.approx(200 - 0.2 * 6 * 100 / 30)
    assert size(plan([{**ROPE, "take_in": 1.1}])).width_mm.value > 200


def test_a_plait_from_a_swatch_takes_in_its_swatchs_part_of_each_stitch_once() -> None:
    plait = {"name": "plait", "cross": ["R1-R2 over L2-L1", "R3-R4 over R1-R2"], "first_row": 4, "every": 4}
    assert size(plan([{**plait, "take_in": 0.7}])).narrowest_mm == pytest.approx(200 - 0.3 * 6 * 100 / 30)


def test_a_swatchs_take_in_is_spread_over_the_rows_between_crossings_of_the_same_needles() -> None:
    """Two of three turns on the same needles come 6 rows apart on average, the third 12; one crossed once has only its
    stitches to go by."""

    def spread(**cable: Any) -> list[tuple[int, int, float]]:
        made = plan([{"name": "a", "first_row": 4, "take_in": 0.6, **cable}], rows=16)
        found = pulls(Calendar(made))
        return sorted((row, pull.reach, round(pull.depth or 0, 6)) for pull in found for row in pull.rows)

    turns = ["R1-R3 over L3-L1", "L3-L1 over R1-R3", "R10-R12 over R13-R15"]
    assert spread(cross=turns, every=4) == [(4, 6, 0.4), (8, 6, 0.4), (12, 12, 0.4), (16, 6, 0.4)]
    assert spread(cross=turns[0], every=4) == [(row, 8, 0.2) for row in (4, 8, 12, 16)]
    assert spread(cross=turns[0], every=8, times=1) == [(4, 6, 0.4)]
    assert spread(cross=turns[0], every=8, times=2) == [(4, 8, 0.4), (12, 8, 0.4)]


def test_a_cable_never_crossed_takes_nothing_in() -> None:
    assert size(plan([{**ROPE, "first_row": 101}])).taken_in_mm == 0


def test_without_gauge_a_measured_loop_gives_the_size_and_without_both_there_is_none() -> None:
    made = plan(gauge=None)
    found = gauged(made, loop_line(made))
    assert found is not None
    assert found.stitches_per_10cm == pytest.approx(41 / 1.2)
    assert "Munden" in found.gauge_from
    bare = plan(gauge=None, yarn={"fibre": "wool"})
    assert gauged(bare, loop_line(bare)) is None


def test_needles_and_rows_for_a_wanted_size_give_that_size_back() -> None:
    straight, band = plan([ROPE]), [{"rows": "1-20", "stitch_size": 9}]
    wide = needed(size(straight), straight, 410)
    assert wide.needles is not None
    half = wide.needles // 2
    again = size(plan([ROPE], needles=f"L{half}-R{wide.needles - half}"))
    assert again.width_mm.value == pytest.approx(410, abs=100 / 30 / 2)
    banded = plan([ROPE], bands=band)
    long = needed(size(banded), banded, None, 600)
    assert long.rows is not None
    assert size(plan([ROPE], bands=band, rows=long.rows)).length_mm == pytest.approx(600, abs=100 / 40 / 2 + 1e-9)


def test_a_bed_too_narrow_for_the_wanted_width_is_said() -> None:
    made = plan(machine={"needles": 100})
    assert needed(size(made), made, 330).bed_is_enough
    assert not needed(size(made), made, 340).bed_is_enough


def test_a_bed_of_just_so_many_needles_is_enough() -> None:
    made = plan(machine={"needles": 100})
    wanted = [needed(size(made), made, needles * 100 / 30) for needles in (100, 102)]
    assert [(one.needles, one.bed_is_enough) for one in wanted] == [(100, True), (102, False)]


def test_a_panel_narrower_than_its_cables_keeps_the_cables() -> None:
    made = plan([ROPE])
    assert needed(size(made), made, 1).needles == 6
    plain = plan()
    tiny = needed(size(plain), plain, 1, 1)
    assert (tiny.needles, tiny.rows) == (1, 1)


def test_a_panel_on_the_bias_is_as_long_as_its_rows_though_no_needle_is_knit_from_first_to_last() -> None:
    """A stitch less at the left and one more at the right every other row: after forty of those all needles are others."""
    moved = [
        {"edge": edge, "do": do, "first_row": 4, "every": 2, "times": 40}
        for edge, do in (("left", "decrease"), ("right", "increase"))
    ]
    tables = plans.tables(needles="L20-R10", rows=100, yarn=LOOPS, gauge=plans.swatch(30, 40), shape=moved)
    found = size(checked(Plan, {**tables, "band": [{"rows": "1-10", "stitch_size": 9}]}))
    assert found.length_mm == pytest.approx(90 * 2.5 + 10 * 2.5 * 16 / 12)
    assert found.widths_mm == pytest.approx([100 * 16 / 12] * 10 + [100] * 90)


@pytest.mark.parametrize("wrong", [0.0, -1.0, 1e9, float("nan")])
def test_an_impossible_size_is_refused(wrong: float) -> None:
    made = plan()
    found = size(made)
    with pytest.raises(ValueError, match="wanted width is above 0"):
        needed(found, made, width_mm=wrong)
    with pytest.raises(ValueError, match="wanted length is above 0"):
        needed(found, made, length_mm=wrong)


@pytest.mark.parametrize("take_in", [0.0, -0.5, 3.0, float("nan")])
def test_an_impossible_take_in_is_refused(take_in: float) -> None:
    made = plan()
    with pytest.raises(ValueError, match="take-in"):
        gauged(made, loop_line(made), take_in)


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
