"""A problem of a plan: where it is, what was found there, what is allowed."""

from __future__ import annotations

from dataclasses import dataclass

from purlside.text.harmless import shown

Key = tuple[str | int, ...]
"""Where in the plan: ``("cable", 0, "cross")``; tables in a list count from 0."""


@dataclass(frozen=True, slots=True)
class Problem:
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

    def __str__(self) -> str:
        text = f"{self.where}: found {self.found}; allowed: {self.allowed}"
        return f"{text} ({self.why})" if self.why else text
