"""A new plan from five questions, each with an answer that may stand."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from purlside.bed.moves import size_text
from purlside.bed.needles import MOST_A_SIDE, Needle, Span
from purlside.plan.plan import MOST_ROWS, Gauge, Machine, Panel, Plan, Yarn
from purlside.text.harmless import unprintable

USUAL_PITCH_MM = 4.5
"""Distance between needles of the most common beds. Common practice, no source."""

USUAL_NEEDLES = 200
"""Needles of such a bed. Common practice, no source."""


MOST_TITLE = 200
"""Characters of a title, as in a plan."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question, the answer that stands if nothing is typed, and how an answer is written."""

    asked: str
    usual: str
    hint: str


QUESTIONS = (
    Question("What is it called?", "New panel", "a title, at most 200 characters"),
    Question(
        "Needles apart, on the bed?",
        f"{USUAL_PITCH_MM:g} mm, {USUAL_NEEDLES} needles",
        "the distance between needles, and their number: as 4.5 mm, 200 needles; the number may be left out",
    ),
    Question(
        "How wide, how long?",
        "48 needles, 180 rows",
        "as 48 needles, 180 rows; L24-R24, 180 rows; or with a gauge (last question) 40 cm, 60 cm",
    ),
    Question(
        "Which yarn, which size?",
        "wool, SS 5",
        "fibre and stitch size, as wool, SS 5; with its tex as wool, SS 5, 280 tex",
    ),
    Question(
        "Gauge in 10 cm?",
        "not known yet",
        "stitches and rows in 10 cm, as 29, 41, from a swatch; not known yet leaves it out",
    ),
)


def refused(index: int, answer: str) -> str | None:
    """Why an answer cannot stand by itself, or None."""
    answers = [question.usual for question in QUESTIONS]
    answers[index] = answer
    if index == 2 and "cm" in answer.lower():
        # Whether centimetres can be worked out shows with the gauge, the last question.
        answers[4] = "29, 41"
    return trouble(answers)


def trouble(answers: Sequence[str]) -> str | None:
    """Why these five answers make no plan, or None."""
    try:
        begin(answers)
    except ValueError as error:
        return str(error)
    return None


def begin(answers: Sequence[str]) -> Plan:
    """The plan of five answers. Raises ValueError, in words, for one that cannot be read."""
    title, bed, size, yarn, gauge = (
        answer.strip() or question.usual for answer, question in zip(answers, QUESTIONS, strict=True)
    )
    if any(unprintable(answer) for answer in answers):
        raise ValueError("an answer is one line of text, without control characters")
    if len(title) > MOST_TITLE:
        raise ValueError(f"a title has at most {MOST_TITLE} characters")
    made = Plan(format=1, title=title, machine=_machine(bed), panel=_panel("L1-R1", 1, 5.0))
    fibre, stitch_size, tex = _yarn(yarn, made.machine.dial)
    swatch = _gauge(gauge)
    needles, rows = _size(size, swatch, made.machine)
    yarn_asked = Yarn(fibre=fibre, tex=tex)
    return replace(made, panel=_panel(needles, rows, stitch_size), yarn=yarn_asked, gauge=swatch)


def _panel(needles: str, rows: int, size: float) -> Panel:
    return Panel(needles=Span.parse(needles), rows=rows, stitch_size=size)


def _numbers(text: str) -> list[float]:
    """The numbers in a text. Raises ValueError for one too large to count with."""
    found = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]
    if not all(map(math.isfinite, found)):
        raise ValueError("a number has too many digits")
    return found


def _machine(text: str) -> Machine:
    numbers = _numbers(text)
    if not 1 <= len(numbers) <= 2 or not 1 <= numbers[0] <= 30:
        raise ValueError("the distance between needles is 1 to 30 mm, as 4.5 mm, 200 needles")
    needles = int(numbers[1]) if len(numbers) == 2 else USUAL_NEEDLES
    if not 2 <= needles <= 2 * MOST_A_SIDE or needles % 2:
        raise ValueError(f"a bed has an even number of needles, 2 to {2 * MOST_A_SIDE}")
    return Machine(pitch_mm=numbers[0], needles=needles)


def _size(text: str, gauge: Gauge | None, machine: Machine) -> tuple[str, int]:
    """The span of needles and the rows."""
    wide, _, long = text.partition(",")
    tall = _numbers(long)
    if len(tall) != 1:
        raise ValueError("write the width, a comma, and the length, as 48 needles, 180 rows")
    if "cm" in text.lower() and gauge is None:
        raise ValueError("centimetres need a gauge: answer the last question, or count needles and rows")
    in_cm = "cm" in long.lower()
    rows = round(tall[0] * gauge.rows_per_10cm / 10) if in_cm and gauge else int(tall[0])
    if not 1 <= rows <= MOST_ROWS:
        raise ValueError(f"a panel has 1 to {MOST_ROWS:,} rows")
    if re.search(r"[LRlr]\s*\d", wide):
        span = Span.parse(re.sub(r"\s|needles", "", wide).upper())
    else:
        numbers = _numbers(wide)
        if len(numbers) != 1:
            raise ValueError("write the width as 48 needles, or as L24-R24")
        count = round(numbers[0] * gauge.stitches_per_10cm / 10) if "cm" in wide.lower() and gauge else int(numbers[0])
        if not 1 <= count <= machine.needles:
            raise ValueError(f"the bed has {machine.needles} needles; the panel would take {count}")
        left = -(count // 2)
        span = Span(Needle(left), Needle(left + count - 1))
    if span.left not in machine.bed or span.right not in machine.bed:
        raise ValueError(f"the bed goes from {machine.bed.left} to {machine.bed.right}")
    return str(span), rows


def _yarn(text: str, dial: tuple[float, float]) -> tuple[str | None, float, float | None]:
    """Fibre, stitch size, tex."""
    tex = re.search(r"(\d+(?:\.\d+)?)\s*tex", text, re.IGNORECASE)
    rest = text.replace(tex[0], "") if tex else text
    size = re.search(r"(?:SS\s*)?(\d+(?:\.\d+)?)", rest, re.IGNORECASE)
    fibre = re.sub(r"[\s,]+", " ", rest.replace(size[0], "") if size else rest).strip()
    stitch_size = float(size[1]) if size else 5.0
    if not dial[0] <= stitch_size <= dial[1]:
        raise ValueError(f"a stitch size is {size_text(dial[0])} to {size_text(dial[1])} on the dial")
    weight = float(tex[1]) if tex else None
    if weight is not None and not 1 <= weight <= 20_000:
        raise ValueError("tex is 1 to 20000 grams in 1000 m")
    if len(fibre) > 40:
        raise ValueError("a fibre has a name of at most 40 characters")
    return fibre or None, stitch_size, weight


def _gauge(text: str) -> Gauge | None:
    numbers = _numbers(text)
    if not numbers:
        return None
    if len(numbers) != 2 or not 1 <= numbers[0] <= 300 or not 1 <= numbers[1] <= 400:
        raise ValueError("a gauge is stitches and rows in 10 cm, as 29, 41")
    return Gauge(stitches_per_10cm=numbers[0], rows_per_10cm=numbers[1])
