"""Every accident, at any place of many plans: what mends it is replayed on the bed without a fault."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.bed import Bed
from purlside.bed.moves import BackUp
from purlside.bed.needles import Needle, Side
from purlside.bed.transfers import Cross
from purlside.knitting.accidents import Dropped, HoldOff, Jammed, Unravelled, YarnEnded
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import (
    CountedFrom,
    Deviation,
    OtherSide,
    RippedBack,
    SizeFrom,
    TooFew,
    TooMany,
    WrongHalf,
    parse,
)
from purlside.knitting.differing import CannotBe, differ
from purlside.knitting.handling import handling
from purlside.knitting.happening import Happening, Way
from purlside.knitting.happenings import happenings
from purlside.knitting.mends import HeldKnit, Recross, Rehang, Uncross, Unknit
from purlside.plan.plan import Plan
from purlside.shown.capitals import fitting
from purlside.text.signs import UNICODE
from tests.plans import Tables, cable, plan, plans

ROPE = cable(ease="enlarge", enlarged_size=9)


def knitting_at(of: Plan, row: int, steps: int = 0) -> tuple[Knitting, Course]:
    course = Course(of)
    knitting = Knitting(CourseWorking(course), Place(row, 0))
    for _ in range(steps):
        knitting.go(knitting.next_place())
    return knitting, course


def ways(knitting: Knitting, course: Course, letter: str, answer: str = "") -> dict[str, Way]:
    line = next(line for line in happenings(knitting, course) if line.letter == letter)
    assert not line.not_now, line.not_now
    return {way.label: way for way in line.ways(answer)}


def taken(knitting: Knitting, course: Course, way: Way) -> tuple[Knitting, Course]:
    changed = differ(knitting, course, *way.deviations)
    return changed.knitting, changed.course


def hands(bed: Bed) -> tuple[object, ...]:
    """What the knitter can see of the bed: upper working and working knit alike."""
    position = ["hp" if p == "hp" else "up" for p in bed.position]
    return position, bed.loops, bed.rows, bed.side, bed.dial, bed.yarn


def between(bed: Bed) -> int:
    """The needle that the carriage stands to the left of."""
    beyond, side = bed.carriage
    return int(beyond) + (side is Side.RIGHT)


def to_row_end(knitting: Knitting) -> list[str]:
    """Knit the row in hand to its end, step by step; the moves made, in words."""
    row, made = knitting.place.row, []
    while knitting.place.row == row:
        made += [m.words() for m in knitting.moves[knitting.place.done : knitting.next_move_place().done or None][:1]]
        knitting.go(knitting.next_move_place())
    return made


# --- any accident, any place, any plan ----------------------------------------------


def answers(line: Happening, knitting: Knitting, data: st.DataObject) -> str:
    """What may be answered to a line's question."""
    needle = str(data.draw(st.sampled_from(knitting.bed.in_work)))
    match line.letter:
        case "m" | "n" | "w" | "r" | "f" | "c":
            return str(data.draw(st.integers(1, 6)))
        case "s":
            return f"{needle} {data.draw(st.integers(0, 3))}"
        case "l":
            return str(knitting.place.row)
        case "e":
            due = data.draw(st.sampled_from(re.findall(r"\d+(?=[:,.])", line.hint.split(" If ")[0])))
            return f"{due} {knitting.place.row}" if data.draw(st.booleans()) else due
        case "t":
            return "5 1/3"
        case "k" if data.draw(st.booleans()):
            return str(knitting.bed.yarn)
        case _:
            step = knitting.step
            on_way = step.knits.needles if step and step.knits else knitting.bed.in_work
            return str(data.draw(st.sampled_from(on_way))) if data.draw(st.booleans()) else needle


@st.composite
def shaped(draw: st.DrawFn) -> Plan:
    """A panel that is shaped at its edges, or knit in short rows, with a cable in its middle."""
    eases: list[Tables] = [{"ease": "enlarge", "enlarged_size": 9}, {"ease": "extra rows", "extra_rows": 2}]
    ease = draw(st.sampled_from(eases))
    works: list[Tables] = [
        {"do": "decrease", "tool": 2},
        {"do": "increase"},
        {"do": "decrease", "tool": 3, "stitches": 2},
        {"do": "hold", "stitches": 2},
        {"do": "cast off", "stitches": 2},
    ]
    work = draw(st.sampled_from(works))
    edge = draw(st.sampled_from(["both", "left", "right"])) if work["do"] in ("decrease", "increase") else "both"
    every, times = draw(st.integers(2, 5)), draw(st.integers(1, 3))
    shape = {"edge": edge, "first_row": draw(st.integers(2, 8)), "every": every, "times": times, **work}
    carriage = draw(st.sampled_from(["left", "right"]))
    return plan(cable(every=5, first_row=4, **ease), needles="L12-R12", rows=20, carriage=carriage, shape=[shape])


