"""What the step asks: the one move to make now in large, each move in words; the row around it, what comes then."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace

from purlside.bed.headline import Headline
from purlside.bed.moves import Dial, Hold, Knit, Lever, Push, Tell
from purlside.bed.needles import Needle
from purlside.knitting.coming import asked_text, next_to_come, rows_to_come
from purlside.knitting.cursor import Knitting
from purlside.knitting.handling import Want, handling
from purlside.rows.row import Row, briefly
from purlside.rows.steps import Step, lines_by_move, short
from purlside.text.signs import Glyphs, Line, Tone

AT_THE_END = (
    "Cast off, or knit on in waste yarn and take the panel off the machine as its manual says. Lift the weights off "
    "first: hold each with one hand, they fall."
)
THEN_FINISHED = "then the panel is finished: cast off, or knit on in waste yarn"
ROWS_A_LINE = 20
"""Rows looked ahead for each line of those to come: what is asked row after row stands in one."""
LEAD = 5
"""Columns before a move's words: its number."""


class Told:
    """What each step of a row asks, in lines, and each step in one: worked out once a row, for they stand still in it.

    Asked anew for each step, a key takes 9 ms instead of 3 in a panel of 250 needles and 8 cables.
    """

    def __init__(self) -> None:
        self._of: tuple[object, int] | None = None
        self._lines: list[list[list[Line]]] = []
        self.short: list[str] = []
        self._wants: tuple[object, list[Want | None]] = (None, [])

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

    def wants(self, knitting: Knitting) -> list[Want | None]:
        """What weights and edges want at each step, or nothing."""
        if self._wants[0] is not knitting.moves:
            self._wants = knitting.moves, handling(knitting.steps)
        return self._wants[1]


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
    kind, here = "crossing" if row.crossed else "shaping", calendar.row(knitting.place.row).part
    if row.number == number:
        return f"then row {row.seen_from(here)}, {kind}: {asked_text(row)}"
    plain = "" if first.resting else " plain"
    between = _rows(knitting, number, row.number - 1)
    return f"then {between}{plain}; next {kind} row {row.seen_from(here)}: {asked_text(row)}"


def _rows(knitting: Knitting, first: int, last: int) -> str:
    named = knitting.named
    return f"row {named(first)}" if first == last else f"rows {named(first)}–{named(last)}"


def to_come(knitting: Knitting, most: int, width: int) -> list[Line]:
    """The next rows in which something is crossed or shaped; those in a row that ask the same in one line."""
    found: list[tuple[Row, Row, str]] = []
    for row in rows_to_come(knitting, ROWS_A_LINE * most):
        text = asked_text(row)
        if found and (found[-1][1].number, found[-1][2]) == (row.number - 1, text):
            found[-1] = found[-1][0], row, text
        elif len(found) == most:
            break
        else:
            found.append((row, row, text))
    here = knitting.working.calendar.row(min(knitting.place.row, knitting.rows)).part
    lines = []
    for first, last, text in found:
        rows = f"{first.fabric:,}" if first is last else f"{first.fabric:,}–{last.fabric:,}"
        whose = "" if first.seen_from(here) == f"{first.fabric:,}" else f"{first.part}: "
        names = "; ".join([*(c.name for c in first.crossed), *([briefly(first.shaping)] if first.shaped else [])])
        ways = [f"  row {rows:>5}  {whose}{told}" for told in (text, briefly(text), names)]
        lines.append([(next((way for way in ways if len(way) <= width), ways[-1]), Tone.QUIET)])
    return lines


def wrapped(text: str, width: int, tone: Tone, most: int | None = None, indent: str = "  ") -> list[Line]:
    """A text in lines; of more than ``most`` the last is cut with a sign."""
    parts: Sequence[str] = textwrap.wrap(text, max(10, width - len(indent) - 1))
    if most is not None and len(parts) > most:
        parts = [*parts[: max(0, most - 1)], *([f"{parts[most - 1][: width - 4]} …"] if most > 0 else [])]
    return [[(f"{indent}{part}", tone)] for part in parts]


# --- the headline ---------------------------------------------------------------

CAST_OFF = Headline("CAST OFF", "", "or knit on in waste yarn")


def headlines(step: Step, dial: float, in_work: Sequence[Needle]) -> Iterator[Headline]:
    """A headline for each move of a step that begins with the dial at ``dial``."""
    lever = any(isinstance(move, Lever) for move in step.moves)
    for move in step.moves:
        if isinstance(move, Dial):
            dial = move.size
        found = move.headline(dial, in_work)
        if isinstance(move, Hold) and step.push == 1 and not lever:
            found = replace(found, aside="; ".join(filter(None, ("is the hold lever on?", found.aside))))
        elif isinstance(move, Knit) and (step.push < step.pushes or step.by_hand_next):
            found = replace(found, aside="carry on clear of them")
        yield found


def step_spoken(knitting: Knitting) -> str:
    """The step in hand as it is said aloud."""
    step = knitting.step
    if step is None:
        return "the panel is finished"
    found = headlines(step, knitting.dial_at(step.first), knitting.working.in_work)
    # What is read at a glance may be cut; what is said is not.
    told = ", then ".join(
        move.text if isinstance(move, Tell) else f"{head.verb.lower()} {head.what}".strip()
        for move, head in zip(step.moves, found, strict=True)
    )
    for sign, word in (
        ("◄", "left"),
        ("►", "right"),
        ("–", " to "),
        ("dial SS ", "dial to "),
        (" SS ", ", size "),
        ("FIRST", "first"),
        ("ROW", "row"),
    ):
        told = told.replace(sign, word)
    return told
