"""Strands as filled shapes: one crossing drawn once, wherever it is used.

A crossing's picture is a group of plain SVG elements around its own origin:
the left edge of its needles as seen, on the line between its crossing row and
the row after. Strands below are drawn first, then the gap, then those on top.
Lengths are in units of a tenth of a needle's distance.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from purlside.bed.needles import Needle
from purlside.fabric.stitches import Fabric, FabricCrossing, FabricRow, Face, Stitch

NEEDLE = 10.0
"""Units from one needle to the next."""

STRAND = 8.6
"""Width of a strand of one stitch, units."""

MOST_SPREAD = 3.0
"""Rows a crossing is spread over, at most, on either side of its line. A matter of looks, ours."""

EDGE = "#4d4233"
TOP = "#fbf6ea"
BELOW = "#d8cdb6"
GAP = "#b3a488"


class Knit(StrEnum):
    """How a strand's loops were knit, as far as a picture tells it."""

    PLAIN = "plain"
    ENLARGED = "enlarged"
    EXTRA = "extra rows"
    BY_HAND = "by hand"


def how(stitch: Stitch | None) -> Knit:
    if stitch is None:
        return Knit.PLAIN
    if stitch.by_hand:
        return Knit.BY_HAND
    if stitch.rows > 1:
        return Knit.EXTRA
    return Knit.ENLARGED if stitch.enlarged else Knit.PLAIN


@dataclass(frozen=True, slots=True)
class Ribbon:
    """One strand as seen: from column ``start`` to ``end`` of its crossing, counted from the left."""

    start: int
    end: int
    knit: Knit
    rows: int


@dataclass(frozen=True, slots=True)
class Shape:
    """All that decides how a crossing looks; ``down`` and ``up`` are rows."""

    width: int
    below: tuple[Ribbon, ...]
    top: tuple[Ribbon, ...]
    down: float
    up: float


@dataclass(slots=True)
class SeenCrossing:
    """One crossing in the fabric, and how far away the crossings are that share its needles."""

    row: int
    knitted: FabricRow
    made: FabricCrossing
    before: int | None = None
    after: int | None = None

    def shape(self, face: Face) -> Shape:
        needles = self.made.needles
        seen = {int(n): i for i, n in enumerate(needles if face is Face.PURL else reversed(needles))}

        def ribbons(strands: Sequence[tuple[Needle, Needle]]) -> tuple[Ribbon, ...]:
            stitches = [self.knitted.stitches.get(int(came)) for came, _ in strands]
            return tuple(
                Ribbon(seen[int(came)], seen[int(went)], how(stitch), stitch.rows if stitch else 1)
                for (came, went), stitch in zip(strands, stitches, strict=True)
            )

        most = max(abs(seen[int(went)] - seen[int(came)]) for came, went in (*self.made.front, *self.made.back))
        spread = min(MOST_SPREAD, 0.6 + 0.45 * most)
        down = spread if self.before is None else min(spread, (self.row - self.before) / 2)
        up = spread if self.after is None else min(spread, (self.after - self.row) / 2)
        return Shape(len(needles), ribbons(self.made.under(face)), ribbons(self.made.over(face)), down, up)


def crossed(fabric: Fabric, first: int, last: int) -> list[SeenCrossing]:
    """The crossings after rows ``first`` to ``last``; those just outside only tell how far away they are."""
    found: list[SeenCrossing] = []
    latest: dict[Needle, SeenCrossing] = {}
    margin = int(2 * MOST_SPREAD)
    for row in fabric.crossing_rows(first - margin, last + margin):
        knitted = fabric.row(row)
        for made in knitted.crossings:
            this = SeenCrossing(row, knitted, made)
            for needle in made.needles:
                if (other := latest.get(needle)) is not None:
                    this.before = max(this.before or 0, other.row)
                    other.after = min(other.after or row, row)
                latest[needle] = this
            if first <= row <= last:
                found.append(this)
    return found


