"""Reach: will a crossing go over? An estimate, and it says so.

A half of *b* stitches crossing *a* stitches travels *a* needle pitches. With ℓ
the yarn in one loop and *e* the extra rows of a half,

    ρ = travel of both halves / (ℓ_front·(1 + e_front) + ℓ_back·(1 + e_back))

is compared with a limit that depends on the yarn (:mod:`purlside.ease.fibres`, or
refitted from the knitter's own crossings). The relation and its constants are
ours; beside it stands the widest gap between neighbours, since the sinker loop
there tightens first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from enum import StrEnum

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing
from purlside.ease.fibres import Limit, yarn_limit
from purlside.ease.loops import LoopLine, loop_line
from purlside.plan.plan import CLICK_SLACK, Cable, Plan
from purlside.values import Value

EASY = 0.9
"""Part of the limit below which a crossing goes over easily. Ours."""

EXTRA_ROWS = (2, 4, 6)
"""Extra rows "auto" tries. Ours: a half that is longer by more stands out as a bubble."""

MARGIN = 0.03
"""Part of the limit that enlarging and extra rows leave in hand where they can. Ours: a row's extra passes are not spent
on a per cent or two of yarn."""

BY_HAND_TIMES = 2.0
"""A stitch knit by hand to the rail, in loops at the dial's largest size. Ours, a rough estimate: measure one."""

_TINY = 1e-9


class Verdict(StrEnum):
    EASY = "easy"
    FIRM = "firm"
    NOT_ENOUGH = "not enough"


class Technique(Value):
    """A way to make a crossing easier. ``enlarged_size`` is for the half behind, ``extra_rows`` for the half in front."""

    enlarged_size: float | None = None
    extra_rows: int = 0
    by_hand: bool = False

    @property
    def name(self) -> str:
        """The plan's word for it."""
        return self._words("enlarge", "extra rows")

    def __str__(self) -> str:
        """``"enlarge to SS 8⅓ and 2 extra rows"``."""
        return self._words(f"enlarge to SS {size_text(self.enlarged_size or 0)}", f"{self.extra_rows} extra rows")

    def _words(self, enlarge: str, extra: str) -> str:
        said = {"by hand": self.by_hand, enlarge: self.enlarged_size is not None, extra: self.extra_rows > 0}
        return " and ".join(word for word, so in said.items() if so) or "plain"


class EaseChoice(Value):
    """What is done to ease one crossing, and why.

    ``enough`` is None where the plan names the ease itself: nothing was chosen.
    """

    technique: Technique
    why: str
    enough: bool | None


class Attempt(Value):
    """One technique tried on one crossing: yarn at hand in mm, reach ratio ρ (no unit), verdict."""

    technique: Technique
    yarn_mm: float
    ratio: float
    verdict: Verdict

    @property
    def enough(self) -> bool:
        return self.verdict is not Verdict.NOT_ENOUGH


class Reach(Value):
    """All a knitter can be told of one crossing's reach; lengths in mm, ``limit.value`` and ratios without unit.

    ``attempts`` holds plain, enlarge, extra rows, both, by hand, as far as the dial allows them, each the least that
    is enough with MARGIN in hand or else its most; ``easily`` the least enlarging and the least extra rows with which it goes over easily,
    as far as there are such; ``planned`` is what the plan asks for (or, for "auto", what was chosen).
    """

    crossing: Crossing
    size: float
    travel_pitches: int
    travel_mm: float
    gap_pitches: int
    gap_mm: float
    loop: LoopLine
    limit: Limit
    attempts: tuple[Attempt, ...]
    easily: tuple[Attempt, ...]
    planned: Attempt
    choice: EaseChoice

    @property
    def cheapest(self) -> Attempt | None:
        """The first attempt that is enough, or None."""
        return next((attempt for attempt in self.attempts if attempt.enough), None)


