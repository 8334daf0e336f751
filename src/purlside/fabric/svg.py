"""The fabric on paper: an SVG drawing of plain elements that opens in a browser and prints on A4 or Letter.

``drawing(fabric, face, window(fabric, 1, 40))`` is a whole SVG document, no
more than 190 × 254 mm, with a title and a description for those who cannot
see it, row and needle numbers, and a legend in words of what it shows. It
holds no script and no style sheet, all text is escaped, and its ids begin with
``ident``, so that several drawings can stand in one page::

    svg = drawing(fabric, Face.KNIT, window(fabric, 1, 40), ident="repeat")
    svg = picture_svg(plan, Face.PURL, rows=(1, 40))
"""

from __future__ import annotations

from html import escape

from purlside.bed.moves import size_text
from purlside.bed.needles import Needle
from purlside.fabric.described import describe, rows_text, summary
from purlside.fabric.picture import Window, window
from purlside.fabric.ribbons import (
    BELOW,
    EDGE,
    MOST_SPREAD,
    NEEDLE,
    STRAND,
    TOP,
    Knit,
    SeenCrossing,
    Shape,
    bead,
    chevrons,
    crossed,
    drawn,
    how,
    num,
    ring,
)
from purlside.fabric.stitches import Fabric, Face
from purlside.plan.plan import Plan

SHEET_MM = (190.0, 254.0)
"""What both A4 and Letter hold inside margins of 10 mm and more."""

MOST_NEEDLE_MM = 5.0
"""A needle's width on paper, at most."""

USUAL_ROW = 0.72
"""Height of a row over the width of a stitch where the plan gives no gauge. An estimate of ours."""

TEXT_MM = 2.6
"""Height of the numbers and words, mm."""

LEAST_MM = 115.0
"""Width of a drawing, at least, so that the words below it fit."""

FABRIC = "#ece5d6"
LOOP = "#a99b80"
"""Colours of the fabric and of a loop that has no band's own, light enough to be printed."""

MOST_NOTES = 6
"""Reasons why something cannot be knit that stand under the drawing."""


def picture_svg(plan: Plan | Fabric, face: Face = Face.KNIT, rows: tuple[int, int] | None = None) -> str:
    """The drawing of a plan's fabric between two rows, both counted; the whole panel by default."""
    fabric = plan if isinstance(plan, Fabric) else Fabric(plan)
    return drawing(fabric, face, window(fabric, *(rows or (1, None))))


def drawing(fabric: Fabric, face: Face, part: Window | None = None, *, ident: str | None = None) -> str:
    """A window of the fabric as an SVG document."""
    page = _Page(fabric, face, part or window(fabric))
    return page.document(ident or f"{face}-{page.part.first}-{page.part.last}")


def plain(text: str) -> str:
    """Text for an SVG: escaped, and without the few characters XML does not hold."""
    kept = "".join(c if c in "\n\t" or (c >= " " and c not in "\ufffe\uffff") else "\ufffd" for c in text)
    return escape(kept)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: max(1, most - 1)] + "…"


