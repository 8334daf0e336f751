"""Each key of each table of a plan file: of the wrong type, out of its range, missing, misspelt. What is told names file,
line, key, what was found and what is allowed.

What is allowed is written here from the contract, not asked of the program; a key the program knows and this list does
not fails the test.
"""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from purlside.plan.checked import Checked, kinds, table
from purlside.plan.plan import Plan
from tests.hostile.handled import run
from tests.plans import Tables, cable, tables

PLAN: Tables = tables(
    cable(every=8, times=2, ease="enlarge", enlarged_size=9.0, motif="rope", take_in=0.8),
    {"name": "edge", "cross": "L6 over L5", "first_row": 3, "ease": "extra rows", "extra_rows": 2, "follows": "left"},
    {"name": "neck", "cross": "R5 over R6", "first_row": 43, "part": "right shoulder"},
    machine={
        "needles": 200,
        "dial": [0.0, 10.0],
        "dial_clicks": 3,
        "counter_trip": "centre",
        "position_letters": {"nwp": "A", "wp": "B", "uwp": "C", "hp": "D"},
        "release_hold": True,
    },
    panel={"weights_every": 30},
    out=["L4"],
    needles="L9-R9",
    notes="free text",
    tools={"prongs": [1, 2, 3, 3]},
    yarn={
        "name": "grey",
        "fibre": "wool",
        "extension_at_break": 0.3,
        "tex": 280,
        "reach_limit": 0.9,
        "loop_mm": {"5": 12.0, "9": 15.8},
    },
    gauge={"stitches_per_10cm": 29, "rows_per_10cm": 41, "stitch_size": 5, "cable_take_in": 0.8},
    wanted={"width_cm": 50, "length_cm": 62},
    band=[{"rows": "1-20", "stitch_size": 4, "colour": "slate"}],
    reminder=[
        {"text": "measure", "row": 30},
        {"text": "look", "first_row": 2, "every": 3, "times": 4},
    ],
    shape=[
        {"edge": "both", "do": "decrease", "stitches": 1, "tool": 3, "first_row": 11, "every": 4, "times": 2},
        {"edge": "right", "do": "hold", "first_row": 42, "wrap": False, "part": "right shoulder"},
        {"edge": "right", "do": "return", "first_row": 50, "part": "right shoulder"},
    ],
    part=[
        {"name": "right shoulder", "needles": "R1-R9", "rows": 10, "carriage": "right"},
        {"name": "left shoulder", "mirrors": "right shoulder"},
    ],
    stitch=[
        {"needles": "L2", "do": "enlarge", "size": 9, "first_row": 10, "every": 10, "times": 2},
        {"needles": "R2", "do": "bead", "first_row": 45, "part": "right shoulder"},
    ],
)  # fmt: skip
"""A plan with every key there is, but for a yarn's ``count``, which stands instead of its ``tex``."""

_ROW = [0, -1, 20_001, 2.5]
_NAME = ["", "x" * 41, "two\nlines"]
_SIDE = ["", "middle", "LEFT"]
_SIZE = [-0.1, 101, float("nan")]
_SPAN = ["", "R1", "24-24", "L3-L9", "R0-R3", "L9..R9"]
_REPEATED: Tables = {"first_row": _ROW, "every": _ROW, "times": _ROW, "part": _NAME}

