"""What each row costs, from the moves really made in it, and how long the panel takes at the bed.

Rows that are made by the same moves are worked out once. Rows the knitter has timed count at that time; the default
rates are ours and rough. Breaks are not in the time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable
from dataclasses import field, replace

from purlside.bed.bed import Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return, Weights
from purlside.bed.rates import MOST_SECONDS, Rates
from purlside.bed.transfers import Bead, CastOn, LatchUp, Wrap
from purlside.ease.loops import LoopLine
from purlside.ease.reach import by_hand_loop
from purlside.rows.calendar import Calendar
from purlside.rows.row import Row
from purlside.rows.working import Working
from purlside.values import Value

BREAK = "5 to 10 minutes' break after 50 to 60 minutes' work"
"""UK Health and Safety Executive, guidance on screen work."""


class Singles(Value):
    """Columns dropped, each time they are; stitches latched up in them, and the seconds of that; beads drawn on."""

    columns: int = 0
    latched: int = 0
    latched_s: float = 0.0
    beads: int = 0

    def plus(self, other: Singles, times: int = 1) -> Singles:
        return Singles(
            self.columns + other.columns * times,
            self.latched + other.latched * times,
            self.latched_s + other.latched_s * times,
            self.beads + other.beads * times,
        )


class RowCost(Value):
    """One row: ``seconds`` without those for weights, loops formed, mm of yarn in them, carriage movements (passes and
    back-ups), needles held and returned: how often a group is pushed, and how many needles in all; work on single stitches."""

    seconds: float
    weights_s: float
    loops: int
    yarn_mm: float
    movements: int
    groups: int
    pushed: int
    singles: Singles


def row_cost(moves: tuple[Move, ...], dial: float, line: LoopLine, by_hand_mm: float, rates: Rates) -> RowCost:
    """The cost of a row made by ``moves``, begun with the dial at ``dial``."""
    seconds = weights = yarn = 0.0
    loops = movements = groups = pushed = 0
    singles = Singles()
    for move in moves:
        if isinstance(move, Weights):
            weights += move.seconds(rates)
            continue
        seconds += move.seconds(rates)
        match move:
            case Dial():
                dial = move.size
            case BackUp():
                movements += 1
            case Knit() | ByHand() | CastOn() | Wrap():
                # Loops laid over a needle by hand, to cast on or wrap, are about as long as those of the row.
                movements += isinstance(move, Knit)
                loops += len(move.needles)
                yarn += len(move.needles) * (by_hand_mm if isinstance(move, ByHand) else line(dial))
            case Hold() | Return():
                groups += 1
                pushed += len(move.needles)
            case LatchUp():
                columns = len(move.needles)
                singles = singles.plus(Singles(columns, columns * move.rows, move.seconds(rates)))
            case Bead():
                singles = singles.plus(Singles(beads=len(move.needles)))
    return RowCost(seconds, weights, loops, yarn, movements, groups, pushed, singles)


class Spent(Value):
    """What ``rows`` rows that are alike cost, each of them; ``row`` is the first of them."""

    row: Row
    rows: int
    cost: RowCost


def costs(calendar: Calendar, line: LoopLine, rates: Rates) -> list[Spent]:
    """What a plan's rows cost, those that cost the same together, in the order they first come."""
    working = Working(calendar)
    by_hand = by_hand_loop(line, calendar.plan.machine.dial)
    first: dict[Hashable, tuple[int, float]] = {}
    counts: Counter[Hashable] = Counter()
    dial = working.dial_before(1)
    for number in range(1, calendar.rows + 1):
        like = calendar.like(number)
        # What is wrapped at a turn goes by what was wrapped before.
        wrapped = working.wraps(calendar.row(number)) if like.wraps else ()
        alike = (like.number, dial, calendar.weights(number), calendar.colour(number), wrapped)
        first.setdefault(alike, (number, dial))
        counts[alike] += 1
        dial = working.dial_after(like)
    found = []
    for same, (number, before) in first.items():
        row = calendar.row(number)
        cost = row_cost(working.moves_of(row, before), before, line, by_hand, rates)
        found.append(Spent(row, counts[same], cost))
    return found


class Timings(Value):
    """The knitter's own seconds for one plain row and for one crossing row with its crossings, where timed; ``rates`` for
    all else. Raises ValueError for seconds that are not above 0."""

    row: float | None = None
    crossing_row: float | None = None
    rates: Rates = field(default_factory=Rates)

    def __post_init__(self) -> None:
        for name, seconds in (("row", self.row), ("crossing row", self.crossing_row)):
            if seconds is not None and not 0 < seconds <= MOST_SECONDS:
                raise ValueError(f"{name} takes seconds above 0, at most a day, not {seconds:g}")


class Time(Value):
    """Seconds at the bed, rows of each sort, and where the timings are from.

    ``worked`` rows are asked something, but no crossing. ``movements`` of the carriage, ``groups`` of needles pushed and needles ``pushed`` are of the crossing rows together.
    """

    plain_rows: int
    worked_rows: int
    crossing_rows: int
    plain_s: float
    worked_s: float
    crossing_s: float
    weights_s: float
    movements: int
    groups: int
    pushed: int
    singles: Singles
    pace_from: str

    @property
    def rows(self) -> int:
        return self.plain_rows + self.worked_rows + self.crossing_rows

    @property
    def total_s(self) -> float:
        return self.plain_s + self.worked_s + self.crossing_s + self.weights_s


def time(costs: Iterable[Spent], timings: Timings | None = None) -> Time:
    """The time of a whole plan, from what its rows cost; a timed plain row scales crossing rows that are not."""
    own = timings or Timings()
    plain_rows = worked_rows = crossing_rows = movements = groups = pushed = 0
    plain_s = worked_s = crossing_s = weights_s = 0.0
    singles = Singles()
    for row, rows, cost in ((spent.row, spent.rows, spent.cost) for spent in costs):
        weights_s += rows * cost.weights_s
        singles = singles.plus(cost.singles, rows)
        if row.crossing:
            crossing_rows, crossing_s = crossing_rows + rows, crossing_s + rows * cost.seconds
            movements, groups = movements + rows * cost.movements, groups + rows * cost.groups
            pushed += rows * cost.pushed
        elif row.works:
            worked_rows, worked_s = worked_rows + rows, worked_s + rows * cost.seconds
        else:
            plain_rows, plain_s = plain_rows + rows, plain_s + rows * cost.seconds
    scale = own.row * plain_rows / plain_s if own.row is not None and plain_s else 1.0
    plain_s, worked_s = plain_s * scale, worked_s * scale
    singles = replace(singles, latched_s=singles.latched_s * scale)
    crossing_s = crossing_s * scale if own.crossing_row is None else own.crossing_row * crossing_rows
    timed = [name for name, s in (("a plain row", own.row), ("a crossing row", own.crossing_row)) if s is not None]
    source = f"your own time for {' and '.join(timed)}" if timed else "default rates, a rough estimate"
    sorts = plain_rows, worked_rows, crossing_rows, plain_s, worked_s, crossing_s
    return Time(*sorts, weights_s, movements, groups, pushed, singles, source)
