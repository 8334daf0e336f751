"""What drawings on paper share: a whole SVG document of plain elements, with its numbers and its words.

A document holds no script and no style sheet, all text is escaped, its ids
begin with ``ident`` so that several can stand in one page, and it has a title
and a description for those who cannot see it. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from purlside.bed.needles import numbered
from purlside.text.signs import cut

SHEET_MM = (180.0, 240.0)
"""What both A4 and Letter hold inside margins of 15 mm and more."""

TEXT_MM = 2.6
"""Height of the numbers and words."""

LINE_MM = TEXT_MM * 1.7
"""From one line of words to the next."""

LETTER_MM = TEXT_MM * 0.56
"""Width of a letter, about."""


def num(value: float) -> str:
    """A length, briefly."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value % 1 else str(int(value))


def plain(text: str) -> str:
    """Text for an SVG: escaped, and without the few characters XML does not hold."""
    kept = "".join(c if c in "\n\t" or (c >= " " and c not in "\ufffe\uffff") else "\ufffd" for c in text)
    return escape(kept)


def words(x: float, y: float, text: str, anchor: str = "start", more: str = "") -> str:
    """A line of text that ends, begins or has its middle at ``x``."""
    at = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{num(x)}" y="{num(y)}"{at}{more}>{plain(text)}</text>'


def foot(samples: Iterable[tuple[str, str]], y: float, wide: float, x: float = 4.0) -> list[str]:
    """What the signs mean: a small drawing and its words on each line, from ``x`` on; the words alone where there is none."""
    found = []
    for sample, told in samples:
        left = x + 9 if sample else x
        drawn = f'<g transform="translate({num(x)} {num(y)})">{sample}</g>' if sample else ""
        found.append(drawn + words(left, y + 2.4, cut(told, int((wide - left - 1) / LETTER_MM))))
        y += LINE_MM
    return found


def needle_numbers(columns: Sequence[tuple[int, float]], ys: Iterable[float]) -> list[str]:
    """Numbers of the needles whose middles are given as (place, x): the ends, the centre, every fifth, as they fit."""
    middles = dict(columns)
    places = list(middles)

    def at(place: int, label: str) -> tuple[float, float]:
        half = len(label) * TEXT_MM * 0.36
        return middles[place] - half, middles[place] + half

    named = numbered((places[0], places[-1]), places, at)
    return [words(middles[place], y, label, "middle") for place, label, _ in named for y in ys]


def document(ident: str, size: tuple[float, float], title: str, told: str, body: Iterable[str], defs: str = "") -> str:
    """The whole SVG of ``size`` mm."""
    wide, high = map(num, size)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}" '
        f'role="img" aria-labelledby="{ident}-title {ident}-desc" font-family="sans-serif" font-size="{TEXT_MM}" '
        f'fill="#000"><title id="{ident}-title">{plain(title)}</title><desc id="{ident}-desc">{plain(told)}</desc>'
        f'<defs>{defs}</defs><rect width="{wide}" height="{high}" fill="#fff"/>' + "\n".join(body) + "</svg>\n"
    )
