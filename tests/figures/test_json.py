"""Figures for other programs: one plan worked out with a calculator, number by number.

48 needles and 180 rows at SS 5.33; a loop of 13.37 mm at SS 5 and 17.1297 at SS 9, so 0.939925 more a dial number and
13.680175 mm here; 29.37 stitches and 41.7 rows in 10 cm at that size. A 3 over 3 falls in rows 8, 16 … 176.
"""

from __future__ import annotations

import json
from math import sqrt
from typing import Any

import pytest

from purlside.figures.json import as_json
from purlside.figures.whole import FiguresAsked, figures
from purlside.files.tables import checked
from purlside.plan.plan import Plan

SLOPE = (17.1297 - 13.37) / 4
LOOP = 13.37 + 0.33 * SLOPE
AT_9, BY_HAND = 17.1297, 2 * (17.1297 + SLOPE)
STITCH, ROW = 100 / 29.37, 100 / 41.7
LIMIT = 0.86 * (1 + 0.6 * 0.35)
"""Of wool, 35 % at break."""
TABLES: dict[str, Any] = {
    "format": 1,
    "title": "Tried out",
    "machine": {"pitch_mm": 4.5},
    "tools": {"prongs": [3, 3]},
    "yarn": {"fibre": "wool", "tex": 287, "loop_mm": {"5": 13.37, "9": 17.1297}},
    "gauge": {"stitches_per_10cm": 29.37, "rows_per_10cm": 41.7},
    "panel": {"needles": "L24-R24", "rows": 180, "stitch_size": 5.33},
    "cable": [
        {"name": "rope", "cross": "R1-R3 over L3-L1", "first_row": 8, "every": 8, "ease": "enlarge", "enlarged_size": 9}
    ],
}


def told(asked: FiguresAsked | None = None, **parts: Any) -> dict[str, Any]:
    made = checked(Plan, {key: value for key, value in {**TABLES, **parts}.items() if value is not None})
    found: dict[str, Any] = json.loads(json.dumps(as_json(figures(made, asked)), allow_nan=False))
    return found


def test_it_says_what_it_is() -> None:
    found = told()
    assert (found["format"], found["title"], found["estimate"], found["wanted"]) == (1, "Tried out", True, None)
    assert found["limit"]["value"] == round(LIMIT, 4) == 1.0406
    assert found["missing"] == []
    of_its_own = told(yarn={**TABLES["yarn"], "extension_at_break": 0.337})["limit"]["value"]
    assert of_its_own == round(0.86 * (1 + 0.6 * 0.337), 4) == 1.0339


def test_the_size_is_the_gauges_less_what_the_crossings_take_in() -> None:
    """A pull lasts 6 rows either way of a crossing, 1 − d/6 of its depth; crossed every 8 rows, two meet in rows 3 to 5
    after each. Over the rows of a crossing it adds up to 6 of its depth."""
    found = told()["size"]
    for name, depth in (("value", 0.25), ("most", 0.05), ("least", 0.33)):
        # 22 crossings, of which row 176's pull ends with the panel: 4 of the 5 rows after it are knit.
        taken = 6 * depth * (22 * 6 - 1 / 6) / 180
        assert found["width_mm"][name] == round(STITCH * (48 - taken), 1)
    assert found["width_mm"]["narrowest"] == round(STITCH * (48 - 6 * 0.25), 1)
    assert found["width_mm"]["narrowest_row"] == 8
    assert found["length_mm"] == round(180 * ROW, 1) == 431.7
    assert found["gauge"] == {
        "stitches_per_10cm": 29.37,
        "rows_per_10cm": 41.7,
        "stitch_size": 5.33,
        "from": "the plan's gauge",
    }
    mm = found["take_in"].pop("mm")
    assert mm == round(STITCH * 1.5 * (22 * 6 - 1 / 6) / 180, 1)
    assert found["take_in"].pop("from").startswith("a default")
    assert found["take_in"] == {"value": 0.75, "least": 0.67, "most": 0.95}


def test_a_take_in_from_a_swatch_is_told_without_a_range() -> None:
    found = told(gauge={**TABLES["gauge"], "cable_take_in": 0.8123})["size"]["take_in"]
    assert (found["value"], found["least"], found["most"], found["from"]) == (0.8123, 0.8123, 0.8123, "your swatch")


def test_a_gauge_worked_out_from_the_loop_is_rounded_for_reading() -> None:
    """Wet relaxed (Munden): 4.1 and 5.3 over a loop of 1.431 cm, that at SS 6."""
    loop_cm = (13.37 + SLOPE) / 10
    found = told(gauge=None, panel={**TABLES["panel"], "stitch_size": 6})["size"]["gauge"]
    assert found["stitches_per_10cm"] == round(10 * 4.1 / loop_cm, 2) == 28.65
    assert found["rows_per_10cm"] == round(10 * 5.3 / loop_cm, 2) == 37.04


