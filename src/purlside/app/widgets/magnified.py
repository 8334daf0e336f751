"""The magnified view: row, pass and what to do in block letters, the cable's needles wide."""

from __future__ import annotations

from collections.abc import Iterable

from purlside import magnified, strip
from purlside.app.widgets.bedside import BedStrip
from purlside.app.widgets.pane import Run
from purlside.moves import Dial


class Magnified(BedStrip):
    """Shows what the strip shows, of one cable."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting, card = self.knitting, self.knitting.card
        dial = knitting.card_dial
        if card is not None:
            dial = next((move.size for move in card.moves if isinstance(move, Dial)), dial)
        glyphs = strip.ASCII if self.ascii else strip.UNICODE
        drawn = magnified.screen(self.view(), knitting.place.row, card, dial, width, height, glyphs)
        return [[(text, tone.value) for text, tone in line] for line in drawn]
