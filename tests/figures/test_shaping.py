"""Shaping from numbers and from measures: words, tables, lengths of edges, what rounding lost."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from math import hypot
from typing import Any

import pytest

from purlside.bed.needles import Side
from purlside.figures.body import Body, body
from purlside.figures.pieces import Piece, curve
from purlside.figures.shaping import evenly, placed, shapes, words
from purlside.figures.sleeve import Sleeve, sleeve
from purlside.plan.checked import written
from purlside.plan.machine import Gauge
from tests.shaped.wanted import RowWanted, rows_of

GAUGE = Gauge(stitches_per_10cm=29, rows_per_10cm=41)
STITCH, ROW = 100 / 29, 100 / 41
SET_IN = Body(heights=((0, 50), (36, 50)), armhole="set-in", depth=20, shoulder=11, slope=3, neck_width=17)


def followed(piece: Piece, carriage: str = "right") -> list[RowWanted]:
    """Every row of a piece, followed by the test's own reading of the contract; NotKnittable if it cannot be knit."""
    plan: dict[str, Any] = {
        "machine": {"pitch_mm": 4.5, "carriage": carriage},
        "panel": {"needles": str(piece.needles), "rows": piece.rows, "stitch_size": 5},
        "part": [written(p) for p in piece.part],
        "shape": [written(s) for s in piece.shape],
        "cable": [],
    }
    return list(rows_of(plan))


def test_shaping_is_said_as_a_knitter_says_it() -> None:
    assert words(evenly(9, 39)) == "every 4th row 6 times, then every 5th row 3 times"
    assert words(evenly(9, 39, longer_first=True)) == "every 5th row 3 times, then every 4th row 6 times"
    assert words(evenly(1, 7)) == "every 7th row once"
    assert words(evenly(5, 5)) == "every row 5 times"
    assert words(evenly(4, 8)) == "every other row 4 times"
    assert words(evenly(13, 8, step=2)) == "4 stitches every other row once, then 3 stitches every other row 3 times"
    assert [words(evenly(1, n)) for n in (11, 12, 13, 21, 22, 23)] == [
        f"every {n} row once" for n in ("11th", "12th", "13th", "21st", "22nd", "23rd")
    ]
    assert [words(evenly(1, n)) for n in (101, 111, 112, 113)] == [
        f"every {n} row once" for n in ("101st", "111th", "112th", "113th")
    ]


def test_the_tables_of_a_plan_are_as_few_as_a_knitter_would_write() -> None:
    """Nine stitches over 39 rows: every 4th row 6 times, then every 5th row 3 times; the 7th falls 5 rows after the 6th."""
    found = shapes(placed(evenly(9, 39), after=100), edge="both", do="decrease", tool=2)
    assert [(s.first_row, s.every, s.times, s.stitches, s.tool) for s in found] == [
        (104, 4, 6, 1, 2),
        (129, 5, 3, 1, 2),
    ]
    steps = shapes(placed(evenly(13, 8, step=2), after=0), edge="left", do="decrease", tool=2)
    assert [(s.first_row, s.every, s.times, s.stitches, s.tool) for s in steps] == [
        (2, None, None, 4, 4),
        (4, 2, 3, 3, 3),
    ]


def test_where_there_is_no_row_to_change_in_it_says_so() -> None:
    with pytest.raises(ValueError, match="3 stitches cannot be changed over 1 rows"):
        evenly(3, 1, step=2)
    assert evenly(0, 0) == ()


def test_a_curve_is_steep_at_first_and_never_takes_more_rows_than_there_are() -> None:
    for rows in range(1, 40):
        for stitches in range(1, rows + 1):
            assert sum(c.rows for c in curve(stitches, rows)) <= rows
            assert sum(c.stitches * c.times for c in curve(stitches, rows)) == stitches
    with pytest.raises(ValueError, match="at least 9 rows"):
        curve(9, 8)


