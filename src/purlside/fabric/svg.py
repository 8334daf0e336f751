"""The fabric as it will look, on paper: an SVG drawing that opens in a browser and prints on A4 or Letter.

Strands are ribbons that run from crossing to crossing, over and under, on the
texture of the fabric. ``drawing(fabric, face, window(fabric, 1, 40))`` is a
whole SVG document no larger than 180 × 240 mm::

    svg = drawing(fabric, Face.KNIT, window(fabric, 1, 40), ident="repeat")
    svg = picture_svg(plan, Face.PURL, rows=(1, 40))
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from purlside.bed.needles import spans
from purlside.fabric.described import band_words, describe, rows_text, summary
from purlside.fabric.paper import LINE_MM, SHEET_MM, TEXT_MM, document, foot, needle_numbers, num, plain, words
from purlside.fabric.ribbons import Length, Window, lengths, window
from purlside.fabric.stitches import Fabric, Face, Stitch, sign_of
from purlside.plan.plan import Plan
from purlside.text.signs import cut

NEEDLE = 10.0
"""Units from one needle to the next, in the drawing of the fabric itself."""

MOST_NEEDLE_MM = 5.0
"""A needle's width on paper, at most."""

USUAL_ROW = 0.72
"""Height of a row over the width of a stitch where the plan gives no gauge. An estimate of ours."""

LEAST_MM = 115.0
"""Width of a drawing, at least, so that the words below it fit."""

LEAST_ROW_MM = 0.9
"""Height of a row on paper from which on each stitch of a ribbon is drawn."""

FABRIC, LOOP, RAISED, EDGE, SHADE = "#eee7d9", "#b3a58a", "#fbf7ec", "#4d4233", "#3a2f20"
"""Fabric and loops, ribbons, their edges, their shadow: light enough to be printed, told apart without colour."""

MOST_NOTES = 6
"""Reasons why something cannot be knit that stand under the drawing; the rest are counted."""


def picture_svg(plan: Plan | Fabric, face: Face = Face.KNIT, rows: tuple[int, int] | None = None) -> str:
    """The drawing of a plan's fabric between two rows, both counted; the whole panel by default."""
    fabric = plan if isinstance(plan, Fabric) else Fabric(plan)
    return drawing(fabric, face, window(fabric, *(rows or (1, None))))


def drawing(fabric: Fabric, face: Face, part: Window | None = None, *, ident: str | None = None) -> str:
    """A window of the fabric as an SVG document."""
    page = _Cloth(fabric, face, part or window(fabric))
    return page.document(plain(ident or f"{face}-{page.part.first}-{page.part.last}"))


def small_drawing(fabric: Fabric, face: Face, part: Window, most_mm: tuple[float, float], ident: str) -> str:
    """A window of the fabric by itself, without numbers or words, at most so wide and so high."""
    return _Cloth(fabric, face, part).alone(plain(ident), most_mm)


