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

from collections.abc import Mapping
from dataclasses import replace

from purlside.bed.needles import Needle, Side, Span
from purlside.draft import fields, frompattern, measured, placing, reshaping, wanting
from purlside.draft import refit as refitting
from purlside.draft.drafted import CannotDraft as CannotDraft
from purlside.draft.drafted import refusing
from purlside.draft.frompattern import Laid
from purlside.draft.handling import Handling
from purlside.draft.history import State
from purlside.fabric import motifs, written
from purlside.fabric.pattern import Pattern
from purlside.fabric.stitches import Face
from purlside.figures.shaping import words
from purlside.plan import mirror
from purlside.plan.plan import Band, Cable, PanelPart, Reminder, Shape, StitchWork
from purlside.plan.problems import Key
from purlside.plan.repeats import RowSpan

PART_ROWS = 20
"""Rows of a part when it is new; the knitter's own number comes in its field."""


class Draft(Handling):
    """A plan being designed: things placed in it, the panel changed, the whole refitted."""

    # --- cables --------------------------------------------------------------

    def place(self, text: str) -> str:
        """A cable here: ``"3/3 RC"``, ``"C6F"``, ``"3 over 3 right"`` or needles; its seen left end at the cursor."""
        with refusing():
            crossing = placing.crossing(text, self.needle, leftward=self.face is Face.KNIT)
        name, every = self._fresh("cable"), max(2, len(crossing.needles))
        cable = Cable(name=name, cross=crossing, first_row=self.row, every=every, ease="auto")
        return self._add(f"placed {written.name(crossing)}", [cable])

    def laying(
        self, name: str, *, lean: Side = Side.RIGHT, every: int, back: bool | None = None, **numbers: int
    ) -> list[Cable]:
        """What :meth:`lay` would lay: the motif at the cursor, its last repeat whole before the panel ends."""
        laying = motifs.Laying(self._fresh(name, letters=True), Needle(0), self.row, every, lean, ease="auto")
        with refusing():
            endless = motifs.lay(name, laying, back=back, **numbers)
            width = len(reshaping.span(endless))
            left = placing.leftmost(self.needle, width, leftward=self.face is Face.KNIT)
            times = reshaping.whole(endless, self.plan.panel.rows) if reshaping.step(endless) else None
            return motifs.lay(name, replace(laying, left=left, times=times), back=back, **numbers)

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
        with refusing():
            laid = frompattern.lay(pattern, left, max(1, room // again))
        up, taken = self.row - 1, [cable.name for cable in self.plan.cable]
        cables: list[Cable] = []
        for cable in laid.cables:
            name = placing.fresh_name([*taken, *(c.name for c in cables)], "cable")
            cables.append(replace(cable, name=name, first_row=cable.first_row + up))
        works = [replace(work, first_row=work.first_row + up) for work in laid.purl]
        selected, every = len(self.plan.cable) if cables else None, [*self.plan.cable, *cables]
        words = f"laid down {pattern.title}"
        return self._with(words, selected, cable=every, stitch=[*self.plan.stitch, *works]), laid

    def meet_wanted(self) -> str:
        """The needles and rows that meet the size wanted, after take-in."""
        wanted = wanting.off(self.plan, self.judgement.size)
        if wanted is None:
            raise CannotDraft(
                "no size is wanted, or it is not known yet: give the width and length wanted, and a gauge"
            )
        if wanted.met:
            raise CannotDraft("it is as big as wanted already")
        with refusing():
            plan = wanting.met(self.plan, wanted)
        if plan == self.plan:
            raise CannotDraft("no other number of needles and rows comes nearer")
        return self._with(f"{wanted.needles} needles, {wanted.rows:,} rows, for the size wanted", panel=plan.panel)

    def refit(self, asked: refitting.RefitFor) -> str:
        """The design laid again for another machine, yarn, gauge or tools."""
        with refusing():
            made = refitting.refit(self.plan, asked)
        return self._become(
            f"refitted: {len(made.changes)} changes", State(made.plan, {}, 0 if made.plan.cable else None)
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
        row = self.fabric_rows[0].first
        with refusing():
            reminder = Reminder(text=text, row=row)
        return self._with(f"reminder in row {row}", reminder=[*self.plan.reminder, reminder])

    def add_shape(self) -> str:
        """Shaping from the cursor's row: a decrease at both edges, for its fields to change."""
        rows, part = self.fabric_rows
        shape = Shape(edge="both", do="decrease", first_row=rows.first, part=part)
        return self._with(f"shaping in row {rows.first}", shape=(*self.plan.shape, shape))

    def shape_evenly(self, given: Mapping[str, str]) -> str:
        """Stitches changed evenly over rows, as typed (:func:`purlside.draft.measured.even_for`)."""
        with refusing():
            changes, tables = measured.even_for(given)
        return self._with(f"{given['do']} {words(changes)}", shape=(*self.plan.shape, *tables))

    def shape_to_measures(self, given: Mapping[str, str]) -> str:
        """The panel laid out again from a piece's measures, as typed; its cables stay (:func:`purlside.draft.measured.piece_for`)."""
        with refusing():
            piece = measured.piece_for(self.plan, given)
        panel = replace(self.plan.panel, needles=piece.needles, rows=piece.rows)
        words, told = f"shaped: {len(piece.needles)} stitches, {piece.rows} rows", piece.reminders(self.plan.reminder)
        return self._with(words, panel=panel, shape=piece.shape, part=piece.part, reminder=told)

    def add_stitch(self) -> str:
        """Work on the cursor's needle: knit by hand in the cursor's row, for its fields to change."""
        rows, part = self.fabric_rows
        work = StitchWork(needles=(self.needle,), do="by hand", first_row=rows.first, part=part)
        return self._with(f"{self.needle} by hand in row {rows.first}", stitch=(*self.plan.stitch, work))

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
