"""What commands share: exit codes, what goes to stdout and stderr, reading a plan and a span of rows."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from enum import IntEnum
from typing import TYPE_CHECKING, Any

from purlside.text.harmless import printed, shown

if TYPE_CHECKING:
    from purlside.files.planfile import PlanFile


class Exit(IntEnum):
    """What a command says to the shell (outside contract)."""

    FINE = 0
    FAULTS = 1
    UNREADABLE = 2


class CommandError(Exception):
    """A command line that is wrong, or a plan with faults: said on stderr, then ``code``."""

    def __init__(self, message: str, code: Exit = Exit.UNREADABLE) -> None:
        super().__init__(message)
        self.code = code


@contextmanager
def refusing(wrong: type[Exception] = ValueError, begun: str = "", code: Exit = Exit.UNREADABLE) -> Iterator[None]:
    """What is wrong in here is a wrong command line, said in the error's words after ``begun``. Raises CommandError."""
    try:
        yield
    except wrong as error:
        raise CommandError(f"{begun}{error}", code) from None


def say(text: str) -> None:
    """Write a message to stderr, with whatever was typed or read in it made harmless."""
    try:
        print(printed(text), file=sys.stderr, flush=True)
    except OSError:
        # Nobody hears it: what ends then must not end otherwise for that.
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115


def named(file: str) -> str:
    """A file's name as a message has it."""
    return shown(file, 200)


def suffix_of(file: str) -> str:
    """``".toml"``, in small letters."""
    return os.path.splitext(file)[1].lower()


def put(pieces: Iterable[str]) -> None:
    """Write results to stdout."""
    for piece in pieces:
        sys.stdout.write(piece)


def json_text(value: Any) -> str:
    """Strict JSON, indented: a number that is none is null."""
    import json

    return json.dumps(_finite(value), allow_nan=False, ensure_ascii=False, indent=1)


def _finite(value: Any) -> Any:
    if isinstance(value, float):
        return value if value - value == 0 else None
    if isinstance(value, dict):
        return {key: _finite(inner) for key, inner in value.items()}
    return [_finite(inner) for inner in value] if isinstance(value, list | tuple) else value


def lines_out(lines: Iterable[str]) -> None:
    put(f"{line}\n" for line in lines)


def read_plan(path: str) -> PlanFile:
    """Read a plan and refuse one with faults. Raises Refused or CommandError."""
    from purlside.files import planfile

    file = planfile.read(path)
    if faults := file.faults():
        raise CommandError("\n".join(map(str, faults)), Exit.FAULTS)
    return file


def rows_of(text: str | None, most: int) -> tuple[int, int]:
    """``"8-16"`` → (8, 16), within the panel."""
    from purlside.plan.repeats import RowSpan

    if text is None:
        return 1, most
    with refusing(begun="--rows: "):
        rows = RowSpan.parse(text)
    if rows.last > most:
        raise CommandError(f"--rows: found {rows}; allowed: rows of the panel, 1 to {most}")
    return rows.first, rows.last


def write_plan(out: str, text: str, *, force: bool = False) -> None:
    """Put a plan's text in a file; in place of another only with ``force``. Raises CommandError."""
    from purlside.files.planwriting import NotSaved, digest_of, save

    if suffix_of(out) != ".toml":
        raise CommandError(f"-o: found {named(out)}; allowed: a file name that ends in .toml")
    with refusing(NotSaved, "-o: "):
        save(out, text, digest_of(out) if force else None)
    say(f"{named(out)} written")


def write_result(out: str, plans: list[str], text: str, *, force: bool) -> Exit:
    """Put a sheet or a picture in a file. Raises CommandError."""
    from purlside.keep import results

    if any(os.path.realpath(out) == os.path.realpath(plan) for plan in plans[1:]):
        raise CommandError(f"-o: {named(out)} is one of the plans itself; name another file")
    with refusing(results.NotWritten, "-o: "):
        try:
            results.write(out, plans[0], text, force=force)
        except results.NotOurs as error:
            raise results.NotWritten(f"{error}, or write over it with --force") from None
    say(f"{named(out)} written")
    return Exit.FINE
