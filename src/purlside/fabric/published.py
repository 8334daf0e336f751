"""The published chart: the knit side in the symbols hand-knitting patterns use, with its key.

Read from the bottom up; right-side rows, numbered on the right, from right to
left. The ground is blank (a knit stitch on the right side), a cable is the
usual pair of slanting strips over as many squares as it has stitches, the one
in front whole. The repeat is framed. Wide plain parts are left out and said::

    chart = published(fabric)              # of the repeat, as far as there is one
    chart_svg(chart)                       # a whole SVG document
    chart_text(chart)                      # in characters

Symbols as in the Craft Yarn Council's knitting chart symbols and common
printed charts, drawn here. A crossing stands in the row after which it is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from purlside.bed.needles import Needle, Side
from purlside.fabric.paper import LETTER_MM, LINE_MM, SHEET_MM, TEXT_MM, document, foot, num, plain, words
from purlside.fabric.picture import COARSE
from purlside.fabric.repeats import Repeated
from purlside.fabric.stitches import Fabric, FabricCrossing, Face, sign_of
from purlside.fabric.written import held_name, instruction, name
from purlside.text.signs import cut
from purlside.values import Value

PURL, NO_STITCH = "-", "x"
"""Signs of squares without work of their own."""

MOST_CHART_ROWS = 64
"""Rows of a chart; of a longer repeat the beginning is drawn, and said to be."""

AROUND = 2
"""Plain stitches drawn beside a cable, and rows above a repeat. Ours."""

LEAST_LEFT_OUT = 4
"""Plain stitches side by side that are left out rather than drawn. Ours."""

SQUARE_MM = (4.4, 4.0)
"""Width and height of a square, at most."""

MOST_HIGH_MM = 130.0
"""Height of the squares, at most: the chart shares its page with words."""


class LeftOut(NamedTuple):
    """Plain stitches that are not drawn."""

    stitches: int


Column = int | LeftOut
"""A needle's place, or what is left out there."""


class Symbol(NamedTuple):
    """A crossing in a chart: its row, its columns from ``at`` to ``end``, both counted, and the crossing."""

    row: int
    at: int
    end: int
    made: FabricCrossing


class Published(Value):
    """A chart: rows ``first`` to ``last``, columns as seen on the knit side from the left, and what stands in them."""

    fabric: Fabric
    first: int
    last: int
    columns: tuple[Column, ...]
    symbols: tuple[Symbol, ...]
    repeat: Repeated[Any] | None

    def right_side(self, row: int) -> bool:
        """Whether a row is a right-side row: every other row, those that cross where all of these are alike."""
        sides = {symbol.row % 2 for symbol in self.symbols}
        return row % 2 == (sides.pop() if len(sides) == 1 else 1)

    @property
    def framed(self) -> tuple[int, int] | None:
        """The rows of the repeat, as far as they are drawn."""
        last = self.last + 1 if self.repeat is None else self.repeat.first + self.repeat.every - 1
        return None if self.repeat is None or last > self.last else (self.repeat.first, last)

    def sign(self, row: int, place: int) -> str:
        """What stands in a square beside cables: purl, no stitch, or the sign of what is worked there; else nothing."""
        fabric = self.fabric
        for work in fabric.row(row).works:
            if work.down == 1 and place in map(int, work.needles):
                return sign_of(work, Face.KNIT)
        if place not in fabric.knit_in(row):
            return NO_STITCH
        return PURL if place in fabric.purled(row) else ""

    @property
    def _signs(self) -> dict[str, str]:
        """The signs used, and what they mean."""
        rows = range(self.first, self.last + 1)
        places = [column for column in self.columns if isinstance(column, int)]
        used = {self.sign(row, place) for row in rows for place in places}
        found = {NO_STITCH: "no stitch", PURL: "purl on right-side rows, knit on wrong-side rows"}
        found |= {sign_of(w, Face.KNIT): w.title for row in rows for w in self.fabric.row(row).works if w.down == 1}
        return {sign: words for sign, words in found.items() if sign in used}

    @property
    def key(self) -> tuple[tuple[FabricCrossing | LeftOut | str, str], ...]:
        """What each symbol means: (the crossing, the gap or the sign, words)."""
        found: dict[str, tuple[FabricCrossing | LeftOut | str, str]] = {}
        for symbol in self.symbols:
            crossing = symbol.made.crossing
            written = " or ".join(filter(None, (name(crossing), held_name(crossing))))
            found[written] = symbol.made, f"{written}: {instruction(crossing).replace('the cable needle', 'cn')}"
        told = [("", "blank: knit on right-side rows, purl on wrong-side rows"), *found.values()]
        told += self._signs.items()
        if gaps := [c for c in self.columns if isinstance(c, LeftOut)]:
            told.append((gaps[0], "plain stitches left out, as many as the figure says"))
        return tuple(told)

    @property
    def notes(self) -> tuple[str, ...]:
        """How the chart is read, and what it does not show."""
        found = ["Right-side rows: numbered on the right, read right to left."]
        if self.symbols:
            found += ["cn: cable needle. Crossed after the row the cable stands in."]
        if self.repeat is None:
            return tuple(found)
        told = f"the repeat of {self.repeat.every} rows, knit {self.repeat.times} times, rows {self.repeat.first}–{self.repeat.last}."
        return (*found, f"{'Framed:' if self.framed else 'The beginning of'} {told}")


