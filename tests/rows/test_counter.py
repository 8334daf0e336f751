"""The machine's own counter: what it reads for certain, and between which readings where a pass leaves doubt."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import settings as examples

from purlside.bed.moves import Push
from purlside.bed.needles import Side
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.counter import Clicks, Trip
from purlside.rows.working import Working
from tests.plans import cable, plan, plans

ROPE = cable(ease="enlarge", enlarged_size=9.0)


def trip_at(place: str, **more: object) -> Plan:
    return plan(ROPE, machine={"counter_trip": place, **more}, needles="L40-R40")


def test_plain_rows_click_once_each_and_leave_no_doubt() -> None:
    knitting = Knitting(Working(trip_at("centre")), Place(8, 0))
    assert knitting.counts == (7, 7, 7)


def test_a_pass_that_ends_just_short_of_the_trip_may_click_there_and_back() -> None:
    knitting = Knitting(Working(trip_at("R5")), Place(9, 0))
    fewest, told, most = knitting.counts or (0, 0, 0)
    assert (fewest, told) == (8, 8)
    assert most == 8 + 4, "to the right over L4 and over L1, each taken on over R5 and backed up again"


@pytest.mark.parametrize("place", ["left end", "right end", "L36", "R36"])
def test_a_trip_far_from_where_passes_end_leaves_no_doubt(place: str) -> None:
    assert Knitting(Working(trip_at(place)), Place(20, 0)).counts == (19, 19, 19)


@examples(max_examples=60, deadline=None)
@given(plans(most_rows=12))
def test_the_range_is_what_trying_every_way_to_stop_gives(wanted: Plan) -> None:
    """Against each combination of stopping where told or taken on, counted one click at a time."""
    trip, working = Trip(wanted), Working(wanted)
    if not trip.known:
        return
    for number in range(1, min(12, wanted.panel.rows) + 1):
        row, moves = working.calendar.row(number), working.moves(number)
        pushes = [move for move in moves if isinstance(move, Push)]
        if len(pushes) > 9:
            continue
        found = set()
        for on in product((False, True), repeat=len(pushes) - 1):
            left, clicks = trip._start[row.side], 0
            for push, further in zip(pushes, (*on, False), strict=True):
                now = trip._is_left(push.beyond, push.toward, trip._on if further else 0)
                clicks += now is not left
                left = now
            found.add(clicks)
        counts = trip.counts(moves, row.side)
        assert (min(found), max(found)) == (counts.fewest, counts.most)
        assert counts.told in found


def test_going_to_a_row_counts_as_knitting_there_does() -> None:
    walked, gone = (Knitting(Working(trip_at("R5"))) for _ in range(2))
    while walked.place.row < 30:
        walked.go(walked.next_place())
    gone.go(Place(30, 0))
    assert walked.counts == gone.counts
    assert walked.side in Side


def test_doubt_that_was_settled_by_reading_is_left_out_and_no_counter_reads_below_nought() -> None:
    """Three clicks for certain, five told, nine at most; the counter was ten ahead when it was set."""
    clicks = Clicks(3, 5, 9)
    assert clicks.reading(10) == (13, 15, 19)
    assert clicks.reading(10, fewer=1, more=2) == (14, 15, 17)
    assert clicks.reading(10, fewer=5, more=8) == (15, 15, 15)
    assert clicks.reading(-8) == (0, 0, 1)
    assert clicks.times(2).plus(Clicks(1, 1, 1)) == (7, 11, 19)
