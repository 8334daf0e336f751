"""Figures as a whole: in words, as JSON, with much or little known."""

from __future__ import annotations

import json
from typing import Any

import pytest

from purlside.ease.loops import loop_line
from purlside.ease.reach import Verdict, reach
from purlside.figures.json import as_json
from purlside.figures.text import lines, widest_lines
from purlside.figures.whole import FiguresAsked, advice, crossings, figures, together
from purlside.figures.widest import halves, widest
from purlside.files.tables import checked
from purlside.knitting.pace import duration
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.checking import faults
from purlside.rows.working import Working
from tests.plans import cable, swatch
from tests.plans import plan as drawn

FULL: dict[str, Any] = {
    "format": 1,
    "title": "Breakwater scarf",
    "machine": {"pitch_mm": 4.5},
    "tools": {"prongs": [1, 2, 3, 3, 4]},
    "yarn": {"fibre": "wool", "tex": 280, "loop_mm": {"5": 13.4, "9": 17.2}},
    "gauge": {"stitches_per_10cm": 29, "rows_per_10cm": 41},
    "panel": {"needles": "L24-R24", "rows": 180, "stitch_size": 5},
    "cable": [
        {"name": "rope", "cross": "R1-R3 over L3-L1", "first_row": 8, "every": 8, "ease": "enlarge", "enlarged_size": 9}
    ],
}
PLAIT = {
    "name": "plait",
    "cross": ["R10-R13 over R14-R17", "R14-R17 over R18-R21"],
    "first_row": 10,
    "every": 5,
    "ease": "auto",
}


def plan(**parts: Any) -> Plan:
    return checked(Plan, {key: value for key, value in {**FULL, **parts}.items() if value is not None})


def text(made: Plan, asked: FiguresAsked | None = None) -> str:
    return "\n".join(lines(figures(made, asked)))


def flat(made: Plan, asked: FiguresAsked | None = None) -> str:
    """The words without their line breaks."""
    return " ".join(text(made, asked).split())


def test_a_full_plan_is_told_in_full() -> None:
    said = flat(plan(cable=[*FULL["cable"], PLAIT]), FiguresAsked(width_mm=400, length_mm=1500))
    for part in (
        "48 needles, 180 rows at SS 5: width",
        "from 29 stitches and 41 rows in 10 cm: the plan's gauge",
        "for a width of 40.0 cm: 120 needles; the bed is wide enough; as it is 24.",
        "for a length of 150.0 cm: 615 rows; as it is 106.1 cm too little",
        "one loop at SS 5 13.4 mm, +0.95 mm a dial number: measured at SS 5, 9",
        "tightness factor 12.5: looser than the usual 13-15 of plain wool",
        "plain fabric of it weighs about 446 g/m²",
        "rope: R1-R3 over L3-L1; 3 over 3 at SS 5, 22 times",
        "travel 27.0 mm (6 pitches); widest gap 22.5 mm (5 pitches)",
        "* enlarge to SS 9 30.6 mm yarn, reach 0.88: easy",
        "* 2 extra rows 53.6 mm yarn, reach 0.67: easy",
        "* auto chose 2 extra rows",
        "left hand: 3 prongs for 3; right hand: 3 prongs for 3",
        "about 250 tex suits a pitch of 4.5 mm",
        "default rates, a rough estimate",
        "estimates; your swatch and your crossings correct them",
    ):
        assert part in said
    assert "Missing" not in said


@pytest.mark.parametrize(
    "made",
    [
        plan(),
        plan(cable=[*FULL["cable"], PLAIT], title="A title that goes on and on " * 7),
        plan(yarn=None, gauge=None, tools=None),
        plan(machine={"pitch_mm": 4.5, "dial_clicks": 20}, yarn={"loop_mm": {"5": 40.0, "6": 2.0, "7": 60.0}}),
        plan(panel={"needles": "L100-R100", "rows": 20_000, "stitch_size": 5}),
    ],
)
def test_no_line_is_wider_than_a_small_terminal(made: Plan) -> None:
    for line in lines(figures(made, FiguresAsked(width_mm=400, length_mm=1500))):
        assert len(line) <= 80, line


def test_crossings_that_come_out_alike_are_told_once() -> None:
    said = flat(plan(cable=[PLAIT]))
    assert "plait: R10-R13 over R14-R17 and R14-R17 over R18-R21; 4 over 4 at SS 5, 35 times" in said
    assert len(figures(plan(cable=[PLAIT])).crossings) == 2


