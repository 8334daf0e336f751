"""Pieces worked out from measures at random: refused with a reason, or knit without a fault, their markers in their rows."""

from __future__ import annotations

import os
import random
from typing import Any

import pytest

from purlside.bed.needles import Side
from purlside.figures.body import Body, body
from purlside.figures.pieces import Piece
from purlside.figures.sleeve import Sleeve, sleeve
from purlside.plan.machine import Gauge, Machine
from purlside.plan.plan import Panel, Plan
from purlside.plan.problems import Unfit
from purlside.rows import checking
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working

MANY = int(os.environ.get("PURLSIDE_MEASURED", "120"))


def asked(chance: random.Random) -> Body | Sleeve:
    """Measures as people have them, and some that nobody has."""
    wide, tool, base = chance.uniform, chance.randint(1, 8), chance.choice([0, 1, 2, 3])
    if chance.random() < 0.3:
        cuff = wide(15, 30)
        arm = ((0.0, cuff), (wide(10, 45), wide(cuff, 45)))
        cap: Any = chance.choice(["set-in", "raglan"])
        return Sleeve(
            heights=arm, cap=cap, edge=wide(15, 55), base=base, top=wide(2, 12), depth=wide(14, 26), allowance=20,
            tool=tool,
        )  # fmt: skip
    armhole: Any = chance.choice(["none", "set-in", "raglan"])
    neck: Any = chance.choice(["straight", "round", "V"])
    slope_by: Any = chance.choice(["short rows", "cast off"])
    neck_by: Any = chance.choice(["cast off", "rest"])
    slope = 0 if armhole == "raglan" else chance.choice([0, 2, 3, 4])
    heights, depth, shoulder = ((0.0, wide(35, 60)), (wide(5, 40), wide(35, 60))), wide(14, 26), wide(1, 14)
    if armhole == "raglan" and shoulder > 5:
        shoulder = 0.0
    return Body(
        heights=heights, armhole=armhole, depth=depth, base=base, shoulder=shoulder, slope=slope, slope_by=slope_by, neck=neck, neck_width=wide(8, 22), neck_depth=wide(4, 24),
        neck_by=neck_by, tool=tool,
    )  # fmt: skip


def piece(seed: int) -> tuple[Piece, Side, Gauge]:
    chance = random.Random(seed)
    gauge = Gauge(stitches_per_10cm=chance.choice([14, 20, 28, 32]), rows_per_10cm=chance.choice([20, 30, 40, 46]))
    side, wanted = chance.choice(list(Side)), asked(chance)
    made = sleeve(wanted, gauge) if isinstance(wanted, Sleeve) else body(wanted, gauge, side)
    return made, side, gauge


@pytest.mark.parametrize("tens", range(0, MANY, 20))
def test_what_comes_of_measures_can_be_knit_or_is_refused_in_words(tens: int) -> None:
    knit = 0
    for seed in range(tens, tens + 20):
        try:
            made, side, gauge = piece(seed)
        except ValueError as error:
            assert not isinstance(error, Unfit) and len(str(error)) > 30, seed
            continue
        machine = Machine(pitch_mm=4.5, needles=250, carriage=side.value)
        panel = Panel(needles=made.needles, rows=made.rows, stitch_size=5)
        plan = Plan(
            format=1, title="Piece", machine=machine, gauge=gauge, panel=panel, shape=made.shape, part=made.part,
            reminder=made.markers,
        )  # fmt: skip
        assert (checking.faults(plan), Working(plan).simulate()) == ([], []), seed
        assert [problem for problem in checking.advice(plan) if problem.key[0] in ("shape", "reminder")] == [], seed
        calendar = Calendar(plan)
        told = [text for number in range(1, calendar.rows + 1) for text in calendar.row(number).told]
        assert set(told) == {marker.text for marker in made.markers}, seed
        if made.part:
            left = set(calendar.segments[0].last_edges.in_work)
            in_parts = {n for segment in calendar.segments[1:] for n in segment.edges.in_work}
            assert all(-len(left) // 3 < n < len(left) // 3 for n in left - in_parts), f"{seed}: only the middle waits"
        knit += 1
    assert knit >= 10
