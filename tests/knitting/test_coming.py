"""What comes next, told ahead, is what then comes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.knitting.coming import asked_text, rows_to_come
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from tests.plans import cable, plan, plans


@given(plans(most_rows=20), st.data())
def test_the_step_told_ahead_is_the_one_that_is_then_in_hand(of: Plan, data: st.DataObject) -> None:
    knitting = Knitting(Working(of), Place(data.draw(st.integers(1, of.panel.rows)), 0))
    for _ in range(data.draw(st.integers(0, 6))):
        knitting.go(knitting.next_place())
    while not knitting.finished:
        number, told, next_row = knitting.place.row, knitting.coming, knitting.next_row_step
        knitting.go(knitting.next_place())
        found = None if knitting.row is None else (knitting.place.row, knitting.step)
        assert told == found
        if knitting.place.row > number:
            assert next_row == found
    assert knitting.coming is None
    assert knitting.next_row_step is None


@given(plans(most_rows=30), st.integers(1, 31), st.integers(0, 9))
def test_the_rows_to_come_ahead_are_those_a_walk_finds(of: Plan, number: int, most: int) -> None:
    knitting = Knitting(Working(of), Place(number, 0))
    rows = [knitting.working.calendar.row(n) for n in range(number + 1, of.panel.rows + 1)]
    assert list(rows_to_come(knitting, most)) == [row for row in rows if row.crossed][:most]


def test_a_crossing_row_names_each_cable_and_its_half_in_front() -> None:
    two = plan(
        cable(name="rope", first_row=8),
        cable("L6-L5 over L8-L7", name="twist", first_row=8),
        panel={"needles": "L8-R8", "rows": 20, "stitch_size": 5.0},
    )
    (row,) = rows_to_come(Knitting(Working(two)), 1)
    assert row.number == 8
    assert asked_text(row) == "rope, right half first; twist, right half first"


def test_rows_of_parts_are_named_by_the_fabric_and_gone_to_as_the_knitter_says_them() -> None:
    part = {"name": "right", "needles": "R1-R6", "rows": 6}
    of = plan(part=[part, {"name": "left", "mirrors": "right"}], rows=4)
    knitting = Knitting(Working(of), Place(7, 0))
    assert [knitting.named(n) for n in (3, 6, 12)] == ["3", "6", "6 of left"]
    assert [knitting.number(said) for said in ("3", "6", "6 left", "10 l")] == [3, 6, 12, 16]
    for said in ("0", "11", "x", "6 back", ""):
        with pytest.raises(ValueError, match="allowed: a row, 1 to 10, of a part as 10 right"):
            knitting.number(said)