def test_a_crossing_is_told_for_each_size_its_rows_have() -> None:
    found = crossings(Calendar(plan(band=[{"rows": "1-16", "stitch_size": 7}])))
    assert [(one.reach.size, one.rows) for one in found] == [(5, 20), (7, 2)]


def test_json_holds_what_the_words_hold_and_is_one_document() -> None:
    made = plan(cable=[*FULL["cable"], PLAIT])
    found = json.loads(json.dumps(as_json(figures(made)), allow_nan=False))
    rope, plait = found["crossings"][0], found["crossings"][1]
    assert (rope["cable"], rope["cross"], rope["times"], rope["planned"]["verdict"]) == (
        "rope",
        "R1-R3 over L3-L1",
        22,
        "easy",
    )
    assert rope["planned"]["enlarged_size"] == 9
    assert rope["cheapest"]["technique"] == "plain"
    assert rope["tools"]["hands"] == {"left": [3], "right": [3]}
    assert (plait["planned"]["technique"], plait["planned"]["extra_rows"]) == ("extra rows", 2)
    assert found["size"]["width_mm"]["least"] < found["size"]["width_mm"]["value"] < found["size"]["width_mm"]["most"]
    assert found["yarn"]["needs"][0]["grams"] == pytest.approx(found["yarn"]["needs"][0]["metres"] * 0.28, abs=0.1)
    assert found["missing"] == []


def test_with_only_a_pitch_everything_that_can_be_is_worked_out() -> None:
    bare = plan(yarn=None, gauge=None, tools=None)
    found = figures(bare)
    assert found.finished is None
    assert found.needs[0].grams is None
    assert found.crossings[0].reach.limit.source.startswith("no fibre given")
    assert not found.crossings[0].lift.checked
    assert len(found.missing) == 5
    said = flat(bare)
    for part in (
        "not known without gauge or a measured loop",
        "a guess from the 4.5 mm pitch alone",
        "yarn.loop_mm: loops are a guess",
        "yarn.fibre:",
        "yarn.tex or yarn.count:",
        "gauge: no finished size",
        "tools.prongs: tools are not checked",
    ):
        assert part in said
    assert as_json(found)["size"] is None


def test_a_plan_without_cables_has_figures_too() -> None:
    said = flat(plan(cable=[], tools=None))
    assert "the plan has none" in said
    assert "take in" not in said
    assert "tools.prongs" not in said


def test_the_plans_own_limit_decides_everywhere() -> None:
    strict = figures(plan(cable=[PLAIT], yarn={**FULL["yarn"], "reach_limit": 0.5}))
    assert strict.crossings[0].reach.planned.technique.extra_rows == 4
    assert strict.needs[0].loops > figures(plan(cable=[PLAIT])).needs[0].loops
    assert strict.widest[0].firm < figures(plan()).widest[0].firm
    assert "the plan's own reach_limit" in "\n".join(lines(strict))


def test_of_turns_that_alternate_each_is_counted_as_often_as_it_falls() -> None:
    """Three turns from row 8, every 8 rows in 40: the first and the second fall twice, the third once."""
    turns = ["R1-R3 over L3-L1", "R1-R2 over L2-L1", "R1 over L1"]
    found = crossings(Calendar(drawn(cable(turns, ease="plain"), rows=40)))
    assert [(str(one.reach.crossing), one.rows) for one in found] == list(zip(turns, (2, 2, 1), strict=True))


def test_pieces_of_a_garment_are_added_up_colour_by_colour_without_grams_where_one_tells_none() -> None:
    striped = plan(band=[{"rows": "1-90", "colour": "slate"}])
    untold = plan(yarn={key: value for key, value in FULL["yarn"].items() if key != "tex"})
    one, two, three = (figures(made) for made in (plan(), striped, untold))
    slate, own = two.needs
    both = {need.colour: need for need in together([one, two]).needs}
    assert both["slate"].grams == slate.grams
    assert both[None].grams == pytest.approx((one.needs[0].grams or 0) + (own.grams or 0))
    assert both[None].metres == pytest.approx(one.needs[0].metres + own.metres)
    assert both[None].loops == one.needs[0].loops + own.loops == 48 * 270
    for order in ([one, three], [three, one], [one, three, one]):
        [need] = together(order).needs
        assert need.grams is None and need.loops == 48 * 180 * len(order)
    summed = together([one, two, two])
    assert (summed.rows, summed.titles) == (540, ("Breakwater scarf",) * 3)
    assert summed.seconds == pytest.approx(one.time.total_s + 2 * two.time.total_s)


