"""Colours: every text is read against what is behind it, and the two accents are told apart by colour-blind eyes too.

Contrast is that of the Web Content Accessibility Guidelines 2.1 (W3C, 2018): relative luminance of sRGB, at least 4.5 : 1.
Colour-blind sight is simulated after Viénot, Brettel and Mollon, "Digital video colourmaps for checking the legibility of
displays by dichromats" (Color Research and Application, 1999); distance is ΔE of CIELAB 1976 with white D65.
"""

from __future__ import annotations

import itertools

import pytest

from purlside.app.look import CROSSING, NOW, STRONG, THEMES, colour, filled
from purlside.text.signs import Tone

LEAST_CONTRAST = 4.5
LEAST_DISTANCE = 25
"""ΔE at which two colours are told apart at a glance. From memory: 2 is just seen side by side."""
Linear = tuple[float, float, float]


def linear(colour: str) -> Linear:
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return _linear(red), _linear(green), _linear(blue)


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else float(((part + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def seen_by(kind: str, colour: str) -> Linear:
    """A colour as a dichromat sees it, in linear sRGB: two of three parts are alike."""
    red, green, blue = linear(colour)
    if kind == "protan":
        both = 0.11238 * red + 0.88762 * green
        return both, both, 0.00401 * red - 0.00401 * green + blue
    if kind == "deutan":
        both = 0.29275 * red + 0.70725 * green
        return both, both, -0.02234 * red + 0.02234 * green + blue
    return red, green, blue


def lab(colour: Linear) -> tuple[float, float, float]:
    red, green, blue = colour
    x = (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505
    y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    z = (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089
    return 116 * _cube(y) - 16, 500 * (_cube(x) - _cube(y)), 200 * (_cube(y) - _cube(z))


def _cube(part: float) -> float:
    return float(part ** (1 / 3)) if part > 0.008856 else 7.787 * part + 16 / 116


def distance(kind: str, one: str, other: str) -> float:
    a, b = (lab(seen_by(kind, each)) for each in (one, other))
    return float(sum((p - q) ** 2 for p, q in zip(a, b, strict=True)) ** 0.5)


def test_black_on_white_and_a_grey_have_the_contrast_the_guidelines_give() -> None:
    assert round(contrast("#000000", "#ffffff"), 1) == 21.0
    assert round(contrast("#777777", "#ffffff"), 2) == 4.48


@pytest.mark.parametrize("theme", ["dark", "light"])
@pytest.mark.parametrize("tone", list(Tone), ids=str)
def test_every_text_stands_out_from_what_is_behind_it(theme: str, tone: Tone) -> None:
    """Also on the key line and beside the chart, which have grounds of their own."""
    own, made = colour(tone, dark=theme == "dark"), THEMES[theme]
    grounds = [made.background] if filled(tone) else [made.background, made.surface, made.panel]
    for ground in grounds:
        assert ground is not None
        assert contrast(own, ground) >= LEAST_CONTRAST, (theme, tone, ground, round(contrast(own, ground), 2))


@pytest.mark.parametrize("kind", ["usual", "protan", "deutan"])
@pytest.mark.parametrize("theme", [0, 1], ids=["dark", "light"])
def test_what_is_now_what_is_crossed_and_plain_text_are_told_apart_by_any_eyes(kind: str, theme: int) -> None:
    for one, other in itertools.combinations((NOW[theme], CROSSING[theme], STRONG[theme]), 2):
        assert distance(kind, one, other) >= LEAST_DISTANCE, (kind, one, other, distance(kind, one, other))
