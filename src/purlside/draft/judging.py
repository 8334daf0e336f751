"""A plan judged while it is drafted: faults, reach and tools of each cable, size; only what changed is worked out.

Plans are values and share the tables an edit leaves alone, so what was judged
before holds as long as it is of the very same tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from purlside.bed.needles import Crossing
from purlside.ease.loops import LoopLine, loop_line
from purlside.ease.reach import Attempt, Reach, choose, made_with, reach
from purlside.figures import sizing
from purlside.figures.sizing import Finished
from purlside.figures.tools import Lift, lift, shaping_advice
from purlside.plan.plan import Cable, Plan, Tools
from purlside.plan.problems import Problem
from purlside.rows import checking
from purlside.rows.calendar import Calendar


@dataclass(frozen=True, slots=True)
class Judged:
    """One of a cable's crossings at ``size``, that of its first row: will it go over as it is eased, with which tools.

    ``fault`` says why it cannot be knit at all; ``reach`` is None then.
    """

    crossing: Crossing
    size: float
    lift: Lift
    reach: Attempt | None
    fault: Problem | None


@dataclass(frozen=True, slots=True)
class Judgement:
    """All that stands beside a chart. ``cables`` has the crossings of each cable; ``size`` None where gauge is unknown."""

    faults: tuple[Problem, ...]
    advice: tuple[Problem, ...]
    cables: tuple[tuple[Judged, ...], ...]
    size: Finished | None

    def fault_of(self, cable: int) -> Problem | None:
        """The first fault of a cable, or None."""
        return next((p for p in self.faults if p.key[:2] == ("cable", cable)), None)

    @property
    def faulty(self) -> frozenset[int]:
        """The cables that cannot be knit as they stand."""
        return frozenset(int(p.key[1]) for p in self.faults if p.key[0] == "cable")


class Judge:
    """Judges one plan after another."""

    def __init__(self) -> None:
        self._shared: tuple[Any, ...] = ()
        self._line: LoopLine | None = None
        self._known: dict[int, tuple[Cable, dict[tuple[Crossing, float], Attempt]]] = {}
        self._tools: Tools | None = None
        self._lifts: dict[Crossing, Lift] = {}
        self._size: tuple[tuple[Any, ...], Finished | None] | None = None

    def __call__(self, plan: Plan) -> Judgement:
        """The judgement of a plan, faults or not. Never raises for what a plan says."""
        self._share(plan)
        if plan.tools is not self._tools:
            self._tools, self._lifts = plan.tools, {}
        calendar = Calendar(plan)
        faults = checking.quick_faults(plan)
        faults += checking.kinds_faults(plan)
        broken = {p.key[:4]: p for p in reversed(faults)}
        known, self._known = self._known, {}
        cables = []
        for i, cable in enumerate(plan.cable):
            # Kept by the cable itself: taking one out moves the others' places in the list.
            _, reaches = known.get(id(cable), (cable, {}))
            self._known[id(cable)] = (cable, reaches)
            size = calendar.size(min(cable.first_row, calendar.rows))
            judged = []
            for j, crossing in enumerate(cable.crossings):
                fault = broken.get(("cable", i, "cross", j)) or broken.get(("cable", i, "cross"))
                if fault is None and (crossing, size) not in reaches:
                    reaches[crossing, size] = made_with(plan, crossing, size, choose(plan, cable, crossing, size))
                eased = None if fault else reaches[crossing, size]
                if crossing not in self._lifts:
                    self._lifts[crossing] = lift(crossing, plan.tools.prongs)
                judged.append(Judged(crossing, size, self._lifts[crossing], eased, fault))
            cables.append(tuple(judged))
        advice = (*checking.advice(plan), *shaping_advice(plan))
        return Judgement(tuple(faults), advice, tuple(cables), self._finished(plan))

    def _share(self, plan: Plan) -> None:
        """What is worked out once for all cables."""
        shared = (plan.machine, plan.yarn, plan.gauge, plan.panel)
        if self._line is None or not _same(shared, self._shared):
            self._shared, self._line, self._known = shared, loop_line(plan), {}

    def reach(self, plan: Plan, cable: int, judged: Judged) -> Reach | None:
        """All that can be told of one crossing's reach; None where it cannot be knit."""
        if judged.fault is not None:
            return None
        return reach(plan, plan.cable[cable], judged.crossing, judged.size)

    def _finished(self, plan: Plan) -> Finished | None:
        line = self._line
        assert line is not None
        panel = plan.panel
        work = tuple((c.crossings, c.first_row, c.every, c.times, c.take_in, c.part, c.follows) for c in plan.cable)
        bands = tuple((b.rows, b.stitch_size) for b in plan.band)
        key: tuple[Any, ...] = (line, plan.gauge, panel, plan.shape, plan.part, work, bands, plan.machine.side)
        if self._size is None or self._size[0] != key:
            made_of = sizing.gauged(plan, line)
            self._size = (key, None if made_of is None else sizing.finished(Calendar(plan), made_of))
        return self._size[1]


def _same(one: tuple[Any, ...], other: tuple[Any, ...]) -> bool:
    return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))
