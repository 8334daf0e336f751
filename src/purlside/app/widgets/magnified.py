"""The magnified view: row, pass and what to do in block letters, the cable's needles wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from purlside.app.widgets.bedside import BedStrip
from purlside.app.widgets.pane import Run
from purlside.app.widgets.step import AT_THE_END
from purlside.bed.moves import Dial
from purlside.rows.steps import lines_by_move
from purlside.shown import magnified, strip

MOST_CHANGED = 2
"""Lines for what a changed plan means; the moves come first."""


class Magnified(BedStrip):
    """Shows what the strip shows, of one cable."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting, step = self.knitting, self.knitting.step
        dial = knitting.step_dial
        if step is not None:
            dial = next((move.size for move in step.moves if isinstance(move, Dial)), dial)
        glyphs = strip.ASCII if self.ascii else strip.UNICODE
        row, steps, state = knitting.place.row, list(self._steps(width)), self._state()
        drawn = magnified.screen(self.view(), row, step, dial, width, height, glyphs, steps, state)
        return [[(text, tone.value) for text, tone in line] for line in drawn]

    def _state(self) -> tuple[str, ...]:
        """Where the carriage stands and what the counter reads; shorter; shorter still."""
        side, counter = self.knitting.side, self.session.reading
        reads = f"; counter {counter}" if counter else ""
        return f"{side.carriage}, carriage {side}{reads}", f"{side.carriage}{reads}", side.carriage

    def _steps(self, width: int) -> Iterator[str]:
        """Each move of the step that is still to be made; then what the step says besides."""
        knitting, step = self.knitting, self.knitting.step
        if step is None:
            yield AT_THE_END
        else:
            done = knitting.place.done - step.first
            number = 0
            for i, told in enumerate(lines_by_move(step, knitting.step_dial, knitting.working.in_work)):
                for line in told:
                    number += 1
                    if i >= done:
                        yield f"{number} {line}"
        if said := self.session.changed_said:
            parts = textwrap.wrap(said, max(10, width - 6))
            yield from parts if len(parts) <= MOST_CHANGED else [parts[0], "… the ledger has it whole"]
        if notes := self.session.notes:
            yield f"Note: {' | '.join(notes)}"