class _Bench(Value):
    """What one crossing is judged with."""

    travel_mm: float
    size: float
    loop: LoopLine
    limit: float
    dial: tuple[float, float]
    clicks: int

    def attempt(self, technique: Technique) -> Attempt:
        front = self.loop(self.size)
        if technique.by_hand:
            front = by_hand_loop(self.loop, self.dial)
        back = self.loop(self.size if technique.enlarged_size is None else technique.enlarged_size)
        yarn = front * (1 + technique.extra_rows) + back
        ratio = self.travel_mm / yarn
        return Attempt(technique, yarn, ratio, judge(ratio, self.limit))

    def sizes(self) -> Iterator[float]:
        """The dial's clicks above the row's size, smallest first."""
        first = math.floor(self.size * self.clicks + CLICK_SLACK) + 1
        last = math.floor(self.dial[1] * self.clicks + CLICK_SLACK)
        for click in range(first, last + 1):
            yield min(round(click / self.clicks, 2), self.dial[1])


def by_hand_loop(loop: LoopLine, dial: tuple[float, float]) -> float:
    """Yarn in a stitch knit by hand to the rail, mm; a rough estimate."""
    return BY_HAND_TIMES * loop(dial[1])


def judge(ratio: float, limit: float) -> Verdict:
    """Easy below 0.9 of the limit, firm up to the limit, else not enough."""
    if ratio < EASY * limit:
        return Verdict.EASY
    return Verdict.FIRM if ratio <= limit + _TINY else Verdict.NOT_ENOUGH


def travel(crossing: Crossing) -> int:
    """Pitches both halves travel together: the width of the other half each, more over out-of-work needles."""
    front, back = crossing.landing()
    half = max(abs(int(to) - int(was)) for was, to in zip(crossing.front, front, strict=True))
    return half + max(abs(int(to) - int(was)) for was, to in zip(crossing.back, back, strict=True))


def widest_gap(plan: Plan, crossing: Crossing) -> int:
    """Pitches between the neighbouring stitches that lie furthest apart once the crossing is done.

    Inside a panel and with no ladder near, max(n + m - 1, n + 1, m + 1) for n over m.
    """
    front, back = crossing.landing()
    place = {int(n): int(n) for n in plan.in_work}
    place |= {int(was): int(to) for was, to in zip(crossing.front, front, strict=True)}
    place |= {int(was): int(to) for was, to in zip(crossing.back, back, strict=True)}
    around = [place[n] for n in sorted(place)]
    moved = {int(n) for n in crossing.needles}
    order = sorted(place)
    return max(
        (abs(around[i + 1] - around[i]) for i in range(len(order) - 1) if order[i] in moved or order[i + 1] in moved),
        default=0,
    )


def choose(plan: Plan, cable: Cable, crossing: Crossing, size: float) -> EaseChoice:
    """The ease of one crossing in a row knit at ``size``; the plan alone decides it.

    A named ease is taken as the plan has it. For "auto" it is the first of
    plain, enlarge, extra rows, both whose ρ is within the limit. The
    ``enlarged_size`` and ``extra_rows`` are the plan's where it gives them, else
    the least that leave MARGIN of the limit in hand, or the most there are
    (sizes to the dial's click, EXTRA_ROWS). Where nothing
    is enough it is the one that comes nearest, with ``enough`` False.
    """
    if "auto" not in cable.eases:
        technique = _named(cable)
        return EaseChoice(technique, f"{technique}, as the plan says", None)
    bench = _bench(plan, crossing, size, yarn_limit(plan.yarn).value)
    tried = _tried(bench, cable.enlarged_size, cable.extra_rows)
    chosen = next((attempt for attempt in tried if attempt.enough), None)
    numbers = f"travel {bench.travel_mm:.1f} mm"
    if chosen is None:
        # Of equally good ones the first, which asks least of the knitter.
        nearest = min(tried, key=lambda attempt: attempt.ratio)
        why = (
            f"{nearest.technique}: nothing tried will reach; {numbers} over {nearest.yarn_mm:.1f} mm of yarn "
            f"is {nearest.ratio:.2f}, the limit {bench.limit:.2f}"
        )
        return EaseChoice(nearest.technique, why, False)
    why = (
        f"{chosen.technique}: {numbers} over {chosen.yarn_mm:.1f} mm of yarn is {chosen.ratio:.2f}, "
        f"within the limit {bench.limit:.2f}"
    )
    if tried[0] is not chosen:
        why += f"; plain would be {tried[0].ratio:.2f}"
    return EaseChoice(chosen.technique, why, True)


