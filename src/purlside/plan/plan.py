"""What is wanted: the plan as the knitter wrote it, nothing worked out.

Each field says what it allows, once; the values hold to it by themselves
(:mod:`purlside.plan.checked`), and refusals, the drafting table and the help
quote it. What only two tables together show (a crossing outside the panel, a
size off the dial) is found by :mod:`purlside.rows.checking`.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Annotated, Literal

from purlside.bed.needles import Needle
from purlside.plan.checked import Checked, Entries, Inside
from purlside.plan.kinds import OneOf, Text
from purlside.plan.machine import MOST_NEEDLES as MOST_NEEDLES
from purlside.plan.machine import Gauge as Gauge
from purlside.plan.machine import Machine as Machine
from purlside.plan.machine import PositionLetters as PositionLetters
from purlside.plan.machine import Tools as Tools
from purlside.plan.machine import Wanted as Wanted
from purlside.plan.machine import Yarn as Yarn
from purlside.plan.panel import LINE
from purlside.plan.panel import MOST_ROWS as MOST_ROWS
from purlside.plan.panel import Band as Band
from purlside.plan.panel import Cable as Cable
from purlside.plan.panel import EaseName as EaseName
from purlside.plan.panel import Panel as Panel
from purlside.plan.panel import PanelPart as PanelPart
from purlside.plan.panel import Reminder as Reminder
from purlside.plan.panel import Shape as Shape
from purlside.plan.panel import StitchWork as StitchWork
from purlside.plan.problems import Problem
from purlside.plan.repeats import Repeat
from purlside.values import dataclass

MOST_CROSSINGS = 1000
MOST_ENTRIES = 500
"""Cables, shapes, bands, … in one plan, each. A limit of ours, far above any panel known to be knit."""

MOST_PARTS = 20
"""Parts of one plan. A limit of ours."""

MOST_SHAPED = 2000
"""Times all shaping of one plan falls, together. A limit of ours: a jersey's front has some 200."""

CLICK_SLACK = 0.15
"""Part of a click that a size may be written off it: 5.3 is meant for 5⅓. A limit of ours."""


@dataclass(frozen=True, kw_only=True)
class Plan(Checked):
    """The whole plan; hashable, and equal to another that says the same."""

    format: Annotated[Literal[1], OneOf(1)]
    title: Annotated[str, LINE]
    notes: Annotated[str, Text(10_000, "a text", least=0, lines=True)] = ""
    machine: Annotated[Machine, Inside(Machine, "a table with at least pitch_mm")]
    tools: Annotated[Tools, Inside(Tools, "a table with prongs")] = Tools()
    yarn: Annotated[Yarn, Inside(Yarn, "a table with fibre, tex or count, loop_mm")] = Yarn()
    gauge: Annotated[Gauge | None, Inside(Gauge, "a table with stitches_per_10cm and rows_per_10cm")] = None
    wanted: Annotated[Wanted | None, Inside(Wanted, "a table with width_cm, length_cm or both")] = None
    panel: Annotated[Panel, Inside(Panel, "a table with needles, rows and stitch_size")]
    part: Annotated[tuple[PanelPart, ...], Entries(PanelPart, "part", MOST_PARTS)] = ()
    shape: Annotated[tuple[Shape, ...], Entries(Shape, "shape", MOST_ENTRIES)] = ()
    cable: Annotated[tuple[Cable, ...], Entries(Cable, "cable", MOST_ENTRIES)] = ()
    stitch: Annotated[tuple[StitchWork, ...], Entries(StitchWork, "stitch", MOST_ENTRIES)] = ()
    band: Annotated[tuple[Band, ...], Entries(Band, "band", MOST_ENTRIES)] = ()
    reminder: Annotated[tuple[Reminder, ...], Entries(Reminder, "reminder", MOST_ENTRIES)] = ()

    def together(self) -> Iterator[Problem]:
        yield from self._cables()
        yield from self._parts()
        falls, ends = 0, self.panel.rows + max((part.rows or 0 for part in self.part), default=0)
        for i, shape in enumerate(self.shape):
            last = ends if shape.part else self.panel.rows
            falls += Repeat.within(last, shape.first_row, shape.every, shape.times).of
            if falls > MOST_SHAPED:
                why = f"the shaping of one plan falls at most {MOST_SHAPED:,} times together; say how many times"
                yield self.wrong(why, "shape", i, "times")
                return

    def _cables(self) -> Iterator[Problem]:
        seen: set[str] = set()
        listed = 0
        for i, cable in enumerate(self.cable):
            if cable.name in seen:
                yield self.wrong(f'two cables are named "{cable.name}"; give each its own name', "cable", i, "name")
            seen.add(cable.name)
            listed += len(cable.crossings)
            if listed > MOST_CROSSINGS:
                why = f"the cables of one plan list at most {MOST_CROSSINGS} crossings together"
                yield self.wrong(why, "cable", i, "cross")
                return

    def _parts(self) -> Iterator[Problem]:
        named: dict[str, PanelPart] = {}
        for i, part in enumerate(self.part):
            if part.name in named:
                yield self.wrong(f'two parts are named "{part.name}"; give each its own name', "part", i, "name")
            named.setdefault(part.name, part)
        rows = self.panel.rows
        for i, part in enumerate(self.part):
            original = named.get(part.mirrors or part.name)
            if original is None or original.mirrors is not None:
                known = ", ".join(f'"{p.name}"' for p in self.part if p.mirrors is None)
                yield self.wrong(f"parts to be mirrored: {known or 'none'}", "part", i, "mirrors")
            elif (rows := rows + (original.rows or 0)) > MOST_ROWS:
                why = f"the panel and its parts have at most {MOST_ROWS:,} rows together"
                yield self.wrong(why, "part", i, "mirrors" if part.mirrors else "rows")
                return
        known = ", ".join(f'"{name}"' for name in named) or "no part"
        for table in ("shape", "cable", "stitch"):
            for i, work in enumerate(getattr(self, table)):
                if work.part is not None and work.part not in named:
                    yield self.wrong(f"the plan has {known}", table, i, "part")

    @cached_property
    def in_work(self) -> tuple[Needle, ...]:
        """The panel's needles that knit, in bed order."""
        out = set(self.panel.out_of_work)
        return tuple(n for n in self.panel.needles if n not in out)
