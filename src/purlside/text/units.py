"""Lengths, weights and gauges as a knitter reads them: centimetres, metres, grams, or inches, yards, ounces."""

from __future__ import annotations

from enum import StrEnum

MM_PER_INCH = 25.4
M_PER_YARD = 0.9144
G_PER_OUNCE = 453.59237 / 16
"""Inch, yard and avoirdupois ounce, exact by the international agreement of 1959."""


class Unit(StrEnum):
    """What everything is told in."""

    CM = "cm"
    INCH = "inch"

    @property
    def short(self) -> str:
        return "cm" if self is Unit.CM else "in"

    def bare(self, mm: float) -> float:
        """So many cm or inches."""
        return mm / 10 if self is Unit.CM else mm / MM_PER_INCH

    def size(self, mm: float) -> str:
        """``"15.2 cm"`` or ``"6.0 in"``."""
        return f"{self.bare(mm):.1f} {self.short}"

    def fine(self, mm: float) -> str:
        """``"13.7 mm"`` or ``"0.54 in"``."""
        return f"{mm:.1f} mm" if self is Unit.CM else f"{mm / MM_PER_INCH:.2f} in"

    def yarn(self, metres: float) -> str:
        """``"660 m"`` or ``"722 yd"``."""
        return f"{metres:,.0f} m" if self is Unit.CM else f"{metres / M_PER_YARD:,.0f} yd"

    def weight(self, grams: float) -> str:
        """``"165 g"`` or ``"5.8 oz"``."""
        return f"{grams:,.0f} g" if self is Unit.CM else f"{grams / G_PER_OUNCE:,.1f} oz"

    def by_area(self, grams_per_m2: float) -> str:
        """``"446 g/m²"`` or ``"13.2 oz/yd²"``."""
        if self is Unit.CM:
            return f"{grams_per_m2:.0f} g/m²"
        return f"{grams_per_m2 * M_PER_YARD**2 / G_PER_OUNCE:.1f} oz/yd²"

    def gauge(self, stitches_per_10cm: float, rows_per_10cm: float) -> str:
        """``"29 stitches and 41 rows in 10 cm"``, or in 4 in."""
        in_it = 1.0 if self is Unit.CM else 4 * MM_PER_INCH / 100
        over = "10 cm" if self is Unit.CM else "4 in"
        return f"{stitches_per_10cm * in_it:.3g} stitches and {rows_per_10cm * in_it:.3g} rows in {over}"


def length_mm(text: str, unit: Unit = Unit.CM) -> float:
    """A length as written, ``"22 cm"``, ``"8.5 in"``, ``220 mm``, or a bare number in ``unit``, in mm. Raises ValueError."""
    words = text.strip().lower().replace('"', " in").replace("″", " in")
    number = words.rstrip("abcdefghijklmnopqrstuvwxyz. ")
    named = words[len(number) :].strip(" .")
    times = {"": 10.0 if unit is Unit.CM else MM_PER_INCH, "mm": 1.0, "cm": 10.0, "m": 1000.0}
    times |= dict.fromkeys(("in", "inch", "inches"), MM_PER_INCH)
    if named not in times:
        raise ValueError(f"{named} is no unit known here; write cm or in")
    return float(number) * times[named]