@given(shaped(), st.data())
def test_whatever_happens_to_a_shaped_panel_is_put_right_without_a_fault(of: Plan, data: st.DataObject) -> None:
    check_whatever_happens(of, data)


@given(plans(most_rows=14, most_needles=12), st.data())
def test_whatever_happens_wherever_the_mend_and_all_rows_after_it_are_knit_without_a_fault(
    of: Plan, data: st.DataObject
) -> None:
    check_whatever_happens(of, data)


def check_whatever_happens(of: Plan, data: st.DataObject) -> None:
    """Say up to three things at random places; each way of each is knit on from, step by step."""
    course = Course(of)
    knitting = Knitting(CourseWorking(course), Place(data.draw(st.integers(1, of.panel.rows)), 0))
    for _ in range(data.draw(st.integers(1, 3))):
        for _ in range(data.draw(st.integers(0, 6))):
            knitting.go(knitting.next_place())
        listed = [line for line in happenings(knitting, course) if not line.not_now]
        line = data.draw(st.sampled_from(listed))
        try:
            found = line.ways(answers(line, knitting, data) if line.question else "")
        except ValueError:
            continue
        for way in found:
            if not way.deviations:
                continue
            before = hands(knitting.bed), knitting.place
            try:
                changed = differ(knitting, course, *way.deviations)
            except CannotBe:
                continue
            assert (hands(knitting.bed), knitting.place) == before, "nothing is changed by considering it"
            assert tuple(parse(str(one)) for one in changed.course.said) == changed.course.said
            again = Knitting(CourseWorking(Course(of, changed.course.said)), changed.knitting.place)
            assert hands(again.bed) == hands(changed.knitting.bed)
            for _ in range(40):
                again.go(again.next_move_place())
                if again.finished:
                    break
                anew = Knitting(CourseWorking(Course(of, changed.course.said)), again.place)
                assert hands(anew.bed) == hands(again.bed), "resumed here the bed is the same"
                assert again.moves[: again.place.done] == again.bed.moves
        way = data.draw(st.sampled_from(found))
        if way.deviations:
            try:
                knitting, course = taken(knitting, course, way)
            except CannotBe:
                continue
        if knitting.finished:
            return


# --- what a knitter would notice ------------------------------------------------------


def test_with_hold_off_the_needles_held_are_unknit_and_the_pass_ends_as_planned() -> None:
    knitting, course = knitting_at(plan(ROPE), 8)
    planned = Knitting(CourseWorking(course), Place(8, knitting.step.last if knitting.step else 0))
    found = ways(knitting, course, "h", "L2")
    knitting, course = taken(knitting, course, found["Unknit what knit wrongly, and go on as planned"])
    assert isinstance(knitting.bed.moves[-1], HeldKnit)
    assert knitting.bed.rows[:6] == [1, 1, 1, 1, 1, 0], "L3 and L2 knit although held"
    assert knitting.step is not None and knitting.step.mends
    while knitting.step is not None and knitting.step.mends:
        knitting.go(knitting.next_place())
    assert hands(knitting.bed) == hands(planned.bed)


@pytest.mark.parametrize("row", [8, 16, 13])
def test_with_hold_off_in_any_push_as_far_as_any_needle_the_bed_comes_to_be_as_planned(row: int) -> None:
    """Passes and back-ups alike: every needle as it was, and the carriage as far along the bed."""
    wide = cable("R1-R4 over L4-L1", first_row=13, ease=["enlarge", "extra rows"], enlarged_size=9, extra_rows=2)
    of = plan(ROPE if row != 13 else wide)
    start, _ = knitting_at(of, row)
    tried = back_ups = 0
    for number, step in enumerate(start.steps):
        planned, _ = knitting_at(of, row, number + 1)
        before, course = knitting_at(of, row, number)
        line = next(line for line in happenings(before, course) if line.letter == "h")
        for needle in map(str, before.bed.in_work if not line.not_now else ()):
            try:
                way = next(way for way in line.ways(needle) if way.label.startswith("Unknit what knit wrongly"))
            except (ValueError, StopIteration):
                continue
            knitting, _ = taken(before, course, way)
            while knitting.step is not None and knitting.step.mends:
                knitting.go(knitting.next_place())
            if knitting.moves[knitting.place.done :][:1] == step.moves[-1:]:
                # It began over held needles, and is knit again whole.
                knitting.go(knitting.next_place())
            stands, push = between(planned.bed), step.moves[-1]
            if isinstance(push, BackUp):
                # Where it went further than it should, it stays there.
                back_ups += 1
                at = int(Needle.parse(needle))
                stands = max(stands, at + 1) if push.toward is Side.RIGHT else min(stands, at)
            tried += 1
            bed, wanted = (
                (one.position, one.loops, one.rows, one.dial, one.yarn) for one in (knitting.bed, planned.bed)
            )
            assert (bed, between(knitting.bed)) == (wanted, stands)
    assert tried > 5 and back_ups > 0


