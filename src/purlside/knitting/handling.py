"""What weights and edges want at a step: where it matters, once in a row, in few words. Common practice, no source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from purlside.bed.moves import BackUp, Knit
from purlside.bed.needles import Needle, needles_text
from purlside.knitting.mends import Unknit
from purlside.rows.steps import Step


def handling(steps: Sequence[Step]) -> list[str]:
    """Of each step of a row what is to be minded, or nothing."""
    told: list[str] = []
    said: set[str] = set()
    for key, text in _wants(steps):
        told.append("" if key in said else text)
        said.add(key)
    return told


def _wants(steps: Sequence[Step]) -> Iterator[tuple[str, str]]:
    """Of each step what it wants, and the kind of that, which is said once a row."""
    again = _knit_again(steps)
    knit: set[Needle] = set()
    backed = False
    for step in steps:
        push = step.knits
        if step.crosses is not None:
            yield "claw", "Ease the claw weight off this cable before you lift it"
        elif push is None or step.mends:
            yield "", ""
        elif repeated := tuple(sorted(n for n in push.needles if n in knit)):
            yield "down", f"Pull down under {needles_text(repeated, count=False)} while they knit again"
        elif again and not knit:
            yield "edge", "Extra rows follow: edge claws up first"
        elif backed:
            yield "turn", "Take up the slack where the yarn turns"
        else:
            yield "", ""
        for move in step.moves:
            if isinstance(move, Knit):
                knit.update(move.needles)
            elif isinstance(move, Unknit):
                knit.difference_update(move.needles)
        backed = any(isinstance(move, BackUp) for move in step.moves)


def _knit_again(steps: Sequence[Step]) -> bool:
    """Whether any needle is knit more than once in the row."""
    rows: Counter[Needle] = Counter()
    for move in (move for step in steps for move in step.moves):
        if isinstance(move, Unknit):
            rows.subtract(move.needles)
        elif isinstance(move, Knit):
            rows.update(move.needles)
    return any(many > 1 for many in rows.values())
