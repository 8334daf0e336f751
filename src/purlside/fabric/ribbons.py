"""The strands of a fabric as ribbons: where each runs, and which lies on top where two meet.

Stitches that cross together all along are one ribbon. A ribbon is cut into
*lengths*, one through each crossing it takes part in, which meet end to end::

    for length in lengths(fabric, Face.KNIT, window(fabric, 1, 40)):
        length.at(8.5)                     # (x, lean) of its left edge there

``x`` counts needles from the left edge of the window as seen, ``y`` counts
rows upward: row 8 lies between 7 and 8, and is crossed at 8. Where a crossing's
stitches are moved with an edge that is shaped, the length drifts with them. The pictures in
characters and on paper are drawn from the same lengths.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import field
from itertools import pairwise
from math import inf

from purlside.fabric.stitches import Fabric, FabricCrossing, Face, Stitch
from purlside.values import Value, dataclass

MOST_SPREAD = 4.0
"""Rows a crossing is spread over, at most, on either side of its line. A matter of looks, ours."""

TAIL, EDGE_NEAR = 2.0, 12.0
"""Rows a ribbon is followed beyond its first and its last crossing; to the panel's edge where that is so near. Ours."""

MOST_BACK = 200
"""Rows outside a window that are looked through for the crossings a ribbon comes from and goes to."""


class Window(Value):
    """Rows ``first`` to ``last`` and needle places ``left`` to ``right`` of the bed, all counted."""

    first: int
    last: int
    left: int
    right: int

    @property
    def rows(self) -> range:
        return range(self.first, self.last + 1)

    def seen(self, place: int, face: Face) -> int:
        """How many needles lie left of a place, as seen from that side."""
        return place - self.left if face is Face.PURL else self.right - place


def window(
    fabric: Fabric, first: int = 1, last: int | None = None, left: int | None = None, right: int | None = None
) -> Window:
    """That part of the panel, cut to what there is; all of it by default."""
    edge_left, edge_right = int(fabric.panel.left), int(fabric.panel.right)
    first = max(1, min(first, fabric.rows))
    last = fabric.rows if last is None else max(first, min(last, fabric.rows))
    left = edge_left if left is None else max(edge_left, min(left, edge_right))
    right = edge_right if right is None else max(left, min(right, edge_right))
    return Window(first, last, left, right)


Drift = tuple[tuple[float, float], ...]
"""(height, needles to the right as seen), from the lowest up."""


class Length(Value):
    """A ribbon of ``width`` stitches through one crossing.

    It stands at ``x0`` from ``bottom`` to ``low``, bends to ``x1`` until
    ``high`` and stands there up to ``top``; ``lean0``, ``lean1`` are its leans
    (needles a row) at both ends of the bend. ``over``: it lies on top of the
    crossing; ``raised``: it does so in some crossing in sight, or travels on
    and on, and stands out from the fabric. ``knit`` are its stitches as they were knit before the
    crossing, left to right; None for a plain one. ``drift`` is how many needles
    it is moved aside by shaping, at heights between which it leans evenly.
    ``place`` is the bed's where its left edge stands at the crossing.
    """

    row: int
    width: int
    x0: int
    x1: int
    bottom: float
    low: float
    high: float
    top: float
    lean0: float
    lean1: float
    over: bool
    raised: bool
    knit: tuple[Stitch | None, ...]
    place: int = 0
    drift: Drift = ()

    def drifted(self, y: float) -> float:
        """How far it is moved aside at a height."""
        i = bisect_right(self.drift, (y, inf))
        if not 0 < i < len(self.drift):
            return self.drift[min(i, 1) * (len(self.drift) - 1)][1] if self.drift else 0.0
        (low, a), (high, b) = self.drift[i - 1], self.drift[i]
        return a + (b - a) * (y - low) / (high - low)

    def at(self, y: float) -> tuple[float, float]:
        """Where its left edge is at a height, and how it leans there, in needles a row (right is more than 0)."""
        x, lean = self._bent(y)
        if not self.drift:
            return x, lean
        return x + self.drifted(y), lean + self.drifted(y + 0.5) - self.drifted(y - 0.5)

    def _bent(self, y: float) -> tuple[float, float]:
        if y <= self.low:
            return self.x0, self.lean0 if y == self.low else 0.0
        if y >= self.high:
            return self.x1, self.lean1 if y == self.high else 0.0
        rise = self.high - self.low
        t = (y - self.low) / rise
        m0, m1, way = self.lean0 * rise, self.lean1 * rise, self.x1 - self.x0
        a, b = m0 + m1 - 2 * way, 3 * way - 2 * m0 - m1
        return self.x0 + m0 * t + b * t * t + a * t**3, (m0 + 2 * b * t + 3 * a * t * t) / rise


