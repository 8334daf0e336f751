"""Plans to measure with, written as a knitter would write them."""

from __future__ import annotations

from pathlib import Path


def needle(index: int) -> str:
    """The name of the needle that many places right of the centre; R1 is 0, L1 is -1."""
    return f"R{index + 1}" if index >= 0 else f"L{-index}"


def plan_text(*, rows: int = 1000, needles: int = 250, cables: int = 8, every: int = 8, ease: str = "enlarge") -> str:
    """A panel with 3 over 3 cables spread evenly over it, all crossed in the same rows."""
    first, last = -(needles // 2), needles - needles // 2 - 1
    if cables * 8 > needles:
        raise ValueError(f"{cables} cables do not fit on {needles} needles")
    parts = [
        "format = 1",
        f'title = "Groyne, {rows} rows"',
        "[machine]",
        "pitch_mm = 3.6",
        f"needles = {max(needles + needles % 2, 2)}",
        "[yarn]",
        'fibre = "wool"',
        'loop_mm = { "5" = 11.0, "8" = 14.6 }',
        "[panel]",
        f'needles = "{needle(first)}-{needle(last)}"',
        f"rows = {rows}",
        "stitch_size = 5",
    ]
    for number in range(cables):
        left = first + (2 * number + 1) * needles // (2 * cables) - 3
        halves = [f"{needle(left)}-{needle(left + 2)}", f"{needle(left + 3)}-{needle(left + 5)}"]
        parts += [
            "[[cable]]",
            f'name = "rope {number + 1}"',
            f'cross = "{halves[number % 2]} over {halves[1 - number % 2]}"',
            "first_row = 4",
            f"every = {every}",
            f'ease = "{ease}"',
            "enlarged_size = 8",
            "extra_rows = 2",
        ]
    return "\n".join(parts) + "\n"


def write_plan(folder: Path, name: str, **settings: int | str) -> Path:
    path = folder / f"{name}.toml"
    path.write_text(plan_text(**settings), encoding="utf-8")  # type: ignore[arg-type]
    return path
