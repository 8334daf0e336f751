"""The bed strip drawn for paper, as SVG: black on white, every meaning carried by shape and lane."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from html import escape

from purlside.bed.moves import BY_HAND, Knit
from purlside.bed.needles import Needle, Position, Side, Span, numbered
from purlside.sheet.parts import Drawing, Legend
from purlside.shown import strip
from purlside.shown.framing import Frame, frame
from purlside.shown.view import View, in_play
from purlside.text import signs
from purlside.values import Value

STEP = 12
"""Width of a needle; all lengths here are in the drawing's own unit, a third of a millimetre at its natural size."""

GUTTER = 60
HEIGHT = 122
MM = 1 / 3
NUMBERS, BRACKETS, LOOPS, ROWS, RAIL, WORKING, UPPER, HOLDING, CARRIAGE, YARN = 9, 20, 35, 47, 54, 64, 76, 88, 102, 116
LANES = {Position.WP: WORKING, Position.UWP: UPPER, Position.HP: HOLDING}

COLUMNS = 80

ON_PAPER = (
    ("Square", "a needle, in the lane of its position: working, upper working or holding"),
    ("Triangle pointing down, and a small ring", "push this needle out, to the ring"),
    ("Triangle pointing up, and a small ring", "bring this needle back, to the ring"),
    ("Double ring in the working lane", "knit this needle by hand, drawn back to the rail"),
    ("Circles, in the lane of loops", "small: a loop at the row's size; large: enlarged; double: knit by hand"),
    ("Figures, in the lane of rows", "how often the needle was knit in this row so far"),
    ("Cross", "a needle out of work: a ladder"),
    ("Bar with an arrow", "where the carriage stands and the way it goes; broken: it backs up, knitting nothing"),
    ("Dot with a needle's name", "where the yarn lies"),
    ("Brackets", "the two halves of a cable; FRONT is the half that shows on the knit side"),
)
"""The signs in words."""


def _in_characters(ascii_only: bool) -> list[tuple[str, str]]:
    """The strip's signs and what they mean."""
    glyphs = signs.ASCII if ascii_only else signs.UNICODE
    same = {getattr(signs.UNICODE, f.name): getattr(glyphs, f.name) for f in fields(signs.Glyphs)}
    same |= {
        "▼": glyphs.outward,
        "▲": glyphs.inward,
        "·": glyphs.target,
        "●": glyphs.yarn,
        "×": glyphs.none,
        "□": glyphs.resting,
    }
    carriage = ("█ ═ ─", "the carriage, and the way it goes: knitting, backing up")
    listed = [("■", "a needle, in the lane of its position"), *signs.LEGEND, carriage]
    return [("".join(same.get(char, char) for char in sign), what) for sign, what in listed]


STRIP_LEGEND = Legend(
    "The drawings show the needle bed as you see it from your seat, the rail at the top:", ON_PAPER, _in_characters
)

STYLE = (
    ".strip text{font:8px sans-serif;fill:#000}.strip .l{stroke:#000;fill:none}.strip .n{fill:#000;stroke:none}"
    ".strip .t{fill:#fff;stroke:#000;stroke-width:.8}.strip .h{stroke:#999;stroke-width:.5;fill:none}"
)


class _Fit(Value):
    """Where needles fall; the panel cut to ``frame``'s part where it is too wide."""

    frame: Frame
    panel: Span

    @property
    def places(self) -> range:
        return range(self.frame.first, self.frame.last + 1)

    def x(self, place: int) -> float:
        """The middle of a needle."""
        return GUTTER + (place - self.frame.first) * STEP + STEP / 2

    def edge(self, beyond: Needle, side: Side) -> float:
        """Just past a needle on that side, kept on the drawing."""
        x = self.x(int(beyond)) + side.step * STEP / 2
        return max(GUTTER - 4.0, min(self.right + 4.0, x))

    @property
    def right(self) -> float:
        return GUTTER + len(self.places) * STEP

    @property
    def width(self) -> float:
        return self.right + 24


def drawing(view: View, alt: str, most: int) -> Drawing:
    """The strip of a view, at most so many needles wide on paper; ``alt`` says in words what is drawn."""

    def lines(ascii_only: bool) -> list[str]:
        return signs.text(strip.draw(view, COLUMNS, signs.ASCII if ascii_only else signs.UNICODE)).splitlines()

    return Drawing(lambda name: svg(view, alt, name, most), lines, alt)


def svg(view: View, alt: str, name: str, most: int) -> str:
    """One drawing with its words; ``name`` makes its ids its own on the page."""
    panel = view.bed.panel
    fit = _Fit(frame(panel, most + 1, in_play(view), per=1), panel)
    parts = [
        f'<svg class="strip" role="img" aria-labelledby="{name}" viewBox="0 0 {fit.width:g} {HEIGHT}" '
        f'style="width:{fit.width * MM:.0f}mm"><title id="{name}">{escape(alt)}</title>',
        *_ground(fit),
        *_numbers(view, fit),
        *_brackets(view, fit),
        *_loops(view, fit),
        *_needles(view, fit),
        *_carriage(view, fit),
        *_yarn(view, fit),
        "</svg>",
    ]
    return "".join(parts)


def _text(x: float, y: float, text: str, anchor: str = "middle") -> str:
    at = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{x:g}" y="{y:g}"{at}>{escape(text)}</text>'


def _path(css: str, pieces: Iterable[str]) -> list[str]:
    drawn = "".join(pieces)
    return [f'<path class="{css}" d="{drawn}"/>'] if drawn else []