@pytest.mark.parametrize("row", [8, 16, 13])
@pytest.mark.parametrize(
    ("letter", "to_the_start"), [("h", "Unknit to the start of the row"), ("k", "Unknit the row, and")]
)
def test_unknit_from_any_push_and_any_needle_the_row_stands_as_it_was_begun(
    row: int, letter: str, to_the_start: str
) -> None:
    """No needle is held that was not, no loop is on it that was not, and the carriage is back on its side."""
    wide = cable("R1-R4 over L4-L1", first_row=13, ease=["enlarge", "extra rows"], enlarged_size=9, extra_rows=2)
    of = plan(ROPE if row != 13 else wide)
    start, _ = knitting_at(of, row)
    tried = 0
    for number in range(len(start.steps)):
        before, course = knitting_at(of, row, number)
        line = next(line for line in happenings(before, course) if line.letter == letter)
        for needle in map(str, before.bed.in_work if not line.not_now else ()):
            try:
                way = next(way for way in line.ways(needle) if way.label.startswith(to_the_start))
            except (ValueError, StopIteration):
                continue
            knitting, _ = taken(before, course, way)
            while knitting.step is not None and knitting.step.mends:
                knitting.go(knitting.next_place())
            assert hands(knitting.bed) == hands(start.bed), (number, needle)
            tried += 1
    assert tried > 5


@pytest.mark.parametrize("letter", ["h", "j", "k"])
def test_whatever_is_offered_in_a_row_of_many_passes_can_be_done(letter: str) -> None:
    """Extra rows and an enlarged half: needles knit more than once cannot be knit on plain, and it is not offered."""
    of = plan(cable("R1-R4 over L4-L1", first_row=13, ease=["enlarge", "extra rows"], enlarged_size=9, extra_rows=2))
    start, _ = knitting_at(of, 13)
    offered = set()
    for number in range(len(start.steps)):
        knitting, course = knitting_at(of, 13, number)
        line = next(line for line in happenings(knitting, course) if line.letter == letter)
        for needle in map(str, knitting.bed.in_work if not line.not_now else ()):
            try:
                found = line.ways(needle)
            except ValueError:
                continue
            for way in found:
                differ(knitting, course, *way.deviations)
                offered.add((number, way.label.split(",")[0]))
    plain = {number for number, label in offered if "plain" in label}
    assert offered and plain <= {0}, "on plain only while no needle is knit twice"


def test_what_puts_it_right_is_numbered_from_the_first_thing_to_do() -> None:
    knitting, course = knitting_at(plan(ROPE), 8)
    way = ways(knitting, course, "h", "L2")["Unknit what knit wrongly, and go on as planned"]
    changed = differ(knitting, course, *way.deviations)
    head, *told = changed.effects[: changed.effects.index("To put it right, on the bed, step by step:") + 9]
    mend: list[str] = []
    after = changed.knitting
    while after.step is not None and after.step.mends:
        mend += [move.words() for move in after.moves[after.place.done : after.step.last]]
        after.go(after.next_place())
    assert head == "To put it right, on the bed, step by step:"
    assert told[: len(mend)] == [f"{i} {words}" for i, words in enumerate(mend, 1)] and mend


def test_of_a_long_way_down_forty_lines_are_told_and_the_rest_counted() -> None:
    """Crossed every other row, ripped back from row 75 to row 3: rows 74, 72 … 4 are uncrossed, a line to rip after each."""
    knitting, course = knitting_at(plan(cable(first_row=2, every=2), rows=80), 75)
    told = differ(knitting, course, RippedBack(75, 3)).effects
    numbered = [line for line in told if line.split()[0].isdigit() and line.split()[1][0].isupper()]
    assert [line.split()[0] for line in numbered] == [str(n) for n in range(1, 41)]
    assert told[41] == "… and 32 more lines, each told when it comes"
    assert told[42].startswith("36 crossings to undo")
    few = differ(*knitting_at(plan(ROPE), 10), RippedBack(10, 8)).effects
    assert not any("more line" in line for line in few)