@pytest.mark.parametrize("carriage", ["left", "right"])
@pytest.mark.parametrize(
    "wanted",
    [
        SET_IN,
        Body(heights=((0, 50), (12, 46), (36, 50)), depth=20, neck_width=17),
        *(
            Body(
                heights=((0, 48), (12, 44), (34, 50)), armhole="set-in", depth=20, shoulder=11, slope=slope,
                slope_by=by, neck_width=17, neck=neck, neck_depth=9,
            )
            for slope in (0, 2, 3.5)
            for by in ("short rows", "cast off")
            for neck in ("straight", "round", "V")
        ),
        *(
            Body(heights=((0, 50), (36, 50)), armhole="raglan", depth=24, shoulder=2, neck_width=17, neck=neck, neck_depth=8)
            for neck in ("straight", "round", "V")
        ),
    ],
)  # fmt: skip
def test_a_body_can_be_knit_and_comes_to_the_widths_asked(wanted: Body, carriage: str) -> None:
    piece = body(wanted, GAUGE, Side(carriage))
    rows = followed(piece, carriage)
    assert abs(len(rows[0].work) * STITCH - wanted.heights[0][1] * 10) <= STITCH + 1e-9
    foot = round(wanted.heights[-1][0] * 4.1)
    assert abs(len(rows[foot - 1].work) * STITCH - wanted.heights[-1][1] * 10) <= STITCH + 1e-9
    side = piece.part[0].name.split()[0] if piece.part else ""
    for row in rows:
        if row.part is None and row.row == piece.rows:
            left = len(row.work)
        elif row.part and side in row.part:
            beside = len(row.work) - len([n for n in row.resting if (n < 0) == (side == "right")])
    neck = 2 * round(wanted.neck_width * 2.9 / 2)
    shoulder = len(rows[foot - 1].work) // 2 - neck // 2 if wanted.armhole == "none" else round(wanted.shoulder * 2.9)
    if piece.part:
        # Of a shoulder cast off in steps the last step stays on the needles.
        assert beside == shoulder or (wanted.slope_by == "cast off" and wanted.slope and 0 < beside < shoulder)
    else:
        assert left == neck + (0 if wanted.slope_by == "cast off" and wanted.slope else 2 * shoulder)


@pytest.mark.parametrize("carriage", ["left", "right"])
def test_the_middle_of_a_round_neck_may_rest_and_the_shoulders_come_out_the_same(carriage: str) -> None:
    measures = {**vars(SET_IN), "neck": "round", "neck_depth": 8}
    off, rest = (body(Body(**{**measures, "neck_by": by}), GAUGE, Side(carriage)) for by in ("cast off", "rest"))
    shoulders = []
    for piece in (off, rest):
        last = followed(piece, carriage)[piece.rows + (piece.part[0].rows or 0) - 1]
        shoulders.append(set(last.knit))
        assert last.part == piece.part[0].name
    assert shoulders[0] == shoulders[1]
    middle = {n for n in followed(rest, carriage)[-1].work if -13 <= n < 13}
    assert len(middle) == 26 and not any(-13 <= n < 13 for n in followed(off, carriage)[-1].work)
    assert any("The 26 stitches in the middle rest" in words for words in rest.words)
    assert not any(shape.do == "cast off" and shape.part for shape in rest.shape)


def edge(rows: list[RowWanted], foot: int, last: int) -> float:
    """The left edge from the foot of the armhole to a row, from change to change as they really fall."""
    corners = [(rows[foot - 1].work[0], foot)]
    for row in rows[foot:last]:
        if row.work[0] != corners[-1][0]:
            corners.append((row.work[0], row.row))
    corners.append((corners[-1][0], last))
    return sum(hypot((c - a) * STITCH, (d - b) * ROW) for (a, b), (c, d) in pairwise(corners))


def test_the_edge_told_is_the_edge_knit() -> None:
    for wanted in (SET_IN, Body(heights=((0, 50), (36, 50)), armhole="raglan", depth=24, shoulder=2, neck_width=17)):
        piece = body(wanted, GAUGE, Side.RIGHT)
        foot, depth = round(36 * 4.1), 2 * round(wanted.depth * 4.1 / 2)
        # Straight from corner to corner, and from change to change, differ by less than two rows.
        assert abs(piece.edge - edge(followed(piece), foot, foot + depth)) < 2 * ROW


