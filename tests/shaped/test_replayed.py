"""Shaped plans by the hundred through a bed of their own, loops, yarn and carriage carried from row to row.

``PURLSIDE_SHAPED=1000`` tries so many plans; a few hundred are tried otherwise.
"""

from __future__ import annotations

import json
import os
import random
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from purlside.files.planfile import parse
from purlside.plan.plan import Plan
from purlside.rows import checking
from purlside.rows.working import Working
from purlside.shown.passes import as_json
from tests.plans import toml
from tests.shaped.generated import kinds, plan_tables
from tests.shaped.replayer import faults
from tests.shaped.wanted import Tables

PATTERNS = Path(__file__).parents[2] / "patterns"
MANY = int(os.environ.get("PURLSIDE_SHAPED", "250"))


def parsed(tables: Tables) -> Plan:
    """The plan as its file is read."""
    return parse(toml(tables), "plan.toml")


def told(tables: Tables) -> dict[str, Any]:
    """What ``purlside passes --json`` prints."""
    working = Working(parsed(tables))
    found: dict[str, Any] = json.loads("".join(as_json(working, range(1, working.calendar.rows + 1))))
    return found


@pytest.mark.parametrize("tens", range(0, MANY, 10))
def test_a_shaped_plan_is_knit_without_a_fault_and_with_no_movement_too_many(tens: int) -> None:
    for seed in range(tens, tens + 10):
        tables = plan_tables(seed)
        assert faults(tables, told(tables)) == [], seed
        plan = parsed(tables)
        assert (checking.faults(plan), Working(plan).simulate()) == ([], []), seed


@pytest.mark.parametrize("path", sorted(PATTERNS.glob("slipway-jersey-*.toml")), ids=lambda path: path.stem)
def test_the_pieces_of_the_sample_garment_are_knit_without_a_fault(path: Path) -> None:
    tables = tomllib.loads(path.read_text("utf-8"))
    assert faults(tables, told(tables)) == []


def test_every_kind_of_shaping_is_met() -> None:
    met = Counter(kind for seed in range(250) for kind in kinds(plan_tables(seed)))
    edges = ("left", "right", "both")
    shapings = ("decrease", "increase", "cast off", "cast on", "hold", "return")
    crossed = {"crossed in a short row", "crossed in a part", "crossed in a shaped row"}
    wanted = {f"{do} {edge}" for do in shapings for edge in edges} | crossed
    wanted |= {"part", "mirrors", "wrap", "follows", "enlarge", "by hand", "bead", "purl"}
    assert {kind for kind in wanted if met[kind] < 8} == set()


def test_the_bed_of_the_test_notices_a_move_left_out() -> None:
    chance, noticed, tried = random.Random(1), 0, 0
    for seed in range(40):
        tables = plan_tables(seed)
        moves = told(tables)
        row = chance.choice(moves["rows"])
        matter = [m for m in row["moves"] if m["do"] not in ("weights", "tell")]
        row["moves"].remove(chance.choice(matter))
        tried += 1
        noticed += bool(faults(tables, moves))
    assert noticed == tried
