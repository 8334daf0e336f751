"""What only several values of a plan together show: faults, and advice.

Nothing here walks the rows: two cables meet in a row or not by arithmetic.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import gcd, lcm

from purlside.bed.demand import CannotBeWalked
from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, needles_text
from purlside.ease import fibres
from purlside.plan.plan import CLICK_SLACK, Cable, Plan, Shape, StitchWork
from purlside.plan.problems import Key, Problem
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar, TooManyKinds
from purlside.rows.columns import dropped_work
from purlside.rows.row import Kind, Tally
from purlside.rows.shaped import parted, shape_faults, uncarried
from purlside.rows.working import Working
from purlside.text.harmless import shown

MOST_PREPARED = 2000
"""Crossings of a plan, counted once for each stitch size of their rows. A limit of ours: reach is worked out for each."""

MOST_TOLD = 100_000
"""Times that all reminders of a plan come, together. A limit of ours: each is told and printed."""

MOST_EXTRA_ROWS = 400
"""Extra rows of all crossings of one row together. A limit of ours; a row so made takes hours."""


def faults(plan: Plan) -> list[Problem]:
    """Everything that keeps a plan from being knit, in the plan's order."""
    return [*quick_faults(plan), *kinds_faults(plan)]


def quick_faults(plan: Plan) -> list[Problem]:
    """The faults but those of :func:`kinds_faults`, which take their time on a long panel of unrelated repeats."""
    return [*_panel(plan), *_yarn(plan), *_sizes(plan), *_crossings(plan), *_meetings(plan), *shape_faults(plan)]


def _panel(plan: Plan) -> Iterator[Problem]:
    panel, machine = plan.panel, plan.machine
    low, high = machine.dial
    if low >= high:
        yield Problem(("machine", "dial"), f"[{low:g}, {high:g}]", "the smallest size first, then a larger one")
    bed = machine.bed
    if panel.needles.left not in bed or panel.needles.right not in bed:
        yield Problem(
            ("panel", "needles"),
            f'"{panel.needles}"',
            f"needles of the bed, {bed}",
            f"it has {machine.needles} needles",
        )
    for i, needle in enumerate(panel.out_of_work):
        if needle not in panel.needles:
            yield Problem(("panel", "out_of_work", i), f'"{needle}"', f"needles of the panel, {panel.needles}")
    if not plan.in_work:
        yield Problem(("panel", "out_of_work"), "every needle of the panel", "at least one needle left in work")
    trip = machine.counter_trip
    if trip is not None and not isinstance(trip, str) and trip not in bed:
        yield Problem(("machine", "counter_trip"), f'"{trip}"', f"a needle of the bed, {bed}")


def _yarn(plan: Plan) -> Iterator[Problem]:
    low, high = plan.machine.dial
    if plan.yarn.count is not None:
        from purlside.ease.yarncount import ALLOWED_COUNT, CountError, tex_in

        try:
            tex_in(plan.yarn.count)
        except CountError as error:
            yield Problem(("yarn", "count"), f'"{plan.yarn.count}"', ALLOWED_COUNT, str(error))
    for text in plan.yarn.loop_mm:
        try:
            size = float(text)
        except ValueError:
            size = float("nan")
        if not (low <= size <= high or low >= high):
            yield Problem(
                ("yarn", "loop_mm", text), f'"{shown(text)}"', f"a size on the dial, {low:g} to {high:g}, in quotes"
            )


def _sizes(plan: Plan) -> Iterator[Problem]:
    low, high = plan.machine.dial
    for key, size in _given_sizes(plan):
        if low < high and not low <= size <= high:
            yield Problem(key, f"{size:g}", f"a size on the dial, {low:g} to {high:g}")


def _given_sizes(plan: Plan) -> Iterator[tuple[Key, float]]:
    """Every size the dial is set to, and its key."""
    yield ("panel", "stitch_size"), plan.panel.stitch_size
    if plan.gauge is not None and plan.gauge.stitch_size is not None:
        yield ("gauge", "stitch_size"), plan.gauge.stitch_size
    for i, band in enumerate(plan.band):
        if band.stitch_size is not None:
            yield ("band", i, "stitch_size"), band.stitch_size
    for i, cable in enumerate(plan.cable):
        if cable.enlarged_size is not None:
            yield ("cable", i, "enlarged_size"), cable.enlarged_size
    for i, stitch in enumerate(plan.stitch):
        if stitch.size is not None:
            yield ("stitch", i, "size"), stitch.size