@pytest.mark.parametrize(
    ("row", "steps", "said", "why"),
    [
        (8, 0, TooMany(5, 1), "rows are added at row 8, not at row 5"),
        (8, 1, TooMany(8, 1), "row 8 is under way"),
        (8, 1, TooMany(9, 1), "row 8 is under way"),
        (8, 0, TooFew(8, 8), "7 rows were counted before this one; allowed: 1 to 7"),
        (8, 0, RippedBack(8, 0), "allowed: a row that was begun, 1 to 7"),
        (8, 0, RippedBack(8, 8), "allowed: a row that was begun, 1 to 7"),
        (8, 0, SizeFrom(41, 6.0), "the panel is finished"),
        (1, 0, RippedBack(1, 1), "nothing is knit yet"),
    ],
)
def test_what_cannot_be_so_is_refused_with_what_can(row: int, steps: int, said: Deviation, why: str) -> None:
    knitting, course = knitting_at(plan(ROPE), row, steps)
    with pytest.raises(CannotBe, match=why):
        differ(knitting, course, said)


def test_a_panel_may_be_ripped_to_its_first_row_and_once_finished_knows_no_other_size() -> None:
    knitting, course = knitting_at(plan(ROPE), 5)
    assert differ(knitting, course, RippedBack(5, 1)).knitting.place.row == 1
    knitting, course = knitting_at(plan(ROPE), 40)
    while not knitting.finished:
        knitting.go(knitting.next_place())
    with pytest.raises(CannotBe, match="the panel is finished"):
        differ(knitting, course, SizeFrom(40, 6.0))


def test_with_hold_off_the_row_may_be_knit_on_plain_and_crossed_all_the_same() -> None:
    knitting, course = knitting_at(plan(ROPE), 8)
    found = ways(knitting, course, "h", "L2")
    knitting, course = taken(knitting, course, found["Knit the row on plain, and cross all the same"])
    assert not course.row(8).cables, "no half is knit larger"
    assert [c.name for c in course.row(8).crossed] == ["rope"]
    while knitting.place.row == 8:
        knitting.go(knitting.next_place())
    assert knitting.cables()[0].done == 1


def test_unknit_to_the_rows_start_the_bed_is_as_it_was_there() -> None:
    knitting, course = knitting_at(plan(ROPE), 8, 2)
    start = Knitting(CourseWorking(course), Place(8, 0))
    way = ways(knitting, course, "h", "R2")["Unknit to the start of the row"]
    knitting, course = taken(knitting, course, way)
    mends = [step for step in knitting.steps if step.mends]
    assert any(isinstance(m, Unknit) for step in mends for m in step.moves)
    while knitting.step is not None and knitting.step.mends:
        knitting.go(knitting.next_place())
    assert hands(knitting.bed) == hands(start.bed)
    assert knitting.step is not None and knitting.step.title == "Pass 1 of 5"


def test_a_pass_that_jammed_is_knit_on_from_the_needle_it_stuck_at() -> None:
    knitting, course = knitting_at(plan(), 3)
    knitting, course = taken(
        knitting, course, ways(knitting, course, "j", "L2")["Hold what is knit, and knit the rest of the pass"]
    )
    words = to_row_end(knitting)
    assert words[0].startswith("Don't force the carriage")
    assert words[1] == "Hold L2–R6 (8 needles)"
    assert words[3] == "Knit left across L3–L6 (4 needles)"
    assert knitting.place == (4, 0)


def test_where_the_yarn_ran_out_in_a_pass_the_stitches_beyond_are_hung_on_again() -> None:
    knitting, course = knitting_at(plan(), 3)
    found = ways(knitting, course, "k", "L2")
    assert list(found) == ["Join it here, at L2", "Unknit the row, and join it at the edge"]
    knitting, course = taken(knitting, course, found["Join it here, at L2"])
    assert knitting.bed.loops[:4] == [0, 0, 0, 0], "L6 to L3 came off"
    words = to_row_end(knitting)
    assert words[0] == "Hang the stitches of L6–L3 (4 needles) back on"
    assert "Join the new yarn at L2" in words[1]
    assert knitting.bed.loops == [1] * 12
    assert "Cone 3 from here" in next(iter(ways(knitting, course, "k", str(knitting.bed.yarn)).values())).cost


def test_a_dropped_stitch_is_latched_up_and_hung_on_its_needle() -> None:
    knitting, course = knitting_at(plan(), 5)
    knitting, course = taken(knitting, course, next(iter(ways(knitting, course, "s", "l3 2").values())))
    assert knitting.bed.loops_on(Needle.parse("L3")) == 0
    assert knitting.bed.moves[-1].words() == "L3 (1 needle) dropped, 2 rows down", (
        "it fell, it was not let down to a crossing"
    )
    assert to_row_end(knitting)[0] == "Latch L3 up 2 rows, a bar at a time, and hang it back on"