def _ground(fit: _Fit) -> list[str]:
    names = [("loops", LOOPS), ("rows", ROWS), ("working", WORKING), ("upper", UPPER), ("holding", HOLDING)]
    names += [("carriage", CARRIAGE), ("yarn", YARN)]
    parts = [_text(0, y + 3, name, "start") for name, y in names]
    lines = [f"M{GUTTER} {RAIL - 1}H{fit.right:g}M{GUTTER} {RAIL + 1}H{fit.right:g}"]
    if fit.frame.first < 0 <= fit.frame.last:
        lines.append(f"M{fit.x(0) - STEP / 2:g} {LOOPS - 6}V{YARN + 4}")
    lanes = [f"M{GUTTER} {y + 6}H{fit.right:g}" for y in (WORKING, UPPER, HOLDING)]
    if not fit.frame.whole:
        if fit.frame.first > fit.panel.left:
            parts.append(_text(GUTTER - 6, RAIL + 3, "…"))
        if fit.frame.last < fit.panel.right:
            parts.append(_text(fit.right + 6, RAIL + 3, "…"))
    return [*parts, *_path("h", lanes), *_path("l", lines)]


def _numbers(view: View, fit: _Fit) -> list[str]:
    """Needle numbers at blocks' edges, the ends, the centre and every fifth, as they fit."""
    edges = [
        int(n) for c in view.crossed for half in (c.crossing.front, c.crossing.back) for n in (half.left, half.right)
    ]

    def at(place: int, label: str) -> tuple[float, float]:
        return fit.x(place) - len(label) * 2.6, fit.x(place) + len(label) * 2.6

    named = numbered((*edges, fit.frame.first, fit.frame.last), fit.places, at)
    return [_text(fit.x(place), NUMBERS, label) for place, label, _ in named]


def _brackets(view: View, fit: _Fit) -> list[str]:
    parts: list[str] = []
    lines: list[str] = []
    for crossed in view.crossed:
        for half, word in ((crossed.crossing.front, "FRONT"), (crossed.crossing.back, "back")):
            if half.left not in fit.places or half.right not in fit.places:
                continue
            left, right = fit.x(int(half.left)) - STEP * 0.4, fit.x(int(half.right)) + STEP * 0.4
            lines.append(f"M{left:g} {BRACKETS - 6}V{BRACKETS + 2}H{right:g}V{BRACKETS - 6}")
            shown = word if right - left > len(word) * 5 else word[0]
            parts.append(_text((left + right) / 2, BRACKETS, shown))
    return [*_path("l", lines), *parts]


def _ring(x: float, y: float, r: float) -> str:
    return f"M{x - r:g} {y}a{r:g} {r:g} 0 1 0 {2 * r:g} 0a{r:g} {r:g} 0 1 0 {-2 * r:g} 0"


def _loops(view: View, fit: _Fit) -> list[str]:
    bed = view.bed
    offset = int(bed.panel.left)
    rings: list[str] = []
    parts = []
    for place in fit.places:
        i, x = place - offset, fit.x(place)
        if bed.position[i] is Position.NWP:
            rings.append(f"M{x - 3:g} {WORKING - 3}l6 6m0 -6l-6 6")
            continue
        if bed.loops[i]:
            size = bed.loop_size[i]
            rings += [
                _ring(x, LOOPS, r) for r in ((4.5, 2.2) if size == BY_HAND else (4.5,) if size > view.size else (2,))
            ]
        parts.append(_text(x, ROWS + 3, str(bed.rows[i])))
    return [*_path("l", rings), *parts]


def _needles(view: View, fit: _Fit) -> list[str]:
    bed = view.bed
    offset = int(bed.panel.left)
    goes, by_hand = view.goes()
    marks: list[str] = []
    targets: list[str] = []
    for place in fit.places:
        stands = bed.position[place - offset]
        if stands is Position.NWP:
            continue
        x, y = fit.x(place), LANES[stands]
        if place in by_hand:
            # Drawn back to the rail, wherever the same step takes it then.
            if stands is not Position.WP:
                marks.append(f"M{x - 4:g} {y + 4:g}h8l-4 -8z")
            targets += [_ring(x, WORKING, r) for r in (4.5, 2.2)]
            continue
        to = goes.get(place, stands)
        if to is stands:
            marks.append(f"M{x - 3.5:g} {y - 3.5:g}h7v7h-7z")
            continue
        down = LANES[to] > y
        marks.append(f"M{x - 4:g} {y - 4 if down else y + 4:g}h8l-4 {8 if down else -8}z")
        targets.append(_ring(x, LANES[to], 2.2))
    return [*_path("n", marks), *_path("t", targets)]


def _carriage(view: View, fit: _Fit) -> list[str]:
    at = fit.edge(*view.bed.carriage)
    parts = _path("n", [f"M{at - 2:g} {CARRIAGE - 6}h4v12h-4z"])
    if (push := view.push) is not None:
        to = fit.edge(push.beyond, push.toward)
        step = push.toward.step
        dash = "" if isinstance(push, Knit) else ' stroke-dasharray="4 3"'
        parts.append(f'<path class="l" stroke-width="2"{dash} d="M{at:g} {CARRIAGE}H{to - step * 6:g}"/>')
        parts += _path("n", [f"M{to:g} {CARRIAGE}l{-step * 9} -5v10z"])
    return parts


def _yarn(view: View, fit: _Fit) -> list[str]:
    place, label = int(view.bed.yarn), str(view.bed.yarn)
    if place < fit.frame.first:
        return [_text(GUTTER, YARN + 3, f"… {label}", "start")]
    if place > fit.frame.last:
        return [_text(fit.right, YARN + 3, f"{label} …", "end")]
    x = fit.x(place)
    return [*_path("n", [_ring(x, YARN, 3)]), _text(x + 6, YARN + 3, label, "start")]
