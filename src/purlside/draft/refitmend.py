"""What a refit could not keep: where the plan laid again has a fault the least of it is given up, and told.

What has a fault is made to come where its needles are knit, some needles
further in, or in other rows; only where none of that mends it, it is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field, replace
from typing import Any

from purlside.bed.faults import BedFault
from purlside.bed.transfers import Cross
from purlside.draft import reshaping
from purlside.plan.plan import Cable, Plan, Shape, StitchWork
from purlside.plan.problems import Key, Unfit
from purlside.plan.repeats import Repeat
from purlside.rows import checking
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.text.counts import counted
from purlside.values import dataclass

Table = Shape | Cable | StitchWork

MOST_ASIDE, MOST_ROWS = 6, 4
"""Needles something is moved aside, and rows, at most, so that it can be kept. Ours."""


@dataclass
class Mended:
    """The plan, and the ``faults`` it still has, that are no table's; its tables left out, by kind; what was given up."""

    plan: Plan
    left: dict[str, set[int]] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Found:
    """A fault: which table has it, and its words."""

    kind: str
    index: int
    words: str


@dataclass(frozen=True)
class _Way:
    """One way to keep a table: what it becomes, told."""

    table: Table
    told: str


def mended(plan: Plan) -> Mended:
    """The plan with each table that has a fault given up as little as will do."""
    made = Mended(plan)
    places = {kind: list(range(len(getattr(plan, kind)))) for kind in ("shape", "cable", "stitch")}
    weight, found, made.faults = _weighed(plan)
    while found is not None:
        table: Table = getattr(made.plan, found.kind)[found.index]
        name = _name(found.kind, places[found.kind][found.index], table)
        for way in _ways(made.plan, found, table):
            tried = _with(made.plan, found, way.table)
            if tried is not None and (lighter := _weighed(tried))[0] < weight:
                made.plan, (weight, found, made.faults) = tried, lighter
                made.said.append(f"{name} {way.told}")
                break
        else:
            tried = _with(made.plan, found, None)
            assert tried is not None, "a plan with a table less is still a plan"
            made.plan = tried
            made.left.setdefault(found.kind, set()).add(places[found.kind].pop(found.index))
            made.said.append(f"{name} is left out, to be laid anew by hand: {found.words}")
            weight, found, made.faults = _weighed(tried)
    return made


def _name(kind: str, index: int, table: Table) -> str:
    if isinstance(table, Cable):
        return table.name
    if isinstance(table, Shape):
        return f"{table.do} from row {table.first_row:,}{f' of {table.part}' if table.part else ''}"
    return f"single needles {index + 1}"


def _with(plan: Plan, found: _Found, table: Table | None) -> Plan | None:
    """The plan with another table there, or none; None where that is no plan."""
    tables = list(getattr(plan, found.kind))
    tables[found.index : found.index + 1] = [] if table is None else [table]
    try:
        changes: dict[str, Any] = {found.kind: tuple(tables)}
        return replace(plan, **changes)
    except Unfit:
        return None


def _weighed(plan: Plan) -> tuple[tuple[int, int], _Found | None, list[str]]:
    """How many faults there are, those seen in the plan and those on the bed; the first that a table has; their words."""
    problems = checking.faults(plan)
    if problems:
        tables = (_Found(*table, str(p)) for p in problems if (table := _table(p.key)) is not None)
        return (len(problems), 0), next(tables, None), list(map(str, problems))
    faults = Working(plan).simulate()
    named = filter(None, (_on_bed(plan, fault) for fault in faults))
    return (0, len(faults)), next(named, None), list(map(str, faults))


def _table(key: Key) -> tuple[str, int] | None:
    kind, index = key[0], key[1] if len(key) > 1 else None
    return (
        (kind, index)
        if isinstance(kind, str) and kind in ("shape", "cable", "stitch") and isinstance(index, int)
        else None
    )


def _on_bed(plan: Plan, fault: BedFault) -> _Found | None:
    """The table whose work the bed refuses: the crossing it names, else what comes last in its row."""
    calendar = Calendar(plan)
    row = next((r for r in map(calendar.row, range(1, calendar.rows + 1)) if r.label == fault.row), None)
    if row is None:
        return None
    names = [fault.move.cable] if isinstance(fault.move, Cross) else [made.name for made in reversed(row.crossed)]
    for name in names:
        # In a part that mirrors another a cable has the part's name too.
        of = [i for i, cable in enumerate(plan.cable) if name == cable.name or name.startswith(f"{cable.name}, ")]
        if of:
            return _Found("cable", of[-1], str(fault))
    asked = [i for i, stitch in enumerate(plan.stitch) if any(set(stitch.needles) & set(w.needles) for w in row.works)]
    return _Found("stitch", asked[-1], str(fault)) if asked else None


