"""The question turned round: the widest crossing this yarn will do on this bed, by each technique."""

from __future__ import annotations

import math

from purlside.ease.loops import LoopLine
from purlside.ease.reach import EXTRA_ROWS, Technique, Verdict, by_hand_loop, judge
from purlside.figures.tools import MOST_PRONGS, most_lifted
from purlside.plan.plan import Plan
from purlside.values import Value


class Widest(Value):
    """The most stitches of both halves together that go over easily, and firmly; 0 where not even 1 over 1 does.

    Neither is ever more than ``most``, what the bed has and tools can lift.
    ``per_stitch`` is the reach ratio ρ for each stitch of the crossing: ρ grows with the sum of both widths.
    """

    technique: Technique
    easy: int
    firm: int
    limit: float
    per_stitch: float
    most: int

    def verdict(self, stitches: int) -> Verdict:
        """The verdict for a crossing of that many stitches, both halves together."""
        return Verdict.NOT_ENOUGH if stitches > self.most else judge(stitches * self.per_stitch, self.limit)


def halves(stitches: int) -> str:
    """``"3 over 3"``, ``"3 over 4"``: that many stitches in halves as even as can be; ``"none"`` below 2."""
    return f"{stitches // 2} over {stitches - stitches // 2}" if stitches >= 2 else "none"


def liftable(plan: Plan) -> int:
    """The most stitches of both halves that can be crossed at all: the panel's needles, and tools in two hands."""
    lifted = most_lifted(plan.tools.prongs)
    by_tools = 2 * MOST_PRONGS if lifted is None else max((sum(pair) for pair in lifted), default=0)
    return min(len(plan.in_work), by_tools)


def widest(plan: Plan, line: LoopLine, limit: float) -> tuple[Widest, ...]:
    """One entry a technique, the easiest to knit first, at the panel's stitch size.

    "enlarge" is at the dial's largest size, absent where the panel is knit at it.
    """
    size, dial = plan.panel.stitch_size, plan.machine.dial
    largest = dial[1] if dial[1] > size else None
    techniques = [Technique(), *([Technique(largest)] if largest is not None else [])]
    techniques += [Technique(None, extra) for extra in EXTRA_ROWS]
    techniques += [Technique(largest, extra) for extra in EXTRA_ROWS] if largest is not None else []
    return tuple(_widest(plan, line, limit, technique) for technique in [*techniques, Technique(by_hand=True)])


def _widest(plan: Plan, line: LoopLine, limit: float, technique: Technique) -> Widest:
    own = line(plan.panel.stitch_size)
    front = by_hand_loop(line, plan.machine.dial) if technique.by_hand else own * (1 + technique.extra_rows)
    back = own if technique.enlarged_size is None else line(technique.enlarged_size)
    per_stitch = plan.machine.pitch_mm / (front + back)
    most = liftable(plan)
    # Rounded up, as the last one may fall just on the limit; judged one by one from there.
    likely = range(min(most, math.ceil(limit / per_stitch) + 1), 1, -1)
    judged = [(stitches, judge(stitches * per_stitch, limit)) for stitches in likely]
    easy = next((stitches for stitches, verdict in judged if verdict is Verdict.EASY), 0)
    firm = next((stitches for stitches, verdict in judged if verdict is not Verdict.NOT_ENOUGH), 0)
    return Widest(technique, easy, firm, limit, per_stitch, most)
