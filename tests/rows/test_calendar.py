"""Which row crosses what: any row asked for at once, as if all rows before had been counted."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.files.tables import checked
from purlside.plan.plan import Cable, Plan
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.rows.row import Kind, Tally
from tests.plans import cable, plan, plans


def crossing_rows(of: Cable, rows: int) -> list[int]:
    """A cable's crossing rows, written down one after the other."""
    found: list[int] = []
    row = of.first_row
    while row <= rows and len(found) < (of.times or rows):
        found.append(row)
        if of.every is None:
            break
        row += of.every
    return found


# --- a row as a knitter would count it -----------------------------------------


def test_crossing_rows_are_eight_apart_and_stop_after_so_many_times() -> None:
    calendar = Calendar(plan(cable(times=3), rows=60))
    assert [n for n in range(1, 61) if calendar.row(n).crossing] == [8, 16, 24]
    crossed = calendar.row(16).crossed[0]
    assert (crossed.name, crossed.k, crossed.of) == ("rope", 2, 3)


def test_crossings_in_a_list_are_taken_in_turn() -> None:
    calendar = Calendar(plan(cable(["R1 over L1", "L2 over L1", "R2 over R1"], every=4), rows=40))
    shown = [str(calendar.row(n).crossed[0].crossing) for n in (8, 12, 16, 20)]
    assert shown == ["R1 over L1", "L2 over L1", "R2 over R1", "R1 over L1"]


def test_the_carriage_starts_where_the_plan_says_and_changes_sides_each_row() -> None:
    for side in ("left", "right"):
        calendar = Calendar(plan(carriage=side))
        assert [calendar.row(n).side for n in (1, 2, 3)] == [Side(side), Side(side).other, Side(side)]


def test_the_first_row_and_the_last_are_rows_and_no_other_is() -> None:
    calendar = Calendar(plan(rows=12))
    assert (calendar.row(1).number, calendar.row(12).number) == (1, 12)
    for number in (0, 13, -1):
        with pytest.raises(IndexError, match="1 to 12"):
            calendar.row(number)


def test_a_band_sets_size_and_colour_and_the_later_of_two_counts() -> None:
    bands = [
        {"rows": "3-8", "stitch_size": 4.0, "colour": "slate"},
        {"rows": "6-7", "stitch_size": 6.0},
        {"rows": "8", "colour": "sand"},
    ]
    calendar = Calendar(plan(rows=12, band=bands))
    assert [calendar.row(n).size for n in range(1, 11)] == [5, 5, 4, 4, 4, 6, 6, 4, 5, 5]
    assert [calendar.row(n).told for n in (2, 3, 4, 8, 9, 10)] == [
        (),
        ("Change to slate",),
        (),
        ("Change to sand",),
        ("Change back from sand",),
        (),
    ]


def test_a_colour_from_the_first_row_is_told_before_it() -> None:
    of = plan(band=[{"rows": "1-4", "colour": "slate"}], reminder=[{"text": "measure", "row": 1}])
    assert Calendar(of).row(1).told == ("Knit with slate", "measure")


def test_reminders_are_told_in_their_rows_and_weights_moved_every_so_many() -> None:
    reminders = [{"text": "measure", "row": 6}, {"text": "tie", "first_row": 4, "every": 2, "times": 2}]
    calendar = Calendar(plan(rows=20, reminder=reminders, panel={"weights_every": 6}))
    assert {n: calendar.row(n).told for n in range(1, 21) if calendar.row(n).told} == {
        4: ("tie",),
        6: ("measure", "tie"),
    }
    assert [n for n in range(1, 21) if calendar.row(n).weights] == [6, 12, 18]


def test_the_repeat_counter_says_what_is_done_and_how_far_the_next_is() -> None:
    calendar = Calendar(plan(cable(times=2), rows=60))

    def count(row: int, crossed: bool = False) -> tuple[int, int | None, int | None]:
        counted = calendar.count(0, row, crossed=crossed)
        assert (counted.name, counted.of) == ("rope", 2)
        return counted.done, counted.next_row, counted.rows_away

    assert count(1) == (0, 8, 7)
    assert count(8) == (0, 8, 0)
    assert count(8, crossed=True) == (1, 16, 8)
    assert count(9) == (1, 16, 7)
    assert count(17) == (2, None, None)


# --- against counting -------------------------------------------------------------


@given(st.integers(1, 30), st.integers(1, 34), st.none() | st.integers(1, 9), st.none() | st.integers(1, 9))
def test_a_repeat_is_the_list_of_its_rows(rows: int, first: int, every: int | None, times: int | None) -> None:
    if every is None:
        times = None
    repeat = Repeat.within(rows, first, every, times)
    listed = crossing_rows(
        checked(Cable, cable(first_row=first, every=every, times=times)),
        rows,
    )
    assert repeat.of == len(listed)
    for row in range(1, rows + 3):
        assert repeat.k(row) == (listed.index(row) + 1 if row in listed else 0)
        assert repeat.before(row) == sum(r < row for r in listed)
        assert repeat.after(row) == min((r for r in listed if r >= row), default=None)


