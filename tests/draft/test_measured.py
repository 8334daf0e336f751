"""Shaping as it is typed at the drafting table."""

from __future__ import annotations

import pytest

from purlside.draft.measured import even_for, piece_for
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
    arm = piece_for(gauged, {**FRONT, "widths": "0:22, 44:36", "edge": f"{2 * front.edge / 10:.1f} cm"})
    assert arm.edge == pytest.approx(front.edge, abs=5)


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
