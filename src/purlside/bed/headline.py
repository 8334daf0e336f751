"""A move in the fewest words: what can be read at a glance from across the room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from purlside.bed.needles import Needle, Side, spans
from purlside.values import dataclass


@dataclass(frozen=True, slots=True)
class Headline:
    """``KNIT ►`` and ``L3–L1 SS 9``; ``aside`` is what ordinary letters may say beside them."""

    verb: str
    what: str = ""
    aside: str = ""

    @property
    def words(self) -> str:
        return f"{self.verb} {self.what}".strip()


ARROWS = {Side.LEFT: "◄", Side.RIGHT: "►"}


def ranges(needles: Iterable[int], within: Iterable[int] | None = None) -> str:
    """``"L24–L4, R1"``: ranges over the needles in work ``within``, ladders not named."""
    return ", ".join(str(span).replace("-", "–") for span in spans(needles, within))


def ladders(needles: Iterable[int], within: Iterable[int]) -> tuple[Needle, ...]:
    """Needles out of work inside those ranges: a pusher would take them along."""
    work = list(within)
    out = {needle for span in spans(needles, work) for needle in span}.difference(work)
    return tuple(sorted(out))


def not_these(needles: Iterable[int], within: Sequence[int]) -> str:
    """``"not R20, R41"``, or nothing."""
    out = ladders(needles, within)
    return f"not {', '.join(map(str, out))}" if out else ""
