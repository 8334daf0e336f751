"""The fabric so far, beside the step where there is room."""

from __future__ import annotations

from collections.abc import Iterable

from purlside.app.widgets.bedside import Asking
from purlside.app.widgets.pane import Run
from purlside.rows.working import Working

MOST_ROWS_BACK = 100
"""Rows looked back for the last crossing: the fabric is drawn from there."""
MOST_FABRIC_ROWS = 20
"""Lines of the fabric drawn."""
GAP = "  "
"""Between the step and the fabric."""


class SoFar(Asking):
    """The fabric as it hangs below the needles, purl side to the knitter: drawn when no further key comes, and drawn
    anew once there is another crossing on it, or less of it."""

    _drawn: tuple[Working, bool, int, list[int]] | None = None
    """When it was drawn: what was knit, whether in ASCII, the row in hand, how often each cable was crossed before it."""

    @property
    def is_so(self) -> bool:
        """Whether what is drawn is the fabric to its last crossing."""
        if self._drawn is None:
            return False
        working, ascii, row, crossed = self._drawn
        if working is not self.knitting.working or ascii != self.ascii:
            return False
        now = self.knitting.place.row
        return row == now or (row < now and any(crossed) and crossed == self._crossed())

    def _crossed(self) -> list[int]:
        calendar, row = self.knitting.working.calendar, self.knitting.place.row
        return [calendar.count(i, row, crossed=False).done for i in range(len(calendar.plan.cable))]

    def _last_crossing(self) -> int:
        """The crossing row before the row in hand, or where none is near the row before it."""
        calendar, row = self.knitting.working.calendar, self.knitting.place.row
        near = range(row - 1, max(0, row - MOST_ROWS_BACK), -1)
        return next((number for number in near if calendar.row(number).crossed), row - 1)

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        # Imported once the step is on the screen: it waits for no picture.
        from purlside.fabric.small import so_far

        knitting = self.knitting
        self._drawn = knitting.working, self.ascii, knitting.place.row, self._crossed()
        rows = min(MOST_FABRIC_ROWS, height - 2)
        found = so_far(knitting.working, self._last_crossing() + 1, width - len(GAP), rows, ascii_only=self.ascii)
        yield [(f"{GAP}The fabric: {found.caption}", "quiet")]
        for line in found.lines:
            yield [(GAP, "plain"), *((text, tone.value) for text, tone in line)]
