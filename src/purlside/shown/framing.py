"""Which needles fall on which columns of the bed strip: as wide as they fit, cut to the part in play, or folded between."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain

from purlside.bed.needles import Needle, Side, Span
from purlside.values import Value

WIDTHS = (3, 2, 1)
"""Columns a needle, the widest first."""
FOLD = 3
"""Columns of the fold between two edges that are in play together."""
EDGE = 2
"""Needles shown beyond an edge that is in play."""


class Frame(Value):
    """How the needles fall on the columns: ``per`` columns a needle, ``first`` to ``last`` seen.

    Column 0 is the first of the leftmost needle seen. One column more is kept
    on the right, and the gutter's last on the left, for a carriage that stands
    outside the panel. Where both edges are in play and too far apart, the
    needles of ``fold`` (first and last, with the centre or without) are left
    out between them.
    """

    per: int
    first: int
    last: int
    whole: bool
    fold: tuple[int, int] | None = None

    @property
    def stretches(self) -> list[range]:
        """The needles seen, parted where the centre line or the fold stands between two."""
        after = self.last + 1
        seen = [(self.first, after)] if self.fold is None else [(self.first, self.fold[0]), (self.fold[1] + 1, after)]
        if self._centred:
            seen = [part for a, b in seen for part in ([(a, 0), (0, b)] if a < 0 < b else [(a, b)])]
        return [range(*part) for part in seen]

    @property
    def places(self) -> tuple[int, ...]:
        """The needles seen, left to right."""
        return tuple(chain(*self.stretches))

    @property
    def columns(self) -> list[int]:
        """The columns of their marks."""
        starts = ((self.column(part.start), part) for part in self.stretches)
        return [column for start, part in starts for column in range(start, start + len(part) * self.per, self.per)]

    def column(self, place: int) -> int:
        """The column of a needle's mark, or of the fold it is in; the centre line takes one column."""
        column = (place - self.first) * self.per + (self.per - 1) // 2
        if self.fold is not None and place >= self.fold[0]:
            if place <= self.fold[1]:
                return self.folded[FOLD // 2]
            column += FOLD - (self.fold[1] + 1 - self.fold[0]) * self.per
        return column + (1 if self._centred and place >= 0 else 0)

    @property
    def _centred(self) -> bool:
        """Whether the line between L1 and R1 is seen."""
        return self.first < 0 <= self.last and (self.fold is None or not self.fold[0] <= 0 <= self.fold[1] + 1)

    @property
    def folded(self) -> range:
        """The columns of the fold."""
        start = 0 if self.fold is None else self.column(self.fold[0] - 1) + self.per // 2 + 1
        return range(start, start + FOLD * (self.fold is not None))

    @property
    def width(self) -> int:
        """Columns of the needles, the fold and the centre line."""
        left_out = 0 if self.fold is None else self.fold[1] + 1 - self.fold[0]
        return (self.last + 1 - self.first - left_out) * self.per + len(self.folded) + self._centred

    @property
    def centre(self) -> int | None:
        """The column of the centre line, if it is seen."""
        return self.column(0) - (self.per - 1) // 2 - 1 if self._centred else None

    def past(self, needle: Needle, side: Side) -> int:
        """The column of a carriage just past a needle on that side; -1 or ``width`` and beyond are outside.

        With more than one column a needle it stands between two marks; with
        one, in the column of the needle it would come to next.
        """
        right = side is Side.RIGHT
        gap = int(needle) + right
        if gap <= self.first:
            return -1 if gap == self.first else -2
        if gap > self.last:
            return self.width if gap == self.last + 1 else self.width + 1
        if self.fold is not None and self.fold[0] <= gap <= self.fold[1] + 1:
            return self.folded[FOLD // 2]
        if gap == 0 and self.centre is not None:
            return self.centre
        if self.per == 1:
            return self.column(int(needle)) + side.step
        return self.column(gap - 1) + self.per // 2


def frame(
    panel: Span,
    width: int,
    play: Iterable[Sequence[int]] = (),
    *,
    per: int | None = None,
    edges: tuple[int, int] | None = None,
) -> Frame:
    """Fit the panel into ``width`` columns: 3, 2 or 1 a needle, or cut to the part in play.

    ``play`` lists groups of places that should be seen together, the most
    important group first. The first that fits stands in the middle, so that the
    picture moves little; later ones shift it no further than they must. Where
    ``edges``, two places, are too far apart, both are seen and the bed is folded
    between them.
    """
    left, right = int(panel.left), int(panel.right)
    for each in WIDTHS if per is None else (per,):
        whole = Frame(each, left, right, True)
        if whole.width + 1 <= width:
            return whole
    count = max(1, (width - 2) // each)
    if edges is not None and edges[1] - edges[0] >= count and (half := (count * each - FOLD) // each // 2) > EDGE:
        first, last = max(left, edges[0] - EDGE), min(right, edges[1] + EDGE)
        return Frame(each, first, last, False, (first + half, last - half))
    groups = [(max(left, min(g)), min(right, max(g))) for g in play if max(g) >= left and min(g) <= right]
    fitting = [(a, b) for a, b in groups if b - a < count]
    low, high = fitting[0] if fitting else (left, right)
    first = (low + high + 1) // 2 - count // 2
    for a, b in fitting[1:]:
        if max(b, high) - min(a, low) < count:
            low, high = min(a, low), max(b, high)
            first = min(max(first, high - count + 1), low)
    first = max(left, min(first, right - count + 1))
    return Frame(each, first, min(right, first + count - 1), False)
