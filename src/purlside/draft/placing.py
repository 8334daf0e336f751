"""Texts and choices a cable is placed with: what is crossed, what it is called, how it is eased."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from purlside.bed.needles import MOST_A_SIDE, Crossing, Needle, Side
from purlside.draft import reshaping, together
from purlside.ease.reach import reach
from purlside.fabric import written
from purlside.plan.plan import Cable, EaseName, Plan

EASES: tuple[tuple[EaseName, ...], ...]
EASES = (("plain",), ("enlarge",), ("extra rows",), ("enlarge", "extra rows"), ("by hand",), ("auto",))
"""The ways to ease a crossing, in the order they are offered."""

ALLOWED = '3/3 RC, 3/3 LC, C6F, C6B and the like; "3 over 3 right" (right half at the bed in front); or needles, "R1-R3 over L3-L1"'

_HALVES = re.compile(r"(\d{1,2})\s*(?:/|over)\s*(\d{1,2})[\s,]+(left|right)(?:\s+half)?(?:\s+in front)?")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def crossing(text: str, at: Needle, *, leftward: bool) -> Crossing:
    """What a text asks for, from ``at`` to the right at the bed, or ``leftward`` to the left; needles named stay.

    Raises ValueError for a text that is not :data:`ALLOWED`.
    """
    text = " ".join(text.split())
    if re.match(r"[LR]\d", text):
        return Crossing.parse(text)
    if match := _HALVES.fullmatch(text.lower()):
        front, back = int(match[1]), int(match[2])
        if not 1 <= front + back <= written.MOST_STITCHES or not front or not back:
            raise ValueError(f"each half has 1 stitch or more, and both together at most {written.MOST_STITCHES}")
        made = written.crossing(Side(match[3]), front, back, Needle(0))
    else:
        made = written.parse(text, Needle(0))
    left = leftmost(at, len(made.needles), leftward=leftward)
    return written.crossing(made.front_side, len(made.front), len(made.back), left)


def leftmost(at: Needle, width: int, *, leftward: bool) -> Needle:
    """The leftmost of ``width`` needles that begin at ``at``, kept on any bed."""
    left = int(at) - width + 1 if leftward else int(at)
    return Needle(max(-MOST_A_SIDE, min(left, MOST_A_SIDE - width)))


def fresh_name(taken: Iterable[str], base: str, *, letters: bool = False) -> str:
    """A name that none has, nor begins with: ``"cable 2"``, ``"plait B"``."""
    names = list(taken)
    free = (f"{base} {end}" for end in (*(_LETTERS if letters else ""), *range(1, len(names) + 2)))
    return next(name for name in free if not any(f"{other} ".startswith(f"{name} ") for other in names))


def next_ease(plan: Plan, cable: Cable, *, knittable: bool) -> Cable:
    """The cable eased in the next way; a size or rows it needs are the least that are enough, or else the most."""
    now = next((i for i, eases in enumerate(EASES) if frozenset(eases) == cable.eases), -1)
    eases = EASES[(now + 1) % len(EASES)]
    update: dict[str, Any] = {"ease": eases[0] if len(eases) == 1 else list(eases)}
    tried = {}
    if knittable:
        made = reach(plan, cable, cable.crossings[0], plan.panel.stitch_size)
        tried = {attempt.technique.name: attempt.technique for attempt in made.attempts}
    if "enlarge" in eases and cable.enlarged_size is None:
        size = tried["enlarge"].enlarged_size if "enlarge" in tried else None
        update["enlarged_size"] = plan.machine.dial[1] if size is None else size
    if "extra rows" in eases and cable.extra_rows is None:
        update["extra_rows"] = (tried["extra rows"].extra_rows if "extra rows" in tried else 0) or 2
    return replace(cable, **update)


def spaced(plan: Plan) -> tuple[tuple[Cable, ...], int]:
    """All motifs and cables at equal distances across the panel, and the least of those distances in needles.

    They keep their order. Raises ValueError where they are wider together than the panel.
    """
    things = together.clusters(plan)
    spans = [together.span(plan, thing) for thing in things]
    panel = plan.panel.needles
    free = len(panel) - sum(map(len, spans))
    if free < 0:
        raise ValueError(f"the cables are {-free} needles wider together than the panel")
    cables = list(plan.cable)
    taken, count = 0, len(things)
    for i, (thing, span) in enumerate(zip(things, spans, strict=True)):
        # What is left over goes to the middle: left of it gaps are rounded down, right of it up.
        gaps = free * (i + 1)
        before = gaps // (count + 1) if 2 * (i + 1) <= count + 1 else -(-gaps // (count + 1))
        shift = int(panel.left) + before + taken - int(span.left)
        taken += len(span)
        cables = together.put(cables, thing, reshaping.moved(tuple(plan.cable[j] for j in thing), shift))
    return tuple(cables), free // (count + 1)
