"""Where needles and rows of a plan go when it is laid again: a bead with its cables, a marker with its shaping."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from itertools import pairwise

from purlside.bed.needles import Needle, Span, needles_text
from purlside.plan.plan import Plan
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.work.work import edge_kind

CLOSE_TO = 4
"""Needles from a cable or an edge up to which what stands there keeps its distance. Ours."""


class Places:
    """Where a needle of the old panel goes: with its cable, as far from the nearest cable or edge as it was where that is
    close, else in proportion to the room between them."""

    def __init__(self, old: Sequence[Span], new: Sequence[Span], before: Span, panel: Span) -> None:
        self._panel, self._spans = panel, list(zip(old, new, strict=True))
        self._marks = sorted([
            (int(before.left) - 1, int(panel.left) - 1),
            *((int(a.left), int(b.left)) for a, b in self._spans),
            *((int(a.right), int(b.right)) for a, b in self._spans),
            (int(before.right) + 1, int(panel.right) + 1),
        ])  # fmt: skip

    def __call__(self, needle: int) -> Needle:
        if any(a.left <= needle <= a.right for a, _ in self._spans):
            was, now = min(self._marks, key=lambda mark: abs(mark[0] - needle))
            at = now + needle - was
        else:
            at = self._between(needle)
        return Needle(max(int(self._panel.left), min(at, int(self._panel.right))))

    def _between(self, needle: int) -> int:
        low = max((mark for mark in self._marks if mark[0] < needle), default=self._marks[0])
        high = min((mark for mark in self._marks if mark[0] > needle), default=self._marks[-1])
        was, room = high[0] - low[0], max(0, high[1] - low[1])
        left, right = needle - low[0], high[0] - needle
        far = min(left, right)
        kept = far if far <= CLOSE_TO else max(CLOSE_TO, round(far * room / was))
        kept = min(kept, room // 2)
        # In the middle it goes by the outer of the two, so that a mirror image stays one.
        return low[1] + kept if left < right or (left == right and needle < 0) else high[1] - kept


class RowsTold:
    """Where what is told before a row goes: with the shaping done in that row, the first and the last row of the panel and
    its parts; between these in proportion. ``up`` is how many rows there are for each of the old ones."""

    def __init__(self, old: Plan, new: Plan, up: float) -> None:
        self._up, self._end = up, Calendar(new).end
        self._at: dict[int, int] = {}
        if old.shape or old.part:
            shaped, again = _shaping(old), _shaping(new)
            for key, rows in shaped.items():
                there = again.get(key, [])
                for i, row in enumerate(rows if there else []):
                    # The first comes with the first, the last with the last.
                    self._at.setdefault(row, there[round(i * (len(there) - 1) / max(1, len(rows) - 1))])
            self._at.setdefault(old.panel.rows + 1, new.panel.rows + 1)
            self._at.setdefault(Calendar(old).end, self._end)
        self._at[old.panel.rows] = new.panel.rows

    def __call__(self, number: int) -> int:
        return max(1, min(self._at[number] if number in self._at else self._between(number), self._end))

    def _between(self, number: int) -> int:
        if len(self._at) == 1:
            return round(number * self._up)
        marks = [(0, 0)]
        for mark in sorted(self._at.items()):
            if mark[1] > marks[-1][1]:
                marks.append(mark)
        for (a, b), (c, d) in pairwise(marks):
            if a < number < c:
                return b + round((number - a) * (d - b) / (c - a))
        return round(number * self._up)


Key = tuple[str, str, str | None, int]
"""What is done, at which edge, of which part; 1 where it is the other edge, done a row later."""


def _shaping(plan: Plan) -> dict[Key, list[int]]:
    """The rows in which each thing is done at the edges."""
    ends = {segment.part: segment.fabric_row(segment.last) for segment in Calendar(plan).segments}
    found: dict[Key, list[int]] = {}
    for shape in plan.shape:
        repeat = Repeat.within(ends[shape.part], shape.first_row, shape.every, shape.times)
        turns = shape.edge == "both" and edge_kind(shape.do).at_carriage is not None
        for late in range(1 + turns):
            rows = [repeat.first + repeat.every * k + late for k in range(repeat.of)]
            found.setdefault((shape.do, shape.edge, shape.part, late), []).extend(rows)
    return {key: sorted(rows) for key, rows in found.items()}


def now_on_cables(old: Plan, new: Plan, out: Set[int]) -> Iterator[str]:
    """Work on single needles that has come to lie on a cable, or whose needles came together; ``out`` is left out."""
    kept = [i for i in range(len(old.stitch)) if i not in out]
    if not kept:
        return
    before, after = _crossed(old), _crossed(new)
    for i, again in zip(kept, new.stitch, strict=True):
        was = old.stitch[i]
        for cable, needles in after.items():
            if (on := needles & set(again.needles)) and not before.get(cable, frozenset()) & set(was.needles):
                named = needles_text(sorted(map(Needle, on)), count=False)
                verb = "lies" if len(on) == 1 else "lie"
                yield f"single needles {i + 1}: {named} {verb} on {cable} now; lay this work aside, or let it cross with it"
        if len(again.needles) < len(was.needles):
            fewer = len(was.needles) - len(again.needles)
            yield f"single needles {i + 1}: {fewer} of its needles fell on another and {'is' if fewer == 1 else 'are'} gone"


def _crossed(plan: Plan) -> Mapping[str, Set[int]]:
    """The needles each cable crosses, wherever its edge has taken it."""
    calendar = Calendar(plan)
    found: dict[str, set[int]] = {}
    for number in range(1, calendar.rows + 1):
        for made in calendar.crossed(number):
            found.setdefault(made.name, set()).update(map(int, made.crossing.needles))
    return found
