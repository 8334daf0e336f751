"""A problem of a plan: where it is, what was found there, what is allowed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from purlside.text.harmless import shown
from purlside.values import Value

Key = tuple[str | int, ...]
"""Where in the plan: ``("cable", 0, "cross")``; tables in a list count from 0."""


class Problem(Value):
    """One thing wrong with a plan: where, what was found, what is allowed."""

    key: Key
    found: str
    allowed: str
    why: str = ""

    @property
    def where(self) -> str:
        """``"cable 1, cross"``: tables in a list are counted from 1."""
        parts: list[str] = []
        for part in self.key:
            if isinstance(part, int) and parts:
                parts[-1] += f" {part + 1}"
            else:
                parts.append(shown(str(part)))
        return ", ".join(parts) or "the plan"

    def under(self, *key: str | int) -> Problem:
        """The same problem, seen from the table around."""
        return replace(self, key=(*key, *self.key))

    def __str__(self) -> str:
        text = f"{self.where}: found {self.found}; allowed: {self.allowed}"
        return f"{text} ({self.why})" if self.why else text


class Unfit(ValueError):
    """Values that a table cannot hold; ``problems`` has one entry or more, its text all of them, behind ``file``."""

    def __init__(self, problems: Iterable[Problem], file: str = "") -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(f"{file}: {problem}" if file else str(problem) for problem in self.problems))

    @property
    def why(self) -> str:
        """The first problem in few words: its reason, or what is allowed."""
        first = self.problems[0]
        return first.why or f"{first.where}: {first.allowed}"

    def __reduce__(self) -> tuple[type[Unfit], tuple[tuple[Problem, ...]]]:
        return Unfit, (self.problems,)


def found_text(value: Any) -> str:
    """A value that is refused, as a message names it; whatever it is, short and harmless."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if type(value) is int and value.bit_length() > 128:
        return "a whole number of more than 38 digits"
    if type(value) in (int, float):
        return shown(str(value), 40)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        if not value or any(isinstance(item, dict | list | tuple) for item in value):
            return f"a list of {len(value):,}"
        return shown(f"[{', '.join(map(found_text, value[:20]))}]")
    # A needle, a span, a crossing are written as texts too.
    quoted = isinstance(value, str) or hasattr(value, "parse")
    return f'"{shown(str(value))}"' if quoted else shown(str(value), 40)
