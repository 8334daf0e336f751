"""Purl columns that are dropped down through other work on their needles: crossings, beads, large stitches."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from purlside.bed.needles import Needle
from purlside.plan.mirror import full_parts
from purlside.plan.plan import Plan
from purlside.plan.problems import Problem
from purlside.rows.calendar import Calendar

_LOST = {
    "bead": "and the bead with it: bead another needle, or purl another",
    "enlarge": "and latched up as any other: enlarge another needle, or purl another",
    "by hand": "and latched up as any other: knit another needle by hand, or purl another",
}
"""What becomes of a stitch that is dropped with its column, and the mend."""


def dropped_through(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
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


def dropped_work(plan: Plan) -> Iterator[Problem]:
    """Advice: beads and large stitches on a needle whose purl column is dropped over their row; each table once."""
    if not any(stitch.do == "purl" for stitch in plan.stitch):
        return
    calendar = Calendar(plan)
    mirrored = (i for part in full_parts(plan) for i, s in part.stitches if plan.stitch[i].part != part.name)
    places = [*range(len(plan.stitch)), *mirrored]
    told: set[int] = set()
    for i, (place, work) in enumerate(zip(places, calendar.stitches, strict=True)):
        for j, column in enumerate(calendar.stitches):
            apart = None not in (work.part, column.part) and work.part != column.part
            if work.do == "purl" or column.do != "purl" or place in told or apart:
                continue
            both = [n for n in work.needles if n in column.needles]
            if both and (found := _dropped_over(calendar, i, j)):
                row, latched, rows = found
                told.add(place)
                yield Problem(
                    ("stitch", place, "needles"),
                    f"{work.do} on {both[0]} in row {row:,}",
                    "a needle whose stitch is not dropped again",
                    f"its purl column is dropped {rows} rows after row {latched:,}, {_LOST[work.do]}",
                )


def _dropped_over(calendar: Calendar, work: int, column: int) -> tuple[int, int, int] | None:
    """The first row of the work that a column is dropped over: that row, the column's, and how many rows it is dropped."""
    done, latched, stitch = calendar.stitch_repeats[work], calendar.stitch_repeats[column], calendar.stitches[column]
    begins = next((s.fabric for s in calendar.segments if s.part == stitch.part), 1)
    for row in range(done.first, done.last + 1, done.every):
        if (then := latched.after(row)) is not None:
            begun = then - begins + 1 if stitch.part is not None else then
            rows = begun if stitch.every is None else min(stitch.every, begun)
            if row > then - rows:
                return row, then, rows
    return None
