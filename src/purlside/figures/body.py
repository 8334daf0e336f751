"""The back or the front of a garment, from its measures in cm to the plan's tables.

The proportions of the curves (a third of an armhole cast off at once, half of a
round neck) are common practice, no source; every one may be changed in the plan.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from purlside.bed.needles import Needle, Side, Span
from purlside.figures.pieces import Heights, Piece, PieceLayout, Scale, corners, curve
from purlside.figures.shaping import Change, Changes, evenly, placed, shapes, words
from purlside.plan.machine import Gauge
from purlside.plan.plan import PanelPart
from purlside.values import Value


class Body(Value, kw_only=True):
    """The measures of a back or a front, in cm.

    ``heights`` are the widths from the cast-on edge to the armhole (or, without
    one, to the shoulder). ``depth`` is from there up to the outer end of the
    shoulder, ``slope`` from there to its inner end. ``shoulder`` is the width of
    one shoulder; the lines of a raglan lead to the neck, and it needs none: given,
    it is what is left beside the neck. ``base`` is what is cast off at the foot of a raglan. ``neck_depth`` is measured down from the
    inner end of the shoulder; ``neck_by`` is what becomes of the stitches in the
    middle of a round one: cast off, or left to rest, to be taken on waste yarn.
    """

    heights: Heights
    armhole: Literal["none", "set-in", "raglan"] = "none"
    depth: float = 0
    base: float = 2
    shoulder: float = 0
    slope: float = 0
    slope_by: Literal["short rows", "cast off"] = "short rows"
    neck: Literal["straight", "round", "V"] = "straight"
    neck_width: float = 0
    neck_depth: float = 0
    neck_by: Literal["cast off", "rest"] = "cast off"
    tool: int = 3


_SLOPE = "shoulder slope"


class _Rows(Value):
    """The rows after which things begin: the armhole, the shoulder's slope, the parted neck; and the last row."""

    foot: int
    outer: int
    parting: int
    top: int


