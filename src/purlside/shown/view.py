"""What the bed strip is to show: a bed, the moves asked for, the cables of the row; and what of it the eye should be on."""

from __future__ import annotations

from dataclasses import field
from functools import cached_property
from itertools import takewhile

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import BackUp, ByHand, Hold, Knit, Push, Return
from purlside.bed.needles import Needle, Position, Span
from purlside.bed.transfers import Cross
from purlside.values import Value
from purlside.work.crossing import Crossed

HALVES = ("F", "b")
"""Under a cable: the half that goes to the front, the half behind."""


class View(Value):
    """What to draw: a bed, the moves the step asks for, the cables of the row."""

    bed: Bed
    moves: tuple[Move, ...] = ()
    crossed: tuple[Crossed, ...] = ()
    size: float = 0.0
    """The row's own stitch size; loops above it are drawn as enlarged."""
    mark: tuple[Crossed, ...] = field(default=())
    """Cables to bracket besides those of the row: the ones coming next."""
    before: float = 0.0
    """The stitch size of the row before, where it was larger: a loop of that row is not enlarged by it."""
    resting: tuple[Needle, ...] = ()
    """Those that are not knit in the row: held, and drawn hollow, for nothing is asked of them."""
    ladders: tuple[Needle, ...] | None = None
    """Those out of work from the beginning; others without a stitch were emptied, as in a neck. None: all inside the edges."""

    @cached_property
    def shaping(self) -> dict[int, str]:
        """The needles whose stitches the moves before the next push shape, and each one's letter; the first stays.

        In a row that crosses a letter of a half is a half's, and the marks go with the next push.
        """
        marks: dict[int, str] = {}
        for move in self.before_push if self.crossed else self.moves:
            for needle, mark in move.marks().items():
                if not (self.crossed and mark in HALVES):
                    marks.setdefault(int(needle), mark)
        return marks

    @property
    def before_push(self) -> tuple[Move, ...]:
        """The moves asked for before the next push of the carriage."""
        return tuple(takewhile(lambda move: not isinstance(move, Push), self.moves))

    @cached_property
    def push(self) -> Knit | BackUp | None:
        """The next push of the carriage that is asked for."""
        return next((move for move in self.moves if isinstance(move, Push)), None)

    def goes(self) -> tuple[dict[int, Position], set[int]]:
        """Where needles go before that push, and which of them are knit by hand."""
        goes: dict[int, Position] = {}
        by_hand: set[int] = set()
        for move in self.before_push:
            if isinstance(move, Hold | Return | ByHand):
                to = {Hold: Position.HP, Return: Position.UWP, ByHand: Position.WP}[type(move)]
                goes |= dict.fromkeys(map(int, move.needles), to)
                by_hand |= set(map(int, move.needles)) if isinstance(move, ByHand) else set()
        return goes, by_hand


def in_play(view: View) -> list[tuple[int, ...]]:
    """What the eye should be on, for :func:`frame`: cables, those near the push first, or shaping; push and yarn."""
    focus = int(view.push.beyond if view.push else view.bed.carriage[0])
    concerned = [m.crossing for m in view.moves if isinstance(m, Cross)]
    crossings = concerned or [c.crossing for c in (*view.crossed, *view.mark)]
    if view.shaping or not (concerned or view.crossed):
        pushed = [int(n) for m in view.moves if isinstance(m, (Hold, Return)) for n in m.needles]
        if view.resting and isinstance(view.push, Knit):
            pushed += map(int, view.push.needles)
        places = sorted(view.shaping or pushed)
        if places:
            return [(places[0], places[-1]), (min(places, key=lambda place: abs(place - focus)),), (focus,)]
    if not crossings:
        return []

    def ends(span: Span) -> tuple[int, int]:
        return int(span.left), int(span.right)

    def away(group: tuple[int, ...]) -> int:
        return min(abs(place - focus) for place in group)

    cables = sorted((ends(c.span) for c in crossings), key=away)
    halves = sorted((ends(half) for c in crossings for half in (c.front, c.back)), key=away)
    near = (min(max(focus, cables[0][0]), cables[0][1]),)
    whole = (min(a for a, _ in cables), max(b for _, b in cables))
    return [whole, *cables, *halves, near, (focus,), (int(view.bed.yarn),), (int(view.bed.carriage[0]),)]
