"""A new plan from five questions, read as a knitter writes, each with an answer that may stand.

::

    [heard.words for heard in hear(["Cuff", "4.5 mm", "wool 2/8 Nm, SS 5", "7 st and 10 rows to the inch", "9 in x 60 in"])]
    begin([...])        # the plan; raises NotUnderstood with the number of the question that cannot be read

Lengths are read in cm, mm, m or inches; a count without a unit is needles or rows.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from purlside.bed.moves import size_text
from purlside.bed.needles import MOST_A_SIDE, Needle, Span
from purlside.draft import hearing
from purlside.draft.hearing import CM, NUMBER, count_of, value_of
from purlside.plan.machine import Gauge, Machine, Wanted, Yarn
from purlside.plan.plan import MOST_ROWS, Panel, Plan
from purlside.text.harmless import unprintable
from purlside.values import Value

USUAL_PITCH_MM = 4.5
"""Distance between needles of the most common beds. Common practice, no source."""

USUAL_NEEDLES = 200
"""Needles of such a bed. From memory."""
_NEEDLES_BY_PITCH = ((4.0, 250), (5.0, USUAL_NEEDLES), (7.5, 150), (30.0, 110))
"""Needles of a bed whose needles are at most so many mm apart, where nothing is said. From memory; beds differ."""
_GAUGES = {"fine": 3.6, "standard": 4.5, "mid": 6.5, "chunky": 9.0, "bulky": 9.0}
"""What beds of a pitch in mm are called. Common practice, no source."""

MOST_TYPED = 200
"""Characters of one answer that are read."""


class Question(Value):
    """One question, the answer that stands if nothing is typed, and how an answer is written."""

    asked: str
    usual: str
    hint: str


QUESTIONS = (
    Question("What is it called?", "New panel", "a title, at most 200 characters"),
    Question(
        "Needle pitch?",
        f"{USUAL_PITCH_MM:g} mm, {USUAL_NEEDLES} needles",
        "from needle to needle, and how many needles: 4.5 mm, 200 needles, or 5.64 per inch; the number may be left out",
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


class Heard(Value):
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


def machine_of(text: str) -> Machine:
    """The machine of ``"9 mm, 110 needles"``. Raises ValueError."""
    plain = text.lower().replace("×", "x")
    called = next((word for word in _GAUGES if re.search(rf"\b{word}\b", plain)), None)
    plain = re.sub(rf"\b(?:{'|'.join(_GAUGES)})\b|\b(?:gauge|machine|bed)\b|-", "", plain).strip(" ,;")
    if called and not re.search(r"mm|cm|\d\.\d", plain):
        plain = f"{_GAUGES[called]:g} mm {plain}"
    plain = re.sub(_PER_INCH, lambda found: f"{_apart(found[1] or found[2])} mm", plain)
    plain = re.sub(r"^(\d+)\s*(?:needles|n|ndls?)\s*[,;x]?\s*(.+)$", r"\2 \1", plain)
    match = re.fullmatch(
        rf"({NUMBER})\s*(mm|cm)?\b\s*(?:pitch|apart)?\s*[,;]?\s*(?:x\s*)?(?:(\d+)\s*(?:needles|n|ndls?)?)?", plain
    )
    if match is None or not 1 <= (pitch := value_of(match[1]) * (10 if match[2] == "cm" else 1)) <= 30:
        raise ValueError("the distance between needles is 1 to 30 mm, as 4.5 mm, 200 needles; or 5.64 per inch")
    usual = next(needles for most, needles in _NEEDLES_BY_PITCH if pitch <= most)
    needles = count_of(match[3]) if match[3] else usual
    if not 2 <= needles <= 2 * MOST_A_SIDE or needles % 2:
        raise ValueError(f"a bed has an even number of needles, 2 to {2 * MOST_A_SIDE}")
    return Machine(pitch_mm=pitch, needles=needles)


_PER_INCH = rf"({NUMBER})\s*(?:needles?|n|ndls?)?\s*(?:\b(?:per|to|in|an?)\b|/)\s*(?:the\s+|an?\s+|one\s+)?(?:inch\b|in\b|\")|({NUMBER})\s*[en]pi\b"
"""Needles counted to the inch, as beds are also spoken of."""

CLOSE_TO_TENTH = 0.003
"""How much of a pitch a count to the inch may be off: one of 3.18 is meant for 8 mm, and comes to 7.99."""


def _apart(per_inch: str) -> float:
    """The distance in mm between needles counted to the inch, at a tenth where it is that near."""
    if not (count := value_of(per_inch)):
        raise ValueError("needles to the inch are 0.85 to 25, as 5.64 per inch")
    apart = 25.4 / count
    return round(apart, 1) if abs(apart - round(apart, 1)) <= CLOSE_TO_TENTH * apart else round(apart, 2)


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
        plan = Plan(format=1, title=self.title, machine=self.machine, yarn=self.yarn, panel=panel)
        return replace(plan, gauge=self.gauge, wanted=self.wanted)

    # --- the answers, each giving what was understood ---------------------------

    def _title(self, text: str) -> str:
        self.title = text
        return ""

    def _bed(self, text: str) -> str:
        self.machine = machine = machine_of(text)
        return f"{machine.pitch_mm:g} mm from needle to needle, {machine.needles} needles, {machine.bed}"

    def _yarn(self, text: str) -> str:
        heard = hearing.yarn_of(text)
        size = 5.0 if heard.size is None else heard.size
        low, high = self.machine.dial
        if not low <= size <= high:
            raise ValueError(f"a stitch size is {size_text(low)} to {size_text(high)} on the dial")
        self.yarn, self.stitch_size = heard.yarn, size
        return ", ".join(filter(None, (heard.words, f"stitch size {size_text(size)}"))) + heard.unknown

    def _gauge(self, text: str) -> str:
        self.gauge = hearing.gauge_of(text)
        if self.gauge is None:
            return "no gauge yet: sizes in cm and inches come with it"
        stitches, rows = self.gauge.stitches_per_10cm, self.gauge.rows_per_10cm
        size = self.gauge.stitch_size
        return (
            f"{stitches:.4g} stitches and {rows:.4g} rows in 10 cm; "
            f"{stitches / 3.937:.3g} and {rows / 3.937:.3g} to the inch"
            f"{'' if size is None else f', knit at SS {size_text(size)}'}"
        )

    def _size(self, text: str) -> str:
        wide, long = hearing.halves(text)
        span = hearing.span_of(wide)
        width_unit, length_unit = hearing.unit_of(wide), hearing.unit_of(long)
        if span is None and (width_unit in CM) != (length_unit in CM) and "" in (width_unit, length_unit):
            width_unit = length_unit = width_unit or length_unit
        if width_unit in hearing.ROWS - {""} or length_unit in hearing.STITCHES - {""}:
            raise ValueError("the width comes first, then the length, as 48 needles, 180 rows")
        width_cm = value_of(wide) * CM[width_unit] if span is None and width_unit in CM else None
        length_cm = value_of(long) * CM[length_unit] if length_unit in CM else None
        if (width_cm or length_cm) and self.gauge is None:
            unit = "inches" if "in" in (width_unit + length_unit) or '"' in text else "centimetres"
            raise ValueError(f"{unit} need a gauge: answer the question above, or count needles and rows")
        gauge = self.gauge
        self.rows = round(length_cm * gauge.rows_per_10cm / 10) if length_cm and gauge else count_of(long)
        if not 1 <= self.rows <= MOST_ROWS:
            raise ValueError(f"a panel has 1 to {MOST_ROWS:,} rows; this would be {self.rows:,}")
        if span is None:
            count = round(width_cm * gauge.stitches_per_10cm / 10) if width_cm and gauge else count_of(wide)
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
