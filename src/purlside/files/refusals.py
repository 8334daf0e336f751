"""Why data from a file are refused: a model's errors as problems with key, found, allowed."""

from __future__ import annotations

import difflib
from typing import Any

from purlside.files.allowed import ValidationError, allowed, names, table
from purlside.plan.plan import Part
from purlside.plan.problems import Key, Problem
from purlside.text.harmless import shown

MOST_PROBLEMS = 30
"""Problems listed of one file; the rest are counted."""

MOST_ERRORS = 300
"""A model's errors looked at: several may be of one key, and a hostile file makes them by the hundred thousand."""


def problems_of(error: ValidationError, kind: type[Part], data: Any) -> list[Problem]:
    """pydantic's errors as problems: one a key, in the order found; the data are of ``kind``."""
    found: dict[Key, Problem] = {}
    for detail in error.errors(include_url=False)[:MOST_ERRORS]:
        key, value, whole = _real_key(detail["loc"], data)
        error_type, message = detail["type"], detail["msg"].removeprefix("Value error, ")
        if error_type == "at":
            key, value, whole = _real_key((*key, *detail["ctx"]["key"]), data)
        if error_type == "unexpected_keyword_argument":
            known = _names_at(kind, key[:-1])
            near = difflib.get_close_matches(str(key[-1])[:60], known, n=1, cutoff=0.5)
            allowed = f"{', '.join(sorted(known))}"
            problem = Problem(key, "an unknown key", allowed, f"did you mean {near[0]}?" if near else "")
        elif error_type == "missing":
            problem = Problem(key, "nothing", _allowed(kind, key), "it is required")
        else:
            why = shown(message, 300) if error_type in ("value_error", "at") else ""
            problem = Problem(
                key, _found(value, whole), _allowed(kind, key), "" if why == "not a text in quotes" else why
            )
        nearer = [k for k in found if k[: len(key)] == key and k != key]
        if key in found and not found[key].why and problem.why:
            found[key] = problem
        elif not nearer:
            found.setdefault(key, problem)
    problems = [p for k, p in found.items() if not any(o != k and o[: len(k)] == k and k for o in found)]
    more = len(problems) - MOST_PROBLEMS + max(0, error.error_count() - MOST_ERRORS)
    if more > 0:
        problems = [*problems[:MOST_PROBLEMS], Problem((), f"{more} more problems", "what the README shows")]
    return problems


def _real_key(loc: tuple[str | int, ...], data: Any) -> tuple[Key, Any, bool]:
    """The part of pydantic's place that is keys of the file, the value there, and whether there is one."""
    key: list[str | int] = []
    value = data
    for part in loc:
        try:
            value = value[part]
        except (KeyError, IndexError, TypeError):
            if isinstance(part, str) and isinstance(value, dict) and "[" not in part and len(key) < 4:
                return (*key, part), None, False
            if isinstance(part, str):
                continue  # the model's name for one of several types, not a key
            break
        key.append(part)
    return tuple(key), value, True


def _found(value: Any, there: bool) -> str:
    if not there:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{shown(value)}"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        if not value or any(isinstance(item, dict | list) for item in value):
            return f"a list of {len(value):,}"
        return shown(f"[{', '.join(_found(item, True) for item in value[:20])}]")
    if isinstance(value, int) and value.bit_length() > 128:
        return "a whole number of more than 38 digits"
    return shown(str(value), 40)


def _table_at(kind: type[Part], key: Key) -> type[Part] | None:
    """The kind of table a key leads to; None where it leads to none."""
    inside: type[Part] | None = kind
    for part in key:
        if isinstance(part, str) and inside is not None:
            inside = table(inside, part)
    return inside


def _names_at(kind: type[Part], key: Key) -> list[str]:
    inside = _table_at(kind, key)
    return names(inside) if inside else []


def _allowed(kind: type[Part], key: Key) -> str:
    """What a key allows: the description of its field."""
    parts = [part for part in key if isinstance(part, str)]
    for end in range(len(parts), 0, -1):
        inside = _table_at(kind, tuple(parts[: end - 1]))
        if inside and (words := allowed(inside, parts[end - 1])):
            return words
    return "what the README shows"
