"""Reach: which ease a crossing gets, and what the knitter is told of it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Crossing
from purlside.ease.loops import loop_line
from purlside.ease.reach import EASY, EaseChoice, Verdict, choose, judge, reach, travel, widest_gap
from purlside.files.tables import checked
from purlside.plan.plan import CLICK_SLACK, Cable, Plan
from tests import plans


def plan(
    cross: str = "R1-R3 over L3-L1",
    yarn: plans.Tables | None = None,
    machine: plans.Tables | None = None,
    panel: plans.Tables | None = None,
    **cable: Any,
) -> Plan:
    rope = plans.cable(cross, **{"ease": "auto", "every": None, **cable})
    known = {"fibre": "cotton", "loop_mm": {"5": 13.7, "9": 17.5}} if yarn is None else yarn
    return plans.plan(rope, needles="L30-R30", yarn=known, machine=machine, panel=panel)


def chosen(made: Plan) -> EaseChoice:
    cable = made.cable[0]
    return choose(made, cable, cable.crossings[0], made.panel.stitch_size)


@pytest.mark.parametrize(
    ("cable", "expected"),
    [
        ({"ease": "plain"}, (False, None, 0, False)),
        ({"ease": "enlarge", "enlarged_size": 9}, (True, 9, 0, False)),
        ({"ease": "extra rows", "extra_rows": 4}, (False, None, 4, False)),
        ({"ease": ["enlarge", "extra rows"], "enlarged_size": 8, "extra_rows": 2}, (True, 8, 2, False)),
        ({"ease": "by hand"}, (False, None, 0, True)),
        ({"ease": "plain", "enlarged_size": 9, "extra_rows": 2}, (False, None, 0, False)),
    ],
)
def test_a_named_ease_is_taken_as_the_plan_has_it(cable: dict[str, Any], expected: tuple[object, ...]) -> None:
    found = chosen(plan("R1-R9 over L9-L1", **cable))
    assert (
        (found.technique.enlarged_size is not None),
        found.technique.enlarged_size,
        found.technique.extra_rows,
        found.technique.by_hand,
    ) == expected
    assert found.enough is None
    assert "as the plan says" in found.why


def test_auto_leaves_a_crossing_plain_that_goes_over_plain() -> None:
    found = chosen(plan("R1-R2 over L2-L1"))
    assert (
        (found.technique.enlarged_size is not None),
        found.technique.extra_rows,
        found.technique.by_hand,
        found.enough,
    ) == (False, 0, False, True)
    assert found.why == "plain: travel 18.0 mm over 27.4 mm of yarn is 0.66, within the limit 0.89"


def test_auto_enlarges_to_the_least_click_of_the_dial_that_leaves_three_per_cent_in_hand() -> None:
    found = chosen(plan())
    assert found.technique.enlarged_size == 9, "27 mm over 13.7 + 17.5 mm is 0.865; a click less leaves too little"
    assert 27 / (13.7 + 17.5) <= 0.97 * 0.86 * (1 + 0.6 * 0.065) < 27 / (13.7 + 17.18)
    assert "plain would be 0.99" in found.why


def test_auto_spends_no_extra_passes_on_a_per_cent_or_two_of_yarn() -> None:
    """Silk at the reference misses the limit by half a per cent; SS 5⅓ would do, and would be eight passes for 2 %."""
    silk = {"fibre": "silk", "loop_mm": {"5": 13.7, "9": 17.5}}
    made = plan(yarn=silk)
    found = reach(made, made.cable[0], made.cable[0].crossings[0], 5.0)
    plain, planned = found.attempts[0], found.planned
    assert plain.ratio / found.limit.value == pytest.approx(1.005, abs=0.001)
    assert planned.technique.enlarged_size == 6.33
    assert planned.yarn_mm / plain.yarn_mm > 1.03


def test_where_the_dial_leaves_nothing_in_hand_its_end_is_taken_rather_than_a_dearer_ease() -> None:
    found = chosen(plan(machine={"dial": (0.0, 8.33)}))
    assert (found.technique.enlarged_size, found.technique.extra_rows, found.enough) == (8.33, 0, True)


@pytest.mark.parametrize(("clicks", "size"), [(1, 9.0), (2, 9.0), (3, 9.0), (4, 9.0), (7, 9.0)])
def test_the_size_is_one_the_dial_clicks_at(clicks: int, size: float) -> None:
    assert chosen(plan(machine={"dial_clicks": clicks})).technique.enlarged_size == size


@pytest.mark.parametrize("size", [5.3, 5.33, 5.333])
def test_a_third_written_short_is_that_click_and_the_next_one_is_the_first_to_enlarge(size: float) -> None:
    loops = {"fibre": "cotton", "loop_mm": {"5": 12.2, "6": 19.2}}
    assert (
        chosen(plan(yarn=loops, panel={"needles": "L30-R30", "rows": 40, "stitch_size": size})).technique.enlarged_size
        == 5.67
    )


def test_thirds_are_written_with_two_decimals_and_never_past_the_dial() -> None:
    linen = {"fibre": "linen", "loop_mm": {"5": 13.7, "9": 17.5}}
    assert chosen(plan(yarn=linen)).technique.enlarged_size == 9.67
    found = chosen(plan(yarn=linen, machine={"dial": (0.0, 9.66)}))
    assert found.technique.enlarged_size == 9.66


def test_a_row_already_at_a_third_is_enlarged_to_the_next_one() -> None:
    silk = {"fibre": "silk", "loop_mm": {"5": 13.65, "9": 17.45}}
    found = chosen(plan(yarn=silk, panel={"stitch_size": 4.67}))
    assert found.technique.enlarged_size is not None
    assert found.technique.enlarged_size > 4.67


def test_auto_takes_the_plans_own_size_and_rows_where_given() -> None:
    assert chosen(plan(enlarged_size=9.5)).technique.enlarged_size == 9.5
    assert chosen(plan("R1-R4 over L4-L1", extra_rows=6)).technique.extra_rows == 6
    assert chosen(plan(enlarged_size=6)).technique.extra_rows == 2, "SS 6 is not enough, so the next in order is taken"


def test_auto_gives_a_wide_crossing_extra_rows_and_never_an_odd_number() -> None:
    for width in range(4, 12):
        found = chosen(plan(f"R1-R{width} over L{width}-L1"))
        assert found.technique.extra_rows % 2 == 0
        assert 2 <= found.technique.extra_rows <= 6


def test_both_together_are_taken_where_neither_is_enough() -> None:
    found = chosen(plan("R1-R11 over L11-L1"))
    assert ((found.technique.enlarged_size is not None), found.technique.extra_rows, found.enough) == (True, 6, True)


def test_what_no_technique_can_do_is_said_with_the_nearest_one() -> None:
    found = chosen(plan("R1-R15 over L15-L1"))
    assert found.enough is False
    assert (found.technique.enlarged_size, found.technique.extra_rows) == (10, 6)
    assert "nothing tried will reach" in found.why


def test_a_row_at_the_end_of_the_dial_cannot_be_enlarged() -> None:
    tight = {"fibre": "linen", "loop_mm": {"10": 13.0}}
    found = chosen(plan(panel={"stitch_size": 10}, yarn=tight))
    assert ((found.technique.enlarged_size is not None), found.technique.extra_rows, found.enough) == (False, 2, True)
    made = plan(panel={"stitch_size": 10}, yarn=tight)
    attempts = reach(made, made.cable[0], made.cable[0].crossings[0], 10.0).attempts
    assert [a.technique.name for a in attempts] == ["plain", "extra rows", "by hand"]


def test_the_plans_own_limit_replaces_the_fibres() -> None:
    cotton = {"fibre": "cotton", "loop_mm": {"5": 13.7, "9": 17.5}}
    assert chosen(plan(yarn={**cotton, "reach_limit": 1.0})).technique.enlarged_size is None
    assert chosen(plan(yarn={**cotton, "reach_limit": 0.52})).technique.extra_rows == 2


def test_every_technique_is_shown_at_its_least_that_is_enough() -> None:
    made = plan(ease="enlarge", enlarged_size=10)
    found = reach(made, made.cable[0], made.cable[0].crossings[0], 5.0)
    assert [str(a.technique) for a in found.attempts] == [
        "plain",
        "enlarge to SS 9",
        "2 extra rows",
        "enlarge to SS 5⅓ and 2 extra rows",
        "by hand",
    ]
    assert str(found.planned.technique) == "enlarge to SS 10"
    assert found.cheapest is found.attempts[1]
    assert found.travel_mm == 27
    assert [a.yarn_mm for a in found.attempts[:3]] == pytest.approx([27.4, 31.2, 54.8])


def test_a_by_hand_half_has_the_most_yarn_a_row_can_give() -> None:
    made = plan("R1 over L3-L1", ease="by hand")
    found = reach(made, made.cable[0], made.cable[0].crossings[0], 5.0)
    assert found.planned.yarn_mm == pytest.approx(2 * (13.7 + 0.95 * 5) + 13.7)


@pytest.mark.parametrize("n", range(1, 7))
@pytest.mark.parametrize("m", range(1, 7))
def test_travel_and_widest_gap_of_n_over_m(n: int, m: int) -> None:
    """Each half travels the other's width; the gap is max(n + m - 1, n + 1, m + 1) pitches (derived)."""
    for cross in (f"R1-R{n} over L{m}-L1", f"L{n}-L1 over R1-R{m}"):
        assert travel(Crossing.parse(cross)) == n + m
        assert widest_gap(plan(cross), Crossing.parse(cross)) == max(n + m - 1, n + 1, m + 1)


