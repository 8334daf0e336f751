"""Files from strangers: read or refused, never a traceback, never long, never much memory.

1,000 files of one seed each time; ``PURLSIDE_FILES=20000`` takes more of them,
``PURLSIDE_SEED`` others.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from purlside.files.tables import checked
from purlside.plan.plan import Plan
from purlside.rows import checking
from tests.hostile import adversarial
from tests.hostile.adversarial import PLANS
from tests.hostile.handled import run
from tests.plans import tables, toml

pytestmark = pytest.mark.usefixtures("home")

FILES = int(os.environ.get("PURLSIDE_FILES", "1000"))
SEED = int(os.environ.get("PURLSIDE_SEED", "1"))
PARTS = 4
"""Tests the files are shared out to, so that all cores have some."""
MOST_MB = 300


def child(*words: object) -> dict[str, Any]:
    """What a process of its own found, as :mod:`tests.hostile.child` prints it."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.hostile.child", *map(str, words)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-3000:]
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("part", range(PARTS))
def test_a_strangers_file_is_read_or_refused_and_nothing_else(part: int) -> None:
    first, after = FILES * part // PARTS, FILES * (part + 1) // PARTS
    found = child(SEED, first, after)
    assert found["wrong"] == []
    assert found["mb"] < MOST_MB
    ended = {code: found["ended"].get(code, 0) for code in ("0", "1", "2")}
    assert sum(ended.values()) == after - first
    assert min(ended.values()) > (after - first) / 20, "the files are nearly all alike"


@pytest.mark.parametrize("name", PLANS)
def test_a_plan_made_to_be_slow_is_not(name: str) -> None:
    found = child("adversarial", name)
    assert found["wrong"] == []
    assert found["mb"] < MOST_MB


def fault(name: str) -> str:
    [problem] = checking.faults(checked(Plan, PLANS[name]()))
    return str(problem)


def test_repeats_that_never_come_round_are_refused_at_the_row_that_is_too_many() -> None:
    told = fault("prime_repeats")
    assert told.startswith(
        "panel, rows: found rows of more than 500 kinds; allowed: at most 500 kinds of rows on 400 needles"
    )
    assert "row 789 brings one too many" in told
    shorter = checked(
        Plan, adversarial.prime_repeats() | {"panel": {**adversarial.prime_repeats()["panel"], "rows": 788}}
    )
    assert checking.faults(shorter) == []


def test_more_sizes_and_crossings_than_can_be_worked_out_are_refused_with_the_limit() -> None:
    assert "48,200 crossings, each stitch size of their rows counted; allowed: at most 2,000" in fault(
        "sizes_and_cables"
    )


def test_a_row_of_thousands_of_extra_rows_is_refused_with_the_limit() -> None:
    told = fault("widest_rows")
    assert told.startswith(
        "cable 200, extra_rows: found 3200 extra rows in one row; allowed: at most 400, all cables together"
    )
    assert "row 1" in told


def test_a_picture_of_more_than_anyone_could_look_at_is_refused_with_the_limit(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(toml(PLANS["alternate_ladders"]()), "utf-8")
    for words in (("picture",), ("picture", "--describe"), ("picture", "-o", "OUT.svg")):
        code, stdout, stderr, _ = run(words, plan, tmp_path)
        assert (code, stdout) == (2, "")
        assert "found 1-20000, 196,000 crossings; allowed: at most 5,000 rows and 30,000 crossings" in stderr


def test_of_very_many_reminders_in_a_row_a_sheet_tells_each(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(toml(tables(reminder=[{"text": f"look at {i}", "row": 3} for i in range(25)])), "utf-8")
    *_, sheet = run(("sheet", "-o", "OUT.txt"), plan, tmp_path)
    told = " ".join(sheet.split())
    assert all(f"look at {i}" in told for i in range(25))


def test_reminders_that_nobody_could_read_are_refused_with_the_limit() -> None:
    often = adversarial.much_text()
    for reminder in often["reminder"]:
        reminder["every"] = 1
    [problem] = checking.faults(checked(Plan, often))
    assert str(problem) == (
        "reminder: found reminders that come 10,000,000 times; allowed: at most 100,000 times, all together"
    )
