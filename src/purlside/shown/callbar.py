"""The call bar: what kind of row this is, the call that stands here, how far along the row is."""

from __future__ import annotations

from purlside.knitting.calling import Call, CallKind
from purlside.text.signs import Glyphs, Line, Tone, columns, cut
from purlside.values import Value

NARROW = 60
"""Columns below which the row's steps are told in figures alone."""


class Trouble(Value):
    """What keeps steps from being kept, or what became of the plan's file: in two words, and in full."""

    short: str = ""
    full: str = ""


NO_TROUBLE = Trouble()


def bar(kind: str, call: Call | None, trouble: Trouble, step: int, steps: int, width: int, glyphs: Glyphs) -> Line:
    """One line: outlined for what comes next, filled for what is now; ``step`` of ``steps`` at its end."""
    ends: Line = []
    if steps > 1:
        marks = f"{glyphs.done * (step - 1)}{glyphs.doing}{glyphs.to_do * (steps - step)}"
        told = f"step {step} of {steps}" if width >= NARROW else f"{step} of {steps}"
        ends = [(f" {told} {marks} " if width >= NARROW and steps < width // 6 else f" {told} ", Tone.STRONG)]
    words = trouble.full if call is None else ""
    if trouble.short and not words:
        ends.append((f" !! {trouble.short} ", Tone.TROUBLE))
    room = width - columns(ends)
    if words:
        return [(f"!! {cut(words, room - 6)} !!".ljust(room), Tone.TROUBLE), *ends]
    if call is None:
        left = f"{glyphs.bed * 2} {kind} "
        return [(left + glyphs.bed * max(0, room - len(left)), Tone.QUIET), *ends]
    said = call.seen(max(8, room - 6))
    if call.kind is CallKind.COMING:
        left, right = f"{glyphs.bed * 2}{glyphs.outline[0]}", f"{glyphs.outline[1]}"
        rest = glyphs.bed * max(0, room - len(left) - len(right) - len(said) - 2)
        return [(left, Tone.QUIET), (f" {said} ", Tone.COMING), (right + rest, Tone.QUIET), *ends]
    tone = Tone.FINISHED if call.kind is CallKind.FINISHED else Tone.NOW
    return [(f"  {said}".ljust(room), tone), *ends]