def test_a_ladder_between_the_halves_makes_the_way_longer() -> None:
    ladder = plan("R2-R3 over L2-L1", panel={"out_of_work": ["R1"]})
    assert travel(ladder.cable[0].crossings[0]) == 6
    assert widest_gap(ladder, ladder.cable[0].crossings[0]) == 4


@given(
    st.floats(1, 30),
    st.floats(0.5, 40),
    st.floats(0.0, 4),
    st.floats(0.02, 2),
    st.integers(1, 12),
    st.integers(1, 12),
    st.integers(0, 29),
    st.integers(1, 6),
)
def test_auto_takes_the_first_technique_that_is_enough(
    pitch: float, loop: float, slope: float, extension: float, n: int, m: int, click: int, clicks: int
) -> None:
    """Against a plain search over every click and every even number of rows, in the order of the trade."""
    size = round(click / 3, 2)
    made = plan(
        f"R1-R{n} over L{m}-L1",
        yarn={"extension_at_break": extension, "loop_mm": {"0": loop, "10": loop + 10 * slope}},
        machine={"pitch_mm": pitch, "dial_clicks": clicks},
        panel={"stitch_size": size},
    )
    line = loop_line(made)
    limit = 0.86 * (1 + 0.6 * extension)
    sizes = [s for s in (round(c / clicks, 2) for c in range(10 * clicks + 1)) if s > size + CLICK_SLACK / clicks]
    groups: list[list[tuple[float | None, int]]] = [
        [(None, 0)],
        [(s, 0) for s in sizes],
        [(None, e) for e in (2, 4, 6)],
    ]
    groups.append([(s, e) for e in (2, 4, 6) for s in sizes])
    options = [option for group in groups for option in group]

    def ratio(option: tuple[float | None, int]) -> float:
        behind = line(size if option[0] is None else option[0])
        return (n + m) * pitch / (line(size) * (1 + option[1]) + behind)

    best = [next((o for o in group if ratio(o) <= 0.97 * limit + 1e-9), group[-1]) for group in groups if group]
    best[0] = (None, 0)
    enough = [o for o in best if ratio(o) <= limit + 1e-9]
    found = chosen(made)
    if enough:
        assert (found.technique.enlarged_size, found.technique.extra_rows) == enough[0]
        assert found.enough
    else:
        assert not found.enough
        assert ratio((found.technique.enlarged_size, found.technique.extra_rows)) <= min(map(ratio, options)) + 1e-9


