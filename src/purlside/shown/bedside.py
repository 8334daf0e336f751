"""The bedside as one value: what is so at it now, and each part of that in lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, fields
from functools import cached_property

from purlside.bed.headline import Headline
from purlside.knitting.calling import Call, CallKind
from purlside.knitting.cursor import Knitting
from purlside.rows.counter import Reading
from purlside.shown import callbar, counts, thisrow
from purlside.shown.callbar import NO_TROUBLE, Trouble
from purlside.shown.capitals import capitals, fitting, width_of
from purlside.shown.thisrow import CAST_OFF, headlines, wrapped
from purlside.shown.view import View
from purlside.text.signs import ASCII, UNICODE, Glyphs, Line, Tone, columns
from purlside.values import Value

CHANGED = 2
"""Lines for what a changed plan means where there is little room."""


class Look(Value):
    """How it is drawn: signs, columns a needle (None: as fit), magnified or not."""

    glyphs: Glyphs = UNICODE
    per: int | None = None
    magnified: bool = False

    @property
    def ascii(self) -> bool:
        return self.glyphs is ASCII


class BedsideNow(Value, kw_only=True):
    """What is so at the bedside now, besides the screen: asked of the knitting once a step."""

    knitting: Knitting
    call: Call | None = None
    ahead: int = 1
    reading: Reading | None = None
    pace: str = ""
    panel: str = ""
    notes: tuple[str, ...] = ()
    changed: str = ""
    trouble: Trouble = NO_TROUBLE
    why: bool = False
    handling: bool = True
    """Whether it is told what weights and edges want."""
    sets_counter: bool = False
    """Whether the machine's counter is set to the row after each crossing row."""
    told: thisrow.Told = field(default_factory=thisrow.Told)

    def shows_as(self, other: BedsideNow) -> bool:
        """Whether it shows what another does: at the same place of one knitting, and all else alike."""
        here, there = self.knitting, other.knitting
        return (here.working, here.place) == (there.working, there.place) and all(
            getattr(self, each.name) == getattr(other, each.name)
            for each in fields(self)
            if each.name not in ("knitting", "told")
        )

    @cached_property
    def counts(self) -> counts.CountLines:
        return counts.CountLines(self.knitting, self.reading, self.ahead, self.pace, self.panel)

    @property
    def hold(self) -> bool:
        """Whether the hold lever is on."""
        return self.knitting.bed.lever == "hold"

    @cached_property
    def headlines(self) -> tuple[Headline, ...]:
        """Of the moves still to be made of the step in hand, the first first; casting off at the end."""
        knitting, step = self.knitting, self.knitting.step
        if step is None:
            return (CAST_OFF,)
        listed = tuple(headlines(step, knitting.dial_at(step.first), knitting.working.in_work))
        return listed[knitting.place.done - step.first :]

    @property
    def kind(self) -> str:
        """What kind of row it is, where no call says so."""
        row = self.knitting.row
        if row is None:
            return "The panel is finished"
        if self.knitting.step is not None and self.knitting.step.mends:
            return "Putting it right"
        if row.crossed:
            return "Crossing row"
        return "Shaping row" if row.shaped else "Short row" if row.turned else "Plain row"

    def view(self) -> View:
        """The bed, with what the step in hand does to it."""
        knitting = self.knitting
        row, step, call = knitting.row, knitting.step, self.call
        moves = () if step is None else knitting.moves[knitting.place.done : step.last]
        coming = next((c.crossed for c in (call, call and call.also) if c and c.kind is CallKind.COMING), ())
        return View(
            knitting.bed,
            moves,
            row.crossed if row else (),
            row.size if row else knitting.plan.panel.stitch_size,
            () if row and row.crossed else coming,
            knitting.size_before,
            row.resting if row else (),
            knitting.plan.panel.out_of_work,
        )

    # --- lines --------------------------------------------------------------

    def bar(self, width: int, look: Look) -> Line:
        knitting = self.knitting
        at = next((i for i, step in enumerate(knitting.steps, 1) if knitting.place.done < step.last), 0)
        return callbar.bar(self.kind, self.call, self.trouble, at, len(knitting.steps), width, look.glyphs)

    def moves(self, width: int, room: int) -> list[Line]:
        """The step's moves from the one in hand on, then what is to be said of it: at most ``room`` lines."""
        knitting, step = self.knitting, self.knitting.step
        told = self.told.lines(knitting, width, hold=self.hold)
        if step is None:
            return [line for move in told[0] for line in move][:room]
        moves = told[knitting.steps.index(step)][knitting.place.done - step.first :]
        lines = [line for move in moves for line in move]
        if len(lines) > room:
            return _and_more(lines, room, width)
        before = self._before(width)
        if len(before) + len(lines) <= room:
            lines = [*before, *lines]
        return [*lines, *self.besides(width, room - len(lines))]

    def _before(self, width: int) -> list[Line]:
        """What weights and edges want before the moves."""
        return self._in_lines([text for text, first in self._minded if first], width)

    @staticmethod
    def _in_lines(texts: Sequence[str], width: int) -> list[Line]:
        return [line for text in texts for line in wrapped(text, width, Tone.STRONG)]

    def besides(self, width: int, room: int) -> list[Line]:
        """What is said besides the moves: a changed plan, weights nobody needs, notes, why."""
        knitting, step = self.knitting, self.knitting.step
        lines = self._in_lines([text for text, first in self._minded if not first], width)
        if self.changed and room > 0:
            most = room if room > 2 * CHANGED else min(room, CHANGED)
            lines += wrapped(self.changed, width, Tone.STRONG, most)
        if step is not None and not step.push and step.crosses is None and knitting.place.row == knitting.rows:
            lines += wrapped("Only for rows you knit on in waste yarn", width, Tone.STRONG)
        if self.notes:
            lines += wrapped(f"Note: {' | '.join(self.notes)}", width, Tone.STRONG, max(0, room - len(lines)))
        if self.why and step is not None:
            lines += wrapped(f"Why: {knitting.why}", width, Tone.PLAIN, max(0, room - len(lines)))
        return lines[: max(0, room)]

    @cached_property
    def _minded(self) -> list[tuple[str, bool]]:
        """What weights and edges want at this step, and whether before its moves; last the machine's counter after a crossing row."""
        row, step, steps = self.knitting.row, self.knitting.step, self.knitting.steps
        if row is None or step is None:
            return []
        told: list[tuple[str, bool]] = []
        if self.handling and len(steps) > 1 and (want := self.told.wants(self.knitting)[steps.index(step)]) is not None:
            told.append((want.words, want.first))
        if self.sets_counter and self.reading is not None and row.crossed and step.last == steps[-1].last:
            told.append((f"Then set your counter to {row.number:,}", False))
        return told

    def lines_wanted(self, width: int, room: int) -> int:
        """Lines for the longest step of the row in hand, so that nothing below moves from step to step of it.

        Beyond ``room`` lines only the step in hand itself takes them: one long mend costs the others nothing.
        """
        steps = [sum(map(len, step)) for step in self.told.lines(self.knitting, width, hold=self.hold)]
        step = self.knitting.step
        longest = max(min(max(steps), room), steps[self.knitting.steps.index(step)] if step else 0)
        if self.changed or self.notes or self.why:
            return longest + len(self._before(width)) + len(self.besides(width, 99))
        minded = self.handling and len(self.knitting.steps) > 1
        return longest + minded + (self.sets_counter and bool(self.knitting.row and self.knitting.row.crossed))

    def headline(self, width: int, height: int, look: Look) -> list[Line]:
        """The move in hand: capitals three lines high where there are three, else one line in bold."""
        head = self.headlines[0]
        aside = f"   {head.aside}" if head.aside else ""
        following = f"   then {self.headlines[1].words}" if len(self.headlines) > 1 else ""
        if height < 3 or width_of(head.verb) + 4 > width:
            told = f" {head.words} "
            if len(told) > width and height > 1:
                return [[(f" {head.verb} ".ljust(width), Tone.PUSH)], [(f" {head.what} ".ljust(width), Tone.PUSH)]]
            rest = next((r for r in (aside + following, aside, following) if len(told) + len(r) <= width), "")
            return [[(told, Tone.PUSH), (rest, Tone.PLAIN)]]
        whole = width_of(head.words) + 4 <= width
        drawn = fitting(head.words, width - 4, height, look.glyphs) or capitals(head.verb, glyphs=look.glyphs)
        used = len(drawn[0]) + 4
        small = [] if whole else wrapped(head.what, width - used, Tone.STRONG, 2, indent="")
        beside: list[Line] = [*small, *([[(head.aside, Tone.PLAIN)]] if head.aside else [])]
        if following and len(beside) < 3:
            beside.append([(following.strip(), Tone.QUIET)])
        fits = [line if used + columns(line) <= width else [] for line in beside]
        gap = ("  ", Tone.PLAIN)
        return [
            [(f"  {row}", Tone.MOVING), *([gap, *line] if line else [])]
            for row, line in zip(drawn, [*fits, *([[]] * len(drawn))], strict=False)
        ]


def _and_more(lines: list[Line], room: int, width: int) -> list[Line]:
    """The first lines of those, and a word on how many more there are: Down makes a move, and brings them up."""
    last, hidden = lines[room - 1], len(lines) - room
    sign = f"  … {hidden} more: Down"
    if columns(last) + len(sign) <= width:
        return [*lines[: room - 1], [*last, (sign, Tone.STRONG)]]
    return [*lines[: room - 1], [(f"     … {hidden + 1} more: Down, move by move", Tone.STRONG)]]
