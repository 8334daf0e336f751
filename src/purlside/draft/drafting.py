"""A draft: a plan being designed, with a cursor, a cable in hand, and undo without limit.

Plans are values: each change makes a new one that shares what it leaves alone,
so a step of the history costs next to nothing. What cannot be knit may stand in
a draft; what cannot even be read (a row number that is a word) is kept as typed
beside the last plan that could::

    draft = Draft(plan)
    draft.go(Needle.parse("R3"), 8)
    draft.place("3/3 RC")
    draft.type(("panel", "rows"), "180")
    draft.judgement.faults; draft.troubles
    draft.undo()

Operations say in words what they did; :class:`CannotDraft` says why they did nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from purlside.bed.needles import Needle, Side, Span
from purlside.draft import chart, fields, placing, reshaping
from purlside.draft.history import History, State
from purlside.draft.judging import Judge, Judgement
from purlside.fabric import motifs, written
from purlside.fabric.stitches import Face
from purlside.plan.plan import MOST_ROWS, Band, Cable, Plan, Reminder
from purlside.plan.problems import Key, Problem, Unfit
from purlside.plan.repeats import RowSpan
from purlside.rows.calendar import Calendar

if TYPE_CHECKING:
    from purlside.ease.reach import Reach


class CannotDraft(ValueError):
    """An operation that did nothing; the message says why."""


class Draft:
    """A plan being designed. ``revision`` changes with the plan, the cable in hand or a text; not with the cursor."""

    def __init__(self, plan: Plan, *, face: Face = Face.KNIT) -> None:
        self.state = State(plan, selected=0 if plan.cable else None)
        self.face = face
        self.revision = 0
        self.needle = Needle(plan.panel.needles.left if face is Face.PURL else plan.panel.needles.right)
        self.row = 1
        self._judge = Judge()
        self._judged: tuple[Plan, Judgement] | None = None
        self._history = History()
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
        return [r for j in judged if (r := self._judge.reach(self.plan, self.selected, j)) is not None]

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
        self.row = max(1, min(row, self.plan.panel.rows))

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
        self.state = State(self.plan, self.state.typed, index)
        self.revision += 1
        self._history.seal()

    def select_next(self, by: int = 1) -> None:
        """Take the next cable in hand and go to its first crossing."""
        if not self.plan.cable:
            raise CannotDraft("there is no cable yet")
        now = self.selected
        index = (0 if by > 0 else -1) if now is None else now + by
        self.select(index % len(self.plan.cable))
        cable = self.plan.cable[self.selected or 0]
        self.go(self._edge(reshaping.span(cable)), cable.first_row)

    def cable_here(self) -> int | None:
        """The cable whose needles the cursor stands on: one that crosses in this row before others."""
        here = [i for i, c in enumerate(self.plan.cable) if any(self.needle in x.needles for x in c.crossings)]
        calendar = Calendar(self.plan)
        row = min(self.row, calendar.rows)
        crossed = [c.cable for c in calendar.crossed(row) if self.needle in c.crossing.needles]
        return next((i for i in (*crossed, *here)), None)

    def _edge(self, span: Span) -> Needle:
        """The end of a span that is seen at the left."""
        return span.left if self.face is Face.PURL else span.right

    # --- undo ----------------------------------------------------------------

    def undo(self) -> str:
        """Take the last change back. Raises CannotDraft if there is none."""
        if (step := self._history.undo()) is None:
            raise CannotDraft("nothing to undo")
        return self._show(step.words, step.before)

    def redo(self) -> str:
        """Make the change again that was taken back. Raises CannotDraft if there is none."""
        if (step := self._history.redo()) is None:
            raise CannotDraft("nothing to do again")
        return self._show(step.words, step.after)

    def seal(self) -> None:
        """What is typed next is a step of its own."""
        self._history.seal()

    @property
    def history(self) -> History:
        return self._history

    def take_up(self, state: State, history: History) -> str:
        """Go on with a state kept from before, and with the steps that led to it as far as they are kept."""
        words = "took up unsaved changes"
        self._history = history.led_to(words, self.state, state)
        return self._show(words, state)

    def _show(self, words: str, state: State) -> str:
        self.state = state
        self.revision += 1
        self.go(self.needle, self.row)
        return words

    def _become(self, words: str, state: State, tag: object = None) -> str:
        self._history.made(words, self.state, state, tag)
        return self._show(words, state)

    def _with(
        self, words: str, selected: int | None = None, typed: Mapping[Key, str] | None = None, **tables: Any
    ) -> str:
        try:
            plan = replace(self.plan, **tables)
        except Unfit as unfit:
            raise CannotDraft(unfit.why) from None
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
        return self._become(words, State(plan, typed, self.selected), key)

    # --- cables --------------------------------------------------------------

    def place(self, text: str) -> str:
        """A cable here: ``"3/3 RC"``, ``"C6F"``, ``"3 over 3 right"`` or needles; its seen left end at the cursor."""
        try:
            crossing = placing.crossing(text, self.needle, leftward=self.face is Face.KNIT)
        except ValueError as error:
            raise CannotDraft(str(error)) from None
        cable = Cable(
            name=self._fresh("cable"),
            cross=crossing,
            first_row=self.row,
            every=max(2, len(crossing.needles)),
            ease="auto",
        )
        return self._add(f"placed {written.name(crossing)}", [cable])

    def lay(self, name: str, *, lean: Side = Side.RIGHT, every: int, back: bool | None = None, **numbers: int) -> str:
        """A motif here, its seen left end at the cursor; from then on it is ordinary cables."""
        laying = motifs.Laying(self._fresh(name, letters=True), Needle(0), self.row, every, lean, ease="auto")
        try:
            width = len(motifs.takes(motifs.lay(name, laying, back=back, **numbers)))
            left = placing.leftmost(self.needle, width, leftward=self.face is Face.KNIT)
            laid = motifs.lay(name, replace(laying, left=left), back=back, **numbers)
        except ValueError as error:
            raise CannotDraft(str(error)) from None
        return self._add(f"laid down a {name}", laid)

    def _add(self, words: str, cables: list[Cable]) -> str:
        return self._with(words, selected=len(self.plan.cable), cable=[*self.plan.cable, *cables])

    def _fresh(self, base: str, *, letters: bool = False) -> str:
        return placing.fresh_name((cable.name for cable in self.plan.cable), base, letters=letters)

    def _in_hand(self) -> tuple[int, Cable]:
        if self.selected is None:
            raise CannotDraft("no cable in hand: choose one, or place one first")
        return self.selected, self.plan.cable[self.selected]

    def _reshape(self, words: str, change: Callable[[Cable], Cable]) -> str:
        index, cable = self._in_hand()
        new = change(cable)
        if new == cable:
            raise CannotDraft(f"{cable.name} cannot go further that way")
        cables = [*self.plan.cable]
        cables[index] = new
        return self._with(f"{cable.name} {words}", cable=cables)

    def move(self, across: int = 0, up: int = 0) -> str:
        """The cable in hand ``across`` needles to the right as seen, and ``up`` rows; the cursor goes with it."""
        shift = across if self.face is Face.PURL else -across
        words = self._reshape("moved", lambda cable: reshaping.moved(cable, shift, up))
        self.go(int(self.needle) + shift, self.row + up)
        return words

    def widen(self, by: int = 1) -> str:
        """Each strand of the cable in hand wider by so many stitches; below 0 narrower."""
        return self._reshape("widened" if by > 0 else "narrowed", lambda cable: reshaping.widened(cable, by))

    def widen_half(self, front: bool, by: int = 1) -> str:
        """Only the half in front, or the one behind."""
        index, cable = self._in_hand()
        if len(cable.crossings) != 1:
            raise CannotDraft(f"{self.plan.cable[index].name} takes several crossings in turn: widen all its strands")
        half = "the half in front" if front else "the half behind"
        words = f"{'wider' if by > 0 else 'narrower'}: {half}"
        return self._reshape(words, lambda c: reshaping.half_widened(c, front, by))

    def cross_other_way(self) -> str:
        """The other half in front."""
        return self._reshape("crossed the other way", reshaping.turned)

    def front(self, side: Side) -> str:
        """Put the half on that side of the bed in front, in the first crossing; the others follow."""
        _, cable = self._in_hand()
        if cable.crossings[0].front_side is side:
            raise CannotDraft(f"the {side} half at the bed is in front already")
        return self.cross_other_way()

    def mirror(self) -> str:
        """The mirror image across the panel's middle: where it stands, and the way it crosses."""
        panel = self.plan.panel.needles
        words = self._reshape("mirrored", lambda cable: reshaping.mirrored(cable, panel))
        cable = self.plan.cable[self._in_hand()[0]]
        self.go(self._edge(reshaping.span(cable)), self.row)
        return words

    def copy(self) -> str:
        """A copy of the cable in hand just beside it, at the right as seen where there is room."""
        _, cable = self._in_hand()
        width = len(reshaping.span(cable))
        shift = width if self.face is Face.PURL else -width
        panel, span = self.plan.panel.needles, reshaping.span(cable)
        if int(span.left) + shift not in panel or int(span.right) + shift not in panel:
            shift = -shift
        base = re.sub(r" \d+$", "", cable.name)[:34]
        copied = replace(reshaping.moved(cable, shift), name=self._fresh(base))
        words = self._add(f"copied {cable.name}", [copied])
        self.go(self._edge(reshaping.span(copied)), self.row)
        return words

    def delete(self) -> str:
        """Take the cable in hand out of the plan."""
        index, cable = self._in_hand()
        cables = [c for i, c in enumerate(self.plan.cable) if i != index]
        chosen = min(index, len(cables) - 1)
        return self._with(
            f"deleted {cable.name}", chosen, fields.without(self.state.typed, "cable", index), cable=cables
        )

    def first_row_here(self) -> str:
        """The cable in hand crosses first in the cursor's row."""
        row = self.row
        return self._reshape(f"first crossed in row {row}", lambda c: replace(c, first_row=row))

    def every_by(self, by: int) -> str:
        """More or fewer rows from one crossing to the next."""
        _, cable = self._in_hand()
        every = len(cable.crossings[0].needles) if cable.every is None else max(1, min(cable.every + by, MOST_ROWS))
        return self._reshape(f"crossed every {every} rows", lambda c: replace(c, every=every))

    def times_by(self, by: int) -> str:
        """More or fewer crossings in all; counted from as many as fit."""
        index, cable = self._in_hand()
        if cable.every is None:
            raise CannotDraft(f"{cable.name} is crossed once: say first how many rows apart")
        fits = Calendar(self.plan).repeats[index].of
        times = max(1, min((cable.times or fits) + by, MOST_ROWS))
        return self._reshape(f"crossed {times} times", lambda c: replace(c, times=times))

    def next_ease(self) -> str:
        """The next way to ease the cable in hand; sizes and rows it needs are the least that are enough."""
        index, _ = self._in_hand()
        knittable = self.judgement.fault_of(index) is None
        return self._reshape("eased in the next way", lambda c: placing.next_ease(self.plan, c, knittable=knittable))

    # --- the panel -----------------------------------------------------------

    def ladder_here(self) -> str:
        """Take the cursor's needle out of work, or back into it."""
        panel, needle = self.plan.panel, self.needle
        if needle not in panel.needles:
            raise CannotDraft(f"{needle} is outside the panel")
        out = needle not in panel.out_of_work
        needles = sorted({*panel.out_of_work, needle} if out else {*panel.out_of_work} - {needle})
        words = f"{needle} {'out of work' if out else 'in work again'}"
        return self._with(words, panel=replace(panel, out_of_work=tuple(needles)))

    def add_band(self, stitch_size: float | None = None, colour: str | None = None) -> str:
        """A band from the cursor's row, ten rows high or to the end of the panel."""
        last = min(self.row + 9, self.plan.panel.rows)
        if stitch_size is None and colour is None:
            stitch_size = self.plan.panel.stitch_size
        band = Band(rows=RowSpan(first=self.row, last=last), stitch_size=stitch_size, colour=colour)
        return self._with(f"band in rows {band.rows}", band=[*self.plan.band, band])

    def add_reminder(self, text: str) -> str:
        """A reminder in the cursor's row."""
        try:
            reminder = Reminder(text=text, row=self.row)
        except Unfit as unfit:
            raise CannotDraft(unfit.why) from None
        return self._with(f"reminder in row {self.row}", reminder=[*self.plan.reminder, reminder])

    def remove(self, table: Key) -> str:
        """Take a band or a reminder out of the plan, by its key as ``("band", 0)``."""
        name, index = str(table[0]), int(table[1])
        parts = list(getattr(self.plan, name))
        if name not in ("band", "reminder") or not 0 <= index < len(parts):
            raise CannotDraft("there is no such band or reminder")
        del parts[index]
        return self._with(f"{name} taken out", typed=fields.without(self.state.typed, name, index), **{name: parts})  # type: ignore[arg-type]