def test_the_verdict_changes_at_nine_tenths_of_the_limit_and_at_the_limit() -> None:
    assert judge(EASY * 0.999, 1.0) is Verdict.EASY
    assert judge(EASY, 1.0) is Verdict.FIRM
    assert judge(1.0, 1.0) is Verdict.FIRM
    assert judge(1.001, 1.0) is Verdict.NOT_ENOUGH


@given(st.integers(1, 8), st.integers(1, 8), st.floats(0.01, 2))
def test_a_yarn_that_stretches_more_never_wants_a_harder_technique(n: int, m: int, extension: float) -> None:
    def rank(stretch: float) -> int:
        found = chosen(plan(f"R1-R{n} over L{m}-L1", yarn={"extension_at_break": stretch}))
        return (found.technique.enlarged_size is not None) + 2 * bool(found.technique.extra_rows)

    assert rank(extension) <= rank(0.005)


def test_choose_asks_only_what_it_is_given() -> None:
    made = plan()
    other = checked(Cable, {"name": "b", "cross": "R1-R4 over L4-L1", "first_row": 4, "ease": "auto"})
    assert choose(made, other, other.crossings[0], 5.0).technique.extra_rows == 2
    assert choose(made, other, Crossing.parse("R1 over L1"), 5.0).technique.extra_rows == 0