def _ways(plan: Plan, found: _Found, table: Table) -> Iterator[_Way]:
    if isinstance(table, Shape):
        yield from _sooner(plan, table)
        yield from _in_other_rows(table)
        return
    where = list(_where_knit(plan, found, table))
    aside = list(_aside(table))
    # What keeps more of it comes first.
    most = bool(where) and where[0].table.times is not None and 2 * where[0].table.times >= _repeat(plan, table).of
    yield from (*where, *aside) if most else (*aside, *where)
    yield from _in_other_rows(table)


def _repeat(plan: Plan, table: Table) -> Repeat:
    calendar = Calendar(plan)
    ends = [segment.fabric_row(segment.last) for segment in calendar.segments if segment.part == table.part]
    end = calendar.end if table.part is None and not isinstance(table, Shape) else max(ends, default=0)
    return Repeat.within(end, table.first_row, table.every, table.times)


def _where_knit(plan: Plan, found: _Found, table: Cable | StitchWork) -> Iterator[_Way]:
    """Its longest run of times on needles that are knit."""
    calendar, repeat = Calendar(plan), _repeat(plan, table)
    fits = [_is_knit(calendar, found.index, table, k, repeat.first + repeat.every * k) for k in range(repeat.of)]
    runs: list[tuple[int, int]] = []
    for i, fit in enumerate(fits):
        if fit and (i == 0 or not fits[i - 1]):
            runs.append((i, i))
        if fit:
            runs[-1] = runs[-1][0], i
    if not runs or all(fits):
        return
    first, last = max(runs, key=lambda run: run[1] - run[0])
    times, start = last - first + 1, table.first_row + (table.every or 0) * first
    changes: dict[str, Any] = {"first_row": start, "times": times if table.every else None}
    if isinstance(table, Cable) and (turn := first % len(table.crossings)):
        changes["cross"] = (*table.crossings[turn:], *table.crossings[:turn])
    follow = "; let it follow the edge to have them all" if isinstance(table, Cable) and not table.follows else ""
    yield _Way(
        replace(table, **changes),
        f"comes {counted(times, 'time')}, from row {start:,}, not {len(fits)}: elsewhere its needles are not knit{follow}",
    )


def _is_knit(calendar: Calendar, index: int, table: Cable | StitchWork, k: int, row: int) -> bool:
    """Whether some part knits all its needles in the row of its ``k``-th time, counted from 0."""
    for segment in calendar.segments:
        if segment.fabric <= row <= segment.fabric_row(segment.last) and table.part in (None, segment.part):
            number = segment.number(row)
            needles = calendar.laid(index, k + 1, number).needles if isinstance(table, Cable) else table.needles
            if set(needles) <= set(segment.edges_in(number).knit):
                return True
    return False


def _aside(table: Cable | StitchWork) -> Iterator[_Way]:
    """Some needles further to either side, its rows as they are."""
    for count in range(1, MOST_ASIDE + 1):
        for side, by in (("left", -count), ("right", count)):
            try:
                if isinstance(table, Cable):
                    (moved,) = reshaping.moved((table,), by)
                    other: Table = moved
                else:
                    needles = tuple(type(n)(int(n) + by) for n in table.needles)
                    other = replace(table, needles=needles)
            except ValueError:
                continue
            yield _Way(other, f"lies {counted(count, 'needle')} further to the {side}, where there is room for it")


def _in_other_rows(table: Table) -> Iterator[_Way]:
    for count in range(1, MOST_ROWS + 1):
        for first in (table.first_row + count, table.first_row - count):
            if first >= 1:
                told = f"begins in row {first:,}, not {table.first_row:,}: it cannot be done in the rows it fell on"
                yield _Way(replace(table, first_row=first), told)


def _sooner(plan: Plan, shape: Shape) -> Iterator[_Way]:
    """A shape fewer times, or of fewer stitches."""
    of = _repeat(plan, shape).of
    for times in range(of - 1, 0, -1):
        yield _Way(
            replace(shape, times=times if times > 1 else None, every=shape.every if times > 1 else None),
            f"is done {counted(times, 'time')}, not {of}: the needles leave no room for more; spread the rest by hand",
        )
    if shape.stitches != "all":
        for stitches in range(shape.stitches - 1, 0, -1):
            yield _Way(
                replace(shape, stitches=stitches),
                f"takes {stitches} at a time, not {shape.stitches}: the needles leave no room for more; spread the rest by hand",
            )
