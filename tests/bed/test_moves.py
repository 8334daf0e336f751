"""The moves: values that print, read back, and speak to the knitter."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.bed import Move
from purlside.bed.headline import number
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return, Tell, Weights, size_text
from purlside.bed.needles import Needle, Side, needles_text
from purlside.bed.transfers import Cross
from tests.beds import parse
from tests.plans import crossings, needles, sides, texts

in_bed_order = st.sets(needles, min_size=1, max_size=20).map(lambda found: tuple(sorted(found)))


@st.composite
def knits(draw: st.DrawFn) -> Knit:
    toward = draw(sides)
    return Knit(toward, draw(needles), draw(in_bed_order)[:: toward.step])


moves: st.SearchStrategy[Move] = st.one_of(
    st.builds(Dial, st.floats(0, 100) | st.integers(0, 100).map(float) | st.integers(0, 300).map(lambda n: n / 3)),
    st.builds(Hold, in_bed_order),
    st.builds(Return, in_bed_order),
    knits(),
    st.builds(BackUp, sides, needles),
    st.builds(ByHand, in_bed_order),
    st.builds(Cross, texts | st.sampled_from(["rope as was", " as ", "as"]), crossings()),
    st.builds(Weights, in_bed_order),
    st.builds(Tell, texts),
)


@given(moves)
def test_a_move_is_told_in_one_line_and_written_as_json(move: Move) -> None:
    assert "\n" not in move.words()
    assert move.words()
    assert json.loads(json.dumps(move.json(), allow_nan=False)) == move.json()


def test_the_json_of_each_move_is_that_of_the_outside_contract() -> None:
    assert [
        parse(text).json()
        for text in (
            "dial 5",
            "dial 6.33",
            "hold L24-L23 R1",
            "knit left beyond R1: R1-R3",
            "back-up right beyond R1",
            "return L3-L1",
            "by-hand R1",
            "cross R1-R3 over L3-L1 as rope",
            "weights L3-R1",
            "tell tie a marker at both edges",
        )
    ] == [
        {"do": "dial", "size": 5},
        {"do": "dial", "size": 6.33},
        {"do": "hold", "needles": ["L24", "L23", "R1"]},
        {"do": "knit", "toward": "left", "beyond": "R1", "needles": ["R3", "R2", "R1"]},
        {"do": "back-up", "toward": "right", "beyond": "R1"},
        {"do": "return", "needles": ["L3", "L2", "L1"]},
        {"do": "by-hand", "needles": ["R1"]},
        {
            "do": "cross",
            "cable": "rope",
            "front": "R1-R3",
            "first": {"from": ["R1", "R2", "R3"], "to": ["L3", "L2", "L1"]},
            "second": {"from": ["L3", "L2", "L1"], "to": ["R1", "R2", "R3"]},
        },
        {"do": "weights", "needles": ["L3", "L2", "L1", "R1"]},
        {"do": "tell", "text": "tie a marker at both edges"},
    ]


def test_whole_sizes_are_whole_numbers_in_json() -> None:
    assert json.dumps(Dial(5.0).json()) == '{"do": "dial", "size": 5}'
    assert number(6.5) == 6.5


def test_the_knitter_is_told_in_trade_words_with_ranges_named_then_counted() -> None:
    assert parse("hold R1-R3").words() == "Hold R1–R3 (3 needles)"
    assert parse("return L1").words() == "Return L1 (1 needle) to upper working"
    assert parse("dial 6.33").words() == "Dial to SS 6⅓"
    assert parse("knit left beyond L3: L3-L1").words() == "Knit left across L1–L3 (3 needles)"
    assert parse("knit right beyond L1: L3-L1").words() == "Knit right across L3–L1 (3 needles)"
    assert "nothing knits" in parse("back-up right beyond R1").words()
    assert parse("knit left beyond R2: R2").words() == "Knit left across R2 (1 needle)"
    assert parse("by-hand R1").words() == "Knit R1 (1 needle) by hand, the needle drawn back to the rail"
    assert parse("by-hand L1-R1").words() == "Knit L1–R1 (2 needles) by hand, each needle drawn back to the rail"
    assert parse("weights L3-L1").words() == "Move the claw weights up under L3–L1"


def test_over_a_ladder_the_knitter_is_told_one_range() -> None:
    within = [Needle.parse(n) for n in ("L3", "L2", "R1", "R2")]
    assert [parse(f"{what} L2 R1-R2").words(within) for what in ("hold", "return", "by-hand", "weights")] == [
        "Hold L2–R2, not L1 (3 needles)",
        "Return L2–R2, not L1 (3 needles) to upper working",
        "Knit L2–R2, not L1 (3 needles) by hand, each needle drawn back to the rail",
        "Move the claw weights up under L2–R2, not L1",
    ]


def test_the_crossing_says_which_half_goes_first_and_shows() -> None:
    words = parse("cross R1-R3 over L2-L1 as rope").words()
    assert words == (
        "Cross rope: lift R1–R3 and L2–L1; place R1–R3 first, on L2–R1: it shows on the knit side; "
        "then L2–L1 on R2–R3; push all 5 needles to upper working"
    )


def test_a_range_runs_over_ladders_when_the_needles_in_work_are_known() -> None:
    named = [Needle.parse(n) for n in ("L2", "R1", "R2")]
    work = [Needle.parse(n) for n in ("L3", "L2", "R1", "R2")]
    assert needles_text(named) == "L2, R1–R2 (3 needles)"
    assert needles_text(named, work) == "L2–R2, not L1 (3 needles)"
    assert needles_text(named, work, count=False) == "L2–R2, not L1"
    # Needles named are in work by being named: edges move outwards.
    assert needles_text((Needle(2), Needle(3), Needle(4)), work) == "R3–R5 (3 needles)"


@pytest.mark.parametrize(
    ("size", "shown"),
    [(5.0, "5"), (6.33, "6⅓"), (19 / 3, "6⅓"), (6.67, "6⅔"), (0.33, "⅓"), (0.0, "0"), (6.5, "6.5"), (9.999, "9.999")],
)
def test_sizes_are_shown_as_a_dial_shows_them(size: float, shown: str) -> None:
    assert size_text(size) == shown


def test_the_order_knit_is_the_order_listed() -> None:
    knit = parse("knit left beyond L2: L2-R1")
    assert isinstance(knit, Knit)
    assert knit.toward is Side.LEFT
    assert [str(n) for n in knit.needles] == ["R1", "L1", "L2"]
