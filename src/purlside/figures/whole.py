"""Figures: all the numbers of a plan before it is cast on, as one value.

Will each crossing go over, with which tools; how big, how much yarn, how long;
and how wide this yarn could cross. What a plan does not tell is listed as
missing, and everything that does not need it is worked out all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from purlside.bed.needles import Crossing
from purlside.bed.rates import Rates
from purlside.ease.fibres import Limit, find, yarn_limit
from purlside.ease.loops import LoopLine, loop_line
from purlside.ease.reach import Reach, Verdict, by_hand_loop, reach
from purlside.figures import sizing
from purlside.figures.costs import Time, Timings, costs, time
from purlside.figures.sizing import Finished, NeededSize, YarnNeed
from purlside.figures.tools import Lift, lift, most_lifted, shaping_advice, widths
from purlside.figures.widest import Widest, widest
from purlside.figures.yarn import YarnFigures, yarn_figures, yarn_tex
from purlside.plan.plan import Plan
from purlside.plan.problems import Problem
from purlside.rows.calendar import Calendar
from purlside.values import Value


class CrossingFigures(Value):
    """One cable's crossing in rows of one size: how many such rows, its reach, its tools."""

    cable: int
    name: str
    rows: int
    reach: Reach
    lift: Lift
    motif: str | None = None


class FiguresAsked(Value):
    """What the knitter adds to a plan for its figures; None takes the default.

    ``take_in`` is a part, ``margin`` a part, sizes are in mm.
    """

    timings: Timings | None = None
    take_in: float | None = None
    margin: float = sizing.MARGIN
    width_mm: float | None = None
    length_mm: float | None = None

    def with_wanted(self, plan: Plan) -> FiguresAsked:
        """With the size the plan wants, where none is asked for."""
        if plan.wanted is None:
            return self
        width, length = (cm and cm * 10 for cm in (plan.wanted.width_cm, plan.wanted.length_cm))
        own_width, own_length = self.width_mm, self.length_mm
        return replace(
            self,
            width_mm=width if own_width is None else own_width,
            length_mm=length if own_length is None else own_length,
        )


class Figures(Value):
    """All figures of a plan. ``missing`` says what the plan does not tell and what that costs."""

    title: str
    pitch_mm: float
    panel_size: float
    panel_needles: int
    panel_rows: int
    loop: LoopLine
    by_hand_mm: float
    limit: Limit
    yarn: YarnFigures
    crossings: tuple[CrossingFigures, ...]
    finished: Finished | None
    wanted: NeededSize | None
    needs: tuple[YarnNeed, ...]
    margin: float
    time: Time
    widest: tuple[Widest, ...]
    lifted: tuple[tuple[int, int], ...] | None
    """The widest crossings the plan's tools lift, (narrower half, wider half); None where it lists none."""
    missing: tuple[str, ...]


def figures(plan: Plan, asked: FiguresAsked | None = None) -> Figures:
    """Every figure of a plan without faults.

    Raises ValueError for an impossible size, take-in or margin, CountError for a yarn count that cannot be read.
    """
    asked = (asked or FiguresAsked()).with_wanted(plan)
    line = loop_line(plan)
    limit = yarn_limit(plan.yarn)
    calendar = Calendar(plan)
    made_of = sizing.gauged(plan, line, asked.take_in)
    size = sizing.finished(calendar, made_of) if made_of else None
    tex = yarn_tex(plan.yarn)
    spent = costs(calendar, line, asked.timings.rates if asked.timings else Rates())
    wanted = None
    if size is not None and (asked.width_mm is not None or asked.length_mm is not None):
        wanted = sizing.needed(size, plan, asked.width_mm, asked.length_mm)
    return Figures(
        title=plan.title,
        pitch_mm=plan.machine.pitch_mm,
        panel_size=plan.panel.stitch_size,
        panel_needles=len(plan.panel.needles),
        panel_rows=plan.panel.rows,
        loop=line,
        by_hand_mm=by_hand_loop(line, plan.machine.dial),
        limit=limit,
        yarn=yarn_figures(plan, line, tex, made_of),
        crossings=crossings(calendar),
        finished=size,
        wanted=wanted,
        needs=sizing.yarn_needs(spent, tex[0] if tex else None, asked.margin),
        margin=asked.margin,
        time=time(spent, asked.timings),
        widest=widest(plan, line, limit.value),
        lifted=most_lifted(plan.tools.prongs),
        missing=_missing(plan, line, asked, sized=made_of is not None, weighed=tex is not None),
    )


