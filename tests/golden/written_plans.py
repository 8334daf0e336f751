"""A thousand rectangular plans, written from a seed by nothing but ``random``, and what their moves hash to.

``python -m tests.golden`` writes ``passes.txt`` anew; only a change of the outside contract may want that.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Iterator
from pathlib import Path

from purlside.files.planfile import parse
from purlside.rows.working import Working
from purlside.shown.passes import as_json

RECORD = Path(__file__).parent / "passes.txt"
PATTERNS = Path(__file__).parents[2] / "patterns"
AS_OF_THE_FIRST_FORMAT = (
    "breakwater-rope",
    "capstan-cushion",
    "lantern-yoke",
    "lock-keeper-plait",
    "three-tides",
)
MANY = 1000


def _needle(place: int) -> str:
    return f"L{-place}" if place < 0 else f"R{place + 1}"


def _span(low: int, high: int) -> str:
    return _needle(low) if low == high else f"{_needle(low)}-{_needle(high)}"


def _cable(chance: random.Random, number: int, low: int, high: int) -> list[str]:
    left, right = sorted(chance.sample(range(1, high - low + 1), 2)) if high - low > 1 else (1, high - low + 1)
    first = low + chance.randint(0, left - 1), low + left - 1
    second = low + left, low + min(right, left + 3) if right > left else low + left
    a, b = _span(*first), _span(*second)
    cross = f'"{a} over {b}"' if chance.random() < 0.5 else f'"{b} over {a}"'
    if chance.random() < 0.2:
        cross = f'["{a} over {b}", "{b} over {a}"]'
    ease = chance.choice(['"plain"', '"enlarge"', '"extra rows"', '"by hand"', '"auto"', '["enlarge", "extra rows"]'])
    lines = ["[[cable]]", f'name = "c{number}"', f"cross = {cross}", f"first_row = {chance.randint(1, 12)}"]
    lines.append(f"every = {chance.randint(2, 14)}")
    if chance.random() < 0.4:
        lines.append(f"times = {chance.randint(1, 6)}")
    lines.append(f"ease = {ease}")
    if "enlarge" in ease or "auto" in ease:
        lines.append(f"enlarged_size = {chance.choice([7, 8, 9, 9.5])}")
    if "extra" in ease or "auto" in ease:
        lines.append(f"extra_rows = {chance.choice([2, 4])}")
    return lines


def plan_text(seed: int) -> str:
    """A plan file of the first format; not every one can be knit."""
    chance = random.Random(seed)
    low, rows = chance.randint(-30, -4), chance.randint(1, 40)
    high = low + chance.randint(5, 40)
    lines = ["format = 1", f'title = "Plan {seed}"', "[machine]", f"pitch_mm = {chance.choice([3.6, 4.5, 9])}"]
    lines.append(f'carriage = "{chance.choice(["left", "right"])}"')
    lines += ["[yarn]", f'fibre = "{chance.choice(["wool", "cotton", "silk", "linen"])}"', "tex = 280"]
    if chance.random() < 0.5:
        lines.append('loop_mm = { "5" = 13.7, "9" = 17.5 }')
    lines += ["[panel]", f'needles = "{_span(low, high)}"', f"rows = {rows}"]
    lines.append(f"stitch_size = {chance.choice([4, 5, 6])}")
    if chance.random() < 0.3:
        lines.append(f'out_of_work = ["{_needle(chance.randint(low + 1, high - 1))}"]')
    if chance.random() < 0.4:
        lines.append(f"weights_every = {chance.randint(3, 20)}")
    width = high - low + 1
    parts = chance.randint(0, 3)
    for number in range(parts):
        at = low + width * number // parts
        lines += _cable(chance, number, at, low + width * (number + 1) // parts - 1)
    if chance.random() < 0.3:
        first = chance.randint(1, rows)
        band = ["[[band]]", f'rows = "{first}-{chance.randint(first, rows)}"', f"stitch_size = {chance.choice([3, 6])}"]
        lines += band if chance.random() < 0.7 else [*band, 'colour = "slate"']
    if chance.random() < 0.3:
        lines += ["[[reminder]]", f"row = {chance.randint(1, rows)}", 'text = "a marker"']
    return "\n".join(lines) + "\n"


def plans() -> Iterator[tuple[str, str]]:
    """Name and text of each plan on record."""
    for name in AS_OF_THE_FIRST_FORMAT:
        yield name, (PATTERNS / f"{name}.toml").read_text("utf-8")
    for seed in range(MANY):
        yield f"plan {seed}", plan_text(seed)


def line(name: str, text: str) -> str:
    """What a plan's moves hash to; which rows the bed refuses, where it refuses any."""
    plan = parse(text, name)
    working = Working(plan)
    try:
        said = "".join(as_json(working, range(1, plan.panel.rows + 1)))
    except ValueError as error:
        said = f"refused: {type(error).__name__}"
    return f"{name}: {hashlib.sha256(said.encode()).hexdigest()[:20]}"


def record() -> list[str]:
    return [line(name, text) for name, text in plans()]