def test_advice_names_a_crossing_that_will_not_go_over_and_what_is_enough() -> None:
    wide = {"name": "wide", "cross": "R1-R4 over L4-L1", "first_row": 8, "ease": "plain"}
    [found] = advice(plan(cable=[wide]))
    assert found.key == ("cable", 0, "ease")
    assert str(found) == (
        "cable 1, ease: found plain for R1-R4 over L4-L1; allowed: 2 extra rows (estimate: reach 1.34, the limit 1.04)"
    )
    assert advice(plan()) == []


def test_advice_names_missing_tools() -> None:
    [found] = advice(plan(tools={"prongs": [3, 2]}))
    assert found.key == ("tools", "prongs")
    assert found.why == "for R1-R3 over L3-L1 of rope you need a 1-prong tool", "it goes with the 2 in one hand"


def test_advice_does_not_warn_on_a_guess() -> None:
    wide = [{"name": "wide", "cross": "R1-R4 over L4-L1", "first_row": 8, "ease": "plain"}]
    assert advice(plan(cable=wide, yarn={"fibre": "wool"}, gauge=None)) == []
    assert advice(plan(cable=wide, yarn={"loop_mm": {"5": 13.7}})) == []
    assert len(advice(plan(cable=wide, yarn={"fibre": "wool"}))) == 1, "a gauge is enough"


def test_a_count_that_cannot_be_read_is_a_fault_by_key() -> None:
    [found] = faults(plan(yarn={"count": "8 parsec"}))
    assert found.key == ("yarn", "count")
    assert "parsec" in found.why
    assert faults(plan()) == []


def test_jammed_loops_are_said() -> None:
    assert "tighter than loops of this yarn can be: check tex and loop" in flat(
        plan(yarn={"tex": 1000, "loop_mm": {"5": 9.0}})
    )
    assert "check tex and loop" not in flat(plan())


def test_the_widest_crossing_is_the_last_one_reach_lets_go() -> None:
    """The table against reach itself, one crossing wider at a time."""
    known = {**FULL["yarn"], "reach_limit": 1.04}
    made = plan(cable=[{"name": "rope", "cross": "R1 over L1", "first_row": 8}], yarn=known)
    line, limit = loop_line(made), 1.04
    plain = widest(made, line, limit)[0]
    for stitches in range(2, 14):
        wide = plan(cable=[{"name": "a", "cross": f"R1-R{stitches - 1} over L1", "first_row": 8}], yarn=known)
        verdict = reach(wide, wide.cable[0], wide.cable[0].crossings[0], 5.0).attempts[0].verdict
        assert (stitches <= plain.easy) == (verdict is Verdict.EASY)
        assert (stitches <= plain.firm) == (verdict is not Verdict.NOT_ENOUGH)
        assert plain.verdict(stitches) is verdict


def test_no_width_is_called_possible_that_no_tool_lifts() -> None:
    """However long the loops: as wide as the plan's tools, and without a list no half wider than 9."""
    loose = {"fibre": "wool", "loop_mm": {"5": 100.0, "9": 120.0}}
    unlisted = plan(yarn=loose, tools=None)
    assert {halves(one.firm) for one in widest(unlisted, loop_line(unlisted), 1.04)} == {"9 over 9"}
    listed = plan(yarn=loose, tools={"prongs": [3, 2]})
    [plain, *_] = widest(listed, loop_line(listed), 1.04)
    assert (plain.firm, plain.verdict(5), plain.verdict(6)) == (5, Verdict.EASY, Verdict.NOT_ENOUGH)


def test_the_widest_crossing_never_leaves_the_bed() -> None:
    narrow = plan(machine={"pitch_mm": 4.5, "needles": 10}, panel={"needles": "L5-R5", "rows": 20, "stitch_size": 5})
    assert max(one.firm for one in widest(narrow, loop_line(narrow), 1.04)) == 10


def test_the_small_chart_marks_easy_firm_and_not_enough() -> None:
    made = plan()
    rows = list(widest_lines(widest(made, loop_line(made), 1.04)))
    assert rows[1].split() == ["plain", "2", "over", "3", "3", "over", "3", "====-........"]
    assert all("dial" not in row for row in rows)