class _Page:
    def __init__(self, fabric: Fabric, face: Face, part: Window) -> None:
        self.fabric, self.face, self.part = fabric, face, part
        gauge = fabric.plan.gauge
        ratio = gauge.stitches_per_10cm / gauge.rows_per_10cm if gauge else USUAL_ROW
        self.row_height = round(NEEDLE * min(1.4, max(0.35, ratio)), 2)
        self.places = list(face.order(part.left, part.right))
        self.crossed = [
            c
            for c in crossed(fabric, part.first - int(MOST_SPREAD), part.last)
            if c.made.needles[0] <= part.right and c.made.needles[-1] >= part.left
        ]
        self.shapes: dict[Shape, str] = {}
        self.used: set[Knit] = set()
        self.refused: dict[str, list[int]] = {}
        for row in fabric.crossing_rows(part.first, part.last):
            for why in fabric.row(row).refused:
                self.refused.setdefault(why, []).append(row)
        self.bands = [b for b in fabric.plan.band if b.rows.first <= part.last and b.rows.last >= part.first]
        self.width = len(self.places) * NEEDLE
        self.height = len(part.rows) * self.row_height
        # A crossing after the topmost row is drawn whole.
        tops = [c.shape(face).up for c in self.crossed if c.row == part.last]
        self.above = max(tops, default=0.0) * self.row_height

    def document(self, ident: str) -> str:
        ident = plain(ident)
        symbols, fabric = self._fabric(ident)
        legend = self._legend()
        foot = TEXT_MM * 1.7 * (len(legend) + min(MOST_NOTES, len(self.refused))) + 4
        left = 7 + TEXT_MM * 0.62 * len(str(self.part.last))
        right = 34.0 if self.bands else 4.0
        top, bottom = 18.0, foot + 6
        scale = min(
            MOST_NEEDLE_MM / NEEDLE,
            (SHEET_MM[0] - left - right) / self.width,
            (SHEET_MM[1] - top - bottom) / (self.height + self.above),
        )
        wide = max(LEAST_MM, left + self.width * scale + right)
        high = top + (self.height + self.above) * scale + bottom
        y0 = top + self.above * scale
        body = [
            self._heading(wide),
            f'<g transform="translate({num(left)} {num(y0)}) scale({scale:.5g})" clip-path="url(#{ident}-clip)">{fabric}</g>',
            *self._row_numbers(left, y0, scale),
            *self._needle_numbers(left, y0, scale),
            *self._band_labels(left + self.width * scale, y0, scale),
            *self._foot(legend, high - foot + 2, wide),
        ]
        rows = (self.part.first, self.part.last)
        title = plain(summary(self.fabric, self.face, rows))
        told = plain("\n".join(describe(self.fabric, self.face, rows)))
        clip = f"M0 {num(-self.above)}H{num(self.width)}V{num(self.height)}H0Z"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{num(wide)}mm" height="{num(high)}mm" '
            f'viewBox="0 0 {num(wide)} {num(high)}" role="img" aria-labelledby="{ident}-title {ident}-desc" '
            f'font-family="sans-serif" font-size="{TEXT_MM}" fill="#000">'
            f'<title id="{ident}-title">{title}</title><desc id="{ident}-desc">{told}</desc>'
            f'<defs><clipPath id="{ident}-clip"><path d="{clip}"/></clipPath>{self._patterns(ident)}{symbols}</defs>'
            f'<rect width="{num(wide)}" height="{num(high)}" fill="#fff"/>' + "\n".join(body) + "</svg>\n"
        )

    # --- the fabric, in units of a tenth of a needle --------------------------

    def x(self, place: int) -> float:
        """The left edge of a needle's column."""
        seen = place - self.part.left if self.face is Face.PURL else self.part.right - place
        return seen * NEEDLE

    def line(self, row: int) -> float:
        """The line between a row and the one after."""
        return (self.part.last - row) * self.row_height

    def _patterns(self, ident: str) -> str:
        h = self.row_height
        low = num(h)
        if self.face is Face.KNIT:
            stitch = (
                f'<path d="M.8 0Q1 {num(h * 0.5)} 5 {low}Q4.6 {num(h * 0.4)} 3.2 0ZM9.2 0Q9 {num(h * 0.5)} 5 {low}'
                f'Q5.4 {num(h * 0.4)} 6.8 0Z" fill="{LOOP}"/>'
            )
        else:
            stitch = (
                f'<path d="M.6 {num(h * 0.72)}Q5-{num(h * 0.35)} 9.4 {num(h * 0.72)}Q5 {num(h * 0.3)} .6 {num(h * 0.72)}Z" '
                f'fill="{LOOP}"/>'
            )
        rung = f'<path d="M0 {num(h / 2)}H10" stroke="{EDGE}" stroke-width=".9"/>'
        whole = f'width="10" height="{low}" patternUnits="userSpaceOnUse"'
        return f'<pattern id="{ident}-stitch" {whole}>{stitch}</pattern><pattern id="{ident}-ladder" {whole}>{rung}</pattern>'

    def _fabric(self, ident: str) -> tuple[str, str]:
        """The crossings drawn once each, and the fabric that uses them."""
        area = f'width="{num(self.width)}" height="{num(self.height)}"'
        parts = [f'<rect {area} fill="{FABRIC}"/>']
        if columns := self._columns():
            parts.append(f'<path d="{columns}" fill="{TOP}"/>')
        parts.append(f'<rect {area} fill="url(#{ident}-stitch)"/>')
        if ladders := "".join(self._column(p, 0, self.height) for p in self.places if p in self.fabric.ladders):
            parts.append(f'<path d="{ladders}" fill="#fff"/><path d="{ladders}" fill="url(#{ident}-ladder)"/>')
        parts += [
            f'<use href="#{self._symbol(ident, c)}" x="{num(self._left(c))}" y="{num(self.line(c.row))}"/>'
            for c in self.crossed
        ]
        parts += self._loose()
        symbols = "".join(f'<g id="{key}">{drawn(shape, self.row_height)}</g>' for shape, key in self.shapes.items())
        return symbols, "\n".join(parts)

    def _symbol(self, ident: str, crossing: SeenCrossing) -> str:
        shape = crossing.shape(self.face)
        self.used |= {r.knit for r in (*shape.below, *shape.top)}
        return self.shapes.setdefault(shape, f"{ident}-x{len(self.shapes) + 1}")

    def _left(self, crossing: SeenCrossing) -> float:
        needles = crossing.made.needles
        return min(self.x(needles[0]), self.x(needles[-1]))

    def _columns(self) -> str:
        """The needles of cables, from a little before the first crossing seen to a little after the last."""
        reach: dict[int, tuple[int, int]] = {}
        for crossing in self.crossed:
            for needle in crossing.made.needles:
                low, high = reach.get(int(needle), (crossing.row, crossing.row))
                reach[int(needle)] = min(low, crossing.row), max(high, crossing.row)
        margin = 2 * MOST_SPREAD * self.row_height
        return "".join(
            self._column(p, max(0, self.line(reach[p][1]) - margin), min(self.height, self.line(reach[p][0]) + margin))
            for p in self.places
            if p in reach
        )

    def _column(self, place: int, top: float, bottom: float) -> str:
        edge = (NEEDLE - STRAND) / 2
        return f"M{num(self.x(place) + edge)} {num(top)}h{STRAND}V{num(bottom)}h-{STRAND}Z"

    def _loose(self) -> list[str]:
        """Marks of stitches that were prepared and not crossed."""
        found = []
        for row in self.part.rows:
            knitted = self.fabric.row(row)
            taken = {int(came) for made in knitted.crossings for came, _ in (*made.front, *made.back)}
            for place, stitch in knitted.stitches.items():
                if place in taken or not self.part.left <= place <= self.part.right:
                    continue
                self.used.add(how(stitch))
                x, y = self.x(place) + NEEDLE / 2, self.line(row) + self.row_height / 2
                found.append(_mark(how(stitch), x, y))
        return found

    # --- numbers and words, in mm ---------------------------------------------

    def _heading(self, wide: float) -> str:
        part, most = self.part, int(wide / (TEXT_MM * 0.56))
        sides = "as at the bed" if self.face is Face.PURL else "left at the bed is on the right"
        rows = f"row {part.first}" if part.first == part.last else f"rows {part.first}–{part.last}"
        second = f"{self.face.words.capitalize()} ({sides}), {rows} of {self.fabric.rows}"
        return (
            f'<text x="3" y="5.5" font-size="4" font-weight="bold">{plain(_cut(self.fabric.plan.title, int(most * 0.6)))}</text>'
            f'<text x="3" y="9.8">{plain(_cut(second, most))}</text>'
        )

    def _row_numbers(self, left: float, y0: float, scale: float) -> list[str]:
        """Crossing rows first, with a dot, then every tenth or so, wherever there is room."""
        part = self.part
        refused = {row for rows in self.refused.values() for row in rows}
        crossing = list(self.fabric.crossing_rows(part.first, part.last))
        gap = TEXT_MM * 1.05
        step = next((s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500) if s * self.row_height * scale >= gap), 1000)
        others = [part.first, part.last, *range(part.first + (-part.first) % step, part.last + 1, step)]
        found, marked = [], set(crossing)
        taken: dict[int, float] = {}
        for row in (*crossing, *others):
            y = y0 + (self.line(row) + self.row_height / 2) * scale
            cell = int(y / gap)
            if any(abs(y - taken.get(near, y + 2 * gap)) < gap for near in (cell - 1, cell, cell + 1)):
                continue
            taken[cell] = y
            mark = "! " if row in refused else "• " if row in marked else ""
            at = f'x="{num(left - 1.5)}" y="{num(y + TEXT_MM * 0.36)}"'
            found.append(f'<text {at} text-anchor="end">{mark}{row}</text>')
        return found

    def _needle_numbers(self, left: float, y0: float, scale: float) -> list[str]:
        part = self.part
        fifths = [p for p in self.places if (p + 1 if p >= 0 else -p) % 5 == 0]
        taken: list[tuple[float, float]] = []
        found = []
        top, bottom = y0 - self.above * scale - 1.6, y0 + self.height * scale + TEXT_MM * 1.2
        for place in (part.left, part.right, -1, 0, *fifths):
            if not part.left <= place <= part.right:
                continue
            label = str(Needle(place))
            x, half = left + (self.x(place) + NEEDLE / 2) * scale, len(label) * TEXT_MM * 0.36
            if any(x + half > low and x - half < high for low, high in taken):
                continue
            taken.append((x - half, x + half))
            found += [f'<text x="{num(x)}" y="{num(y)}" text-anchor="middle">{label}</text>' for y in (top, bottom)]
        return found

    def _band_labels(self, x: float, y0: float, scale: float) -> list[str]:
        found = []
        for band in self.bands:
            top = y0 + self.line(min(band.rows.last, self.part.last)) * scale
            bottom = y0 + self.line(max(band.rows.first, self.part.first) - 1) * scale
            size = [f"SS {size_text(band.stitch_size)}"] if band.stitch_size is not None else []
            words = ", ".join([*size, *([band.colour] if band.colour is not None else [])])
            found.append(
                f'<path d="M{num(x + 1)} {num(top)}h1.5V{num(bottom)}h-1.5" fill="none" stroke="#000" stroke-width=".25"/>'
                f'<text x="{num(x + 3.5)}" y="{num((top + bottom) / 2 + 0.9)}">{plain(_cut(words, 18))}</text>'
            )
        return found

    def _legend(self) -> list[tuple[str, str]]:
        """(sample, words) of what the drawing shows."""
        stitch = "M0 0l2 2.5l2-2.5" if self.face is Face.KNIT else "M0 2.5q2-3 4 0"
        found = [(f'<path d="{stitch}" fill="none" stroke="{LOOP}" stroke-width=".8"/>', "a stitch")]
        if self.crossed:
            shape = (
                f'<path d="M4 3C4 1 0 2 0 0h1.6C1.6 1 5.6 1 5.6 3Z" fill="{BELOW}" stroke="{EDGE}" stroke-width=".2"/>'
            )
            over = f'<path d="M0 3C0 1 4 2 4 0h1.6C5.6 1 1.6 1 1.6 3Z" fill="{TOP}" stroke="{EDGE}" stroke-width=".2"/>'
            found.append((shape + over, "strands; the light one that runs through lies on top on this side"))
        for knit, words in (
            (Knit.ENLARGED, "enlarged: knit once at a larger stitch size"),
            (Knit.EXTRA, "extra rows: a chevron a row"),
            (Knit.BY_HAND, "knit by hand: one very large stitch"),
        ):
            if knit in self.used:
                found.append((f'<g transform="translate(2 1.4) scale(.4)">{_mark(knit, 0, 0)}</g>', words))
        if any(p in self.fabric.ladders for p in self.places):
            rungs = '<path d="M0 .6H4M0 1.7H4M0 2.8H4" stroke="#000" stroke-width=".3"/>'
            found.append((rungs, "needle out of work: a ladder"))
        if self.crossed:
            found.append(("<text x='1' y='2.4'>•</text>", "beside its number: a crossing row, crossed after it"))
        return found

    def _foot(self, legend: list[tuple[str, str]], y: float, wide: float) -> list[str]:
        most = int((wide - 14) / (TEXT_MM * 0.54))
        found = []
        for sample, words in legend:
            found.append(
                f'<g transform="translate(4 {num(y)})">{sample}</g><text x="13" y="{num(y + 2.4)}">{plain(words)}</text>'
            )
            y += TEXT_MM * 1.7
        for why, rows in list(self.refused.items())[:MOST_NOTES]:
            words = _cut(f"! row {rows_text(rows)}: {why}", most)
            found.append(f'<text x="4" y="{num(y + 2.4)}">{plain(words)}</text>')
            y += TEXT_MM * 1.7
        return found


def _mark(knit: Knit, x: float, y: float) -> str:
    match knit:
        case Knit.ENLARGED:
            return ring(x, y)
        case Knit.BY_HAND:
            return bead(x, y)
        case Knit.EXTRA:
            return chevrons([(x, y - 2), (x, y), (x, y + 2)])
        case _:
            return ""
