"""Why data from a file are refused: a model's errors as problems with key, found, allowed."""

from __future__ import annotations

import difflib
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from purlside.checking import Key, Problem
from purlside.plan import shown as shown

MOST_PROBLEMS = 30
"""Problems listed of one file; the rest are counted."""

MOST_ERRORS = 300
"""A model's errors looked at: several may be of one key, and a hostile file makes them by the hundred thousand."""


def problems_of(error: ValidationError, model: type[BaseModel], data: Any) -> list[Problem]:
    """pydantic's errors as problems: one a key, in the order found; the data are of ``model``."""
    found: dict[Key, Problem] = {}
    for detail in error.errors(include_url=False)[:MOST_ERRORS]:
        key, value, whole = _real_key(detail["loc"], data)
        kind, message = detail["type"], detail["msg"].removeprefix("Value error, ")
        if kind == "at":
            key, value, whole = _real_key((*key, detail["ctx"]["key"]), data)
        if kind == "extra_forbidden":
            known = _fields_at(model, key[:-1])
            near = difflib.get_close_matches(str(key[-1])[:60], known, n=1, cutoff=0.5)
            allowed = f"{', '.join(sorted(known))}"
            problem = Problem(key, "an unknown key", allowed, f"did you mean {near[0]}?" if near else "")
        elif kind == "missing":
            problem = Problem(key, "nothing", _allowed(model, key), "it is required")
        else:
            why = shown(message, 300) if kind in ("value_error", "at") else ""
            problem = Problem(
                key, _found(value, whole), _allowed(model, key), "" if why == "not a text in quotes" else why
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


def _models(annotation: Any) -> list[type[BaseModel]]:
    """The models inside an annotation."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    if get_origin(annotation) in (Union, UnionType, list, Annotated, dict, tuple):
        return [m for a in get_args(annotation) for m in _models(a)]
    return []


def _model_at(model: type[BaseModel], key: Key) -> type[BaseModel] | None:
    for part in key:
        if isinstance(part, int):
            continue
        field = model.model_fields.get(part)
        inside = _models(field.annotation) if field else []
        if not inside:
            return None
        model = inside[0]
    return model


def _fields_at(model: type[BaseModel], key: Key) -> list[str]:
    inside = _model_at(model, key)
    return list(inside.model_fields) if inside else []


def _allowed(model: type[BaseModel], key: Key) -> str:
    """What a key allows: the description of its field."""
    names = [part for part in key if isinstance(part, str)]
    for end in range(len(names), 0, -1):
        inside = _model_at(model, tuple(names[: end - 1]))
        field = inside.model_fields.get(names[end - 1]) if inside else None
        if field and field.description:
            return field.description
    return "what the README shows"
