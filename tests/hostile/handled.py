"""One plan file through everything a stranger's file can reach, and what must hold each time.

:func:`handle` runs the commands in this process and raises AssertionError if
one leaves a traceback, a refusal without its line and key, or text that is
more than text.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from purlside.commands import main as commands
from purlside.keep import shelf

MOST_SECONDS = 2.0
"""CPU time one command may take with one file, on the machine of :data:`LOOP_SECONDS`."""

TRIES = 3
"""What else runs beside a test costs it CPU time too (caches, shared cores): the best of so many tries counts."""

LOOP_SECONDS = 0.023
"""CPU time of the loop of :func:`slowness` where the limit was set, with nothing else running."""


def slowness() -> float:
    """How many times slower than there this machine is just now, at least 1."""
    begun = time.process_time()
    sum(i % 7 for i in range(500_000))
    return max(1.0, (time.process_time() - begun) / LOOP_SECONDS)


PLACED = re.compile(r":(?P<line>\d+): (?P<where>[^:]+): found .+; allowed: .+", re.DOTALL)
WHOLE_FILE = re.compile(r": (the plan: found .+|[^:]+: found nothing); allowed: .+", re.DOTALL)
ACTIVE = re.compile(
    r"<script|<iframe|<object|<embed|<foreignObject|=[\"']\s*javascript:|\son\w+\s*=\s*[\"']|<a\s+href=[\"'](?!#)",
    re.IGNORECASE,
)

DISTURBING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\u200e\u200f\u202a-\u202e\u2066-\u2069\u061c]"
)
"""C0 and C1 controls, ends of line and paragraph, halves of characters, marks that turn the direction of writing."""

COMMANDS: list[tuple[str, ...]] = [
    ("check",),
    ("passes", "--rows", "1"),
    ("passes", "--rows", "1", "--json"),
    ("figures",),
    ("figures", "--json"),
    ("picture", "--rows", "1"),
    ("picture", "--rows", "1", "--describe"),
    ("picture", "--rows", "1", "-o", "OUT.svg"),
    ("sheet", "-o", "OUT.txt"),
    ("sheet", "-o", "OUT.html"),
    ("sheet", "-o", "OUT.md", "--detail", "short"),
    ("sheet", "-o", "OUT.csv"),
]

HEAVY = [words for words in COMMANDS if words[0] in ("figures", "sheet") and not {"--json", "OUT.md"} & set(words)]
"""The commands that look at the whole plan."""


Found = TypeVar("Found")


class Slow(AssertionError):
    """A command that took more than MOST_SECONDS."""


def run(words: tuple[str, ...], plan: Path, out: Path) -> tuple[int, str, str, str]:
    """Exit code, stdout, stderr and the file written by one command line."""
    argv = [words[0], str(plan), *(w.replace("OUT", str(out / "out")) for w in words[1:])]
    made = next((Path(a) for a in argv if a.startswith(str(out / "out"))), None)

    def once() -> tuple[int, str, str, str]:
        if made is not None:
            made.unlink(missing_ok=True)
        stdout, stderr = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(stdout), contextlib.redirect_stderr(stderr):
            try:
                code = commands.main(argv)
            except SystemExit as error:
                code = error.code if isinstance(error.code, int) else 2
        file = made.read_text("utf-8") if made is not None and made.exists() else ""
        return code, stdout.getvalue(), stderr.getvalue(), file

    return in_time(" ".join(words), once)


def in_time(name: str, once: Callable[[], Found]) -> Found:
    """What was found. Raises Slow where the best of :data:`TRIES` took more than :data:`MOST_SECONDS`."""
    best = float("inf")
    for _ in range(TRIES):
        begun = time.process_time()
        found = once()
        took = time.process_time() - begun
        best = min(best, took if took <= MOST_SECONDS else took / slowness())
        if best <= MOST_SECONDS:
            return found
    raise Slow(f"{name} took {best:.1f} s")


def handle(plan: Path, out: Path, *, all_commands: bool = True) -> int:
    """Check one file with every command, or the heavy ones. Gives the exit code of ``check``."""
    code, stdout, stderr, _ = run(("check",), plan, out)
    fine("check", code, stdout, stderr, "")
    if code == 2:
        assert stderr.strip(), "refused without a word"
        for line in stderr.splitlines():
            assert PLACED.search(line) or WHOLE_FILE.search(line), f"refused without line and key: {line!r}"
    others = (COMMANDS[1:] if all_commands else HEAVY) if code == 0 else COMMANDS[1:2]
    for words in others:
        ended, stdout, stderr, file = run(words, plan, out)
        assert (ended == 0) == (code == 0), f"{words}: {ended}, but check gave {code}: {stderr}"
        fine(" ".join(words), ended, stdout, stderr, file)
        if "--json" in words and ended == 0:
            json.loads(stdout)
    on_shelf(plan)
    return code


def fine(name: str, code: int, stdout: str, stderr: str, file: str) -> None:
    """No mistake of the program's own; text that is only text; pages that run nothing."""
    assert code in (0, 1, 2), f"{name}: {code}"
    for text in (stdout, stderr, file):
        assert "Traceback" not in text and "mistake of its own" not in text, f"{name}: {text[-3000:]}"
        disturbing = DISTURBING.search(text.replace("\r\n", "\n"))
        assert disturbing is None, f"{name}: U+{ord(disturbing[0]):04X} in what is shown" if disturbing else ""
    if file:
        assert not ACTIVE.search(file) or "csv" in name or "txt" in name or "md" in name, f"{name}: not only text"
    assert code == 0 or stderr.strip(), f"{name}: ended {code} and said nothing"


def on_shelf(plan: Path) -> None:
    """The shelf lists the file, with what is in it or with the reason why not."""
    shelf.opened(plan)
    found = in_time("the shelf", shelf.plans)
    [first, *_] = [one for one in found if one.path == Path(os.path.abspath(plan))]
    shelf.forget(plan)
    assert first.summary if first.plan is not None else first.reason
    said = first.title + first.reason + first.summary + first.progress
    assert not DISTURBING.search(said) and "\n" not in said
