"""A knitter who has only the printed sheet makes the same moves, and the same bed, as the plan."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import Tell, Weights, size_text
from purlside.files import planfile
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.sheet.whole import sheet_command
from purlside.shown import passes
from tests import plans
from tests.beds import state
from tests.sheet_reader import read

PATTERNS = sorted(
    p for p in (Path(__file__).parents[2] / "patterns").glob("*.toml") if b"[[shape]]" not in p.read_bytes()
)
"""Those that keep their width: the shaped ones are replayed in tests/shaped."""
UNSET = -1.0
"""No size on any dial: moves worked out with it name their own size first, as a row written by itself does."""

WAYS = [(suffix, detail) for suffix in (".txt", ".md", ".html") for detail in ("full", "working", "short")]


@cache
def pattern(path: Path) -> Plan:
    return planfile.read(path).plan


def as_json(moves: Sequence[Move]) -> list[dict[str, Any]]:
    return settled([move.json() for move in moves])


def as_told(plan: Plan, moves: Sequence[Move]) -> list[dict[str, Any]]:
    """Moves in which a crossing goes by its motif, as it may on a sheet, where its cable is of one."""
    motifs = {cable.name: cable.motif or cable.name for cable in plan.cable}
    return [{**m, "cable": motifs.get(m["cable"], m["cable"])} if "cable" in m else m for m in as_json(moves)]


def settled(listed: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Moves with sizes as a dial shows them, without what does not change the bed.

    A row written out by itself names its size even where the dial stands there already.
    """
    found: list[dict[str, Any]] = []
    dial = ""
    for move in listed:
        if move["do"] in ("tell", "weights"):
            continue
        if move["do"] == "dial":
            move = {**move, "size": size_text(move["size"])}
            if move["size"] == dial:
                continue
            dial = move["size"]
        found.append(move)
    return found


def knit(bed: Bed, moves: Sequence[Move]) -> tuple[Any, ...]:
    for move in moves:
        bed.push(move)
    found = state(bed)
    position, loops, rows, sizes, strand, _, carriage, dial, _, yarn = found
    return position, loops, rows, tuple(map(size_text_or_hand, sizes)), strand, carriage, size_text(dial), yarn


def size_text_or_hand(size: float) -> str:
    return "by hand" if size == float("inf") else size_text(size)


def follow(plan: Plan, printed: str, suffix: str) -> None:
    """Every row's moves as the plan has them; every kind of row knit on a bed, and the beds compared."""
    working = Working(plan)
    told = read(printed, suffix)
    assert len(told.rows) == plan.panel.rows
    seen = set()
    for number in range(1, plan.panel.rows + 1):
        row = working.calendar.row(number)
        said, moves = told.rows[number], told.moves(number)
        assert (said.side, said.size) == (row.side, size_text(row.size)), f"row {number}"
        assert as_told(plan, moves) == as_told(plan, working.moves_of(row, UNSET)), f"row {number}"
        key = (row.kind, working.dial_before(number))
        if key not in seen:
            seen.add(key)
            ours = [m for m in working.moves_of(row, working.dial_before(number)) if not isinstance(m, (Tell, Weights))]
            assert knit(working.bed_before(number), moves) == knit(working.bed_before(number), ours), f"row {number}"


@pytest.mark.parametrize("path", PATTERNS, ids=lambda p: p.stem)
@pytest.mark.parametrize(("suffix", "detail"), WAYS)
def test_following_only_the_sheet_makes_the_same_bed(path: Path, suffix: str, detail: str) -> None:
    follow(pattern(path), sheet_command(pattern(path), suffix, detail), suffix)


@given(plans.plans(most_rows=24), st.sampled_from(WAYS), st.booleans())
@settings(max_examples=60)
def test_any_plan_can_be_followed_from_its_sheet(plan: Plan, way: tuple[str, str], letters: bool) -> None:
    suffix, detail = way
    follow(plan, sheet_command(plan, suffix, detail, letters=letters), suffix)


@pytest.mark.parametrize("path", PATTERNS, ids=lambda p: p.stem)
def test_rows_and_needles_of_the_sheet_are_those_other_programs_are_given(path: Path) -> None:
    plan = pattern(path)
    document = json.loads("".join(passes.as_json(Working(plan), range(1, plan.panel.rows + 1))))
    told = read(sheet_command(plan, ".txt", "working"), ".txt")
    for row in document["rows"]:
        mine = [{**m, "cable": ""} for m in as_json(told.moves(row["row"])) if m["do"] != "dial"]
        theirs = [{**m, "cable": ""} for m in settled(row["moves"]) if m["do"] != "dial"]
        assert mine == theirs, f"row {row['row']}"


def test_a_wrong_needle_on_the_sheet_would_be_noticed() -> None:
    plan = plans.plan(plans.cable(ease="enlarge", enlarged_size=9.0), rows=16)
    printed = sheet_command(plan, ".txt", "working")
    follow(plan, printed, ".txt")
    right = "Knit right across L6–L4 (3 needles)"
    assert right in printed
    with pytest.raises(AssertionError):
        follow(plan, printed.replace(right, "Knit right across L6–L5 (2 needles)"), ".txt")
