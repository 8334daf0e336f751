"""The schematic of a piece: its outline to scale, with measures in cm or inches and in stitches and rows.

A piece is one outline or several (the panel, and the parts knit on it), each a
list of levels from the lowest up. ``x`` is mm from any line that all share, to
the right as seen; ``y`` is mm above the cast-on edge::

    schematic_svg("front", [[Level(0, -210, 210, 0, 120), Level(960, -210, 210, 640, 120)]], Unit.CM, "piece-1")
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from purlside.fabric.paper import TEXT_MM, document, num, plain, words
from purlside.text.units import Unit

BOX_MM, SMALL_BOX_MM = (70.0, 66.0), (44.0, 44.0)
"""Width and height of the outline itself, at most; where there is little room."""

LETTER = TEXT_MM * 0.56


@dataclass(frozen=True, slots=True)
class Level:
    """A height of a piece: where it begins and ends there, in mm; the row and the stitches it has."""

    y: float
    left: float
    right: float
    row: int
    stitches: int

    @property
    def width(self) -> float:
        return self.right - self.left


Outline = Sequence[Level]


def measures(outline: Outline, unit: Unit) -> list[str]:
    """The outline in words: ``"row 0: 42.0 cm, 120 st"`` for each level, from the lowest up."""
    return [
        f"{'cast-on edge' if not one.row else f'after row {one.row:,}, at {unit.size(one.y)}'}: "
        f"{unit.size(one.width)}, {one.stitches:,} st"
        for one in outline
    ]


def schematic_svg(
    title: str, outlines: Sequence[Outline], unit: Unit, ident: str, box: tuple[float, float] = BOX_MM
) -> str:
    """The drawing as a whole SVG document, no higher than needed; purely lines and words, black on white."""
    ident = plain(ident)
    levels = [level for outline in outlines for level in outline]
    left, right = min(one.left for one in levels), max(one.right for one in levels)
    high = max(one.y for one in levels)
    scale = min(box[0] / max(1.0, right - left), box[1] / max(1.0, high))
    labels = [_height(one, unit) for one in levels]
    side = max(len(label) for label in labels) * LETTER + 10
    # Narrow pieces leave room for the words of their width, which stand below their middle.
    room = max(4.0, max(len(_width(one, unit)) for one in levels) * LETTER / 2 - (right - left) / 2 * scale + 1)
    x0, top = room - left * scale, 5.0
    bottom = top + high * scale

    def at(x: float, y: float) -> str:
        return f"{num(x0 + x * scale)} {num(bottom - y * scale)}"

    body: list[str] = []
    for outline in outlines:
        corners = [*(at(one.left, one.y) for one in outline), *(at(one.right, one.y) for one in reversed(outline))]
        body.append(f'<path class="outline" d="M{"L".join(corners)}Z" fill="#fff" stroke="#000" stroke-width=".5"/>')
    edge = x0 + right * scale
    taken: list[float] = []
    for one in sorted(levels, key=lambda level: -level.y):
        y = bottom - one.y * scale
        if one.y and not any(abs(y - other) < TEXT_MM * 1.2 for other in taken):
            taken.append(y)
            rule = f"M{num(edge + 1)} {num(y)}H{num(edge + 4)}"
            body.append(f'<path d="{rule}" stroke="#000" stroke-width=".2"/>')
            body.append(words(edge + 5, y + TEXT_MM * 0.36, _height(one, unit)))
    body += _widths(outlines, unit, scale, x0, bottom)
    wide = max(edge + side, 4.0 + max(len(_width(one, unit)) for one in levels) * LETTER + 4)
    told = "\n".join(line for outline in outlines for line in measures(outline, unit))
    return document(ident, (wide, bottom + 2.2 * TEXT_MM + 2), f"{title}: schematic", told, body)


def _widths(outlines: Sequence[Outline], unit: Unit, scale: float, x0: float, bottom: float) -> list[str]:
    """The cast-on edge's width below it; others on their lines, where they change and there is room for the words."""
    first = outlines[0][0]
    ends, y = (x0 + first.left * scale, x0 + first.right * scale), bottom + 2.2
    line = f"M{num(ends[0])} {num(y - 1)}v2M{num(ends[0])} {num(y)}H{num(ends[1])}M{num(ends[1])} {num(y - 1)}v2"
    found = [f'<path d="{line}" fill="none" stroke="#000" stroke-width=".2"/>']
    found.append(words(sum(ends) / 2, y + TEXT_MM + 0.6, _width(first, unit), "middle"))
    taken = [(sum(ends) / 2, bottom)]
    for outline in outlines:
        # The widest change first: what there is no room for is the least.
        changes = [one for before, one in pairwise(outline) if one.stitches != before.stitches]
        for one in sorted(changes, key=lambda one: -one.stitches):
            x, y = x0 + (one.left + one.right) / 2 * scale, bottom - one.y * scale
            half = len(_width(one, unit)) * LETTER / 2
            clear = all(abs(y - b) >= TEXT_MM * 1.3 or abs(x - a) >= 2 * half for a, b in taken)
            if clear and 2 * half <= max(one.width * scale, 2 * half if one.width == first.width else 0):
                taken.append((x, y))
                found.append(words(x, y + TEXT_MM, _width(one, unit), "middle"))
    return found


def _width(one: Level, unit: Unit) -> str:
    return f"{unit.size(one.width)}, {one.stitches:,} st"


def _height(one: Level, unit: Unit) -> str:
    return f"{unit.size(one.y)}, {one.row:,} rows"