def test_a_set_in_armhole_worked_out_with_a_calculator() -> None:
    """144 stitches, 50 of them the neck and 32 each shoulder: 15 a side, a third cast off, the rest in a curve; 82 rows.

    The edge goes 5 stitches in and two rows up, in by 5 over 5 rows and by 5 over 10, then straight for 65.
    """
    piece = body(SET_IN, GAUGE, Side.RIGHT)
    assert piece.words[:2] == (
        "In rows 149 and 150, one edge in each, cast off 5 at both edges",
        "From row 151, decrease at both edges every row 5 times, then every other row 5 times",
    )
    slant = hypot(5 * STITCH, 5 * ROW) + hypot(5 * STITCH, 10 * ROW)
    assert piece.edge == pytest.approx(5 * STITCH + 2 * ROW + slant + 65 * ROW)
    half = round((piece.edge / 2 - (piece.edge - 65 * ROW)) / ROW) + 17
    assert [(mark.row, mark.text) for mark in piece.markers[:2]] == [
        (149, "Tie a marker at both edges: the armhole begins here"),
        (148 + half, "Tie a marker at both edges: halfway along the armhole"),
    ]


def test_a_shoulder_rests_in_steps_of_two_rows_that_differ_by_a_stitch() -> None:
    """Twelve rows of slope: six steps in rows 229, 231 … 239, all back in row 241: twelve rows missed at the edge."""
    holds = [shape for shape in body(SET_IN, GAUGE, Side.RIGHT).shape if shape.do == "hold"]
    steps = [(hold.first_row + (hold.every or 0) * k, hold.stitches) for hold in holds for k in range(hold.times or 1)]
    assert steps == [(229, 6), (231, 6), (233, 5), (235, 5), (237, 5), (239, 5)]
    [back] = [shape for shape in body(SET_IN, GAUGE, Side.RIGHT).shape if shape.do == "return"]
    assert (back.first_row, back.stitches) == (241, "all")


@pytest.mark.parametrize("carriage", ["left", "right"])
@pytest.mark.parametrize("by", ["short rows", "cast off"])
@pytest.mark.parametrize("neck", ["straight", "round", "V"])
def test_the_outermost_stitch_of_a_shoulder_lies_lower_by_the_whole_slope(neck: str, by: str, carriage: str) -> None:
    """82 rows of armhole above row 148, 12 of slope: the outermost stitch is knit 230 times, the neck 242."""
    wanted = Body(**{**vars(SET_IN), "neck": neck, "neck_depth": 9, "slope_by": by})
    rows = followed(body(wanted, GAUGE, Side(carriage)), carriage)
    knit = Counter(n for row in rows for n in row.knit)
    # 144 stitches, 15 at each side taken by the armhole; the neck has 50.
    left, right = knit[-57], knit[56]
    # Cast off at both edges of one piece, the second edge comes a row later.
    late = int(by == "cast off" and neck == "straight")
    assert sorted((left, right)) == [230, 230 + late]
    # Beside a straight neck the last of six steps is down to the neck; in a part the innermost step stays as it is.
    inner = [240, 240 + late] if neck == "straight" else [242, 242]
    assert (sorted((knit[-26], knit[25])), max(knit.values())) == (inner, 242)


def test_a_shoulder_of_few_stitches_is_told_to_be_less_sloped_than_wanted() -> None:
    piece = body(Body(**{**vars(SET_IN), "shoulder": 1.4}), GAUGE, Side.RIGHT)
    [slope] = [measure for measure in piece.measures if measure.what == "shoulder slope"]
    holds = [shape for shape in piece.shape if shape.do == "hold"]
    assert sum(hold.times or 1 for hold in holds) == 4
    assert str(slope) == "shoulder slope: 2.0 cm, 10.5 mm less than wanted"