def _crossings(plan: Plan) -> Iterator[Problem]:
    out, shaped = set(plan.panel.out_of_work), bool(plan.shape)
    for i, cable in enumerate(plan.cable):
        for j, crossing in enumerate(cable.crossings):
            key: Key = ("cable", i, "cross") if isinstance(cable.cross, Crossing) else ("cable", i, "cross", j)
            found = f'"{crossing}"'
            if shaped or cable.part is not None:
                # Where the panel changes, which needles are there is seen row by row.
                outside = []
            else:
                outside = [n for n in crossing.needles if n not in plan.panel.needles]
            if outside:
                yield Problem(
                    key, found, f"needles of the panel, {plan.panel.needles}", f"{needles_text(outside)} outside it"
                )
            if idle := [n for n in crossing.needles if n in out]:
                yield Problem(key, found, "needles in work", f"{needles_text(idle)} out of work")
            if skipped := [n for n in crossing.gap if n not in out]:
                yield Problem(
                    key, found, "two halves that are neighbours", f"{needles_text(skipped)} in work between them"
                )


def _meetings(plan: Plan) -> Iterator[Problem]:
    """Crossings that share needles in one row."""
    repeats = Calendar(plan).repeats
    turns = [
        (i, crossing, _every_turn(repeats[i], j, len(cable.crossings)))
        for i, cable in enumerate(plan.cable)
        for j, crossing in enumerate(cable.crossings)
        # Cables that move with an edge, or cross in some parts only, are seen on the bed.
        if cable.follows is None and cable.part is None
    ]
    by_left = sorted(turns, key=lambda t: t[1].span.left)
    for at, (i, crossing, when) in enumerate(by_left):
        for k, other, then in by_left[at + 1 :]:
            if other.span.left > crossing.span.right:
                break
            if i == k or (row := first_meeting(when, then)) is None:
                continue
            if shared := sorted(set(crossing.needles) & set(other.needles)):
                first, second = sorted((i, k))
                key: Key = ("cable", second, "cross")
                yield Problem(
                    key,
                    f'"{other if second == k else crossing}"',
                    "crossings of one row that share no needles",
                    f'row {row}: "{plan.cable[first].name}" also uses {needles_text(shared)}',
                )
                break


def kinds_faults(plan: Plan) -> Iterator[Problem]:
    """More kinds of rows, or more in one of them, than could be tried, told or written out."""
    calendar = Calendar(plan)
    if (told := sum(repeat.of for repeat in calendar.reminders)) > MOST_TOLD:
        yield Problem(
            ("reminder",), f"reminders that come {told:,} times", f"at most {MOST_TOLD:,} times, all together"
        )
    try:
        kinds = calendar.kinds()
    except TooManyKinds as many:
        yield Problem(
            ("panel", "rows"),
            f"rows of more than {many.most:,} kinds",
            f"at most {many.most:,} kinds of rows on {len(plan.panel.needles)} needles; a kind is a stitch size, a side "
            "and the work that falls together",
            f"row {many.row} brings one too many; let cables share their every, or end the panel before it",
        )
        return
    prepared = {(*crossed, tally.row.size) for tally in kinds.values() for crossed in tally.row.cables}
    if len(prepared) > MOST_PREPARED:
        yield Problem(
            ("band",),
            f"{len(prepared):,} crossings, each stitch size of their rows counted",
            f"at most {MOST_PREPARED:,}",
            "each is worked out by itself; use fewer stitch sizes where cables cross",
        )
    yield from _unwalkable(plan, calendar, kinds)
    for tally in kinds.values():
        cables = [index for index, _ in tally.row.cables if index < len(plan.cable)]
        eased = (plan.cable[index] for index in cables)
        extra = sum(cable.extra_rows or 0 for cable in eased if cable.eases & {"extra rows", "auto"})
        if extra > MOST_EXTRA_ROWS:
            key: Key = ("cable", cables[-1], "extra_rows")
            why = f"row {tally.first:,}: {len(cables)} crossings fall together"
            yield Problem(key, f"{extra} extra rows in one row", f"at most {MOST_EXTRA_ROWS}, all cables together", why)
            return