def test_what_befalls_a_row_a_second_time_is_mended_from_there_and_not_from_the_first() -> None:
    knitting, course = knitting_at(plan(ROPE), 8)
    way = ways(knitting, course, "h", "L2")["Unknit what knit wrongly, and go on as planned"]
    knitting, course = taken(knitting, course, way)
    while knitting.step is not None and knitting.step.mends:
        knitting.go(knitting.next_place())
    knitting.go(knitting.next_place())
    before = knitting.place
    knitting, course = taken(knitting, course, next(iter(ways(knitting, course, "s", "r5 1").values())))
    assert knitting.place.row == 8 and knitting.place.done > before.done
    assert to_row_end(knitting)[0] == "Latch R5 up 1 row, a bar at a time, and hang it back on"


def test_the_wrong_half_in_front_is_put_right_before_the_next_row_with_two_lifts() -> None:
    knitting, course = knitting_at(plan(ROPE), 8, 6)
    assert knitting.place == (9, 0)
    found = ways(knitting, course, "w")
    assert list(found) == ["Cross rope again, the right half first", "Leave it, and remember it"]
    mended, _ = taken(knitting, course, found["Cross rope again, the right half first"])
    assert isinstance(mended.moves[0], Recross)
    assert "take them apart the way they came; then the right half FIRST, on L3–L1" in to_row_end(mended)[0]
    left, course = taken(knitting, course, found["Leave it, and remember it"])
    crossed = next(m for m in left.working.moves(8) if isinstance(m, Cross))
    assert crossed.crossing.front_side == "left", "the fabric is as it was crossed"


def test_found_later_the_wrong_half_has_three_ways_each_with_its_cost() -> None:
    knitting, course = knitting_at(plan(ROPE), 12)
    found = ways(knitting, course, "w")
    assert [way.cost for way in found.values()] == [
        "3 rows ripped out",
        "6 stitches, 3 rows: 18 loops to latch up",
        "It stays in the fabric, and in picture and ledger",
    ]
    ripped, _ = taken(knitting, course, found["Rip back to it and cross rope again"])
    assert ripped.place.row == 9
    words = to_row_end(ripped)
    assert words[0] == "Rip out 3 rows, to the start of row 9"
    assert any("right half FIRST" in text for text in words)
    down, _ = taken(knitting, course, found["Let only rope's stitches down, cross again, latch them up"])
    kinds = [type(m) for m in down.moves[down.place.done : down.place.done + 3]]
    assert kinds[1:] == [Recross, Rehang]
    assert down.place.row == 12


def test_a_rip_back_uncrosses_on_the_way_down_and_takes_the_carriage_across() -> None:
    knitting, course = knitting_at(plan(ROPE), 18)
    way = next(iter(ways(knitting, course, "r", "7").values()))
    knitting, course = taken(knitting, course, way)
    assert [type(m) for m in knitting.moves].count(Uncross) == 2
    words = to_row_end(knitting)
    assert words[0] == "Rip back to the end of row 16"
    assert words[1].startswith("Un-cross rope: lift both halves; the one on L3–L1, in front")
    assert words[2] == "Rip back to the end of row 8"
    assert words[4] == "Rip out 2 rows, to the start of row 7"
    assert words[5].startswith("Take the carriage to the right without knitting"), "nothing is held: no pushing"
    assert isinstance(course.said[-1], Unravelled)


def test_ripping_clicks_nothing_and_the_knitter_is_told_to_turn_the_counter_back_if_wanted() -> None:
    knitting, course = knitting_at(plan(machine={"counter_trip": "centre"}), 11)
    changed = differ(knitting, course, RippedBack(11, 7))
    assert changed.unclicked == 4
    assert any("counter 4 too high" in text for text in changed.effects)
    few, many = differ(knitting, course, TooFew(11, 4)), differ(knitting, course, TooMany(11, 3))
    assert few.unclicked == many.unclicked == 0
    told = [[text for text in changed.effects if "should read" in text] for changed in (few, many)]
    assert told == [[f"The machine's counter should read {said}"] for said in ("4 less", "3 more")], "a click a row"


def test_a_rip_back_into_the_first_shoulder_says_what_rests_and_where_the_yarn_goes_on() -> None:
    parts = [{"name": "one", "needles": "R1-R6", "rows": 6}, {"name": "two", "mirrors": "one"}]
    knitting, course = knitting_at(plan(rows=10, part=parts), 20)
    assert knitting.row is not None and knitting.row.part == "two"
    ripped, _ = taken(knitting, course, next(iter(ways(knitting, course, "r", "13 one").values())))
    words = to_row_end(ripped)
    assert words[1].startswith("Past the join at L1, rip on with the end that was broken off")
    assert {"Hold L6–L1 (6 needles)", "Return R1–R6 (6 needles) to working position"} <= set(words)