def published(fabric: Fabric, rows: tuple[int, int] | None = None) -> Published:
    """The chart of those rows; without them of the repeat and what leads up to it, or of the first rows."""
    repeat = fabric.repeat
    if rows is None:
        first = 1
        if repeat is not None:
            # What leads up to the repeat is drawn where it crosses; plain rows are not.
            lead = next(fabric.crossing_rows(), repeat.first)
            first = max(1, min(repeat.first, lead) - AROUND)
            last = repeat.first + repeat.every - 1 + AROUND
        else:
            # Where nothing comes again it begins with the first crossing; a panel with none from its first row.
            last = max(fabric.crossing_rows(), default=fabric.rows) + AROUND
            first = max(1, min(next(fabric.crossing_rows(), 1), last - MOST_CHART_ROWS + 1) - AROUND)
        if last - first >= MOST_CHART_ROWS and repeat is not None and repeat.every < MOST_CHART_ROWS:
            first = max(first, last - MOST_CHART_ROWS + 1)
        rows = first, fabric.drawn_rows(first, min(last, fabric.rows, first + MOST_CHART_ROWS - 1))
    first, last = max(1, rows[0]), min(fabric.rows, rows[1])
    crossed = [(row, made) for row in fabric.crossing_rows(first, last) for made in fabric.row(row).crossings]
    columns = _columns(fabric, (first, last), [made for _, made in crossed])
    at = {column: i for i, column in enumerate(columns) if isinstance(column, int)}
    # Seen from the knit side the last needle at the bed comes first.
    symbols = tuple(Symbol(row, at[int(m.needles[-1])], at[int(m.needles[0])], m) for row, m in crossed)
    if repeat is not None and not first <= repeat.first <= last:
        repeat = None
    return Published(fabric, first, last, columns, symbols, repeat)


def _columns(fabric: Fabric, rows: tuple[int, int], crossed: list[FabricCrossing]) -> tuple[Column, ...]:
    """Needles as seen on the knit side, the plain ones far from any cable left out, as many as the first row has."""
    busy = {int(n) for made in crossed for n in made.needles}
    for row in range(rows[0], rows[1] + 1):
        busy |= {int(n) for work in fabric.row(row).works for n in work.needles} | fabric.purled(row)
    near = {p for place in busy for p in range(place - AROUND, place + AROUND + 1)} | fabric.ladders
    first = fabric.knit_in(rows[0])
    found: list[Column] = []
    left_out: list[int] = []
    for place in (*Face.KNIT.order(int(fabric.panel.left), int(fabric.panel.right)), None):
        if place is not None and place not in near:
            left_out += [place] if place in first else []
            continue
        found += [LeftOut(len(left_out))] if len(left_out) >= LEAST_LEFT_OUT else left_out
        left_out = []
        if place is not None:
            found.append(place)
    return tuple(found)


