"""The bed strip: the needle bed drawn in lanes, as the knitter sees it, rail at the top.

A needle's mark stands in the lane of its position, so held needles stand out
towards the knitter as they do on the metal. The drawing is made of characters
and tones; a tone only repeats what the character already says. It reads a bed
and keeps nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from purlside.bed import BY_HAND, Bed, Position
from purlside.calendar import Crossed
from purlside.moves import ByHand, Hold, Knit, Move, Push, Return
from purlside.needles import Needle, Side, Span


class Tone(StrEnum):
    """What a piece of the drawing is, for whoever colours it."""

    LABEL = "label"
    NUMBER = "number"
    NEEDLE = "needle"
    MOVING = "moving"
    TARGET = "target"
    FRONT = "front"
    BACK = "back"
    LOOP = "loop"
    LARGE = "large"
    ROWS = "rows"
    RAIL = "rail"
    CARRIAGE = "carriage"
    YARN = "yarn"
    QUIET = "quiet"


Line = list[tuple[str, Tone]]
"""One lane: runs of characters of one tone."""


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The characters of one way of drawing."""

    needle: str
    outward: str
    inward: str
    target: str
    rail: str
    centre: str
    loop: str
    large: str
    hand: str
    none: str
    left: str
    right: str
    body: str
    yarn: str
    open: str
    close: str
    more_left: str
    more_right: str
    bed: str
    seen: str


UNICODE = Glyphs("■", "▼", "▲", "·", "═", "│", "o", "O", "@", "×", "◄", "►", "█", "●", "└", "┘", "‹", "›", "─", "█")
ASCII = Glyphs("#", "v", "^", ".", "=", "|", "o", "O", "@", "x", "<", ">", "=", "*", "\\", "/", "<", ">", "-", "#")

LEGEND = (
    ("F b", "under a cable: the half that shows in FRONT on the knit side, the half at the back"),
    ("o O @", "a loop: at the row's size, enlarged, knit by hand"),
    ("×", "out of work: a ladder"),
    ("0 1 3", "rows worked on the needle in this row"),
    ("▼ ·", "push this needle out, to there"),
    ("▲ ·", "bring this needle back, to there"),
    ("●", "where the yarn lies"),
)

LANES = ("cable", "loops", "rows", "rail", "working", "upper", "holding", "carriage", "yarn")
GUTTER = 10
"""Columns for the lanes' names."""


@dataclass(frozen=True, slots=True)
class View:
    """What to draw: a bed, the moves the card asks for, the cables of the row."""

    bed: Bed
    moves: tuple[Move, ...] = ()
    crossed: tuple[Crossed, ...] = ()
    size: float = 0.0
    """The row's own stitch size; loops above it are drawn as enlarged."""
    mark: tuple[Crossed, ...] = field(default=())
    """Cables to bracket besides those of the row: the ones coming next."""


@dataclass(frozen=True, slots=True)
class Frame:
    """How the needles fall on the columns: ``per`` columns a needle, ``first`` to ``last`` seen."""

    per: int
    first: int
    last: int
    whole: bool

    def column(self, place: int) -> int:
        """The column of a needle's mark; the centre line takes one column."""
        return (place - self.first) * self.per + (self.per - 1) // 2 + (1 if self.first < 0 <= place else 0)

    @property
    def width(self) -> int:
        return (self.last - self.first + 1) * self.per + (1 if self.first < 0 <= self.last else 0)

    @property
    def centre(self) -> int | None:
        """The column of the centre line, if it is seen."""
        return -self.first * self.per if self.first < 0 <= self.last else None


