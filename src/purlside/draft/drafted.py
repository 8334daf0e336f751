"""What every change of a draft is made with: the plan as it is, a cursor, what is in hand, undo without limit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from purlside.bed.needles import Needle, Span
from purlside.draft import chart, fields, reshaping, together
from purlside.draft.history import History, State
from purlside.draft.judging import Judge, Judgement
from purlside.ease.reach import Reach, reach
from purlside.fabric.stitches import Face
from purlside.plan.plan import Cable, Plan
from purlside.plan.problems import Key, Problem, Unfit
from purlside.plan.repeats import RowSpan
from purlside.rows.calendar import Calendar


class CannotDraft(ValueError):
    """An operation that did nothing; the message says why."""


@contextmanager
def refusing() -> Iterator[None]:
    """What cannot be, for what is asked, is refused as :class:`CannotDraft`."""
    try:
        yield
    except ValueError as error:
        raise CannotDraft(error.why if isinstance(error, Unfit) else str(error)) from None


class Drafted:
    """A plan being designed. ``revision`` changes with the plan, the cable in hand or a text; not with the cursor."""

    def __init__(self, plan: Plan, *, face: Face = Face.KNIT) -> None:
        self.state = State(plan, selected=0 if plan.cable else None)
        self.face = face
        self.revision = 0
        self.needle = Needle(plan.panel.needles.left if face is Face.PURL else plan.panel.needles.right)
        self.row = 1
        self._judge = Judge()
        self._judged: tuple[Plan, Judgement] | None = None
        self.history = History()
        self._calendar: Calendar | None = None
        self._kept = plan

    # --- asking --------------------------------------------------------------

    @property
    def plan(self) -> Plan:
        return self.state.plan

    @property
    def selected(self) -> int | None:
        """The cable in hand, by its place in the plan."""
        return self.state.selected

    @property
    def cable(self) -> Cable | None:
        return None if self.selected is None else self.plan.cable[self.selected]

    @property
    def rows(self) -> int:
        """All rows in the order they are knit, those of parts after the panel's."""
        return self.calendar.rows if self.plan.part else self.plan.panel.rows

    @property
    def row_words(self) -> str:
        """The row in hand: ``"8 of 420"``, of a part ``"230 of 260, left shoulder"``."""
        rows, part = self.fabric_rows
        return f"{rows.first:,} of {rows.last:,}{f', {part}' if part else ''}"

    @property
    def fabric_rows(self) -> tuple[RowSpan, str | None]:
        """The fabric's rows from the cursor's to the last of the panel or part it stands in, and the part's name."""
        if not self.plan.part or self.row > self.calendar.rows:
            return RowSpan(self.row, max(self.row, self.rows)), None
        segment = self.calendar.segment(self.row)
        return RowSpan(segment.fabric_row(self.row), segment.fabric_row(segment.last)), segment.part

    @property
    def calendar(self) -> Calendar:
        """The rows of the plan as it is."""
        if self._calendar is None or self._calendar.plan is not self.plan:
            self._calendar = Calendar(self.plan)
        return self._calendar

    @property
    def in_hand(self) -> tuple[int, ...]:
        """The cables in hand: those of one motif, or one; empty where there is none."""
        return () if self.selected is None else together.members(self.plan, self.selected)

    @property
    def name_in_hand(self) -> str:
        """What is in hand is called: a motif, or a cable; empty where there is nothing."""
        return "" if self.selected is None else together.name(self.plan, self.selected)

    @property
    def twin(self) -> tuple[int, ...]:
        """The cables of the mirrored twin of what is in hand."""
        return together.twin(self.plan, self.in_hand) if self.in_hand else ()

    @property
    def judgement(self) -> Judgement:
        """Faults, reach, tools and size of the plan as it is."""
        if self._judged is None or self._judged[0] is not self.plan:
            self._judged = self.plan, self._judge(self.plan)
        return self._judged[1]

    def reach_in_hand(self) -> list[Reach]:
        """All that can be told of the reach of the cable in hand, a crossing each; those that cannot be knit left out."""
        if self.selected is None:
            return []
        judged = self.judgement.cables[self.selected]
        cable = self.plan.cable[self.selected]
        return [reach(self.plan, cable, j.crossing, j.size) for j in judged if j.fault is None]

    @property
    def troubles(self) -> dict[Key, Problem]:
        """What is wrong with each text that could not be taken in."""
        return fields.troubles(self.plan, self.state.typed)

    def text(self, key: Key) -> str:
        """A field as it is typed, or as it stands in the plan."""
        if key in self.state.typed:
            return self.state.typed[key]
        found = fields.field(self.plan, key)
        return found.text if found else ""

    @property
    def changed(self) -> bool:
        """Whether there is anything to save."""
        return bool(self.state.typed) or (self.plan is not self._kept and self.plan != self._kept)

    def saved(self) -> None:
        """The plan as it is now is on the disk."""
        self._kept = self.plan
        self.revision += 1

    # --- the cursor ----------------------------------------------------------

    def go(self, needle: int, row: int) -> None:
        """Put the cursor there, or as near as the chart goes."""
        left, right = chart.extent(self.plan)
        self.needle = Needle(max(left, min(int(needle), right)))
        self.row = max(1, min(row, self.rows))

    def place_of(self, text: str) -> tuple[Needle, int]:
        """The needle and row of ``"40"``, ``"R12"`` or ``"R12 40"``; what is not said stays. Raises CannotDraft."""
        left, right = chart.extent(self.plan)
        needle, row = self.needle, self.row
        allowed = f"a row, 1 to {self.rows:,}, a needle, {Needle(left)} to {Needle(right)}, or both, as R12 40"
        words = re.findall(r"[LRlr]?\d+", text)
        if not words or len(words) > 2 or re.sub(r"[LRlr]?\d+|row|needle|[\s,]", "", text):
            raise CannotDraft(allowed)
        for word in words:
            with refusing():
                if word.isdigit():
                    row = int(word[:9])
                else:
                    needle = Needle.parse(word.upper())
        if not 1 <= row <= self.rows or not left <= needle <= right:
            raise CannotDraft(allowed)
        return needle, row

    def step(self, across: int, up: int) -> None:
        """Move the cursor ``across`` needles to the right as seen, and ``up`` rows."""
        self.go(int(self.needle) + (across if self.face is Face.PURL else -across), self.row + up)

    def turn_over(self) -> None:
        """Look at the other side."""
        self.face = self.face.other

    def select(self, index: int | None) -> None:
        """Take a cable in hand, and bring the cursor to it."""
        if index is not None and not 0 <= index < len(self.plan.cable):
            raise CannotDraft("there is no such cable")
        first = None if index is None else together.members(self.plan, index)[0]
        self.state = State(self.plan, self.state.typed, first)
        self.revision += 1
        self.history.seal()

    def select_next(self, by: int = 1) -> None:
        """Take the next cable in hand and go to its first crossing."""
        if not self.plan.cable:
            raise CannotDraft("there is no cable yet")
        things = list(together.things(self.plan))
        now = next((i for i, thing in enumerate(things) if self.selected in thing), None)
        at = (0 if by > 0 else -1) if now is None else now + by
        self.select(things[at % len(things)][0])
        _, cables = self._in_hand()
        self.go(self._edge(reshaping.span(cables)), cables[0].first_row)

    def cable_here(self) -> int | None:
        """The cable whose needles the cursor stands on: one that crosses in this row before others."""
        here = [i for i, c in enumerate(self.plan.cable) if any(self.needle in x.needles for x in c.crossings)]
        calendar = self.calendar
        row = min(self.row, calendar.rows)
        crossed = [c.cable for c in calendar.crossed(row) if self.needle in c.crossing.needles]
        return next((i for i in (*crossed, *here)), None)

    def _edge(self, span: Span) -> Needle:
        """The end of a span that is seen at the left."""
        return span.left if self.face is Face.PURL else span.right

    # --- undo ----------------------------------------------------------------

    def undo(self) -> str:
        """Take the last change back. Raises CannotDraft if there is none."""
        if (step := self.history.undo()) is None:
            raise CannotDraft("nothing to undo")
        return self._show(step.words, step.before)

    def redo(self) -> str:
        """Make the change again that was taken back. Raises CannotDraft if there is none."""
        if (step := self.history.redo()) is None:
            raise CannotDraft("nothing to do again")
        return self._show(step.words, step.after)

    def take_up(self, state: State, history: History) -> str:
        """Go on with a state kept from before, and with the steps that led to it as far as they are kept."""
        words = "took up unsaved changes"
        self.history = history.led_to(words, self.state, state)
        return self._show(words, state)

    def _show(self, words: str, state: State) -> str:
        self.state = state
        self.revision += 1
        self.go(self.needle, self.row)
        return words

    def _become(self, words: str, state: State, tag: object = None) -> str:
        self.history.made(words, self.state, state, tag)
        return self._show(words, state)

    def _with(
        self, words: str, selected: int | None = None, typed: Mapping[Key, str] | None = None, **tables: Any
    ) -> str:
        with refusing():
            plan = replace(self.plan, **tables)
        chosen = self.selected if selected is None else selected
        chosen = None if chosen is None or chosen >= len(plan.cable) or chosen < 0 else chosen
        return self._become(words, State(plan, self.state.typed if typed is None else typed, chosen))

    # --- fields --------------------------------------------------------------

    def type(self, key: Key, text: str) -> str:
        """Put a text in a field: into the plan if it can be read, else kept as typed."""
        found = fields.field(self.plan, key)
        if found is None:
            raise CannotDraft("there is no such field")
        words = f"{found.label}: {text}" if text else f"{found.label} left out"
        plan, typed = fields.take(self.plan, found, text, self.state.typed)
        if key[0] == "cable" and plan is not self.plan:
            index = int(key[1])
            with refusing():
                plan = replace(plan, cable=tuple(together.typed(self.plan, index, plan.cable[index])))
        return self._become(words, State(plan, typed, self.selected), key)

    def _in_hand(self) -> tuple[tuple[int, ...], tuple[Cable, ...]]:
        if self.selected is None:
            raise CannotDraft("no cable in hand: choose one, or place one first")
        return self.in_hand, tuple(self.plan.cable[i] for i in self.in_hand)
