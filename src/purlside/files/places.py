"""On which line of a TOML text each key stands.

The parser of the standard library gives values without places. This walk over
a text that it has already accepted finds the line of every key, table and
list element, so that a refusal can name it, and the characters it takes, so
that an edit can change it and nothing else.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from enum import Enum

from purlside.values import Value

Key = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' + r"'''.*?'{3,5}|" + r'"(?:[^"\\\n]|\\.)*"|' + r"'[^'\n]*'", re.DOTALL
)
_SCALAR = re.compile(r"[^,\]}#\n]+")


def lines_of(text: str) -> dict[Key, int]:
    """The line, counted from 1, of each key of a valid TOML text.

    Of a text nested too deep to be walked, the keys before that.
    """
    walk = _Walk(text)
    with contextlib.suppress(RecursionError):
        walk.through()
    lines: dict[Key, int] = {}
    at, line = 0, 1
    for key, spot in walk.spots.items():
        line += text.count("\n", at, spot.start)
        at = spot.start
        if spot.form in (Layout.TABLE, Layout.ENTRY):
            # Named before only by a table in it, it stands here.
            lines[key] = line
        for end in range(1, len(key) + 1):
            lines.setdefault(key[:end], line)
    return lines


class Layout(Enum):
    """How a key is written: a ``[table]``, a ``[[table]]`` of a list, a line, or inside a list or an inline table."""

    TABLE = "table"
    ENTRY = "entry"
    LINE = "line"
    INSIDE = "inside"


class Spot(Value):
    """Where a key stands: its first character, its value's first, and the end of it.

    A header has no value: ``value`` is its end. ``owner`` is the table whose
    header a line stands under.
    """

    form: Layout
    start: int
    value: int
    end: int
    owner: Key


def spots_of(text: str) -> dict[Key, Spot]:
    """The characters each key of a valid TOML text takes, in the order written.

    A table only named through what is inside it has none. Raises RecursionError
    for a text nested too deep.
    """
    walk = _Walk(text)
    walk.through()
    return walk.spots


def _meaning(quoted: str) -> str:
    """What a key in quotes says, escapes read."""
    if quoted[:1] == '"' and "\\" in quoted:
        with contextlib.suppress(tomllib.TOMLDecodeError):
            return str(tomllib.loads(f"key = {quoted}")["key"])
    return quoted[1:-1]


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.spots: dict[Key, Spot] = {}
        self._lists: dict[Key, int] = {}

    def through(self) -> None:
        table: Key = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            before = self.at
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)
            if self.at == before:
                break

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if not match:
            return ""
        self.at = match.end()
        return match[0]

    def _dotted(self) -> Key:
        parts: list[str] = []
        while True:
            self._skip(_SPACE)
            quoted = self.text[self.at : self.at + 1] in ('"', "'")
            part = _meaning(self._skip(_STRING)) if quoted else self._skip(_BARE_KEY)
            parts.append(part)
            self._skip(_SPACE)
            if self.text[self.at : self.at + 1] != ".":
                return tuple(parts)
            self.at += 1

    def _header(self) -> Key:
        start = self.at
        each = self.text.startswith("[[", self.at)
        self.at += 2 if each else 1
        name = self._dotted()
        self.at += 2 if each else 1
        table: Key = ()
        for depth, part in enumerate(name):
            table = (*table, part)
            if each and depth == len(name) - 1:
                self._lists[table] = self._lists.get(table, -1) + 1
            if table in self._lists:
                table = (*table, self._lists[table])
        self.spots[table] = Spot(Layout.ENTRY if each else Layout.TABLE, start, self.at, self.at, table)
        return table

    def _pair(self, table: Key, form: Layout = Layout.LINE) -> None:
        start = self.at
        key = (*table, *self._dotted())
        self.at += 1
        self._value(key, form, start, table)

    def _value(self, key: Key, form: Layout, start: int, owner: Key) -> None:
        self._skip(_SPACE)
        value = self.at
        # Its place is kept before those of what is inside it: in the order written.
        self.spots[key] = Spot(form, start, value, value, owner)
        char = self.text[self.at : self.at + 1]
        if char == "[":
            self.at += 1
            self._inside(key, "]")
        elif char == "{":
            self.at += 1
            self._inside(key, "}")
        elif char in ('"', "'"):
            self._skip(_STRING)
        else:
            self._skip(_SCALAR)
        end = value + len(self.text[value : self.at].rstrip())
        self.spots[key] = Spot(form, start, value, end, owner)

    def _inside(self, key: Key, end: str) -> None:
        place = 0
        self._skip(_BLANK)
        while self.at < len(self.text) and self.text[self.at] != end:
            before = self.at
            if end == "]":
                self._value((*key, place), Layout.INSIDE, self.at, key)
            else:
                self._pair(key, Layout.INSIDE)
            place += 1
            self._skip(_BLANK)
            if self.text[self.at : self.at + 1] == ",":
                self.at += 1
                self._skip(_BLANK)
            if self.at == before:
                return
        self.at += 1