def prepared(calendar: Calendar) -> list[tuple[int, Crossing, float, int]]:
    """(cable, crossing, stitch size, rows) of each crossing, once for every size it is prepared at, in the plan's order."""
    rows: dict[tuple[int, int, float], int] = {}
    for tally in calendar.kinds().values():
        for made in tally.row.crossed:
            # A cable that follows an edge crosses on other needles each time, and is one crossing all the same.
            turns = calendar.cables[made.cable].crossings
            key = (made.cable, turns.index(turns[(made.k - 1) % len(turns)]), tally.row.size)
            rows[key] = rows.get(key, 0) + tally.count
    return [(i, calendar.cables[i].crossings[turn], size, count) for (i, turn, size), count in sorted(rows.items())]


def crossings(calendar: Calendar) -> tuple[CrossingFigures, ...]:
    """The figures of each crossing, once for every stitch size it is prepared at, in the plan's order."""
    plan, cables = calendar.plan, calendar.cables
    return tuple(
        CrossingFigures(
            index,
            cables[index].name,
            count,
            reach(plan, cables[index], crossing, size),
            lift(crossing, plan.tools.prongs),
            cables[index].motif,
        )
        for index, crossing, size, count in prepared(calendar)
    )


def advice(plan: Plan) -> list[Problem]:
    """Crossings that are not expected to go over, and tools that are missing.

    For a plan without faults. Reach is only spoken of where the plan tells enough of its yarn: a guess is no reason to warn.
    """
    yarn = plan.yarn
    stretch = yarn.reach_limit is not None or yarn.extension_at_break is not None or find(yarn.fibre or "") is not None
    known = stretch and bool(yarn.loop_mm or plan.gauge)
    found = [problem for crossing in crossings(Calendar(plan)) for problem in _crossing_advice(crossing, known)]
    return [*found, *shaping_advice(plan)]


def _crossing_advice(crossing: CrossingFigures, known: bool) -> list[Problem]:
    found: list[Problem] = []
    reached = crossing.reach
    if known and reached.planned.verdict is Verdict.NOT_ENOUGH:
        cheapest = reached.cheapest
        allowed = str(cheapest.technique) if cheapest else "nothing tried will do; cross fewer stitches"
        why = f"estimate: reach {reached.planned.ratio:.2f}, the limit {reached.limit.value:.2f}"
        planned = f"{reached.planned.technique} for {reached.crossing}"
        found.append(Problem(("cable", crossing.cable, "ease"), planned, allowed, why))
    if crossing.lift.missing:
        left, right = widths(reached.crossing)
        allowed = f"{left} and {right} prongs at once, each on one tool or on two held together"
        why = f"for {reached.crossing} of {crossing.name} {crossing.lift.missing_words}"
        found.append(Problem(("tools", "prongs"), "too few tools", allowed, why))
    return found


def _missing(plan: Plan, line: LoopLine, asked: FiguresAsked, *, sized: bool, weighed: bool) -> tuple[str, ...]:
    found: list[str] = []
    if not plan.yarn.loop_mm:
        found.append(
            f"yarn.loop_mm: loops are {'worked out from gauge' if plan.gauge else 'a guess'}; measure a swatch"
        )
    if plan.yarn.fibre is None and plan.yarn.extension_at_break is None and plan.yarn.reach_limit is None:
        found.append("yarn.fibre: reach is judged as for yarn that hardly stretches")
    if not weighed:
        found.append("yarn.tex or yarn.count: no grams, no tightness")
    if plan.gauge is None:
        wanted = asked.width_mm is not None or asked.length_mm is not None
        lost = "no finished size" + (", no needles or rows for the wanted one" if wanted else "")
        found.append(f"gauge: {'size is worked out from the measured loop' if sized else lost}")
    if plan.tools.prongs is None and plan.cable:
        found.append("tools.prongs: tools are not checked")
    return tuple(found)


class Together(Value):
    """``titles`` of the pieces; the yarn of each colour (grams None where one piece tells no tex); seconds and rows."""

    titles: tuple[str, ...]
    needs: tuple[YarnNeed, ...]
    rows: int
    seconds: float


def together(pieces: Sequence[Figures]) -> Together:
    """The sums; a piece knit twice is there twice."""
    needs: dict[str | None, YarnNeed] = {}
    for need in (need for piece in pieces for need in piece.needs):
        so_far = needs.get(need.colour, YarnNeed(need.colour, 0, 0.0, 0.0))
        grams = None if so_far.grams is None or need.grams is None else so_far.grams + need.grams
        needs[need.colour] = YarnNeed(need.colour, so_far.loops + need.loops, so_far.metres + need.metres, grams)
    return Together(
        tuple(piece.title for piece in pieces),
        tuple(needs.values()),
        sum(piece.time.rows for piece in pieces),
        sum(piece.time.total_s for piece in pieces),
    )
