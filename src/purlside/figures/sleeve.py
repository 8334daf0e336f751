"""A sleeve, from its measures in cm to the plan's tables, its cap made to match the armhole it is sewn into.

The proportions of the cap (three tenths of its decreases at the foot and at the
top, one in every row, the rest spread between) are ours; they may be changed in the plan.
"""

from __future__ import annotations

from typing import Literal

from purlside.figures.pieces import Heights, Measure, Piece, PieceLayout, Scale, corners
from purlside.figures.shaping import Changes, evenly
from purlside.plan.machine import Gauge
from purlside.values import dataclass

ALLOWANCE = 1.0
"""How much in cm the edges of cap and armhole may differ, if not said otherwise: eased in when sewn. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Sleeve:
    """The measures of a sleeve, in cm.

    ``heights`` are the widths from the cuff to the upper arm. ``edge`` is the
    length of the armhole's edge it is sewn to: of a set-in sleeve back and front
    together, of a raglan one side. ``base`` is what is cast off at each side
    before the cap or raglan, ``top`` the width left at its end. A raglan is
    ``depth`` high; the height of a cap is found so that its edge matches.
    """

    heights: Heights
    cap: Literal["set-in", "raglan"] = "set-in"
    edge: float
    base: float = 2
    top: float = 8
    depth: float = 0
    allowance: float = ALLOWANCE
    tool: int = 3


def sleeve(wanted: Sleeve, gauge: Gauge) -> Piece:
    """The piece. Raises ValueError where no cap matches the armhole within the allowance."""
    scale = Scale.of(gauge)
    laying = PieceLayout(scale, wanted.tool)
    stitches, foot = laying.sides(wanted.heights)
    base = laying.across("cast off at each side", wanted.base, step=1)
    top = laying.across("top", wanted.top)
    rest = stitches // 2 - base - top // 2
    if rest < 1:
        raise ValueError(
            f"{stitches} stitches at the upper arm leave none to decrease to a top of {top}; make it wider"
        )
    if wanted.cap == "raglan":
        rows = laying.up("raglan depth", wanted.depth, step=2)
        cap = evenly(rest, rows - 2)
        comes_to = scale.edge(corners(base, 2, cap, rows))
        what = "raglan edge"
    else:
        # The cap whose edge, from side to side over the top, is nearest to the armhole's.
        tried = ((cap, _edge(scale, base, top, cap)) for cap in _caps(rest))
        cap, comes_to = min(tried, key=lambda found: abs(found[1] - wanted.edge * 10))
        rows = 2 + sum(c.rows for c in cap)
        what = "edge of the cap"
    laying.measures.append(Measure(what, wanted.edge * 10, comes_to))
    if abs(comes_to / 10 - wanted.edge) > wanted.allowance:
        would = "change the upper arm, the top, the depth or the allowance"
        if wanted.cap == "raglan" and (deep := _deep(scale, base, rest, wanted)):
            would = f"a depth of {deep:.1f} cm would match, or another upper arm, top or allowance"
        raise ValueError(
            f"the {what} comes to {comes_to / 10:.1f} cm, the armhole is {wanted.edge:g} cm: more than the "
            f"{wanted.allowance:g} cm allowed apart; {would}"
        )
    if base:
        laying.once(base, foot + 1, edge="both", do="cast off")
    laying.change(cap, foot + 2, edge="both", do="decrease", tool=wanted.tool)
    laying.mark_edge("raglan" if wanted.cap == "raglan" else "cap", foot, corners(base, 2, cap, rows))
    laying.mark(foot + rows, "the middle of the top, between L1 and R1, sewn to the " + _TOPS[wanted.cap])
    return laying.piece(wanted.heights, foot + rows, comes_to / (1 if wanted.cap == "raglan" else 2))


_TOPS = {"set-in": "shoulder seam", "raglan": "middle of the neck's side"}


def _caps(rest: int) -> list[tuple[Changes, ...]]:
    """Every cap of so many decreases a side, the flattest first: its middle takes from half a row to six rows a decrease."""
    ends = round(0.3 * rest)
    between = rest - 2 * ends
    end = (Changes(1, 1, ends),) if ends else ()
    return [(*end, *evenly(between, rows), *end) for rows in range(-(-between // 2), 6 * between + 1)]


def _deep(scale: Scale, base: int, rest: int, wanted: Sleeve) -> float:
    """The depth in cm of the raglan whose edge is nearest to the armhole's; 0 where none is near enough."""
    tried = (
        (abs(scale.edge(corners(base, 2, evenly(rest, rows - 2), rows)) / 10 - wanted.edge), rows)
        for rows in range(2 + 2 * (-(-rest // 4)), scale.rows(wanted.edge, step=2) + 3, 2)
    )
    apart, rows = min(tried, default=(wanted.allowance + 1, 0))
    return rows * scale.row / 10 if apart <= wanted.allowance else 0.0


def _edge(scale: Scale, base: int, top: int, cap: tuple[Changes, ...]) -> float:
    return 2 * scale.edge(corners(base, 2, cap, 0)) + top * scale.stitch
