"""The card: the one thing to do now, and where there is room what comes after it and the fabric so far."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from itertools import islice

from purlside.app.actions import key_text
from purlside.app.widgets.bedside import Asking, wrapped
from purlside.app.widgets.pane import Run
from purlside.calendar import Row, Rows
from purlside.cards import lines_by_move, short
from purlside.drawn import strip
from purlside.knit.ahead import cards_ahead, crossing_rows, crossings_text
from purlside.moves import Push
from purlside.needles import Side

MOST_ROWS_AHEAD = 8
"""Crossing rows told ahead."""


class CardPane(Asking):
    """The one thing to do now, its moves numbered, the push last; the next card, quietly."""

    show_why = False
    _told: tuple[tuple[Rows, int | None, int] | None, list[list[Run]]] = (None, [])
    """The crossing rows to come, told: they are others only when one is passed."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting, card = self.knitting, self.knitting.card
        if card is None:
            return self._end(width)
        row = knitting.row
        assert row is not None
        numbered = list(self._numbered(width))
        tail: list[list[Run]] = []
        if said := self.session.changed_said:
            # Never in the way of the card: it has three lines of its own first.
            told = textwrap.wrap(said, width - 2)
            most = max(1, height - 4 - len(tail))
            if len(told) > most:
                told = [*told[: most - 1], "… the ledger has it whole"]
            tail += [[(f" {line}", "strong")] for line in told]
        if notes := self.session.notes:
            tail.append([(f" Note: {' | '.join(notes)}", "strong")])
        if self.show_why:
            tail = [*self._why(width, height - 1 - len(numbered) - len(tail)), *tail]
        # On a screen of a few lines the card in hand needs them all.
        if 6 <= height > 1 + len(numbered) + len(tail):
            tail += self._ahead(row, height - 2 - len(numbered) - len(tail))
        room = max(1, height - 1 - len(tail))
        if len(numbered) > room:
            hidden = len(numbered) - room + 1
            numbered = [
                *numbered[: room - 1],
                [(f"    … {hidden} more lines: {self._way_to_read(width, room - 1)}", "strong")],
            ]
        spare = room - len(numbered)
        title = f" {card.title}"
        where = f"row {row.number}"
        head: list[Run] = [(title, "strong"), (f"{where:>{max(1, width - len(title) - 1)}} ", "quiet")]
        return [head, *numbered, *([[]] if spare else []), *tail]

    def _ahead(self, row: Row, room: int) -> list[list[Run]]:
        """The next card, and as far as there is room those after it and the crossing rows to come."""
        knitting = self.knitting
        in_work = knitting.working.in_work
        found: list[list[Run]] = []
        for number, card in islice(cards_ahead(knitting), max(1, room)):
            when = "then" if number == row.number else f"then, row {number:,}:"
            found.append([(f" {when} {short(card, in_work)}", "quiet")])
        most = min(MOST_ROWS_AHEAD, room - len(found) - 2)
        if most > 0 and (rows := self._rows_ahead(most)):
            found += [[], [(" Crossing rows to come", "quiet")], *rows]
        return found

    def _rows_ahead(self, most: int) -> list[list[Run]]:
        calendar, row = self.knitting.working.calendar, self.knitting.place.row
        asked = (calendar, calendar.next_crossing(row + 1), most)
        if self._told[0] != asked:
            rows = crossing_rows(self.knitting, most)
            self._told = asked, [[(f" row {row.number:>5,}  {crossings_text(row)}", "quiet")] for row in rows]
        return self._told[1]

    def wants(self, width: int) -> int:
        """Lines for the card's head, its moves, notes and why."""
        return 1 + len(list(self._numbered(width))) + bool(self.session.notes) + len(self._why(width))

    def _why(self, width: int, room: int | None = None) -> list[list[Run]]:
        """The reason, in at most ``room`` lines: what the card asks comes before it."""
        told = textwrap.wrap(f"Why: {self.knitting.why}", width - 2)
        if room is not None and len(told) > room:
            told = told[: max(0, room)]
            if told:
                told[-1] = f"{told[-1][: width - 4]} …"
        return [[(f" {line}", "plain")] for line in told]

    def _way_to_read(self, width: int, room: int) -> str:
        """How to see lines that are hidden: Down makes a whole move, whose lines must have been seen."""
        knitting, card = self.knitting, self.knitting.card
        assert card is not None
        done = knitting.place.done - card.first
        told = lines_by_move(card, knitting.card_dial, knitting.working.in_work)[done]
        if bool(done) + sum(len(wrapped(line, max(10, width - 7)) or [""]) for line in told) <= room:
            return "Down goes on"
        return f"{key_text((self.settings().keys.get('magnify') or ['z'])[0])} shows all"

    def _numbered(self, width: int) -> Iterator[list[Run]]:
        """The card's lines from the move in hand on; those done are counted in one line."""
        knitting, card = self.knitting, self.knitting.card
        assert card is not None
        done = knitting.place.done - card.first
        number = 0
        if done > 0:
            yield [(f"    {done} of {len(card.moves)} moves of this card done", "done")]
        for i, (move, told) in enumerate(
            zip(card.moves, lines_by_move(card, knitting.card_dial, knitting.working.in_work), strict=True)
        ):
            for line in told:
                number += 1
                if i < done:
                    continue
                pushes = isinstance(move, Push)
                sign = self._arrow(move.toward) if isinstance(move, Push) else " "
                for j, part in enumerate(wrapped(line, max(10, width - 7)) or ("",)):
                    lead = f"{sign}{number:>2}  " if j == 0 else "     "
                    yield [(lead, "key" if j == 0 else "plain"), (f"{part} ", "push" if pushes else "plain")]

    def _arrow(self, side: Side) -> str:
        glyphs = strip.ASCII if self.ascii else strip.UNICODE
        return glyphs.left if side is Side.LEFT else glyphs.right

    def _end(self, width: int) -> Iterable[Iterable[Run]]:
        rows = self.knitting.rows
        yield [(" The panel is finished", "strong")]
        for line in textwrap.wrap(
            f"All {rows:,} rows are knit. Bind off, or go on in waste yarn and take the panel off the machine as its "
            "manual says. Lift the weights off first: hold each with one hand, they fall.",
            max(10, width - 6),
        ):
            yield [(f"     {line}", "plain")]


class SoFar(Asking):
    """The fabric as it hangs below the needles, purl side to the knitter; drawn when no further key comes."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        # Imported once the card is on the screen: it waits for no picture.
        from purlside.fabric.picture import ASCII, UNICODE
        from purlside.fabric.small import so_far

        knitting = self.knitting
        found = so_far(knitting.working, knitting.place.row, width - 2, height - 2, ASCII if self.ascii else UNICODE)
        yield [(f"The fabric so far: {found.caption}", "quiet")]
        for line in found.lines:
            yield [(text, tone.value) for text, tone in line]
