"""Command lines as typed, away from any terminal, and a plan for them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

from tests.terminal.terminal import environment

ROOT = Path(__file__).parents[2]

PLAN = """\
format = 1
title = "Slipway cuff [red]"
[machine]
pitch_mm = 4.5
carriage = "left"
[panel]
needles = "L9-R8"
rows = 20
stitch_size = 5
out_of_work = ["L8"]
weights_every = 6
[[cable]]
name = "rope"
cross = ["R1-R3 over L3-L1", "L3-L1 over R1-R3"]
first_row = 3
every = 6
ease = ["enlarge", "extra rows"]
enlarged_size = 9
extra_rows = 2
[[cable]]
name = "bead"
cross = "R5 over R6-R8"
first_row = 3
every = 5
ease = "by hand"
[[band]]
rows = "9-11"
stitch_size = 6
colour = "slate"
[[reminder]]
row = 5
text = "tie a marker"
"""


def run(
    *arguments: str | Path, env: dict[str, str | None] | None = None, **more: Any
) -> subprocess.CompletedProcess[str]:
    """One command line, as typed, away from any terminal."""
    argv = [sys.executable, "-m", "purlside", *map(str, arguments)]
    settings: dict[str, Any] = {
        "stdin": subprocess.DEVNULL,
        "capture_output": True,
        "text": True,
        "timeout": 60,
        **more,
    }
    return subprocess.run(argv, env=environment(env), **settings)
