"""Needle addresses, spans, crossings: read as a knitter writes them, in the order of the bed."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Crossing, Needle, Side, Span, spans
from tests.plans import crossings, needles
from tests.plans import spans as some_spans


def test_left_and_right_one_are_neighbours_there_is_no_zero() -> None:
    assert Needle.parse("L1") + 1 == Needle.parse("R1")
    assert [str(n) for n in Span.parse("L2-R2")] == ["L2", "L1", "R1", "R2"]
    with pytest.raises(ValueError, match="there is no zero"):
        Needle.parse("L0")


@given(needles)
def test_a_needle_prints_as_it_is_read(needle: Needle) -> None:
    assert Needle.parse(str(needle)) == needle
    assert f"{needle:>5}" == str(needle).rjust(5)


@pytest.mark.parametrize("text", ["", "3", "L", "R-1", "l3", "L3.0", "L03", "R 1", "L٣", "LL3", "L3\nR1", "M3"])
def test_what_is_no_needle_is_refused_with_how_to_write_one(text: str) -> None:
    with pytest.raises(ValueError, match="L3 or R12"):
        Needle.parse(text)


def test_needles_further_out_than_any_bed_reaches_are_refused_with_the_limit() -> None:
    assert Needle.parse("L250") == -250
    assert Needle.parse("R250") == 249
    for text in ("L251", "R251", "R9999", "L99999", "R" + "9" * 5000):
        with pytest.raises(ValueError, match="at most 250 needles on each side"):
            Needle.parse(text)


def test_a_needle_further_right_is_a_larger_one_and_a_step_that_way_leads_to_it() -> None:
    l1 = Needle.parse("L1")
    assert str(Needle(l1 + Side.LEFT.step)) == "L2"
    assert str(Needle(l1 + Side.RIGHT.step)) == "R1"
    assert Side.LEFT.other is Side.RIGHT
    assert (Side.LEFT.carriage, Side.RIGHT.carriage) == ("COL", "COR")


@given(some_spans(-20, 20), needles)
def test_a_span_holds_what_lies_between_its_ends(span: Span, needle: Needle) -> None:
    assert Span.parse(str(span)) == span
    assert len(span) == len(list(span))
    assert (needle in span) == (needle in set(span))
    assert span.edge(Side.LEFT) == min(span)
    assert span.edge(Side.RIGHT) == max(span)


@given(some_spans(-9, 9), some_spans(-9, 9))
def test_spans_overlap_when_they_share_a_needle(a: Span, b: Span) -> None:
    assert a.overlaps(b) == bool(set(a) & set(b))


@pytest.mark.parametrize("text", ["R3-L3", "L1-L3", "R2-R1"])
def test_a_span_written_right_to_left_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="left to right"):
        Span.parse(text)


@pytest.mark.parametrize("text", ["L3-L2-L1", "", "-", "L3-", "L3–R3"])
def test_what_is_no_span_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write"):
        Span.parse(text)


@given(crossings())
def test_the_blocks_of_a_crossing_change_places(crossing: Crossing) -> None:
    front, back = crossing.landing()
    assert sorted((*front, *back)) == list(crossing.needles)
    assert len(front) == len(crossing.front)
    assert len(back) == len(crossing.back)
    assert list(front) == sorted(front)
    assert (front[0] < back[0]) == (crossing.front_side is Side.RIGHT)
    assert Crossing.parse(str(crossing)) == crossing
    assert list(crossing.span) == list(crossing.needles)
    assert not crossing.gap


def test_the_half_in_front_is_named_first() -> None:
    crossing = Crossing.parse("R1-R3 over L1")
    assert crossing.words == "3 over 1"
    assert crossing.front_side is Side.RIGHT
    assert [str(n) for half in crossing.landing() for n in half] == ["L1", "R1", "R2", "R3"]


def test_needles_between_the_halves_are_the_gap() -> None:
    assert [str(n) for n in Crossing.parse("R3-R4 over L2-L1").gap] == ["R1", "R2"]


@pytest.mark.parametrize("text", ["R1-R3 over R3-R4", "R1 over R1", "L3-L1 over L2-R1"])
def test_halves_that_share_a_needle_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="share needles"):
        Crossing.parse(text)


@pytest.mark.parametrize("text", ["R1-R3", "R1-R3 over", "over", "R1 over L1 over L2", "R1 under L1", "R1overL1", ""])
def test_what_is_no_crossing_is_refused_with_how_to_write_one(text: str) -> None:
    with pytest.raises(ValueError, match="write"):
        Crossing.parse(text)


@given(st.sets(st.integers(-9, 9)))
def test_needles_are_gathered_into_the_fewest_spans(places: set[int]) -> None:
    found = spans(places)
    assert [int(n) for span in found for n in span] == sorted(places)
    assert all(b.left - a.right > 1 for a, b in pairwise(found))


@given(st.sets(st.integers(-9, 9), min_size=1), st.data())
def test_a_span_runs_over_ladders_but_over_no_needle_in_work(work: set[int], data: st.DataObject) -> None:
    named = data.draw(st.sets(st.sampled_from(sorted(work))))
    found = spans(named, sorted(work))
    assert {n for span in found for n in span} & work == named
    order = sorted(work)
    starts = [n for n in named if order.index(n) == 0 or order[order.index(n) - 1] not in named]
    assert [int(span.left) for span in found] == sorted(starts)
