"""The cable of the row, or one half of it, filling the screen: for reading from two metres."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from purlside.bed.bed import Position
from purlside.bed.moves import ByHand, Return, Weights, size_text
from purlside.bed.needles import Side
from purlside.rows.steps import Step
from purlside.shown import strip
from purlside.shown.framing import Frame
from purlside.shown.letters import HEIGHT, big
from purlside.shown.strip import GUTTER, Glyphs, Line, Tone, View

LEAST = 4
"""Columns a needle below which fewer needles are shown."""
MOST = 14
LANE = 6
"""Lines a lane, at most."""
_FIXED = 4
"""Lines beside the lanes: numbers, cable, rail, carriage."""


def spelled(size: float) -> str:
    """A stitch size without signs the big letters lack: ``"6 1/3"``."""
    text = size_text(size)
    return text.replace("⅓", " 1/3").replace("⅔", " 2/3").strip()


_AFTER: tuple[tuple[type, str], ...] = ((ByHand, "by hand"), (Return, "return"), (Weights, "weights up"))
"""What a step after the row's last push asks first."""


def told(row: int, step: Step | None, dial: float) -> tuple[str, str]:
    """What is written big: where one is, and what to do."""
    if step is None:
        return "FINISHED", ""
    where = f"ROW {row}"
    if (cross := step.crosses) is not None:
        return f"{where} CROSS", f"{cross.crossing.front_side} first"
    if step.push and step.pushes > 1:
        where = f"{where}  {step.push}/{step.pushes}"
    if (knit := step.knits) is not None:
        return where, f"{_arrow(knit.toward)} knit SS {spelled(dial)}"
    if (back := step.backs_up) is not None:
        return where, f"{_arrow(back.toward)} back up"
    asked = next((said for kind, said in _AFTER if any(isinstance(move, kind) for move in step.moves)), "see step")
    return where, asked


def _arrow(side: Side) -> str:
    return "<" if side is Side.LEFT else ">"


def part(view: View, width: int) -> Frame:
    """The needles shown: the cable the step is about with a neighbour on each side, or what of it fits."""
    panel = view.bed.panel
    left, right = int(panel.left), int(panel.right)
    most = max(1, (width - 2) // LEAST)
    wanted = (left, right)
    for group in strip.in_play(view)[1 if len(view.crossed) > 1 else 0 :]:
        low, high = max(left, min(group) - 1), min(right, max(group) + 1)
        if high - low < most:
            wanted = low, high
            break
        if max(group) - min(group) < most:
            wanted = min(group), max(group)
            break
    first, last = wanted
    if last - first + 1 > most:
        first = max(left, min((first + last + 1) // 2 - most // 2, right - most + 1))
        last = first + most - 1
    per = max(1, min(MOST, (width - 2) // (last - first + 1)))
    return Frame(per, first, last, False)


def draw(view: View, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """The needles in lanes, each lane several lines high, in at most ``height`` lines; where on the bed they are."""
    fit = part(view, max(1, width - GUTTER))
    painter = strip.Painter(view, fit, glyphs)
    panel = view.bed.panel
    cut = (fit.first, fit.last) != (int(panel.left), int(panel.right)) and height > _FIXED + 3
    fixed = _FIXED + cut
    tall = max(1, min(LANE, (height - fixed) // 3))
    spare = height - fixed - 3 * tall
    lines = [painter.numbers(), painter.cable()]
    if spare >= 1:
        lines.append(painter.rows())
    lines.append(painter.rail())
    for name, lane in (("working", Position.WP), ("upper", Position.UWP), ("holding", Position.HP)):
        wide = {
            column + i: cell
            for column, cell in painter.marks(lane).items()
            for i in range(-((fit.per - 2) // 2), fit.per // 2)
        }
        if lane is Position.WP:
            wide |= {fit.column(n): (glyphs.none, Tone.QUIET) for n in painter.places if _is_out(view, n)}
        lines += [painter.line(name if i == 0 else "", wide) for i in range(tall)]
    lines.append(painter.carriage())
    if spare >= 2:
        lines.append(painter.yarn())
    if cut:
        lines.append(painter.overview(max(1, width - GUTTER)))
    return lines


def _is_out(view: View, place: int) -> bool:
    """Whether a needle is out of work: a ladder, told beside the working ones as on paper."""
    return view.bed.at(place) is Position.NWP


def screen(
    view: View,
    row: int,
    step: Step | None,
    dial: float,
    width: int,
    height: int,
    glyphs: Glyphs,
    steps: Sequence[str] = (),
    state: Sequence[str] = (),
) -> list[Line]:
    """All of it: the row and the pass, what to do, every move of the step, the needles; at most ``height`` lines.

    ``steps`` are the step's moves in full: what is written big is only the
    push. ``state`` is where the carriage stands, in words that get shorter.
    Where there is little room the row is written small with it beside; then the
    needles go, which half drawn would mislead, and moves left out are counted.
    """
    where, what = told(row, step, dial)
    moves: list[Line] = [
        [(f" {part}", Tone.NUMBER)]
        for step in steps
        for part in textwrap.wrap(step, max(10, width - 2), subsequent_indent="   ")
    ]
    least = _FIXED + 3
    push = _big(what, Tone.MOVING, width, height, glyphs) if what else []
    head = _big(where, Tone.NUMBER, width, height, glyphs)
    below = [[(f" {each}", Tone.NUMBER)] for each in state[:1]]
    if len(head) + len(push) + len(below) + len(moves) + least > height:
        beside = next((f"   {each}" for each in state if len(where) + len(each) + 4 <= width), "")
        head, below = [[(f" {where}{beside}", Tone.NUMBER)]], []
    if len(head) + len(push) + len(moves) + least > height:
        push = []
    # Big figures right under the call would be read as one with it.
    air: list[Line] = [[]] if len(head) > 1 and len(head) + len(push) + len(below) + len(moves) + least < height else []
    lines = [*air, *head, *push, *below, *moves]
    if len(lines) > height:
        hidden = len(lines) - height + 1
        return [*lines[: height - 1], [(f" … {hidden} more lines in a taller window", Tone.NUMBER)]]
    room = height - len(lines)
    return [*lines, *draw(view, width, room, glyphs)] if room >= least else lines


def _big(text: str, tone: Tone, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """A text in block letters with an empty line below, smaller where they would fill the screen."""
    drawn = big(text, width - 2, glyphs.block)
    if len(drawn) > HEIGHT and height < 2 * len(drawn) + 2 + _FIXED + 6:
        drawn = big(text, min(width - 2, len(drawn[0]) - 1), glyphs.block) if text else drawn
    return [*([(f" {line}", tone)] for line in drawn), []]
