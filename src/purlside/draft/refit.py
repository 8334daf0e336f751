"""The same design for another machine, gauge, yarn or tools: laid again, and everything that changed told.

The panel keeps its size in cm, the cables their stitches, each strand as wide
as it was where there is room; rows between crossings keep their proportion to
the cable's width. What stands between the cables is shared out as it was. A
shaped panel is as wide at every height as it was, and cables that follow an
edge stay as far from it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

from purlside.bed.moves import size_text
from purlside.bed.needles import Needle, Span
from purlside.draft import reshaping, together
from purlside.draft.beginning import machine_of
from purlside.draft.hearing import gauge_of, yarn_of
from purlside.draft.refitmend import mended
from purlside.draft.refitplaces import Places, RowsTold, now_on_cables
from purlside.draft.refitshape import Reshaped, carried, ended, even, reshaped
from purlside.draft.refittold import RefitChange, changes
from purlside.ease.reach import choose
from purlside.figures.tools import lift
from purlside.plan import mirror
from purlside.plan.machine import Gauge, Machine, Tools, Yarn
from purlside.plan.plan import Cable, EaseName, Plan
from purlside.plan.problems import Unfit
from purlside.plan.repeats import RowSpan
from purlside.rows.calendar import Calendar
from purlside.values import dataclass

T = TypeVar("T")


class CannotRefit(ValueError):
    """A design that does not fit; the message says what to give up."""


@dataclass(frozen=True, slots=True)
class RefitFor:
    """What is to be another; None stays as it is."""

    machine: Machine | None = None
    yarn: Yarn | None = None
    gauge: Gauge | None = None
    tools: Tools | None = None
    stitch_size: float | None = None


def refit_for(
    plan: Plan, pitch: str | None = None, yarn: str | None = None, gauge: str | None = None, tools: str | None = None
) -> RefitFor:
    """What was typed, read. Raises ValueError, in words, for what cannot be, and where nothing is asked."""
    if not any((pitch, yarn, gauge, tools)):
        raise ValueError("say what is to be another: pitch, yarn, gauge or tools")
    machine, heard = None, None
    if pitch:
        other = _named("pitch", machine_of, pitch)
        machine = replace(plan.machine, pitch_mm=other.pitch_mm, needles=other.needles, counter_trip=None)
    if yarn:
        heard = _named("yarn", yarn_of, yarn)
    return RefitFor(
        machine=machine,
        yarn=heard.yarn if heard else None,
        stitch_size=heard.size if heard else None,
        gauge=_named("gauge", gauge_of, gauge) if gauge else None,
        tools=_named("tools", _tools, tools) if tools else None,
    )


def _tools(text: str) -> Tools:
    prongs = re.findall(r"\d+", text)
    if not prongs or re.sub(r"[\d\s,]|prongs?", "", text):
        raise ValueError('the prongs of each tool, as "2, 3, 3"')
    return Tools(prongs=tuple(map(int, prongs)))


def _named(what: str, read: Callable[[str], T], text: str) -> T:
    try:
        return read(text)
    except ValueError as error:
        raise ValueError(f"{what}: {error}") from None


@dataclass(frozen=True, slots=True)
class Refitted:
    """The plan laid again, what changed, and what to look at before knitting it."""

    plan: Plan
    changes: tuple[RefitChange, ...]
    said: tuple[str, ...]


def refit(plan: Plan, asked: RefitFor) -> Refitted:
    """The plan for what is asked. Raises CannotRefit."""
    return _Refit(plan, asked).made()


class _Refit:
    def __init__(self, plan: Plan, asked: RefitFor) -> None:
        self.old, self.panel = plan, plan.panel.needles
        self.shaped = bool(plan.shape or plan.part)
        self.said: list[str] = []
        machine = asked.machine or plan.machine
        yarn = self._yarn(asked)
        gauge = asked.gauge or (None if self._other_fabric(asked) else plan.gauge)
        if plan.gauge is not None and gauge is None:
            self.said.append(
                "the gauge was that of another yarn or machine and is left out: needles and rows stay as many; "
                "knit a swatch and refit with its gauge"
            )
        size = plan.panel.stitch_size if asked.stitch_size is None else asked.stitch_size
        low, high = machine.dial
        if not low <= size <= high:
            self.said.append(
                f"stitch size {size_text(size)} is not on this dial: {size_text(min(max(size, low), high))} taken"
            )
            size = min(max(size, low), high)
        self.across = self.up = 1.0
        if gauge is not None and plan.gauge is not None:
            self.across = gauge.stitches_per_10cm / plan.gauge.stitches_per_10cm
            self.up = gauge.rows_per_10cm / plan.gauge.rows_per_10cm
        self.base = replace(
            plan, machine=machine, yarn=yarn, gauge=gauge, tools=asked.tools or plan.tools, cable=(), stitch=(), band=(),
            reminder=(), shape=(), part=(),
        )  # fmt: skip
        self.size = size
        self.end = Calendar(plan).end
        self.rows = self.last = max(1, round(plan.panel.rows * self.up))

    def _other_fabric(self, asked: RefitFor) -> bool:
        machine = asked.machine
        return asked.yarn is not None or (machine is not None and machine.pitch_mm != self.old.machine.pitch_mm)

    def _yarn(self, asked: RefitFor) -> Yarn:
        """The yarn; loops and a limit measured on another stay behind."""
        yarn = asked.yarn or self.old.yarn
        if asked.yarn is None and self._other_fabric(asked) and yarn.loop_mm:
            self.said.append("the loops were measured on another machine and are left out")
            yarn = replace(yarn, loop_mm={})
        if asked.yarn is not None and self.old.yarn.reach_limit is not None:
            self.said.append("the reach limit was that of another yarn and is left out")
        return yarn

    def made(self) -> Refitted:
        things = [t for t in together.clusters(self.old) if not self._following(t)]
        old = [together.span(self.old, thing) for thing in things]
        groups = [tuple(self.old.cable[i] for i in thing) for thing in things]
        wide = len(self.old.panel.needles)
        count = even(wide * self.across, wide) if self.shaped else max(1, round(wide * self.across))
        groups, count = self._room(groups, old, count)
        bed = self.base.machine.bed
        if count > len(bed):
            raise CannotRefit(f"{count} needles are wanted for the same width; the bed has {len(bed)}")
        panel = Span(Needle(-(count // 2)), Needle(-(count // 2) + count - 1))
        shape = reshaped(self.old, panel, self.up)
        self.rows, self.last = shape.rows, shape.end
        self.said += shape.said
        self.base = replace(self.base, part=shape.parts)
        spans = _spread([reshaping.span(g) for g in groups], old, self.old.panel.needles, panel)
        cables = list(self.old.cable)
        for thing, group, span in zip(things, groups, spans, strict=True):
            cables = together.put(cables, thing, self._laid(group, span))
        for i in filter(lambda i: self._following((i,)), range(len(cables))):
            side = self.old.cable[i].follows
            by = int(panel.left) - int(self.panel.left) if side == "left" else int(panel.right) - int(self.panel.right)
            (taken,) = [reshaping.span((self.old.cable[i],))]
            (cables[i],) = self._laid((self.old.cable[i],), Span(Needle(taken.left + by), Needle(taken.right + by)))
        places = Places(old, spans, self.old.panel.needles, panel)
        new = self._plan(tuple(cables), panel, places, shape)
        new = replace(new, cable=tuple(self._eased(new, cable) for cable in new.cable))
        for i, times in list(ended(new)) if self.shaped else ():
            self.said.append(f"{new.cable[i].name} ends after {times} crossings: its needles are shaped away sooner")
            new = replace(new, cable=tuple(together.put(new.cable, (i,), (replace(new.cable[i], times=times),))))
        made = mended(new)
        aside = now_on_cables(self.old, made.plan, made.left.get("stitch", set()))
        self.said += [*made.said, *aside, *made.faults, *_lacking(made.plan)]
        laid = self._told(made.plan)
        return Refitted(laid, tuple(changes(self.old, laid, made.left)), tuple(self.said))

    def _told(self, plan: Plan) -> Plan:
        """The plan with what is told before its rows, each with the row it belongs to."""
        told = RowsTold(self.old, plan, self.up)
        reminder = tuple(
            replace(
                r, row=r.row and told(r.row), first_row=r.first_row and told(r.first_row), every=self._many(r.every)
            )
            for r in self.old.reminder
        )
        return replace(plan, reminder=reminder)

    def _many(self, rows: int | None) -> int | None:
        return None if rows is None else max(1, round(rows * self.up))

    def _following(self, thing: Sequence[int]) -> bool:
        """Whether a cable keeps its distance from an edge, whatever is between the others."""
        return all(self.old.cable[i].follows is not None for i in thing)

    def _room(
        self, groups: list[reshaping.Cables], old: Sequence[Span], count: int
    ) -> tuple[list[reshaping.Cables], int]:
        """Cables narrow enough for the panel, and its needles, one more where the middle would be lost."""
        wide = sum(len(reshaping.span(g)) for g in groups)
        while wide > count:
            narrower = [reshaping.widened(g, -1) for g in groups]
            now = sum(len(reshaping.span(g)) for g in narrower)
            if now >= wide:
                names = ", ".join(g[0].motif or g[0].name for g in groups)
                raise CannotRefit(f"the cables take {wide} needles and the panel has {count}: leave one out of {names}")
            self.said.append(f"strands are a stitch narrower: the cables took {wide} of {count} needles")
            groups, wide = narrower, now
        # A panel that has a cable in its middle has needles enough for one.
        middle = next((g for g, was in zip(groups, old, strict=True) if _middle(was) == _middle(self.panel)), None)
        return groups, count + (0 if middle is None else (count - len(reshaping.span(middle))) % 2)

    def _laid(self, group: reshaping.Cables, span: Span) -> reshaping.Cables:
        """A group at its new place, its rows in proportion."""
        taken = reshaping.span(group)
        moved = reshaping.moved(group, int(span.left) - int(taken.left))
        base = reshaping.step(moved)
        first = min(c.first_row for c in moved)
        start = max(1, min(round(first * self.up), self.last))
        if base is not None:
            old_rows = self.end
            count = reshaping.crossing_rows(moved, old_rows)
            endless = all(c.times is None for c in moved)
            end = first + base * (count - 1)
            every = max(1, round(base * self.up / self.across))
            moved = reshaping.retimed(moved, every)
            # What ended before the panel did still does: nothing is crossed that no row is knit over.
            top = min(end / old_rows * self.last, self.last - (end < old_rows))
            fits = max(1, int((top - start) // every) + 1)
            each = reshaping.turns(moved)
            if not endless or (end < old_rows and (self.last - start) % every == 0):
                wholly = len(moved) > 1 or count % each == 0
                moved = reshaping.counted(moved, max(each, fits // each * each) if wholly else fits)
        return reshaping.moved(moved, rows=start - first)

    def _plan(self, cables: tuple[Cable, ...], panel: Span, places: Places, shape: Reshaped) -> Plan:
        old = self.old

        def row(number: int) -> int:
            return max(1, min(round(number * self.up), self.last))

        def moved(needles: Sequence[Needle]) -> tuple[Needle, ...]:
            return tuple(sorted({places(n) for n in needles}))

        stitch = tuple(
            replace(s, needles=moved(s.needles), first_row=row(s.first_row), every=s.every and row(s.every))
            for s in old.stitch
        )
        band = tuple(replace(b, rows=RowSpan(row(b.rows.first), row(b.rows.last))) for b in old.band)
        new_panel = replace(
            old.panel, needles=panel, rows=self.rows, stitch_size=self.size, out_of_work=moved(old.panel.out_of_work),
            weights_every=self._many(old.panel.weights_every),
        )  # fmt: skip
        try:
            laid = replace(self.base, panel=new_panel, cable=cables, stitch=stitch, band=band, shape=shape.shapes)
            return replace(laid, shape=tuple(carried(laid, self.old)))
        except Unfit as unfit:
            raise CannotRefit(str(unfit)) from None

    def _eased(self, plan: Plan, cable: Cable) -> Cable:
        """Eased anew; a stitch knit by hand is for show and stays, ``auto`` stays and chooses for itself."""
        if cable.eases & {"by hand", "auto"}:
            return cable
        free = replace(cable, ease="auto", enlarged_size=None, extra_rows=None)
        technique = choose(plan, free, free.crossings[0], plan.panel.stitch_size).technique
        size, rows = technique.enlarged_size or None, technique.extra_rows or None
        ease: EaseName | tuple[EaseName, ...] = "enlarge" if size else "extra rows" if rows else "plain"
        return replace(
            cable, ease=("enlarge", "extra rows") if size and rows else ease, enlarged_size=size, extra_rows=rows
        )


def _lacking(plan: Plan) -> Iterator[str]:
    """Tools that its cables want and there are not."""
    for cable in plan.cable:
        found = lift(cable.crossings[0], plan.tools.prongs)
        if found.missing:
            yield f"{cable.name}: {found.missing_words}"


def _spread(new: Sequence[Span], old: Sequence[Span], before: Span, panel: Span) -> list[Span]:
    """Where the cables go: what is between them shared out as it was; one in the middle stays there."""
    middle = next((i for i, span in enumerate(old) if _middle(span) == _middle(before)), None)
    if middle is None or (len(panel) - len(new[middle])) % 2:
        return _shared(new, old, before, panel)
    left = int(panel.left) + (len(panel) - len(new[middle])) // 2
    centre = Span(Needle(left), Needle(left + len(new[middle]) - 1))
    sides: list[list[Span]] = []
    for part, was, now in (
        (slice(middle), (before.left, old[middle].left - 1), (panel.left, centre.left - 1)),
        (slice(middle + 1, None), (old[middle].right + 1, before.right), (centre.right + 1, panel.right)),
    ):
        if sum(map(len, new[part])) > int(now[1]) - int(now[0]) + 1:
            return _shared(new, old, before, panel)
        if not new[part]:
            sides.append([])
            continue
        ends = [Span(Needle(a), Needle(b)) for a, b in (was, now)]
        # The side on the right as in a mirror, so that a mirror image stays one.
        listed = [list(new[part]), list(old[part]), *([end] for end in ends)]
        if part.start is not None:
            listed = [[mirror.span(span) for span in reversed(spans)] for spans in listed]
        shared = _shared(listed[0], listed[1], listed[2][0], listed[3][0])
        sides.append(shared if part.start is None else [mirror.span(span) for span in reversed(shared)])
    return [*sides[0], centre, *sides[1]]


def _middle(span: Span) -> int:
    return int(span.left) + int(span.right)


def _shared(new: Sequence[Span], old: Sequence[Span], before: Span, panel: Span) -> list[Span]:
    """What is between the cables shared out as it was, the same from both ends."""
    edges = [int(before.left) - 1, *(int(e) for s in old for e in (s.left, s.right)), int(before.right) + 1]
    gaps = [max(0, b - a - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    free, total = len(panel) - sum(map(len, new)), sum(gaps)
    shared = [free // 2, *([0] * len(old))]
    if total:
        shared = [free * gap // total for gap in gaps]
        # What is left over goes where most was lost, in pairs from both ends inwards, so that a mirror image stays one.
        order = sorted(range((len(gaps) + 1) // 2), key=lambda i: -(free * gaps[i] % total))
        left = free - sum(shared)
        for i in order * 2:
            j = len(gaps) - 1 - i
            if i != j and left >= 2:
                shared[i], shared[j], left = shared[i] + 1, shared[j] + 1, left - 2
        shared[len(gaps) // 2] += left
    found, at = [], int(panel.left)
    for gap, span in zip(shared, new, strict=False):
        at += gap
        found.append(Span(Needle(at), Needle(at + len(span) - 1)))
        at += len(span)
    return found
