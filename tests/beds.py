"""Beds for tests: moves written as text, and all that is true of a bed as one comparable value."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import Demand
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return, Tell, Weights
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Cross


def state(bed: Bed) -> tuple[Any, ...]:
    """Everything that is true of the bed, as one comparable value."""
    return (
        tuple(bed.position),
        tuple(bed.loops),
        tuple(bed.rows),
        tuple(bed.loop_size),
        tuple(bed.strand),
        bed.in_work,
        bed.carriage,
        bed.dial,
        bed.lever,
        bed.yarn,
    )


def _from_spans(text: str) -> tuple[Needle, ...]:
    return tuple(n for part in text.split() for n in Span.parse(part))


def _knit(text: str) -> Knit:
    head, needles = text.split(":")
    toward, _, beyond = head.split()
    side = Side(toward)
    ordered = tuple(sorted(_from_spans(needles), reverse=side is Side.LEFT))
    return Knit(side, Needle.parse(beyond), ordered)


def _back_up(text: str) -> BackUp:
    toward, _, beyond = text.split()
    return BackUp(Side(toward), Needle.parse(beyond))


def _cross(text: str) -> Cross:
    crossing, _, cable = text.partition(" as ")
    return Cross(cable, Crossing.parse(crossing))


_PARSERS: dict[str, Callable[[str], Move]] = {
    "dial": lambda text: Dial(float(text)),
    "hold": lambda text: Hold(_from_spans(text)),
    "return": lambda text: Return(_from_spans(text)),
    "knit": _knit,
    "back-up": _back_up,
    "by-hand": lambda text: ByHand(_from_spans(text)),
    "cross": _cross,
    "weights": lambda text: Weights(_from_spans(text)),
    "tell": Tell,
}


def parse(text: str) -> Move:
    """The move that prints as ``text``. Raises ValueError."""
    match = re.match(r"([a-z-]+) (.+)$", text, re.DOTALL)
    if not match or match[1] not in _PARSERS:
        raise ValueError(f"{text!r} is not a move")
    try:
        return _PARSERS[match[1]](match[2])
    except ValueError as error:
        raise ValueError(f"{text!r} is not a move: {error}") from error


def fewest_movements(demand: Demand) -> int:
    """The least number of carriage movements, knitting passes and back-ups together.

    The closed form: 1 + Σ over boundaries of |a − b|/2 where the size stays,
    (a + b)/2 + 1 where it changes or by-hand needles lie between; a and b are
    the rows of two neighbours among the needles the carriage knits, and an
    imagined neighbour with one row and the same size stands beyond each outer
    edge of those needles. Derived here; checked against an exhaustive search.
    """
    knit = [i for i, hand in enumerate(demand.by_hand) if not hand]
    movements = 1 + (demand.rows[knit[0]] - 1) // 2 + (demand.rows[knit[-1]] - 1) // 2
    for i, j in pairwise(knit):
        a, b = demand.rows[i], demand.rows[j]
        if demand.sizes[i] == demand.sizes[j] and j == i + 1:
            movements += abs(a - b) // 2
        else:
            movements += (a + b) // 2 + 1
    return movements