def _unwalkable(plan: Plan, calendar: Calendar, kinds: dict[Kind, Tally]) -> Iterator[Problem]:
    """What falls together in a row and cannot be knit together, each stitch or cable once."""
    if not (
        any(stitch.do in ("by hand", "bead") for stitch in plan.stitch) or any("by hand" in c.eases for c in plan.cable)
    ):
        return  # only what is knit by hand is in the way of other work
    working, told = Working(calendar), set[Key]()
    for tally in kinds.values():
        try:
            working.demand(tally.row)
        except CannotBeWalked as error:
            needle = error.needle
            key: Key = next(
                (("stitch", i, "first_row") for i, each in enumerate(plan.stitch) if needle in each.needles),
                ("cable", tally.row.cables[0][0], "first_row") if tally.row.cables else ("panel",),
            )
            if key not in told:
                told.add(key)
                yield Problem(
                    key, f"row {tally.row.label}: {error}", "work that one row can take", "let one come in another row"
                )


def _every_turn(repeat: Repeat, turn: int, turns: int) -> Repeat:
    """The rows on which one of a cable's crossings, taken in turn, falls."""
    of = max(0, (repeat.of - turn + turns - 1) // turns)
    return Repeat(repeat.first + repeat.every * turn, repeat.every * turns, of)


def first_meeting(a: Repeat, b: Repeat) -> int | None:
    """The first row both fall on, or None: two congruences, solved."""
    if not a.of or not b.of:
        return None
    common = gcd(a.every, b.every)
    if (b.first - a.first) % common:
        return None
    step = b.every // common
    times = ((b.first - a.first) // common * pow(a.every // common, -1, step)) % step if step > 1 else 0
    row = a.first + a.every * times
    period = a.every * step
    start = max(a.first, b.first)
    if row < start:
        row += -(-(start - row) // period) * period
    return row if row <= min(a.last, b.last) else None


def advice(plan: Plan) -> list[Problem]:
    """What can be knit and is still worth a second look, in the plan's order."""
    found = [*_fibre(plan), *_between_clicks(plan), *_overlaid(plan), *_never(plan), *_close(plan), *_not_larger(plan)]
    return [*found, *uncarried(plan), *parted(plan), *dropped_work(plan)]


def _fibre(plan: Plan) -> Iterator[Problem]:
    yarn = plan.yarn
    if yarn.count is not None:
        from purlside.ease.yarncount import CountError, other_reading

        try:
            both = other_reading(yarn.count)
        except CountError:  # a fault, told as one
            both = None
        if both is not None:
            yield Problem(("yarn", "count"), f'"{yarn.count}"', "a count that can be read one way only", both)
    if yarn.fibre is not None and yarn.extension_at_break is None and fibres.find(yarn.fibre) is None:
        yield Problem(
            ("yarn", "fibre"),
            f'"{yarn.fibre}"',
            "a fibre whose stretch is known, or extension_at_break beside it",
            "reach judges it as the fibre that stretches least",
        )


def _between_clicks(plan: Plan) -> Iterator[Problem]:
    clicks = plan.machine.dial_clicks
    for key, size in _given_sizes(plan):
        click = round(size * clicks)
        if abs(size * clicks - click) > CLICK_SLACK:
            below = click - (click > size * clicks)
            yield Problem(
                key,
                f"{size:g}",
                f"a click of the dial, as {below / clicks:.3g} or {(below + 1) / clicks:.3g}",
                f"dial_clicks is {clicks}: the dial has no stop there",
            )


def _overlaid(plan: Plan) -> Iterator[Problem]:
    """Bands that set the same thing in the same rows: the later one counts, which may not be meant."""
    for name in ("stitch_size", "colour"):
        setting = ((band, i) for i, band in enumerate(plan.band) if getattr(band, name) is not None)
        bands = sorted((band.rows.first, band.rows.last, i) for band, i in setting)
        for (_, last, i), (first, _, j) in pairwise(bands):
            if first <= last:
                yield Problem(
                    ("band", max(i, j), "rows"),
                    f'"{plan.band[max(i, j)].rows}"',
                    f"rows where no other band sets {name}",
                    f"band {min(i, j) + 1} sets it too; band {max(i, j) + 1} counts",
                )


def _never(plan: Plan) -> Iterator[Problem]:
    calendar = Calendar(plan)
    end, allowed = calendar.end, f"a row of the panel, 1 to {calendar.end}"
    for i, cable in enumerate(plan.cable):
        if not calendar.repeats[i].of:
            of_part = [
                s.fabric_row(s.last) for s in calendar.segments if cable.part is not None and s.part == cable.part
            ]
            where = f"a row of {cable.part}, {plan.panel.rows + 1} to {of_part[0]}" if of_part else allowed
            yield Problem(("cable", i, "first_row"), str(cable.first_row), where, "the cable is never crossed")
    yield from _never_done(plan, calendar)
    for i, band in enumerate(plan.band):
        if band.rows.last > end:
            yield Problem(("band", i, "rows"), f'"{band.rows}"', allowed, "the band ends after the panel")
    for i, (reminder, when) in enumerate(zip(plan.reminder, calendar.reminders, strict=True)):
        if not when.of:
            name = "row" if reminder.row else "first_row"
            yield Problem(("reminder", i, name), str(when.first), allowed, "it is never told")


def _never_done(plan: Plan, calendar: Calendar) -> Iterator[Problem]:
    """Shaping and work on single needles that no row comes for, and what has not rows enough for its times."""
    spans = {s.part: (s.fabric, s.fabric_row(s.last)) for s in calendar.segments}
    listed: list[tuple[str, Sequence[Shape | StitchWork]]] = [("shape", plan.shape), ("stitch", plan.stitch)]
    for kind, tables in listed:
        for i, each in enumerate(tables):
            first, last = spans.get(each.part, (1, calendar.end))
            last = calendar.end if kind == "stitch" and each.part is None else last
            if each.first_row > last:
                allowed = f"a row of {each.part or 'the panel'}, {first} to {last}"
                yield Problem((kind, i, "first_row"), str(each.first_row), allowed, "it is never done")
            elif each.times and each.every:
                falls = (last - each.first_row) // each.every + 1
                if falls < each.times:
                    why = f"the next would come in row {each.first_row + each.every * falls}, and there is none"
                    yield Problem((kind, i, "times"), str(each.times), f"1 to {falls}", why)


def _close(plan: Plan) -> Iterator[Problem]:
    """Crossings of the same needles closer together than they have stitches (printed practice for hand knitting)."""
    repeats = Calendar(plan).repeats
    falls: dict[object, list[tuple[int, Repeat]]] = {}
    for i, cable in enumerate(plan.cable):
        for j, crossing in enumerate(cable.crossings):
            # One that moves with an edge meets only itself: its needles are others each time.
            where = (crossing.span, cable.part) if cable.follows is None else i
            falls.setdefault(where, []).append((i, _every_turn(repeats[i], j, len(cable.crossings))))
    widest = [max(len(crossing.needles) for crossing in cable.crossings) for cable in plan.cable]
    told: set[int] = set()
    for each in falls.values():
        # Once all have begun they come round with their common period; those that end only leave more room.
        end = max(when.first for _, when in each) + 2 * lcm(*{when.every for _, when in each})
        rows = {(row, i) for i, when in each for row in range(when.first, min(when.last, end) + 1, when.every)}
        for (before, _), (row, i) in pairwise(sorted(rows)):
            apart, stitches = row - before, widest[i]
            if i in told or not 0 < apart < stitches:
                continue
            told.add(i)
            alone = apart == plan.cable[i].every
            yield Problem(
                ("cable", i, "every" if alone else "first_row"),
                str(apart) if alone else f"row {row:,}, {apart} after a crossing of the same needles",
                f"{stitches} or more rows apart is usual for {stitches} stitches",
                "closer crossings make a stiff cable that pulls in",
            )


def _not_larger(plan: Plan) -> Iterator[Problem]:
    for i, cable in enumerate(plan.cable):
        if "enlarge" in cable.eases and cable.enlarged_size is not None:
            size = _largest_size(plan, cable)
            if cable.enlarged_size <= size:
                yield Problem(
                    ("cable", i, "enlarged_size"),
                    f"{cable.enlarged_size:g}",
                    f"larger than the row's own SS {size_text(size)}",
                    "the half behind gains no yarn",
                )


def _largest_size(plan: Plan, cable: Cable) -> float:
    """The largest row size any of the cable's rows may have."""
    bands = [b.stitch_size for b in plan.band if b.stitch_size is not None and b.rows.last >= cable.first_row]
    return max([plan.panel.stitch_size, *bands])
