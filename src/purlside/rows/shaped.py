"""Faults that only the needles of each row show: shaping with no room, on the wrong side, or under a cable's stitches."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace

from purlside.bed.demand import CannotBeWalked
from purlside.bed.faults import BedFault
from purlside.bed.needles import Needle, Side, needles_text
from purlside.plan.mirror import full_parts
from purlside.plan.plan import Plan, Shape
from purlside.plan.problems import Key, Problem
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.rows.segments import Segment
from purlside.rows.working import Working
from purlside.work.decrease import Decrease
from purlside.work.increase import Increase
from purlside.work.work import EdgeWork, edge_kind


def shape_faults(plan: Plan) -> Iterator[Problem]:
    """Everything about shapes, parts, following cables and single needles that keeps the plan from being knit."""
    if not (plan.shape or plan.part or plan.stitch):
        return
    calendar = Calendar(plan)
    named = [
        *_parts(plan, calendar),
        *_no_room(plan, calendar),
        *_wrong_side(plan, calendar),
        *_not_there(plan, calendar),
        *_dropped_through(plan, calendar),
    ]
    yield from named or _refused(plan, calendar)


def uncarried(plan: Plan) -> Iterator[Problem]:
    """Advice: cables that shaping moves other stitches into, each cable at each shape once."""
    if not (plan.shape and plan.cable):
        return
    calendar = Calendar(plan)
    told: set[tuple[int, int]] = set()
    for segment in calendar.segments:
        falls = _falls(plan, segment)
        for number in segment.changes:
            row = segment.fabric_row(number)
            under_way = [i for i, r in enumerate(calendar.repeats[: len(plan.cable)]) if r.first < row <= r.last]
            for work in segment.works[number] if under_way else ():
                shape = falls[type(work), work.edge, row]
                for cable in (cable for cable in under_way if (shape, cable) not in told):
                    found = _moved_under(calendar, cable, segment, work, row)
                    if found is not None:
                        told.add((shape, cable))
                        yield replace(found, key=("shape", shape, *found.key))


def _falls(plan: Plan, segment: Segment) -> dict[tuple[type[EdgeWork], Side, int], int]:
    """Which shape does what at which edge in which fabric row; what takes two rows, one edge in each, in both."""
    end = segment.fabric_row(segment.last)
    return {
        (edge_kind(shape.do), side, row + late): i
        for i, shape in _shapes(plan, segment.part)
        for repeat in [Repeat.within(end, shape.first_row, shape.every, shape.times)]
        for row in range(repeat.first, repeat.first + repeat.every * repeat.of, repeat.every)
        for side in shape.sides
        for late in (0, 1)[: 1 + (shape.edge == "both" and edge_kind(shape.do).at_carriage is not None)]
    }


def _shapes(plan: Plan, part: str | None) -> list[tuple[int, Shape]]:
    """The shapes of the panel, or of a part as it is worked, each with its place in the plan."""
    if part is None:
        return [(i, shape) for i, shape in enumerate(plan.shape) if shape.part is None]
    return [each for full in full_parts(plan) if full.name == part for each in full.shapes]


def _moved_under(calendar: Calendar, index: int, segment: Segment, work: EdgeWork, row: int) -> Problem | None:
    """What is wrong where a cable under way lies among the stitches that are moved; its key is the shape's own."""
    cable, edges = calendar.cables[index], work.edges
    if work.at_carriage is False:
        # Short rows leave the edge where it is.
        return None
    by, edge = calendar.followed(index, segment, edges), int(edges.edge(work.edge))
    halves = [half for c in cable.crossings for half in (c.front, c.back)]
    ends = {int(n) + by for half in halves for n in (half.left, half.right)}
    if not edges.left <= min(ends) <= max(ends) <= edges.right:
        return None
    # Stitches in from the edge: ladders have none.
    places = sorted(
        abs(n - edge) + 1 - sum(1 for ladder in edges.ladders if min(n, edge) < ladder < max(n, edge)) for n in ends
    )
    lies = f"it lies {places[0]} to {places[-1]} stitches in"
    follows = cable.follows == str(work.edge)
    if not isinstance(work, Decrease | Increase):
        if not follows:
            return None
        return Problem(
            ("first_row",),
            f"{work.words} in {_row(row, segment.part)}",
            f"a row before or after {cable.name}, which follows that edge",
            "the cable would jump to other stitches: end it before, and let another begin after",
        )
    moved = work.tool if work.tool > 1 or isinstance(work, Decrease) else 0
    if follows and moved < places[-1]:
        would = (
            f"in {_row(row, segment.part)} {lies}, and would run over other stitches; tool = {places[-1]} carries it"
        )
        return Problem(
            ("tool",), str(work.tool), f"{places[-1]} or more, so that {cable.name} moves with the edge", would
        )
    if not follows and moved >= places[0]:
        would = (
            f"in {_row(row, segment.part)} {lies}, and stays on its needles: let it follow the edge, or end it before"
        )
        return Problem(("tool",), str(work.tool), f"stitches outside {cable.name}", would)
    return None


