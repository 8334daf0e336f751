"""Finding an action by a word, however roughly it is typed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

from purlside.app.actions import Action

ALIKE = 0.72
"""How alike two words must be, 0 to 1, for one to be the other mistyped. Ours."""


def found(actions: Iterable[Action], typed: str) -> list[Action]:
    """The actions that are told in words like those typed, the likest first; all where nothing is typed."""
    wanted = typed.lower().split()
    scored = [(score, action) for action in actions if (score := _score(action, wanted)) is not None]
    return [action for _, action in sorted(scored, key=lambda each: each[0])]


def _score(action: Action, wanted: list[str]) -> float | None:
    """How unlike what is typed an action is; None where a word is in nothing it says."""
    words = re.findall(r"[\w']+", f"{action.name} {action.short} {action.help}".lower())
    total = 0.0
    for word in wanted:
        best = min((unlike for told in words if (unlike := _unlike(word, told)) is not None), default=None)
        if best is None:
            return None
        total += best
    return total


def _unlike(typed: str, told: str) -> float | None:
    if told.startswith(typed):
        return 0.0 if told == typed else 0.1
    if len(typed) > 2 and typed in told:
        return 0.3
    alike = difflib.SequenceMatcher(None, typed, told).ratio() if len(typed) > 2 else 0.0
    return 1.5 - alike if alike >= ALIKE else None