class _Cloth:
    def __init__(self, fabric: Fabric, face: Face, part: Window) -> None:
        self.fabric, self.face, self.part = fabric, face, part
        gauge = fabric.plan.gauge
        ratio = gauge.stitches_per_10cm / gauge.rows_per_10cm if gauge else USUAL_ROW
        self.h = round(NEEDLE * min(1.4, max(0.35, ratio)), 2)
        self.places = list(face.order(part.left, part.right))
        self.lengths = [
            one
            for one in lengths(fabric, face, part)
            if min(one.x0, one.x1) < len(self.places) and max(one.x0, one.x1) + one.width > 0
        ]
        self.loose = dict(self._loose())
        self.bands = [b for b in fabric.plan.band if b.rows.first <= part.last and b.rows.last >= part.first]
        self.width, self.height = len(self.places) * NEEDLE, len(part.rows) * self.h

    def document(self, ident: str) -> str:
        legend = [*self._legend(), *self._refused()]
        below = LINE_MM * len(legend) + 10
        left = 7 + TEXT_MM * 0.62 * len(str(self.part.last))
        right, top = 34.0 if self.bands else 6.0, 18.0
        fits = (SHEET_MM[0] - left - right) / self.width, (SHEET_MM[1] - top - below) / self.height
        scale = min(MOST_NEEDLE_MM / NEEDLE, *fits)
        wide, high = max(LEAST_MM, left + self.width * scale + right), top + self.height * scale + below
        body = [
            *self._heading(wide),
            f'<g transform="translate({num(left)} {num(top)}) scale({scale:.5g})" clip-path="url(#{ident}-clip)">',
            *self._cloth(ident, drawn=self.h * scale >= LEAST_ROW_MM),
            "</g>",
            *self._row_numbers(left, top, scale),
            *needle_numbers(
                [(p, left + (i + 0.5) * NEEDLE * scale) for i, p in enumerate(self.places)],
                (top - 1.6, top + self.height * scale + TEXT_MM * 1.2),
            ),
            *self._band_labels(left + self.width * scale, top, scale),
            *foot(legend, high - below + 8, wide),
        ]
        rows = (self.part.first, self.part.last)
        return document(
            ident,
            (wide, high),
            summary(self.fabric, self.face, rows),
            "\n".join(describe(self.fabric, self.face, rows)),
            body,
            f'<clipPath id="{ident}-clip"><path d="M0 0H{num(self.width)}V{num(self.height)}H0Z"/></clipPath>'
            + self._patterns(ident),
        )

    def alone(self, ident: str, most_mm: tuple[float, float]) -> str:
        """The fabric without anything beside it."""
        scale = min(MOST_NEEDLE_MM / NEEDLE, most_mm[0] / self.width, most_mm[1] / self.height)
        wide, high = num(self.width * scale), num(self.height * scale)
        edge = f'<path d="M0 0H{wide}V{high}H0Z" fill="none" stroke="{EDGE}" stroke-width=".2"/>'
        drawn = self._cloth(ident, drawn=self.h * scale >= LEAST_ROW_MM)
        cloth = f'<g transform="scale({scale:.5g})">{"".join(drawn)}</g>{edge}'
        rows = (self.part.first, self.part.last)
        told = summary(self.fabric, self.face, rows)
        return document(ident, (float(wide), float(high)), told, "", [cloth], self._patterns(ident))

    # --- the fabric, in units of a tenth of a needle --------------------------

    def y(self, rows: float) -> float:
        """A height, counted in rows upward, on the drawing."""
        return (self.part.last - rows) * self.h

    def x(self, place: int) -> float:
        """The middle of a needle's column."""
        return (self.part.seen(place, self.face) + 0.5) * NEEDLE

    def _middle(self, row: int, place: int) -> float:
        """The height of the middle of a row at a place."""
        return self.y(self.fabric.height(place, row - 0.5))

    def _patterns(self, ident: str) -> str:
        h = self.h
        whole = f'width="{num(NEEDLE)}" height="{num(h)}" patternUnits="userSpaceOnUse"'
        stitch = f'<path d="{self._stitch(NEEDLE / 2, h / 2, 0, h)}" fill="{LOOP}"/>'
        rung = f'<path d="M0 {num(h / 2)}H10" stroke="{EDGE}" stroke-width=".9"/>'
        return f'<pattern id="{ident}-stitch" {whole}>{stitch}</pattern><pattern id="{ident}-ladder" {whole}>{rung}</pattern>'

    def _stitch(self, x: float, y: float, lean: float, high: float, face: Face | None = None) -> str:
        """A stitch about a point, ``high`` from foot to head: two legs on the knit side, a bump on the purl side."""

        def at(dx: float, dy: float) -> str:
            # Higher up (less dy) a leaning stitch stands further along its lean.
            return f"{x + dx - lean * NEEDLE * dy * high / self.h:.1f} {y + dy * high:.1f}"

        if (face or self.face) is Face.PURL:
            return f"M{at(-4.4, 0.22)}Q{at(0, -0.85)} {at(4.4, 0.22)}Q{at(0, -0.2)} {at(-4.4, 0.22)}Z"
        leg = (
            f"M{at(s * 4.3, -0.5)}Q{at(s * 4, 0)} {at(0, 0.5)}Q{at(s * 0.4, -0.1)} {at(s * 1.7, -0.5)}Z"
            for s in (-1, 1)
        )
        return "".join(leg)

    def _cloth(self, ident: str, *, drawn: bool) -> Iterator[str]:
        area = f'<path d="M0 0H{num(self.width)}V{num(self.height)}H0Z" fill="{{}}"/>'
        yield area.format(FABRIC)
        yield area.format(f"url(#{ident}-stitch)")
        if ladders := "".join(
            f"M{num(i * NEEDLE)} 0h{num(NEEDLE)}v{num(self.height)}h-{num(NEEDLE)}Z"
            for i, place in enumerate(self.places)
            if place in self.fabric.ladders
        ):
            yield f'<path d="{ladders}" fill="#fff"/><path d="{ladders}" fill="url(#{ident}-ladder)"/>'
        for length in self.lengths:
            yield from self._length(length, drawn=drawn)
        if bare := "".join(self._bare()):
            yield f'<path d="{bare}" fill="#fff"/>'
        for (row, place), stitch in self.loose.items():
            x, y = self.x(place), self._middle(row, place)
            yield self._large(x, y, 0, self.h * (1.7 if stitch.by_hand else 1.3))
        # After the stitches: a bead lies on the large one it is drawn on.
        yield from self._marks()

    def _marks(self) -> Iterator[str]:
        """Columns latched up from the knit side, and what else the rows were asked that can be seen."""
        ground, turned, leans, beads = [], [], [], []
        for row in self.part.rows:
            for place in self.fabric.purled(row):
                x, y = self.x(place), self._middle(row, place)
                ground.append(f"M{num(x - 5)} {num(y - self.h / 2)}h10v{num(self.h)}h-10Z")
                turned.append(self._stitch(x, y, 0, self.h, self.face.other))
            for work in self.fabric.row(row).works:
                sign = sign_of(work, self.face)
                for needle in work.needles if sign in ("/", "\\", "●") else ():
                    x, y = self.x(int(needle)), self._middle(row, int(needle))
                    if sign == "●":
                        at = f'cx="{num(x)}" cy="{num(y)}" r="3.4"'
                        beads.append(f'<circle class="bead" {at} fill="{EDGE}" stroke="#fff"/>')
                    else:
                        to = 3.5 if sign == "/" else -3.5
                        leans.append(f"M{num(x - to)} {num(y + self.h / 2)}L{num(x + to)} {num(y - self.h / 2)}")
        if ground:
            yield f'<path d="{"".join(ground)}" fill="{FABRIC}"/><path class="turned" d="{"".join(turned)}" fill="{LOOP}"/>'
        if leans:
            yield f'<path class="two-in-one" d="{"".join(leans)}" stroke="{EDGE}" stroke-width="1.6"/>'
        yield from beads

    def _bare(self) -> Iterator[str]:
        """What is not knit: boxes over heights alike."""
        rows = range(self.part.first, self.part.last + 1)
        for bare, alike in groupby(rows, key=self.fabric.empty):
            if not bare:
                continue
            listed = list(alike)
            top, high = self.y(listed[-1]), len(listed) * self.h
            at = [i for i, place in enumerate(self.places) if place in bare]
            for span in spans(at):
                wide = num(len(span) * NEEDLE)
                yield f"M{num(int(span.left) * NEEDLE)} {num(top)}h{wide}v{num(high)}h-{wide}Z"

    def _length(self, length: Length, *, drawn: bool) -> Iterator[str]:
        """One length of a ribbon: its shadow, its ground, its stitches, its edges."""
        left, right = self._side(length, 0), self._side(length, length.width)
        shape = f"M{left[0]}{left[1]}L{right[2]}{right[3]}Z"
        bend = "".join(self._bend(length, at) for at in (0, length.width))
        if length.over:
            yield f'<path d="{bend}" fill="none" stroke="{SHADE}" stroke-opacity=".28" stroke-width="4.2"/>'
        yield f'<path class="{"over" if length.over else "under"}" d="{shape}" fill="{RAISED if length.raised else FABRIC}"/>'
        if length.raised:
            inner = "".join("M" + "".join(self._side(length, at)[:2]) for at in (0.16, length.width - 0.16))
            yield f'<path d="{inner}" fill="none" stroke="{LOOP}" stroke-opacity=".45" stroke-width="2.6"/>'
        if drawn:
            hand = [i for i, s in enumerate(length.knit) if s is not None and s.by_hand]
            if stitches := "".join(self._stitches(length, hand)):
                yield f'<path d="{stitches}" fill="{LOOP}"/>'
            if legs := "".join(self._bend(length, i + at) for i in hand for at in (0.4, 0.6)):
                yield f'<path class="large" d="{legs}" fill="none" stroke="{LOOP}" stroke-width=".8"/>'
        if length.raised:
            edges = "".join(f"M{side[0]}{side[1]}" for side in (left, right))
            yield f'<path d="{edges}" fill="none" stroke="{EDGE}" stroke-width="{1 if length.over else 0.8}"/>'

    def _stitches(self, length: Length, hand: list[int]) -> Iterator[str]:
        """The stitches along a length; extra rows crowd its bend, a stitch knit by hand takes all of it."""
        extra = max((s.rows - 1 for s in length.knit if s is not None), default=0)
        first, last = max(round(length.bottom), self.part.first - 1), min(round(length.top), self.part.last)
        for row in range(first, last):
            if self.fabric.height(length.place, row + 1) == self.fabric.height(length.place, row):
                continue
            bent = length.low < row + 0.5 < length.high
            count = 2 if bent and extra else 1
            for n in range(count):
                y = row + (n + 0.5) / count
                x, lean = length.at(y)
                for i in range(length.width):
                    if not (bent and i in hand):
                        high = self.y(self.fabric.height(length.place, y))
                        yield self._stitch((x + i + 0.5) * NEEDLE, high, lean, self.h / count)

    def _large(self, x: float, y: float, lean: float, high: float) -> str:
        """One large stitch, drawn in line: enlarged, or knit by hand."""
        d = self._stitch(x, y, lean, high)
        return f'<path class="large" d="{d}" fill="#fff" stroke="{EDGE}" stroke-width=".7"/>'

    def _point(self, length: Length, x: float, y: float) -> str:
        """A point of a length, where it is moved aside and as high as the fabric stands there."""
        return f"{(x + length.drifted(y)) * NEEDLE:.1f} {num(self.y(self.fabric.height(length.place, y)))}"

    def _side(self, length: Length, at: float) -> tuple[str, str, str, str]:
        """A line along a length, ``at`` needles from its left edge: where it begins below, its way up; the same downward."""
        below, above = (
            self._upright(length, at, length.bottom, length.low),
            self._upright(length, at, length.high, length.top),
        )
        c0, c1 = self._control(length, at)
        return (
            below[0],
            f"L{'L'.join(below[1:])}C{c0} {c1} {'L'.join(above)}",
            above[-1],
            f"L{'L'.join(above[-2::-1])}C{c1} {c0} {'L'.join(below[::-1])}",
        )

    def _upright(self, length: Length, at: float, low: float, high: float) -> list[str]:
        """The points of a line beside the bend, where it leans another way or the fabric is lower than its rows."""
        x = at + (length.x0 if low == length.bottom else length.x1)
        ys = {low, high, *(y for y, _ in length.drift if low < y < high)}
        if self.fabric.height(length.place, high) - self.fabric.height(length.place, low) < high - low:
            ys |= {float(y) for y in range(int(low) + 1, int(high) + 1) if y < high}
        found = [self._point(length, x, y) for y in sorted(ys)]
        return found if len(found) > 1 else found * 2

    def _bend(self, length: Length, at: float) -> str:
        c0, c1 = self._control(length, at)
        ends = self._point(length, length.x0 + at, length.low), self._point(length, length.x1 + at, length.high)
        return f"M{ends[0]}C{c0} {c1} {ends[1]}"

    def _control(self, length: Length, at: float) -> tuple[str, str]:
        """What bends the line: a third of the way up along the lean at either end."""
        third = (length.high - length.low) / 3
        return (
            self._point(length, length.x0 + length.lean0 * third + at, length.low + third),
            self._point(length, length.x1 - length.lean1 * third + at, length.high - third),
        )

    def _loose(self) -> Iterator[tuple[tuple[int, int], Stitch]]:
        """Large stitches that no crossing takes: ((row, place), stitch)."""
        for row in self.part.rows:
            knitted = self.fabric.row(row)
            taken = {int(came) for made in knitted.crossings for came, _ in (*made.front, *made.back)}
            for place, stitch in knitted.stitches.items():
                if place not in taken and stitch.enlarged and self.part.left <= place <= self.part.right:
                    yield (row, place), stitch

    # --- numbers and words, in mm ---------------------------------------------

    def _heading(self, wide: float) -> list[str]:
        part, most = self.part, int(wide / (TEXT_MM * 0.56))
        sides = "as at the bed" if self.face is Face.PURL else "left at the bed is on the right"
        rows = f"row {part.first}" if part.first == part.last else f"rows {part.first}–{part.last}"
        second = f"{self.face.words.capitalize()} ({sides}), {rows} of {self.fabric.rows}"
        title = cut(self.fabric.plan.title, int(most * 0.6))
        return [words(3, 5.5, title, more=' font-size="4" font-weight="bold"'), words(3, 9.8, cut(second, most))]

    def _row_numbers(self, left: float, top: float, scale: float) -> list[str]:
        """Crossing rows first, with a dot, then every tenth or so, wherever there is room."""
        part = self.part
        crossing = list(self.fabric.crossing_rows(part.first, part.last))
        gap = TEXT_MM * 1.05
        step = next((s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500) if s * self.h * scale >= gap), 1000)
        others = [part.first, part.last, *range(part.first + (-part.first) % step, part.last + 1, step)]
        found: list[str] = []
        taken: list[float] = []
        for row in (*crossing, *others):
            y = top + min((self._middle(row, p) for p in self.fabric.knit_in(row)), default=self.y(row - 0.5)) * scale
            if any(abs(y - other) < gap for other in taken):
                continue
            taken.append(y)
            knitted = self.fabric.row(row)
            mark = "! " if knitted.refused else "• " if knitted.crossings else ""
            found.append(words(left - 1.5, y + TEXT_MM * 0.36, f"{mark}{row}", "end"))
        return found

    def _band_labels(self, x: float, top: float, scale: float) -> list[str]:
        found = []
        for band in self.bands:
            high = top + self.y(min(band.rows.last, self.part.last)) * scale
            low = top + self.y(max(band.rows.first, self.part.first) - 1) * scale
            bracket = f"M{num(x + 1)} {num(high)}h1.5V{num(low)}h-1.5"
            found.append(f'<path class="band" d="{bracket}" fill="none" stroke="#000" stroke-width=".25"/>')
            found.append(words(x + 3.5, (high + low) / 2 + 0.9, cut(band_words(band), 18)))
        return found

    def _legend(self) -> Iterator[tuple[str, str]]:
        """(sample, words) of what the drawing shows."""
        if self.lengths:
            edges = f'stroke="{EDGE}" stroke-width=".25"'
            yield (
                f'<path d="M4 3C4 1 0 2 0 0h1.6C1.6 2 5.6 1 5.6 3Z" fill="{RAISED}" {edges}/>'
                f'<path d="M0 3C0 1 4 2 4 0h1.6C5.6 2 1.6 1 1.6 3Z" fill="{RAISED}" {edges}/>',
                "strands of a cable: an unbroken strand is on top",
            )
        large = [*self.loose.values(), *(s for one in self.lengths for s in one.knit if s is not None)]
        if any(s.by_hand for s in large):
            hand = f'<path d="M2.2 0V3M2.8 0V3" stroke="{EDGE}" stroke-width=".3"/>'
            yield hand, "one very large stitch, knit by hand"
        if any(not s.by_hand for s in self.loose.values()):
            yield f'<g transform="translate(3 1.5) scale(.3)">{self._large(0, 0, 0, 9)}</g>', "an enlarged stitch"
        if any(s.rows > 1 for s in large):
            yield "", "Stitches stand closer where a strand was given extra rows."
        if any(p in self.fabric.ladders for p in self.places):
            yield '<path d="M0 .6H4M0 1.7H4M0 2.8H4" stroke="#000" stroke-width=".3"/>', "needle out of work: a ladder"
        works = {sign_of(w, self.face): w.title for row in self.part.rows for w in self.fabric.row(row).works}
        if "●" in works:
            yield f'<circle cx="2" cy="1.5" r="1.2" fill="{EDGE}"/>', "a bead"
        if works.keys() & {"/", "\\"}:
            yield f'<path d="M1 3L3 0" stroke="{EDGE}" stroke-width=".5"/>', "two stitches in one: a decrease"
        if any(map(self.fabric.purled, self.part.rows)):
            knit = self.face is Face.KNIT
            turned = "purl bumps: latched up from the knit side" if knit else "knit stitches: latched up"
            yield "", f"Columns of {turned}."
        if any(self.fabric.crossing_rows(self.part.first, self.part.last)):
            yield '<text x="1" y="2.4">•</text>', "beside its number: a crossing row, crossed after it"

    def _refused(self) -> list[tuple[str, str]]:
        """What cannot be knit as planned, and in which rows."""
        refused: dict[str, list[int]] = {}
        for row in self.fabric.crossing_rows(self.part.first, self.part.last):
            for why in self.fabric.row(row).refused:
                refused.setdefault(why, []).append(row)
        notes = [("", f"! row {rows_text(rows)}: {why}") for why, rows in refused.items()]
        more = [("", f"! and {len(notes) - MOST_NOTES} more reasons")] if len(notes) > MOST_NOTES else []
        return [*notes[:MOST_NOTES], *more]
