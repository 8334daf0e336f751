"""The step: the one thing to do now, and where there is room what comes after it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from purlside.app.actions import key_text
from purlside.app.widgets.bedside import Asking
from purlside.app.widgets.pane import Run, wrapped
from purlside.bed.bed import Move
from purlside.bed.moves import Push, Weights
from purlside.bed.needles import Side
from purlside.knitting.ahead import crossing_rows, crossings_text
from purlside.rows.calendar import Rows
from purlside.rows.row import Row
from purlside.rows.steps import Step, lines_by_move, short
from purlside.shown import strip

USUAL = 5
"""Lines of most steps: what comes below stands still where they are fewer."""
LEAST_CHANGED = 2
"""Lines kept for what a changed plan means, however much the step asks."""
LEAST_AHEAD = 4
"""Lines below the step from which more is shown than the next step."""
MOST_STEPS = 10
"""Steps of a row listed at once."""
MOST_ROWS_AHEAD = 3
"""Crossing rows told ahead."""

AT_THE_END = (
    "Bind off, or go on in waste yarn and take the panel off the machine as its manual says. Lift the weights off "
    "first: hold each with one hand, they fall."
)
_THEN_FINISHED: Run = (" then the panel is finished: bind off, or go on in waste yarn", "quiet")


class _RowTold(NamedTuple):
    """What is told of a whole row: each step in one line, and the row after it."""

    moves: tuple[Move, ...]
    steps: list[str]
    then: list[list[Run]]


class StepPane(Asking):
    """The one thing to do now, its moves numbered, the push last; the next step, quietly."""

    show_why = False
    _told: tuple[tuple[Rows, int | None, int] | None, list[list[Run]]] = (None, [])
    """The crossing rows to come, told: they are others only when one is passed."""
    _told_row: _RowTold | None = None

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting, step = self.knitting, self.knitting.step
        if step is None:
            return self._end(width)
        row = knitting.row
        assert row is not None
        numbered = list(self._numbered(width))
        tail: list[list[Run]] = []
        if said := self.session.changed_said:
            # Never in the way of the step: it gives way to its moves, but for the first of it.
            parts = textwrap.wrap(said, max(10, width - 2))
            most = max(LEAST_CHANGED, height - 1 - len(numbered))
            if len(parts) > most:
                parts = [*parts[: most - 1], "… the ledger has it whole"]
            tail += [[(f" {line}", "strong")] for line in parts]
        last = not step.push and step.crosses is None and row.number == knitting.rows
        if last and any(isinstance(move, Weights) for move in step.moves):
            tail.append([(" Only for rows you knit on in waste yarn", "strong")])
        tail += self._notes(width, max(1, height - 1 - len(numbered) - len(tail)))
        if self.show_why:
            tail = [*self._why(width, height - 1 - len(numbered) - len(tail)), *tail]
        free = height - 1 - len(numbered) - len(tail)
        # What comes next stands still from step to step of a row, so that only its mark moves.
        if (room := free - max(0, USUAL - len(numbered)) - 1) >= LEAST_AHEAD:
            numbered += [[] for _ in range(USUAL - len(numbered))]
            tail += self._ahead(self._row_told(row), room)
        elif height >= 6 and free > 0 and (coming := knitting.coming) is not None:
            # On a screen of a few lines the step in hand needs them all.
            tail.append(self._then(row, *coming))
        elif height >= 6 and free > 0:
            tail.append([_THEN_FINISHED])
        room = max(1, height - 1 - len(tail))
        if len(numbered) > room:
            hidden = len(numbered) - room + 1
            numbered = [
                *numbered[: room - 1],
                [(f"    … {hidden} more lines: {self._way_to_read(width, room - 1)}", "strong")],
            ]
        spare = room - len(numbered)
        title = " After the last row" if last else f" {step.title}"
        where = f"row {row.number}"
        head: list[Run] = [(title, "strong"), (f"{where:>{max(1, width - len(title) - 1)}} ", "quiet")]
        return [head, *numbered, *([[]] if spare else []), *tail]

    def _row_told(self, row: Row) -> _RowTold:
        """What is told of the whole row in hand: worked out once a row, not once a step."""
        knitting, told = self.knitting, self._told_row
        if told is None or told.moves is not knitting.moves:
            texts = [short(step, knitting.working.in_work) for step in knitting.steps]
            after = knitting.next_row_step
            then = [[_THEN_FINISHED]] if after is None else [self._then(row, *after)]
            told = self._told_row = _RowTold(knitting.moves, texts, then)
        return told

    def _ahead(self, told: _RowTold, room: int) -> list[list[Run]]:
        """The row's steps, the one in hand marked; then the next row, and as far as there is room the crossing rows
        to come."""
        listed = self._overview(told.steps, min(MOST_STEPS, room - len(told.then))) if len(told.steps) > 1 else []
        listed += told.then
        most = min(MOST_ROWS_AHEAD, room - len(listed) - 2)
        if most > 0 and (rows := self._rows_ahead(most)):
            listed += [[], [(" Crossing rows to come", "quiet")], *rows]
        return listed

    def _then(self, row: Row, number: int, step: Step) -> list[Run]:
        when = "then" if number == row.number else f"then, row {number:,}:"
        return [(f" {when} {short(step, self.knitting.working.in_work)}", "quiet")]

    def _overview(self, texts: list[str], room: int) -> list[list[Run]]:
        """The row's steps, at most ``room`` at once: those among which the one in hand is."""
        knitting = self.knitting
        hand = next(i for i, step in enumerate(knitting.steps) if knitting.place.done < step.last)
        many = len(texts) > room
        room -= many
        first = hand // room * room
        last = min(first + room, len(texts))
        mark = (strip.ASCII if self.ascii else strip.UNICODE).right
        listed: list[list[Run]] = [
            [(f" {mark if i == hand else ' '} {texts[i]}", "done" if i < hand else "plain" if i == hand else "quiet")]
            for i in range(first, last)
        ]
        return [*listed, [(f"   steps {first + 1}–{last} of {len(texts)}", "quiet")]] if many else listed

    def _rows_ahead(self, most: int) -> list[list[Run]]:
        calendar, row = self.knitting.working.calendar, self.knitting.place.row
        asked = (calendar, calendar.next_crossing(row + 1), most)
        if self._told[0] != asked:
            rows = crossing_rows(self.knitting, most)
            self._told = asked, [[(f" row {row.number:>5,}  {crossings_text(row)}", "quiet")] for row in rows]
        return self._told[1]

    def wants(self, width: int) -> int:
        """Lines for the step's head, its moves, notes and why."""
        return 1 + len(list(self._numbered(width))) + len(self._notes(width)) + len(self._why(width))

    def _notes(self, width: int, room: int | None = None) -> list[list[Run]]:
        """The row's notes, in at most ``room`` lines, cut with a sign."""
        if not (notes := self.session.notes):
            return []
        told = textwrap.wrap(f"Note: {' | '.join(notes)}", width - 2)
        if room is not None and len(told) > room:
            told = [*told[: room - 1], " ".join(told[room - 1 :])]
        return [[(f" {line}", "strong")] for line in told]

    def _why(self, width: int, room: int | None = None) -> list[list[Run]]:
        """The reason, in at most ``room`` lines: what the step asks comes before it."""
        told = textwrap.wrap(f"Why: {self.knitting.why}", max(10, width - 2))
        if room is not None and len(told) > room:
            told = told[: max(0, room)]
            if told:
                told[-1] = f"{told[-1][: width - 4]} …"
        return [[(f" {line}", "plain")] for line in told]

    def _way_to_read(self, width: int, room: int) -> str:
        """How to see lines that are hidden: Down makes a whole move, whose lines must have been seen."""
        knitting, step = self.knitting, self.knitting.step
        assert step is not None
        done = knitting.place.done - step.first
        told = lines_by_move(step, knitting.step_dial, knitting.working.in_work)[done]
        if bool(done) + sum(len(wrapped(line, max(10, width - 7)) or [""]) for line in told) <= room:
            return "Down goes on"
        return f"{key_text((self.settings().keys.get('magnify') or ['z'])[0])} shows all"

    def _numbered(self, width: int) -> Iterator[list[Run]]:
        """The step's lines from the move in hand on; those done are counted in one line, as they are numbered."""
        knitting, step = self.knitting, self.knitting.step
        assert step is not None
        done = knitting.place.done - step.first
        by_move = lines_by_move(step, knitting.step_dial, knitting.working.in_work)
        number = 0
        if done > 0:
            made = sum(map(len, by_move[:done]))
            yield [(f"    {made} of {sum(map(len, by_move))} done on this step", "done")]
        for i, (move, told) in enumerate(zip(step.moves, by_move, strict=True)):
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
        for line in textwrap.wrap(self.session.changed_said, max(10, width - 6)):
            yield [(f"     {line}", "strong")]
        for line in textwrap.wrap(
            f"All {rows:,} rows are knit. {AT_THE_END}",
            max(10, width - 6),
        ):
            yield [(f"     {line}", "plain")]
