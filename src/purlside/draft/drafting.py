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
from purlside.draft import chart, fields, frompattern, placing, reshaping, together, wanting
from purlside.draft import refit as refitting
from purlside.draft.history import History, State
from purlside.draft.judging import Judge, Judgement
from purlside.fabric import motifs, written
from purlside.fabric.stitches import Face
from purlside.plan import mirror
from purlside.plan.plan import MOST_ROWS, Band, Cable, PanelPart, Plan, Reminder, Shape, StitchWork
from purlside.plan.problems import Key, Problem, Unfit
from purlside.plan.repeats import RowSpan
from purlside.rows.calendar import Calendar

if TYPE_CHECKING:
    from purlside.draft.frompattern import Laid
    from purlside.ease.reach import Reach
    from purlside.fabric.pattern import Pattern


PART_ROWS = 20
"""Rows of a part when it is new; the knitter's own number comes in its field."""


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
    def in_hand(self) -> tuple[int, ...]:
        """The cables in hand: those of one motif, or one; empty where there is none."""
        return () if self.selected is None else together.members(self.plan, self.selected)

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

    def place_of(self, text: str) -> tuple[Needle, int]:
        """The needle and row of ``"40"``, ``"R12"`` or ``"R12 40"``; what is not said stays. Raises CannotDraft."""
        left, right = chart.extent(self.plan)
        needle, row = self.needle, self.row
        allowed = (
            f"a row, 1 to {self.plan.panel.rows:,}, a needle, {Needle(left)} to {Needle(right)}, or both, as R12 40"
        )
        words = re.findall(r"[LRlr]?\d+", text)
        if not words or len(words) > 2 or re.sub(r"[LRlr]?\d+|row|needle|[\s,]", "", text):
            raise CannotDraft(allowed)
        for word in words:
            try:
                if word.isdigit():
                    row = int(word[:9])
                else:
                    needle = Needle.parse(word.upper())
            except ValueError as error:
                raise CannotDraft(str(error)) from None
        if not 1 <= row <= self.plan.panel.rows or not left <= needle <= right:
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
        self._history.seal()

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
        if key[0] == "cable" and plan is not self.plan:
            index = int(key[1])
            try:
                plan = replace(plan, cable=tuple(together.typed(self.plan, index, plan.cable[index])))
            except Unfit as unfit:
                raise CannotDraft(unfit.why) from None
            except ValueError as error:
                raise CannotDraft(str(error)) from None
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

    def laying(
        self, name: str, *, lean: Side = Side.RIGHT, every: int, back: bool | None = None, **numbers: int
    ) -> list[Cable]:
        """What :meth:`lay` would lay: the motif at the cursor, its last repeat whole before the panel ends."""
        laying = motifs.Laying(self._fresh(name, letters=True), Needle(0), self.row, every, lean, ease="auto")
        try:
            endless = motifs.lay(name, laying, back=back, **numbers)
            width = len(motifs.takes(endless))
            left = placing.leftmost(self.needle, width, leftward=self.face is Face.KNIT)
            times = reshaping.whole(endless, self.plan.panel.rows) if reshaping.step(endless) else None
            return motifs.lay(name, replace(laying, left=left, times=times), back=back, **numbers)
        except ValueError as error:
            raise CannotDraft(str(error)) from None

    def lay(self, name: str, *, lean: Side = Side.RIGHT, every: int, back: bool | None = None, **numbers: int) -> str:
        """A motif here, its seen left end at the cursor, in hand as one."""
        return self._add(f"laid down a {name}", self.laying(name, lean=lean, every=every, back=back, **numbers))

    def lay_pattern(self, pattern: Pattern) -> tuple[str, Laid]:
        """A written pattern here, its right edge on the knit side at the cursor's side, repeated up to the panel's end."""
        if pattern.wrong or not pattern.rows:
            raise CannotDraft("the pattern cannot be followed as it stands")
        again = sum(pattern.repeat[0] <= row.number <= pattern.repeat[1] for row in pattern.rows)
        room = self.plan.panel.rows - self.row - (len(pattern.rows) - again)
        left = placing.leftmost(self.needle, pattern.stitches, leftward=self.face is Face.KNIT)
        try:
            laid = frompattern.lay(pattern, left, max(1, room // again))
        except ValueError as error:
            raise CannotDraft(str(error)) from None
        up, taken = self.row - 1, [cable.name for cable in self.plan.cable]
        cables: list[Cable] = []
        for cable in laid.cables:
            name = placing.fresh_name([*taken, *(c.name for c in cables)], "cable")
            cables.append(replace(cable, name=name, first_row=cable.first_row + up))
        works = [replace(columns.work, first_row=columns.first_row + up) for columns in laid.purl]
        words = self._with(
            f"laid down {pattern.title}",
            selected=len(self.plan.cable) if cables else None,
            cable=[*self.plan.cable, *cables],
            stitch=[*self.plan.stitch, *works],
        )
        return words, laid

    def _add(self, words: str, cables: list[Cable]) -> str:
        return self._with(words, selected=len(self.plan.cable), cable=[*self.plan.cable, *cables])

    def _fresh(self, base: str, *, letters: bool = False) -> str:
        taken = [name for cable in self.plan.cable for name in (cable.name, cable.motif) if name]
        return placing.fresh_name(taken, base, letters=letters)

    def _in_hand(self) -> tuple[tuple[int, ...], tuple[Cable, ...]]:
        if self.selected is None:
            raise CannotDraft("no cable in hand: choose one, or place one first")
        return self.in_hand, tuple(self.plan.cable[i] for i in self.in_hand)

    def _reshape(self, words: str, change: Callable[[tuple[Cable, ...]], tuple[Cable, ...]]) -> str:
        """Change what is in hand as one, and its twin with it."""
        indices, cables = self._in_hand()
        new = change(cables)
        called = together.name(self.plan, indices[0])
        if new == cables:
            raise CannotDraft(f"{called} cannot go further that way")
        plan = together.changed(self.plan, indices, new)
        return self._with(f"{called} {words}{' and its twin with it' if self.twin else ''}", cable=plan)

    def move(self, across: int = 0, up: int = 0) -> str:
        """The cable in hand ``across`` needles to the right as seen, and ``up`` rows; the cursor goes with it."""
        shift = across if self.face is Face.PURL else -across
        words = self._reshape("moved", lambda cables: reshaping.moved(cables, shift, up))
        self.go(int(self.needle) + shift, self.row + up)
        return words

    def widen(self, by: int = 1) -> str:
        """Each strand of the cable in hand wider by so many stitches; below 0 narrower."""
        return self._reshape("widened" if by > 0 else "narrowed", lambda cables: reshaping.widened(cables, by))

    def widen_half(self, front: bool, by: int = 1) -> str:
        """Only the half in front, or the one behind."""
        indices, cables = self._in_hand()
        if len(cables) > 1 or len(cables[0].crossings) != 1:
            name = together.name(self.plan, indices[0])
            raise CannotDraft(f"{name} takes several crossings in turn: widen all its strands")
        half = "the half in front" if front else "the half behind"
        words = f"{'wider' if by > 0 else 'narrower'}: {half}"
        return self._reshape(words, lambda cables: reshaping.half_widened(cables, front, by))

    def cross_other_way(self) -> str:
        """The other half in front."""
        return self._reshape("crossed the other way", reshaping.turned)

    def mirror(self) -> str:
        """The mirror image across the panel's middle: where it stands, and the way it crosses."""
        panel = self.plan.panel.needles
        words = self._reshape("mirrored", lambda cables: reshaping.mirrored(cables, panel))
        self._follow()
        return words

    def _follow(self) -> None:
        """Bring the cursor to what is in hand."""
        _, cables = self._in_hand()
        self.go(self._edge(reshaping.span(cables)), self.row)

    def copy(self) -> str:
        """A copy of what is in hand just beside it, at the right as seen where there is room."""
        indices, cables = self._in_hand()
        taken = reshaping.span(cables)
        shift = len(taken) if self.face is Face.PURL else -len(taken)
        panel = self.plan.panel.needles
        if int(taken.left) + shift not in panel or int(taken.right) + shift not in panel:
            shift = -shift
        words = f"copied {together.name(self.plan, indices[0])}"
        self._add(words, self._named(reshaping.moved(cables, shift), cables[0].motif is not None))
        self._follow()
        return words

    def _named(self, cables: tuple[Cable, ...], motif: bool) -> list[Cable]:
        """Cables with names that none has yet, and a motif's name if they are one."""
        base = cables[0].motif or cables[0].name
        base = re.sub(r" (?:\d+|[A-Z])$", "", base.removesuffix(together.TWIN))[: together.MOST_NAME - 12]
        name = self._fresh(base, letters=motif)
        ends = [f" {i}" for i in range(1, len(cables) + 1)] if len(cables) > 1 else [""]
        return [
            replace(cable, name=f"{name}{end}", motif=name if motif else None)
            for cable, end in zip(cables, ends, strict=True)
        ]

    def delete(self) -> str:
        """Take what is in hand out of the plan, its twin too."""
        indices, _ = self._in_hand()
        gone = {*indices, *self.twin}
        called = together.name(self.plan, indices[0])
        typed = self.state.typed
        for index in sorted(gone, reverse=True):
            typed = fields.without(typed, "cable", index)
        cables = [c for i, c in enumerate(self.plan.cable) if i not in gone]
        chosen = min(min(gone), len(cables) - 1)
        twin = " and its twin" if self.twin else ""
        return self._with(f"deleted {called}{twin}", chosen, typed, cable=cables)

    def dissolve(self) -> str:
        """What is in hand is one motif no more: each cable is for itself."""
        indices, cables = self._in_hand()
        if cables[0].motif is None:
            raise CannotDraft(f"{cables[0].name} is one cable already")
        new = together.put(self.plan.cable, indices, [replace(cable, motif=None) for cable in cables])
        return self._with(f"{cables[0].motif} taken apart: {len(cables)} cables, each for itself", cable=new)

    # --- symmetry ------------------------------------------------------------

    def pair(self) -> str:
        """A mirrored twin of what is in hand at the other side of the panel, tied to it; or tied no more."""
        indices, cables = self._in_hand()
        called = together.name(self.plan, indices[0])
        if twin := self.twin:
            free = self._named(tuple(self.plan.cable[i] for i in twin), len(twin) > 1)
            return self._with(f"{called} and its twin untied", cable=together.put(self.plan.cable, twin, free))
        panel = self.plan.panel.needles
        image = reshaping.mirrored(cables, panel)
        if reshaping.span(image).overlaps(reshaping.span(cables)):
            raise CannotDraft(f"{called} stands across the panel's middle: its mirror image would lie on it")
        name = called.removesuffix(together.TWIN)[: together.MOST_NAME - len(together.TWIN) - 4]
        named = together.put(self.plan.cable, indices, [replace(cable, motif=name) for cable in cables])
        twins = [
            replace(
                cable,
                name=placing.fresh_name([c.name for c in self.plan.cable], f"{name} twin {i}"),
                motif=name + together.TWIN,
            )
            for i, cable in enumerate(image, 1)
        ]
        return self._with(f"{called} has a mirrored twin, tied to it", cable=[*named, *twins])

    def centre(self) -> str:
        """What is in hand to the middle of the panel; a tied pair is in the middle already."""
        _, cables = self._in_hand()
        panel, taken = self.plan.panel.needles, reshaping.span(cables)
        if self.twin:
            raise CannotDraft("a tied pair stands around the middle as it is")
        shift = (int(panel.left) + int(panel.right) - int(taken.left) - int(taken.right)) // 2
        if not shift:
            raise CannotDraft("it stands in the middle already")
        words = self._reshape("centred", lambda cables: reshaping.moved(cables, shift))
        self._follow()
        return words

    def space_evenly(self) -> str:
        """All motifs and cables moved to equal distances across the panel, in the order they stand."""
        plan = self.plan
        if not plan.cable:
            raise CannotDraft("there is no cable yet")
        try:
            cables, gap = placing.spaced(plan)
        except ValueError as error:
            raise CannotDraft(str(error)) from None
        if cables == plan.cable:
            raise CannotDraft("they are spaced evenly already")
        return self._with(f"spaced evenly, {gap} needles between", cable=cables)

    # --- when ----------------------------------------------------------------

    def first_row_here(self) -> str:
        """What is in hand crosses first in the cursor's row."""
        row = self.row
        return self._reshape(
            f"first crossed in row {row}", lambda cables: reshaping.moved(cables, rows=row - cables[0].first_row)
        )

    def every_by(self, by: int) -> str:
        """More or fewer rows from one crossing to the next."""
        _, cables = self._in_hand()
        now = reshaping.step(cables)
        every = len(cables[0].crossings[0].needles) if now is None else max(1, min(now + by, MOST_ROWS))
        return self._reshape(f"crossed every {every} rows", lambda cables: reshaping.retimed(cables, every))

    def times_by(self, by: int) -> str:
        """More or fewer crossings in all, a whole repeat at a time; counted from as many as fit."""
        indices, cables = self._in_hand()
        if reshaping.step(cables) is None:
            raise CannotDraft(f"{together.name(self.plan, indices[0])} is crossed once: say first how many rows apart")
        each, fits = reshaping.turns(cables), reshaping.crossing_rows(cables, self.plan.panel.rows)
        times = max(each if len(cables) > 1 else 1, fits + by * (each if len(cables) > 1 else 1))
        return self._reshape(f"crossed {times} times", lambda cables: reshaping.counted(cables, times))

    def end_whole(self) -> str:
        """As many whole repeats of what is in hand as end before the panel does."""
        indices, cables = self._in_hand()
        if reshaping.step(cables) is None:
            raise CannotDraft(f"{together.name(self.plan, indices[0])} is crossed once")
        times = reshaping.whole(cables, self.plan.panel.rows)
        last = min(c.first_row for c in cables) + (times - 1) * (reshaping.step(cables) or 1)
        return self._reshape(f"ends whole after row {last}", lambda cables: reshaping.counted(cables, times))

    def next_ease(self) -> str:
        """The next way to ease what is in hand; sizes and rows it needs are the least that are enough."""
        indices, _ = self._in_hand()
        knittable = not any(self.judgement.fault_of(i) for i in indices)

        def eased(cables: tuple[Cable, ...]) -> tuple[Cable, ...]:
            first = placing.next_ease(self.plan, cables[0], knittable=knittable)
            how = {name: getattr(first, name) for name in ("ease", "enlarged_size", "extra_rows")}
            return tuple(replace(cable, **how) for cable in cables)

        return self._reshape("eased in the next way", eased)

    def meet_wanted(self) -> str:
        """The needles and rows that meet the size wanted, after take-in."""
        wanted = wanting.off(self.plan, self.judgement.size)
        if wanted is None:
            raise CannotDraft(
                "no size is wanted, or it is not known yet: give the width and length wanted, and a gauge"
            )
        if wanted.met:
            raise CannotDraft("it is as big as wanted already")
        try:
            plan = wanting.met(self.plan, wanted)
        except ValueError as error:
            raise CannotDraft(str(error)) from None
        if plan == self.plan:
            raise CannotDraft("no other number of needles and rows comes nearer")
        return self._with(f"{wanted.needles} needles, {wanted.rows:,} rows, for the size wanted", panel=plan.panel)

    def refit(self, asked: refitting.RefitFor) -> str:
        """The design laid again for another machine, yarn, gauge or tools."""
        try:
            made = refitting.refit(self.plan, asked)
        except ValueError as error:
            raise CannotDraft(str(error)) from None
        return self._become(
            f"refitted: {len(made.changes)} things are otherwise", State(made.plan, {}, 0 if made.plan.cable else None)
        )

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

    def add_shape(self) -> str:
        """Shaping from the cursor's row: a decrease at both edges, for its fields to change."""
        shape = Shape(edge="both", do="decrease", first_row=self.row)
        return self._with(f"shaping in row {self.row}", shape=(*self.plan.shape, shape))

    def add_stitch(self) -> str:
        """Work on the cursor's needle: knit by hand in the cursor's row, for its fields to change."""
        work = StitchWork(needles=(self.needle,), do="by hand", first_row=self.row)
        return self._with(f"{self.needle} by hand in row {self.row}", stitch=(*self.plan.stitch, work))

    def add_part(self) -> str:
        """A part after the panel, from the cursor's needle to the nearer edge; a second one mirrors the first."""
        panel, parts = self.plan.panel.needles, self.plan.part
        right = int(self.needle) * 2 > int(panel.left) + int(panel.right)
        name = placing.fresh_name((part.name for part in parts), "right side" if right else "left side")
        if len(parts) == 1:
            part = PanelPart(name=name, mirrors=parts[0].name)
        else:
            ends = (self.needle, panel.right) if right else (panel.left, self.needle)
            if self.needle not in panel:
                raise CannotDraft(f"{self.needle} is outside the panel")
            part = PanelPart(name=name, needles=Span(*ends), rows=PART_ROWS)
        return self._with(f"{name}: a part after the panel", part=(*parts, part))

    def mirror_all(self) -> str:
        """The whole plan in the mirror, about the centre of the bed."""
        if self.state.typed:
            raise CannotDraft("mend the fields that cannot be read first")
        words = self._become(
            "mirrored; save it under another name", State(mirror.mirrored(self.plan), {}, self.selected)
        )
        self.go(mirror.needle(self.needle), self.row)
        return words

    def remove(self, table: Key) -> str:
        """Take an entry of a list out of the plan, by its key as ``("band", 0)``; a cable by :meth:`delete`."""
        name, index = str(table[0]), int(table[1])
        parts = list(getattr(self.plan, name))
        if name not in fields.ENTRIES or not 0 <= index < len(parts):
            raise CannotDraft("there is nothing of that kind to take out")
        del parts[index]
        return self._with(f"{name} taken out", typed=fields.without(self.state.typed, name, index), **{name: parts})  # type: ignore[arg-type]