def test_a_plain_row_jammed_or_unknit_takes_the_carriage_back_without_pushing_every_needle() -> None:
    knitting, course = knitting_at(plan(ROPE), 3)
    jammed, _ = taken(knitting, course, ways(knitting, course, "j", "R1")["Unknit this pass, and knit it again"])
    words = to_row_end(jammed)
    assert words[2].startswith("Take the carriage to the right without knitting")
    assert not any(text.startswith(("Hold", "Return")) for text in words)


@pytest.mark.parametrize(
    ("row", "steps", "letter", "answer", "verbs"),
    [
        (8, 2, "h", "R5", ["UNKNIT L4–R5", "HOLD L4–R5", "BACK UP ◄", "RETURN L3–L1"]),
        (12, 0, "w", "", ["RIP 3 ROWS", "CARRIAGE ►", "CROSS AGAIN RIGHT FIRST"]),
        (12, 0, "r", "7", ["RIP TO 8", "UNCROSS L3–L1 FIRST", "RIP 2 ROWS", "CARRIAGE ►"]),
        (12, 0, "s", "L3 2", ["LATCH UP 2 L3"]),
        (12, 0, "x", "L3", ["CATCH IT", "WORK IT IN", "HANG ON L3"]),
        (3, 0, "j", "R1", ["FREE IT", "HOLD R1–R6", "BACK UP ►", "KNIT ◄ L1–L6 SS 5", "RETURN R1–R6"]),
    ],
)
def test_each_move_of_a_mend_is_told_at_a_glance_in_letters_that_fit(
    row: int, steps: int, letter: str, answer: str, verbs: list[str]
) -> None:
    knitting, course = knitting_at(plan(ROPE), row, steps)
    mended, _ = taken(knitting, course, next(iter(ways(knitting, course, letter, answer).values())))
    moves = [m for s in mended.steps if s.mends for m in mended.moves[max(s.first, mended.place.done) : s.last]]
    heads = [move.headline(5, mended.bed.in_work).words for move in moves]
    assert heads == verbs
    assert all(fitting(head, 96, 3, UNICODE) for head in heads), "each has its capitals at 100 columns"


def test_what_was_unknit_does_not_knit_again_when_it_is_knit() -> None:
    knitting, course = knitting_at(plan(ROPE), 8, 2)
    mended, _ = taken(
        knitting, course, ways(knitting, course, "h", "R5")["Unknit what knit wrongly, and go on as planned"]
    )
    assert not any(
        want and ("knit again" in want.words or "Extra rows" in want.words) for want in handling(mended.steps)
    )


def test_hold_off_is_offered_only_where_a_needle_is_held() -> None:
    knitting, course = knitting_at(plan(ROPE), 3)
    line = next(line for line in happenings(knitting, course) if line.letter == "h")
    assert line.not_now == "no needle is held in this pass"
    for steps in range(5):
        knitting, course = knitting_at(plan(ROPE), 8, steps)
        assert not next(line for line in happenings(knitting, course) if line.letter == "h").not_now


def test_hold_off_in_a_short_row_may_have_knit_as_far_as_the_last_resting_needle() -> None:
    shape: Tables = {"edge": "right", "do": "hold", "stitches": 3, "first_row": 4, "every": 2, "times": 1}
    knitting, course = knitting_at(plan(rows=10, shape=[shape]), 4)
    assert knitting.side == "left"
    mended, _ = taken(
        knitting, course, ways(knitting, course, "h", "R6")["Unknit what knit wrongly, and go on as planned"]
    )
    words = to_row_end(mended)
    assert words[0].startswith("Unknit R4–R6 (3 stitches), from R6 to R4")
    assert words[1:3] == ["Hold R4–R6 (3 needles)", "Back up left, clear of R4; nothing knits"]


def test_an_odd_number_of_rows_that_the_plan_cannot_take_is_made_even_with_one_more() -> None:
    """Three rows too many before an armhole leave the carriage on the wrong side for its casting off."""
    shape: Tables = {"edge": "both", "do": "cast off", "stitches": 2, "first_row": 9}
    knitting, course = knitting_at(plan(rows=20, shape=[shape]), 7)
    assert list(ways(knitting, course, "m", "2")) == ["The plan goes on 2 rows later, crossings too"]
    (label,) = ways(knitting, course, "m", "3")
    assert label == "First knit one plain row more, 4 in all: the plan goes on 4 rows later, crossings too"
    line = next(line for line in happenings(knitting, course) if line.letter == "o")
    with pytest.raises(ValueError, match="Knit one plain row, or rip one back: then it stands right"):
        line.ways("")


