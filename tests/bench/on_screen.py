"""What a knitter at the bedside would notice: the first step, each key, many keys, long plans, memory."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from statistics import mean, median

from tests.bench.figures import Figure
from tests.bench.measure import Painted, Program, home, interleaved, opened, painted, quantile, resident, steps
from tests.bench.plans import write_plan
from tests.terminal.terminal import KEYS, Terminal

HERE = Path(__file__).parent
SHAPED = HERE.parents[1] / "patterns" / "slipway-jersey-front.toml"
EMPTY = Program("empty app", (sys.executable, str(HERE / "empty_app.py")), "ready")
BARE = Program("bare strip", (sys.executable, str(HERE / "bare_strip.py")), "step 0")
FIRST_STEP = "Knit"
"""A word of the first step, drawn in one style."""
LENGTHS = (100, 1_000, 20_000)
JUMPS = 4
"""There and back, each time a program is opened: one jump alone says little."""
FLOOD = 500
NARROW = (119, 50)
"""Too narrow for the picture that is drawn in pauses: it would count to the keys before it."""
_TIMES = re.compile(r"\babout \d.* a row\b.*|\d+:\d\d|\b\d+(\.\d+)? ?(s|min|h)\b")


def app(plan: Path, **env: str | None) -> Program:
    return Program("Purlside", (sys.executable, "-m", "purlside", str(plan)), FIRST_STEP, env)


def first_step(folder: Path, rounds: int) -> Iterator[Figure]:
    plan = write_plan(folder, "first")

    def start(program: Program) -> float:
        terminal, seconds = opened(program, (100, 30))
        terminal.close()
        return seconds

    taken = interleaved(rounds, ours=lambda: start(app(plan)), base=lambda: start(EMPTY))
    yield Figure(
        "first step painted / first paint of an empty app",
        1e3 * median(taken["ours"]),
        "ms",
        1e3 * median(taken["base"]),
        1.4,
    )


def memory(folder: Path, rounds: int) -> Iterator[Figure]:
    plan = write_plan(folder, "memory")
    used: dict[str, list[int]] = {"ours": [], "base": []}
    for _ in range(max(1, rounds // 4)):
        with home() as env:
            for name, program in (("ours", app(plan, **env)), ("base", EMPTY)):
                terminal, _ = opened(program)
                with terminal:
                    terminal.settle(0.3)
                    used[name].append(resident(terminal))
                    if name == "ours":
                        steps(terminal, 200)
                        used.setdefault("later", []).append(resident(terminal))
    base = median(used["base"]) / 1e6
    yield Figure("memory, first step / empty app", median(used["ours"]) / 1e6, "MB", base, 1.3)
    yield Figure("memory after 200 steps / empty app", median(used["later"]) / 1e6, "MB", base)


def keys(folder: Path, rounds: int) -> Iterator[Figure]:
    """250 needles, the whole bedside screen, against the bare strip; blocks of 25 keys in turns."""
    yield from _keys(write_plan(folder, "keys"), "", rounds)


def shaped(folder: Path, rounds: int) -> Iterator[Figure]:
    """The same with a shaped front: ever other needles in work, and the two sides of a neck."""
    plan = Path(shutil.copy(SHAPED, folder))
    yield from _keys(plan, "shaped front, ", rounds)
    with home() as env:
        terminal, _ = opened(app(plan, **env), (100, 30))
        with terminal:
            terminal.settle(0.3)
            for row in (220, 3, 230):
                terminal.press("g")
                terminal.settle(0.15)
                terminal.press(*str(row))
                terminal.settle(0.15)
                yield Figure(f"shaped front, jump to row {row}", 1e3 * painted(terminal, KEYS["enter"]).seconds, "ms")


def _keys(plan: Path, what: str, rounds: int) -> Iterator[Figure]:
    with home() as env:
        ours, _ = opened(app(plan, **env))
        base, _ = opened(BARE)
        taken: dict[str, list[Painted]] = {"ours": [], "base": []}
        with ours, base:
            for terminal in (ours, base):
                terminal.settle(0.3)
                steps(terminal, 10)
            for _ in range(2 * rounds):
                taken["ours"] += steps(ours, 25)
                taken["base"] += steps(base, 25)
    for part in (0.5, 0.99):
        ms = {name: 1e3 * quantile([one.seconds for one in of], part) for name, of in taken.items()}
        yield Figure(f"{what}key to painted, p{part * 100:.0f} / bare strip", ms["ours"], "ms", ms["base"], 1.5)
    kb = {name: mean(one.bytes for one in of) / 1e3 for name, of in taken.items()}
    yield Figure(f"{what}to the terminal a step, mean / bare strip", kb["ours"], "kB", kb["base"], most=8)
    yield Figure(f"{what}to the terminal a step, largest", max(one.bytes for one in taken["ours"]) / 1e3, "kB", most=8)


def flood(folder: Path, rounds: int) -> Iterator[Figure]:
    """500 keys at once, on a usual disk and on a slow one, against the bare strip; the last state
    must be that of 500 keys one by one."""
    plan = write_plan(folder, "flood")
    slow = {"PYTHONPATH": str(HERE / "slow_disk")}
    with home() as env:
        terminal, _ = opened(app(plan, **env), NARROW)
        with terminal:
            steps(terminal, FLOOD)
            wanted = state(terminal)
    taken: dict[str, list[float]] = {"ours": [], "slow": [], "base": []}
    right = {"ours": True, "slow": True}
    for _ in range(max(1, rounds // 4)):
        for name, program, extra in (("ours", app(plan), {}), ("slow", app(plan), slow), ("base", BARE, {})):
            with home() as env:
                terminal, _ = opened(Program(program.name, program.argv, program.awaited, {**env, **extra}), NARROW)
                with terminal:
                    terminal.settle(0.3)
                    taken[name].append(1e3 * painted(terminal, b" " * FLOOD, quiet=0.4).seconds)
                    if name in right:
                        right[name] &= state(terminal) == wanted
    base = median(taken["base"])
    yield Figure(f"{FLOOD} keys at once / bare strip", median(taken["ours"]), "ms", base, most=300, right=right["ours"])
    yield Figure(
        f"{FLOOD} keys at once, fsync of 30 ms", median(taken["slow"]), "ms", base, most=300, right=right["slow"]
    )
    with home() as env:
        terminal, _ = opened(app(plan, **env, **slow))
        with terminal:
            terminal.settle(0.3)
            one = [1e3 * step.seconds for step in steps(terminal, 100)]
    yield Figure("key to painted, fsync of 30 ms, p50", quantile(one, 0.5), "ms")
    yield Figure("key to painted, fsync of 30 ms, p99", quantile(one, 0.99), "ms")


def lengths(folder: Path, rounds: int) -> Iterator[Figure]:
    """Opening, stepping, jumping and going back in plans of a hundred to 20,000 rows."""
    plans = {rows: write_plan(folder, f"rows-{rows}", rows=rows) for rows in LENGTHS}
    taken: dict[str, dict[int, list[float]]] = {}

    def note(what: str, rows: int, seconds: float) -> None:
        taken.setdefault(what, {}).setdefault(rows, []).append(1e3 * seconds)

    for _ in range(max(2, rounds // 3)):
        for rows, plan in plans.items():
            with home() as env:
                terminal, seconds = opened(app(plan, **env), (100, 30))
                note("open", rows, seconds)
                with terminal:
                    terminal.settle(0.3)
                    for one in steps(terminal, 25):
                        note("step", rows, one.seconds)
                    for turn in range(JUMPS):
                        for what, row in (("jump to a far row", rows - 10 - turn), ("jump back", 3 + turn)):
                            terminal.press("g")
                            terminal.settle(0.15)
                            terminal.press(*str(row))
                            terminal.settle(0.15)
                            note(what, rows, painted(terminal, KEYS["enter"]).seconds)
                            note(f"step after {what}", rows, painted(terminal, b" ").seconds)
                            note(f"step back after {what}", rows, painted(terminal, KEYS["backspace"]).seconds)
                    terminal.press("g")
                    terminal.settle(0.15)
                    terminal.press(*str(rows - 10), "enter")
                    terminal.settle(0.3)
                    terminal.kill()
                    terminal.wait()
                terminal, seconds = opened(app(plan, **env), (100, 30))
                terminal.close()
                note("open at a far row", rows, seconds)
    for what, by_rows in taken.items():
        for rows in LENGTHS[1:]:
            base = median(by_rows[LENGTHS[0]])
            yield Figure(f"{what}, {rows:,} / {LENGTHS[0]} rows", median(by_rows[rows]), "ms", base, 1.2)


def state(terminal: Terminal) -> list[str]:
    """The screen without what depends on the clock, once what is drawn in pauses is drawn."""
    terminal.settle(0.5)
    return [_TIMES.sub("", line) for line in terminal.lines]