# --- in characters --------------------------------------------------------


def chart_text(chart: Published, *, ascii_only: bool = False, width: int = 80) -> str:
    """The chart in characters: strokes for the half in front where it comes from, a line for the half behind."""
    edge, behind = ("|", "_") if ascii_only else ("│", "─")
    digits = len(str(chart.last))
    per = 2 if 2 * len(chart.columns) + 2 * digits + 6 <= width else 1
    rows = {row: [" " * per] * len(chart.columns) for row in range(chart.first, chart.last + 1)}
    for row, cells in rows.items():
        for i, column in enumerate(chart.columns):
            if isinstance(column, LeftOut):
                # The figure once, in the lowest row; above it the gap stays open.
                cells[i] = str(column.stitches) if row == chart.first else " " * len(str(column.stitches))
            else:
                cells[i] = (chart.sign(row, column) or " ").ljust(per)
    for symbol in chart.symbols:
        crossing = symbol.made.crossing
        stroke = ("/" if symbol.made.lean() is Side.RIGHT else "\\").ljust(per)
        front = {int(n) for n in crossing.front}
        for i in range(symbol.at, symbol.end + 1):
            if (column := chart.columns[i]) in {int(n) for n in symbol.made.needles}:
                rows[symbol.row][i] = stroke if column in front else behind * per
    lines = [f"{chart.fabric.plan.title}, published chart, rows {chart.first}–{chart.last}", ""]
    frame = chart.framed
    for row in range(chart.last, chart.first - 1, -1):
        body = "".join(rows[row])
        left, right = ("", str(row)) if chart.right_side(row) else (str(row), "")
        marks = ("[", "]") if frame and frame[0] <= row <= frame[1] else (edge, edge)
        lines.append(f"{left:>{digits}} {marks[0]}{body}{marks[1]} {right}".rstrip())
    lines += ["", *(f"{_sign(sign, behind)}{told}" for sign, told in chart.key), *chart.notes]
    if frame:
        lines.append("The repeat stands between [ and ].")
    found = "\n".join(lines)
    return found.replace("–", "-").translate(COARSE) if ascii_only else found


def _sign(sign: FabricCrossing | LeftOut | str, behind: str) -> str:
    match sign:
        case FabricCrossing():
            front = {int(n) for n in sign.crossing.front}
            stroke = "/" if sign.lean() is Side.RIGHT else "\\"
            seen = reversed(sign.needles)
            return "".join(stroke if int(n) in front else behind for n in seen) + "  "
        case LeftOut(stitches):
            return f"{stitches}  "
        case _:
            return f"{sign}  " if sign else ""


# --- on paper -------------------------------------------------------------

SQUEEZED = 0.7
"""How far the squares may be made smaller, at most, for the key to stand beside them. A matter of looks, ours."""


