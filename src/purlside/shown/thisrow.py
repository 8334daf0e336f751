"""What the step asks, and the row around it: each move to make, the row's steps ticked off, what comes then."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from purlside.bed.moves import Push
from purlside.knitting.coming import asked_text, next_to_come, rows_to_come
from purlside.knitting.cursor import Knitting
from purlside.rows.steps import Step, lines_by_move, short
from purlside.text.signs import Glyphs, Line, Tone

AT_THE_END = (
    "Cast off, or knit on in waste yarn and take the panel off the machine as its manual says. Lift the weights off "
    "first: hold each with one hand, they fall."
)
THEN_FINISHED = "then the panel is finished: cast off, or knit on in waste yarn"
LEAD = 5
"""Columns before a move's words: its number."""


class Told:
    """What each step of a row asks, in lines, and each step in one: worked out once a row, for they stand still in it.

    Asked anew for each step, a row of 37 steps on 250 needles took 4 ms a key instead of 1.
    """

    def __init__(self) -> None:
        self._of: tuple[object, int] | None = None
        self._lines: list[list[list[Line]]] = []
        self.short: list[str] = []

    def lines(self, knitting: Knitting, width: int, *, hold: bool) -> list[list[list[Line]]]:
        """By step and move, for so many columns; at the panel's end one step says how to take it off."""
        if self._of is None or self._of[0] is not knitting.moves or self._of[1] != width:
            self._of = knitting.moves, width
            self._lines = [_moves_told(knitting, step, width, hold=hold) for step in knitting.steps]
            self.short = [short(step, knitting.working.in_work) for step in knitting.steps]
            if not self._lines:
                self._lines = [
                    [[[(f"  {part}", Tone.PLAIN)] for part in textwrap.wrap(AT_THE_END, max(10, width - 4))]]
                ]
        return self._lines


def _moves_told(knitting: Knitting, step: Step, width: int, *, hold: bool) -> list[list[Line]]:
    """The lines of each move, numbered as one list."""
    dial = knitting.dial_at(step.first)
    found: list[list[Line]] = []
    number = 0
    for move, lines in zip(step.moves, lines_by_move(step, dial, knitting.working.in_work, hold=hold), strict=True):
        tone = Tone.STRONG if isinstance(move, Push) else Tone.PLAIN
        found.append([])
        for line in lines:
            number += 1
            parts = textwrap.wrap(line, max(10, width - LEAD - 1)) or [""]
            found[-1].append([(f" {number:>2}  ", Tone.KEY), (parts[0], tone)])
            found[-1] += [[(" " * LEAD, Tone.PLAIN), (part, tone)] for part in parts[1:]]
    return found


def steps_ticked(knitting: Knitting, texts: Sequence[str], room: int, glyphs: Glyphs) -> list[Line]:
    """The row's steps in a line each, those done ticked, the one in hand marked; at most ``room`` lines."""
    listed = knitting.steps
    hand = next((i for i, step in enumerate(listed) if knitting.place.done < step.last), len(listed))
    many = len(listed) > room
    room = max(1, room - many)
    first = min(hand, len(listed) - 1) // room * room
    last = min(first + room, len(listed))
    lines: list[Line] = []
    for i in range(first, last):
        mark = glyphs.done if i < hand else glyphs.doing if i == hand else " "
        tone = Tone.DONE if i < hand else Tone.STRONG if i == hand else Tone.PLAIN
        lines.append([(f"  {mark}  {texts[i]}", tone)])
    return [*lines, [(f"     steps {first + 1}–{last} of {len(listed)}", Tone.QUIET)]] if many else lines


def then(knitting: Knitting) -> str:
    """What comes after the row in hand: plain rows, and the next row in which something is crossed or shaped."""
    calendar, number = knitting.working.calendar, knitting.place.row + 1
    if number > knitting.rows:
        return THEN_FINISHED
    row = next_to_come(knitting, number)
    first = calendar.row(number)
    if row is None:
        return f"then {_rows(knitting, number, knitting.rows)}; nothing more to cross"
    kind = "crossing" if row.crossed else "shaping"
    if row.number == number:
        return f"then row {knitting.named(row.number)}, {kind}: {asked_text(row)}"
    plain = "" if first.resting else " plain"
    between = _rows(knitting, number, row.number - 1)
    return f"then {between}{plain}; next {kind} row {knitting.named(row.number)}: {asked_text(row)}"


def _rows(knitting: Knitting, first: int, last: int) -> str:
    named = knitting.named
    return f"row {named(first)}" if first == last else f"rows {named(first)}–{named(last)}"


def to_come(knitting: Knitting, most: int) -> list[Line]:
    """The next rows in which something is crossed or shaped, a line each."""
    return [
        [(f"  row {knitting.named(row.number):>5}  {asked_text(row)}", Tone.QUIET)]
        for row in rows_to_come(knitting, most)
    ]


def wrapped(text: str, width: int, tone: Tone, most: int | None = None, indent: str = "  ") -> list[Line]:
    """A text in lines; of more than ``most`` the last is cut with a sign."""
    parts: Sequence[str] = textwrap.wrap(text, max(10, width - len(indent) - 1))
    if most is not None and len(parts) > most:
        parts = [*parts[: max(0, most - 1)], *([f"{parts[most - 1][: width - 4]} …"] if most > 0 else [])]
    return [[(f"{indent}{part}", tone)] for part in parts]
