"""Many files through every command in a process of its own, held to a limit of memory and told of at the end.

``python -m tests.hostile.child SEED FIRST AFTER``: files FIRST to AFTER - 1 of a seed. ``… adversarial NAME …``: those
plans. Prints one JSON object: how many ended how, what went wrong, the most memory used in MB.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.hostile import adversarial
from tests.hostile.generating import files
from tests.hostile.handled import handle
from tests.plans import toml

HARD_MB = 1500
"""Address space, so that a file that asks for the whole machine is stopped; what is used is held to less afterwards."""


def main(words: list[str]) -> None:
    """Handle what the words ask for, and print how it went."""
    resource.setrlimit(resource.RLIMIT_AS, (HARD_MB << 20, HARD_MB << 20))
    wrong: list[str] = []
    ended: Counter[int] = Counter()
    with tempfile.TemporaryDirectory(prefix="purlside-hostile-") as folder:
        home = Path(folder)
        os.environ["PURLSIDE_HOME"] = folder
        os.chdir(home)
        plan = home / "plan.toml"
        for name, content in _asked(words):
            plan.write_bytes(content)
            try:
                ended[int(handle(plan, home, all_commands="adversarial" not in words))] += 1
            except (AssertionError, MemoryError) as error:
                wrong.append(f"{name}: {type(error).__name__}: {error}"[:2000])
    print(json.dumps({"ended": ended, "wrong": wrong, "mb": _most_mb()}))


def _most_mb() -> int:
    """The most memory this program has held. Linux's ru_maxrss would also count what started it."""
    status = Path("/proc/self/status")
    if status.exists():
        [line] = [line for line in status.read_text().splitlines() if line.startswith("VmHWM:")]
        return int(line.split()[1]) // 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def _asked(words: list[str]) -> Iterator[tuple[str, bytes]]:
    if words[0] == "adversarial":
        yield from ((name, toml(adversarial.PLANS[name]()).encode()) for name in words[1:])
    else:
        seed, first, after = map(int, words)
        yield from files(seed, range(first, after))


if __name__ == "__main__":
    main(sys.argv[1:])
