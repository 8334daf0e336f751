"""The bed strip: the needle bed drawn in lanes, as the knitter sees it, rail at the top.

A needle's mark stands in the lane of its position, so held needles stand out
towards the knitter as they do on the metal. The drawing is made of characters
and tones; a tone only repeats what the character already says. It reads a bed
and keeps nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import chain, groupby, islice
from operator import itemgetter
from typing import TypeVar

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import BY_HAND, Knit
from purlside.bed.needles import Position, Side, numbered, spans
from purlside.shown.framing import WIDTHS, Frame, frame
from purlside.shown.view import HALVES, View, in_play
from purlside.text.signs import UNICODE, Glyphs, Line, Tone, text, toned

LANES = ("numbers", "cable", "loops", "rows", "rail", "working", "upper", "holding", "carriage")
COMPACT = ("numbers", "cable", "working", "upper", "holding", "carriage")
"""The lanes that stay where there is little room."""
GUTTER = 10
"""Columns for the lanes' names."""
LEAST_LABEL = 12
"""Columns of a run from which on its figure is told in words."""
T = TypeVar("T")
Piece = tuple[int, str, Tone]
"""From a column of a lane on: characters, and their tone."""


def fitted(view: View, width: int, per: int | None = None) -> Frame:
    """How a view falls on a screen ``width`` columns wide."""
    shaping = view.shaping
    edges = (min(shaping), max(shaping)) if shaping else None
    return frame(view.bed.panel, max(1, width - GUTTER), in_play(view), per=per, edges=edges)


def draw(
    view: View, width: int, glyphs: Glyphs = UNICODE, *, per: int | None = None, lanes: Sequence[str] = LANES
) -> list[Line]:
    """The strip's lanes for a screen ``width`` columns wide.

    A bed wider than the screen is cut to the part in play and followed by a
    line that shows where on the whole bed that part is.
    """
    fit = fitted(view, width, per)
    painter = Painter(view, fit, glyphs)
    lines: list[Line] = [getattr(painter, lane)() for lane in lanes]
    return lines if fit.whole else [*lines, painter.overview(max(1, width - GUTTER))]


def bed_text(bed: Bed, size: float, *, width: int = 80, moves: tuple[Move, ...] = ()) -> str:
    """A bed as text, ``width`` columns wide; loops larger than ``size`` are drawn large, ``moves`` as asked for next."""
    return text(draw(View(bed, moves, size=size), width))


