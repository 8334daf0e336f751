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
    for outline in outlines:
        body += _widths(outline, unit, scale, x0, bottom)
    wide = max(edge + side, 4.0 + max(len(_width(one, unit)) for one in levels) * LETTER + 4)
    told = "\n".join(line for outline in outlines for line in measures(outline, unit))
    return document(ident, (wide, bottom + 2.2 * TEXT_MM + 2), f"{title}: schematic", told, body)


def _widths(outline: Outline, unit: Unit, scale: float, x0: float, bottom: float) -> list[str]:
    """The width at the bottom, below it, and wherever it is another than at the level before, on its line."""
    found: list[str] = []
    low = bottom - outline[0].y * scale
    first = outline[0]
    middle = x0 + (first.left + first.right) / 2 * scale
    ends = (x0 + first.left * scale, x0 + first.right * scale)
    y = low + 2.2
    found.append(
        f'<path d="M{num(ends[0])} {num(y - 1)}v2M{num(ends[0])} {num(y)}H{num(ends[1])}M{num(ends[1])} {num(y - 1)}v2" '
        'fill="none" stroke="#000" stroke-width=".2"/>'
        if first.y == 0
        else ""
    )
    found.append(words(middle, y + TEXT_MM + 0.6 if first.y == 0 else low - 0.8, _width(first, unit), "middle"))
    taken = [low]
    for before, one in pairwise(outline):
        y = bottom - one.y * scale
        if one.stitches != before.stitches and not any(abs(y - other) < TEXT_MM * 1.4 for other in taken):
            taken.append(y)
            found.append(words(x0 + (one.left + one.right) / 2 * scale, y + TEXT_MM, _width(one, unit), "middle"))
    return [line for line in found if line]


def _width(one: Level, unit: Unit) -> str:
    return f"{unit.size(one.width)}, {one.stitches:,} st"


def _height(one: Level, unit: Unit) -> str:
    return f"{unit.size(one.y)}, {one.row:,} rows"
