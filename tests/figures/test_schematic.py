"""The outline of a piece, as its rows leave it."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from purlside.bed.needles import Needle, Side, Span
from purlside.figures.body import Body, body
from purlside.figures.schematic import Schematic, schematic
from purlside.plan.machine import Gauge, Machine
from purlside.plan.plan import Panel, Plan, Shape
from purlside.rows.checking import faults
from tests import plans
from tests.shaped.generated import plan_tables
from tests.shaped.test_replayed import parsed
from tests.shaped.wanted import rows_of

GAUGE = Gauge(stitches_per_10cm=20, rows_per_10cm=30)


def plan(needles: str = "L10-R10", rows: int = 40, *shape: Shape, gauge: Gauge | None = GAUGE, **more: Any) -> Plan:
    panel = Panel(needles=Span.parse(needles), rows=rows, stitch_size=5)
    return Plan(format=1, title="Piece", machine=Machine(pitch_mm=4.5), gauge=gauge, panel=panel, shape=shape, **more)


def corners(found: Schematic, which: int = 0) -> tuple[tuple[int, int], ...]:
    return found.outlines[which].corners


def area(found: Schematic) -> float:
    """Stitches the outlines hold, by the shoelace formula."""
    total = 0.0
    for outline in found.outlines:
        here = outline.corners
        total += sum(a * d - c * b for (a, b), (c, d) in zip(here, (*here[1:], here[0]), strict=True)) / -2
    return total


def test_a_rectangle_has_four_corners_and_one_width_and_height() -> None:
    found = schematic(plan())
    assert corners(found) == ((-10, 0), (-10, 40), (10, 40), (10, 0))
    assert [(w.up, w.stitches, w.mm) for w in found.widths] == [(0, 20, 100.0)]
    assert [(h.up, h.rows, round(h.mm or 0)) for h in found.heights] == [(0, 40, 133)]


def test_a_ladder_leaves_the_outline_as_it_is() -> None:
    panel = Panel(needles=Span.parse("L10-R10"), rows=40, stitch_size=5, out_of_work=(Needle(-10), Needle(-3)))
    found = schematic(Plan(format=1, title="Ladders", machine=Machine(pitch_mm=4.5), panel=panel))
    assert corners(found) == ((-9, 0), (-9, 40), (10, 40), (10, 0))


def test_decreases_slant_the_edge_and_what_is_cast_off_steps_it() -> None:
    slanted = Shape(edge="both", do="decrease", first_row=12, every=2, times=4)
    stepped = Shape(edge="both", do="cast off", stitches=3, first_row=31)
    found = schematic(plan("L10-R10", 40, slanted, stepped))
    assert corners(found) == (
        *((-10, 0), (-10, 9), (-6, 17), (-6, 31), (-3, 31), (-3, 40)),
        *((3, 40), (3, 30), (6, 30), (6, 17), (10, 9), (10, 0)),
    )
    assert [(w.up, w.stitches) for w in found.widths] == [(0, 20), (17, 12), (31, 6)]


def test_stitches_that_rested_stand_lower_at_the_top() -> None:
    rest = Shape(edge="left", do="hold", stitches=4, first_row=35, every=2, times=2)
    back = Shape(edge="left", do="return", stitches="all", first_row=39)
    found = schematic(plan("L10-R10", 40, rest, back))
    assert corners(found) == ((-10, 0), (-10, 36), (-6, 36), (-6, 38), (-2, 38), (-2, 40), (10, 40), (10, 0))
    assert sum(h.rows for h in found.heights) == 40


def stepped(*rows: int) -> Schematic:
    """Cast off two at the right edge in each of these rows."""
    return schematic(plan("L20-R20", 60, *(Shape(edge="right", do="cast off", stitches=2, first_row=n) for n in rows)))


def test_steps_fewer_than_three_rows_apart_are_measured_as_one() -> None:
    assert [(h.up, h.rows) for h in stepped(21, 24).heights] == [(0, 20), (20, 3), (23, 37)]
    assert [(h.up, h.rows) for h in stepped(21, 23).heights] == [(0, 20), (20, 40)]
    assert [(w.up, w.stitches) for w in stepped(21, 23).widths] == [(0, 40), (22, 36)]
    assert [(h.up, h.rows) for h in stepped(11, 31, 33, 35).heights] == [(0, 10), (10, 20), (30, 30)]
    assert [(w.up, w.stitches) for w in stepped(11, 31, 33, 35).widths] == [(0, 40), (10, 38), (34, 32)]


def test_steps_that_rest_at_both_edges_end_where_the_last_of_them_stands() -> None:
    left_edge = Shape(edge="left", do="hold", stitches=4, first_row=35, every=2, times=3)
    right_edge = Shape(edge="right", do="hold", stitches=4, first_row=36, every=2, times=3)
    found = schematic(plan("L20-R20", 40, left_edge, right_edge))
    right, left = [(x, y) for x, y in corners(found) if x > 8], [(x, y) for x, y in corners(found) if x < -8]
    assert left == [(-20, 0), (-20, 34), (-16, 34), (-16, 36), (-12, 36), (-12, 38)]
    assert right == [(12, 39), (12, 37), (16, 37), (16, 35), (20, 35), (20, 0)]


def test_the_sides_of_a_neck_are_outlines_of_their_own() -> None:
    wanted = Body(heights=((0, 40), (20, 40)), depth=20, neck="round", neck_width=16, neck_depth=8)
    piece = body(wanted, GAUGE, Side.RIGHT)
    found = schematic(plan(str(piece.needles), piece.rows, *piece.shape, part=piece.part))
    assert [outline.part for outline in found.outlines] == [None, "right shoulder", "left shoulder"]
    right, left = corners(found, 1), corners(found, 2)
    assert sorted((-x, y) for x, y in right) == sorted(left)


def test_a_part_begins_as_high_as_each_of_its_needles_was_left() -> None:
    """Three stitches rest from row 35 and three more from row 37: they stand at 34 and 36 of 40 rows, and so above them."""
    rest = {"edge": "left", "do": "hold", "stitches": 3, "first_row": 35, "every": 2, "times": 2}
    part = [
        {"name": "right shoulder", "needles": "R1-R10", "rows": 10},
        {"name": "left shoulder", "needles": "L10-L1", "rows": 10},
    ]
    made = plans.plan(needles="L10-R10", rows=40, shape=[rest], part=part)
    assert faults(made) == []
    found = schematic(made)
    assert corners(found, 1) == ((0, 40), (0, 50), (10, 50), (10, 40))
    assert corners(found, 2) == (
        *((-10, 34), (-10, 44), (-7, 44), (-7, 46), (-4, 46), (-4, 50)),
        *((0, 50), (0, 40), (-4, 40), (-4, 36), (-7, 36), (-7, 34)),
    )


def test_without_a_gauge_there_are_stitches_and_rows_but_no_lengths() -> None:
    found = schematic(plan(gauge=None))
    assert found.scale is None
    assert {w.mm for w in found.widths} | {h.mm for h in found.heights} == {None}


@pytest.mark.parametrize("seed", range(0, 120, 2))
def test_the_outline_holds_about_as_many_stitches_as_are_knit(seed: int) -> None:
    tables = plan_tables(seed)
    found = schematic(parsed(tables))
    rows = list(rows_of(tables))
    knit = sum(len(row.knit) for row in rows)
    shaped = sum(bool(row.work != before.work) for before, row in itertools.pairwise(rows))
    assert abs(area(found) - knit) <= 6 * shaped + 0.12 * knit + 10
