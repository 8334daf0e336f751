"""What is wanted: the plan as the knitter wrote it, nothing worked out.

Each field says what it allows, once; the values hold to it by themselves
(:mod:`purlside.plan.checked`), and refusals, the drafting table and the help
quote it. What only two tables together show (a crossing outside the panel, a
size off the dial) is found by :mod:`purlside.rows.checking`.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Literal, get_args

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.plan.checked import Checked, Entries, Inside
from purlside.plan.kinds import Either, ListOf, NeedleList, Number, OneOf, OneOrMore, Text, Whole, Written, YesNo
from purlside.plan.machine import MOST_NEEDLES, NAME, NEEDLE, SIZE, TAKE_IN, Gauge, Machine, Tools, Wanted, Yarn
from purlside.plan.problems import Problem
from purlside.plan.repeats import Repeat, RowSpan

MOST_ROWS = 20_000
"""Rows of a plan, all its parts together: some 60 m. A limit of ours, far above any panel known to be knit."""

MOST_CROSSINGS = 1000
MOST_ENTRIES = 500
"""Cables, shapes, bands, … in one plan, each. A limit of ours, far above any panel known to be knit."""

MOST_PARTS = 20
"""Parts of one plan. A limit of ours."""

MOST_SHAPED = 2000
"""Times all shaping of one plan falls, together. A limit of ours: a jersey's front has some 200."""

MOST_TOOL = 20
"""Edge stitches moved together at most, and prongs of a tool. A limit of ours, above any tools known to be made."""

CLICK_SLACK = 0.15
"""Part of a click that a size may be written off it: 5.3 is meant for 5⅓. A limit of ours."""

LINE = Text(200)
ROW = Whole(1, MOST_ROWS)
_SPAN = Written(Span, 'a span of needles written left to right, as "L24-R24"')
_PART = Text(40, "the name of a part")
_LEFT_RIGHT = OneOf("left", "right")


class Panel(Checked):
    """The needles and rows to be knit; a ladder stands where a needle is out of work."""

    needles: Annotated[Span, _SPAN]
    rows: Annotated[int, ROW]
    stitch_size: Annotated[float, SIZE]
    out_of_work: Annotated[tuple[Needle, ...], ListOf(NEEDLE, MOST_NEEDLES, 'a list of needles, as ["L9", "R9"]')] = ()
    weights_every: Annotated[int | None, Whole(1, MOST_ROWS, "rows between moving the weights up")] = None


class PanelPart(Checked):
    """Rows knit after the panel on some of its needles, the others held: one side of a neck, a front of a yoke.

    Of a part that ``mirrors`` another nothing else is given: see :func:`purlside.plan.mirror.parts`.
    ``carriage`` is where it stands before the part's first row, None: where it is.
    """

    name: Annotated[str, NAME]
    needles: Annotated[Span | None, _SPAN] = None
    rows: Annotated[int | None, ROW] = None
    carriage: Annotated[Literal["left", "right"] | None, _LEFT_RIGHT] = None
    mirrors: Annotated[str | None, Text(40, "the name of another part, one that has needles and rows")] = None

    def together(self) -> Iterator[Problem]:
        own = ("needles", "rows", "carriage")
        if self.mirrors is not None:
            for name in own:
                if getattr(self, name) is not None:
                    yield self.wrong(f"a part that mirrors another has its {name} from there", name)
        else:
            for name in own[:2]:
                if getattr(self, name) is None:
                    yield self.wrong("a part has needles and rows, or mirrors another", name)


class Repeating(Checked):
    """A table whose work comes in ``first_row`` and every ``every`` rows, ``times`` times or to the end; without
    ``every`` once."""

    if TYPE_CHECKING:
        # Fields of the tables below, each in its own place.
        every: int | None
        times: int | None

    def together(self) -> Iterator[Problem]:
        if self.every is None and (self.times or 1) > 1:
            yield self.wrong("times needs every, the rows from one time to the next", "every")


ShapingName = Literal["decrease", "increase", "cast off", "cast on", "hold", "return"]


class Shape(Repeating):
    """A change of the needles in work, done before its row is knit: shaping at the edges, and short rows.

    ``stitches`` are those at each edge each time; ``tool`` is how many edge stitches the transfer tool moves together.
    """

    edge: Annotated[Literal["left", "right", "both"], OneOf("left", "right", "both")]
    do: Annotated[ShapingName, OneOf(*get_args(ShapingName))]
    stitches: Annotated[
        int | Literal["all"],
        Either(
            OneOf("all"), Whole(1, MOST_NEEDLES), f'a whole number, 1 to {MOST_NEEDLES}, or with "return" also "all"'
        ),
    ] = 1
    tool: Annotated[int, Whole(1, MOST_TOOL, "edge stitches the transfer tool moves together")] = 1
    first_row: Annotated[int, ROW]
    every: Annotated[int | None, ROW] = None
    times: Annotated[int | None, ROW] = None
    part: Annotated[str | None, _PART] = None
    wrap: Annotated[bool, YesNo()] = True

    @property
    def sides(self) -> tuple[Side, ...]:
        """The edges it is done at, left to right."""
        return tuple(side for side in Side if self.edge in (side, "both"))

    def together(self) -> Iterator[Problem]:
        yield from super().together()
        if self.stitches == "all":
            if self.do != "return":
                yield self.wrong(f'only "return" takes "all": say how many stitches you {self.do}', "stitches")
        elif self.do == "increase" and self.stitches > 1:
            yield self.wrong("you increase by one stitch at a time; more are cast on", "stitches")
        elif self.do == "decrease" and self.tool < self.stitches:
            yield self.wrong(f"to decrease {self.stitches} stitches the tool moves at least as many", "tool")
        if self.tool > 1 and self.do not in ("decrease", "increase"):
            yield self.wrong(f'tool goes with "decrease" and "increase", not with "{self.do}"', "tool")
        if not self.wrap and self.do not in ("hold", "return"):
            yield self.wrong(f'wrap goes with "hold" and "return", not with "{self.do}"', "wrap")
        if self.edge == "both" and self.do not in ("decrease", "increase") and self.every == 1:
            yield self.wrong(
                f"at both edges you {self.do} over two rows, one edge in each: every is 2 or more", "every"
            )


