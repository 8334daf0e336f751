"""Parts and short rows: parts without needles, a fault; with each other's, or needles left resting at the end, advice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from typing import Literal

from purlside.bed.needles import Needle, Side, Span, needles_text
from purlside.plan.mirror import full_parts
from purlside.plan.plan import PanelPart, Plan, Shape
from purlside.plan.problems import Key, Problem, Unfit
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.rows.segments import Segment, segments
from purlside.work.hold import Rest
from purlside.work.work import EdgeWork, edge_kind


def row_text(row: int, part: str | None) -> str:
    """``"row 164 of right shoulder"``: a row of the fabric, and the part that has it."""
    return f"row {row:,}" if part is None else f"row {row:,} of {part}"


def shaped_by(plan: Plan, segment: Segment) -> dict[tuple[type[EdgeWork], Side, int], int]:
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


# --- parts --------------------------------------------------------------------


def without_needles(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Parts that cannot be begun."""
    there = {segment.part for segment in calendar.segments}
    for i, part in enumerate(plan.part):
        if part.name not in there:
            yield Problem(
                ("part", i, "needles"),
                f'"{part.needles or part.mirrors}"',
                "some needles still in work when the part begins",
                "none of them is",
            )


def overlapping(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Parts that would knit each other's needles: what one has shaped the other finds changed."""
    work, told = calendar.segments[0].last_edges.in_work, set[Key]()
    for first, second, shared in _shared(plan, work):
        index = _written_at(plan, first, second)
        key: Key = ("part", index, "needles")
        if key in told:
            continue
        told.add(key)
        less = _less(plan.part[index], shared, mirrored=plan.part[index].name in _mirrored_by(plan, first, second))
        mend = "let each needle be one part's"
        if less is not None and not _still(plan, index, less, work):
            mend = f'needles = "{less}" would do'
        yield Problem(
            key,
            f'"{plan.part[index].needles}"',
            "needles that no other part knits",
            f"{first} and {second} both knit {needles_text(shared)}: what one shapes the other finds changed; {mend}",
        )


def _shared(plan: Plan, work: tuple[Needle, ...]) -> Iterator[tuple[str, str, list[Needle]]]:
    """Two parts, and the needles in work that both have."""
    for first, second in combinations(full_parts(plan), 2):
        if shared := [n for n in work if n in first.needles and n in second.needles]:
            yield first.name, second.name, shared


def _written_at(plan: Plan, first: str, second: str) -> int:
    """The place of the part whose needles are to be changed: the later that has its own, or the one they mirror."""
    places = {part.name: i for i, part in enumerate(plan.part)}
    own = [places[name] for name in (second, first) if plan.part[places[name]].mirrors is None]
    return own[0] if own else places[plan.part[places[second]].mirrors or second]


def _mirrored_by(plan: Plan, *names: str) -> set[str | None]:
    return {part.mirrors for part in plan.part if part.name in names}


def _less(part: PanelPart, shared: list[Needle], *, mirrored: bool) -> Span | None:
    """The part's needles without those shared, None where they lie amidst; of one that is mirrored, up to the centre."""
    own = part.needles
    assert own is not None, "checked by the plan"
    if mirrored:
        right, left = int(own.right) + 1, -int(own.left)
        return Span(Needle(0), own.right) if right > left else Span(own.left, Needle(-1)) if left > right else None
    if shared[0] <= own.left <= shared[-1] < own.right:
        return Span(Needle(shared[-1] + 1), own.right)
    return Span(own.left, Needle(shared[0] - 1)) if own.left < shared[0] <= own.right <= shared[-1] else None


def _still(plan: Plan, index: int, needles: Span, work: tuple[Needle, ...]) -> bool:
    """Whether that part would share needles, or have none, with these."""
    parts = [replace(part, needles=needles) if i == index else part for i, part in enumerate(plan.part)]
    changed = replace(plan, part=tuple(parts))
    names = {parts[index].name} | {part.name for part in parts if part.mirrors == parts[index].name}
    shares = any(names & {first, second} for first, second, _ in _shared(changed, work))
    return shares or not any(n in needles for n in work)


# --- short rows ---------------------------------------------------------------


def left_resting(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Needles held for short rows that no row returns and no later part knits: their stitches would be left behind."""
    told: set[int] = set()
    mirrors = {part.name for part in plan.part if part.mirrors}
    # The table to be mended is the one that is written, told with its own part.
    for segment in sorted(calendar.segments, key=lambda segment: segment.part in mirrors):
        for i, edges in _resting(plan, calendar.segments, segment).items():
            if i in told:
                continue
            told.add(i)
            needles = sorted(n for side in edges for n, _ in segment.last_edges.resting_at(side))
            end = row_text(segment.fabric_row(segment.last), segment.part)
            back = _returned(plan, segment, edges, plan.shape[i])
            yield Problem(
                ("shape", i, "first_row"),
                f"{needles_text(needles)} still resting after {end}, the last",
                "short rows whose needles are returned before the end",
                f"their stitches would be left behind; {back or 'give it more rows, and return them there'}",
            )


def _resting(plan: Plan, knit: tuple[Segment, ...], segment: Segment) -> dict[int, list[Side]]:
    """The shapes whose needles are left resting, the last at each edge, and at which edges."""
    later = {n for other in knit if other.first > segment.last and other.begun for n in other.begun.own}
    found: dict[int, list[Side]] = {}
    for side in Side:
        if any(n not in later for n, _ in segment.last_edges.resting_at(side)):
            rows = [n for n in segment.changes for w in segment.works[n] if isinstance(w, Rest) and w.edge is side]
            found.setdefault(shaped_by(plan, segment)[Rest, side, segment.fabric_row(rows[-1])], []).append(side)
    return found


def _returned(plan: Plan, segment: Segment, edges: list[Side], shape: Shape) -> str:
    """How they could be returned, in the last row that would do, tried; empty where there is none."""
    mirrored = shape.part != segment.part
    edge: Literal["left", "right", "both"] = "both"
    if len(edges) == 1:
        edge = (edges[0].other if mirrored else edges[0]).value
    held = max(n for n in segment.changes if any(isinstance(w, Rest) and w.edge in edges for w in segment.works[n]))
    for row in range(segment.fabric_row(segment.last), segment.fabric_row(held), -1):
        try:
            back = Shape(edge=edge, do="return", stitches="all", first_row=row, part=shape.part)
            tried = segments(replace(plan, shape=(*plan.shape, back)))
        except Unfit:
            break
        [same] = [each for each in tried if each.part == segment.part]
        at_carriage = edge != "both" and same.side(same.number(row)) is edges[0]
        refused = any(each.shape == len(plan.shape) for each in same.unshaped)
        if not (at_carriage or refused or any(map(same.last_edges.resting_at, edges))):
            where = "both edges" if edge == "both" else f"the {edge} edge"
            return f'return "all" at {where} in row {row:,}'
    return ""
