"""Yarn counts: how thick a yarn is, read and written in any of the trade's systems.

Counts follow ASTM D2260 and ISO 2947: *tex* is grams in 1000 m. Every other
system is worked out here from its own definition in yards and pounds.
"""

from __future__ import annotations

import math
import re

from purlside.ease.fibres import FIBRES, OTHER_FIBRES
from purlside.text.units import G_PER_OUNCE as OUNCE_G
from purlside.text.units import M_PER_YARD as YARD_M

POUND_G = 16 * OUNCE_G

MOST_PLIES = 12
"""Plies that a count may have where its smaller number is not whole. A limit of ours."""

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
_ENDS = re.compile(r"([0-9]+)\s*(?:x|ends?\s+(?:of\s+)?|strands?\s+(?:of\s+)?)\s*(.+)")
_WRAPS = re.compile(rf"{_NUMBER}\s*(?:wpi|wraps?\s*(?:/|per|to the|an|in an)\s*inch)")
_FOLDED = re.compile(rf"(r\s*)?{_NUMBER}\s*([a-z]+)\s*([/x])\s*([0-9]+)")
_BARE = re.compile(rf"{_NUMBER}(?:\s*/\s*{_NUMBER})?")

ALLOWED_COUNT = (
    'a yarn count as "280 tex", "2/8 Nm", "Ne 20/2", "2/14 worsted", "25 tex x 2", "420 m per 100 g", two ends as '
    '"2 x 2/30 Nm", or "14 wpi"'
)

TEX_AT_ONE_WRAP = 16_000.0
"""Tex × wraps^1.5 of a knitting yarn wound side by side round an inch. Ours, from memory: about 250 tex at 16 wraps, 500
at 10; looser winding gives fewer wraps, so it is the roughest of estimates."""

_WORDS = "|".join(sorted([*FIBRES, *OTHER_FIBRES], key=len, reverse=True))
_ABOUT = re.compile(rf"(?:[0-9]+\s*%\s*)?\b(?:{_WORDS})\b|\b(?:and|yarn|about)\b", re.IGNORECASE)
"""What stands round a count and is no part of it."""


class CountError(ValueError):
    """A yarn count that could not be read; the text says why."""


def tex_of(text: str) -> float:
    """A yarn count in words → tex of the whole yarn, all plies together.

    In Nm, Ne, worsted, run and lea the smaller number of a pair is the plies
    (``2/8 Nm`` and ``8/2 Nm`` are the same yarn), or the one that is whole
    (``2/1.8 Nm``); :func:`other_reading` tells where that may not be meant. tex,
    dtex and denier fold with ``25 tex x 2``, and ``R 50 tex/2`` is 50 tex in all.
    Ends held together stand before (``2 x 2/30 Nm``), wraps per inch (``14 wpi``)
    are an estimate. Raises CountError.

    >>> round(tex_of("2/28 Nm"), 2)
    71.43
    """
    words = _plain(text)
    if "," in words:
        raise CountError(f"{text!r} has a comma; write decimals with a point and thousands without a mark")
    tex = _read(words, text)
    if not LEAST_TEX <= tex <= MOST_TEX:
        raise CountError(f"{text!r} would be {tex:.6g} tex; yarns are {LEAST_TEX:g} to {MOST_TEX:g} tex")
    return tex


def tex_in(text: str) -> float:
    """A yarn count with what the yarn is made of around it, ``"wool 2/8 Nm"``: its tex. Raises CountError.

    >>> tex_in("80 % wool, 20 % nylon, 2/8 Nm")
    250.0
    """
    try:
        return tex_of(text)
    except CountError:
        alone = " ".join(_ABOUT.sub(" ", text.replace(", ", " ")).split())
        if alone == " ".join(text.split()):
            raise
        return tex_of(alone)


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("×", "x").split())


def _read(words: str, text: str) -> float:
    if match := _WRAPS.fullmatch(words):
        wraps = _positive(match[1], text)
        return TEX_AT_ONE_WRAP / (wraps * math.sqrt(wraps))
    if match := _ENDS.fullmatch(words):
        return _positive(match[1], text) * _read(match[2], text)
    for reader in (_folded, _per, _named):
        tex = reader(words, text)
        if tex is not None:
            return tex
    if _BARE.fullmatch(words):
        raise CountError(f'{text!r} names no count system; write "{words} Nm", or Ne, worsted, tex')
    raise CountError(f"{text!r} is not a yarn count")


def is_estimate(text: str) -> bool:
    """Whether a count is only a guess at the yarn's weight, as wraps per inch are."""
    return "wpi" in _plain(text) or "wrap" in _plain(text)


def other_reading(text: str) -> str | None:
    """Both readings of a pair that may be meant either way round, as ``"Nm 3/4"``; None where there is only one.

    Raises CountError.
    """
    taken = tex_in(text)
    match = re.search(rf"{_NUMBER}\s*/\s*{_NUMBER}", _plain(text))
    if match is None:
        return None
    plies, number = sorted(map(float, match.groups()))
    if not (plies.is_integer() and number.is_integer() and 1 < plies < number < 2 * plies and number <= MOST_PLIES):
        return None
    other = taken * (number / plies) ** 2
    return (
        f"read as {plies:g} plies of {number:g}, {taken:.4g} tex; {number:g} plies of {plies:g} would be {other:.4g} tex: "
        "if that is meant, write the tex"
    )


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
    if len(numbers) == 1:
        return LENGTH_COUNTS[system] / numbers[0]
    plies, number = sorted(numbers)
    if not plies.is_integer() and number.is_integer():
        plies, number = number, plies
    if not plies.is_integer() or plies > max(MOST_PLIES, min(numbers)):
        raise CountError(f"{text!r} has {plies:g} plies; plies are a whole number, at most {MOST_PLIES}")
    return LENGTH_COUNTS[system] / number * plies


def count_in(tex: float, system: str) -> float:
    """The number of a yarn of ``tex`` in another system, as one thread. Raises CountError for an unknown system."""
    name = system if system in LENGTH_COUNTS | WEIGHT_COUNTS else _system(system.lower(), system)
    return LENGTH_COUNTS[name] / tex if name in LENGTH_COUNTS else tex / WEIGHT_COUNTS[name]


def metres_per_100g(tex: float) -> float:
    """Metres in 100 g."""
    return 100_000 / tex
