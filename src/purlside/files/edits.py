"""Edits of a TOML text that leave the rest of it as its author wrote it.

:func:`edited` sets and removes keys and adds and removes tables; comments, the
order of keys, quotes, spacing and line ends of everything else stay. Whatever
way the table is written (with a header, inline, with dotted keys), the text
after is read again and must say exactly what the edits mean, or
:class:`NotEdited` is raised and nothing is lost.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from purlside.files.places import Key, Layout, Spot, spots_of
from purlside.values import Value

LONG_LINE = 100
"""Lists longer than this are written over several lines."""


class Set(Value):
    """Give a key a value; the key and the tables around it are made if they are missing."""

    key: Key
    value: Any


class Remove(Value):
    """Take away a key, a table or an entry of a list; one that is not there is an error."""

    key: Key


class Add(Value):
    """Add a ``[[table]]`` with these values, as entry ``at`` of its list; None: after the last."""

    table: str
    values: Mapping[str, Any]
    at: int | None = None


Edit = Set | Remove | Add
Order = Callable[[Key], list[str]]
"""The keys a table may have, in the order they are written when new."""


class NotEdited(ValueError):
    """The text could not be changed so; it is written in a way this module does not change."""


def edited(text: str, edits: Iterable[Edit], order: Order = lambda key: []) -> str:
    """The text with the edits made one after another. Raises :class:`NotEdited`."""
    wanted = tomllib.loads(text)
    for edit in edits:
        try:
            text = _Text(text, order).make(edit)
            _make(wanted, edit)
        except (LookupError, TypeError) as error:
            raise NotEdited(f"{edit} finds no place: {error}") from error
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise NotEdited(f"the text would not be TOML any more: {error}") from error
    if _full(found) != _full(wanted):
        raise NotEdited("the text would not say what is wanted; write the plan afresh")
    return text


def _make(data: Any, edit: Edit) -> None:
    """The same edit, of the values."""
    if isinstance(edit, Add):
        entries = data.setdefault(edit.table, [])
        entries.insert(len(entries) if edit.at is None else edit.at, copy.deepcopy(dict(edit.values)))
        return
    *parents, last = edit.key
    for part in parents:
        data = data.setdefault(part, {}) if isinstance(part, str) else data[part]
    if isinstance(edit, Set):
        data[last] = copy.deepcopy(edit.value)
    else:
        del data[last]


def _full(data: Any) -> Any:
    """The values without empty tables and lists of tables, which say nothing."""
    if isinstance(data, dict):
        return {k: v for k, v in ((k, _full(v)) for k, v in data.items()) if v not in ({}, [])}
    return [_full(v) for v in data] if isinstance(data, list) else data


# --- values -----------------------------------------------------------------


def value_text(value: Any, nl: str = "\n") -> str:
    """A value as TOML."""
    match value:
        case bool():
            return "true" if value else "false"
        case float():
            return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
        case int():
            return str(value)
        case str():
            return _string(value, nl)
        case list() | tuple():
            items = [value_text(v, nl) for v in value]
            line = f"[{', '.join(items)}]"
            if len(line) <= LONG_LINE:
                return line
            return f"[{nl}" + "".join(f"    {item},{nl}" for item in items) + "]"
        case dict():
            pairs = ", ".join(f"{name_text(k)} = {value_text(v, nl)}" for k, v in value.items())
            return f"{{ {pairs} }}" if pairs else "{}"
    raise NotEdited(f"{value!r} cannot be written")


def name_text(name: str) -> str:
    """A key as TOML."""
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _string(name, "", lines=False)


def _string(text: str, nl: str, *, lines: bool = True) -> str:
    """Over several lines if the text has them; quotes stay as they are where they cannot end it."""
    several = lines and "\n" in text
    escaped = text.replace("\\", "\\\\")
    if not several or '"""' in text or text.endswith('"'):
        escaped = escaped.replace('"', '\\"')
    kept = "\t\n" if several else "\t"
    escaped = "".join(c if c in kept or (c >= " " and c != "\x7f") else f"\\u{ord(c):04X}" for c in escaped)
    return f'"""{nl}{escaped.replace(chr(10), nl)}"""' if several else f'"{escaped}"'


def pairs_text(values: Mapping[str, Any], nl: str = "\n") -> str:
    """The lines of a table."""
    return "".join(f"{name_text(k)} = {value_text(v, nl)}{nl}" for k, v in values.items())


