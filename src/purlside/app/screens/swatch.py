"""What is asked of a swatch that was unravelled and measured, and what is wrong with an answer."""

from __future__ import annotations

from purlside.app.screens.form import Field
from purlside.ease.loops import loop_from_unravelled
from purlside.text.harmless import shown

SWATCH = (
    Field("size", "Stitch size it was knit at"),
    Field("stitches", "Stitches in a row"),
    Field("rows", "Rows unravelled"),
    Field("cm", "Yarn they gave, cm"),
    Field("across", "Its stitches in 10 cm (or none)"),
    Field("up", "Its rows in 10 cm (or none)"),
)
MOST = {"size": 100.0, "stitches": 1000.0, "rows": 10_000.0, "cm": 1e6, "across": 300.0, "up": 400.0}
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


def swatch_loop(answers: dict[str, str]) -> float:
    """Yarn in one loop, mm, from answers that were not refused."""
    stitches, rows, cm = (number_in(answers[key], MOST[key]) or 0.0 for key in ("stitches", "rows", "cm"))
    return round(loop_from_unravelled(cm * 10, int(stitches), int(rows)), 3)


def swatch_refused(answers: dict[str, str]) -> str | None:
    """What is wrong with the answers, or None."""
    for field in SWATCH:
        answer = answers[field.key]
        optional = field.key in ("across", "up")
        try:
            value = number_in(answer, MOST[field.key])
        except ValueError as error:
            return f"{field.words}: {error}"
        if value is None and not optional:
            return f"{field.words}: nothing given"
        if value == 0 and field.key != "size":
            return f"{field.words}: found 0; allowed: above 0"
        if field.key in ("stitches", "rows") and value != int(value or 0):
            return f"{field.words}: found {shown(answer, 20)}; allowed: a whole number"
    loop = swatch_loop(answers)
    if not 0 < loop <= 200:
        return f"That makes {loop:g} mm in one loop; allowed: above 0, at most 200. Check stitches, rows and yarn"
    return None
