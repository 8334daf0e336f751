"""What the knitter's own crossings have taught of a yarn, offered for a plan: its limit, and every move it would change.

Nothing here changes a plan by itself. The offer is taken by writing its limit
into the plan, and only then are rows knit otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from purlside.bed.needles import Crossing
from purlside.ease.fibres import Limit, yarn_limit
from purlside.ease.reach import Technique, choose
from purlside.figures.whole import prepared
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.values import Value

SAME = 0.005
"""Reach limits this close are one: they are written with two decimals."""


class Eased(Value):
    """One crossing that would be eased otherwise, in rows of one size: how it is now, and how then."""

    cable: str
    crossing: Crossing
    rows: int
    current: Technique
    then: Technique

    def __str__(self) -> str:
        return f"  {self.cable}, {self.crossing}, {self.rows:,} times: {self.current} now, {self.then} then"


def differences(plan: Plan, then: Plan) -> tuple[Eased, ...]:
    """The crossings that a plan and the same one with other numbers of its yarn knit otherwise."""
    calendar = Calendar(plan)
    cables = calendar.cables
    return tuple(
        Eased(cables[index].name, crossing, rows, before, after)
        for index, crossing, size, rows in prepared(calendar)
        if (before := choose(plan, cables[index], crossing, size).technique)
        != (after := choose(then, cables[index], crossing, size).technique)
    )


class LimitOffer(Value):
    """A reach limit learnt, beside the one a plan is judged with; both without unit."""

    current: Limit
    learnt: Limit
    changes: tuple[Eased, ...]

    def taken(self, plan: Plan) -> Plan:
        """The plan with the learnt limit written into it."""
        return replace(plan, yarn=replace(plan.yarn, reach_limit=self.learnt.value))

    @property
    def said(self) -> tuple[str, str]:
        """Both limits, and where they are from."""
        return (
            f"reach limit {self.learnt.value:.2f}, {self.learnt.source}",
            f"the plan is judged with {self.current.value:.2f}: {self.current.source}",
        )

    def lines(self) -> Iterator[str]:
        """The offer in words, the old and the new of every crossing that changes."""
        yield from self.said
        yield from map(str, self.changes)
        if not self.changes:
            yield "  no crossing would change"


def offer(plan: Plan, learnt: Limit) -> LimitOffer | None:
    """What a learnt limit would change in a plan without faults; None where the plan has that limit already."""
    current = yarn_limit(plan.yarn)
    if abs(current.value - learnt.value) < SAME:
        return None
    found = LimitOffer(current, learnt, ())
    return replace(found, changes=differences(plan, found.taken(plan)))
