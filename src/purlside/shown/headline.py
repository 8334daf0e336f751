"""The headline: the one move to make now, with its needles, short enough for capitals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from purlside.bed.headline import Headline
from purlside.bed.moves import Dial, Hold, Knit, Lever
from purlside.bed.needles import Needle
from purlside.knitting.cursor import Knitting
from purlside.rows.steps import Step

AT_END = Headline("CAST OFF", "", "or knit on in waste yarn")


def headlines(step: Step, dial: float, in_work: Sequence[Needle]) -> Iterator[Headline]:
    """A headline for each move of a step that begins with the dial at ``dial``."""
    lever = any(isinstance(move, Lever) for move in step.moves)
    for move in step.moves:
        if isinstance(move, Dial):
            dial = move.size
        found = move.headline(dial, in_work)
        if isinstance(move, Hold) and step.push == 1 and not lever:
            found = replace(found, aside="; ".join(filter(None, ("is the hold lever on?", found.aside))))
        elif isinstance(move, Knit) and (step.push < step.pushes or step.by_hand_next):
            found = replace(found, aside="carry on clear of them")
        yield found


def step_spoken(knitting: Knitting) -> str:
    """The step in hand as it is said aloud."""
    step = knitting.step
    if step is None:
        return "the panel is finished"
    found = headlines(step, knitting.dial_at(step.first), knitting.working.in_work)
    told = ", then ".join(f"{head.verb.lower()} {head.what}".strip() for head in found)
    for sign, word in (
        ("◄", "left"),
        ("►", "right"),
        ("–", " to "),
        ("dial SS ", "dial to "),
        (" SS ", ", size "),
        ("FIRST", "first"),
        ("ROW", "row"),
    ):
        told = told.replace(sign, word)
    return told
