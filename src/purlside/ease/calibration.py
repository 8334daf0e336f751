"""Calibration: a yarn's reach limit, refitted from how its crossings really went.

Method. Each record says where the limit L lies, seen from the reach ratio ρ of
that crossing:

    easy    ρ < 0.9·L          →  L above ρ / 0.9
    firm    0.9·L ≤ ρ ≤ L      →  L from ρ to ρ / 0.9
    tight   ρ a little above L →  L from ρ / 1.1 to ρ
    broke   ρ well above L     →  L below ρ / 1.1

The fitted limit minimises

    (L − L₀)² / (2·s·L₀)  +  Σ distance from L to each record's range

with L₀ the default limit and s = STEP. A record pulls with the same strength
however far off it is, and the default pulls back like a spring. Over this stands
one rule: what broke once is not called possible again, so L stays below every ρ
at which the yarn broke. So the fit is

* monotone: an easier outcome, or the same outcome at a larger ρ, never lowers L;
* bounded: but for yarn that broke, L stays within BOUNDS of the default;
* robust: but for yarn that broke, one odd record moves it by at most STEP of the
  default, and not at all once others hold it.

The method and its constants are ours.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from enum import StrEnum

from purlside.ease.fibres import Limit
from purlside.ease.reach import EASY
from purlside.text.counts import counted
from purlside.values import Value

STEP = 0.05
"""How far one record alone can move the limit, as a part of the default. Ours."""

BOUNDS = (0.6, 1.6)
"""How far any records but broken yarn can move it, as parts of the default. Ours."""

TIGHT = 1.1
"""Times the limit at which a crossing that went over tightly would have broken. Ours."""

_MARGIN = 0.001
"""Keeps the fit clear of a range's end, so a crossing recorded as easy is judged easy."""

MOST_RATIO = 20.0
"""Reach ratios above this are mistakes: no yarn goes over twenty times its length."""


class Outcome(StrEnum):
    """How a crossing went: over easily; firmly; tightly, with force; or the yarn broke."""

    EASY = "easy"
    FIRM = "firm"
    TIGHT = "tight"
    BROKE = "broke"


class Record(Value):
    """One crossing done: its reach ratio (no unit) and how it went. Raises ValueError for an impossible ratio."""

    ratio: float
    outcome: Outcome
    note: str = ""

    def __post_init__(self) -> None:
        if not 0 < self.ratio <= MOST_RATIO:
            raise ValueError(f"a reach ratio is above 0 and at most {MOST_RATIO:g}, not {self.ratio:g}")

    @property
    def range(self) -> tuple[float, float]:
        """(least, most) limit that agrees with this record."""
        ratio = self.ratio
        return {
            Outcome.EASY: (ratio / EASY * (1 + _MARGIN), float("inf")),
            Outcome.FIRM: (ratio, ratio / EASY),
            Outcome.TIGHT: (ratio / TIGHT, ratio * (1 - _MARGIN)),
            Outcome.BROKE: (0.0, ratio / TIGHT),
        }[self.outcome]

    def agrees(self, limit: float) -> bool:
        """Whether the crossing went as that limit foretells."""
        low, high = self.range
        return low - 1e-9 <= limit <= (self.ratio if self.outcome is Outcome.BROKE else high) + 1e-9


class Refit(Value):
    """The fitted limit and the same to two decimals, as it is told and written; the default it began from; and how many
    records it came from and, told so, agrees with."""

    limit: float
    told: float
    default: float
    records: int
    agreeing: int

    @property
    def as_limit(self) -> Limit:
        """For :func:`purlside.ease.reach.reach`, with its source in words."""
        source = f"refitted from {counted(self.records, 'crossing')} recorded ({self.agreeing} agree)"
        return Limit(self.told, f"{source}; the default was {self.default:.2f}")


def refit(default: float, records: Iterable[Record]) -> Refit:
    """The limit that fits the records best, starting from the default one; both without unit.

    Raises ValueError for a default that is not above 0.
    """
    if default <= 0:
        raise ValueError("the default limit must be above 0")
    known = list(records)
    broke = [record.ratio * (1 - _MARGIN) for record in known if record.outcome is Outcome.BROKE]
    fitted = min([_least(default, [record.range for record in known]), *broke])

    def agreeing(limit: float) -> int:
        return sum(record.agrees(limit) for record in known)

    # Rounded down, or up where more of the records agree with that; what broke stays above it.
    below = math.floor(fitted * 100 + 1e-9) / 100
    near = [limit for limit in (below, round(below + 0.01, 2)) if all(limit < ratio for ratio in broke)]
    told = max(near, key=agreeing, default=below)
    return Refit(fitted, told, default, len(known), agreeing(told))


def _least(default: float, ranges: Sequence[tuple[float, float]]) -> float:
    low, high = (default * bound for bound in BOUNDS)

    def slope(limit: float) -> float:
        spring = (limit - default) / (STEP * default)
        return spring + sum((limit > most) - (limit < least) for least, most in ranges)

    # The slope never falls, so halving finds where it changes sign.
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if slope(middle) < 0 else (low, middle)
    return (low + high) / 2