WRONG: dict[str, Tables] = {
    "": {
        "format": [0, 2, "1"],
        "title": ["", "x" * 201, "two\nlines"],
        "notes": ["x" * 10_001, "\x07"],
    },
    "machine": {
        "pitch_mm": [0, 0.9, 31, float("inf")],
        "needles": [0, 1, 3, 100_000],
        "dial": [[], [0.0], [0.0, 5.0, 10.0], [0.0, 101.0]],
        "dial_clicks": [0, 21],
        "carriage": _SIDE,
        "counter_trip": ["middle", "R0", "L", "centre left"],
        "position_letters": [],
        "release_hold": [],
    },
    "machine.position_letters": dict.fromkeys(("nwp", "wp", "uwp", "hp"), _NAME),
    "tools": {"prongs": [[0], [21], [1.5], [1] * 101]},
    "yarn": {
        "name": _NAME,
        "fibre": _NAME,
        "extension_at_break": [0, -0.1, 2.1],
        "tex": [0, 0.9, 20_001],
        "count": _NAME,
        "reach_limit": [0, -1, 20.1],
        "loop_mm": [{"5": 0.0}, {"5": 201.0}, {"5": "12"}],
    },
    "gauge": {
        "stitches_per_10cm": [0, 301],
        "rows_per_10cm": [0, 401],
        "stitch_size": _SIZE,
        "cable_take_in": [0.49, 1.21],
    },
    "wanted": {"width_cm": [0, -1, 2001], "length_cm": [0, -1, 2001]},
    "panel": {
        "needles": _SPAN[:1] + _SPAN[2:],
        "rows": _ROW,
        "stitch_size": _SIZE,
        "out_of_work": [["R0"], ["L9-L8"], [9]],
        "weights_every": _ROW,
    },
    "cable": {
        "name": _NAME,
        "cross": ["", "R1 L1", "R1 over R1", "R1-R3 over L1-L3", "R1 over R3 over R5", []],
        "ease": ["", "none", ["enlarge", "by hand"], ["plain", "plain", "plain"]],
        "enlarged_size": _SIZE,
        "extra_rows": [0, 1, 3, 42],
        "follows": [*_SIDE, "both"],
        "take_in": [0.49, 1.21],
        "motif": _NAME,
        **_REPEATED,
    },
    "shape": {
        "edge": _SIDE,
        "do": ["", "knit", "Decrease"],
        "stitches": [0, -1, 1001, "every", "all"],
        "tool": [0, 21],
        "wrap": [],
        **_REPEATED,
    },
    "part": {
        "name": _NAME,
        "needles": ["", "24-24", "L3-L9", "R0-R3"],
        "rows": _ROW,
        "carriage": _SIDE,
        "mirrors": _NAME,
    },
    "stitch": {"needles": ["", "9", "R1, R1", "L9;R9"], "do": ["", "knit"], "size": _SIZE, **_REPEATED},
    "band": {"rows": ["", "0", "20-1", "1-", "a-b"], "stitch_size": _SIZE, "colour": _NAME},
    "reminder": {"text": ["", "x" * 201, "\x1b[31m"], "row": _ROW, "first_row": _ROW, "every": _ROW, "times": _ROW},
}  # fmt: skip
"""What is out of range for each key, its type being right, or of a kind close by."""

NEEDED = {
    "": ["format", "title", "machine", "panel"],
    "machine": ["pitch_mm"],
    "gauge": ["stitches_per_10cm", "rows_per_10cm"],
    "panel": ["needles", "rows", "stitch_size"],
    "cable": ["name", "cross", "first_row"],
    "shape": ["edge", "do", "first_row"],
    "part": ["name", "needles", "rows"],
    "stitch": ["needles", "do", "size", "first_row"],
    "band": ["rows"],
    "reminder": ["text", "row"],
}
"""The keys a table cannot do without."""


def _entry(data: Tables, name: str, key: str) -> tuple[Any, int]:
    """The table of that name that has the key, and how many stand before it in a list of them."""
    if name == "":
        return data, 0
    found: Any = data
    for part in name.split("."):
        found = found[part]
    if isinstance(found, list):
        i = next(i for i, one in enumerate(found) if key in one)
        return found[i], i
    return found, 0


def _value(value: Any) -> str:
    match value:
        case bool() | str():
            return json.dumps(value)  # TOML has these escapes too
        case list():
            return f"[{', '.join(map(_value, value))}]"
        case dict():
            return f"{{ {', '.join(f'{_value(k)} = {_value(v)}' for k, v in value.items())} }}"
        case date():
            return value.isoformat()
    return repr(value)


def _written(data: Tables) -> tuple[str, dict[tuple[str, int, str], int]]:
    """A file with a key a line, and the line of each: (table, which of a list, key); of the table itself as ``""``."""
    lines: list[str] = []
    at: dict[tuple[str, int, str], int] = {}

    def table_(entry: Tables, name: str, i: int, head: str) -> None:
        if head:
            lines.append(head)
        at[name, i, ""] = max(1, len(lines))
        inside = []
        for key, value in entry.items():
            whole = f"{name}.{key}".lstrip(".")
            if whole in WRONG and isinstance(value, dict):
                inside.append((whole, 0, value, f"[{whole}]", key))
            elif whole in WRONG and isinstance(value, list) and value and all(isinstance(v, dict) for v in value):
                inside += [(whole, n, v, f"[[{whole}]]", key) for n, v in enumerate(value)]
            else:
                lines.append(f"{key} = {_value(value)}")
                at[name, i, key] = len(lines)
        for whole, n, value, head, key in inside:
            table_(value, whole, n, head)
            at.setdefault((name, i, key), at[whole, n, ""])

    table_(data, "", 0, "")
    return "\n".join(lines) + "\n", at


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _copy(v) for k, v in value.items()}
    return [_copy(v) for v in value] if isinstance(value, list) else value