class Painter:
    """Paints lanes of a view in a frame."""

    def __init__(self, view: View, fit: Frame, glyphs: Glyphs) -> None:
        self.view, self.bed, self.fit, self.glyphs = view, view.bed, fit, glyphs
        self.places = fit.places
        self.offset = int(view.bed.panel.left)
        self.columns, self.width = fit.columns, fit.width
        self.between = [(column, glyphs.blank, Tone.QUIET) for column in fit.folded]
        """What stands between the needles: the fold, the centre line."""
        if fit.centre is not None:
            self.between.append((fit.centre, glyphs.centre, Tone.QUIET))
        self.positions, self.worked = self._of(self.bed.position), self._of(self.bed.rows)
        self._marks: dict[Position, list[Piece]] = {}

    def line(self, name: str, pieces: Iterable[Piece], fill: tuple[str, Tone] = (" ", Tone.LABEL)) -> Line:
        """A lane: pieces on a ground, later ones over earlier; columns -1 and ``width`` are the margins."""
        width = after = self.width
        signs = [" ", *fill[0] * width, " "]
        tones = [Tone.LABEL, *[fill[1]] * width, Tone.LABEL]
        for start, drawn, tone in chain(self.between, pieces):
            if len(drawn) == 1 and 0 <= start < width:
                signs[start + 1], tones[start + 1] = drawn, tone
                continue
            if not 0 <= start <= start + len(drawn) <= width:
                start, drawn = max(start, -1), drawn[max(0, -1 - start) : max(0, width + 1 - start)]
                after = max(after, start + len(drawn))
            signs[start + 1 : start + 1 + len(drawn)] = drawn
            tones[start + 1 : start + 1 + len(drawn)] = [tone] * len(drawn)
        return [(f"{name:<{GUTTER - 1}}", Tone.LABEL), *toned("".join(signs), tones[: after + 1])]

    def numbers(self) -> Line:
        """Needle numbers: at each block's edge, the ends, the centre and every fifth, as they fit."""
        halves = (h for c in (*self.view.crossed, *self.view.mark) for h in (c.crossing.front, c.crossing.back))
        ends = [*halves, *spans(self.view.resting)]
        blocks = tuple(int(end) for span in ends for end in (span.left, span.right))
        return self.line("needle", _numbers(self.fit, (int(self.bed.panel.left), int(self.bed.panel.right)), blocks))

    def _of(self, each: Sequence[T]) -> list[T]:
        """Of what the bed has for each needle of its panel, that of the needles seen."""
        parts = (each[part.start - self.offset : part.stop - self.offset] for part in self.fit.stretches)
        return [one for part in parts for one in part]

    def cable(self) -> Line:
        """Under each half of a cable, at every width alike: F where it goes to the front, b where it lies behind.

        And what is done first with the stitches at the edges.
        """
        pieces: list[Piece] = []
        shaping, ways = self.view.shaping, {"<": self.glyphs.left, ">": self.glyphs.right}
        for crossed in (*self.view.crossed, *(() if shaping else self.view.mark)):
            crossing = crossed.crossing
            for half, letter, tone in zip(
                (crossing.front, crossing.back), HALVES, (Tone.FRONT, Tone.BACK), strict=True
            ):
                left, right = max(int(half.left), self.fit.first), min(int(half.right), self.fit.last)
                if left > right:
                    continue
                start, stop = self._reach(left, right)
                cut = (left > half.left, right < half.right)
                drawn = _bracket(letter, stop - start, cut, self.glyphs, outer_left=half.left == crossing.span.left)
                pieces.append((start, drawn, tone))
        for place, column in zip(self.places, self.columns, strict=True) if shaping else ():
            if place in shaping:
                pieces.append((column, ways.get(shaping[place], shaping[place]), Tone.MOVING))
        return self.line("stitches" if shaping else "F front", pieces)

    def _reach(self, left: int, right: int) -> tuple[int, int]:
        """The columns of needles from ``left`` to ``right``, with what stands between them."""
        return self.fit.column(left) - (self.fit.per - 1) // 2, self.fit.column(right) + self.fit.per // 2 + 1

    def loops(self) -> Line:
        """Ordinary loops as runs of one figure; every other loop by itself."""
        bed, view, g = self.bed, self.view, self.glyphs
        ladders = range(bed.in_work[0] + 1, bed.in_work[-1]) if view.ladders is None else set(map(int, view.ladders))
        needles = zip(self.positions, self._of(bed.loops), self._of(bed.loop_size), self.worked, strict=True)
        usual: list[int | None] = []
        other: list[Piece] = []
        for (position, loops, size, rows), alike in groupby(needles):
            first, after = len(usual), len(usual) + len(list(alike))
            seen: Iterable[int] = range(first, after)
            sign = ""
            if position is Position.NWP:
                sign, seen = g.none, (i for i in seen if self.places[i] in ladders)
            elif loops != 1:
                sign = _figure(loops)
            elif size > view.size and (rows or size > view.before):
                sign = g.hand if size == BY_HAND else g.large
            usual += [None if sign else 1] * (after - first)
            if sign:
                tone = Tone.QUIET if position is Position.NWP else Tone.LARGE
                other += [(self.columns[i], sign, tone) for i in seen]
        return self.line("loops", [*self._runs(usual, " 1 each ", Tone.LOOP), *other])

    def rows(self) -> Line:
        """The rows worked in this row, a run for all needles that have as many."""
        in_work = zip(self.positions, self.worked, strict=True)
        counts = [None if position is Position.NWP else rows for position, rows in in_work]
        return self.line("rows", self._runs(counts, "", Tone.ROWS))

    def _runs(self, counts: Sequence[int | None], words: str, tone: Tone) -> Iterator[Piece]:
        """Neighbours with one figure as a line with the figure in it; the centre and a fold part two runs."""
        line, seen = False, iter(counts)
        for stretch in self.fit.stretches:
            place = stretch.start
            for count, run in groupby(islice(seen, len(stretch))):
                first, place = place, place + len(list(run))
                start, stop = self._reach(first, place - 1)
                if count == 0:
                    yield _run(start, stop, " 0 ", self.glyphs.blank, Tone.QUIET)
                elif count:
                    # A gap parts it from the line before.
                    begin = start + (line and stop - start >= 3 and first != 0)
                    told = words if words and stop - begin >= LEAST_LABEL else f" {_figure(count)} "
                    yield _run(begin, stop, told, self.glyphs.bed, tone)
                line = bool(count)

    def rail(self) -> Line:
        return self.line("rail", (), (self.glyphs.rail, Tone.RAIL))

    def marks(self, lane: Position) -> list[Piece]:
        """The marks of the needles that stand in a lane or go to it."""
        if not self._marks:
            self._marks = {p: [] for p in Position}
            g, (goes, by_hand) = self.glyphs, self.view.goes()
            stands = self.bed.position
            for column, position, needles in self._neighbours():
                self._marks[position].append((column, g.needle * needles, Tone.NEEDLE))
            for place in set(map(int, self.view.resting)).intersection(self.places):
                if stands[place - self.offset] is Position.HP:
                    self._marks[Position.HP].append((self.fit.column(place), g.resting, Tone.QUIET))
            moving = {p: g.outward if p is Position.HP else g.inward for p in Position}
            for place in goes.keys() & set(self.places):
                column, position, to = self.fit.column(place), stands[place - self.offset], goes[place]
                if to is not position:
                    self._marks[position].append((column, moving[to], Tone.MOVING))
                    self._marks[to].append((column, g.target, Tone.TARGET))
            for place in by_hand.intersection(self.places):
                # Drawn back to the rail, wherever the same step takes it then.
                column, position = self.fit.column(place), stands[place - self.offset]
                self._marks[position].append((column, moving[Position.WP], Tone.MOVING))
                if position is not Position.WP:
                    self._marks[Position.WP].append((column, g.hand, Tone.TARGET))
        return self._marks[lane]

    def _neighbours(self) -> Iterator[tuple[int, Position, int]]:
        """The column of a needle, its position, and how many there are side by side that stand as it does."""
        seen = zip(self.columns, self.positions, strict=True)
        if self.fit.per > 1:
            yield from ((column, position, 1) for column, position in seen)
            return
        for stretch in self.fit.stretches:
            for position, alike in groupby(islice(seen, len(stretch)), itemgetter(1)):
                column, *more = (column for column, _ in alike)
                yield column, position, 1 + len(more)

    def working(self) -> Line:
        return self.line("working", self.marks(Position.WP))

    def upper(self) -> Line:
        return self.line("upper", self.marks(Position.UWP))

    def holding(self) -> Line:
        return self.line("holding", self.marks(Position.HP))

    def carriage(self) -> Line:
        """The carriage where it stands, the way its next push takes it, and where the yarn lies."""
        g, fit = self.glyphs, self.fit
        cells: dict[int, tuple[str, Tone]] = {}
        at = fit.past(*self.bed.carriage)
        if (push := self.view.push) is not None:
            to = fit.past(push.beyond, push.toward)
            low, high = sorted((at, to))
            if high >= 0 and low < fit.width:
                head = g.left if push.toward is Side.LEFT else g.right
                dash = g.rail if isinstance(push, Knit) else g.bed
                low = max(-1, low) if low > -2 else 0
                high = min(fit.width, high) if high <= fit.width else fit.width - 1
                cells |= dict.fromkeys(range(low, high + 1), (dash, Tone.CARRIAGE))
                cells[low if push.toward is Side.LEFT else high] = (head, Tone.CARRIAGE)
        if -1 <= at <= fit.width:
            cells[at] = (g.body, Tone.CARRIAGE)
        else:
            edge, beyond = (0, g.more_left) if at < 0 else (fit.width - 1, g.more_right)
            cells.setdefault(edge, (beyond, Tone.CARRIAGE))
        self._yarn(cells)
        return self.line("carriage", [(column, *cell) for column, cell in cells.items()])

    def _yarn(self, cells: dict[int, tuple[str, Tone]]) -> None:
        """The yarn at its needle and its name beside it, where the carriage and its way leave room."""
        place, g, width = int(self.bed.yarn), self.glyphs, self.fit.width
        spots: tuple[tuple[str, int], ...]
        if place in self.places:
            column = self.fit.column(place)
            if cells.get(column, ("", None))[0] != g.body:
                cells[column] = (g.yarn, Tone.YARN)
            after, before = f" yarn {self.bed.yarn}", f"yarn {self.bed.yarn} "
            spots = (
                (after, column + 1),
                (before, column - len(before)),
                (before, min(cells) - len(before)),
                (after, max(cells) + 1),
            )
        else:
            # Beside the carriage's own sign there, if it lies on that side too.
            words = (
                f"yarn {self.bed.yarn} {g.more_right}"
                if place > self.fit.last
                else f"{g.more_left} yarn {self.bed.yarn}"
            )
            edge = width - len(words) if place > self.fit.last else 0
            spots = tuple((words, abs(edge - beside)) for beside in (0, 1, 2))
        for words, start in spots:
            free = range(start, start + len(words))
            if start >= 0 and start + len(words) <= width and not any(at in cells for at in free):
                cells |= {at: (char, Tone.YARN) for at, char in zip(free, words, strict=True)}
                return

    def overview(self, width: int) -> Line:
        """The whole panel on one line, the part seen above filled in."""
        panel, g = self.bed.panel, self.glyphs
        left, right = f"{panel.left} ", f" {panel.right}"
        if width < len(left) + len(right) + 3:
            left = right = ""
        room = max(1, width - len(left) - len(right))
        scale = len(panel) / room
        start = int((self.fit.first - self.offset) / scale)
        stop = max(start + 1, round((self.fit.last - self.offset + 1) / scale))
        carriage = min(room - 1, max(0, int((self.bed.gap - self.offset) / scale)))
        out = self.fit.fold or (0, -1)
        hidden = range(int((out[0] - self.offset) / scale) + 1, int((out[1] - self.offset) / scale))
        seen = [start <= i < stop and i not in hidden for i in range(room)]
        cells = [g.seen if here else g.bed for here in seen]
        tones = [Tone.NEEDLE if here else Tone.QUIET for here in seen]
        cells[carriage], tones[carriage] = g.body, Tone.CARRIAGE
        drawn = toned(left + "".join(cells), [Tone.QUIET] * len(left) + tones)
        return [(f"{'seen':<{GUTTER - 1}} ", Tone.LABEL), *drawn, (right, Tone.QUIET)]


