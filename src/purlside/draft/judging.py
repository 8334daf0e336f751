"""A plan judged while it is drafted: faults, reach and tools of each cable, size."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from purlside.bed.needles import Crossing
from purlside.ease.loops import loop_line
from purlside.ease.reach import Attempt, choose, made_with
from purlside.figures import sizing
from purlside.figures.sizing import Finished
from purlside.figures.tools import Lift, lift, shaping_advice
from purlside.plan.plan import Cable, Plan
from purlside.plan.problems import Problem
from purlside.rows import checking
from purlside.rows.calendar import Calendar
from purlside.values import Value


class Judged(Value):
    """One of a cable's crossings at ``size``, that of its first row: will it go over as it is eased, with which tools.

    ``fault`` says why it cannot be knit at all; ``reach`` is None then.
    """

    crossing: Crossing
    size: float
    lift: Lift
    reach: Attempt | None
    fault: Problem | None


class Judgement(Value):
    """All that stands beside a chart. ``cables`` has the crossings of each cable; ``size`` None where gauge is unknown."""

    faults: tuple[Problem, ...]
    advice: tuple[Problem, ...]
    cables: tuple[tuple[Judged, ...], ...]
    size: Finished | None

    @property
    def faulty(self) -> frozenset[int]:
        """The cables that cannot be knit as they stand."""
        return frozenset(int(p.key[1]) for p in self.faults if p.key[0] == "cable")


class Judge:
    """Judges one plan after another; of the size, which takes longest, only what has changed."""

    def __init__(self) -> None:
        self._size: tuple[tuple[Any, ...], Finished | None] | None = None

    def __call__(self, plan: Plan) -> Judgement:
        """The judgement of a plan, faults or not. Never raises for what a plan says."""
        calendar = Calendar(plan)
        faults = (*checking.quick_faults(plan), *checking.kinds_faults(plan))
        broken = {p.key[:4]: p for p in reversed(faults)}

        def judged(i: int, cable: Cable) -> Iterator[Judged]:
            size = calendar.size(min(cable.first_row, calendar.rows))
            for j, crossing in enumerate(cable.crossings):
                fault = broken.get(("cable", i, "cross", j)) or broken.get(("cable", i, "cross"))
                eased = None if fault else made_with(plan, crossing, size, choose(plan, cable, crossing, size))
                yield Judged(crossing, size, lift(crossing, plan.tools.prongs), eased, fault)

        cables = tuple(tuple(judged(i, cable)) for i, cable in enumerate(plan.cable))
        advice = (*checking.advice(plan), *shaping_advice(plan))
        return Judgement(faults, advice, cables, self._finished(plan, calendar))

    def _finished(self, plan: Plan, calendar: Calendar) -> Finished | None:
        line = loop_line(plan)
        work = tuple((c.crossings, c.first_row, c.every, c.times, c.take_in, c.part, c.follows) for c in plan.cable)
        bands = tuple((b.rows, b.stitch_size) for b in plan.band)
        key = (line, plan.gauge, plan.panel, plan.shape, plan.part, work, bands, plan.machine.side)
        if self._size is None or self._size[0] != key:
            made_of = sizing.gauged(plan, line)
            self._size = (key, None if made_of is None else sizing.finished(calendar, made_of))
        return self._size[1]
