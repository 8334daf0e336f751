"""What a knitter types, read: numbers with fractions, lengths in cm and inches, yarns, gauges, sizes.

Each function raises ValueError, in words, for what it cannot read.
"""

from __future__ import annotations

import math
import re
from itertools import combinations

from purlside.bed.needles import Span
from purlside.ease.fibres import find as fibre_named
from purlside.ease.yarncount import CountError, tex_of
from purlside.plan.plan import Gauge, Yarn
from purlside.text.harmless import shown
from purlside.values import dataclass

CM = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "inch": 2.54, "inches": 2.54, '"': 2.54, "''": 2.54}
"""Units of length in cm; the inch is exact by the international agreement of 1959."""


NUMBER = r"\d+(?:[.,]\d+)?(?:\s+[1-9]/[1-9]|\s?[¼½¾⅓⅔])?|[¼½¾⅓⅔]"
_PARTS = {"¼": 1 / 4, "½": 1 / 2, "¾": 3 / 4, "⅓": 1 / 3, "⅔": 2 / 3}
STITCHES = {
    "",
    "st",
    "sts",
    "stitch",
    "stitches",
    "s",
    "needles",
    "needle",
    "n",
    "ndl",
    "ndls",
    "by",
    "x",
    "and",
    "wide",
}
_COUNTS = {"tex", "dtex", "nm", "ne", "den", "denier", "run", "lea", "ply"}
ROWS = {"", "row", "rows", "r", "long"}


def value_of(text: str) -> float:
    """The first number of a text. Raises ValueError for one too large to count with, or none."""
    match = re.search(NUMBER, text)
    if match is None:
        raise ValueError(f"“{shown(text, 40)}” has no number")
    whole = re.match(r"\d+(?:[.,]\d+)?", match[0])
    value = float(whole[0].replace(",", ".")) if whole else 0.0
    if part := re.search(r"([1-9])/([1-9])", match[0]):
        value += int(part[1]) / int(part[2])
    value += sum(_PARTS.get(sign, 0.0) for sign in match[0])
    if not math.isfinite(value):
        raise ValueError("a number has too many digits")
    return round(value, 2) if value < 1e6 else value


def count_of(text: str) -> int:
    value = value_of(text.replace(",", ""))
    if value != int(value):
        raise ValueError(f"“{shown(text, 40)}”: needles and rows are whole numbers")
    return int(value)


def unit_of(text: str) -> str:
    """What a number counts: "cm", "in", "rows"; empty where nothing is said. Raises ValueError for what is no unit."""
    rest = re.sub(NUMBER, "", text, count=1).strip().strip(".").lower()
    unit = rest.split()[0].strip(".,") if rest else ""
    if unit not in CM | dict.fromkeys(STITCHES | ROWS) and not re.match(r"[lr]\s*\d", text.strip().lower()):
        raise ValueError(f"“{shown(text, 40)}”: write needles, rows, cm or in behind a number")
    return unit


def halves(text: str) -> tuple[str, str]:
    """The width and the length."""
    plain = text.replace("×", "x").replace("”", '"').replace("″", '"')
    for between in (r"\s+by\s+|(?<=[\d\s\"a-z])x(?=\s*\d)", r"\s*;\s*|,\s+|,(?=\d)", r"(?<=[a-z\"])\s+(?=\d)"):
        if match := re.fullmatch(rf"(.*?\d.*?)(?:{between})(.*\d.*)", plain, re.I):
            return match[1].strip(), match[2].strip()
    raise ValueError("write the width, a comma, and the length, as 48 needles, 180 rows")


def span_of(text: str) -> Span | None:
    """``"L24-R24"``, if that is how the width is written."""
    if not re.match(r"[lr]\s*\d", text.lower()):
        return None
    return Span.parse(re.sub(r"\s|needles", "", text.replace("–", "-")).upper().replace("TO", "-"))


_OVER = (
    rf"(?:\b(?:to|per|in|over|an?|every|each|the)\s+|[=/]\s*)+(?:an?\s+|the\s+|one\s+)*({NUMBER})?\s*"
    r"(cm|mm|inch(?:es)?|in\b|\")(?:\s*square)?"
)


def _per(text: str) -> tuple[float, str]:
    """How many cm a gauge is counted over, and the rest of the text."""
    match = re.search(rf"{_OVER}\s*$", text, re.I) or re.search(_OVER, text, re.I)
    if match is None:
        return 10.0, text
    over = (value_of(match[1]) if match[1] else 1.0) * CM[match[2].lower()]
    if over <= 0:
        raise ValueError("a gauge is counted over 10 cm, or an inch, or so many of them")
    return over, (text[: match.start()] + text[match.end() :]).strip(" ,;")


