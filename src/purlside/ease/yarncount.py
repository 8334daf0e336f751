"""Yarn counts: how thick a yarn is, read and written in any of the trade's systems.

Counts follow ASTM D2260 and ISO 2947: *tex* is grams in 1000 m. Every other
system is worked out here from its own definition in yards and pounds.
"""

from __future__ import annotations

import re

YARD_M = 0.9144
POUND_G = 453.59237
OUNCE_G = POUND_G / 16
"""Yard and avoirdupois pound and ounce, exact by the international agreement of 1959."""

LEAST_TEX, MOST_TEX = 1.0, 20_000.0
"""What a plan may say."""

LENGTH_COUNTS: dict[str, float] = {
    "Nm": 1000.0,
    "Ne": 1000 * POUND_G / (840 * YARD_M),
    "worsted": 1000 * POUND_G / (560 * YARD_M),
    "run": 1000 * POUND_G / (1600 * YARD_M),
    "lea": 1000 * POUND_G / (300 * YARD_M),
}
"""System → tex × number. Nm: 1000 m in a kg; the others: hanks of 840, 560, 1600, 300 yd in a pound."""

WEIGHT_COUNTS: dict[str, float] = {"tex": 1.0, "dtex": 0.1, "denier": 1 / 9}
"""System → tex in one. Denier: grams in 9000 m."""

_OTHER_NAMES = {
    "nm": "Nm",
    "ne": "Ne",
    "nec": "Ne",
    "cotton": "Ne",
    "worsted": "worsted",
    "nek": "worsted",
    "run": "run",
    "lea": "lea",
    "nel": "lea",
    "tex": "tex",
    "dtex": "dtex",
    "decitex": "dtex",
    "den": "denier",
    "denier": "denier",
}

_NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
_LENGTH = {"m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0, "km": 1000.0}
_LENGTH |= dict.fromkeys(("yd", "yds", "yard", "yards"), YARD_M)
_WEIGHT = {"g": 1.0, "gram": 1.0, "grams": 1.0, "kg": 1000.0}
_WEIGHT |= dict.fromkeys(("lb", "lbs", "pound", "pounds"), POUND_G)
_WEIGHT |= dict.fromkeys(("oz", "ounce", "ounces"), OUNCE_G)

_PER = re.compile(rf"{_NUMBER}?\s*([a-z]+)\s*(?:/|per|in|=)\s*{_NUMBER}?\s*([a-z]+)")
_NAMED_FIRST = re.compile(rf"(?:r\s*)?([a-z]+)\s*{_NUMBER}(?:\s*([/x])\s*{_NUMBER})?")
_NAMED_LAST = re.compile(rf"(?:r\s*)?{_NUMBER}(?:\s*([/x])\s*{_NUMBER})?\s*([a-z]+)")
_FOLDED = re.compile(rf"(r\s*)?{_NUMBER}\s*([a-z]+)\s*([/x])\s*([0-9]+)")

ALLOWED_COUNT = (
    'a yarn count as "280 tex", "2/8 Nm", "Ne 20/2", "2/14 worsted", "1500 denier", "25 tex x 2", "420 m per 100 g"'
)


class CountError(ValueError):
    """A yarn count that could not be read; the text says why."""


def tex_of(text: str) -> float:
    """A yarn count in words → tex of the whole yarn, all plies together.

    In Nm, Ne, worsted, run and lea the smaller number of a pair is the plies
    (``2/8 Nm`` and ``8/2 Nm`` are the same yarn); tex, dtex and denier fold
    with ``25 tex x 2``, and ``R 50 tex/2`` is 50 tex in all. Raises CountError.

    >>> round(tex_of("2/28 Nm"), 2)
    71.43
    """
    words = " ".join(text.lower().replace("×", "x").split())
    if "," in words:
        raise CountError(f"{text!r} has a comma; write decimals with a point and thousands without a mark")
    tex = _folded(words, text)
    if tex is None:
        tex = _per(words, text)
    if tex is None:
        tex = _named(words, text)
    if tex is None:
        raise CountError(f"{text!r} is not a yarn count; write {ALLOWED_COUNT}")
    if not LEAST_TEX <= tex <= MOST_TEX:
        raise CountError(f"{text!r} would be {tex:.6g} tex; yarns are {LEAST_TEX:g} to {MOST_TEX:g} tex")
    return tex


def _system(word: str, text: str) -> str:
    if word not in _OTHER_NAMES:
        known = ", ".join([*WEIGHT_COUNTS, *LENGTH_COUNTS])
        raise CountError(f'"{word}" in {text!r} is not a count system; known are {known}, and metres per gram')
    return _OTHER_NAMES[word]


def _positive(number: str, text: str) -> float:
    value = float(number)
    if value <= 0:
        raise CountError(f"{text!r} has a number that is not above 0")
    return value


def _folded(words: str, text: str) -> float | None:
    match = _FOLDED.fullmatch(words)
    if match is None or match[3] not in ("tex", "dtex", "den", "denier", "decitex"):
        return None
    each = _positive(match[2], text) * WEIGHT_COUNTS[_system(match[3], text)]
    plies = _positive(match[5], text)
    if match[4] == "x":
        return each * plies
    if match[1]:
        return each
    raise CountError(f'{text!r} may mean each ply or all of them; write "25 tex x 2" or "R 50 tex/2"')


def _per(words: str, text: str) -> float | None:
    match = _PER.fullmatch(words)
    if match is None or match[2] not in _LENGTH | _WEIGHT or match[4] not in _LENGTH | _WEIGHT:
        return None
    metres = grams = 0.0
    for number, unit in ((match[1], match[2]), (match[3], match[4])):
        amount = _positive(number, text) if number else 1.0
        metres += amount * _LENGTH.get(unit, 0.0)
        grams += amount * _WEIGHT.get(unit, 0.0)
    if not metres or not grams:
        raise CountError(f"{text!r} needs one length and one weight, as 420 m per 100 g")
    return 1000 * grams / metres


def _named(words: str, text: str) -> float | None:
    if match := _NAMED_FIRST.fullmatch(words):
        name, first, sign, second = match[1], match[2], match[3], match[4]
    elif match := _NAMED_LAST.fullmatch(words):
        first, sign, second, name = match[1], match[2], match[3], match[4]
    else:
        return None
    system = _system(name, text)
    numbers = [_positive(n, text) for n in (first, second) if n]
    if system in WEIGHT_COUNTS:
        if sign == "/":
            raise CountError(f'{text!r} may mean plies or filaments; write "25 tex x 2" or the tex of the whole yarn')
        each = numbers[0] * WEIGHT_COUNTS[system]
        return each * (numbers[1] if sign else 1.0)
    plies = min(numbers) if len(numbers) == 2 else 1.0
    if plies != int(plies):
        raise CountError(f"{text!r} has {plies:g} plies; plies are a whole number")
    return LENGTH_COUNTS[system] / max(numbers) * plies


def count_in(tex: float, system: str) -> float:
    """The number of a yarn of ``tex`` in another system, as one thread. Raises CountError for an unknown system."""
    name = system if system in LENGTH_COUNTS | WEIGHT_COUNTS else _system(system.lower(), system)
    return LENGTH_COUNTS[name] / tex if name in LENGTH_COUNTS else tex / WEIGHT_COUNTS[name]


def metres_per_100g(tex: float) -> float:
    """Metres in 100 g."""
    return 100_000 / tex
