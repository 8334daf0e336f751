"""Faults that only the needles of each row show: shaping with no room, on the wrong side, or under a cable's stitches."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace

from purlside.bed.demand import CannotBeWalked
from purlside.bed.faults import BedFault
from purlside.bed.needles import Side, needles_text
from purlside.plan.plan import MOST_TOOL, Plan
from purlside.plan.problems import Key, Problem
from purlside.rows.calendar import Calendar
from purlside.rows.columns import dropped_through
from purlside.rows.falls import Tried
from purlside.rows.partings import left_resting, overlapping, row_text, shaped_by, without_needles
from purlside.rows.segments import Segment
from purlside.rows.working import Working
from purlside.work.decrease import Decrease
from purlside.work.increase import Increase
from purlside.work.work import CannotBeShaped, EdgeWork, edge_kind


def shape_faults(plan: Plan) -> Iterator[Problem]:
    """Everything about shapes, parts, following cables and single needles that keeps the plan from being knit."""
    if not (plan.shape or plan.part or plan.stitch):
        return
    calendar = Calendar(plan)
    named = [
        *without_needles(plan, calendar),
        *_no_room(plan, calendar),
        *_wrong_side(plan, calendar),
        *_not_there(plan, calendar),
        *dropped_through(plan, calendar),
    ]
    yield from named or _refused(plan, calendar)


def parted(plan: Plan) -> Iterator[Problem]:
    """Advice: parts that knit each other's needles, else needles left resting at the end; both can be meant."""
    if plan.shape or plan.part:
        calendar = Calendar(plan)
        yield from [*overlapping(plan, calendar)] or left_resting(plan, calendar)


def uncarried(plan: Plan) -> Iterator[Problem]:
    """Advice: cables that shaping moves other stitches into, each cable at each shape once."""
    if not (plan.shape and plan.cable):
        return
    calendar = Calendar(plan)
    for index, shape, segment, work, row in _under_way(calendar):
        if (found := _moved_under(calendar, index, shape, segment, work, row)) is not None:
            yield replace(found, key=("shape", shape, *found.key))


def _under_way(calendar: Calendar) -> Iterator[tuple[int, int, Segment, EdgeWork, int]]:
    """Where shaping moves other stitches into a cable: (cable, shape, the panel or part, what is done, the row), once."""
    told: set[tuple[int, int]] = set()
    plan = calendar.plan
    for segment in calendar.segments:
        falls = shaped_by(plan, segment)
        for number in segment.changes:
            row = segment.fabric_row(number)
            under_way = [i for i, r in enumerate(calendar.repeats[: len(plan.cable)]) if r.first < row <= r.last]
            for work in segment.works[number] if under_way else ():
                shape = falls[type(work), work.edge, row]
                for cable in (cable for cable in under_way if (shape, cable) not in told):
                    if _disturbs(calendar, cable, segment, work):
                        told.add((shape, cable))
                        yield cable, shape, segment, work, row


def _lies(calendar: Calendar, index: int, segment: Segment, work: EdgeWork) -> tuple[int, int] | None:
    """How many stitches in from the edge a cable lies, its nearest and its farthest; None where it is out of work."""
    cable, edges = calendar.cables[index], work.edges
    by, edge = calendar.followed(index, segment, edges), int(edges.edge(work.edge))
    halves = [half for c in cable.crossings for half in (c.front, c.back)]
    ends = {int(n) + by for half in halves for n in (half.left, half.right)}
    if not edges.left <= min(ends) <= max(ends) <= edges.right:
        return None
    # Stitches in from the edge: ladders have none.
    places = sorted(
        abs(n - edge) + 1 - sum(1 for ladder in edges.ladders if min(n, edge) < ladder < max(n, edge)) for n in ends
    )
    return places[0], places[-1]


def _disturbs(calendar: Calendar, index: int, segment: Segment, work: EdgeWork) -> bool:
    """Whether what is done at an edge moves other stitches into a cable, or the cable to other stitches."""
    # Short rows leave the edge where it is.
    if work.at_carriage is False or (lies := _lies(calendar, index, segment, work)) is None:
        return False
    if calendar.cables[index].follows == str(work.edge):
        return not isinstance(work, Decrease | Increase) or _moved(work) < lies[1]
    return isinstance(work, Decrease | Increase) and _moved(work) >= lies[0]


def _moved(work: EdgeWork) -> int:
    return work.tool if work.tool > 1 or isinstance(work, Decrease) else 0


def _moved_under(
    calendar: Calendar, index: int, shape: int, segment: Segment, work: EdgeWork, row: int
) -> Problem | None:
    """What is wrong where a cable under way lies among the stitches that are moved; its key is the shape's own."""
    name, lies = calendar.cables[index].name, _lies(calendar, index, segment, work)
    if lies is None:
        return None
    nearest, farthest = lies
    if not isinstance(work, Decrease | Increase):
        return Problem(
            ("first_row",),
            f"{work.words} in {row_text(row, segment.part)}",
            f"a row before or after {name}, which follows that edge",
            "the cable would jump to other stitches: end it before, and let another begin after",
        )
    where = f"in {row_text(row, segment.part)} it lies {nearest} to {farthest} stitches in"
    if calendar.cables[index].follows != str(work.edge):
        follow = "let it follow the edge, or " if _may_follow(calendar.plan, index, work.edge) else ""
        stays = f"{where}, and stays on its needles: {follow}end it before"
        return Problem(("tool",), str(work.tool), f"stitches outside {name}", stays)
    if farthest > MOST_TOOL:
        allowed, mend = f"a cable within {MOST_TOOL} stitches of the edge", f"no tool takes {farthest}: end it before"
    elif not _leaves_room(calendar, shape, farthest):
        allowed, mend = (
            "a cable that the needles leave room to move",
            f"they leave none for tool = {farthest}: end it before",
        )
    else:
        allowed, mend = f"{farthest} or more, so that {name} moves with the edge", f"tool = {farthest} carries it"
    return Problem(("tool",), str(work.tool), allowed, f"{where}, and would run over other stitches; {mend}")


