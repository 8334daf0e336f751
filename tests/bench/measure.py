"""Taking times. "Painted" is when the bytes of the picture have come out of the pseudo-terminal."""

from __future__ import annotations

import math
import re
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.terminal.terminal import FRAME, Terminal, environment

SIZE = (270, 50)
"""Columns and rows: 250 needles and a margin."""
QUIET = 0.03
"""Seconds without a byte after which a picture counts as complete."""
LONGEST = 20.0
"""Seconds after which a measurement is given up."""

_SEQUENCES = re.compile(rb"\x1b\[[0-9;?<=>]*[$]?[@-~]")


@dataclass(frozen=True)
class Program:
    """What is started, and the text that shows its first picture is there."""

    name: str
    argv: tuple[str, ...]
    awaited: str
    env: Mapping[str, str | None] = field(default_factory=dict)


@contextmanager
def home() -> Iterator[dict[str, str | None]]:
    """Environment of a knitter who has just installed Purlside: nothing kept, compiled files allowed, each key counted."""
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        names = ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME")
        yield {
            "PYTHONDONTWRITEBYTECODE": None,
            "TEXTUAL": None,
            **dict.fromkeys(names, folder),
            "PURLSIDE_HOME": str(Path(folder) / "kept"),
        }


def opened(program: Program, size: tuple[int, int] = SIZE) -> tuple[Terminal, float]:
    """Starts it; gives the terminal and the seconds from start to its first picture."""
    with home_or(program.env) as env:
        begun = time.perf_counter()
        terminal = Terminal(program.argv, env=env, size=size)
    awaited = program.awaited.encode()
    deadline = begun + LONGEST
    while FRAME in terminal.modes or awaited not in _SEQUENCES.sub(b"", bytes(terminal.raw)):
        if not terminal.read(0.5) and (terminal.process.poll() is not None or time.perf_counter() > deadline):
            message = f"{program.name}: {program.awaited!r} did not come\n{terminal}"
            terminal.close()
            raise AssertionError(message)
    return terminal, terminal.last_read - begun


@contextmanager
def home_or(env: Mapping[str, str | None]) -> Iterator[Mapping[str, str | None]]:
    if env:
        yield env
    else:
        with home() as fresh:
            yield fresh


@dataclass(frozen=True)
class Painted:
    """One key, or many at once: seconds until the last byte of the picture, and its bytes."""

    seconds: float
    bytes: int


def painted(terminal: Terminal, keys: bytes, quiet: float = QUIET) -> Painted:
    """Sends keys and waits until the picture is complete; the quiet after it is not counted."""
    while terminal.read(0):
        pass  # what was painted since the last key belongs to none
    before = terminal.received
    begun = time.perf_counter()
    terminal.write(keys)
    if terminal.received == before and not terminal.read(LONGEST):
        raise AssertionError(f"no answer to {keys!r}\n{terminal}")
    while terminal.read(quiet):
        pass
    return Painted(terminal.last_read - begun, terminal.received - before)


def steps(terminal: Terminal, count: int, key: bytes = b" ") -> list[Painted]:
    """The same key again and again, each after the picture of the one before."""
    return [painted(terminal, key) for _ in range(count)]


def resident(terminal: Terminal) -> int:
    """Bytes of memory in use by the program (RSS)."""
    status = Path(f"/proc/{terminal.process.pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", status)
    assert found is not None
    return int(found.group(1)) * 1024


def ran(argv: Sequence[str], env: Mapping[str, str | None]) -> float:
    """Seconds from start to end of a program without a terminal."""
    begun = time.perf_counter()
    subprocess.run(argv, env=environment(env), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begun


def interleaved(rounds: int, **jobs: Callable[[], float]) -> dict[str, list[float]]:
    """Runs the jobs side by side, in turns and in changing order, so that a busy moment hits all alike.
    A first round is thrown away: it compiles files and fills caches."""
    taken: dict[str, list[float]] = {name: [] for name in jobs}
    for number in range(rounds + 1):
        for name in sorted(jobs, reverse=bool(number % 2)):
            seconds = jobs[name]()
            if number:
                taken[name].append(seconds)
    return taken


def quantile(values: Sequence[float], part: float) -> float:
    """The smallest value that at least ``part`` of the values do not exceed."""
    ordered = sorted(values)
    return ordered[max(0, math.ceil(len(ordered) * part) - 1)]
