"""The schematic of a piece drawn: its outlines to scale, with measures in cm or inches and in stitches and rows."""

from __future__ import annotations

from collections.abc import Iterator

from purlside.fabric.paper import LETTER_MM, TEXT_MM, document, num, plain, words
from purlside.figures.pieces import Scale
from purlside.figures.schematic import Schematic, WidthAt
from purlside.text.units import Unit

BOX_MM, SMALL_BOX_MM = (70.0, 66.0), (44.0, 44.0)
"""Width and height of the outline itself, at most; where there is little room."""


def measures(drawn: Schematic, unit: Unit) -> list[str]:
    """The outlines in words: ``"cast-on edge: 42.0 cm, 120 st"``, then each other width, from the lowest up."""
    scale = _scale(drawn)
    told: list[str] = []
    part: str | None = None
    for one in drawn.widths:
        whose = f"{one.part}, " if one.part != part else ""
        part = one.part
        where = f"after row {one.up:,}, at {unit.size(one.up * scale.row)}" if one.up else "cast-on edge"
        told.append(f"{whose}{where}: {_width(one, scale, unit)}")
    # The height each outline comes to, where it is not a width's.
    for outline in drawn.outlines:
        top = max(up for _, up in outline.corners)
        whole = [one for one in drawn.widths if one.part == outline.part]
        high, wide = unit.size(top * scale.row), _width(whole[-1], scale, unit)
        panel = outline.part is None
        if whole[-1].up != top:
            told.append(
                f"after row {top:,}, at {high}: {wide}" if panel else f"{outline.part}, up to row {top:,}, {high}"
            )
    return told


def schematic_svg(drawn: Schematic, unit: Unit, ident: str, box: tuple[float, float] = BOX_MM) -> str:
    """The drawing as a whole SVG document, no higher than needed; purely lines and words, black on white.

    Seen from the knit side. Raises ValueError for one without a scale.
    """
    scale = _scale(drawn)
    corners = [corner for outline in drawn.outlines for corner in outline.corners]
    # From the knit side what is left at the bed is on the right.
    left, right = -max(x for x, _ in corners) * scale.stitch, -min(x for x, _ in corners) * scale.stitch
    high = max(y for _, y in corners) * scale.row
    by = min(box[0] / max(1.0, right - left), box[1] / max(1.0, high))
    # Narrow pieces leave room for the words of their width, which stand below their middle.
    longest = max(len(_width(one, scale, unit)) for one in drawn.widths) * LETTER_MM
    room = max(4.0, longest / 2 - (right - left) / 2 * by + 1)
    page = _Page(drawn, scale, unit, room - left * by, 5.0 + high * by, by)
    body = [
        f'<path class="outline" d="M{"L".join(page.at(*corner) for corner in outline.corners)}Z" fill="#fff" '
        'stroke="#000" stroke-width=".5"/>'
        for outline in drawn.outlines
    ]
    heights = list(page.heights(page.x0 + right * by))
    body += [line for line, _ in heights]
    body += page.widths()
    wide = max(page.x0 + right * by + max(letters for _, letters in heights) * LETTER_MM + 10, longest + 8)
    told = "\n".join(measures(drawn, unit))
    return document(plain(ident), (wide, page.bottom + 2.2 * TEXT_MM + 2), f"{drawn.title}: schematic", told, body)


class _Page:
    """Where things stand on the paper; ``by`` makes mm of the piece mm of paper."""

    def __init__(self, drawn: Schematic, scale: Scale, unit: Unit, x0: float, bottom: float, by: float) -> None:
        self.drawn, self.scale, self.unit = drawn, scale, unit
        self.x0, self.bottom, self.by = x0, bottom, by

    def x(self, across: float) -> float:
        return self.x0 - across * self.scale.stitch * self.by

    def y(self, up: float) -> float:
        return self.bottom - up * self.scale.row * self.by

    def at(self, across: int, up: int) -> str:
        return f"{num(self.x(across))} {num(self.y(up))}"

    def heights(self, edge: float) -> Iterator[tuple[str, int]]:
        """The height of each width and of each top, on the right, as far as there is room; and how long it is."""
        tops = {max(up for _, up in outline.corners) for outline in self.drawn.outlines}
        taken: list[float] = []
        for up in sorted(tops | {one.up for one in self.drawn.widths if one.up}, reverse=True):
            y = self.y(up)
            if any(abs(y - other) < TEXT_MM * 1.2 for other in taken):
                continue
            taken.append(y)
            label = f"{self.unit.size(up * self.scale.row)}, {up:,} rows"
            rule = f'<path d="M{num(edge + 1)} {num(y)}H{num(edge + 4)}" stroke="#000" stroke-width=".2"/>'
            yield rule + words(edge + 5, y + TEXT_MM * 0.36, label), len(label)

    def widths(self) -> Iterator[str]:
        """The width at the cast-on edge, below it, and wherever it is another, on its line; of two parts alike one."""
        taken: list[tuple[float, float]] = []
        told: set[tuple[int, int]] = set()
        for one in self.drawn.widths:
            y, middle = self.y(one.up), self.x(one.left + one.stitches / 2)
            label = _width(one, self.scale, self.unit)
            if not one.up:
                ends = self.x(one.left + one.stitches), self.x(one.left)
                rule = y + 2.2
                yield (
                    f'<path d="M{num(ends[0])} {num(rule - 1)}v2M{num(ends[0])} {num(rule)}H{num(ends[1])}'
                    f'M{num(ends[1])} {num(rule - 1)}v2" fill="none" stroke="#000" stroke-width=".2"/>'
                )
                yield words(middle, rule + TEXT_MM + 0.6, label, "middle")
            elif (one.up, one.stitches) not in told and y <= self.bottom - TEXT_MM * 1.4:
                if any(abs(y - b) < TEXT_MM * 1.4 and abs(middle - a) < 16 * LETTER_MM for a, b in taken):
                    continue
                taken.append((middle, y))
                told.add((one.up, one.stitches))
                yield words(middle, y + TEXT_MM, label, "middle")


def _width(one: WidthAt, scale: Scale, unit: Unit) -> str:
    return f"{unit.size(one.stitches * scale.stitch)}, {one.stitches:,} st"


def _scale(drawn: Schematic) -> Scale:
    if drawn.scale is None:
        raise ValueError("a schematic is drawn to a scale: the plan gives neither gauge nor a measured loop")
    return drawn.scale
