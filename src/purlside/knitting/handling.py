"""What weights and edges want at a step: where it matters, once in a row, in few words. Common practice, no source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from enum import Enum
from typing import NamedTuple

from purlside.bed.moves import BackUp, Knit
from purlside.bed.needles import Needle, needles_text
from purlside.knitting.mends import Unknit
from purlside.rows.steps import Step


class Why(Enum):
    """What is minded once a row."""

    CLAW = "the weight on a cable"
    EDGE = "the weights at the edges"
    AGAIN = "needles that knit again"
    TURN = "the yarn where it turns"


class Want(NamedTuple):
    """Something to be minded at a step."""

    why: Why
    words: str

    @property
    def first(self) -> bool:
        """Whether it comes before the step's moves."""
        return self.why in (Why.CLAW, Why.EDGE)


def handling(steps: Sequence[Step]) -> list[Want | None]:
    """Of each step of a row what is to be minded, or nothing."""
    told: list[Want | None] = []
    said: set[Why] = set()
    for want in _wants(steps):
        told.append(want if want is not None and want.why not in said else None)
        said.update([want.why] if want is not None else ())
    return told


def _wants(steps: Sequence[Step]) -> Iterator[Want | None]:
    """Of each step what it wants."""
    again = _knit_again(steps)
    knit: set[Needle] = set()
    backed = False
    for step in steps:
        push = step.knits
        if step.crosses is not None:
            yield Want(Why.CLAW, "First ease the claw weight off this cable")
        elif push is None or step.mends:
            yield None
        elif repeated := tuple(sorted(n for n in push.needles if n in knit)):
            yield Want(Why.AGAIN, f"Pull down under {needles_text(repeated, count=False)} while they knit again")
        elif again and not knit:
            yield Want(Why.EDGE, "Extra rows follow: edge claws up first")
        elif backed:
            yield Want(Why.TURN, "Take up the slack where the yarn turns")
        else:
            yield None
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
