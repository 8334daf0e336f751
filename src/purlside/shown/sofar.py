"""The fabric under the needles, as it hangs: drawn when nobody is stepping, kept while only plain rows are added."""

from __future__ import annotations

from collections.abc import Sequence

from purlside.bed.needles import Span
from purlside.knitting.cursor import Knitting
from purlside.rows.working import Working
from purlside.text.signs import Line, Tone

MOST_ROWS_BACK = 100
"""Rows looked back for the last crossing: the fabric is drawn from there."""
MOST_FABRIC_ROWS = 20
"""Lines of the fabric drawn."""


class SoFar:
    """The fabric to its last crossing, or to the row in hand where more than plain rows was knit since: plain rows alone
    change nothing worth drawing it again for."""

    def __init__(self) -> None:
        self._of: tuple[Working, str | None, int, int, bool] | None = None
        """Of what it was drawn: knitting, part, columns, lines, in ASCII."""
        self._row = self._until = 0
        self._crossed: list[int] = []
        self._lines: list[Line] = []

    def known(self, knitting: Knitting, width: int, height: int, *, ascii: bool) -> Sequence[Line]:
        """What was drawn last for this place on the screen; nothing where that was another."""
        return self._lines if self._of == (knitting.working, _part(knitting), width, height, ascii) else []

    def is_so(self, knitting: Knitting, width: int, height: int, *, ascii: bool) -> bool:
        """Whether what was drawn is all there is to see of the fabric."""
        if self._of != (knitting.working, _part(knitting), width, height, ascii):
            return False
        now = knitting.place.row
        if self._row >= now or not any(self._crossed):
            return self._row == now
        return self._crossed == _crossed(knitting) and self._until == _until(knitting)

    def draw(self, knitting: Knitting, width: int, height: int, *, ascii: bool) -> None:
        """Draw it anew, for so many columns and lines."""
        # Imported once the step is on the screen: it waits for no picture.
        from purlside.fabric.small import so_far

        self._of, self._row = (knitting.working, _part(knitting), width, height, ascii), knitting.place.row
        self._crossed, self._until = _crossed(knitting), _until(knitting)
        rows = min(MOST_FABRIC_ROWS, height - 1)
        under = Span(row.needles[0], row.needles[-1]) if (row := knitting.row) else None
        found = so_far(knitting.working, self._until, width - 2, rows, under=under, ascii_only=ascii)
        self._lines = [[(f"Under the needles: {found.caption}", Tone.LABEL)], *(list(line) for line in found.lines)]


def _part(knitting: Knitting) -> str | None:
    return knitting.working.calendar.row(min(knitting.place.row, knitting.rows)).part


def _crossed(knitting: Knitting) -> list[int]:
    return [cable.done for cable in knitting.cables()]


def _until(knitting: Knitting) -> int:
    """The row that nothing is drawn of any more, the first: that after the last crossing of the part in hand, or the row
    in hand where none is near, or where edges, resting needles or single stitches were worked since."""
    calendar, row = knitting.working.calendar, knitting.place.row
    part = _part(knitting)
    for each in (calendar.row(number) for number in range(row - 1, max(0, row - MOST_ROWS_BACK), -1)):
        if each.part != part:
            break
        if each.crossed:
            return each.number + 1
        if each.works or len(each.resting) > len(each.waiting):
            break
    return row