def num(value: float) -> str:
    """A length, briefly."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value % 1 else str(int(value))


def drawn(shape: Shape, row_height: float) -> str:
    """The crossing as SVG elements around its origin."""
    down, up = shape.down * row_height, shape.up * row_height
    ground = f'<path d="M0 {num(-up)}H{num(shape.width * NEEDLE)}V{num(down)}H0Z" fill="{GAP}"/>'
    parts = [ground]
    for ribbons, fill in ((shape.below, BELOW), (shape.top, TOP)):
        left, right = ([_side(r, down, up, to) for r in ribbons] for to in (-1, 1))
        filled = "".join(f"M{out[0]}C{out[1]}H{back[2]}C{back[3]}Z" for out, back in zip(left, right, strict=True))
        sides = "".join(f"M{side[0]}C{side[1]}" for side in (*left, *right))
        if ribbons is shape.top:
            parts.append(f'<path d="{sides}" fill="none" stroke="{GAP}" stroke-width="3.4"/>')
        parts.append(f'<path d="{filled}" fill="{fill}"/>')
        parts.append(f'<path d="{sides}" fill="none" stroke="{EDGE}" stroke-width=".7"/>')
        parts += [mark for r in ribbons if (mark := _mark(r, down, up))]
    return "".join(parts)


def _side(ribbon: Ribbon, down: float, up: float, to: int) -> tuple[str, str, str, str]:
    """One edge of a strand, ``to`` its left (-1) or right (1): start, curve upward, x above, curve downward."""
    half = to * STRAND / 2 * (0.62 if ribbon.knit is Knit.BY_HAND else 1)
    x0, x1, mid = num(_x(ribbon.start) + half), num(_x(ribbon.end) + half), num((down - up) / 2)
    low, high = num(down), num(-up)
    return f"{x0} {low}", f"{x0} {mid} {x1} {mid} {x1} {high}", x1, f"{x1} {mid} {x0} {mid} {x0} {low}"


def _x(column: int) -> float:
    return (column + 0.5) * NEEDLE


def _along(ribbon: Ribbon, down: float, up: float, t: float) -> tuple[float, float]:
    """The point ``t`` (0 below, 1 above) of the way along a strand's middle."""
    x0, x1, mid = _x(ribbon.start), _x(ribbon.end), (down - up) / 2
    s = 1 - t
    x = x0 * (s**3 + 3 * s * s * t) + x1 * (3 * s * t * t + t**3)
    y = down * s**3 + mid * (3 * s * s * t + 3 * s * t * t) - up * t**3
    return x, y


def _mark(ribbon: Ribbon, down: float, up: float) -> str:
    """What tells an enlarged, a by-hand or an extra-rows strand from a plain one, by shape."""
    match ribbon.knit:
        case Knit.ENLARGED:
            return "".join(ring(*_along(ribbon, down, up, t)) for t in (0.13, 0.87))
        case Knit.EXTRA:
            count = min(ribbon.rows, 9)
            return chevrons(_along(ribbon, down, up, (i + 0.7) / (count + 0.4)) for i in range(count))
        case Knit.BY_HAND:
            return bead(*_along(ribbon, down, up, 0.5))
        case _:
            return ""


def ring(x: float, y: float) -> str:
    """An enlarged loop: an open oval."""
    return f'<ellipse cx="{num(x)}" cy="{num(y)}" rx="2.6" ry="3.2" fill="#fff" stroke="{EDGE}" stroke-width=".9"/>'


def chevrons(points: Iterable[tuple[float, float]]) -> str:
    """Extra rows: one chevron a row."""
    path = "".join(f"M{num(x - 2.8)} {num(y - 1.6)}l2.8 2.6l2.8-2.6" for x, y in points)
    return f'<path d="{path}" fill="none" stroke="{EDGE}" stroke-width="1"/>'


def bead(x: float, y: float) -> str:
    """A stitch knit by hand: room for a bead."""
    return f'<circle cx="{num(x)}" cy="{num(y)}" r="3.1" fill="{EDGE}" stroke="#fff" stroke-width="1"/>'
