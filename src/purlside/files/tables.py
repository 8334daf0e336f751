"""The tables of a file in pydantic's terms, and nothing but their form; why data are refused, in ours.

Which keys there are, which are needed, what stands inside what: that is made
from the plain tables of :mod:`purlside.plan`, and what each key allows is asked
of them. What was read well becomes those tables. pydantic is imported where a
file is read, so that a plan which is only held and knit needs none of it.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, PlainValidator, ValidationError, create_model

from purlside.plan.checked import Checked, Entries, Inside, kinds, needed, table
from purlside.plan.kinds import Allowed
from purlside.plan.problems import Key, Problem, Unfit, found_text

if TYPE_CHECKING:
    from pydantic import ValidationError


MOST_PROBLEMS = 30
"""Problems listed of one file; the rest are counted."""

MOST_ERRORS = 300
"""Errors looked at: a hostile file makes them by the hundred thousand."""


def problems_of(error: ValidationError, kind: type[Checked]) -> list[Problem]:
    """pydantic's errors on data that should be of ``kind``, in the order found."""
    errors = error.errors(include_url=False)
    problems = [problem for detail in errors[:MOST_ERRORS] for problem in _problems(detail, kind)]
    more = max(0, len(problems) - MOST_PROBLEMS) + max(0, len(errors) - MOST_ERRORS)
    return [
        *problems[:MOST_PROBLEMS],
        *([Problem((), f"{more} more problems", "what the README shows")] if more else []),
    ]


def _problems(detail: Any, kind: type[Checked]) -> Iterator[Problem]:
    key: Key = detail["loc"]
    unfit = detail.get("ctx", {}).get("error")
    if isinstance(unfit, Unfit):
        yield from (problem.under(*key) for problem in unfit.problems)
    elif detail["type"] == "extra_forbidden":
        inside = _tables(kind, key[:-1])
        known = list(kinds(inside[-1])) if inside else []
        near = nearest(str(key[-1]), known)
        yield Problem(key, "an unknown key", ", ".join(sorted(known)), f"did you mean {near}?" if near else "")
    else:
        missing = detail["type"] == "missing"
        found, why = ("nothing", "it is required") if missing else (found_text(detail["input"]), "")
        yield Problem(key, found, words(kind, key), why)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known key that was probably meant."""
    return next(iter(difflib.get_close_matches(name[:60], list(known), n=1, cutoff=0.5)), None)


def _tables(kind: type[Checked], key: Key) -> list[type[Checked]]:
    """The kinds of tables on the way to a key, its own last."""
    found = [kind]
    for part in key:
        if isinstance(part, str):
            if (inside := table(found[-1], part)) is None:
                return []
            found.append(inside)
    return found


def words(kind: type[Checked], key: Key) -> str:
    """What a key of a table, or of a table inside it, allows."""
    *around, name = (part for part in key if isinstance(part, str))
    return str(kinds(_tables(kind, tuple(around))[-1])[name].words)


T = TypeVar("T", bound=Checked)


def checked(kind: type[T], data: Mapping[str, Any]) -> T:
    """A table from a file's data. Raises :class:`purlside.plan.problems.Unfit` with every problem, as :mod:`refusals` words it."""
    try:
        return _made(kind, _model(kind).model_validate(data))
    except ValidationError as error:
        raise Unfit(problems_of(error, kind)) from None


_MODELS: dict[type[Checked], type[BaseModel]] = {}


def _model(kind: type[Checked]) -> type[BaseModel]:
    if kind not in _MODELS:
        must = needed(kind)
        fields: dict[str, Any] = {
            name: (_form(allowed), ...) if name in must else (_form(allowed) | None, None)
            for name, allowed in kinds(kind).items()
        }
        _MODELS[kind] = create_model(kind.__name__, __config__=ConfigDict(extra="forbid", defer_build=True), **fields)
    return _MODELS[kind]


def _form(allowed: Allowed) -> Any:
    """What pydantic is told of a key."""
    if not isinstance(allowed, Inside | Entries):
        return Annotated[Any, PlainValidator(allowed.read)]
    # A table in a table becomes plain as soon as it is read: what is wrong with it as a whole then has its place.
    table: Any = Annotated[_model(allowed.table), AfterValidator(partial(_made, allowed.table))]
    return table if isinstance(allowed, Inside) else Annotated[list[table], Field(max_length=allowed.most)]


def _made(kind: type[T], read: BaseModel) -> T:
    return kind(**{name: getattr(read, name) for name in read.model_fields_set})