def test_the_yarn_is_its_loops_and_a_tenth_more() -> None:
    found = told()["yarn"]
    loops = 48 * 180
    mm = loops * LOOP + 22 * 3 * (AT_9 - LOOP)
    assert found.pop("needs") == [
        {
            "colour": None,
            "loops": loops,
            "metres": round(mm * 1.1 / 1000, 1),
            "grams": round(mm * 1.1 / 1000 * 0.287, 1),
        }
    ]
    assert found.pop("tightness_words").startswith("looser")
    assert found == {
        "tex": 287.0,
        "tex_from": "the plan's tex",
        "diameter_mm": round(0.0374 * sqrt(287), 3),
        "tightness": round(sqrt(287) / LOOP * 10, 3),
        "jammed": False,
        "grams_per_m2": round(29.37 * 41.7 * LOOP * 287 / 10_000, 3),
        "usual_tex": round(885.8119 / ((25.4 / 4.5) ** 2 / 9), 3),
        "hand_knitting_weights": [1],
        "loop_mm": round(LOOP, 3),
        "loop_mm_per_size": round(SLOPE, 4),
        "loop_measured": True,
        "loop_from": "measured at SS 5, 9",
        "doubts": [],
        "by_hand_loop_mm": round(BY_HAND, 3),
        "margin": 0.1,
    }


def test_each_way_of_crossing_has_its_yarn_and_its_reach() -> None:
    [found] = told()["crossings"]

    def tried(technique: str, yarn: float, size: float | None = None, extra: int = 0) -> dict[str, Any]:
        reach = 27 / yarn
        verdict = "easy" if reach < 0.9 * LIMIT else "firm" if reach <= LIMIT else "not enough"
        return {
            "technique": technique,
            "enlarged_size": size,
            "extra_rows": extra,
            "yarn_mm": round(yarn, 2),
            "reach": round(reach, 4),
            "verdict": verdict,
        }

    plain = tried("plain", 2 * LOOP)
    assert (plain["verdict"], found["cheapest"]) == ("firm", plain)
    assert found["planned"] == tried("enlarge", LOOP + AT_9, 9)
    larger = 13.37 + 0.67 * SLOPE
    assert found["attempts"] == [
        plain,
        tried("enlarge", LOOP + larger, 5.67),
        tried("extra rows", 4 * LOOP, None, 2),
        tried("enlarge and extra rows", 3 * LOOP + larger, 5.67, 2),
        tried("by hand", LOOP + BY_HAND),
    ]
    assert [way["technique"] for way in found["easily"]] == ["enlarge", "extra rows"]
    assert (found["travel_pitches"], found["travel_mm"]) == (6, 27.0)
    assert (found["stitch_size"], found["times"], found["chosen"]) == (5.33, 22, "enlarge to SS 9, as the plan says")
    assert found["tools"] == {"checked": True, "hands": {"left": [3], "right": [3]}, "missing": []}


def test_the_tools_lift_as_many_stitches_as_their_widest_crossing_or_none() -> None:
    assert (told()["tools_lift_stitches"], told()["tools_lift"]) == (6, [[3, 3]])
    alone = told(tools={"prongs": [3]})
    assert (alone["tools_lift_stitches"], alone["tools_lift"]) == (0, [])
    unlisted = told(tools=None)
    assert (unlisted["tools_lift_stitches"], unlisted["tools_lift"]) == (None, None)


def test_the_widest_crossing_of_each_way_is_told_in_halves_and_in_stitches() -> None:
    """Plain: n · 4.5 mm over two loops, up to the limit firmly and to nine tenths of it easily; six by the tools."""
    [plain, *others] = told()["widest"]
    firm = int(LIMIT * 2 * LOOP / 4.5)
    easy = int(0.9 * LIMIT * 2 * LOOP / 4.5)
    assert (firm, easy) == (6, 5)
    assert plain == {
        "technique": "plain",
        "enlarged_size": None,
        "extra_rows": 0,
        "easily": "2 over 3",
        "easily_stitches": easy,
        "firmly": "3 over 3",
        "firmly_stitches": firm,
    }
    assert {way["firmly_stitches"] for way in others} == {6}


@pytest.mark.parametrize("asked", [FiguresAsked(width_mm=400), FiguresAsked(length_mm=1500)])
def test_a_size_asked_for_gives_the_needles_or_the_rows_and_leaves_the_other_open(asked: FiguresAsked) -> None:
    wanted = told(asked)["wanted"]
    assert (wanted["needles"] is None) == (asked.width_mm is None)
    assert (wanted["rows"] is None) == (asked.length_mm is None)
    assert wanted["rows"] in (None, round(1500 / ROW))
    assert wanted["bed_needles"] == 200 and wanted["bed_is_enough"]


def test_a_size_asked_for_goes_before_the_one_in_the_plan() -> None:
    asked = FiguresAsked(length_mm=1500)
    wanted = told(asked, wanted={"width_cm": 40, "length_cm": 60})["wanted"]
    assert (wanted["width_mm"], wanted["length_mm"]) == (400, 1500)
    wanted = told(FiguresAsked(width_mm=300), wanted={"width_cm": 40, "length_cm": 60})["wanted"]
    assert (wanted["width_mm"], wanted["length_mm"]) == (300, 600)
