"""Which cables of a plan are one thing: those laid as one motif, and its mirrored twin.

A motif is kept in the plan as its cables, each with ``motif = "honeycomb A"``.
A twin is tied to it by its name, ``"honeycomb A, mirrored"``: whatever is done
to one is done to the other, mirrored, until they are untied.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from purlside.bed.needles import Span
from purlside.draft import reshaping
from purlside.plan.plan import Cable, Plan
from purlside.rows.segments import segments

TWIN = ", mirrored"
MOST_NAME = 40
"""Characters of a name, as in a plan."""


def members(plan: Plan, index: int) -> tuple[int, ...]:
    """The cables that are one with this one, the first crossed of them first."""
    motif = plan.cable[index].motif
    if motif is None:
        return (index,)
    found = [i for i, cable in enumerate(plan.cable) if cable.motif == motif]
    return tuple(sorted(found, key=lambda i: (plan.cable[i].first_row, plan.cable[i].every or 0)))


def things(plan: Plan) -> Iterator[tuple[int, ...]]:
    """All motifs and single cables, in the plan's order of the first of each."""
    seen: set[int] = set()
    for index in range(len(plan.cable)):
        if index not in seen:
            found = members(plan, index)
            seen.update(found)
            yield found


def span(plan: Plan, indices: Sequence[int]) -> Span:
    """The needles they take together."""
    return reshaping.span([plan.cable[i] for i in indices])


def clusters(plan: Plan) -> list[tuple[int, ...]]:
    """Motifs and cables from left to right; those over the same needles, in other rows, are one."""
    found: list[tuple[int, ...]] = []
    for thing in sorted(things(plan), key=lambda thing: span(plan, thing).left):
        if found and span(plan, found[-1]).overlaps(span(plan, thing)):
            found[-1] = (*found[-1], *thing)
        else:
            found.append(thing)
    return found


def name(plan: Plan, index: int) -> str:
    """What it is called: its motif, or the cable's own name."""
    cable = plan.cable[index]
    return cable.motif or cable.name


def twin(plan: Plan, indices: tuple[int, ...]) -> tuple[int, ...]:
    """The cables of the twin, in the same order; none where there is none, or it is no twin any more."""
    motif = plan.cable[indices[0]].motif
    if motif is None:
        return ()
    other = motif.removesuffix(TWIN) if motif.endswith(TWIN) else motif + TWIN
    first = next((i for i, cable in enumerate(plan.cable) if cable.motif == other), None)
    found = () if first is None else members(plan, first)
    if len(found) != len(indices):
        return ()
    image = reshaping.mirrored(tuple(plan.cable[i] for i in indices), plan.panel.needles)
    # In the order of its own crossings the twin may stand otherwise than by its place in the plan.
    left = list(found)
    matched = []
    for cable in image:
        same = next((i for i in left if plan.cable[i].crossings == cable.crossings), None)
        if same is None:
            # Changed by hand since: what is done next makes it a mirror image again.
            return found
        left.remove(same)
        matched.append(same)
    return tuple(matched)


def loose_ends(plan: Plan) -> Iterator[tuple[int, str]]:
    """(cable, advice) for what stops in mid-repeat, or crosses in the panel's very last row."""
    ends = {segment.part: segment.fabric_row(segment.last) for segment in segments(plan)}
    for indices in things(plan):
        # One of the panel's goes on in the parts that have its needles.
        of = plan.cable[indices[0]].part
        rows = max(ends.values()) if of is None else ends.get(of, plan.panel.rows)
        cables = tuple(plan.cable[i] for i in indices)
        base, each = reshaping.step(cables), reshaping.turns(cables)
        count = reshaping.crossing_rows(cables, rows)
        if base is None or not count:
            continue
        last = min(c.first_row for c in cables) + (count - 1) * base
        if count % each and count > each:
            yield (
                indices[0],
                f"stops in mid-repeat after row {last:,}: {count - count % each:,} crossing rows are whole repeats",
            )
        elif last == rows:
            yield indices[0], f"crosses after the last row, {rows:,}: nothing is knit over it any more"


def put(cables: Sequence[Cable], indices: Sequence[int], new: Sequence[Cable]) -> list[Cable]:
    """The plan's cables with those at ``indices`` exchanged."""
    made = list(cables)
    for index, cable in zip(indices, new, strict=True):
        made[index] = cable
    return made


def changed(plan: Plan, indices: tuple[int, ...], new: Sequence[Cable]) -> list[Cable]:
    """The plan's cables with those at ``indices`` changed, and their twin's to the mirror image of it."""
    made = put(plan.cable, indices, new)
    if tied := twin(plan, indices):
        image = reshaping.mirrored(tuple(new), plan.panel.needles)
        old = [plan.cable[i] for i in tied]
        image = tuple(replace(c, name=o.name, motif=o.motif) for c, o in zip(image, old, strict=True))
        made = put(made, tied, image)
    return made


_ALIKE = ("ease", "enlarged_size", "extra_rows", "take_in", "part", "follows", "motif")
"""Keys that all cables of a motif have alike."""


def typed(plan: Plan, index: int, new: Cable) -> list[Cable]:
    """The plan's cables with one of them changed to ``new``; what it is one with, and its twin, follow it.

    Raises ValueError for a crossing of a motif changed by itself: its cells would come apart.
    """
    indices = members(plan, index)
    old = plan.cable[index]
    cables = tuple(plan.cable[i] for i in indices)
    if len(indices) > 1 and new.crossings != old.crossings:
        raise ValueError(f"a crossing of {old.motif}: take the motif apart first, then change this one")
    if len(indices) == 1:
        cables = (new,)
    else:
        cables = _timed(cables, old, new)
        alike = {key: getattr(new, key) for key in _ALIKE if getattr(new, key) != getattr(old, key)}
        cables = tuple(replace(cable, **alike) for cable in cables)
        cables = tuple(
            replace(cable, name=new.name) if i == index else cable for i, cable in zip(indices, cables, strict=True)
        )
    made = changed(plan, indices, cables)
    if new.motif != old.motif and new.motif is not None:
        for i in twin(plan, indices):
            made[i] = replace(made[i], motif=new.motif + TWIN)
    return made


def _timed(cables: reshaping.Cables, old: Cable, new: Cable) -> reshaping.Cables:
    """A motif's cables, when one of them crosses otherwise than before."""
    base = reshaping.step(cables)
    if new.every != old.every:
        if new.every is None or old.every is None or base is None:
            raise ValueError("a motif's cables come every so many rows: take it apart first")
        cables = reshaping.retimed(cables, max(1, new.every * base // old.every))
        base = reshaping.step(cables)
    if new.first_row != old.first_row:
        cables = reshaping.moved(cables, rows=new.first_row - old.first_row)
    if new.times != old.times:
        if new.times is None or base is None:
            return tuple(replace(cable, times=None) for cable in cables)
        skip = (new.first_row - min(c.first_row for c in cables)) // base
        cables = reshaping.counted(cables, skip + (new.times - 1) * ((new.every or base) // base) + 1)
    return cables
