"""Measures and prints a table: ``python -m tests.bench [part ...] [--rounds N] [--json FILE]``.

Every figure stands beside what it is measured against, taken in the same run
and in turns, because a machine's own speed and load change from run to run.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

from tests.bench import at_the_table, off_screen, on_screen
from tests.bench.figures import Figure, table

Part = Callable[[Path, int], Iterator[Figure]]
ON_SCREEN: dict[str, Part] = {
    "first": on_screen.first_step,
    "keys": on_screen.keys,
    "shaped": on_screen.shaped,
    "flood": on_screen.flood,
    "lengths": on_screen.lengths,
    "memory": on_screen.memory,
    "drafting": at_the_table.drafting,
}
PARTS: dict[str, Part] = {**ON_SCREEN, "passes": off_screen.passes, "planner": off_screen.planner}


def main() -> int:
    words = argparse.ArgumentParser(prog="python -m tests.bench", description="How fast Purlside is, as ratios.")
    words.add_argument("parts", nargs="*", metavar="part", help=f"one of {', '.join(PARTS)}; default: all")
    words.add_argument("--rounds", type=int, default=12, help="how often each thing is measured; default 12")
    words.add_argument("--json", type=Path, metavar="FILE", help="write the figures to this file too")
    asked = words.parse_args()
    if unknown := [part for part in asked.parts if part not in PARTS]:
        words.error(f"no part {', '.join(unknown)}; the parts are {', '.join(PARTS)}")
    figures: list[Figure] = []
    failed = False
    with tempfile.TemporaryDirectory(prefix="bench-plans-") as folder:
        for name in asked.parts or PARTS:
            if name in ON_SCREEN and find_spec("purlside.app") is None:
                print(f"{name}: the app is not installed here", file=sys.stderr)
                continue
            print(f"{name} …", file=sys.stderr)
            try:
                figures += PARTS[name](Path(folder), asked.rounds)
            except AssertionError as error:
                failed = True
                print(f"{name}: {error}", file=sys.stderr)
    print(table(figures))
    if asked.json:
        asked.json.write_text(json.dumps([figure.json() for figure in figures], indent=1) + "\n", encoding="utf-8")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
