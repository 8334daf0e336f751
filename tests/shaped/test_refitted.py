"""Shaped plans by the hundred laid again for other gauges and machines: knit without a fault, nothing lost unsaid.

``PURLSIDE_REFITS=1000`` tries so many plans.
"""

from __future__ import annotations

import json
import os
import random
import tomllib
from contextlib import suppress
from dataclasses import replace

import pytest

from purlside.draft.refit import CannotRefit, RefitFor, Refitted, refit
from purlside.draft.refittold import LEFT_OUT, side_by_side
from purlside.files.planfile import parse
from purlside.files.planwriting import new
from purlside.plan.machine import Gauge
from purlside.plan.plan import Plan
from purlside.rows import checking
from purlside.rows.working import Working
from purlside.shown.passes import as_json
from tests.plans import toml
from tests.shaped.generated import plan_tables
from tests.shaped.replayer import faults
from tests.shaped.wanted import NotKnittable

MANY = int(os.environ.get("PURLSIDE_REFITS", "200"))
GAUGE = {"stitches_per_10cm": 28, "rows_per_10cm": 40}


def drawn(seed: int) -> tuple[Plan, RefitFor]:
    """A plan that can be knit, and what it is to be laid again for."""
    plan = parse(toml({**plan_tables(seed), "gauge": GAUGE}), "plan.toml")
    chance = random.Random(seed)
    gauge = Gauge(stitches_per_10cm=chance.choice([14, 20, 24, 33, 40]), rows_per_10cm=chance.choice([20, 30, 36, 50]))
    machine = None
    if chance.random() < 0.5:
        needles = chance.choice([110, 250])
        machine = replace(plan.machine, pitch_mm=chance.choice([6.5, 9.0]), needles=needles)
    return plan, RefitFor(machine=machine, gauge=gauge)


def unsaid(old: Plan, made: Refitted) -> list[str]:
    """What the old plan has, the new one has not, and no line tells."""
    told = "\n".join(side_by_side(made.changes, made.said))
    kept = [cable.name for cable in made.plan.cable]
    found = [c.name for c in old.cable if c.name not in kept and f"{c.name} is left out" not in told]
    out = sum(change.after == LEFT_OUT for change in made.changes)
    if len(made.plan.cable) + len(made.plan.stitch) + out != len(old.cable) + len(old.stitch):
        found.append("a cable or work on single needles")
    for done in {shape.do for shape in old.shape} - {shape.do for shape in made.plan.shape}:
        found += [] if f"{done} from row" in told else [done]
    times = {change.what: change for change in made.changes}
    for cable in made.plan.cable:
        (was,) = (one for one in old.cable if one.name == cable.name)
        if cable.times != was.times and cable.name not in times:
            found.append(f"{cable.name} comes {cable.times} times")
    return found


@pytest.mark.parametrize("twenties", range(0, MANY, 20))
def test_a_shaped_plan_laid_again_can_be_knit_and_what_is_given_up_is_told(twenties: int) -> None:
    replayed = 0
    for seed in range(twenties, twenties + 20):
        old, asked = drawn(seed)
        try:
            made = refit(old, asked)
        except CannotRefit as error:
            assert "needles are wanted for the same width; the bed has" in str(error) or "leave one out" in str(error)
            continue
        written = new(made.plan)
        again = parse(written, "again.toml")
        working = Working(again)
        assert (checking.faults(again), working.simulate()) == ([], []), seed
        document = json.loads("".join(as_json(working, range(1, working.calendar.rows + 1))))
        assert unsaid(old, made) == [], seed
        # The replayer knows no two things on one needle, and no part of a needle or two: such plans are not drawn either.
        with suppress(NotKnittable):
            assert faults(tomllib.loads(written), document) == [], seed
            replayed += 1
    assert replayed >= 12


def test_most_of_a_plan_is_kept() -> None:
    kept = crossed = 0
    for seed in range(60):
        old, asked = drawn(seed)
        try:
            made = refit(old, asked).plan
        except CannotRefit:
            continue
        kept, crossed = kept + len(made.cable), crossed + len(old.cable)
    assert kept >= 0.9 * crossed > 100