def plan_with(name: str, key: str) -> tuple[Tables, Any, int]:
    data = _copy(PLAN)
    if (name, key) == ("yarn", "count"):
        data["yarn"]["count"] = "2/8 Nm"
        del data["yarn"]["tex"]
    return (data, *_entry(data, name, key))


def told(data: Tables, folder: Path) -> tuple[dict[tuple[str, int, str], int], list[str]]:
    """The line of each key, and why the file was refused: nothing on stdout, exit code 2, a line each."""
    plan = folder / "plan.toml"
    text, at = _written(data)
    plan.write_text(text, "utf-8")
    code, stdout, stderr, _ = run(("check",), plan, folder)
    assert (code, stdout) == (2, ""), (code, stdout, stderr)
    assert "Traceback" not in stderr and "mistake" not in stderr
    return at, stderr.splitlines()


KEYS = [(name, key) for name, keys in WRONG.items() for key in keys]
TABLES = [("", name) for name in WRONG if name and "." not in name]


def test_this_list_has_every_table_and_key_the_program_knows() -> None:
    known: dict[str, list[str]] = {}

    def gather(kind: type[Checked], name: str) -> None:
        known[name] = []
        for key in kinds(kind):
            inside = table(kind, key)
            if inside is None or key == "position_letters":
                known[name].append(key)
            if inside is not None:
                gather(inside, f"{name}.{key}".lstrip("."))

    gather(Plan, "")
    assert {name: sorted(keys) for name, keys in known.items()} == {n: sorted(keys) for n, keys in WRONG.items()}


def test_the_plan_with_every_key_can_be_knit(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(_written(PLAN)[0], "utf-8")
    code, stdout, stderr, _ = run(("check",), tmp_path / "plan.toml", tmp_path)
    assert (code, stderr) == (0, "")
    assert "never" not in stdout, "what falls on a part's rows is done there"


@pytest.mark.parametrize(("name", "key"), KEYS + TABLES, ids=[f"{name}.{key}" for name, key in KEYS + TABLES])
def test_a_key_with_a_wrong_value_is_told_with_its_line_what_was_found_and_what_is_allowed(
    name: str, key: str, tmp_path: Path
) -> None:
    right = plan_with(name, key)[1][key]
    kinds_of_values: list[Any] = [True, 12345, "\u00e9t\u00e9", [[]], {"a": 1}, date(2024, 5, 5)]
    alike = (int, float) if isinstance(right, int | float) and not isinstance(right, bool) else type(right)
    wrong = [v for v in kinds_of_values if not isinstance(v, alike) or (isinstance(v, bool) and alike is not bool)]
    for value in [*WRONG[name].get(key, []), *wrong]:
        if isinstance(value, str) and isinstance(right, str) and value in wrong:
            continue
        data, entry, i = plan_with(name, key)
        entry[key] = value
        if name == "" and isinstance(value, dict):
            data = {k: v for k, v in data.items() if k != key} | {key: value}
        at, lines = told(data, tmp_path)
        line = at[name, i, key]
        assert len(lines) == 1, (value, lines)
        assert re.search(rf"plan\.toml:{line}: [^:]*\b{key}\b[^:]*: found .+; allowed: .+", lines[0]), (
            value,
            line,
            lines,
        )


@pytest.mark.parametrize(("name", "key"), [(n, k) for n, keys in NEEDED.items() for k in keys])
def test_a_key_that_is_missing_is_told_at_its_table(name: str, key: str, tmp_path: Path) -> None:
    data, entry, i = plan_with(name, key)
    del entry[key]
    at, lines = told(data, tmp_path)
    line = at[name, i, ""]
    assert any(re.search(rf"plan\.toml:{line}: .*\b{key}: found nothing; allowed: .+", one) for one in lines), lines


@pytest.mark.parametrize(("name", "key"), KEYS + TABLES, ids=[f"{name}.{key}" for name, key in KEYS + TABLES])
def test_a_misspelt_key_is_told_with_its_line_and_the_key_that_was_meant(name: str, key: str, tmp_path: Path) -> None:
    data, entry, i = plan_with(name, key)
    typed = key[:1] + key[2:] if len(key) > 3 else key + key[-1]
    swapped = {typed if k == key else k: v for k, v in entry.items()}
    entry.clear()
    entry.update(swapped)
    at, lines = told(data, tmp_path)
    line = at[name, i, typed]
    [said] = [one for one in lines if re.search(rf"plan\.toml:{line}: .*\b{typed}\b", one)]
    assert re.search(rf"found .*; allowed: .*\b{key}\b", said), said
