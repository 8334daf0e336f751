"""The mirror image: of a part of a panel, and of a whole plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.files.planfile import parse
from purlside.files.tables import checked
from purlside.plan.mirror import full_parts, mirrored, needle, one_sided
from purlside.plan.plan import Plan
from tests.plans import Tables, cable, needles, plan, toml, work_tables


@given(needles)
def test_a_needle_is_mirrored_to_the_one_as_far_from_the_centre(n: Needle) -> None:
    there = needle(n)
    assert str(there)[1:] == str(n)[1:] and str(there)[0] != str(n)[0]
    assert needle(there) == n


@given(work_tables())
def test_mirrored_twice_a_plan_is_as_it_was(data: Tables) -> None:
    of = checked(Plan, data)
    turned = mirrored(of)
    assert turned != of
    assert mirrored(turned) == of


@given(work_tables())
def test_a_mirrored_plan_is_a_plan_that_a_file_says(data: Tables) -> None:
    from purlside.files.planwriting import new, rewritten

    of = checked(Plan, data)
    turned = mirrored(of)
    assert parse(new(turned), "x") == turned
    assert parse(rewritten(toml(data), turned), "x") == turned


@given(work_tables())
def test_crossings_keep_their_front_on_the_other_half_of_the_bed(data: Tables) -> None:
    of = checked(Plan, data)
    turned = mirrored(of)
    assert turned.machine.side is of.machine.side.other
    assert len(turned.in_work) == len(of.in_work)
    for one, other in zip(of.cable, turned.cable, strict=True):
        for here, there in zip(one.crossings, other.crossings, strict=True):
            assert there.front_side is here.front_side.other
            assert (len(there.front), len(there.back)) == (len(here.front), len(here.back))
            assert there.needles == tuple(sorted(map(needle, here.needles)))


def test_a_front_becomes_the_other_front() -> None:
    of = plan(
        cable("R1-R3 over L3-L1", name="right rope", follows="left", part="left shoulder"),
        title="Left front",
        machine={"counter_trip": "left end"},
        part=[
            {"name": "left shoulder", "needles": "L6-L1", "rows": 10, "carriage": "left"},
            {"name": "right shoulder", "mirrors": "left shoulder"},
        ],
        shape=[{"edge": "left", "do": "cast off", "first_row": 42, "stitches": 2, "part": "left shoulder"}],
        stitch=[{"needles": "L6, R2", "do": "bead", "first_row": 3}],
        reminder=[{"row": 3, "text": "marker at the left edge"}, {"row": 4, "text": "measure"}],
    )
    turned = mirrored(of)
    assert turned.title == "Right front"
    assert turned.machine.counter_trip == "right end"
    (rope,) = turned.cable
    assert (rope.name, rope.follows, rope.part) == ("left rope", "right", "right shoulder")
    assert rope.cross == Crossing.parse("L3-L1 over R1-R3")
    assert [(p.name, p.needles, p.carriage, p.mirrors) for p in turned.part] == [
        ("right shoulder", Span.parse("R1-R6"), "right", None),
        ("left shoulder", None, None, "right shoulder"),
    ]
    assert (turned.shape[0].edge, turned.shape[0].part) == ("right", "right shoulder")
    assert turned.stitch[0].needles == (Needle.parse("L2"), Needle.parse("R6"))
    assert one_sided(turned) == ["marker at the left edge"]


def test_names_are_left_alone_where_one_would_grow_too_long() -> None:
    of = plan(cable(name="left " + "x" * 35), title="Scarf")
    assert mirrored(of).cable[0].name == of.cable[0].name
    assert mirrored(of).title == "Scarf, mirrored"


@pytest.mark.parametrize(("trip", "there"), [("centre", "centre"), ("R3", Needle.parse("L3")), (None, None)])
def test_the_counters_trip_goes_to_the_other_side(trip: Any, there: object) -> None:
    of = plan()
    of = replace(of, machine=replace(of.machine, counter_trip=trip))
    assert mirrored(of).machine.counter_trip == there


def test_a_part_that_mirrors_another_has_all_that_is_worked_there_on_the_other_side() -> None:
    of = plan(
        cable("R4-R5 over R2-R3", name="rope", part="right shoulder", follows="right"),
        cable("L6 over L5", name="own", part="left shoulder"),
        cable(name="middle"),
        part=[
            {"name": "right shoulder", "needles": "R2-R6", "rows": 12, "carriage": "right"},
            {"name": "left shoulder", "mirrors": "right shoulder"},
        ],
        shape=[
            {"edge": "left", "do": "decrease", "first_row": 41, "part": "right shoulder"},
            {"edge": "both", "do": "decrease", "first_row": 9},
        ],
        stitch=[{"needles": "R2, R6", "do": "by hand", "first_row": 44, "part": "right shoulder"}],
    )
    right, left = full_parts(of)
    assert (right.needles, right.rows, right.carriage) == (Span.parse("R2-R6"), 12, Side.RIGHT)
    assert (left.needles, left.rows, left.carriage) == (Span.parse("L6-L2"), 12, Side.LEFT)
    assert right.cables == ((0, of.cable[0]),)
    assert [(i, c.name, str(c.cross), c.follows, c.part) for i, c in left.cables] == [
        (0, "rope", "L5-L4 over L3-L2", "left", "left shoulder"),
        (1, "own", "L6 over L5", None, "left shoulder"),
    ]
    assert [(i, s.edge, s.part) for i, s in left.shapes] == [(0, "right", "left shoulder")]
    assert [s.needles for _, s in left.stitches] == [(Needle.parse("L6"), Needle.parse("L2"))]
