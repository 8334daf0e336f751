"""Why data from a file are refused: pydantic's errors as problems with key, found, allowed."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from purlside.plan.checked import Checked, kinds, table
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
    return kinds(_tables(kind, tuple(around))[-1])[name].words
