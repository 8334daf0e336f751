"""The schematic of a piece drawn: its outlines to scale, with measures in cm or inches and in stitches and rows."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from purlside.fabric.paper import LETTER_MM, TEXT_MM, document, num, plain, words
from purlside.figures.pieces import Scale
from purlside.figures.schematic import Schematic, WidthAt
from purlside.text.units import Unit

BOX_MM, SMALL_BOX_MM = (56.0, 60.0), (36.0, 40.0)
"""Width and height of the outline itself, at most; where there is little room."""

CLEAR = 0.6
"""Between words and lines, in mm."""

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


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
        if whole[-1].up != top and outline.part is None:
            told.append(f"after row {top:,}, at {unit.size(top * scale.row)}: {_width(whole[-1], scale, unit)}")
        elif whole[-1].up != top:
            told.append(f"{outline.part}, up to row {top:,}, {unit.size(top * scale.row)}")
    return [*told, *(f"between the parts at their tops: {_width(neck, scale, unit)}" for neck in _neck(drawn))]


def _neck(drawn: Schematic) -> Iterator[WidthAt]:
    """What lies between two parts where they end."""
    ends = []
    for outline in drawn.outlines:
        top = max(up for _, up in outline.corners)
        across = [x for x, up in outline.corners if up == top]
        ends += [(min(across), max(across), top)] if outline.part is not None else []
    if len(ends) == 2 and (low := min(ends)[1]) < (high := max(ends)[0]):
        yield WidthAt(None, max(top for _, _, top in ends), low, high - low, None)


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
    edge = (right - left) * by
    page = _Page(drawn, scale, unit, -left * by, 5.0 + high * by, by)
    body = [
        f'<path class="outline" d="M{"L".join(page.at(*corner) for corner in outline.corners)}Z" fill="#fff" '
        'stroke="#000" stroke-width=".5"/>'
        for outline in drawn.outlines
    ]
    heights, widths = list(page.heights(edge)), list(page.widths())
    body += [line for line, _, _ in (*heights, *widths)]
    # Beside the piece there is room for the words that do not stand in it.
    room = 1.5 - min([0.0, *(low for _, low, _ in widths)])
    wide = room + max(edge, *(high for _, _, high in (*heights, *widths))) + 1.5
    told = "\n".join(measures(drawn, unit))
    moved = [f'<g transform="translate({num(room)} 0)">', *body, "</g>"]
    return document(plain(ident), (wide, page.bottom + 2.2 * TEXT_MM + 2), f"{drawn.title}: schematic", told, moved)


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

    def heights(self, edge: float) -> Iterator[tuple[str, float, float]]:
        """The height of each width and of each top, on the right, as far as there is room; how far it reaches."""
        tops = {max(up for _, up in outline.corners) for outline in self.drawn.outlines}
        taken: list[float] = []
        for up in sorted(tops | {one.up for one in self.drawn.widths if one.up}, reverse=True):
            y = self.y(up)
            if any(abs(y - other) < TEXT_MM * 1.2 for other in taken):
                continue
            taken.append(y)
            label = f"{self.unit.size(up * self.scale.row)}, {up:,} rows"
            rule = f'<path d="M{num(edge + 1)} {num(y)}H{num(edge + 4)}" stroke="#000" stroke-width=".2"/>'
            yield rule + words(edge + 5, y + TEXT_MM * 0.36, label), edge, edge + 5 + len(label) * LETTER_MM

    def widths(self) -> Iterator[tuple[str, float, float]]:
        """The width at the cast-on edge, below it, and wherever it is another, in the piece or beside it.

        Of two parts alike one is told. Each stands clear of all lines; what has no room is left to the words.
        """
        taken: list[Box] = []
        told: set[tuple[int, int]] = set()
        for one in self.drawn.widths:
            y, middle = self.y(one.up), self.x(one.left + one.stitches / 2)
            label = _width(one, self.scale, self.unit)
            half = len(label) * LETTER_MM / 2
            if not one.up:
                ends = self.x(one.left + one.stitches), self.x(one.left)
                rule = y + 2.2
                yield (
                    f'<path d="M{num(ends[0])} {num(rule - 1)}v2M{num(ends[0])} {num(rule)}H{num(ends[1])}'
                    f'M{num(ends[1])} {num(rule - 1)}v2" fill="none" stroke="#000" stroke-width=".2"/>'
                    + words(middle, rule + TEXT_MM + 0.6, label, "middle"),
                    middle - half,
                    middle + half,
                )
            elif (one.up, one.stitches) not in told:
                told.add((one.up, one.stitches))
                label += " each" if self._alike(one) else ""
                yield from self._placed(label, middle, y, taken)
        for neck in _neck(self.drawn):
            label = _width(neck, self.scale, self.unit)
            yield from self._placed(label, self.x(neck.left + neck.stitches / 2), self.y(neck.up), taken)

    def _alike(self, one: WidthAt) -> bool:
        """Whether another part is as wide at that height."""
        return any((o.up, o.stitches) == (one.up, one.stitches) and o.part != one.part for o in self.drawn.widths)

    def _placed(self, label: str, middle: float, y: float, taken: list[Box]) -> Iterator[tuple[str, float, float]]:
        """A width's words: below its line where no line is met, else on the left; nowhere where others stand."""
        half = len(label) * LETTER_MM / 2
        for down in (0.0, 0.8, 1.6, 2.4):
            box = middle - half - CLEAR, y + down + 0.4, middle + half + CLEAR, y + down + TEXT_MM * 1.2 + CLEAR
            if not any(_overlap(box, other) for other in taken) and not self._meets(box):
                taken.append(box)
                yield words(middle, y + down + TEXT_MM, label, "middle"), middle - half, middle + half
                return
        box = -5 - 2 * half, y - TEXT_MM * 0.6, 0.0, y + TEXT_MM * 0.6
        if not any(_overlap(box, other) for other in taken):
            taken.append(box)
            rule = f'<path d="M-1 {num(y)}H-4" stroke="#000" stroke-width=".2"/>'
            yield rule + words(-5, y + TEXT_MM * 0.36, label, "end"), box[0], 0.0

    def _meets(self, box: Box) -> bool:
        """Whether a line of an outline runs through a box."""
        for outline in self.drawn.outlines:
            points = [(self.x(x), self.y(up)) for x, up in outline.corners]
            if any(_through(box, a, b) for a, b in pairwise([*points, points[0]])):
                return True
        return False


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _through(box: Box, a: tuple[float, float], b: tuple[float, float]) -> bool:
    """Whether a line from point to point runs through a box: what the box's sides leave of it is more than nothing."""
    low, high = 0.0, 1.0
    for i in (0, 1):
        way = b[i] - a[i]
        near, far = box[i] - a[i], box[i + 2] - a[i]
        if not way:
            if near > 0 or far < 0:
                return False
            continue
        at = sorted((near / way, far / way))
        low, high = max(low, at[0]), min(high, at[1])
    return low <= high


def _width(one: WidthAt, scale: Scale, unit: Unit) -> str:
    return f"{unit.size(one.stitches * scale.stitch)}, {one.stitches:,} st"


def _scale(drawn: Schematic) -> Scale:
    if drawn.scale is None:
        raise ValueError("a schematic is drawn to a scale: the plan gives neither gauge nor a measured loop")
    return drawn.scale