def reach(plan: Plan, cable: Cable, crossing: Crossing, size: float) -> Reach:
    """Every technique tried on one crossing in a row knit at ``size``."""
    judged = yarn_limit(plan.yarn)
    bench = _bench(plan, crossing, size, judged.value)
    choice = choose(plan, cable, crossing, size)
    pitch = plan.machine.pitch_mm
    gap = widest_gap(plan, crossing)
    return Reach(
        crossing=crossing,
        size=size,
        travel_pitches=travel(crossing),
        travel_mm=bench.travel_mm,
        gap_pitches=gap,
        gap_mm=gap * pitch,
        loop=bench.loop,
        limit=judged,
        attempts=(*_tried(bench), bench.attempt(Technique(by_hand=True))),
        easily=_easily(bench),
        planned=made_with(plan, crossing, size, choice),
        choice=choice,
    )


def made_with(plan: Plan, crossing: Crossing, size: float, choice: EaseChoice) -> Attempt:
    """A crossing eased as chosen, in a row knit at ``size``: its yarn at hand, reach ratio, verdict."""
    return _bench(plan, crossing, size, yarn_limit(plan.yarn).value).attempt(choice.technique)


def _bench(plan: Plan, crossing: Crossing, size: float, limit: float) -> _Bench:
    machine = plan.machine
    travelled = travel(crossing) * machine.pitch_mm
    return _Bench(travelled, size, loop_line(plan), limit, machine.dial, machine.dial_clicks)


def _named(cable: Cable) -> Technique:
    return Technique(
        cable.enlarged_size if "enlarge" in cable.eases else None,
        (cable.extra_rows or 0) if "extra rows" in cable.eases else 0,
        "by hand" in cable.eases,
    )


def _tried(bench: _Bench, given_size: float | None = None, given_rows: int | None = None) -> tuple[Attempt, ...]:
    """Plain, enlarge, extra rows, both; each as given, or the least that leaves MARGIN in hand, or else its most."""
    offered = bench.sizes() if given_size is None else iter([given_size])
    sizes = [size for size in offered if size > bench.size]
    rows = (given_rows,) if given_rows else EXTRA_ROWS
    attempts = [bench.attempt(Technique())]
    groups = (
        [Technique(size) for size in sizes],
        [Technique(None, extra) for extra in rows],
        [Technique(size, extra) for extra in rows for size in sizes],
    )
    return (*attempts, *(_least(bench, group) for group in groups if group))


def _easily(bench: _Bench) -> tuple[Attempt, ...]:
    """The least enlarged size, and the least extra rows, with which the crossing goes over easily."""
    groups = (map(Technique, bench.sizes()), (Technique(None, extra) for extra in EXTRA_ROWS))
    attempts = (map(bench.attempt, group) for group in groups)
    found = (next((a for a in tried if a.verdict is Verdict.EASY), None) for tried in attempts)
    return tuple(attempt for attempt in found if attempt is not None)


def _least(bench: _Bench, group: list[Technique]) -> Attempt:
    attempt = bench.attempt(group[0])
    for technique in group:
        attempt = bench.attempt(technique)
        if judge(attempt.ratio, bench.limit * (1 - MARGIN)) is not Verdict.NOT_ENOUGH:
            break
    return attempt
