"""What a knitter types, read: numbers with fractions, lengths in cm and inches, yarns, gauges, sizes.

Each function raises ValueError, in words, for what it cannot read.
"""

from __future__ import annotations

import math
import re
from itertools import combinations

from purlside.bed.needles import Span
from purlside.ease.fibres import find as fibre_named
from purlside.ease.yarncount import CountError, other_reading, tex_of
from purlside.plan.machine import Gauge, Yarn
from purlside.text.harmless import shown
from purlside.values import Value

CM = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "inch": 2.54, "inches": 2.54, '"': 2.54, "''": 2.54}
CM |= dict.fromkeys(("ft", "foot", "feet"), 30.48) | dict.fromkeys(("yd", "yds", "yard", "yards"), 91.44)
"""Units of length in cm; the inch, a twelfth of a foot, is exact by the international agreement of 1959."""


NUMBER = r"\d+(?:[.,]\d+)?(?:\s+[1-9]/[1-9]|\s?[¼½¾⅓⅔])?|[¼½¾⅓⅔]"
_PARTS = {"¼": 1 / 4, "½": 1 / 2, "¾": 3 / 4, "⅓": 1 / 3, "⅔": 2 / 3}
STITCHES = {"", "st", "sts", "stitch", "stitches", "s", "needles", "needle", "n", "ndl", "ndls"}
STITCHES |= {"by", "x", "and", "wide"}
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
    words = [word.strip(".,") for word in re.sub(NUMBER, "", text, count=1).strip().lower().split()]
    unit = next((word for word in words if word in CM), words[0] if words else "")
    if unit not in CM | dict.fromkeys(STITCHES | ROWS) and not re.match(r"[lr]\s*\d", text.strip().lower()):
        raise ValueError(f"“{shown(text, 40)}”: write needles, rows, cm or in behind a number")
    return unit


_LONG = re.compile(r"\b(?:rows?|long|length|high|tall)\b|\d\s*r\b", re.I)
_WIDE = re.compile(r"\b(?:needles?|ndls?|sts?|stitch(?:es)?|wide|width)\b|\d\s*(?:n|s)\b", re.I)


def halves(text: str) -> tuple[str, str]:
    """The width and the length, whichever was named first."""
    first, second = _two(text)
    turned = (_LONG.search(first) and not _LONG.search(second)) or (_WIDE.search(second) and not _WIDE.search(first))
    return (second, first) if turned else (first, second)


def _two(text: str) -> tuple[str, str]:
    plain = text.translate(str.maketrans("×*”″–", 'xx""-'))
    # "24-0-24" and "24L-24R" count from the centre, as L24-R24 does. Common practice, no source.
    plain = re.sub(r"\b(\d+)\s*-\s*0\s*-\s*(\d+)\b", r"L\1-R\2", plain)
    plain = re.sub(r"\b(\d+)\s*L\s*(?:-|to)\s*(\d+)\s*R\b", r"L\1-R\2", plain, flags=re.I)
    for between in (
        r"\s+by\s+|(?<=[\d\s\"a-z])x(?=\s*\d)",
        r"\s*;\s*|,\s+|,(?=\d)",
        r"(?<=[a-z\"])\s+(?=\d)|\s+(?=\d+\s*r)",
    ):
        if match := re.fullmatch(rf"(.*?\d.*?)(?:{between})(.*\d.*)", plain, re.I):
            return match[1].strip(), match[2].strip()
    raise ValueError("write the width, a comma, and the length, as 48 needles, 180 rows")


def span_of(text: str) -> Span | None:
    """``"L24-R24"``, if that is how the width is written."""
    if not re.match(r"[lr]\s*\d", text.lower()):
        return None
    return Span.parse(re.sub(r"\s|needles", "", text.replace("–", "-")).upper().replace("TO", "-"))


_DIAL = rf"\b(?:SS|stitch size|tension dial|dial|tension|MT|TD|T)\s*[:=]?\s*({NUMBER})(·{{1,2}}|\.\.)?(?![\d/])"
"""The size on the dial. Dots behind a number are clicks, a third each: common practice, no source."""

