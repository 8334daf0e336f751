"""What a designer at the drafting table would notice: an edit until picture and verdict are painted."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import cycle, islice
from pathlib import Path

from tests.bench.figures import Figure
from tests.bench.measure import Painted, Program, home, opened, painted, quantile
from tests.bench.on_screen import BARE
from tests.bench.plans import write_plan
from tests.terminal.terminal import Terminal

SIZES = ((100, 30), (200, 50))
EDITS: dict[str, tuple[bytes, ...]] = {
    "cable moved": (b"\x1b[1;2C", b"\x1b[1;2D"),
    "row moved": (b"\x1b[1;2A", b"\x1b[1;2B"),
    "cable wider": (b"+", b"-"),
    "other half in front": (b"x",),
    "apart": (b">", b"<"),
    "cursor moved": (b"\x1b[A", b"\x1b[B"),
    "other cable": (b"\t", b"\x1b[Z"),
}
"""Keys that change the draft and change it back, and two that only look elsewhere."""
FRAME_MS = 16
"""Milliseconds of a frame at 60 pictures a second."""


def cpu_seconds(terminal: Terminal) -> float:
    """Processor time the program has taken so far."""
    text = Path(f"/proc/{terminal.process.pid}/schedstat").read_text()
    return int(text.split()[0]) / 1e9


def drafting(folder: Path, rounds: int) -> Iterator[Figure]:
    """200 needles × 400 rows with 12 cables; edits of every kind in turns with steps of the bare strip."""
    patterns = folder / "patterns"
    patterns.mkdir(exist_ok=True)
    write_plan(patterns, "drafted", rows=400, needles=200, cables=12)
    program = "import os, sys; os.chdir(sys.argv[1]); from purlside.commands.main import main; sys.exit(main([]))"
    for size in SIZES:
        with home() as env:
            argv = (sys.executable, "-c", program, str(folder))
            ours, _ = opened(Program("Purlside", argv, "Groyne", env), size)
            base, _ = opened(BARE, size)
            taken: dict[str, list[Painted]] = {name: [] for name in EDITS}
            bare: list[Painted] = []
            used: dict[str, float] = dict.fromkeys(EDITS, 0.0)
            with ours, base:
                ours.settle(0.3)
                ours.press("f2")
                ours.wait_for("KNIT SIDE")
                ours.settle(0.5)
                for keys in EDITS.values():
                    for key in islice(cycle(keys), 4):
                        painted(ours, key)
                for _ in range(rounds):
                    for name, keys in EDITS.items():
                        before = cpu_seconds(ours)
                        taken[name] += [painted(ours, key) for key in islice(cycle(keys), 10)]
                        used[name] += cpu_seconds(ours) - before
                    bare += [painted(base, b" ") for _ in range(10)]
            yield from _figures(size, taken, bare, used, rounds)


def _figures(
    size: tuple[int, int],
    taken: dict[str, list[Painted]],
    bare: list[Painted],
    used: dict[str, float],
    rounds: int,
) -> Iterator[Figure]:
    where = f"{size[0]}×{size[1]}"
    edits = [one.seconds for name in EDITS if name not in ("cursor moved", "other cable") for one in taken[name]]
    strip = [one.seconds for one in bare]
    for part in (0.5, 0.99):
        limit = FRAME_MS if part > 0.9 else None
        ours, base = (1e3 * quantile(of, part) for of in (edits, strip))
        yield Figure(f"edit to painted at {where}, p{part * 100:.0f} / bare strip", ours, "ms", base, most=limit)
    for name, of in taken.items():
        seconds = [one.seconds for one in of]
        yield Figure(f"{name} at {where}, p50", 1e3 * quantile(seconds, 0.5), "ms")
        yield Figure(f"{name} at {where}, p99", 1e3 * quantile(seconds, 0.99), "ms")
        yield Figure(f"{name} at {where}, processor time a key", 1e3 * used[name] / (10 * rounds), "ms")
