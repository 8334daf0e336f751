"""What is asked of a swatch that was measured, unravelled or both, and what is wrong with an answer."""

from __future__ import annotations

from typing import Any

from purlside.app.screens.form import FormField
from purlside.ease.loops import loop_from_unravelled
from purlside.text.harmless import shown
from purlside.text.units import Unit, length_mm

SWATCH = (
    FormField("size", "Stitch size it was knit at"),
    FormField("stitches", "Stitches"),
    FormField("rows", "Rows"),
    FormField("before", "Width x length before washing"),
    FormField("washed", "Width x length, washed and dried"),
    FormField("yarn", "Yarn they gave, unravelled"),
    FormField("take_in", "A cable takes in to, %"),
    FormField("note", "Note"),
)
MOST = {"size": 100.0, "stitches": 1000.0, "rows": 10_000.0, "take_in": 120.0}
"""The most each may be; all are above 0, the stitch size 0 too."""


def number_in(answer: str, most: float) -> float | None:
    """A number from 0 to ``most``; None for an empty answer. Raises ValueError for anything else."""
    if not answer:
        return None
    try:
        value = float(answer)
    except ValueError:
        value = float("nan")
    if not 0 <= value <= most:
        raise ValueError(f"found {shown(answer, 20)}; allowed: a number, at most {most:g}")
    return value


def swatch_values(answers: dict[str, str], unit: Unit) -> dict[str, Any]:
    """A swatch as the drawer keeps it. Raises ValueError, with the question's words."""
    values: dict[str, Any] = {"note": answers["note"] or None}
    for key, name in (("size", "stitch_size"), ("stitches", "stitches"), ("rows", "rows")):
        number = _asked(key, answers, lambda text, key=key: number_in(text, MOST[key]))
        if number is None or (number == 0 and key != "size") or (key != "size" and number != int(number)):
            words = "a size on the dial" if key == "size" else "a whole number above 0"
            raise ValueError(f"{_words(key)}: found {shown(answers[key], 20) or 'nothing'}; allowed: {words}")
        values[name] = number if key == "size" else int(number)
    for key, names in (("before", ("width_cm", "length_cm")), ("washed", ("washed_width_cm", "washed_length_cm"))):
        if answers[key]:
            values |= dict(zip(names, _asked(key, answers, lambda text: _both(text, unit)), strict=True))
    if answers["yarn"]:
        mm = _asked("yarn", answers, lambda text: length_mm(text, unit))
        loop = round(loop_from_unravelled(mm, values["stitches"], values["rows"]), 3) if mm > 0 else 0.0
        if not 0 < loop <= 200:
            raise ValueError(
                f"That makes {loop:g} mm in one loop; allowed: above 0, at most 200. Check stitches, rows, yarn"
            )
        values["loop_mm"] = loop
    if answers["take_in"]:
        values["cable_take_in"] = _asked("take_in", answers, lambda text: number_in(text, MOST["take_in"]) or 0.0) / 100
    if len(values) == 4:
        raise ValueError("Nothing measured: give its size, its yarn or a cable's take-in")
    return {key: value for key, value in values.items() if value is not None}


def _both(text: str, unit: Unit) -> tuple[float, float]:
    wide, sign, long = text.lower().replace("×", "x").partition("x")
    if not sign:
        raise ValueError(f"found {shown(text, 20)}; allowed: width x length, as 13.8 x 14.6")
    return length_mm(wide, unit) / 10, length_mm(long, unit) / 10


def _asked(key: str, answers: dict[str, str], read: Any) -> Any:
    try:
        return read(answers[key])
    except ValueError as error:
        why = (
            str(error) if "allowed" in str(error) else f"found {shown(answers[key], 20)}; allowed: a length, as 13.8 cm"
        )
        raise ValueError(f"{_words(key)}: {why}") from None


def _words(key: str) -> str:
    return next(field.words for field in SWATCH if field.key == key)