def frame(panel: Span, width: int, in_play: Iterable[int] = (), *, per: int | None = None) -> Frame:
    """Fit the panel into ``width`` columns: 3, 2 or 1 a needle, or cut to the part in play."""
    for each in (3, 2, 1) if per is None else (per,):
        whole = Frame(each, int(panel.left), int(panel.right), True)
        if whole.width <= width:
            return whole
        if each == (1 if per is None else per):
            count = max(1, (width - 1) // each)
            play = sorted(in_play) or [int(panel.left), int(panel.right)]
            middle = (play[0] + play[-1]) // 2
            first = max(int(panel.left), min(middle - count // 2, int(panel.right) - count + 1))
            return Frame(each, first, min(int(panel.right), first + count - 1), False)
    raise AssertionError("one column a needle always fits or is cut")


def in_play(view: View) -> list[int]:
    """The needles the eye should be on: those the cables use and the push ends at."""
    places = [int(n) for c in (*view.crossed, *view.mark) for n in (c.crossing.span.left, c.crossing.span.right)]
    places += [int(m.beyond) for m in view.moves if isinstance(m, Push)]
    return places or [int(view.bed.carriage[0])]


def draw(view: View, width: int, glyphs: Glyphs = UNICODE, *, per: int | None = None) -> list[Line]:
    """The strip's lanes for a screen ``width`` columns wide, the needle numbers first.

    A bed wider than the screen is cut to the part in play and followed by a
    line that shows where on the whole bed that part is.
    """
    fit = frame(view.bed.panel, max(1, width - GUTTER), in_play(view), per=per)
    painter = _Painter(view, fit, glyphs)
    lines = [painter.numbers(), *(getattr(painter, lane)() for lane in LANES)]
    if not fit.whole:
        lines.append(painter.overview(max(1, width - GUTTER)))
    return lines


def text(lines: Sequence[Line]) -> str:
    """The drawing as plain text."""
    return "\n".join("".join(part for part, _ in line).rstrip() for line in lines)


class _Painter:
    def __init__(self, view: View, fit: Frame, glyphs: Glyphs) -> None:
        self.view, self.bed, self.fit, self.glyphs = view, view.bed, fit, glyphs
        self.places = range(fit.first, fit.last + 1)
        self.offset = int(view.bed.panel.left)
        self.goes: dict[int, Position] = {}
        for move in view.moves:
            match move:
                case Hold(needles):
                    self.goes |= {int(n): Position.HP for n in needles}
                case Return(needles):
                    self.goes |= {int(n): Position.UWP for n in needles}
                case ByHand(needles):
                    self.goes |= {int(n): Position.WP for n in needles}
            if isinstance(move, Push):
                break

    def _line(self, name: str, cells: dict[int, tuple[str, Tone]], fill: tuple[str, Tone] = (" ", Tone.LABEL)) -> Line:
        """A lane: characters by column, runs of one tone gathered."""
        line: Line = [(f"{name:<{GUTTER - 1}} ", Tone.LABEL)]
        run: list[str] = []
        tone = fill[1]
        centre = self.fit.centre
        for column in range(self.fit.width):
            char, its = cells.get(column) or ((self.glyphs.centre, Tone.QUIET) if column == centre else fill)
            if its is not tone and run:
                line.append(("".join(run), tone))
                run = []
            tone = its
            run.append(char)
        if run:
            line.append(("".join(run), tone))
        return line

    def numbers(self) -> Line:
        """Needle numbers: at each block's edge, the ends, the centre and every fifth, as they fit."""
        blocks = [e for c in (*self.view.crossed, *self.view.mark) for e in _edges(c)]
        ends = [int(self.bed.panel.left), int(self.bed.panel.right), self.fit.first, self.fit.last]
        fifths = [p for p in self.places if (p + 1 if p >= 0 else -p) % 5 == 0]
        cells: dict[int, tuple[str, Tone]] = {}
        taken: set[int] = set()
        for places, tone in ((blocks, Tone.NUMBER), (ends, Tone.NUMBER), ([-1, 0], Tone.NUMBER), (fifths, Tone.QUIET)):
            for place in sorted(set(places)):
                if place not in self.places:
                    continue
                label = str(Needle(place))
                start = self.fit.column(place) - (len(label) - 1 if place < 0 else 0)
                start = max(0, min(start, self.fit.width - len(label)))
                columns = range(start, start + len(label))
                if taken & set(range(start - 1, start + len(label) + 1)):
                    continue
                taken |= set(columns)
                cells |= {c: (char, tone) for c, char in zip(columns, label, strict=True)}
        return self._line("needle", cells)

    def cable(self) -> Line:
        """Under each half of a cable: which shows on the knit side."""
        cells: dict[int, tuple[str, Tone]] = {}
        for crossed in (*self.view.crossed, *self.view.mark):
            for half, word, tone in (
                (crossed.crossing.front, "FRONT", Tone.FRONT),
                (crossed.crossing.back, "back", Tone.BACK),
            ):
                left, right = max(int(half.left), self.fit.first), min(int(half.right), self.fit.last)
                if left > right:
                    continue
                start = self.fit.column(left) - (self.fit.per - 1) // 2
                stop = self.fit.column(right) + self.fit.per // 2 + 1
                cells |= {start + i: (char, tone) for i, char in enumerate(_bracket(word, stop - start, self.glyphs))}
        return self._line("cable", cells)

    def _cells(self, of: dict[int, tuple[str, Tone]]) -> dict[int, tuple[str, Tone]]:
        return {self.fit.column(place): cell for place, cell in of.items()}

    def loops(self) -> Line:
        g, bed = self.glyphs, self.bed
        cells: dict[int, tuple[str, Tone]] = {}
        for place in self.places:
            i = place - self.offset
            loops, size = bed.loops[i], bed.loop_size[i]
            if bed.position[i] is Position.NWP:
                cells[place] = (g.none, Tone.QUIET)
            elif loops != 1:
                cells[place] = (str(loops) if loops < 10 else "+", Tone.LARGE)
            elif size == BY_HAND:
                cells[place] = (g.hand, Tone.LARGE)
            elif size > self.view.size:
                cells[place] = (g.large, Tone.LARGE)
            else:
                cells[place] = (g.loop, Tone.LOOP)
        return self._line("loops", self._cells(cells))

    def rows(self) -> Line:
        bed = self.bed
        cells = {
            p: (str(rows) if rows < 10 else "+", Tone.ROWS if rows else Tone.QUIET)
            for p in self.places
            if bed.position[p - self.offset] is not Position.NWP
            for rows in (bed.rows[p - self.offset],)
        }
        return self._line("rows", self._cells(cells))

    def rail(self) -> Line:
        return self._line("rail", {}, (self.glyphs.rail, Tone.RAIL))

    def _lane(self, name: str, lane: Position) -> Line:
        g, bed = self.glyphs, self.bed
        cells: dict[int, tuple[str, Tone]] = {}
        for place in self.places:
            stands = bed.position[place - self.offset]
            goes = self.goes.get(place)
            if stands is lane:
                if goes is None or goes is lane:
                    cells[place] = (g.needle, Tone.NEEDLE)
                else:
                    cells[place] = (g.outward if goes is Position.HP else g.inward, Tone.MOVING)
            elif goes is lane:
                cells[place] = (g.target, Tone.TARGET)
        return self._line(name, self._cells(cells))

    def working(self) -> Line:
        return self._lane("working", Position.WP)

    def upper(self) -> Line:
        return self._lane("upper", Position.UWP)

    def holding(self) -> Line:
        return self._lane("holding", Position.HP)

    def carriage(self) -> Line:
        """The carriage where it stands, and the way the card's push takes it."""
        g, fit = self.glyphs, self.fit
        cells: dict[int, tuple[str, Tone]] = {}
        at = self._edge_column(*self.bed.carriage)
        push = next((m for m in self.view.moves if isinstance(m, Push)), None)
        if push is not None:
            to = self._edge_column(push.beyond, push.toward)
            low, high = sorted((at, to))
            head = g.left if push.toward is Side.LEFT else g.right
            dash = g.rail if isinstance(push, Knit) else g.bed
            cells |= dict.fromkeys(range(max(0, low), min(fit.width - 1, high) + 1), (dash, Tone.CARRIAGE))
            if 0 <= to < fit.width:
                cells[to] = (head, Tone.CARRIAGE)
            elif fit.width:
                cells[0 if to < 0 else fit.width - 1] = (head, Tone.CARRIAGE)
        if 0 <= at < fit.width:
            cells[at] = (g.body, Tone.CARRIAGE)
        else:
            edge = 0 if at < 0 else fit.width - 1
            beyond = g.more_left if at < 0 else g.more_right
            cells.setdefault(edge, (beyond, Tone.CARRIAGE))
        return self._line("carriage", cells)

    def _edge_column(self, beyond: Needle, side: Side) -> int:
        """The column just past a needle on that side, kept on the strip at the panel's ends."""
        column = self.fit.column(int(beyond)) + (self.fit.per if side is Side.RIGHT else -self.fit.per)
        if int(beyond) == int(self.bed.panel.edge(side)):
            return max(0, min(self.fit.width - 1, column)) if self.fit.first <= int(beyond) <= self.fit.last else column
        return column

    def yarn(self) -> Line:
        """Where the yarn lies, with the needle's name beside it."""
        place, label = int(self.bed.yarn), str(self.bed.yarn)
        cells: dict[int, tuple[str, Tone]] = {}
        if place in self.places:
            column = self.fit.column(place)
            cells[column] = (self.glyphs.yarn, Tone.YARN)
            start = column + 2 if column + 2 + len(label) <= self.fit.width else column - 1 - len(label)
            if start >= 0:
                cells |= {start + i: (char, Tone.QUIET) for i, char in enumerate(label)}
        else:
            side = self.glyphs.more_left if place < self.fit.first else self.glyphs.more_right
            note = f"{side} {label}" if place < self.fit.first else f"{label} {side}"
            start = 0 if place < self.fit.first else self.fit.width - len(note)
            cells |= {start + i: (char, Tone.YARN) for i, char in enumerate(note) if start + i >= 0}
        return self._line("yarn", cells)

    def overview(self, width: int) -> Line:
        """The whole panel on one line, the part seen above filled in."""
        panel, g = self.bed.panel, self.glyphs
        left, right = f"{panel.left} ", f" {panel.right}"
        room = max(1, width - len(left) - len(right))
        scale = len(panel) / room
        line: Line = [(f"{'seen':<{GUTTER - 1}} ", Tone.LABEL), (left, Tone.QUIET)]
        start = int((self.fit.first - self.offset) / scale)
        stop = max(start + 1, round((self.fit.last - self.offset + 1) / scale))
        carriage = min(room - 1, max(0, int((self.bed.gap - self.offset) / scale)))
        cells = [g.seen if start <= i < stop else g.bed for i in range(room)]
        tones = [Tone.NEEDLE if start <= i < stop else Tone.QUIET for i in range(room)]
        cells[carriage], tones[carriage] = g.yarn, Tone.CARRIAGE
        for char, tone in zip(cells, tones, strict=True):
            if line[-1][1] is tone:
                line[-1] = (line[-1][0] + char, tone)
            else:
                line.append((char, tone))
        return [*line, (right, Tone.QUIET)]


def _edges(crossed: Crossed) -> tuple[int, ...]:
    front, back = crossed.crossing.front, crossed.crossing.back
    return int(front.left), int(front.right), int(back.left), int(back.right)


def _bracket(word: str, width: int, glyphs: Glyphs) -> str:
    """A half's bracket: its word between the corners, or its first letter where that does not fit."""
    if width >= 3:
        shown = word if width >= len(word) + 2 else word[0]
        return f"{glyphs.open}{shown:^{width - 2}}{glyphs.close}"
    return word[0] * width