@lru_cache(maxsize=64)
def _numbers(fit: Frame, ends: tuple[int, int], blocks: tuple[int, ...]) -> list[Piece]:
    """The needle numbers; the most important take their room first.

    Worked out anew at each step, all that it shows takes a third more.
    """
    first = (*sorted(blocks), *sorted((*ends, fit.first, fit.last)))

    def at(place: int, label: str) -> tuple[int, int]:
        start = fit.column(place) - (len(label) - 1 if place < 0 else 0)
        start = max(0, min(start, fit.width - len(label)))
        return start, start + len(label) + 1

    pieces: list[Piece] = []
    every = 1 if fit.per > max(WIDTHS) else 5
    for place, label, start in numbered(first, fit.places, at, every):
        tone = Tone.NUMBER if place in (*first, -1, 0) else Tone.QUIET
        if len(label) <= fit.width:
            pieces.append((int(start), label, tone))
    return pieces


def _run(start: int, stop: int, told: str, fill: str, tone: Tone) -> Piece:
    """A line with a figure in its middle; the figure alone where there is no room around it."""
    width = stop - start
    return start, f"{told if width > len(told) else told.strip()[:1]:{fill}^{width}}", tone


def _figure(number: int) -> str:
    """A number in one column."""
    return str(number) if number < 10 else "+"


def _bracket(letter: str, width: int, cut: tuple[bool, bool], glyphs: Glyphs, *, outer_left: bool) -> str:
    """A half's bracket with its letter; of two columns the cable's outer end, of one the letter alone."""
    ends = (glyphs.more_left if cut[0] else glyphs.open, glyphs.more_right if cut[1] else glyphs.close)
    if width >= 3:
        return f"{ends[0]}{letter:{glyphs.bed}^{width - 2}}{ends[1]}"
    if width == 2:
        return f"{ends[0]}{letter}" if outer_left else f"{letter}{ends[1]}"
    return letter
