"""Plan files in: TOML read from disk, refused with file, line, key, found, allowed."""

from __future__ import annotations

import re
import stat
from functools import cached_property
from pathlib import Path

from purlside.plan.plan import Plan
from purlside.plan.problems import Key, Problem, Unfit
from purlside.text.harmless import shown
from purlside.values import Value

MOST_BYTES = 1_000_000
"""The largest plan file read. A limit of ours: a plan of 2,000 lines has about 60,000 bytes."""

MOST_PARTS = 50
"""Parts of a dotted key. A limit of ours: the parser's time and memory grow with their square."""

_LONG_KEY = rf"""(?a:(?:(?<![\w-])[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{MOST_PARTS}}}"""
_DEEP = r"(?:[\[{][^\[\]{}]*+){50}"
_LONG_NUMBER = r"[0-9_]{4300,}"


class Refusal(Value):
    """One reason a file is refused, with its place. ``line`` is 0 where there is none."""

    file: str
    line: int
    problem: Problem

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.problem}" if self.line else f"{self.file}: {self.problem}"


class Refused(Exception):
    """A plan file that could not be read; ``refusals`` has one entry or more."""

    def __init__(self, refusals: list[Refusal]) -> None:
        self.refusals = tuple(refusals)
        super().__init__("\n".join(map(str, refusals)))


class PlanFile(Value):
    """A plan that was read, and the text it was read from."""

    path: Path
    text: str
    plan: Plan

    @cached_property
    def _lines(self) -> dict[Key, int]:
        from purlside.files.places import lines_of

        return lines_of(self.text)

    def faults(self) -> list[Refusal]:
        """What keeps the plan from being knit; empty if it can be."""
        from purlside.rows import checking

        return [self.placed(problem) for problem in checking.faults(self.plan)]

    def advice(self) -> list[Refusal]:
        from purlside.rows import checking

        return [self.placed(problem) for problem in checking.advice(self.plan)]

    def placed(self, problem: Problem) -> Refusal:
        """The problem with the line of the text it stands on."""
        return Refusal(shown(str(self.path), 200), line_of(self._lines, problem.key), problem)


def line_of(lines: dict[Key, int], key: Key) -> int:
    """The line of a key, or of the nearest table around it; 0 if there is none."""
    for end in range(len(key), 0, -1):
        if key[:end] in lines:
            return lines[key[:end]]
    return 0


def read(path: str | Path) -> PlanFile:
    """Read and validate a plan file. Raises :class:`Refused` with every reason."""
    path = Path(path)
    text = read_text(path)
    return PlanFile(path, text, parse(text, shown(str(path), 200)))


def parse(text: str, file: str) -> Plan:
    """A plan from its text. Raises :class:`Refused`."""
    import tomllib

    if long := re.search(_LONG_KEY, text):
        found = f"a key of more than {MOST_PARTS} parts"
        raise Refused([Refusal(file, _line_at(text, long.start()), Problem((), found, "tables as in the README"))])
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refused([_syntax(file, text, error)]) from None
    # Imported where a text is read: a plan that another process has read needs none of it here.
    from purlside.files.tables import checked

    try:
        return checked(Plan, data)
    except RecursionError as error:
        raise Refused([_syntax(file, text, error)]) from None
    except Unfit as unfit:
        from purlside.files.places import lines_of

        lines, problems = lines_of(text), unfit.problems
    # A key that is missing before the first table stands nowhere: the file's first line is where it belongs.
    raise Refused([Refusal(file, line_of(lines, p.key) or (1 if p.key else 0), p) for p in problems])


def read_text(path: Path) -> str:
    """The text of a file that may be a plan. Raises :class:`Refused`."""
    file = shown(str(path), 200)

    def refuse(found: str, allowed: str = "a plan file (TOML)") -> Refused:
        return Refused([Refusal(file, 0, Problem((), found, allowed))])

    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise refuse("a directory")
        if not stat.S_ISREG(about.st_mode):
            raise refuse("something that is not a file")
        if about.st_size > MOST_BYTES:
            raise refuse(f"{about.st_size:,} bytes", f"at most {MOST_BYTES:,} bytes")
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise refuse(f"more than {MOST_BYTES:,} bytes", f"at most {MOST_BYTES:,} bytes")
    except FileNotFoundError:
        raise refuse("no such file") from None
    except PermissionError:
        raise refuse("a file that may not be read", "a file you may read") from None
    except (OSError, ValueError) as error:
        raise refuse(f"a file that cannot be read: {shown(getattr(error, 'strerror', None) or str(error))}") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(f"bytes that are not text, the first at byte {error.start + 1}", "text in UTF-8") from None
    if "\0" in text:
        raise refuse("bytes that are not text", "text in UTF-8")
    return text


def _line_at(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def _syntax(file: str, text: str, error: Exception) -> Refusal:
    """tomllib's message, its place taken out and put in front."""
    import tomllib

    if isinstance(error, RecursionError):
        deep = re.search(_DEEP, text)
        line = _line_at(text, deep.start()) if deep else 0
        return Refusal(file, line, Problem((), "tables or lists nested too deep", "tables as in the README"))
    if not isinstance(error, tomllib.TOMLDecodeError) and (digits := re.search(_LONG_NUMBER, text)):
        found = f"a number of {len(digits[0]):,} digits"
        return Refusal(file, _line_at(text, digits.start()), Problem((), found, "numbers as in the README"))
    message = str(error)
    line = 0
    if " (at line " in message:
        message, _, place = message.rpartition(" (at line ")
        line = int(place.split(",")[0])
    elif " (at end of document)" in message:
        message = message.replace(" (at end of document)", ", at the end of the file")
        line = _line_at(text, len(text))
    mend = next((words for begins, words in _MENDS if message.startswith(begins)), "")
    return Refusal(file, line, Problem((), shown(message, 120), "valid TOML", mend))


_MENDS = (
    ("Illegal character '\\n'", 'a text ends with " on the line it begins on'),
    ("Unterminated string", "a text of several lines ends as it begins, with three quotes"),
    ('Expected "\'"', "a text ends with ' on the line it begins on"),
    ("Invalid value", 'after = stands a text in "quotes", a number as 5 or 4.5, or a list as ["L3", "R3"]'),
    ("Expected '='", "a key, then =, then a value"),
    ("Expected newline", "one key and its value a line; a remark begins with #"),
    ("Cannot overwrite", "this key stands there already: keep one"),
    ("Cannot declare", "this table stands there already: keep one, or write [[cable]] for one of several"),
    ("Expected ']]'", "one of several tables is written [[cable]]"),
    ("Expected ']'", "a table is written [panel]"),
    ("Unclosed array", "a list ends with ], a comma between any two"),
    ("Unclosed inline table", "what begins with { ends with } on the same line, a comma between any two"),
    ("Unescaped", "write \\\\ for a backslash in a text"),
    ("Invalid statement", "a line is a key = value, a [table], a # remark, or empty"),
)
"""How what a parser's message begins with is mended, in words."""