def chart_svg(
    chart: Published, *, ident: str | None = None, headed: bool = True, most_high_mm: float = MOST_HIGH_MM
) -> str:
    """The chart as an SVG document, black on white; its squares at most so high, its title only where ``headed``."""
    ident = plain(ident or f"chart-{chart.first}-{chart.last}")
    key = [(_sample(sign), told) for sign, told in chart.key] + [("", note) for note in chart.notes]
    rows, count = chart.last - chart.first + 1, len(chart.columns)
    side = 4 + TEXT_MM * 0.62 * len(str(chart.last))
    w, h = SQUARE_MM
    told_mm = 11 + LETTER_MM * max(len(told) for _, told in key)
    scale = min(1.0, (SHEET_MM[0] - 2 * side) / (count * w), most_high_mm / (rows * h))
    narrower = (SHEET_MM[0] - told_mm - 2 * side) / (count * w)
    scale = narrower if SQUEEZED * scale <= narrower < scale else scale
    w, h = w * scale, h * scale
    squares, top = 2 * side + count * w, 14.0 if headed else 2.0
    # The key stands beside a narrow chart, else below.
    beside = squares + told_mm <= SHEET_MM[0]
    wide = squares + told_mm if beside else max(squares, min(SHEET_MM[0], 4 + told_mm))
    low = top + rows * h + 4
    high = max(low, top + LINE_MM * len(key)) if beside else low + 4 + LINE_MM * len(key)
    grid = _Squares(chart, (side, top), (w, h))
    title = f"{chart.fabric.plan.title}: chart, rows {chart.first}–{chart.last}"
    head = cut(chart.fabric.plan.title, int(wide / (TEXT_MM * 0.9)))
    rows_of = f"Chart of rows {chart.first}–{chart.last} of {chart.fabric.rows}, knit side"
    heading = [words(3, 5.5, head, more=' font-size="4" font-weight="bold"'), words(3, 9.8, rows_of)]
    body = [
        *(heading if headed else []),
        *grid.drawn(),
        *foot(key, top if beside else low + 2, wide, squares if beside else 4.0),
    ]
    told = "\n".join([*(words for _, words in chart.key), *chart.notes])
    return document(ident, (wide, high), title, told, body)


class _Squares:
    """The squares of a chart and what stands in them, from ``corner`` (left, top) on."""

    def __init__(self, chart: Published, corner: tuple[float, float], square: tuple[float, float]) -> None:
        self.chart, (self.left, self.top), (self.w, self.h) = chart, corner, square
        self.right = self.left + len(chart.columns) * self.w
        self.bottom = self.y(chart.first) + self.h

    def y(self, row: int) -> float:
        """The top of a row's squares."""
        return self.top + (self.chart.last - row) * self.h

    def drawn(self) -> Iterator[str]:
        chart, w, h = self.chart, self.w, self.h
        xs = [self.left + i * w for i in range(len(chart.columns))]
        lines = [f"M{num(x)} {num(self.top)}V{num(self.bottom)}" for x in xs]
        out = (x for x, column in zip(xs, chart.columns, strict=True) if isinstance(column, LeftOut))
        gaps = "".join(f"M{num(x)} {num(self.top)}h{num(w)}V{num(self.bottom)}h-{num(w)}Z" for x in out)
        rows = range(chart.first, chart.last + 1)
        lines += [f"M{num(self.left)} {num(self.y(row))}H{num(self.right)}" for row in rows]
        lines.append(f"M{num(self.left)} {num(self.bottom)}H{num(self.right)}V{num(self.top)}")
        yield f'<path d="{"".join(lines)}" fill="none" stroke="#999" stroke-width=".15"/>'
        if gaps:
            yield f'<path class="gap" d="{gaps}" fill="#fff" stroke="#999" stroke-width=".15" stroke-dasharray=".8 .8"/>'
        yield from self._signs()
        for symbol in chart.symbols:
            each = w * (symbol.end - symbol.at + 1) / len(symbol.made.needles)
            yield _strips(symbol.made, self.left + symbol.at * w, self.y(symbol.row), (each, h))
        yield from self._numbers()
        if (frame := chart.framed) is not None:
            low, high = self.y(frame[0]) + h, self.y(frame[1])
            box = f"M{num(self.left)} {num(low)}V{num(high)}H{num(self.right)}V{num(low)}Z"
            yield f'<path class="repeat" d="{box}" fill="none" stroke="#000" stroke-width=".7"/>'

    def _signs(self) -> Iterator[str]:
        """What stands in single squares: no stitch is grey, the rest its sign."""
        grey = []
        for i, column in enumerate(self.chart.columns):
            if isinstance(column, LeftOut):
                continue
            for row in range(self.chart.first, self.chart.last + 1):
                x, y, sign = self.left + i * self.w, self.y(row), self.chart.sign(row, column)
                if sign == NO_STITCH:
                    grey.append(f"M{num(x)} {num(y)}h{num(self.w)}v{num(self.h)}h-{num(self.w)}Z")
                elif sign:
                    size = min(self.w, self.h) * 0.9
                    more = f' font-size="{size:.2f}"'
                    yield words(x + self.w / 2, y + self.h / 2 + size * 0.36, sign, "middle", more)
        if grey:
            yield f'<path class="none" d="{"".join(grey)}" fill="#bbb"/>'

    def _numbers(self) -> Iterator[str]:
        """Rows at the side they are read from; stitches left out below their gap, needles below theirs."""
        chart = self.chart
        crossing = list(dict.fromkeys(symbol.row for symbol in chart.symbols))
        taken: dict[bool, list[float]] = {True: [], False: []}
        # Crossing rows first; of the others as many as there is room for.
        for row in (*crossing, *range(chart.first, chart.last + 1)):
            side, y = chart.right_side(row), self.y(row) + self.h / 2 + TEXT_MM * 0.36
            if any(abs(y - other) < TEXT_MM * 0.95 for other in taken[side]):
                continue
            taken[side].append(y)
            bold = ' font-weight="bold"' if row in crossing else ""
            if side:
                yield words(self.right + 1.2, y, str(row), more=bold)
            else:
                yield words(self.left - 1.2, y, str(row), "end", bold)
        below = self.bottom + TEXT_MM * 1.1
        for i, column in enumerate(chart.columns):
            x = self.left + (i + 0.5) * self.w
            if isinstance(column, LeftOut):
                figure = str(column.stitches)
                size = min(TEXT_MM, 1.5 * self.w / len(figure))
                yield words(x, (self.top + self.bottom) / 2, figure, "middle", f' font-size="{size:.2f}"')
            elif i in (0, len(chart.columns) - 1) or any(isinstance(chart.columns[j], LeftOut) for j in (i - 1, i + 1)):
                yield words(x, below, str(Needle(column)), "middle", f' font-size="{TEXT_MM * 0.7:.2f}"')