_OVER = (
    rf"(?:\b(?:to|per|in|over|an?|every|each|the)\s+|[=/]\s*)+(?:an?\s+|the\s+|one\s+)*({NUMBER})?\s*"
    r"(cm|mm|inch(?:es)?|in\b|\")(?:\s*square)?"
)


def _per(text: str) -> tuple[float, str]:
    """How many cm a gauge is counted over, and the rest of the text."""
    bare = rf"\s({NUMBER})\s*(cm|in(?:ch(?:es)?)?|\")\s*$"
    match = re.search(rf"{_OVER}\s*$", text, re.I) or re.search(_OVER, text, re.I) or re.search(bare, text, re.I)
    if match is None:
        return 10.0, text
    over = (value_of(match[1]) if match[1] else 1.0) * CM[match[2].lower()]
    if over <= 0:
        raise ValueError("a gauge is counted over 10 cm, or an inch, or so many of them")
    return over, (text[: match.start()] + text[match.end() :]).strip(" ,;")


def _stitch_size(text: str) -> tuple[float | None, str]:
    """The size on the dial, and the rest of the text."""
    match = re.search(rf"{_DIAL}(?!\s*(?:st|rows?\b|x))", text, re.I)
    if match is None:
        return None, text
    size = value_of(match[1]) + len(match[2] or "") / 3
    return round(size, 2), f"{text[: match.start()]} {text[match.end() :]}"


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


_LENGTH = r"(cm|mm|in(?:ch(?:es)?)?|\")"
_SWATCHES = tuple(
    re.compile(form, re.I)
    for form in (
        rf"({NUMBER})\s*st\D*?({NUMBER})\s*{_LENGTH}\D*?({NUMBER})\s*r\D*?({NUMBER})\s*{_LENGTH}\s*",
        rf"\D*?({NUMBER})\s*st\D*?({NUMBER})\s*r(?:ows?)?\D*?({NUMBER})\s*{_LENGTH}?\s*(?:x|by)\s*({NUMBER})\s*{_LENGTH}\s*",
    )
)
"""A swatch as it was measured: "40 st = 13.8 cm, 60 rows = 14.6 cm", "40 sts and 60 rows, 13.8 x 14.6 cm"."""


def gauge_of(text: str) -> Gauge | None:
    """The gauge of ``"29 st and 41 rows in 10 cm"``, ``"7 st, 10 rows to the inch"``; None for "not known yet".

    A swatch as it was measured is read too (``"40 st = 13.8 cm, 60 rows = 14.6 cm"``), and the dial it was knit at
    (``"… at SS 5"``). Raises ValueError for what is none of them.
    """
    if not re.search(r"\d", text):
        if not re.fullmatch(
            r"not (?:known )?yet|not known|none|no(?: gauge| swatch)?(?: yet)?|\?|-|unknown|later", text, re.I
        ):
            raise ValueError("stitches and rows, as 29 st and 41 rows in 10 cm; or: not known yet")
        return None
    size, text = _stitch_size(text)
    text = re.sub(r"\b(?:at|on|with)\s*$", "", text.replace("×", "x").strip(" ,;:")).strip(" ,;:")
    stitches, rows = _measured(text) or _counted(text)
    if not 1 <= stitches <= 300 or not 1 <= rows <= 400:
        raise ValueError("a gauge is 1 to 300 stitches and 1 to 400 rows in 10 cm")
    return Gauge(stitches_per_10cm=round(stitches, 3), rows_per_10cm=round(rows, 3), stitch_size=size)


def _measured(text: str) -> tuple[float, float] | None:
    """Stitches and rows in 10 cm of a swatch counted and measured."""
    each, both = (form.fullmatch(text) for form in _SWATCHES)
    if each is not None:
        stitches, wide, unit, rows, high, other = each.groups()
    elif both is not None:
        stitches, rows, wide, unit, high, other = both.groups()
    else:
        return None
    across, along = value_of(wide) * CM[(unit or other).lower()], value_of(high) * CM[other.lower()]
    if not across or not along:
        raise ValueError("a swatch has a width and a height")
    return value_of(stitches) / across * 10, value_of(rows) / along * 10


