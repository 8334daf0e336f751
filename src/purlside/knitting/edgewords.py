"""What it means that an edge was shaped otherwise, and that one side of a neck became longer, in words with needles and rows."""

from __future__ import annotations

from collections.abc import Iterator

from purlside.bed.needles import Side, needles_text
from purlside.knitting.course import Course
from purlside.knitting.deviations import Reshaped
from purlside.knitting.shapings import found
from purlside.plan.mirror import full_parts, written_out
from purlside.text.counts import counted
from purlside.work.work import edge_kind


def edge_words(before: Course, after: Course, one: Reshaped) -> Iterator[str]:
    """What is done at the edge, and what was crossed meanwhile on other stitches than its own."""
    plan = before.shaped_plan(one.at)
    shape, due = written_out(plan).shape[one.shape], before.row_of(found(plan, one)[1].row)
    row = after.row(one.row or due)
    if one.row:
        kind = edge_kind(shape.do)
        works = [w for w in row.works if isinstance(w, kind) and w.edge is one.edge]
        words = [move.words(row.needles) for work in works for move in work.before()]
        own = f", together with that row's own {shape.do}" if sum(w.stitches for w in works) != shape.stitches else ""
        when = "Before" if one.row >= one.at else "Done before"
        yield f"{when} row {row.fabric:,}, {one.edge} edge{own}: {'; '.join(words)}"
    else:
        needles = row.needles
        yield f"Row {row.fabric:,}, {one.edge} edge, as it is: knit to {needles[0 if one.edge is Side.LEFT else -1]}"
    known = before.crossed_aside()
    for key, (number, made, own_) in after.crossed_aside().items():
        if key not in known:
            on, its = (needles_text(crossing.needles, count=False) for crossing in (made, own_))
            yield (
                f"{key[0]} was crossed on {on} in row {after.row(number).fabric:,}, as the screen said, its own stitches "
                f"hung on {its}: it stays so, and shows; rip back to row {row_name(after, due)} to have it right"
            )


def row_name(course: Course, number: int) -> str:
    return f"{course.row(number).fabric:,}"


def row_of_all(course: Course, number: int) -> str:
    """A row as it is told, and the last of its panel or part: ``"Row 152 of 166, right shoulder,"``."""
    row = course.row(number)
    part = "" if row.part is None else f", {row.part},"
    return f"Row {row.fabric:,} of {row_name(course, _ends(course)[row.part])}{part}"


def knit_from(course: Course, number: int) -> str:
    """From which needle to which a row is knit."""
    row = course.row(number)
    return f"Row {row.fabric:,} is knit from {row.needles[0]} to {row.needles[-1]}"


def longer(old: Course, new: Course, number: int) -> Iterator[str]:
    """What more rows, or fewer, mean: to the panel, to a part, and to the part beside the one that row ``number`` is of."""
    before, ends = _lengths(old), _ends(new)
    for part, rows in _lengths(new).items():
        more = rows - before.get(part, rows)
        if not more:
            continue
        by = f"{counted(abs(more), 'row')} {'more' if more > 0 else 'fewer'}"
        if part is None:
            yield f"The panel has {by}: {rows:,}"
        else:
            yield f"{part[0].upper()}{part[1:]} has {by}, and ends with row {row_name(new, ends[part])}"
            yield from _beside(new, part, number)


def _beside(course: Course, part: str, number: int) -> Iterator[str]:
    """How long the other parts of as many rows are that the plan has."""
    planned = {one.name: one.rows for one in full_parts(course.planned.plan)}
    lengths, ends = _lengths(course), _ends(course)
    for name, rows in planned.items():
        if name == part or rows != planned[part]:
            continue
        apart = lengths[part] - lengths[name]
        to = f"to row {row_name(course, ends[name])}"
        if not apart:
            yield f"It is as long as {name} now"
        elif apart < 0:
            yield f"{name} is {counted(-apart, 'row')} longer"
        elif ends[name] < number:
            yield f"{name} was knit {to}: rip {counted(apart, 'row')} out here to have both alike"
        else:
            yield f"{name} will be knit {to}: knit {counted(apart, 'row')} more there and say so (d, m), or rip these out"


def _ends(course: Course) -> dict[str | None, int]:
    """The last row of the panel (None) and of each part."""
    segments = course.calendar.segments
    lasts = [*(course.row_of(after.first) - 1 for after in segments[1:]), course.rows]
    return {segment.part: last for segment, last in zip(segments, lasts, strict=True)}


def _lengths(course: Course) -> dict[str | None, int]:
    """The rows of the panel and of each part."""
    return {part: last + 1 - course.begins(last) for part, last in _ends(course).items()}
