"""What is done to what is in hand: moved, widened, mirrored, tied to a twin, retimed, eased; always as one."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from purlside.draft import fields, placing, reshaping, together
from purlside.draft.drafted import CannotDraft, Drafted, refusing
from purlside.fabric.stitches import Face
from purlside.plan.plan import MOST_ROWS, Cable


class Handling(Drafted):
    """A draft whose motifs and cables can be handled."""

    def _add(self, words: str, cables: list[Cable]) -> str:
        return self._with(words, selected=len(self.plan.cable), cable=[*self.plan.cable, *cables])

    def _fresh(self, base: str, *, letters: bool = False) -> str:
        taken = [name for cable in self.plan.cable for name in (cable.name, cable.motif) if name]
        return placing.fresh_name(taken, base, letters=letters)

    def _reshape(self, words: str, change: Callable[[tuple[Cable, ...]], tuple[Cable, ...]]) -> str:
        """Change what is in hand as one, and its twin with it."""
        indices, cables = self._in_hand()
        if (new := change(cables)) == cables:
            raise CannotDraft(f"{self.name_in_hand} cannot go further that way")
        words = f"{self.name_in_hand} {words}{' and its twin with it' if self.twin else ''}"
        return self._with(words, cable=together.changed(self.plan, indices, new))

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
        _, cables = self._in_hand()
        if len(cables) > 1 or len(cables[0].crossings) != 1:
            raise CannotDraft(f"{self.name_in_hand} takes several crossings in turn: widen all its strands")
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
        _, cables = self._in_hand()
        taken = reshaping.span(cables)
        shift = len(taken) if self.face is Face.PURL else -len(taken)
        panel = self.plan.panel.needles
        if int(taken.left) + shift not in panel or int(taken.right) + shift not in panel:
            shift = -shift
        words = f"copied {self.name_in_hand}"
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
        called = self.name_in_hand
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
        called = self.name_in_hand
        if twin := self.twin:
            free = self._named(tuple(self.plan.cable[i] for i in twin), len(twin) > 1)
            return self._with(f"{called} and its twin untied", cable=together.put(self.plan.cable, twin, free))
        panel = self.plan.panel.needles
        image = reshaping.mirrored(cables, panel)
        if reshaping.span(image).overlaps(reshaping.span(cables)):
            raise CannotDraft(f"{called} stands across the panel's middle: its mirror image would lie on it")
        name = called.removesuffix(together.TWIN)[: together.MOST_NAME - len(together.TWIN) - 4]
        named = together.put(self.plan.cable, indices, [replace(cable, motif=name) for cable in cables])
        taken, twins = [cable.name for cable in self.plan.cable], []
        for i, cable in enumerate(image, 1):
            fresh = placing.fresh_name(taken, f"{name} twin {i}")
            twins.append(replace(cable, name=fresh, motif=name + together.TWIN))
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
        with refusing():
            cables, gap = placing.spaced(plan)
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
        _, cables = self._in_hand()
        if reshaping.step(cables) is None:
            raise CannotDraft(f"{self.name_in_hand} is crossed once: say first how many rows apart")
        each, fits = reshaping.turns(cables), reshaping.crossing_rows(cables, self.plan.panel.rows)
        times = max(each if len(cables) > 1 else 1, fits + by * (each if len(cables) > 1 else 1))
        return self._reshape(f"crossed {times} times", lambda cables: reshaping.counted(cables, times))

    def end_whole(self) -> str:
        """As many whole repeats of what is in hand as end before the panel does."""
        _, cables = self._in_hand()
        if reshaping.step(cables) is None:
            raise CannotDraft(f"{self.name_in_hand} is crossed once")
        times = reshaping.whole(cables, self.plan.panel.rows)
        last = min(c.first_row for c in cables) + (times - 1) * (reshaping.step(cables) or 1)
        return self._reshape(f"ends whole after row {last}", lambda cables: reshaping.counted(cables, times))

    def next_ease(self) -> str:
        """The next way to ease what is in hand; sizes and rows it needs are the least that are enough."""
        indices, _ = self._in_hand()
        knittable = self.judgement.faulty.isdisjoint(indices)

        def eased(cables: tuple[Cable, ...]) -> tuple[Cable, ...]:
            first = placing.next_ease(self.plan, cables[0], knittable=knittable)
            how = {name: getattr(first, name) for name in ("ease", "enlarged_size", "extra_rows")}
            return tuple(replace(cable, **how) for cable in cables)

        return self._reshape("eased in the next way", eased)
