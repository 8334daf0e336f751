"""Shaping at the drafting table: from so many stitches over so many rows, or from a piece's measures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, TypeVar

from purlside.figures.body import Body, body
from purlside.figures.pieces import Piece, Scale, heights
from purlside.figures.shaping import Changes, evenly, placed, shapes
from purlside.figures.sleeve import Sleeve, sleeve
from purlside.plan.plan import Plan, Shape
from purlside.plan.repeats import RowSpan
from purlside.text.units import length_mm

Word = TypeVar("Word", bound=str)

DOES = ("decrease", "increase", "cast off", "cast on", "hold")
EDGES = ("left", "right", "both")
ARMHOLES: tuple[Literal["none", "set-in", "raglan"], ...] = ("none", "set-in", "raglan")
NECKS: tuple[Literal["straight", "round", "V"], ...] = ("straight", "round", "V")


def even_for(given: Mapping[str, str]) -> tuple[tuple[Changes, ...], tuple[Shape, ...]]:
    """Stitches changed evenly: ``stitches``, ``rows`` as ``61-100``, ``do``, ``edge``, ``tool``, and the ``part`` if it is in
    one. Raises ValueError."""
    rows = RowSpan.parse(given["rows"])
    do, edge = _one_of(DOES, given["do"]), _one_of(EDGES, given["edge"])
    # The yarn is at one edge in every other row, and the carriage at the other.
    changes = evenly(_whole(given["stitches"]), rows.last - rows.first + 1, step=1 if do in DOES[:2] else 2)
    more: dict[str, Any] = {"tool": _whole(given["tool"])} if do in DOES[:2] else {}
    more |= {"part": given["part"]} if given.get("part") else {}
    return changes, shapes(placed(changes, rows.first - 1), edge=edge, do=do, **more)


def piece_for(plan: Plan, given: Mapping[str, str]) -> Piece:
    """A body or, with ``edge`` (the armhole's), a sleeve: ``widths``, ``armhole``, ``depth``, ``shoulder``, ``slope``,
    ``neck`` as ``round 17 8``, or ``round 17 8 rest`` where its middle rests; ``tool`` is how many edge stitches are
    moved together, 3 where nothing is said. Raises ValueError."""
    if plan.gauge is None:
        raise ValueError("knit a swatch first: its stitches and rows in 10 cm stand with the gauge")
    widths = heights(given["widths"])
    widest = max(Scale.of(plan.gauge).stitches(width, step=2) for _, width in widths)
    if widest > plan.machine.needles:
        raise ValueError(f"{widest} stitches are more than the {plan.machine.needles} needles of the bed")
    armhole = _one_of(ARMHOLES, given["armhole"] or "none")
    depth, tool = _cm(given["depth"]), _whole(given.get("tool") or "3")
    if given["edge"]:
        return sleeve(
            Sleeve(
                heights=widths,
                cap="raglan" if armhole == "raglan" else "set-in",
                edge=_cm(given["edge"]),
                depth=depth,
                tool=tool,
            ),
            plan.gauge,
        )
    rests = given["neck"].lower().endswith(" rest")
    neck, *sizes = given["neck"].split()[: -1 if rests else None] or ["straight"]
    wide, deep, *_ = [*map(_cm, sizes), 0.0, 0.0]
    return body(
        Body(
            heights=widths, armhole=armhole, depth=depth, shoulder=_cm(given["shoulder"]), slope=_cm(given["slope"]),
            neck=_one_of(NECKS, neck), neck_width=wide, neck_depth=deep, neck_by="rest" if rests else "cast off",
            tool=tool,
        ),
        plan.gauge,
        plan.machine.side,
    )  # fmt: skip


def _one_of(known: tuple[Word, ...], text: str) -> Word:
    for each in known:
        if each.lower() == text.strip().lower():
            return each
    raise ValueError(f"{text or 'nothing'} is none of {', '.join(known)}")


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 4):
        raise ValueError(f"{text or 'nothing'} is no whole number")
    return int(text)


def _cm(text: str) -> float:
    if not text:
        return 0.0
    try:
        found = length_mm(text) / 10
    except ValueError:
        raise ValueError(f"{text} is no length; write it as 20, 20 cm or 8 in") from None
    if not 0 <= found <= 2000:
        raise ValueError(f"{text} is no length of a piece")
    return found
