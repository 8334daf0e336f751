"""Several plans as one garment: the yarn and the time of all its pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from purlside.figures.sizing import YarnNeed
from purlside.figures.whole import Figures


@dataclass(frozen=True, slots=True)
class Together:
    """``titles`` of the pieces; the yarn of each colour (grams None where one piece tells no tex); seconds and rows."""

    titles: tuple[str, ...]
    needs: tuple[YarnNeed, ...]
    rows: int
    seconds: float


def together(pieces: Sequence[Figures]) -> Together:
    """The sums; a piece knit twice is there twice."""
    needs: dict[str | None, YarnNeed] = {}
    for need in (need for piece in pieces for need in piece.needs):
        so_far = needs.get(need.colour, YarnNeed(need.colour, 0, 0.0, 0.0))
        grams = None if so_far.grams is None or need.grams is None else so_far.grams + need.grams
        needs[need.colour] = YarnNeed(need.colour, so_far.loops + need.loops, so_far.metres + need.metres, grams)
    return Together(
        tuple(piece.title for piece in pieces),
        tuple(needs.values()),
        sum(piece.time.plain_rows + piece.time.crossing_rows for piece in pieces),
        sum(piece.time.total_s for piece in pieces),
    )
