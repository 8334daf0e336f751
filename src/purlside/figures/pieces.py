"""A piece of a garment worked out from measures: its needles, rows, shaping, and what rounding to whole stitches lost."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace
from itertools import groupby, pairwise
from math import hypot
from typing import Any, Literal

from purlside.bed.needles import Needle, Span
from purlside.figures.shaping import Change, Changes, evenly, placed, shapes, words
from purlside.plan.machine import Gauge
from purlside.plan.plan import PanelPart, Reminder, Shape
from purlside.text.units import length_mm
from purlside.values import dataclass

Heights = tuple[tuple[float, float], ...]
"""(height, width) in cm, from the cast-on edge up."""


@dataclass(frozen=True, slots=True)
class Scale:
    """One stitch and one row of the swatch, in mm."""

    stitch: float
    row: float

    @classmethod
    def of(cls, gauge: Gauge) -> Scale:
        return cls(100 / gauge.stitches_per_10cm, 100 / gauge.rows_per_10cm)

    def stitches(self, cm: float, *, step: int = 1) -> int:
        """The nearest number of stitches that is a multiple of ``step``."""
        return step * round(cm * 10 / self.stitch / step)

    def rows(self, cm: float, *, step: int = 1) -> int:
        return step * round(cm * 10 / self.row / step)

    def edge(self, corners: Iterable[tuple[int, int]]) -> float:
        """The length in mm of an edge laid from corner to corner, each (stitches across, rows up)."""
        return sum(hypot((x - a) * self.stitch, (y - b) * self.row) for (a, b), (x, y) in pairwise(corners))


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure in mm: what was wanted, and what whole stitches and rows make of it."""

    what: str
    wanted: float
    comes_to: float

    @property
    def lost(self) -> float:
        """What rounding lost, in mm; below 0 where it added."""
        return self.wanted - self.comes_to

    def __str__(self) -> str:
        lost = round(self.lost, 1)
        told = "as wanted" if not lost else f"{abs(lost):g} mm {'less' if lost > 0 else 'more'} than wanted"
        return f"{self.what}: {self.comes_to / 10:.1f} cm, {told}"


@dataclass(frozen=True, slots=True)
class Piece:
    """What goes into the plan: needles, rows, ``[[shape]]`` and ``[[part]]`` tables, and what to say about them.

    ``words`` are the shaping in a knitter's words. ``edge`` is the length in mm
    of the edge that is sewn to another piece (armhole, cap or raglan), on one side.
    ``markers`` are reminders to tie a marker where pieces are sewn together.
    """

    needles: Span
    rows: int
    shape: tuple[Shape, ...]
    part: tuple[PanelPart, ...]
    measures: tuple[Measure, ...]
    words: tuple[str, ...]
    edge: float
    markers: tuple[Reminder, ...] = ()

    def reminders(self, others: Iterable[Reminder]) -> tuple[Reminder, ...]:
        """A plan's other reminders with these: markers of a shape it had before are left out."""
        return (*(other for other in others if not other.text.startswith(MARKED)), *self.markers)


MARKED = "Tie a marker at "
"""How a reminder begins that is a piece's marker."""


