"""A mirrored plan is knit as its original is, with left for right: shaped plans drawn at random."""

from __future__ import annotations

from typing import Any

import pytest

from purlside.bed.moves import Push
from purlside.bed.needles import Needle
from purlside.files.tables import checked
from purlside.plan.mirror import mirrored, needle
from purlside.plan.plan import Plan
from purlside.rows.checking import faults
from purlside.rows.working import Working
from tests.shaped.generated import plan_tables

PLANS = 60
SWAPPED = {"left": "right", "right": "left"}


@pytest.fixture(scope="module")
def pairs() -> list[tuple[Working, Working]]:
    """Plans without a fault, and their mirror images."""
    drawn = [checked(Plan, plan_tables(seed)) for seed in range(PLANS)]
    kept = [plan for plan in drawn if not faults(plan)]
    assert len(kept) > PLANS / 2
    return [(Working(plan), Working(mirrored(plan))) for plan in kept]


def in_the_mirror(told: Any) -> Any:
    """What JSON says of a move, mirrored; needles as a set, for they stand in bed order."""
    match told:
        case dict():
            return {key: in_the_mirror(value) for key, value in told.items() if key != "cable"}
        case list():
            return sorted(map(in_the_mirror, told), key=str)
        case str() if told in SWAPPED:
            return SWAPPED[told]
        case str() if told[:1] in "LR" and told[1:].isdigit():
            return str(needle(Needle.parse(told)))
    return told


def test_what_was_no_fault_is_none_in_the_mirror(pairs: list[tuple[Working, Working]]) -> None:
    for one, other in pairs:
        assert not faults(other.calendar.plan), one.calendar.plan.title
        assert other.simulate() == []


def test_each_row_takes_as_many_pushes_of_the_carriage(pairs: list[tuple[Working, Working]]) -> None:
    for one, other in pairs:
        for row in range(1, one.calendar.rows + 1):
            here, there = (sum(isinstance(move, Push) for move in of.moves(row)) for of in (one, other))
            assert here == there, (one.calendar.plan, row)


def test_each_row_shapes_the_same_stitches_with_left_for_right(pairs: list[tuple[Working, Working]]) -> None:
    shaping = {"transfer", "out-of-work", "into-work", "fill", "cast-off", "cast-on", "wrap", "join"}
    seen: set[str] = set()
    for one, other in pairs:
        for row in range(1, one.calendar.rows + 1):
            here, there = (
                [told for move in of.moves(row) if (told := move.json())["do"] in shaping] for of in (one, other)
            )
            seen |= {told["do"] for told in here}
            assert sorted(map(in_the_mirror, here), key=str) == sorted(map(_sorted, there), key=str)
    assert seen >= shaping - {"join"}


def _sorted(told: Any) -> Any:
    return in_the_mirror(in_the_mirror(told))