def test_a_yarn_that_crosses_nothing_says_none() -> None:
    assert [halves(n) for n in (0, 1, 2, 3, 7)] == ["none", "none", "1 over 1", "1 over 2", "3 over 4"]
    stiff = plan(machine={"pitch_mm": 30}, yarn={"loop_mm": {"5": 1.0, "9": 1.5}})
    assert halves(widest(stiff, loop_line(stiff), 0.86)[0].firm) == "none"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0, "0 s"), (20, "20 s"), (90, "2 min"), (3600, "1 h 00 min"), (7500, "2 h 05 min"), (3.6e6, "1,000 h 00 min")],
)
def test_durations_are_read_at_a_glance(seconds: float, said: str) -> None:
    assert duration(seconds) == said


def test_each_number_of_reach_says_where_it_is_from() -> None:
    said = flat(plan())
    for part in (
        "travel: pitches of 4.5 mm, both halves together",
        "yarn available: a loop of each half and its extra rows; loops measured at SS 5, 9",
        "limit 1.04: estimate from wool, 35 % at break",
    ):
        assert part in said


def test_the_least_that_is_enough_and_the_least_that_is_easy_are_told_to_the_click() -> None:
    reference = {"fibre": "cotton", "tex": 280, "loop_mm": {"5": 13.7, "9": 17.5}}
    assert "enough: enlarge to SS 9 or 2 extra rows; easy from: 2 extra rows" in flat(plan(yarn=reference))
    silk = flat(plan(yarn={**reference, "fibre": "silk"}))
    assert "enough: enlarge to SS 6⅓ or 2 extra rows; easy from: enlarge to SS 8⅔ or 2 extra rows" in silk
    easy = [{"name": "twist", "cross": "R1-R2 over L2-L1", "first_row": 8, "every": 8}]
    assert "plain is easy" in flat(plan(cable=easy))


def test_a_wanted_size_without_gauge_is_said_to_be_unknown_not_passed_over() -> None:
    bare = plan(gauge=None, yarn=None)
    assert "no needles or rows for the wanted one" in flat(bare, FiguresAsked(width_mm=400))
    assert "wanted" not in flat(bare)


def test_a_yarn_is_told_in_the_other_count_systems() -> None:
    said = flat(plan(yarn={"fibre": "wool", "tex": 250}))
    assert "the same yarn is Nm 4, Ne 2.36, worsted 3.54, 2250 denier, 400 m per 100 g" in said


@pytest.mark.parametrize(("stitches", "weight"), [(29, "weight 1 "), (23, "weight 2 or 3 "), (90, None)])
def test_the_weight_to_look_for_in_a_shop_is_told_for_the_plans_own_gauge_only(
    stitches: float, weight: str | None
) -> None:
    told = "the plan's gauge is that of hand-knitting "
    text = "\n".join(lines(figures(checked(Plan, {**FULL, "gauge": swatch(stitches, 41)}))))
    assert (told in text) == (weight is not None)
    assert weight is None or f"{told}{weight}(Craft Yarn Council)" in text
    assert told not in "\n".join(lines(figures(checked(Plan, {k: v for k, v in FULL.items() if k != "gauge"}))))


def test_the_widest_crossing_is_told_for_each_way_that_the_dial_has_room_for() -> None:
    def ways(size: float) -> list[tuple[float | None, int, bool]]:
        made = drawn(cable(), size=size)
        found = widest(made, loop_line(made), 1.04)
        return [(w.technique.enlarged_size, w.technique.extra_rows, w.technique.by_hand) for w in found]

    below = ways(5)
    assert below[:3] == [(None, 0, False), (10.0, 0, False), (None, 2, False)]
    assert below[3:] == [(None, 4, False), (None, 6, False), *((10.0, n, False) for n in (2, 4, 6)), (None, 0, True)]
    assert all(size is None for size, *_ in ways(10)), "a panel at the dial's end leaves nothing to enlarge to"


def test_movements_are_the_passes_and_back_ups_of_the_crossing_rows() -> None:
    made = drawn(cable(every=4, ease="enlarge", enlarged_size=9), rows=20)
    working = Working(made)
    told = [move.json()["do"] for n in range(1, 21) if working.calendar.row(n).crossing for move in working.moves(n)]
    assert "back-up" in told
    assert figures(made).time.movements == told.count("knit") + told.count("back-up")