@dataclass
class PieceLayout:
    """A piece being laid out from the cast-on up: tables, words and measures as they are found."""

    scale: Scale
    tool: int
    shape: list[Shape] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    measures: list[Measure] = field(default_factory=list)
    markers: list[Reminder] = field(default_factory=list)

    def mark(self, row: int, where: str) -> None:
        """A marker tied before a row is knit."""
        self.markers.append(Reminder(row=row, text=f"{MARKED}{where}"))

    def mark_edge(self, what: str, foot: int, corners: list[tuple[int, int]], parting: int | None = None) -> None:
        """Markers where a sewn edge begins, and halfway along it, so that it is sewn on without stretching.

        ``corners`` are the edge's from its foot on; after row ``parting`` the piece is in two, each with one such edge.
        """
        half, up = self.scale.edge(corners) / 2, 0
        for (x, y), (a, b) in pairwise(corners):
            length = self.scale.edge([(x, y), (a, b)])
            if half <= length:
                up = y + (round((b - y) * half / length) if length else 0)
                break
            half -= length
        for row, where in ((foot + 1, f"the {what} begins here"), (foot + max(2, up), f"halfway along the {what}")):
            edges = "both edges" if parting is None or row <= parting else "the outer edge"
            self.mark(row, f"{edges}: {where}")

    def across(self, what: str, cm: float, *, step: int = 2) -> int:
        """Stitches for a width, its rounding noted."""
        stitches = self.scale.stitches(cm, step=step)
        if cm > 0:
            self.measures.append(Measure(what, cm * 10, stitches * self.scale.stitch))
        return stitches

    def up(self, what: str, cm: float, *, step: int = 1) -> int:
        """Rows for a height, its rounding noted."""
        rows = self.scale.rows(cm, step=step)
        self.measures.append(Measure(what, cm * 10, rows * self.scale.row))
        return rows

    def sides(self, heights: Heights) -> tuple[int, int]:
        """The side edges, from width to width, evenly; the stitches and rows they end with."""
        row, stitches = 0, self.across("width at the cast-on edge", heights[0][1])
        for height, width in heights[1:]:
            top = self.up(f"height {height:g} cm", height)
            then = self.across(f"width at {height:g} cm", width)
            if change := (then - stitches) // 2:
                do: Literal["increase", "decrease"] = "increase" if change > 0 else "decrease"
                if change > max(0, top - row):
                    raise ValueError(
                        f"{change} stitches to increase at each edge over {top - row} rows: at most one in each row; give "
                        "it more height"
                    )
                self.change(evenly(abs(change), top - row), row, edge="both", do=do, tool=self.tool)
            row, stitches = top, then
        return stitches, row

    def change(self, changes: tuple[Changes, ...], after: int, **keys: Any) -> None:
        """Changes in the rows after row ``after``, as tables and in words; ``keys`` are edge, do, tool, part."""
        if changes:
            self.shape += shapes(placed(changes, after), **keys)
            self.say(f"From row {after + 1}", words(changes), **keys)

    def once(self, stitches: int | Literal["all"], row: int, **keys: Any) -> None:
        """Something done before one row is knit, at both edges in it and the next."""
        self.shape.append(Shape(stitches=stitches, first_row=row, **keys))
        when = f"In rows {row} and {row + 1}, one edge in each" if keys["edge"] == "both" else f"In row {row}"
        self.words.append(f"{when}, {keys['do']} {stitches} at {_where(**keys)}")

    def parted(self, after: int, side: Literal["left", "right"], part: str) -> None:
        """What both edges are asked after row ``after`` becomes the part's, at its outer edge; the other side mirrors it."""
        found: list[Shape] = []
        for each in self.shape:
            rows = [each.first_row + k * (each.every or 0) for k in range(each.times or 1)]
            late = [row for row in rows if row > after]
            if each.part is not None or not late:
                found.append(each)
            elif each.do == "cast off":
                # A part begins at its outer edge: the yarn is there before every other row from its first on.
                row = late[0] if (late[0] - after) % 2 else late[0] + 1
                found.append(replace(each, edge=side, part=part, first_row=row))
            else:
                keys: dict[str, Any] = {"do": each.do, "tool": each.tool}
                count = int(each.stitches)
                found += shapes((Change(row, count) for row in rows if row <= after), edge="both", **keys)
                found += shapes((Change(row, count) for row in late), edge=side, part=part, **keys)
        self.shape = found

    def piece(self, heights: Heights, rows: int, edge: float, part: tuple[PanelPart, ...] = ()) -> Piece:
        """What was laid out, on needles for the width at the cast-on edge. Raises ValueError for none."""
        needles = middle(self.scale.stitches(heights[0][1], step=2))
        own = [each for each in self.shape if each.part is not None]
        shape, left = narrowed((each for each in self.shape if each.part is None), len(needles))
        if part:
            # Both sides of a neck are shaped alike; what rests beside the centre is in neither.
            resting = min(abs(int(n) + (n < 0)) for n in part[0].needles) if part[0].needles else 0
            shape += narrowed(own, left // 2 - resting)[0]
        if shape != self.shape:
            few = min((each.tool, each.first_row) for each in shape if each not in self.shape)
            self.words.append(f"Towards the end few stitches are left: from row {few[1]} {few[0]} on the tool")
        markers = tuple(sorted(self.markers, key=lambda marker: marker.row or 0))
        return Piece(needles, rows, tuple(shape), part, tuple(self.measures), tuple(self.words), edge, markers)

    def say(self, when: str, what: str, **keys: Any) -> None:
        self.words.append(f"{when}, {keys['do']} at {_where(**keys)} {what}")


def _where(*, edge: str, part: str | None = None, **_: Any) -> str:
    return ("both edges" if edge == "both" else f"the {edge} edge") + (f" of the {part}" if part else "")


def heights(text: str) -> Heights:
    """``"0:50, 36:50"``, ``"0:20in, 14in:20in"``: heights and the width at each, in cm. Raises ValueError."""
    found: list[tuple[float, float]] = []
    for pair in text.split(","):
        height, colon, width = pair.partition(":")
        try:
            found.append((length_mm(height) / 10, length_mm(width) / 10))
        except ValueError:
            colon = ""
        if not colon or not (0 <= found[-1][0] <= 2000 and 0 < found[-1][1] <= 2000):
            raise ValueError(
                f"found {pair.strip() or 'nothing'}; allowed: a height and a width in cm, as 36:50, or 14in:20in"
            )
    up = [height for height, _ in found]
    if up[0] != 0 or up != sorted(set(up)) or len(found) > 50:
        raise ValueError(f"found {text}; allowed: heights that begin with 0 and grow, as 0:50,36:50")
    return tuple(found)


def middle(stitches: int) -> Span:
    """An even number of needles about the centre of the bed. Raises ValueError for none."""
    if stitches < 2:
        raise ValueError(f"{stitches} stitches are no piece; make it wider")
    return Span(Needle(-(stitches // 2)), Needle(stitches // 2 - 1))


def curve(stitches: int, rows: int) -> tuple[Changes, ...]:
    """Half of the stitches one in every row, the rest one in every other row; more in every row where rows are few.

    Raises ValueError where rows are too few even so.
    """
    steep = max(-(-stitches // 2), 2 * stitches - rows)
    if steep > stitches:
        raise ValueError(f"{stitches} stitches take at least {stitches} rows, and there are {max(rows, 0)}")
    return tuple(c for c in (Changes(1, 1, steep), Changes(1, 2, stitches - steep)) if c.times)


def corners(base: int, rows: int, changes: Iterable[Changes], top: int) -> list[tuple[int, int]]:
    """The corners of an edge: ``base`` stitches cast off over ``rows``, then shaped, then straight up to row ``top``."""
    found = [(0, 0), (base, 0), (base, rows)]
    for each in changes:
        found.append((found[-1][0] + each.stitches * each.times, found[-1][1] + each.rows))
    found.append((found[-1][0], max(top, found[-1][1])))
    return found


def narrowed(shape: Iterable[Shape], stitches: int) -> tuple[list[Shape], int]:
    """The shapes of a panel, or a part, of so many ``stitches``, each decrease with a tool they leave room for; what is left.

    What moves inwards at one edge must not reach what is done at the other.
    """
    listed, resting = list(shape), 0
    due: dict[int, list[int]] = {}
    for i, each in enumerate(listed):
        for k in range(each.times or 1):
            due.setdefault(each.first_row + k * (each.every or 0), []).append(i)
    tools: list[list[tuple[int, int]]] = [[] for _ in listed]
    for row in sorted(due):
        moving = [i for i in due[row] if listed[i].do == "decrease"]
        edges = sum(len(listed[i].sides) for i in moving)
        at_once = sum(int(listed[i].stitches) for i in due[row] if listed[i].do in ("cast off", "hold"))
        for i in moving:
            # Beside those that are moved lie as many as they are moved by: two stitches are knit together there.
            room = (stitches - at_once - bool(at_once)) // edges - int(listed[i].stitches)
            tools[i].append((row, max(int(listed[i].stitches), min(listed[i].tool, room))))
        for each in (listed[i] for i in due[row]):
            if each.stitches == "all":
                stitches, resting = stitches + resting, 0
                continue
            changed = each.stitches * len(each.sides)
            stitches += changed if each.do in ("increase", "cast on", "return") else -changed
            resting += {"hold": changed, "return": -changed}.get(each.do, 0)
    found: list[Shape] = []
    for each, rows in zip(listed, tools, strict=True):
        if all(tool == each.tool for _, tool in rows):
            found.append(each)
            continue
        for tool, run in groupby(rows, key=lambda at: at[1]):
            keys: dict[str, Any] = {"edge": each.edge, "do": each.do, "tool": tool}
            keys |= {"part": each.part} if each.part else {}
            found += shapes((Change(row, int(each.stitches)) for row, _ in run), **keys)
    return found, stitches
