"""The plan as it is really being knit, against a list of rows that is changed row by row."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.deviations import (
    CountedFrom,
    CrossedLate,
    Deviation,
    DoesNotFit,
    OtherSide,
    Reshaped,
    RippedBack,
    SizeFrom,
    Skipped,
    StartSide,
    TooFew,
    TooMany,
    parse,
)
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from tests.plans import cable, plan, plans, texts

# --- the model: rows in a list ------------------------------------------------


@dataclass
class Line:
    """One row of the fabric: the plan's row it is, and what is so from here on."""

    planned: int | None
    made: list[tuple[int, int]] = field(default_factory=list)
    prepared: list[tuple[int, int]] = field(default_factory=list)
    turned: bool = False
    size: float | None = None


class Listed:
    """The rows one by one; slow, and plain to see."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.calendar = plan, Calendar(plan)
        self.start = plan.machine.side
        self.lines = [
            Line(n, [(c.cable, c.k) for c in self.calendar.crossed(n)]) for n in range(1, plan.panel.rows + 1)
        ]
        self.index = {c.name: i for i, c in enumerate(plan.cable)}

    def say(self, said: Deviation) -> None:
        match said:
            case OtherSide(at):
                self.lines[at - 1].turned ^= True
            case StartSide(side):
                self.start, self.lines[0].turned = side, False
            case TooMany(at, rows):
                added = [Line(None) for _ in range(rows)]
                if at <= len(self.lines):
                    below = self.lines[at - 1]
                    added[0].turned, below.turned = below.turned, False
                    added[0].size, below.size = below.size, None
                self.lines[at - 1 : at - 1] = added
            case SizeFrom(at, size):
                self.lines[at - 1].size = size
            case Skipped(_, name, k, prepared):
                line = next(line for line in self.lines if (self.index[name], k) in line.made)
                line.made.remove((self.index[name], k))
                if prepared:
                    line.prepared.append((self.index[name], k))
            case CrossedLate(at, name, k):
                self.lines[at - 1].made.append((self.index[name], k))

    def facts(self) -> list[tuple[Any, ...]]:
        """(start, size, crossings made, crossings only prepared for) of each row."""
        found, side, changed, before = [], self.start, None, 1
        for i, line in enumerate(self.lines):
            side = side.other if line.turned else side
            coming = next((below.planned for below in self.lines[i:] if below.planned), self.plan.panel.rows + 1)
            if line.size is not None:
                changed = (line.size, coming)
            like = line.planned or before
            size = self.calendar.size(like)
            bands = [b.rows for b in self.plan.band if b.stitch_size is not None]
            band = next((b for b in reversed(bands) if b.first <= like <= b.last), None)
            if changed is not None and (band is None or band.first <= changed[1]):
                size = changed[0]
            found.append((side, size, sorted(line.made), sorted(line.prepared)))
            side, before = side.other, line.planned or before
        return found


def facts(course: Course) -> list[tuple[Any, ...]]:
    rows = [course.row(n) for n in range(1, course.rows + 1)]
    return [
        (r.side, r.size, sorted((c.cable, c.k) for c in r.crossed), sorted((c.cable, c.k) for c in r.prepared))
        for r in rows
    ]


@st.composite
def said(draw: st.DrawFn, plan: Plan) -> tuple[Deviation, ...]:
    """Up to seven deviations that fit, said at any rows."""
    course = Course(plan)
    names = [c.name for c in plan.cable]
    for _ in range(draw(st.integers(0, 7))):
        at = draw(st.integers(1, course.rows))
        choose = draw(st.integers(0, 6))
        deviation: Deviation = OtherSide(at)
        if choose == 1:
            deviation = StartSide(draw(st.sampled_from(Side)))
        elif choose == 2:
            deviation = TooMany(draw(st.integers(1, course.rows + 1)), draw(st.integers(1, 9)))
        elif choose == 3:
            deviation = SizeFrom(at, draw(st.sampled_from([5.0, 6.5, 3.0])))
        elif choose in (4, 5) and (due := course.next_crossing(at)) is not None:
            crossed = draw(st.sampled_from(course.crossed(due)))
            deviation = Skipped(due, crossed.name, crossed.k, draw(st.booleans()))
        elif choose == 6 and (missed := course.missed(at)):
            late = draw(st.sampled_from(missed))
            deviation = CrossedLate(at, names[late.cable], late.k)
        course = course.with_(deviation)
    return course.said


plans_and_said = plans(most_rows=24, most_needles=10).flatmap(lambda p: st.tuples(st.just(p), said(p)))


@given(plans_and_said)
def test_every_row_is_as_if_the_rows_had_been_changed_one_by_one(given: tuple[Plan, tuple[Deviation, ...]]) -> None:
    plan, deviations = given
    listed = Listed(plan)
    for deviation in deviations:
        listed.say(deviation)
    assert facts(Course(plan, deviations)) == listed.facts()


@given(plans_and_said, st.data())
def test_counters_and_kinds_say_what_counting_the_rows_says(
    given: tuple[Plan, tuple[Deviation, ...]], data: st.DataObject
) -> None:
    course = Course(*given)
    rows = [course.row(n) for n in range(1, course.rows + 1)]
    first = data.draw(st.integers(1, course.rows))
    last = data.draw(st.integers(first, course.rows))
    counted = Counter(row.kind for row in rows[first - 1 : last])
    kinds = course.kinds(first, last)
    assert {kind: tally.count for kind, tally in kinds.items()} == counted
    assert all(rows[tally.first - 1].kind == kind for kind, tally in kinds.items())
    number = data.draw(st.integers(1, course.rows + 1))
    for index in range(len(course.plan.cable)):
        crossing = [row.number for row in rows for c in row.crossed if c.cable == index]
        count = course.count(index, number, crossed=False)
        assert (count.done, count.of) == (sum(n < number for n in crossing), len(crossing))
        assert count.next_row == course.next_crossing(number, index)
        assert count.next_row == min((n for n in crossing if n >= number), default=None)
        assert course.last_crossing(number, index) == max((n for n in crossing if n < number), default=None)


@given(plans_and_said, st.data())
def test_ripped_back_the_fabric_that_is_left_is_as_it_was(
    given: tuple[Plan, tuple[Deviation, ...]], data: st.DataObject
) -> None:
    course = Course(*given)
    to = data.draw(st.integers(1, course.rows))
    after = course.ripped(to)
    assert facts(after)[: to - 1] == facts(course)[: to - 1]
    assert after.side(to) == course.side(to)
    assert all(after.plan_row(n) for n in range(to, after.rows + 1)), "a row ripped out is not a row too many any more"
    assert after.ripped(to).said == after.said


@given(plans_and_said)
def test_what_was_said_reads_back_from_its_own_words(given: tuple[Plan, tuple[Deviation, ...]]) -> None:
    for deviation in given[1]:
        assert parse(str(deviation)) == deviation


@given(texts, st.integers(1, 10**6), st.integers(1, 10**6))
def test_acts_and_odd_names_read_back_too(name: str, row: int, count: int) -> None:
    for deviation in (TooFew(row, count), RippedBack(row, count), Skipped(row, name, count, True)):
        assert parse(str(deviation)) == deviation
        assert str(row) in deviation.words.replace(",", "")


def test_what_is_no_deviation_is_refused() -> None:
    for text in ("", "other side", "too many x at 3", "size nan at 3", "skipped 1 at 8: ", "start side up"):
        with pytest.raises(ValueError):
            parse(text)


# --- what a knitter would notice -----------------------------------------------

ROPE = cable()


def test_rows_too_many_move_the_rest_of_the_plan_up_and_change_its_sides() -> None:
    course = Course(plan(ROPE), [TooMany(5, 3)])
    assert course.rows == 43
    assert course.next_crossing(1) == 11
    assert course.row(11).side != Calendar(plan(ROPE)).row(8).side
    assert course.plan_row(6) is None
    assert not course.row(6).crossed


def test_reminders_and_weights_come_with_the_plans_rows_and_once() -> None:
    reminded = plan(ROPE, panel={"weights_every": 6}, reminder=[{"row": 6, "text": "marker"}])
    course = Course(reminded, [TooMany(6, 2)])
    assert [n for n in range(1, 15) if course.row(n).told] == [8]
    assert [n for n in range(1, 18) if course.row(n).weights] == [8, 14]


def test_a_skipped_crossing_is_not_counted_and_its_row_is_plain() -> None:
    course = Course(plan(cable(ease="enlarge", enlarged_size=9)), [Skipped(8, "rope", 1)])
    assert not course.row(8).crossed
    assert CourseWorking(course).demand(course.row(8)) == CourseWorking(course).demand(course.row(6)), "knit plain"
    count = course.count(0, 17, crossed=False)
    assert (count.done, count.of, count.next_row) == (1, 4, 24)


def test_a_crossing_skipped_at_its_step_leaves_its_row_as_it_was_prepared() -> None:
    course = Course(plan(ROPE), [Skipped(8, "rope", 1, prepared=True)])
    assert CourseWorking(course).demand(course.row(8)) == Working(plan(ROPE)).demand(Calendar(plan(ROPE)).row(8))
    assert not course.row(8).crossed


def test_a_crossing_made_late_is_prepared_in_the_row_it_is_made_after() -> None:
    eased = cable(ease="enlarge", enlarged_size=9)
    course = Course(plan(eased), [Skipped(8, "rope", 1), CrossedLate(11, "rope", 1)])
    assert [n for n in range(1, 30) if course.row(n).crossed] == [11, 16, 24]
    working = CourseWorking(course)
    assert working.demand(course.row(11)) == working.demand(course.row(16)), "the half behind is enlarged"
    assert course.count(0, 12, crossed=False).done == 1


def test_a_size_changed_from_here_gives_way_to_a_band_that_begins_later() -> None:
    hemmed = plan(rows=40, band=[{"rows": "1-10", "stitch_size": 4.0}, {"rows": "30-35", "stitch_size": 3.0}])
    course = Course(hemmed, [SizeFrom(5, 6.0)])
    assert [course.size(n) for n in (4, 5, 10, 11, 29, 30, 35, 36)] == [4, 6, 6, 6, 6, 3, 3, 6]


def test_what_does_not_fit_is_refused_with_the_reason() -> None:
    refused: list[tuple[list[Deviation], str]] = [
        ([OtherSide(41)], "row 41 is not in 1 to 40"),
        ([Skipped(8, "ropes", 1)], "no cable 'ropes'"),
        ([Skipped(8, "rope", 9)], "no crossing 9"),
        ([Skipped(8, "rope", 1), Skipped(8, "rope", 1)], "skipped already"),
        ([CrossedLate(9, "rope", 1)], "no crossing of rope was skipped"),
        ([SizeFrom(3, 12.0)], "SS 12 is off the dial, 0 to 10"),
        ([TooMany(3, 19_961)], "at most 20,000"),
        ([RippedBack(9, 3)], "changes the place"),
    ]
    for deviations, reason in refused:
        with pytest.raises(DoesNotFit, match=reason):
            Course(plan(ROPE), deviations)


def test_a_decrease_can_only_be_late_after_the_row_it_was_due_in() -> None:
    """Decreases in rows 10, 14 and 18: the second is done before row 15 at the earliest, the third before row 19."""
    narrowing = plan(
        needles="L10-R10", shape=[{"edge": "both", "do": "decrease", "first_row": 10, "every": 4, "times": 3}]
    )
    for k, due in ((1, 10), (2, 14), (3, 18)):
        with pytest.raises(DoesNotFit, match=f"row {due} is not after row {due}, in which it was due"):
            Course(narrowing, [Reshaped(20, Side.LEFT, k, 0, due)])
        late = Course(narrowing, [Reshaped(20, Side.LEFT, k, 0, due + 1)])
        lefts = [str(late.row(n).needles[0]) for n in (due - 1, due, due + 1)]
        assert lefts == [f"L{11 - k}", f"L{11 - k}", f"L{10 - k}"]
    for wrong in (
        Reshaped(20, Side.LEFT, 4, 0, 19),
        Reshaped(20, Side.LEFT, 0, 0, 19),
        Reshaped(20, Side.LEFT, 1, 1, 19),
    ):
        with pytest.raises(DoesNotFit):
            Course(narrowing, [wrong])


def test_a_long_panel_goes_on_as_a_short_one() -> None:
    long = Course(plan(ROPE, rows=18_000), [TooMany(10_000, 3), Skipped(10_008, "rope", 1251), OtherSide(14_001)])
    assert long.next_crossing(10_004) == 10_019
    assert long.count(0, 18_004, crossed=False).done == 2_249
    assert sum(tally.count for tally in long.kinds().values()) == 18_003


# --- a plan changed on the needles -----------------------------------------------------


@given(plans_and_said, st.data())
def test_from_a_row_on_another_plan_is_knit_and_what_is_knit_stays_as_it_was(
    given: tuple[Plan, tuple[Deviation, ...]], data: st.DataObject
) -> None:
    before = Course(*given)
    number = data.draw(st.integers(1, before.rows))
    cables = tuple(replace(cable, every=data.draw(st.integers(2, 9))) for cable in before.plan.cable if cable.every)
    try:
        after = before.from_row(number, replace(before.plan, cable=cables))
    except DoesNotFit:
        return
    assert facts(after)[: number - 1] == facts(before)[: number - 1] or after.following(number) == 1
    rows = [after.row(n) for n in range(1, after.rows + 1)]
    assert {kind: tally.count for kind, tally in after.kinds().items()} == Counter(row.kind for row in rows)
    crossed = [bool(row.crossed) for row in rows[number - 1 :]]
    assert after.rows_left(number) == (crossed.count(False), crossed.count(True))
    assert facts(after.saying(after.said)) == facts(after)


def test_the_repeats_of_a_changed_plan_count_from_the_crossing_made_last() -> None:
    changed = Course(plan(ROPE)).from_row(20, plan(cable(every=9)))
    assert [n for n in range(1, 41) if changed.row(n).crossed] == [8, 16, 25, 34]
    assert [c.k for n in (8, 16, 25, 34) for c in changed.row(n).crossed] == [1, 2, 3, 4]
    late = Course(plan(ROPE), [Skipped(16, "rope", 2), CrossedLate(18, "rope", 2)]).from_row(20, plan(cable(every=9)))
    assert [n for n in range(1, 41) if late.row(n).crossed] == [8, 18, 27, 36]


def test_halves_that_alternate_go_on_alternating_when_the_plan_is_changed() -> None:
    wave = ["R1-R3 over L3-L1", "L3-L1 over R1-R3"]
    changed = Course(plan(cable(wave))).from_row(10, plan(cable(wave, every=5)))
    front = [c.crossing.front_side for n in range(1, 24) for c in changed.row(n).crossed]
    assert front == [Side.RIGHT, Side.LEFT, Side.RIGHT, Side.LEFT]


def test_repeats_counted_anew_leave_nothing_said_of_a_crossing_that_is_no_more() -> None:
    wanted, last = plan(cable(first_row=8, every=8), rows=60), Skipped(56, "rope", 7, prepared=True)
    late = (Skipped(16, "rope", 2), CrossedLate(23, "rope", 2))
    assert Course(wanted, [*late, CountedFrom(23, "rope", 2)]).planned.due["rope"] == [8, 16, 31, 39, 47, 55]
    with pytest.raises(DoesNotFit, match="rope would have 6 crossings, and something is said of number 7"):
        Course(wanted, [last, *late, CountedFrom(23, "rope", 2)])
