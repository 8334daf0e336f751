"""Figures as JSON: a table of plain values."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from purlside.bed.headline import number
from purlside.ease.reach import Attempt, Technique
from purlside.figures.sizing import Finished, Range, YarnNeed
from purlside.figures.takein import DEPTH, DEPTH_RANGE
from purlside.figures.whole import CrossingFigures, Figures, Together
from purlside.figures.widest import halves
from purlside.figures.yarn import YarnFigures


def as_json(figures: Figures) -> dict[str, Any]:
    """The figures as plain values; lengths in mm or metres as named, ratios without unit, None where not known."""
    wanted = figures.wanted
    return {
        "format": 1,
        "title": figures.title,
        "estimate": True,
        "size": None if figures.finished is None else _size(figures.finished),
        "wanted": None if wanted is None else {**asdict(wanted), "bed_is_enough": wanted.bed_is_enough},
        "yarn": {
            **_rounded(figures.yarn, 3),
            "loop_mm": round(figures.loop(figures.panel_size), 3),
            "loop_mm_per_size": round(figures.loop.per_size, 4),
            "loop_measured": figures.loop.measured,
            "loop_from": figures.loop.basis,
            "doubts": list(figures.loop.doubts),
            "by_hand_loop_mm": round(figures.by_hand_mm, 3),
            "margin": figures.margin,
            "needs": _needs(figures.needs),
        },
        "limit": {"value": round(figures.limit.value, 4), "from": figures.limit.source},
        "crossings": [_crossing_json(crossing) for crossing in figures.crossings],
        "widest": [
            {
                **_technique(one.technique),
                "easily": halves(one.easy),
                "easily_stitches": one.easy,
                "firmly": halves(one.firm),
                "firmly_stitches": one.firm,
            }
            for one in figures.widest
        ],
        "tools_lift_stitches": None if figures.lifted is None else max(map(sum, figures.lifted), default=0),
        "tools_lift": None if figures.lifted is None else [list(pair) for pair in figures.lifted],
        "time": {
            "seconds": round(figures.time.total_s),
            "plain_rows": figures.time.plain_rows + figures.time.worked_rows,
            "plain_seconds": round(figures.time.plain_s + figures.time.worked_s),
            "worked_rows": figures.time.worked_rows,
            "worked_seconds": round(figures.time.worked_s),
            "crossing_rows": figures.time.crossing_rows,
            "crossing_seconds": round(figures.time.crossing_s),
            "weights_seconds": round(figures.time.weights_s),
            "crossing_movements": figures.time.movements,
            "crossing_pushes": figures.time.groups,
            "crossing_needles_pushed": figures.time.pushed,
            "columns_dropped": figures.time.singles.columns,
            "stitches_latched": figures.time.singles.latched,
            "latching_seconds": round(figures.time.singles.latched_s),
            "beads": figures.time.singles.beads,
            "from": figures.time.pace_from,
        },
        "missing": list(figures.missing),
    }


def _size(finished: Finished) -> dict[str, Any]:
    made_of = finished.made_of
    return {
        "width_mm": {
            **_rounded(finished.width_mm, 1),
            "narrowest": round(finished.narrowest_mm, 1),
            "narrowest_row": finished.narrowest_row,
        },
        "length_mm": round(finished.length_mm, 1),
        "gauge": {
            "stitches_per_10cm": round(made_of.stitches_per_10cm, 2),
            "rows_per_10cm": round(made_of.rows_per_10cm, 2),
            "stitch_size": number(made_of.size),
            "from": made_of.gauge_from,
        },
        "take_in": {
            **_part(made_of.take_in),
            "mm": round(finished.taken_in_mm, 1),
            "from": made_of.take_in_from,
        },
    }


def summed(together: Together) -> dict[str, Any]:
    """What the pieces of a garment come to, for other programs."""
    return {
        "pieces": list(together.titles),
        "yarn": {"needs": _needs(together.needs)},
        "time": {"seconds": round(together.seconds), "rows": together.rows},
    }


def _needs(needs: tuple[YarnNeed, ...]) -> list[dict[str, Any]]:
    return [
        {
            "colour": need.colour,
            "loops": need.loops,
            "metres": round(need.metres, 1),
            "grams": None if need.grams is None else round(need.grams, 1),
        }
        for need in needs
    ]


def _rounded(figures: Range | YarnFigures, digits: int) -> dict[str, Any]:
    return {k: round(v, digits) if isinstance(v, float) else v for k, v in asdict(figures).items()}


def _part(own: float | None) -> dict[str, float]:
    """The width of a cable over its stitches knit plain: a swatch's, else the usual one with its range."""
    usual = tuple(round(1 - depth, 4) for depth in (DEPTH, *reversed(DEPTH_RANGE)))
    return dict(zip(("value", "least", "most"), usual if own is None else (own, own, own), strict=True))


def _technique(technique: Technique) -> dict[str, Any]:
    size = technique.enlarged_size
    return {
        "technique": technique.name,
        "enlarged_size": None if size is None else number(size),
        "extra_rows": technique.extra_rows,
    }


def _crossing_json(found: CrossingFigures) -> dict[str, Any]:
    reach, lift = found.reach, found.lift

    def tried(attempt: Attempt) -> dict[str, Any]:
        return {
            **_technique(attempt.technique),
            "yarn_mm": round(attempt.yarn_mm, 2),
            "reach": round(attempt.ratio, 4),
            "verdict": str(attempt.verdict),
        }

    return {
        "cable": found.name,
        "cross": str(reach.crossing),
        "stitch_size": number(reach.size),
        "times": found.rows,
        "travel_mm": reach.travel_mm,
        "travel_pitches": reach.travel_pitches,
        "widest_gap_mm": reach.gap_mm,
        "widest_gap_pitches": reach.gap_pitches,
        "planned": tried(reach.planned),
        "cheapest": None if reach.cheapest is None else tried(reach.cheapest),
        "attempts": [tried(attempt) for attempt in reach.attempts],
        "easily": [tried(attempt) for attempt in reach.easily],
        "chosen": reach.choice.why,
        "tools": {
            "checked": lift.checked,
            "hands": {str(hand.side): list(hand.tools) for hand in lift.hands},
            "missing": list(lift.missing),
        },
    }