@dataclass(slots=True)
class _Met:
    """One crossing in the fabric, and how far up and down it may spread."""

    row: int
    made: FabricCrossing
    knit: dict[int, Stitch]
    before: int | None = None
    after: int | None = None

    def spread(self, rows: int) -> tuple[float, float]:
        """Rows below and above its line: within the panel, and no nearer to the next crossing than that comes to it."""
        most = max(abs(went - came) for came, went in (*self.made.front, *self.made.back))
        spread = min(MOST_SPREAD, 0.8 + 0.7 * most)
        down = self.row if self.before is None else (self.row - self.before) / 2
        up = rows - self.row if self.after is None else (self.after - self.row) / 2
        return min(spread, down), min(spread, up)


@dataclass(slots=True)
class _Strand:
    """One stitch's way: the crossings it meets, by their index, whether on top, from and to which needle.

    ``moved`` has the rows before which it was moved to another needle, and by how many.
    """

    met: list[tuple[int, bool]] = field(default_factory=list)
    ways: list[tuple[int, int]] = field(default_factory=list)
    moved: list[tuple[int, int]] = field(default_factory=list)

    def drift(self, row: int, face: Face) -> Drift:
        """How it is moved aside, from where it is in ``row``: half way in the middle of each row it is moved in."""
        if not self.moved:
            return ()
        sign = 1 if face is Face.PURL else -1
        at = -sum(by for when, by in self.moved if when <= row)
        found = [(self.moved[0][0] - 1.0, float(at))]
        for when, by in self.moved:
            found.append((when - 0.5, at + by / 2))
            at += by
        found.append((float(self.moved[-1][0]), float(at)))
        return tuple((y, sign * x) for y, x in found)


def _reach(fabric: Fabric, part: Window) -> tuple[int, int]:
    """The rows looked through for a window."""
    reach = min(MOST_BACK, max((c.every or 1 for c in fabric.plan.cable), default=1) + int(2 * MOST_SPREAD))
    return part.first - reach, part.last + reach


def _met(fabric: Fabric, part: Window) -> list[_Met]:
    found: list[_Met] = []
    latest: dict[int, _Met] = {}
    for row in fabric.crossing_rows(*_reach(fabric, part)):
        knitted = fabric.row(row)
        for made in knitted.crossings:
            this = _Met(row, made, knitted.stitches)
            for needle in map(int, made.needles):
                if (other := latest.get(needle)) is not None:
                    this.before = max(this.before or 0, other.row)
                    other.after = min(other.after or row, row)
                latest[needle] = this
            found.append(this)
    return found


def _strands(found: Sequence[_Met], face: Face, moves: Iterable[tuple[int, dict[int, int]]]) -> list[_Strand]:
    """The strands that are crossed, followed from crossing to crossing; ``moves`` are the rows' transfers."""
    here: dict[int, _Strand] = {}
    strands: list[_Strand] = []
    waiting = list(reversed(list(moves)))
    for i, met in enumerate(found):
        while waiting and waiting[-1][0] <= met.row:
            here = _moved(here, *waiting.pop())
        crossed: dict[int, _Strand] = {}
        for over, half in ((True, met.made.over(face)), (False, met.made.under(face))):
            for came, went in half:
                strand = here.get(int(came))
                if strand is None:
                    strands.append(strand := _Strand())
                strand.met.append((i, over))
                strand.ways.append((int(came), int(went)))
                crossed[int(went)] = strand
        here |= crossed
    for row, moved in reversed(waiting):
        here = _moved(here, row, moved)
    return strands