def test_rows_too_many_before_a_part_are_said_in_the_row_before_it() -> None:
    parts = [{"name": "one", "needles": "R1-R6", "rows": 6}, {"name": "two", "mirrors": "one"}]
    for row in (11, 17):
        knitting, course = knitting_at(plan(rows=10, part=parts), row)
        line = next(line for line in happenings(knitting, course) if line.letter == "m")
        assert "begins in this row: go back a row" in line.not_now
    knitting, course = knitting_at(plan(rows=10, part=parts), 10)
    more, _ = taken(knitting, course, next(iter(ways(knitting, course, "m", "2").values())))
    assert more.place == (12, 0) and more.row is not None and not more.row.part


def test_in_the_middle_of_a_row_another_size_holds_from_the_next_and_rows_wait() -> None:
    knitting, course = knitting_at(plan(ROPE), 8, 2)
    lines = {line.letter: line for line in happenings(knitting, course)}
    assert all("row 8 is under way" in lines[letter].not_now for letter in "mfob")
    changed, after = taken(knitting, course, ways(knitting, course, "t", "6")["Knit at this size from row 9 on"])
    assert changed.place == knitting.place
    assert (after.size(8), after.size(9)) == (5, 6)


def test_a_needle_without_a_stitch_has_none_that_broke_and_one_in_no_cable_is_only_mended() -> None:
    knitting, course = knitting_at(plan(ROPE, panel={"out_of_work": ["R5"]}), 12)
    with pytest.raises(ValueError, match="no stitch hangs on R5"):
        ways(knitting, course, "x", "R5")
    assert list(ways(knitting, course, "x", "L6")) == ["Mend the stitch with a length of yarn, and go on"]
    assert len(ways(knitting, course, "x", "L3")) == 2


@pytest.mark.parametrize("rows", [1, 2, 3, 4])
def test_rows_too_few_never_contradict_the_side_the_carriage_was_said_to_stand_on(rows: int) -> None:
    knitting, course = knitting_at(plan(), 8)
    changed = differ(knitting, course, OtherSide(8))
    knitting, course = changed.knitting, changed.course
    metal = knitting.side
    found = list(ways(knitting, course, "f", str(rows)).values())
    sides = [taken(knitting, course, way)[0].side for way in found]
    assert sides == ([metal, metal.other] if rows % 2 == 0 else [metal.other, metal])
    for way, side in zip(found, sides, strict=True):
        after, _ = taken(knitting, course, way)
        assert after.place.row == 8 - rows
        assert f"on the {side}" in way.label


def test_a_crossing_found_forgotten_is_one_entry_and_close_crossings_are_warned_of() -> None:
    knitting, course = knitting_at(plan(ROPE), 12)
    found = ways(knitting, course, "n", "1")
    late = found["Cross rope after row 12; the next ones as planned"]
    assert "crosses again 4 rows later, in row 16: 6 or more are usual" in late.cost
    counted = found["Cross rope after row 12, and count its repeats from there"]
    assert not counted.cost
    _, course = taken(knitting, course, counted)
    assert [n for n in range(1, 41) if course.row(n).crossed] == [12, 20, 28, 36]
    assert course.row(8).cables, "row 8 was knit for it"


def test_a_crossing_made_late_and_told_afterwards_leaves_that_row_as_it_was_knit() -> None:
    knitting, course = knitting_at(plan(ROPE), 12)
    found = ways(knitting, course, "l", "10")
    knitting, course = taken(knitting, course, found["Count its repeats from row 10"])
    assert [n for n in range(1, 41) if course.row(n).crossed] == [10, 18, 26, 34]
    assert not course.row(10).cables
    assert isinstance(course.said[-1], CountedFrom)


def test_the_letters_never_move() -> None:
    knitting, course = knitting_at(plan(ROPE), 1)
    first = [(line.letter, line.group) for line in happenings(knitting, course)]
    assert len({letter for letter, _ in first}) == len(first)
    for row, steps in ((8, 2), (9, 0), (41, 0)):
        knitting, course = knitting_at(plan(ROPE), row, steps)
        assert [(line.letter, line.group) for line in happenings(knitting, course)] == first


def test_accidents_are_written_and_read_back() -> None:
    for said in (
        HoldOff(8, 3, Needle.parse("L3"), "plain"),
        Jammed(8, 3, Needle.parse("R12"), "on"),
        YarnEnded(8, 0, Needle.parse("R1"), "edge"),
        WrongHalf(8, "rope: 2", 3),
    ):
        assert parse(str(said)) == said
    assert isinstance(parse("dropped L3-L2 by 4 at 8.0"), Dropped)


