"""A new plan from five questions, read as a knitter writes, each with an answer that may stand.

::

    [heard.words for heard in hear(["Cuff", "4.5 mm", "wool 2/8 Nm, SS 5", "7 st and 10 rows to the inch", "9 in x 60 in"])]
    begin([...])        # the plan; raises NotUnderstood with the number of the question that cannot be read

Lengths are read in cm, mm, m or inches; a count without a unit is needles or rows.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from purlside.bed.moves import size_text
from purlside.bed.needles import MOST_A_SIDE, Needle, Span
from purlside.ease.fibres import find as fibre_named
from purlside.ease.yarncount import CountError, tex_of
from purlside.plan.plan import MOST_ROWS, Gauge, Machine, Panel, Plan, Wanted, Yarn
from purlside.text.harmless import shown, unprintable

USUAL_PITCH_MM = 4.5
"""Distance between needles of the most common beds. Common practice, no source."""

USUAL_NEEDLES = 200
"""Needles of such a bed. From memory."""
_NEEDLES_BY_PITCH = ((4.0, 250), (5.0, USUAL_NEEDLES), (7.5, 150), (30.0, 110))
"""Needles of a bed whose needles are at most so many mm apart, where nothing is said. From memory; beds differ."""

MOST_TITLE = 200
"""Characters of a title, as in a plan."""
MOST_TYPED = 200
"""Characters of one answer that are read."""

CM = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "inch": 2.54, "inches": 2.54, '"': 2.54, "''": 2.54}
"""Units of length in cm; the inch is exact by the international agreement of 1959."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question, the answer that stands if nothing is typed, and how an answer is written."""

    asked: str
    usual: str
    hint: str


QUESTIONS = (
    Question("What is it called?", "New panel", "a title, at most 200 characters"),
    Question(
        "Needle pitch?",
        f"{USUAL_PITCH_MM:g} mm, {USUAL_NEEDLES} needles",
        "from needle to needle, and how many needles: 4.5 mm, 200 needles; the number may be left out",
    ),
    Question(
        "Which yarn, which stitch size?",
        "wool, SS 5",
        "as on the band, and the dial: wool 2/8 Nm, SS 5; 2 x 2/30 Nm silk, SS 4; cotton 280 tex, SS 6⅓",
    ),
    Question(
        "Gauge?",
        "not known yet",
        "from a swatch: 29 st and 41 rows in 10 cm; 7 st and 10 rows to the inch; not known yet leaves it out",
    ),
    Question(
        "How wide, how long?",
        "48 needles, 180 rows",
        "48 needles, 180 rows; L24-R24, 180 rows; with a gauge 22 cm x 160 cm, or 9 in x 60 in",
    ),
)
TITLE, BED, YARN, GAUGE, SIZE = range(5)


class NotUnderstood(ValueError):
    """An answer that cannot be read; ``index`` is its question."""

    def __init__(self, index: int, why: str) -> None:
        self.index = index
        super().__init__(why)


@dataclass(frozen=True, slots=True)
class Heard:
    """How an answer is understood; or, where it is ``wrong``, why it cannot be."""

    words: str
    wrong: bool = False


def hear(answers: Sequence[str]) -> list[Heard]:
    """Each of the five answers as it is understood."""
    return _Beginning(answers).heard


def begin(answers: Sequence[str]) -> Plan:
    """The plan of five answers. Raises NotUnderstood for the first that cannot be read."""
    made = _Beginning(answers)
    for index, heard in enumerate(made.heard):
        if heard.wrong:
            raise NotUnderstood(index, heard.words)
    return made.plan()