def _counted(text: str) -> tuple[float, float]:
    """Stitches and rows in 10 cm of a gauge counted over so many cm or inches. Raises ValueError."""
    per, rest = _per(text)
    numbers = [(match[1], (match[2] or "").lower()) for match in re.finditer(rf"({NUMBER})\s*([a-z]+)?", rest, re.I)]
    if len(numbers) != 2:
        raise ValueError("a gauge is stitches and rows, as 29 st and 41 rows in 10 cm")
    (first, named), (second, other) = numbers
    if named.startswith("r") and other.startswith("s"):
        first, second = second, first
    elif not (named in STITCHES and other in ROWS):
        raise ValueError(f"“{shown(rest, 40)}” is no gauge; write it as 29 st and 41 rows in 10 cm")
    return value_of(first) / per * 10, value_of(second) / per * 10


class HeardYarn(Value):
    """A yarn as it is understood: its fibre and tex, the size on the dial if one was said, and both in words."""

    yarn: Yarn
    size: float | None
    words: str
    unknown: str


def yarn_of(text: str) -> HeardYarn:
    """The yarn of ``"wool 2/8 Nm, SS 5"`` or ``"2 x 2/30 Nm silk"``. Raises ValueError for what is no yarn count."""
    size, rest = _stitch_size(text)
    ends = re.search(r"\b(\d{1,2})\s*(?:ends|strands)\b(?!\s*of)(?:\s+(?:held\s+)?together)?", rest, re.I)
    rest = re.sub(r"\b100\s?%", "", rest if ends is None else f"{rest[: ends.start()]} {rest[ends.end() :]}")
    words = [word for word in re.split(r"[\s,;]+", rest.replace("×", "x")) if word]
    count, words = _yarn_count(words)
    if count is not None:
        count = count if ends is None else f"{ends[1]} x {count}"
        words = [word for word in words if not re.fullmatch(r"\d{1,2}-?ply|ne[ckl]", word, re.I)]
    loose = [word for word in words if re.fullmatch(NUMBER, word)]
    if size is None and len(loose) == 1 and not {word.lower() for word in words} & _COUNTS:
        size = value_of(loose[0])
        words.remove(loose[0])
    if odd := [word for word in words if _odd(word)]:
        raise ValueError(_no_count(shown(" ".join(odd), 40)))
    fibre = " ".join(words)
    if len(fibre) > 40:
        raise ValueError("a fibre has a name of at most 40 characters")
    tex = None if count is None else round(_tex(count), 2)
    told = [fibre] if fibre else []
    if count is not None and tex is not None:
        told.append(f"{tex:g} tex" if count.lower() == f"{tex:g} tex" else f"{count}, that is {tex:.4g} tex")
    if count is not None and (both := other_reading(count)):
        told.append(both)
    unknown = "; this fibre's stretch is not known here" if fibre and not fibre_named(fibre) else ""
    return HeardYarn(Yarn(fibre=fibre or None, tex=tex), size, ", ".join(told), unknown)


def _odd(word: str) -> bool:
    """Whether a word beside a count is part of no fibre's name, as "80%" and "50/50" are."""
    parts = re.fullmatch(r"(\d{1,2})/(\d{1,2})", word)
    blend = parts is not None and int(parts[1]) + int(parts[2]) == 100
    return (not blend and bool(re.search(r"\d(?!\d*%)", word))) or word.lower() in _COUNTS


def _no_count(found: str) -> str:
    """Why what was found is no yarn count, and how one is written."""
    if re.fullmatch(r"\d+/\d+", found):
        return f"“{found}”: Nm, Ne or worsted? Write {found} Nm, or metres per 100 g as on the band"
    if re.search(r"ply\b", found, re.I):
        return f"“{found}” says how many plies, not how thick: write 2/8 Nm, or metres per 100 g as on the band"
    return f"“{found}” is no yarn count; write it as 2/8 Nm, or 280 tex"