# --- edges ---------------------------------------------------------------------------------


SHAPED: Tables = {"shape": [{"edge": "both", "do": "decrease", "first_row": 10, "every": 4, "times": 3, "tool": 2}]}


def width(course: Course, row: int) -> str:
    needles = course.row(row).needles
    return f"{needles[0]}-{needles[-1]}"


def knit_through(knitting: Knitting) -> None:
    while not knitting.finished:
        knitting.go(knitting.next_place())


def test_ripped_back_over_a_decrease_the_stitches_go_back_on_their_needles() -> None:
    knitting, course = knitting_at(plan(needles="L10-R10", **SHAPED), 16)
    knitting, course = taken(knitting, course, next(iter(ways(knitting, course, "r", "9").values())))
    words = to_row_end(knitting)
    assert words[0] == "Rip back to the end of row 13"
    assert words[1].startswith("Bring R9 back into work (row 14: decrease 1 at the right edge")
    assert words[2].startswith("Move the stitches that came from R8–R9 back there, off R7–R8")
    assert "Rip back to the end of row 9" in words
    assert width(course, 9) == "L10-R10"
    knit_through(knitting)


def test_ripped_back_before_a_decrease_is_begun_it_is_not_undone() -> None:
    """Row 14 decreases: at its start only the rows below it come out."""
    knitting, course = knitting_at(plan(needles="L10-R10", **SHAPED), 14)
    knitting, course = taken(knitting, course, next(iter(ways(knitting, course, "r", "12").values())))
    assert not any("row 14" in text or "back into work" in text for text in to_row_end(knitting))


def test_a_decrease_forgotten_is_done_late_at_both_edges_or_at_the_one_that_was_forgotten() -> None:
    knitting, course = knitting_at(plan(needles="L10-R10", **SHAPED), 16)
    found = ways(knitting, course, "e", "14")
    late, after = taken(knitting, course, found["Do the decrease of row 14 before row 16"])
    assert [width(after, row) for row in (13, 15, 16, 17, 18)] == ["L9-R9", "L9-R9", "L8-R8", "L8-R8", "L7-R7"]
    assert late.place == (16, 0)
    assert any("onto" in move.words() for move in late.moves)
    knit_through(late)
    one, after = taken(knitting, course, found["Only the left edge was forgotten: before row 16"])
    assert [width(after, row) for row in (13, 15, 16, 18)] == ["L9-R9", "L9-R8", "L8-R8", "L7-R7"]
    knit_through(one)
    out, after = taken(knitting, course, found["Leave the decrease of row 14 out"])
    assert [width(after, row) for row in (13, 15, 18, 30)] == ["L9-R9", "L9-R9", "L8-R8", "L8-R8"]
    knit_through(out)
    for deviation in after.said:
        assert parse(str(deviation)) == deviation


def test_a_decrease_done_late_and_told_afterwards_is_where_it_was_done() -> None:
    knitting, course = knitting_at(plan(needles="L10-R10", **SHAPED), 17)
    knitting, course = taken(
        knitting, course, ways(knitting, course, "e", "14 15")["The decrease of row 14 was done before row 15"]
    )
    assert [width(course, row) for row in (14, 15, 17)] == ["L9-R9", "L8-R8", "L8-R8"]
    assert (knitting.bed.in_work[0], knitting.bed.in_work[-1]) == (Needle.parse("L8"), Needle.parse("R8"))


def test_a_stitch_that_broke_is_mended_with_a_length_of_yarn() -> None:
    knitting, course = knitting_at(plan(ROPE), 9)
    found = ways(knitting, course, "x", "L2")
    assert "Rip back to row 8, and knit it with more ease" in found
    mended, _ = taken(knitting, course, found["Mend the stitch with a length of yarn, and go on"])
    assert mended.bed.moves[-1].words() == "L2 (1 needle) dropped, 1 row down"
    words = to_row_end(mended)
    assert words[0].startswith("Catch the loop below") and "same yarn" in words[1]


def test_the_counter_is_the_same_gone_to_at_once_or_knit_row_by_row_whatever_befell_on_the_way() -> None:
    of = plan(ROPE, machine={"counter_trip": "centre"})
    knitting, course = knitting_at(of, 5)
    changed = differ(knitting, course, Jammed(5, 0, Needle.parse("R2"), "back"))
    knitting, course = changed.knitting, changed.course
    while not knitting.finished:
        gone_to = Knitting(CourseWorking(course), knitting.place)
        assert knitting.counts == gone_to.counts, knitting.place
        knitting.go(knitting.next_place())