EaseName = Literal["plain", "enlarge", "extra rows", "by hand", "auto"]
_EASES = '"plain", "enlarge", "extra rows", "by hand", "auto", or ["enlarge", "extra rows"]'
_ODD = (
    "an odd number of extra rows gives that half an even number of rows, "
    "and the carriage would come out on the wrong side"
)


class Cable(Repeating):
    """One cable: what is crossed, in which rows, and how the crossing is made easier.

    With ``follows`` its needles are those of row 1 and move with that edge. ``motif`` is the motif it was laid as.
    """

    name: Annotated[str, NAME]
    cross: Annotated[
        Crossing | tuple[Crossing, ...],
        OneOrMore(Written(Crossing, ""), 100, 'a crossing as "R1-R3 over L3-L1", or a list of them taken in turn'),
    ]
    first_row: Annotated[int, ROW]
    every: Annotated[int | None, ROW] = None
    times: Annotated[int | None, ROW] = None
    ease: Annotated[EaseName | tuple[EaseName, ...], OneOrMore(OneOf(*get_args(EaseName)), 2, _EASES)] = "plain"
    enlarged_size: Annotated[
        float | None, Number(0, 100, "a size on the dial, larger than the panel's", told=False)
    ] = None
    extra_rows: Annotated[int | None, Whole(2, 40, "an even whole number", odd=_ODD)] = None
    part: Annotated[str | None, _PART] = None
    follows: Annotated[Literal["left", "right"] | None, _LEFT_RIGHT] = None
    take_in: Annotated[float | None, TAKE_IN] = None
    motif: Annotated[str | None, Text(40, "the name of a motif")] = None

    def together(self) -> Iterator[Problem]:
        if len(self.eases) != 1 and self.eases != {"enlarge", "extra rows"}:
            yield self.wrong('only "enlarge" and "extra rows" combine in ease', "ease")
        if "enlarge" in self.eases and self.enlarged_size is None:
            yield self.wrong('ease "enlarge" needs enlarged_size, the dial size for the half behind', "enlarged_size")
        if "extra rows" in self.eases and self.extra_rows is None:
            yield self.wrong('ease "extra rows" needs extra_rows, an even number for the half in front', "extra_rows")
        yield from super().together()

    @property
    def eases(self) -> frozenset[str]:
        return frozenset([self.ease] if isinstance(self.ease, str) else self.ease)

    @property
    def crossings(self) -> tuple[Crossing, ...]:
        """The crossings taken in turn, one or more."""
        return (self.cross,) if isinstance(self.cross, Crossing) else self.cross


class StitchWork(Repeating):
    """Work on single needles, without a crossing; ``needles`` are in bed order."""

    needles: Annotated[tuple[Needle, ...], NeedleList()]
    do: Annotated[Literal["enlarge", "by hand", "bead", "purl"], OneOf("enlarge", "by hand", "bead", "purl")]
    size: Annotated[float | None, SIZE] = None
    first_row: Annotated[int, ROW]
    every: Annotated[int | None, ROW] = None
    times: Annotated[int | None, ROW] = None
    part: Annotated[str | None, _PART] = None

    def together(self) -> Iterator[Problem]:
        yield from super().together()
        if self.do == "enlarge" and self.size is None:
            yield self.wrong('"enlarge" needs size, the dial size for these stitches', "size")
        if self.do != "enlarge" and self.size is not None:
            yield self.wrong(f'size goes with "enlarge", not with "{self.do}"', "size")


class Band(Checked):
    """Rows of another stitch size or colour; of bands that overlap the later counts."""

    rows: Annotated[RowSpan, Written(RowSpan, 'a span of rows, as "1-20"')]
    stitch_size: Annotated[float | None, SIZE] = None
    colour: Annotated[str | None, NAME] = None

    def together(self) -> Iterator[Problem]:
        if self.stitch_size is None and self.colour is None:
            yield self.wrong("a band sets stitch_size or colour or both", "stitch_size")


class Reminder(Repeating):
    """A text to be told before a row, or before rows that repeat as a cable's do."""

    text: Annotated[str, LINE]
    row: Annotated[int | None, ROW] = None
    first_row: Annotated[int | None, ROW] = None
    every: Annotated[int | None, ROW] = None
    times: Annotated[int | None, ROW] = None

    def together(self) -> Iterator[Problem]:
        if (self.row is None) == (self.first_row is None):
            yield self.wrong("a reminder gives either row, or first_row with every", "row")
        if self.row is not None and (self.every is not None or self.times is not None):
            yield self.wrong("every and times go with first_row, not with row", "row")
        yield from super().together()


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