def _moved(here: dict[int, _Strand], row: int, moved: dict[int, int]) -> dict[int, _Strand]:
    """The strands by the needle they hang on after a row's transfers; of two on one needle the one that was there."""
    found: dict[int, _Strand] = {}
    for place, strand in here.items():
        to = moved.get(place, place)
        if to == place:
            found[place] = strand
        elif moved.get(to, to) != to or to not in here:
            strand.moved.append((row, to - place))
            found.setdefault(to, strand)
    return found


def _ribbons(strands: Iterable[_Strand]) -> list[list[_Strand]]:
    """Strands side by side that meet the same crossings in the same halves."""
    found: list[list[_Strand]] = []
    for strand in sorted(strands, key=lambda s: (s.met, s.ways[0][0])):
        last = found[-1][-1] if found else strand
        alike = (last.met, last.moved) == (strand.met, strand.moved)
        # A ladder between the needles of a half parts its ribbon where the strands lie on both sides of it.
        if alike and all(
            b - a == 1 for way in zip(last.ways, strand.ways, strict=True) for a, b in zip(*way, strict=True)
        ):
            found[-1].append(strand)
        else:
            found.append([strand])
    return found


def lengths(fabric: Fabric, face: Face, part: Window) -> list[Length]:
    """All lengths that are seen in a window, those that lie below first."""
    met = _met(fabric, part)
    spreads = [one.spread(fabric.rows) for one in met]
    moves = [(row, fabric.row(row).moved) for row in fabric.moved_rows(*_reach(fabric, part))] if met else []
    found = [
        length
        for ribbon in _ribbons(_strands(met, face, moves))
        for length in _cut(ribbon, met, spreads, part, face, fabric.rows)
        if length.top > part.first - 1 and length.bottom < part.last
    ]
    return sorted(found, key=lambda length: (length.over, length.row, length.x0))


def _cut(
    ribbon: list[_Strand], met: list[_Met], spreads: list[tuple[float, float]], part: Window, face: Face, rows: int
) -> Iterable[Length]:
    """A ribbon's lengths, from the lowest up."""
    left = ribbon[0] if face is Face.PURL else ribbon[-1]
    strands = ribbon if face is Face.PURL else ribbon[::-1]
    crossed = [met[i].row for i, _ in left.met]
    bends = [(row - spreads[i][0], row + spreads[i][1]) for row, (i, _) in zip(crossed, left.met, strict=True)]
    ways = [(part.seen(came, face), part.seen(went, face)) for came, went in left.ways]
    leans = [(x1 - x0) / (high - low) for (x0, x1), (low, high) in zip(ways, bends, strict=True)]
    raised = any(over for _, over in left.met) or any(a * b > 0 for a, b in pairwise(leans))
    joins = [0.0]
    for (before, after), (below, above) in zip(pairwise(leans), pairwise(bends), strict=True):
        # Where one bend goes over into the next the same way, the ribbon runs on in a line.
        runs_on = above[0] - below[1] < 0.01 and before * after > 0
        joins.append((before + after) / 2 if runs_on else 0.0)
    joins.append(0.0)
    # Between two bends a whole row's line, so that no stitch is cut in two.
    meets = [min(max(a[1], float(round((a[1] + b[0]) / 2))), b[0]) for a, b in pairwise(bends)]
    first, last = bends[0][0], bends[-1][1]
    bottoms = [0.0 if first <= EDGE_NEAR else first - TAIL, *meets]
    tops = [*meets, float(rows) if rows - last <= EDGE_NEAR else last + TAIL]
    for n, (i, over) in enumerate(left.met):
        yield Length(
            crossed[n],
            len(ribbon),
            *ways[n],
            bottoms[n],
            *bends[n],
            tops[n],
            joins[n],
            joins[n + 1],
            over,
            raised,
            tuple(met[i].knit.get(strand.ways[n][0]) for strand in strands),
            left.ways[n][1],
            left.drift(crossed[n], face),
        )
