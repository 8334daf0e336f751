"""Shaping as it is typed at the drafting table."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from purlside.draft.measured import even_for, piece_for
from purlside.figures.pieces import Piece, Scale
from purlside.plan.checked import written
from purlside.plan.plan import Reminder
from purlside.rows.calendar import Calendar
from tests.plans import plan, swatch

EVEN = {"stitches": "9", "rows": "61-99", "do": "Decrease", "edge": "both", "tool": "3"}
FRONT = {
    "widths": "0:50, 36:50",
    "armhole": "set-in",
    "depth": "20",
    "shoulder": "11 cm",
    "slope": "3",
    "neck": "round 17 8",
    "edge": "",
}


def test_stitches_over_rows_become_shaping() -> None:
    changes, shapes = even_for(EVEN)
    assert [str(c) for c in changes] == ["every 4th row 6 times", "every 5th row 3 times"]
    assert [(s.first_row, s.every, s.times, s.tool) for s in shapes] == [(64, 4, 6, 3), (89, 5, 3, 3)]


def test_what_wants_the_yarn_at_the_edge_falls_in_every_other_row() -> None:
    _, shapes = even_for({**EVEN, "do": "cast off", "edge": "left", "rows": "61-80"})
    assert all((s.every or 2) % 2 == 0 for s in shapes)


def test_a_front_and_a_sleeve_are_laid_out_from_their_measures() -> None:
    gauged = plan(gauge=swatch(29, 41))
    front = piece_for(gauged, FRONT)
    assert (len(front.needles), front.rows, len(front.part)) == (144, 210, 2)
    assert len(piece_for(gauged, {**FRONT, "neck": ""}).part) == 0
    assert {s.tool for s in front.shape if s.do == "decrease"} == {3}
    assert {s.tool for s in piece_for(gauged, {**FRONT, "tool": "6"}).shape if s.do == "decrease"} == {6}
    arm = piece_for(gauged, {**FRONT, "widths": "0:22, 44:36", "edge": f"{2 * front.edge / 10:.1f} cm"})
    assert arm.edge == pytest.approx(front.edge, abs=5)


def climbed(piece: Piece, foot: int, last: int, scale: Scale) -> list[float]:
    """How long the left edge is from row ``foot`` on, after each row up to ``last``: worked out from the needles knit."""
    shaped = plan(
        needles=str(piece.needles), rows=piece.rows, shape=[written(s) for s in piece.shape if s.part is None]
    )
    calendar = Calendar(shaped)
    edges = [int(calendar.row(row).needles[0]) for row in range(foot, last + 1)]
    moved = [abs(b - a) * scale.stitch for a, b in pairwise(edges)]
    return [
        sum(math.hypot(m, scale.row) if m < 3 * scale.stitch else m + scale.row for m in moved[:i])
        for i in range(len(edges))
    ]


def test_markers_are_told_where_an_edge_to_be_sewn_begins_and_halfway_along_it() -> None:
    gauged = plan(gauge=swatch(29, 41))
    assert gauged.gauge is not None
    scale = Scale.of(gauged.gauge)
    back = piece_for(gauged, {**FRONT, "neck": ""})
    marked = {marker.text: marker.row for marker in back.markers}
    foot = marked["Tie a marker at both edges: the armhole begins here"]
    assert foot == min(s.first_row for s in back.shape if s.do == "cast off")
    half = marked["Tie a marker at both edges: halfway along the armhole"]
    assert half is not None and foot is not None
    along = climbed(back, foot - 1, half, scale)[-1]
    assert along == pytest.approx(back.edge / 2, abs=2.5 * scale.stitch)
    arm = piece_for(gauged, {**FRONT, "neck": "", "widths": "0:22, 44:36", "edge": f"{2 * back.edge / 10:.1f} cm"})
    marked = {marker.text: marker.row for marker in arm.markers}
    foot = marked["Tie a marker at both edges: the cap begins here"]
    half = marked["Tie a marker at both edges: halfway along the cap"]
    assert foot is not None and half is not None
    assert climbed(arm, foot - 1, half, scale)[-1] == pytest.approx(arm.edge / 2, abs=20)
    assert marked["Tie a marker at the middle of the top, between L1 and R1, sewn to the shoulder seam"] == arm.rows


def test_markers_of_a_parted_neck_and_those_of_a_shape_before() -> None:
    front = piece_for(plan(gauge=swatch(29, 41)), FRONT)
    told = [marker.text for marker in front.markers]
    assert "Tie a marker at the middle, between L1 and R1: the neck is parted after this row" in told
    assert "Tie a marker at both edges: the armhole begins here" in told
    mine = Reminder(row=20, text="Try it on")
    assert front.reminders(front.reminders([mine])) == (mine, *front.markers)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"widths": "50"}, "a height and a width in cm"),
        ({"armhole": "kimono"}, "kimono is none of none, set-in, raglan"),
        ({"depth": "tall"}, "tall is no length"),
        ({"neck": "boat 20"}, "boat is none of straight, round, V"),
        ({"widths": "0:90, 36:90"}, "more than the 200 needles"),
    ],
)
def test_measures_that_cannot_be_read_are_refused_in_words(change: dict[str, str], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        piece_for(plan(gauge=swatch(29, 41)), {**FRONT, **change})


def test_without_a_swatch_there_are_no_measures() -> None:
    with pytest.raises(ValueError, match="knit a swatch"):
        piece_for(plan(), FRONT)


@pytest.mark.parametrize(
    ("key", "typed"), [("stitches", "many"), ("rows", "99-61"), ("do", "unravel"), ("edge", "top")]
)
def test_numbers_that_cannot_be_read_are_refused_in_words(key: str, typed: str) -> None:
    with pytest.raises(ValueError, match=typed):
        even_for({**EVEN, key: typed})