def body(wanted: Body, gauge: Gauge, carriage: Side) -> Piece:
    """The piece, its carriage on ``carriage`` before row 1. Raises ValueError where the measures leave no way."""
    laying = PieceLayout(Scale.of(gauge), wanted.tool)
    stitches, foot = laying.sides(wanted.heights)
    rows = _rows(wanted, laying, foot)
    neck = laying.across("neck", wanted.neck_width) // 2
    shoulder = _shoulder(wanted, laying, rows, stitches // 2, neck)
    base, armhole = _armhole(wanted, laying, rows, stitches // 2 - neck - shoulder)
    after = foot + 2
    outer = list(placed(armhole, after))
    keys = {"do": "decrease", "tool": wanted.tool}
    if outer:
        laying.shape += shapes(outer, edge="both", **keys)
        laying.say(f"From row {after + 1}", words(armhole), edge="both", **keys)
    part: tuple[PanelPart, ...] = ()
    if wanted.neck == "straight":
        _slope(wanted, laying, rows, shoulder, {"edge": "both"})
    else:
        side = carriage if rows.parting % 2 == 0 else carriage.other
        resting = -(-neck // 2) if wanted.neck == "round" and wanted.neck_by == "rest" else 0
        # Out to the widest: a part has what is still in work among its needles.
        widest = max(laying.scale.stitches(width, step=2) for _, width in wanted.heights)
        part = _parts(side, rows, widest // 2, resting)
        at = {"part": part[0].name}
        laying.parted(rows.parting, side.value, part[0].name)
        _neck(wanted, laying, rows, neck, {"edge": str(side.other), **at})
        _slope(wanted, laying, rows, shoulder, {"edge": str(side), **at})
    traced = corners(base, 2 if base else 0, armhole, rows.outer - foot)
    edge = laying.scale.edge(traced)
    _mark(wanted, laying, rows, neck, traced)
    return laying.piece(wanted.heights, rows.parting, edge, part)


def _shoulder(wanted: Body, laying: PieceLayout, rows: _Rows, half: int, neck: int) -> int:
    """Stitches of one shoulder, of a raglan those left beside the neck: as few as will do, if nothing is said."""
    raglan = wanted.armhole == "raglan"
    if raglan and not neck and not wanted.shoulder:
        raise ValueError(
            "the lines of a raglan lead to the neck: give it a neck width, and of a round or V neck its depth"
        )
    least = _beside(wanted, rows, half, neck) if raglan else 1
    if wanted.armhole == "none":
        shoulder = half - neck
    elif raglan and not wanted.shoulder:
        shoulder = least
        if shoulder:
            laying.words.append(f"At the end {shoulder} stitches are left on each side of the neck, to be fastened off")
    else:
        shoulder = laying.across("shoulder", wanted.shoulder, step=1)
    if shoulder < least:
        raise ValueError(
            f"{shoulder} stitches are left beside the neck; it takes {least}: make the shoulder wider or the neck narrower"
        )
    return shoulder


def _beside(wanted: Body, rows: _Rows, half: int, neck: int) -> int:
    """Stitches a raglan leaves beside the neck at least: none of a straight one, else room for the last two decreases.

    Both edges are decreased in the last row, where each has half of the stitches: those moved, and as many they are
    moved onto.
    """
    if wanted.neck == "straight":
        return 0
    last = evenly(neck, rows.top - rows.parting)[-1].stitches if wanted.neck == "V" else 1
    raglan = max(1, (half - neck) // max(1, rows.outer - rows.foot - 2))
    return 4 * max(last, raglan) - last - raglan


def _mark(wanted: Body, laying: PieceLayout, rows: _Rows, neck: int, traced: list[tuple[int, int]]) -> None:
    """Markers where the sleeve is sewn in, and at the neck: of a parted one its middle, else both its ends."""
    if wanted.depth:
        sewn = {"none": "sleeve's edge", "set-in": "armhole", "raglan": "raglan"}[wanted.armhole]
        laying.mark_edge(sewn, rows.foot, traced, None if wanted.neck == "straight" else rows.parting)
    if wanted.neck != "straight":
        laying.mark(rows.parting, "the middle, between L1 and R1: the neck is parted after this row")
    elif neck:
        laying.mark(rows.top, f"L{neck} and R{neck}, either end of the neck")


def _rows(wanted: Body, laying: PieceLayout, foot: int) -> _Rows:
    outer = foot + laying.up("depth above the armhole", wanted.depth, step=2)
    slope = laying.up(_SLOPE, wanted.slope, step=2) if wanted.slope else 0
    if slope and wanted.armhole == "raglan":
        raise ValueError("a raglan has no shoulder slope; leave it out")
    if 0 < slope < 4:
        raise ValueError(f"the shoulder's slope is {slope} rows; it takes 4 or more, or none")
    top = outer + slope
    if wanted.neck == "straight":
        return _Rows(foot, outer, top, top)
    down = laying.up("neck depth", wanted.neck_depth, step=2)
    if top - down == foot + 1:
        # One edge of the armhole would be cast off before the parting and the other after it.
        down -= 2
        laying.measures[-1] = replace(laying.measures[-1], comes_to=down * laying.scale.row)
    if not slope + 2 <= down < top:
        raise ValueError(
            f"a {wanted.neck} neck {down} rows deep does not fit: it takes {slope + 2} rows or more, "
            f"2 more than the shoulder's slope, and the piece has {top}"
        )
    return _Rows(foot, outer, top - down, top)


def _armhole(wanted: Body, laying: PieceLayout, rows: _Rows, stitches: int) -> tuple[int, tuple[Changes, ...]]:
    """What is cast off at each edge at its foot, and how the rest of its ``stitches`` are decreased after those two rows."""
    if wanted.armhole == "none":
        return 0, ()
    if stitches < 1:
        raise ValueError("the neck and the shoulders are as wide as the piece; an armhole takes some of its width")
    base = -(-stitches // 3) if wanted.armhole == "set-in" else laying.scale.stitches(wanted.base)
    if not 0 <= base <= stitches:
        raise ValueError(f"{base} stitches at the armhole's foot are more than the armhole takes, {stitches}")
    if base:
        laying.once(base, rows.foot + 1, edge="both", do="cast off")
    room = rows.outer - rows.foot - 2
    rest = stitches - base
    return base, curve(rest, room) if wanted.armhole == "set-in" else evenly(rest, room)


def _parts(side: Side, rows: _Rows, half: int, resting: int) -> tuple[PanelPart, ...]:
    """Both sides of the neck, the one the carriage stands at first; each begins at its outer edge.

    ``resting`` stitches beside the centre are in neither.
    """
    ends = (resting, half - 1) if side is Side.RIGHT else (-half, -1 - resting)
    needles = Span(*map(Needle, ends))
    first = PanelPart(name=f"{side} shoulder", needles=needles, rows=rows.top - rows.parting, carriage=side.value)
    return first, PanelPart(name=f"{side.other} shoulder", mirrors=first.name)


def _neck(wanted: Body, laying: PieceLayout, rows: _Rows, half: int, at: dict[str, str]) -> None:
    """``half`` stitches, taken at the inner edge of the first part; the carriage is there before its second row."""
    if wanted.neck == "V":
        laying.change(evenly(half, rows.top - rows.parting), rows.parting, do="decrease", tool=wanted.tool, **at)
        return
    base, begun = -(-half // 2), rows.parting
    if base and wanted.neck_by == "rest":
        laying.words.append(f"The {2 * base} stitches in the middle rest: take them off on waste yarn")
    elif base:
        begun += 2
        laying.once(base, begun, do="cast off", **at)
    laying.change(curve(half - base, rows.top - begun), begun, do="decrease", tool=wanted.tool, **at)


def _slope(wanted: Body, laying: PieceLayout, rows: _Rows, shoulder: int, at: dict[str, str]) -> None:
    """The shoulder in steps of two rows, one for every two of the slope, so that its outermost stitch lies so much lower.

    In a part one step more, the innermost, stays on the needles, to be knit or joined off. A part's carriage is at its
    outer edge before every other row from its first on.
    """
    steps = (rows.top - rows.outer) // 2
    if not steps:
        return
    parted, short = "part" in at, wanted.slope_by == "short rows"
    changes = [c.stitches for c in placed(evenly(shoulder, 2 * (steps + parted), step=2), 0)]
    changes = changes[:-1] if parted else changes
    # Short rows are all returned in the last row, both edges in the last two.
    last = rows.top - 1 - (0 if not short else 1 if parted else 2)
    first = last - 2 * (len(changes) - 1)
    do = "hold" if short else "cast off"
    laying.shape += shapes((Change(first + 2 * i, n) for i, n in enumerate(changes)), do=do, **at)
    if changes:
        laying.say(f"From row {first}, every other row", " + ".join(map(str, changes)), do=do, **at)
    if len(changes) < steps:
        # A shoulder of few stitches has no more steps to give.
        low = 2 * len(changes) * laying.scale.row
        laying.measures = [replace(m, comes_to=low) if m.what == _SLOPE else m for m in laying.measures]
    if changes and short:
        laying.once("all", rows.top if parted else rows.top - 1, do="return", **at)