def test_a_sleeves_cap_worked_out_with_a_calculator() -> None:
    """For an armhole of 463.3 mm: 6 cast off at each side, two rows; 12 over 12 rows, 12 over 24, 10 over 10; 24 across."""
    wanted = 2 * body(SET_IN, GAUGE, Side.RIGHT).edge
    piece = sleeve(Sleeve(heights=((0, 22), (44, 36)), edge=wanted / 10), GAUGE)
    side = 6 * STITCH + 2 * ROW + sum(hypot(n * STITCH, rows * ROW) for n, rows in ((12, 12), (12, 24), (10, 10)))
    assert 2 * piece.edge == pytest.approx(2 * side + 24 * STITCH)
    told = {m.what: m for m in piece.measures}
    assert told["edge of the cap"].lost == pytest.approx(wanted - (2 * side + 24 * STITCH))
    assert str(told["edge of the cap"]) == "edge of the cap: 46.3 cm, 0.2 mm less than wanted"
    assert (piece.markers[-1].row, piece.markers[-1].text) == (
        228, "Tie a marker at the middle of the top, between L1 and R1, sewn to the shoulder seam",
    )  # fmt: skip


@pytest.mark.parametrize("upper_arm", [32, 36, 40])
@pytest.mark.parametrize("shoulder", [10, 12])
def test_the_cap_matches_the_armhole_within_the_allowance(upper_arm: float, shoulder: float) -> None:
    armhole = body(Body(**{**vars(SET_IN), "shoulder": shoulder}), GAUGE, Side.RIGHT).edge
    piece = sleeve(Sleeve(heights=((0, 22), (44, upper_arm)), edge=2 * armhole / 10), GAUGE)
    rows = followed(piece)
    foot = round(44 * 4.1)
    top = len(rows[-1].work)
    knit = 2 * edge(rows, foot, piece.rows) + top * STITCH
    assert abs(knit - 2 * armhole) < 10 + 4 * ROW
    assert abs(2 * piece.edge - 2 * armhole) <= 10
    assert abs(top * STITCH - 80) <= STITCH + 1e-9


def test_a_raglan_sleeve_matches_the_bodys_edge_or_says_by_how_much_it_does_not() -> None:
    wanted = Body(heights=((0, 50), (36, 50)), armhole="raglan", depth=24, shoulder=2, neck_width=17)
    edge_cm = body(wanted, GAUGE, Side.RIGHT).edge / 10
    piece = sleeve(Sleeve(heights=((0, 24), (44, 40)), cap="raglan", edge=edge_cm, depth=24, top=5, allowance=2), GAUGE)
    assert abs(piece.edge / 10 - edge_cm) <= 2
    assert followed(piece)
    with pytest.raises(ValueError, match=r"raglan edge comes to .* cm, the armhole is 40 cm"):
        sleeve(Sleeve(heights=((0, 24), (44, 40)), cap="raglan", edge=40, depth=24, top=5), GAUGE)


def test_what_rounding_lost_is_told_in_mm() -> None:
    piece = body(SET_IN, GAUGE, Side.RIGHT)
    told = {m.what: m for m in piece.measures}
    assert str(told["neck"]) == "neck: 17.2 cm, 2.4 mm more than wanted"
    assert str(told["depth above the armhole"]) == "depth above the armhole: 20.0 cm, as wanted"
    for measure in piece.measures:
        assert abs(measure.lost) <= max(STITCH, ROW) + 1e-9


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"slope": 0.5}, "the shoulder's slope is 2 rows"),
        ({"armhole": "raglan", "slope": 2}, "a raglan has no shoulder slope"),
        ({"neck": "round", "neck_depth": 2}, "a round neck 8 rows deep does not fit: it takes 14 rows or more"),
        ({"neck_width": 49}, "an armhole takes some of its width"),
        ({"shoulder": 0}, "0 stitches are left beside the neck"),
        ({"depth": 1}, "stitches take at least"),
    ],
)
def test_measures_that_leave_no_way_are_refused_with_the_reason(change: dict[str, Any], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        body(Body(**{**vars(SET_IN), **change}), GAUGE, Side.RIGHT)
