"""Tables that check themselves: plain frozen dataclasses whose fields say what they allow.

A table made by hand refuses what a file would be refused for, and with the same
words; texts are read as the file's are, lists become tuples, so that every
table can be hashed::

    class Tools(Checked):
        prongs: Annotated[tuple[int, ...] | None, ListOf(Whole(1, 20), 100, "…")] = None

    Tools(prongs=[1, 2, 3]).prongs      # (1, 2, 3)
    Tools(prongs=[0])                   # raises Unfit: prongs 1: found 0; allowed: …
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import MISSING, field, fields
from typing import Any, dataclass_transform, get_type_hints

from purlside.plan.kinds import Allowed, refused
from purlside.plan.problems import Problem, Unfit, found_text
from purlside.values import Value


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field,))
class Checked(Value):
    """A table. Raises :class:`purlside.plan.problems.Unfit` with every problem of its keys, or else of several together."""

    def __init_subclass__(cls, *, kw_only: bool = True) -> None:
        super().__init_subclass__(kw_only=kw_only)

    def __post_init__(self) -> None:
        problems: list[Problem] = []
        allowed = kinds(type(self))
        for each in fields(self):
            value = getattr(self, each.name)
            if value is None and each.default is None:
                continue
            try:
                object.__setattr__(self, each.name, allowed[each.name].read(value))
            except Unfit as unfit:
                problems += [p.under(each.name) for p in unfit.problems]
        if problems := problems or list(self.together()):
            raise Unfit(problems)

    def together(self) -> Iterator[Problem]:
        """What only several keys show, each right by itself."""
        return iter(())

    def wrong(self, why: str, *key: str | int) -> Problem:
        """A problem at a key of this table, or of a table inside it."""
        value: Any = self
        kind: type[Checked] = type(self)
        words = ""
        for part in key:
            value = value[part] if isinstance(part, int) else getattr(value, part)
            if isinstance(part, str):
                words = kinds(kind)[part].words
                kind = table(kind, part) or kind
        return Problem(key, found_text(value), words, why)


class Inside(Allowed, Value):
    """A table in a table."""

    table: type[Checked]
    words: str

    def read(self, value: Any) -> Any:
        if not isinstance(value, self.table):
            raise refused(self, value)
        return value

    def written(self, value: Checked) -> dict[str, Any]:
        return written(value)


class Entries(Allowed, Value):
    """A list of tables, written ``[[name]]``."""

    table: type[Checked]
    name: str
    most: int

    @property
    def words(self) -> str:
        return f"at most {self.most:,} [[{self.name}]] tables"

    def read(self, value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list | tuple) or len(value) > self.most:
            raise refused(self, value)
        if wrong := [
            Problem((i,), found_text(v), self.words) for i, v in enumerate(value) if not isinstance(v, self.table)
        ]:
            raise Unfit(wrong)
        return tuple(value)

    def written(self, value: tuple[Checked, ...]) -> list[dict[str, Any]]:
        return [written(entry) for entry in value]


_KINDS: dict[type[Checked], dict[str, Allowed]] = {}


def kinds(kind: type[Checked]) -> dict[str, Allowed]:
    """The keys of a table, in the order they are usually written, and what each allows."""
    if kind not in _KINDS:
        hints = get_type_hints(kind, include_extras=True)
        _KINDS[kind] = {each.name: hints[each.name].__metadata__[0] for each in fields(kind)}
    return _KINDS[kind]


def needed(kind: type[Checked]) -> frozenset[str]:
    """The keys a table must have."""
    return frozenset(f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING)


def table(kind: type[Checked], name: str) -> type[Checked] | None:
    """The table, or the one of a list of tables, that a key holds; None where it holds something else."""
    allowed = kinds(kind).get(name)
    return allowed.table if isinstance(allowed, Inside | Entries) else None


def written(values: Checked, *, defaults: bool = False) -> dict[str, Any]:
    """A table as a file has it: texts, numbers, lists; what is so by default only if asked for."""
    found: dict[str, Any] = {}
    allowed = kinds(type(values))
    for each in fields(values):
        value = getattr(values, each.name)
        if value is None or (value == each.default and not defaults):
            continue
        kind = allowed[each.name]
        if defaults and isinstance(kind, Inside):
            found[each.name] = written(value, defaults=True)
        elif defaults and isinstance(kind, Entries):
            found[each.name] = [written(entry, defaults=True) for entry in value]
        else:
            found[each.name] = kind.written(value)
    return found