class _Beginning:
    """Five answers, read one after another; what one needs of another is taken from it."""

    def __init__(self, answers: Sequence[str]) -> None:
        self._answers = [answer.strip() or question.usual for answer, question in zip(answers, QUESTIONS, strict=True)]
        self.title = "New panel"
        self.machine = Machine(pitch_mm=USUAL_PITCH_MM, needles=USUAL_NEEDLES)
        self.yarn, self.stitch_size = Yarn(), 5.0
        self.gauge: Gauge | None = None
        self.needles, self.rows = Span(Needle(-24), Needle(23)), 1
        self.wanted: Wanted | None = None
        self.heard: list[Heard] = []
        for read in (self._title, self._bed, self._yarn, self._gauge, self._size):
            self.heard.append(self._read(read))

    def _read(self, read: Callable[[str], str]) -> Heard:
        text = self._answers[len(self.heard)]
        if unprintable(text):
            return Heard("an answer is one line of text, without control characters", wrong=True)
        if len(text) > MOST_TYPED:
            return Heard(f"at most {MOST_TYPED} characters", wrong=True)
        try:
            return Heard(read(" ".join(text.split())))
        except ValueError as error:
            return Heard(str(error), wrong=True)

    def plan(self) -> Plan:
        panel = Panel(needles=self.needles, rows=self.rows, stitch_size=self.stitch_size)
        return Plan(
            format=1,
            title=self.title,
            machine=self.machine,
            yarn=self.yarn,
            gauge=self.gauge,
            panel=panel,
            wanted=self.wanted,
        )

    # --- the answers, each giving what was understood ---------------------------

    def _title(self, text: str) -> str:
        self.title = text
        return ""

    def _bed(self, text: str) -> str:
        match = re.fullmatch(
            rf"({_NUMBER})\s*(mm|cm)?\b\s*(?:pitch|apart)?\s*[,;]?\s*(?:x\s*)?(?:(\d+)\s*(?:needles|n|ndls?)?)?",
            text,
            re.I,
        )
        if match is None or not 1 <= (pitch := _value(match[1]) * (10 if match[2] == "cm" else 1)) <= 30:
            raise ValueError("the distance between needles is 1 to 30 mm, as 4.5 mm, 200 needles")
        usual = next(needles for most, needles in _NEEDLES_BY_PITCH if pitch <= most)
        needles = _count(match[3]) if match[3] else usual
        if not 2 <= needles <= 2 * MOST_A_SIDE or needles % 2:
            raise ValueError(f"a bed has an even number of needles, 2 to {2 * MOST_A_SIDE}")
        self.machine = Machine(pitch_mm=pitch, needles=needles)
        return f"{pitch:g} mm from needle to needle, {needles} needles, {self.machine.bed}"

    def _yarn(self, text: str) -> str:
        size, rest = _stitch_size(text)
        words = [word for word in re.split(r"[\s,;]+", rest.replace("×", "x")) if word]
        count, words = _yarn_count(words)
        if (
            size is None
            and not {word.lower() for word in words} & _COUNTS
            and len(loose := [w for w in words if re.fullmatch(_NUMBER, w)]) == 1
        ):
            size = _value(loose[0])
            words.remove(loose[0])
        if odd := [word for word in words if re.search(r"\d", word) or word.lower() in _COUNTS]:
            raise ValueError(f"“{shown(' '.join(odd), 40)}” is no yarn count; write it as 2/8 Nm, or 280 tex")
        fibre = " ".join(words)
        if len(fibre) > 40:
            raise ValueError("a fibre has a name of at most 40 characters")
        size = 5.0 if size is None else size
        low, high = self.machine.dial
        if not low <= size <= high:
            raise ValueError(f"a stitch size is {size_text(low)} to {size_text(high)} on the dial")
        self.stitch_size = size
        tex = None if count is None else round(_tex(count), 2)
        self.yarn = Yarn(fibre=fibre or None, tex=tex)
        told = [fibre] if fibre else []
        if count is not None and tex is not None:
            told.append(f"{tex:g} tex" if count.lower() == f"{tex:g} tex" else f"{count}, that is {tex:.4g} tex")
        told.append(f"stitch size {size_text(size)}")
        known = fibre_named(fibre) if fibre else None
        stretch = "" if known or not fibre else "; this fibre's stretch is not known here"
        return ", ".join(told) + stretch

    def _gauge(self, text: str) -> str:
        if not re.search(r"\d", text):
            if not re.fullmatch(r"not known(?: yet)?|none|no|\?|-|unknown|later", text, re.I):
                raise ValueError("stitches and rows, as 29 st and 41 rows in 10 cm; or: not known yet")
            return "no gauge yet: sizes in cm and inches come with it"
        per, rest = _per(text)
        numbers = [
            (match[1], (match[2] or "").lower()) for match in re.finditer(rf"({_NUMBER})\s*([a-z]+)?", rest, re.I)
        ]
        if len(numbers) != 2:
            raise ValueError("a gauge is stitches and rows, as 29 st and 41 rows in 10 cm")
        (first, named), (second, other) = numbers
        if named.startswith("r") and other.startswith("s"):
            first, second = second, first
        elif not (named in _STITCHES and other in _ROWS):
            raise ValueError(f"“{shown(rest, 40)}” is no gauge; write it as 29 st and 41 rows in 10 cm")
        stitches, rows = (_value(number) / per * 10 for number in (first, second))
        if not 1 <= stitches <= 300 or not 1 <= rows <= 400:
            raise ValueError("a gauge is 1 to 300 stitches and 1 to 400 rows in 10 cm")
        self.gauge = Gauge(stitches_per_10cm=round(stitches, 3), rows_per_10cm=round(rows, 3))
        return f"{stitches:.4g} stitches and {rows:.4g} rows in 10 cm; {stitches / 3.937:.3g} and {rows / 3.937:.3g} to the inch"

    def _size(self, text: str) -> str:
        wide, long = _halves(text)
        span = _span(wide)
        width_unit, length_unit = _unit(wide), _unit(long)
        if span is None and (width_unit in CM) != (length_unit in CM) and "" in (width_unit, length_unit):
            width_unit = length_unit = width_unit or length_unit
        if width_unit in _ROWS - {""} or length_unit in _STITCHES - {""}:
            raise ValueError("the width comes first, then the length, as 48 needles, 180 rows")
        width_cm = _value(wide) * CM[width_unit] if span is None and width_unit in CM else None
        length_cm = _value(long) * CM[length_unit] if length_unit in CM else None
        if (width_cm or length_cm) and self.gauge is None:
            unit = "inches" if "in" in (width_unit + length_unit) or '"' in text else "centimetres"
            raise ValueError(f"{unit} need a gauge: answer the question above, or count needles and rows")
        gauge = self.gauge
        self.rows = round(length_cm * gauge.rows_per_10cm / 10) if length_cm and gauge else _count(long)
        if not 1 <= self.rows <= MOST_ROWS:
            raise ValueError(f"a panel has 1 to {MOST_ROWS:,} rows; this would be {self.rows:,}")
        if span is None:
            count = round(width_cm * gauge.stitches_per_10cm / 10) if width_cm and gauge else _count(wide)
            if not 1 <= count <= self.machine.needles:
                raise ValueError(f"the bed has {self.machine.needles} needles; the panel would take {count:,}")
            left = -(count // 2)
            span = Span(Needle(left), Needle(left + count - 1))
        if span.left not in self.machine.bed or span.right not in self.machine.bed:
            raise ValueError(f"the bed goes from {self.machine.bed.left} to {self.machine.bed.right}")
        self.needles = span
        if width_cm or length_cm:
            self.wanted = Wanted(
                width_cm=round(width_cm, 2) if width_cm else None, length_cm=round(length_cm, 2) if length_cm else None
            )
        counted = f"{len(span)} needles, {span}, and {self.rows:,} rows"
        if gauge is None:
            return counted
        across, along = len(span) / gauge.stitches_per_10cm * 10, self.rows / gauge.rows_per_10cm * 10
        return f"{counted}: {across:.1f} × {along:.1f} cm ({across / 2.54:.1f} × {along / 2.54:.1f} in) before take-in"


# --- numbers, units, words ----------------------------------------------------

_NUMBER = r"\d+(?:[.,]\d+)?(?:\s+[1-9]/[1-9]|\s?[¼½¾⅓⅔])?|[¼½¾⅓⅔]"
_PARTS = {"¼": 1 / 4, "½": 1 / 2, "¾": 3 / 4, "⅓": 1 / 3, "⅔": 2 / 3}
_STITCHES = {
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
_ROWS = {"", "row", "rows", "r", "long"}


def _value(text: str) -> float:
    """The first number of a text. Raises ValueError for one too large to count with, or none."""
    match = re.search(_NUMBER, text)
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


def _count(text: str) -> int:
    value = _value(text.replace(",", ""))
    if value != int(value):
        raise ValueError(f"“{shown(text, 40)}”: needles and rows are whole numbers")
    return int(value)


def _unit(text: str) -> str:
    """What a number counts: "cm", "in", "rows"; empty where nothing is said. Raises ValueError for what is no unit."""
    rest = re.sub(_NUMBER, "", text, count=1).strip().strip(".").lower()
    unit = rest.split()[0].strip(".,") if rest else ""
    if unit not in CM | dict.fromkeys(_STITCHES | _ROWS) and not re.match(r"[lr]\s*\d", text.strip().lower()):
        raise ValueError(f"“{shown(text, 40)}”: write needles, rows, cm or in behind a number")
    return unit


def _halves(text: str) -> tuple[str, str]:
    """The width and the length."""
    plain = text.replace("×", "x").replace("”", '"').replace("″", '"')
    for between in (r"\s+by\s+|(?<=[\d\s\"a-z])x(?=\s*\d)", r"\s*;\s*|,\s+|,(?=\d)", r"(?<=[a-z\"])\s+(?=\d)"):
        if match := re.fullmatch(rf"(.*?\d.*?)(?:{between})(.*\d.*)", plain, re.I):
            return match[1].strip(), match[2].strip()
    raise ValueError("write the width, a comma, and the length, as 48 needles, 180 rows")


def _span(text: str) -> Span | None:
    """``"L24-R24"``, if that is how the width is written."""
    if not re.match(r"[lr]\s*\d", text.lower()):
        return None
    return Span.parse(re.sub(r"\s|needles", "", text.replace("–", "-")).upper().replace("TO", "-"))


_OVER = (
    rf"(?:\b(?:to|per|in|over|an?|every|each|the)\s+|[=/]\s*)+(?:an?\s+|the\s+|one\s+)*({_NUMBER})?\s*"
    r"(cm|mm|inch(?:es)?|in\b|\")(?:\s*square)?"
)


def _per(text: str) -> tuple[float, str]:
    """How many cm a gauge is counted over, and the rest of the text."""
    match = re.search(rf"{_OVER}\s*$", text, re.I) or re.search(_OVER, text, re.I)
    if match is None:
        return 10.0, text
    over = (_value(match[1]) if match[1] else 1.0) * CM[match[2].lower()]
    if over <= 0:
        raise ValueError("a gauge is counted over 10 cm, or an inch, or so many of them")
    return over, (text[: match.start()] + text[match.end() :]).strip(" ,;")


def _stitch_size(text: str) -> tuple[float | None, str]:
    """The size on the dial, and the rest of the text."""
    match = re.search(rf"\b(?:SS|stitch size|dial|tension|T)\s*[:=]?\s*({_NUMBER})(?![\d/])", text, re.I)
    if match is None:
        return None, text
    return _value(match[1]), f"{text[: match.start()]} {text[match.end() :]}"


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