def _parts(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    there = {segment.part for segment in calendar.segments}
    for i, part in enumerate(plan.part):
        if part.name not in there:
            yield Problem(
                ("part", i, "needles"),
                f'"{part.needles or part.mirrors}"',
                "some needles still in work when the part begins",
                "none of them is",
            )


def _row(row: int, part: str | None) -> str:
    return f"row {row:,}" if part is None else f"row {row:,} of {part}"


def _no_room(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    told: set[int] = set()
    for each in calendar.unshaped:
        if each.shape not in told:
            told.add(each.shape)
            shape = plan.shape[each.shape]
            yield Problem(
                ("shape", each.shape, "times" if shape.every else "first_row"),
                f"{shape.do} {shape.stitches} in {_row(each.row, each.part)}",
                "shaping that the needles in work leave room for",
                each.why,
            )


def _refused(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Shaping that the bed refuses as it stands before the row: a float to a cast-on edge, a needle overloaded."""
    working, tried = Working(calendar), set[Hashable]()
    for segment in calendar.segments:
        falls, told = _falls(plan, segment), set[int]()
        for number in segment.changes:
            row = segment.fabric_row(number)
            before = calendar.like(max(1, number - 1)).number
            shapes = [falls[type(work), work.edge, row] for work in segment.works[number]]
            alike = (calendar.like(number).number, before, *working.wrapped(number).items(), *shapes)
            if alike in tried:
                continue
            tried.add(alike)
            try:
                bed = working.fresh(number)
            except CannotBeWalked:
                # What the row before is asked is that row's own fault, told with the work it falls together with.
                continue
            for work in calendar.row(number).works:
                try:
                    for move in work.before():
                        bed.push(move)
                except BedFault as fault:
                    shape = falls[type(work), work.edge, row] if isinstance(work, EdgeWork) else None
                    if shape is not None and shape not in told:
                        told.add(shape)
                        yield Problem(
                            ("shape", shape, "first_row"),
                            f"{work.words} in {_row(row, segment.part)}",
                            "what the bed takes",
                            "; ".join(map(str, fault.found)),
                        )
                    break


def _wrong_side(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Shaping at one edge in a row the carriage begins from the other, where that matters."""
    for i, shape in enumerate(plan.shape):
        at = edge_kind(shape.do).at_carriage
        if at is None or shape.edge == "both":
            continue
        for segment in calendar.segments:
            edge = Side(shape.edge)
            if segment.part != shape.part:
                if shape.part is None or not any(p.name == segment.part and p.mirrors == shape.part for p in plan.part):
                    continue
                edge = edge.other
            kind = edge_kind(shape.do)
            rows = [n for n in segment.changes if any(isinstance(w, kind) and w.edge is edge for w in segment.works[n])]
            wrong = next((n for n in rows if (segment.side(n) is edge) is not at), None)
            if wrong is None:
                continue
            row, side = segment.fabric_row(wrong), segment.side(wrong)
            does = f"row {row + 1}" if row + 1 <= segment.fabric_row(segment.last) else f"row {row - 1}"
            where = "stands at that edge" if at else "stands at the other edge"
            key = "every" if shape.every and shape.every % 2 and row != shape.first_row else "first_row"
            yield Problem(
                ("shape", i, key),
                f"{shape.do} at the {shape.edge} in {_row(row, segment.part)}, begun {side.carriage}",
                f"rows in which the carriage {where}",
                f"{does} would do" + ("; an even every keeps to that side" if key == "every" else ""),
            )
            break


def _not_there(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Crossings and stitches on needles that no part of their row knits."""
    for table, works, rows_of in (
        ("cable", plan.cable, calendar.cable_rows),
        ("stitch", plan.stitch, calendar.stitch_rows),
    ):
        for i, _ in enumerate(works):
            for k, row, tried in rows_of(i):
                missing = [(segment, needles) for segment, needles in tried if needles]
                if len(missing) < len(tried):
                    continue
                key: Key = (table, i, "cross" if table == "cable" else "needles")
                if not tried:
                    yield Problem(key, _row(row, None), "rows that are knit", "no part has it")
                    break
                # Of two sides of a neck the one it is nearest to.
                segment, gone = min(missing, key=lambda tried: len(tried[1]))
                end = f"end it with times = {k - 1}" if k > 1 else "let it begin where they are knit"
                follow = ", or let it follow the edge" if table == "cable" and not plan.cable[i].follows else ""
                yield Problem(
                    key,
                    f"{needles_text(gone, count=False)} in {_row(row, segment.part)}",
                    f"needles knit in that row, {_knit(segment, row)}",
                    f"they are out of work or resting; {end}{follow}",
                )
                break


def _knit(segment: Segment, row: int) -> str:
    knit = segment.edges_in(segment.number(row)).knit
    return f"{knit[0]}–{knit[-1]}"


def _dropped_through(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Purl columns dropped down through a crossing of their own needle."""
    purl = [(i, stitch) for i, stitch in enumerate(plan.stitch) if stitch.do == "purl"]
    if not purl:
        return
    crossed: dict[int, list[tuple[Sequence[int], str]]] = {}
    for i, cable in enumerate(calendar.cables):
        for _, crossing, rows in calendar.places(i):
            for needle in crossing.needles:
                crossed.setdefault(int(needle), []).append((rows, cable.name))
    for i, stitch in purl:
        for needle in stitch.needles:
            if fault := _crossing_within(calendar, i, needle, crossed.get(int(needle), [])):
                row, name, latched = fault
                yield Problem(
                    ("stitch", i, "needles"),
                    f"{needle}, dropped from row {latched:,}",
                    "a column that no crossing runs through",
                    f"{name} crosses it in row {row:,}; latch it up in row {row:,}, or purl another needle",
                )
                break


def _crossing_within(
    calendar: Calendar, stitch: int, needle: Needle, crossed: list[tuple[Sequence[int], str]]
) -> tuple[int, str, int] | None:
    every, repeat = calendar.plan.stitch[stitch].every, calendar.stitch_repeats[stitch]
    for row in range(repeat.first, repeat.last + 1, repeat.every) if crossed else ():
        last = 0 if every is None else max(0, row - every)
        # A column is latched up before its row's crossings are made.
        within = [(rows[i], name) for rows, name in crossed if (i := bisect_right(rows, last)) < len(rows)]
        if within and min(within)[0] < row:
            return *min(within), row
    return None