def _leaves_room(calendar: Calendar, shape: int, tool: int) -> bool:
    """Whether a shape could be done with that tool in all its rows."""
    for segment in calendar.segments:
        falls = shaped_by(calendar.plan, segment)
        for number in segment.changes:
            row = segment.fabric_row(number)
            same = [w for w in segment.works[number] if falls[type(w), w.edge, row] == shape]
            try:
                # At both edges at once neither may reach what the other moves.
                widest = [replace(work, tool=tool) for work in same]
            except CannotBeShaped:
                return False
            if widest and len(widest[0].edges.knit) < sum(tool + work.stitches for work in widest):
                return False
    return True


def _may_follow(plan: Plan, index: int, edge: Side) -> bool:
    """Whether a cable that follows an edge is there in all its rows, and is moved whole by all that is done there."""
    cables = [replace(c, follows=edge.value) if i == index else c for i, c in enumerate(plan.cable)]
    calendar = Calendar(replace(plan, cable=tuple(cables)))
    gone = any(all(needles for _, needles in tried) for _, _, tried in calendar.cable_rows(index))
    return not gone and all(cable != index for cable, *_ in _under_way(calendar))


def _no_room(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    told: set[int] = set()
    for each in calendar.unshaped:
        if each.shape not in told:
            told.add(each.shape)
            shape = plan.shape[each.shape]
            yield Problem(
                ("shape", each.shape, "times" if shape.every else "first_row"),
                f"{shape.do} {shape.stitches} in {row_text(each.row, each.part)}",
                "shaping that the needles in work leave room for",
                each.why,
            )


def _refused(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Shaping that the bed refuses as it stands before the row: a float to a cast-on edge, a needle overloaded."""
    working, tried = Working(calendar), set[Hashable]()
    for segment in calendar.segments:
        falls, told = shaped_by(plan, segment), set[int]()
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
                            f"{work.words} in {row_text(row, segment.part)}",
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
                f"{shape.do} at the {shape.edge} in {row_text(row, segment.part)}, begun {side.carriage}",
                f"rows in which the carriage {where}",
                f"{does} would do" + ("; an even every keeps to that side" if key == "every" else ""),
            )
            break


def _not_there(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Crossings and stitches on needles that no part of their row knits."""
    for i, cable in enumerate(plan.cable):
        if found := _first_missing(calendar.cable_rows(i), ("cable", i, "cross")):
            k, problem = found
            sides = [side for side in Side if k and not cable.follows and _may_follow(plan, i, side)]
            follow = f", or let it follow the {sides[0]} edge" if sides else ""
            yield replace(problem, why=f"{problem.why}{follow}")
    for i, stitch in enumerate(plan.stitch):
        if found := _first_missing(calendar.stitch_rows(i), ("stitch", i, "needles")):
            k, problem = found
            yield replace(problem, why=f"{problem.why}{_by_itself(calendar, i, k) if len(stitch.needles) > 1 else ''}")


def _first_missing(rows: Iterator[Tried], key: Key) -> tuple[int, Problem] | None:
    """The first time some needles are not knit, 0 where no part has the row; and the fault."""
    for k, row, tried in rows:
        if not tried:
            return 0, Problem(key, row_text(row, None), "rows that are knit", "no part has it")
        if all(needles for _, needles in tried):
            # Of two sides of a neck the one it is nearest to: that knits most of them, or has them at rest.
            segment, gone = min(tried, key=lambda each: (len(each[1]), _away(each[0], each[1], row)))
            end = f"end it with times = {k - 1}" if k > 1 else "let it begin where they are knit"
            return k, Problem(
                key,
                f"{needles_text(gone, count=False)} in {row_text(row, segment.part)}",
                f"needles knit in that row, {_knit(segment, row)}",
                f"they are out of work or resting; {end}",
            )
    return None


def _away(segment: Segment, needles: Sequence[int], row: int) -> int:
    """How many of these needles a panel or part has neither knit nor at rest, and how far off they lie."""
    edges = segment.edges_in(segment.number(row))
    return sum(max(edges.left - n, n - edges.right, 0) for n in needles)


def _by_itself(calendar: Calendar, index: int, k: int) -> str:
    """How often single needles could come in tables of their own, where that is more often than all of them together."""
    often: dict[int, list[int]] = {}
    for needle in calendar.stitches[index].needles:
        gone = (time for time, _, tried in calendar.stitch_rows(index, needle) if all(n for _, n in tried))
        often.setdefault(next(gone, calendar.stitch_repeats[index].of + 1) - 1, []).append(needle)
    more = [(times, needles) for times, needles in sorted(often.items()) if times >= k]
    told = ", ".join(f"{needles_text(needles, count=False)} {times} times" for times, needles in more)
    return f"; each in a table of its own would come more often: {told}" if told else ""


def _knit(segment: Segment, row: int) -> str:
    knit = segment.edges_in(segment.number(row)).knit
    return f"{knit[0]}–{knit[-1]}"