@given(plans())
def test_every_row_is_as_if_the_rows_before_had_been_counted(of: Plan) -> None:
    calendar = Calendar(of)
    listed = [crossing_rows(c, of.panel.rows) for c in of.cable]
    for number in range(1, of.panel.rows + 1):
        row = calendar.row(number)
        assert [(c.cable, c.k, c.of) for c in row.crossed] == [
            (i, rows.index(number) + 1, len(rows)) for i, rows in enumerate(listed) if number in rows
        ]
        for crossed in row.crossed:
            turns = of.cable[crossed.cable].crossings
            assert crossed.crossing == turns[(crossed.k - 1) % len(turns)]
        sizes = [b.stitch_size for b in of.band if b.rows.first <= number <= b.rows.last and b.stitch_size is not None]
        assert row.size == (sizes[-1] if sizes else of.panel.stitch_size)
        colours = [b.colour for b in of.band if b.rows.first <= number <= b.rows.last and b.colour is not None]
        assert row.colour == (colours[-1] if colours else None)
        ahead = [[r for r in rows if r >= number] for rows in listed]
        assert calendar.next_crossing(number) == min((r for rows in ahead for r in rows), default=None)
        for index, rows in enumerate(ahead):
            assert calendar.next_crossing(number, index) == min(rows, default=None)
        for index, rows in enumerate(listed):
            counted = calendar.count(index, number, crossed=number in rows)
            assert counted.done == sum(r <= number for r in rows)
            assert counted.next_row == min((r for r in rows if r > number), default=None)


@given(plans(), st.data())
def test_the_kinds_of_rows_are_counted_as_one_by_one(of: Plan, data: st.DataObject) -> None:
    calendar = Calendar(of)
    first = data.draw(st.integers(1, of.panel.rows))
    last = data.draw(st.none() | st.integers(1, of.panel.rows + 5))
    counted: dict[Kind, Tally] = {}
    for number in range(first, min(last or of.panel.rows, of.panel.rows) + 1):
        kind = calendar.row(number).kind
        known = counted.get(kind, Tally(0, calendar.row(number)))
        counted[kind] = Tally(known.count + 1, known.row)
    assert calendar.kinds(first, last) == counted


def test_a_column_latched_up_sooner_the_first_time_is_a_kind_apart_the_first_time_only() -> None:
    purl = {"needles": "R1", "do": "purl", "first_row": 3, "every": 6}
    calendar = Calendar(plan(rows=60, stitch=[purl]))
    worked = [(tally.first, tally.count) for tally in calendar.kinds().values() if tally.row.works]
    assert worked == [(3, 1), (9, 9)]
    assert [calendar.row(n).works[0].down for n in (3, 9)] == [3, 6]


@given(plans(most_rows=20_000))
def test_in_a_long_panel_the_kinds_add_up_to_all_rows_and_each_first_row_is_of_its_kind(of: Plan) -> None:
    calendar = Calendar(of)
    kinds = calendar.kinds()
    assert sum(tally.count for tally in kinds.values()) == of.panel.rows
    for kind, tally in kinds.items():
        assert calendar.row(tally.first).kind == kind
    crossings = sum(len(tally.row.crossed) * tally.count for tally in kinds.values())
    assert crossings == sum(repeat.of for repeat in calendar.repeats)


# --- in constant time --------------------------------------------------------------


def steps(do: Callable[[], object]) -> int:
    """Lines of Python run, which no other work on the machine changes."""
    count = 0

    def trace(frame: FrameType, event: str, arg: Any) -> Any:
        nonlocal count
        count += event == "line"
        return trace

    before = sys.gettrace()
    gc.disable()  # a collection in between would run the finalizers of other tests' litter
    sys.settrace(trace)
    try:
        do()
    finally:
        sys.settrace(before)
        gc.enable()
    return count


def long(rows: int) -> Calendar:
    cables = [cable("R1 over L1", every=7), cable("L4-L3 over L2", name="b", every=8), cable("R5 over R6", name="c")]
    bands = [{"rows": "1-20", "stitch_size": 4.0}, {"rows": "30-40", "colour": "slate"}]
    return Calendar(plan(*cables, rows=rows, band=bands, panel={"weights_every": 30}))


def test_the_last_row_takes_the_steps_of_a_row_of_a_hundred() -> None:
    short, longest = long(100), long(20_000)
    same = 56  # the same day of every cable, 19,936 rows on
    assert longest.row(same + 19_880).kind == short.row(same).kind
    assert steps(lambda: longest.row(same + 19_880)) == steps(lambda: short.row(same))
    assert steps(lambda: longest.next_crossing(same + 19_880)) == steps(lambda: short.next_crossing(same))
    assert steps(lambda: long(20_000)) == steps(lambda: long(100))


def test_the_kinds_of_twenty_thousand_rows_take_twice_the_steps_of_ten() -> None:
    assert steps(lambda: long(20_000).kinds()) <= 2.2 * steps(lambda: long(10_000).kinds())
    assert sum(tally.count for tally in long(20_000).kinds().values()) == 20_000