# --- the text ---------------------------------------------------------------


class _Text:
    def __init__(self, text: str, order: Order) -> None:
        self.text, self.order = text, order
        self.nl = "\r\n" if "\r\n" in text else "\n"
        try:
            self.spots = spots_of(text)
        except RecursionError:
            raise NotEdited("tables or lists nested too deep") from None
        written = sorted((spot.start, key) for key, spot in self.spots.items() if spot.form is not Layout.INSIDE)
        self.headers = [(at, key) for at, key in written if self.spots[key].form is not Layout.LINE]

    def make(self, edit: Edit) -> str:
        match edit:
            case Set(key, value):
                return self._set(key, value)
            case Remove(key):
                return self._remove(key)
            case Add(table, values, at):
                return self._add(table, dict(values), at)

    # --- places --------------------------------------------------------------

    def _line_end(self, at: int) -> int:
        """Past the line's end."""
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end + 1

    def _line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _lines_under(self, table: Key) -> list[Key]:
        """The lines under one table's header, in the order written."""
        under = [(s.start, k) for k, s in self.spots.items() if s.form is Layout.LINE and s.owner == table]
        return [key for _, key in sorted(under)]

    def _lead(self, header: Key) -> int:
        """Where a table begins: its header, with the comments that stand right above it."""
        at = self._line_start(self.spots[header].start)
        floor = max((self._line_end(s.end) for s in self.spots.values() if s.end <= at), default=0)
        while at > floor:
            above = self._line_start(at - 1)
            if above < floor or not self.text[above:at].lstrip().startswith("#"):
                break
            at = above
        return at

    def _content_end(self, header: Key) -> int:
        """Past a table's last line, and the comments right below it."""
        last = max([self.spots[header].end, *(self.spots[k].end for k in self._lines_under(header))])
        at = self._line_end(last)
        following = next((key for start, key in self.headers if start > self.spots[header].start), None)
        stop = len(self.text) if following is None else self._lead(following)
        while at < stop and self.text[at : self._line_end(at)].strip().startswith("#"):
            at = self._line_end(at)
        return at

    def _insert(self, at: int, lines: str) -> str:
        before = self.text[:at]
        if before and not before.endswith("\n"):
            before += self.nl
        return before + lines + self.text[at:]

    # --- setting -------------------------------------------------------------

    def _set(self, key: Key, value: Any) -> str:
        spot = self.spots.get(key)
        if spot is not None and spot.form in (Layout.LINE, Layout.INSIDE):
            return self.text[: spot.value] + value_text(value, self.nl) + self.text[spot.end :]
        parent, name = key[:-1], key[-1]
        if not isinstance(name, str):
            raise IndexError(f"no entry {name}")
        if isinstance(value, dict) and not parent:
            return self._section(name, f"[{name_text(name)}]{self.nl}{pairs_text(value, self.nl)}")
        around = self.spots.get(parent)
        if not parent or (around is not None and around.form in (Layout.TABLE, Layout.ENTRY)):
            return self._new_line(parent, parent, name, value)
        if around is not None:
            return self._new_inner(parent, around, name, value)
        if dotted := [k for k in self.spots if k[: len(parent)] == parent and self.spots[k].form is Layout.LINE]:
            return self._new_line(self.spots[dotted[-1]].owner, parent, name, value)
        return self._set(parent, {name: value})

    def _new_line(self, owner: Key, table: Key, name: str, value: Any) -> str:
        """A new line for a key of ``table``, under the header of ``owner``, where its order puts it."""
        order = self.order(table)
        dotted = [*table[len(owner) :], name]
        line = f"{'.'.join(name_text(str(part)) for part in dotted)} = {value_text(value, self.nl)}{self.nl}"
        before = set(order[: order.index(name)]) if name in order else set(order)
        lines = [k for k in self._lines_under(owner) if k[: len(table)] == table]
        earlier = [k for k in lines if not order or k[len(table)] in before]
        if earlier:
            return self._insert(self._line_end(self.spots[earlier[-1]].end), line)
        if lines:
            return self._insert(self._line_start(self.spots[lines[0]].start), line)
        if owner:
            return self._insert(self._line_end(self.spots[owner].end), line)
        return self._insert(self._lead(self.headers[0][1]) if self.headers else len(self.text), line)

    def _new_inner(self, parent: Key, around: Spot, name: str, value: Any) -> str:
        if self.text[around.value] != "{":
            raise TypeError(f"{parent} is not a table")
        inner = [s.end for k, s in self.spots.items() if k[:-1] == parent]
        pair = f"{name_text(name)} = {value_text(value, self.nl)}"
        if inner:
            return self.text[: max(inner)] + f", {pair}" + self.text[max(inner) :]
        return self.text[: around.value] + f"{{ {pair} }}" + self.text[around.end :]

    # --- adding --------------------------------------------------------------

    def _section(self, name: str, lines: str) -> str:
        """A new table, after the last one its order puts before it."""
        order = self.order(())
        before = set(order[: order.index(name) + 1]) if name in order else set()
        earlier = [key for _, key in self.headers if not before or key[0] in before]
        if earlier:
            return self._spaced(self._content_end(earlier[-1]), lines)
        if self.headers:
            return self._spaced(self._lead(self.headers[0][1]), lines)
        return self._spaced(len(self.text), lines)

    def _spaced(self, at: int, lines: str) -> str:
        """Insert a table with an empty line before and after it."""
        before, after = self.text[:at], self.text[at:]
        if before and not before.endswith("\n"):
            before += self.nl
        if before.strip() and not before.endswith(("\n\n", "\n\r\n")):
            before += self.nl
        if after.strip() and not after.startswith(("\n", "\r\n")):
            lines += self.nl
        return before + lines + after

    def _add(self, table: str, values: dict[str, Any], at: int | None) -> str:
        entries = [key for _, key in self.headers if len(key) == 2 and key[0] == table and isinstance(key[1], int)]
        lines = f"[[{name_text(table)}]]{self.nl}{pairs_text(values, self.nl)}"
        listed = self.spots.get((table,))
        if listed is not None and listed.form is Layout.LINE:
            return self._add_inside(table, listed, values, at)
        if not entries:
            return self._section(table, lines)
        if at is None or at >= len(entries):
            inside = [key for _, key in self.headers if key[:2] == entries[-1]]
            return self._spaced(self._content_end(inside[-1]), lines)
        return self._spaced(self._lead(entries[at]), lines)

    def _add_inside(self, table: str, listed: Spot, values: dict[str, Any], at: int | None) -> str:
        items = [s for k, s in self.spots.items() if k[:-1] == (table,)]
        item = value_text(values, self.nl)
        if not items:
            return self.text[: listed.value] + f"[{item}]" + self.text[listed.end :]
        if at is None or at >= len(items):
            return self.text[: items[-1].end] + f", {item}" + self.text[items[-1].end :]
        return self.text[: items[at].start] + f"{item}, " + self.text[items[at].start :]

    # --- removing ------------------------------------------------------------

    def _remove(self, key: Key) -> str:
        spot = self.spots.get(key)
        if spot is not None and spot.form is Layout.LINE:
            return self.text[: self._line_start(spot.start)] + self.text[self._line_end(spot.end) :]
        if spot is not None and spot.form is Layout.INSIDE:
            return self._remove_inside(key, spot)
        cuts = [self._extent(k) for _, k in self.headers if k[: len(key)] == key]
        cuts += [
            (self._line_start(s.start), self._line_end(s.end))
            for k, s in self.spots.items()
            if s.form is Layout.LINE and k[: len(key)] == key and s.owner[: len(key)] != key
        ]
        if not cuts:
            raise KeyError(key)
        text = self.text
        for start, end in sorted(cuts, reverse=True):
            text = text[:start] + text[end:]
        at_the_end = max(end for _, end in cuts) == len(self.text)
        return text.rstrip() + self.nl if at_the_end else text

    def _extent(self, header: Key) -> tuple[int, int]:
        """A table with the comments that are its own, and the empty lines after it."""
        end = self._content_end(header)
        while end < len(self.text) and not self.text[end : self._line_end(end)].strip():
            end = self._line_end(end)
        return self._lead(header), end

    def _remove_inside(self, key: Key, spot: Spot) -> str:
        """A list's item or an inline table's pair, with one of the commas beside it."""
        after = re.compile(r"[ \t]*,[ \t]*").match(self.text, spot.end)
        if after:
            return self.text[: spot.start] + self.text[after.end() :]
        before = [s.end for k, s in self.spots.items() if k[:-1] == key[:-1] and s.end <= spot.start]
        return self.text[: max(before) if before else spot.start] + self.text[spot.end :]