def _strips(made: FabricCrossing, x: float, y: float, square: tuple[float, float]) -> str:
    """The symbol of a cable in a box of its squares: the strip behind, then the one in front over it."""
    w, h = square
    n, m = len(made.front), len(made.back)
    right = made.lean() is Side.RIGHT
    box = f"M{num(x)} {num(y)}h{num((n + m) * w)}v{num(h)}h-{num((n + m) * w)}Z"
    # Front stitches come from the left where they lean right, and go to the other end.
    low, high = (0, m) if right else (m, 0)
    below, above = (n, 0) if right else (0, n)

    def strip(low: int, high: int, wide: int) -> str:
        """From square ``low`` at the bottom to ``high`` at the top, so many wide."""
        left, right = num(x + low * w), num(x + low * w + wide * w)
        return f"M{left} {num(y + h)}L{num(x + high * w)} {num(y)}h{num(wide * w)}L{right} {num(y + h)}Z"

    drawn = (("cable", box, 2), ("behind", strip(below, above, m), 3), ("front", strip(low, high, n), 3))
    return "".join(f'<path class="{c}" d="{d}" fill="#fff" stroke="#000" stroke-width=".{s}"/>' for c, d, s in drawn)


SQUARE = '<path d="M0 0h2.6v2.6h-2.6Z"'


def _sample(sign: FabricCrossing | LeftOut | str) -> str:
    match sign:
        case FabricCrossing():
            return _strips(sign, 0, 0, (min(8.0, 1.6 * len(sign.needles)) / len(sign.needles), 2.6))
        case LeftOut():
            return f'{SQUARE} fill="#fff" stroke="#999" stroke-width=".15" stroke-dasharray=".8 .8"/>'
        case _:
            fill = "#bbb" if sign == NO_STITCH else "#fff"
            square = f'{SQUARE} fill="{fill}" stroke="#999" stroke-width=".15"/>'
            return square + (words(1.3, 2.1, sign, "middle", ' font-size="2.3"') if sign and sign != NO_STITCH else "")
