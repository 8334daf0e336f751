"""The swatch book: what a yarn's swatches measured."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from purlside.bed.moves import size_text
from purlside.plan.checked import Checked
from purlside.plan.kinds import Number, Whole
from purlside.plan.machine import SIZE, TAKE_IN
from purlside.plan.plan import LINE
from purlside.text.units import Unit

MOST_SWATCHES = 200
"""Swatches kept of one yarn. A limit of ours."""

SAME_PITCH = 0.01
"""Pitches this close, as a part, are one bed's."""

_CM = Number(0, 500, "a length in cm", above=True)


class Swatch(Checked):
    """One swatch: ``stitches`` and ``rows`` counted over a width and a length, before washing and after.

    ``loop_mm`` is from unravelling it, ``cable_take_in`` the width of a cable in it over its stitches knit plain,
    ``date`` as ``2026-03-01``.
    """

    stitch_size: Annotated[float, SIZE]
    pitch_mm: Annotated[float | None, Number(1, 30, "the distance between needles in mm")] = None
    stitches: Annotated[int, Whole(1, 1000)]
    rows: Annotated[int, Whole(1, 10_000)] = 1
    width_cm: Annotated[float | None, _CM] = None
    length_cm: Annotated[float | None, _CM] = None
    washed_width_cm: Annotated[float | None, _CM] = None
    washed_length_cm: Annotated[float | None, _CM] = None
    loop_mm: Annotated[float | None, Number(0, 200, "yarn in one loop in mm", above=True)] = None
    cable_take_in: Annotated[float | None, TAKE_IN] = None
    date: Annotated[str | None, LINE] = None
    note: Annotated[str | None, LINE] = None

    @property
    def gauge(self) -> tuple[float, float] | None:
        """Stitches and rows in 10 cm, of the washed swatch where it was washed; None where it was not measured."""
        washed = self.washed_width_cm, self.washed_length_cm
        for wide, long in (washed, (self.width_cm, self.length_cm)):
            if wide and long:
                return 10 * self.stitches / wide, 10 * self.rows / long
        return None

    def words(self, unit: Unit = Unit.CM) -> str:
        """``"SS 5, 40 stitches, 60 rows; washed: 29 stitches and 41 rows in 10 cm; loop 12.0 mm; 2026-03-01"``."""
        bed = f" at {self.pitch_mm:g} mm pitch" if self.pitch_mm is not None else ""
        told = [f"SS {size_text(self.stitch_size)}{bed}, {self.stitches} stitches, {self.rows} rows"]
        for name, wide, long in (
            ("before washing", self.width_cm, self.length_cm),
            ("washed", self.washed_width_cm, self.washed_length_cm),
        ):
            if wide and long:
                told.append(f"{name} {unit.size(wide * 10)} x {unit.size(long * 10)}")
        if self.gauge is not None:
            told.append(unit.gauge(*self.gauge))
        if self.loop_mm is not None:
            told.append(f"loop {unit.fine(self.loop_mm)}")
        if self.cable_take_in is not None:
            told.append(f"a cable takes in to {self.cable_take_in:.0%}")
        return "; ".join([*told, *filter(None, (self.date, self.note))])

    def fits(self, pitch_mm: float) -> bool:
        """Whether it was knit on a bed of that pitch, as far as is known."""
        return self.pitch_mm is None or abs(self.pitch_mm / pitch_mm - 1) <= SAME_PITCH


def today() -> str:
    """The date, as a swatch's is kept: ``2026-03-01``."""
    return date.today().isoformat()