def _stitch_size(text: str) -> tuple[float | None, str]:
    """The size on the dial, and the rest of the text."""
    match = re.search(rf"\b(?:SS|stitch size|dial|tension|T)\s*[:=]?\s*({NUMBER})(?![\d/])", text, re.I)
    if match is None:
        return None, text
    return value_of(match[1]), f"{text[: match.start()]} {text[match.end() :]}"


def _yarn_count(words: list[str]) -> tuple[str | None, list[str]]:
    """The longest run of words that is a yarn count, and the words around it."""
    # Of two as long the later: in "cotton 8/2 Ne" the cotton is the fibre.
    for start, end in sorted(combinations(range(len(words) + 1), 2), key=lambda ends: (ends[0] - ends[1], -ends[0])):
        if end - start > 8 or not any(re.search(r"\d", word) for word in words[start:end]):
            continue
        text = " ".join(words[start:end])
        try:
            _tex(text)
        except CountError:
            continue
        fibre = [word for word in words[start:end] if word.lower() == "cotton"]
        return text, words[:start] + fibre + words[end:]
    return None, words


def _tex(text: str) -> float:
    """The tex of a count, of several ends held together too: ``"2 x 2/30 Nm"``. Raises CountError."""
    if ends := re.fullmatch(r"(\d{1,2})\s*(?:x|ends?(?:\s+of)?|strands?(?:\s+of)?)\s*(.*[/ ].*|\D.*)", text, re.I):
        return int(ends[1]) * tex_of(ends[2])
    return tex_of(text)


def gauge_of(text: str) -> Gauge | None:
    """The gauge of ``"29 st and 41 rows in 10 cm"``, ``"7 st, 10 rows to the inch"``; None for "not known yet".

    Raises ValueError for what is neither.
    """
    if not re.search(r"\d", text):
        if not re.fullmatch(r"not known(?: yet)?|none|no|\?|-|unknown|later", text, re.I):
            raise ValueError("stitches and rows, as 29 st and 41 rows in 10 cm; or: not known yet")
        return None
    per, rest = _per(text)
    numbers = [(match[1], (match[2] or "").lower()) for match in re.finditer(rf"({NUMBER})\s*([a-z]+)?", rest, re.I)]
    if len(numbers) != 2:
        raise ValueError("a gauge is stitches and rows, as 29 st and 41 rows in 10 cm")
    (first, named), (second, other) = numbers
    if named.startswith("r") and other.startswith("s"):
        first, second = second, first
    elif not (named in STITCHES and other in ROWS):
        raise ValueError(f"“{shown(rest, 40)}” is no gauge; write it as 29 st and 41 rows in 10 cm")
    stitches, rows = (value_of(number) / per * 10 for number in (first, second))
    if not 1 <= stitches <= 300 or not 1 <= rows <= 400:
        raise ValueError("a gauge is 1 to 300 stitches and 1 to 400 rows in 10 cm")
    return Gauge(stitches_per_10cm=round(stitches, 3), rows_per_10cm=round(rows, 3))


@dataclass(frozen=True, slots=True)
class HeardYarn:
    """A yarn as it is understood: its fibre and tex, the size on the dial if one was said, and both in words."""

    yarn: Yarn
    size: float | None
    words: str
    unknown: str


def yarn_of(text: str) -> HeardYarn:
    """The yarn of ``"wool 2/8 Nm, SS 5"`` or ``"2 x 2/30 Nm silk"``. Raises ValueError for what is no yarn count."""
    size, rest = _stitch_size(text)
    words = [word for word in re.split(r"[\s,;]+", rest.replace("×", "x")) if word]
    count, words = _yarn_count(words)
    loose = [word for word in words if re.fullmatch(NUMBER, word)]
    if size is None and len(loose) == 1 and not {word.lower() for word in words} & _COUNTS:
        size = value_of(loose[0])
        words.remove(loose[0])
    if odd := [word for word in words if re.search(r"\d", word) or word.lower() in _COUNTS]:
        raise ValueError(f"“{shown(' '.join(odd), 40)}” is no yarn count; write it as 2/8 Nm, or 280 tex")
    fibre = " ".join(words)
    if len(fibre) > 40:
        raise ValueError("a fibre has a name of at most 40 characters")
    tex = None if count is None else round(_tex(count), 2)
    told = [fibre] if fibre else []
    if count is not None and tex is not None:
        told.append(f"{tex:g} tex" if count.lower() == f"{tex:g} tex" else f"{count}, that is {tex:.4g} tex")
    unknown = "; this fibre's stretch is not known here" if fibre and not fibre_named(fibre) else ""
    return HeardYarn(Yarn(fibre=fibre or None, tex=tex), size, ", ".join(told), unknown)
