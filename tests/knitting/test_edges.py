"""An edge that was not shaped as planned, and rows too many, in a panel whose neck is knit in two parts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import Reshaped, RippedBack, TooFew, parse
from purlside.knitting.differing import CannotBe, differ
from purlside.knitting.happening import Happening, Way
from purlside.knitting.happenings import happenings
from purlside.plan.mirror import written_out
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from tests.plans import Tables, cable, plan

SHAPES: list[Tables] = [
    {"edge": "both", "do": "cast off", "stitches": 2, "first_row": 9},
    {"edge": "both", "do": "decrease", "tool": 3, "first_row": 11, "every": 1, "times": 3},
    {"edge": "left", "do": "cast off", "stitches": 3, "first_row": 24, "part": "right shoulder"},
    {"edge": "left", "do": "decrease", "tool": 3, "first_row": 25, "every": 2, "times": 2, "part": "right shoulder"},
    {"edge": "right", "do": "hold", "stitches": 3, "first_row": 32, "every": 2, "times": 2, "part": "right shoulder"},
    {"edge": "right", "do": "return", "stitches": "all", "first_row": 36, "part": "right shoulder"},
]
"""An armhole at both edges of 22 rows, then a neck edge and a sloped shoulder in each of two parts of 16 rows."""

PARTS: list[Tables] = [
    {"name": "right shoulder", "needles": "R1-R20", "rows": 16, "carriage": "right"},
    {"name": "left shoulder", "mirrors": "right shoulder"},
]

FRONT = plan(
    cable("R14-R15 over R12-R13", first_row=13, every=2, times=2, follows="right", name="strand"),
    needles="L20-R20",
    rows=22,
    shape=SHAPES,
    part=PARTS,
)


def at(row: str, of: Plan = FRONT, steps: int = 0) -> tuple[Knitting, Course]:
    course = Course(of)
    knitting = Knitting(CourseWorking(course))
    knitting.go(Place(knitting.number(row), 0))
    for _ in range(steps):
        knitting.go(knitting.next_place())
    return knitting, course


def line(knitting: Knitting, course: Course, letter: str) -> Happening:
    return next(one for one in happenings(knitting, course) if one.letter == letter)


def ways(knitting: Knitting, course: Course, answer: str, letter: str = "e") -> dict[str, Way]:
    found = line(knitting, course, letter)
    assert not found.not_now, found.not_now
    return {way.label: way for way in found.ways(answer)}


def taken(knitting: Knitting, course: Course, way: Way) -> tuple[Knitting, Course, tuple[str, ...]]:
    """What is knit once it is said; all that comes is knit without a fault, and what was said reads back."""
    changed = differ(knitting, course, *way.deviations)
    assert tuple(parse(str(one)) for one in changed.course.said) == changed.course.said
    on = Knitting(CourseWorking(changed.course), changed.knitting.place)
    while not on.finished:
        on.go(on.next_place())
    return changed.knitting, changed.course, changed.effects


def width(course: Course, number: int) -> str:
    needles = course.row(number).needles
    return f"{needles[0]}-{needles[-1]}"


def number(course: Course, row: str) -> int:
    return Knitting(CourseWorking(course)).number(row)


# --- shaping forgotten ----------------------------------------------------------------------


def test_in_a_part_its_own_shaping_is_asked_about_by_the_rows_of_the_screen() -> None:
    knitting, course = at("28 left shoulder")
    asked = line(knitting, course, "e")
    assert asked.question == "Which row's shaping was missed?"
    assert asked.hint.startswith("27: decrease 1 at the right edge; before it 25, 24.")
    with pytest.raises(ValueError, match="allowed: a row that shapes an edge, 27, 25, 24;"):
        asked.ways("13")


def test_a_decrease_forgotten_in_one_shoulder_is_done_there_and_the_other_shoulder_stays_as_planned() -> None:
    for part, edge, other in (
        ("right shoulder", "left", "left shoulder"),
        ("left shoulder", "right", "right shoulder"),
    ):
        knitting, course = at(f"26 {part}")
        found = ways(knitting, course, "25")
        late, after, effects = taken(knitting, course, found["Do the decrease of row 25 before row 26"])
        assert any("onto" in move.words() for move in late.moves), "row 26 asks for it"
        assert any(text.startswith(f"Before row 26, {edge} edge: Move ") for text in effects)
        here = number(course, f"25 {part}")
        assert width(after, here) == width(course, here - 1), "row 25 was knit as wide as row 24"
        assert width(after, here + 1) == width(course, here + 1)
        assert [width(after, number(after, f"{row} {other}")) for row in range(23, 39)] == [
            width(course, number(course, f"{row} {other}")) for row in range(23, 39)
        ]


def test_a_casting_off_forgotten_is_done_in_the_next_row_that_begins_at_that_edge() -> None:
    """Row 9 casts off at the right edge, where the carriage stands, row 10 at the left one."""
    knitting, course = at("10")
    late, after, _ = taken(knitting, course, ways(knitting, course, "9")["Do the casting off of row 9 before row 11"])
    assert [width(after, row) for row in (8, 9, 10, 11, 12)] == [
        "L20-R20", "L20-R20", "L18-R20", "L17-R17", "L16-R16",
    ]  # fmt: skip
    late.go(Place(11, 0))
    assert any(move.words().startswith("Cast off R19–R20") for move in late.moves)
    knitting, course = at("26 left shoulder")
    found = ways(knitting, course, "24")
    assert "Do the casting off of row 24 before row 26" in found
    knitting, course = at("25 left shoulder")
    assert list(ways(knitting, course, "24")) == [
        "Do the casting off of row 24 before row 26",
        "Leave the casting off of row 24 out",
        "Rip back to row 24",
    ]


def test_ripping_back_to_a_casting_off_forgotten_does_not_undo_what_was_never_cast_off() -> None:
    knitting, course = at("25 right shoulder")
    back, after, effects = taken(knitting, course, ways(knitting, course, "24")["Rip back to row 24"])
    assert not any("casting off" in text or "back into work" in text for text in effects)
    assert not any(text.startswith("No longer holds") for text in effects)
    assert after.row(back.place.row).label == "24 of right shoulder"
    assert any(move.words().startswith("Cast off R1–R3") for move in back.working.moves(back.place.row))


def test_a_short_row_forgotten_rests_all_its_needles_later_or_is_left_out() -> None:
    knitting, course = at("33 right shoulder")
    found = ways(knitting, course, "32")
    _, after, _ = taken(knitting, course, found["Do the short row of row 32 before row 34"])
    row = number(after, "34 right shoulder")
    assert width(after, row - 1) == width(course, row - 3), "none rests in row 33"
    assert after.row(row).resting == course.row(row).resting
    _, after, _ = taken(knitting, course, found["Leave the short row of row 32 out"])
    assert len(course.row(row).resting) - len(after.row(row).resting) == 3


def test_returning_forgotten_in_the_last_short_row_has_no_row_left_and_says_so() -> None:
    short = plan(
        needles="L20-R20",
        rows=22,
        shape=SHAPES,
        part=[{**PARTS[0], "rows": 15}, PARTS[1]],
    )
    knitting, course = at("37 right shoulder", short)
    found = ways(knitting, course, "36")
    assert not any(label.startswith("Do") for label in found)
    cost = found["Rip back to row 36"].cost
    assert cost == "1 row ripped out. Not later: no row of right shoulder is left that it could be done before"


def test_edges_shaped_differently_in_one_row_are_each_told() -> None:
    leaning = plan(
        needles="L20-R20",
        rows=20,
        shape=[
            {"edge": "left", "do": "decrease", "tool": 3, "first_row": 6},
            {"edge": "right", "do": "increase", "first_row": 6},
        ],
    )
    knitting, course = at("7", leaning)
    assert "6: decrease 1 at the left edge; increase 1 at the right edge." in line(knitting, course, "e").hint
    found = ways(knitting, course, "6")
    assert found["Leave the shaping of row 6 out"].cost == (
        "1 wider at the left edge, 1 narrower at the right edge from there on"
    )
    _, after, _ = taken(knitting, course, found["Do the shaping of row 6 before row 7"])
    assert [width(after, row) for row in (6, 7)] == ["L20-R20", "L19-R21"]
    _, after, _ = taken(knitting, course, found["Only the right edge was forgotten: before row 7"])
    assert [width(after, row) for row in (6, 7)] == ["L19-R20", "L19-R21"]


def test_where_nothing_was_to_be_shaped_yet_it_is_said_of_which_part() -> None:
    assert line(*at("9"), "e").not_now == "no edge was to be shaped yet"
    why = line(*at("24 right shoulder"), "e").not_now
    assert why.startswith("no edge was to be shaped yet in right shoulder; ")


# --- done late, at one edge, in rows that shape too ------------------------------------------------


def test_a_decrease_late_in_a_row_that_decreases_too_takes_two_stitches_at_once() -> None:
    """Rows 11, 12 and 13 each decrease at both edges."""
    knitting, course = at("13")
    found = ways(knitting, course, "12")
    late, after, effects = taken(knitting, course, found["Do the decrease of row 12 before row 13"])
    assert [width(after, row) for row in (11, 12, 13)] == ["L17-R17", "L17-R17", "L15-R15"]
    assert "Before row 13, left edge, together with that row's own decrease: Move L17–L15 onto L15–L13" in " ".join(
        text.replace(" on 3 prongs", "") for text in effects
    )
    assert max(late.bed.loops) <= 2


def test_an_increase_that_finds_no_room_in_the_next_row_is_done_in_the_first_that_has_it() -> None:
    """Rows 6, 7 and 8 each increase at both edges: two empty needles beside each other would have no loop."""
    knitting, course = at("8", plan(needles="L10-R10", rows=20, shape=[
        {"edge": "both", "do": "increase", "first_row": 6, "every": 1, "times": 3},
    ]))  # fmt: skip
    _, after, _ = taken(knitting, course, ways(knitting, course, "7")["Do the increase of row 7 before row 9"])
    assert [width(after, row) for row in (6, 7, 8, 9)] == ["L11-R11", "L11-R11", "L12-R12", "L13-R13"]


def test_a_short_row_that_later_returns_count_on_is_not_left_out() -> None:
    """Three needles rest twice and return twice: with one resting left out the second return would find none."""
    counted = [
        {"edge": "right", "do": "hold", "stitches": 3, "first_row": 6, "every": 2, "times": 2},
        {"edge": "right", "do": "return", "stitches": 3, "first_row": 10, "every": 2, "times": 2},
    ]
    found = ways(*at("7", plan(needles="L10-R10", rows=20, shape=counted)), "6")
    assert list(found) == ["Do the short row of row 6 before row 8", "Rip back to row 6"]


def test_each_way_tells_other_needles() -> None:
    knitting, course = at("13")
    found = ways(knitting, course, "12")
    assert list(found) == [
        "Do the decrease of row 12 before row 13",
        "Only the left edge was forgotten: before row 13",
        "Only the right edge was forgotten: before row 13",
        "Leave the decrease of row 12 out",
        "Only the left edge was forgotten: leave it out there",
        "Only the right edge was forgotten: leave it out there",
        "Rip back to row 12",
        "Only the left edge was forgotten: rip back to row 12",
        "Only the right edge was forgotten: rip back to row 12",
    ]
    told = [differ(knitting, course, *way.deviations).effects for way in found.values()]
    assert len(set(told)) == len(told)
    assert [width(taken(knitting, course, way)[1], 12) for way in list(found.values())[:3]] == [
        "L17-R17", "L17-R16", "L16-R17",
    ]  # fmt: skip


# --- cables that follow the edge -----------------------------------------------------------------


def test_what_was_crossed_on_the_needles_told_stays_where_it_was_crossed() -> None:
    """The strand follows the right edge; in row 13 a decrease goes before it, and it crosses on R10–R7."""
    knitting, course = at("14")
    crossed = course.crossed(13)[0].crossing
    found = ways(knitting, course, "13")
    _, after, effects = taken(knitting, course, found["Only the right edge was forgotten: before row 14"])
    assert after.crossed(13)[0].crossing == crossed, "the screen had said so"
    assert after.crossed(15)[0].crossing == course.crossed(15)[0].crossing
    told = next(text for text in effects if text.startswith("strand was crossed on "))
    assert "R7–R10 in row 13, as the screen said, its own stitches hung on R8–R11" in told
    assert told.endswith("rip back to row 13 to have it right")
    _, after, effects = taken(knitting, course, found["Only the left edge was forgotten: before row 14"])
    assert not any("as the screen said" in text for text in effects)


def test_ripped_back_below_it_is_crossed_on_its_own_stitches_again() -> None:
    knitting, course = at("16")
    way = ways(knitting, course, "13")["Leave the decrease of row 13 out"]
    knitting, course, _ = taken(knitting, course, way)
    assert {str(row.crossing) for row in (*course.crossed(13), *course.crossed(15))} == {"R9-R10 over R7-R8"}
    told = differ(knitting, course, RippedBack(16, 13)).effects
    assert [text for text in told if "Un-cross" in text and "R7–R8" in text and "R9–R10" in text], (
        "where it was crossed"
    )
    assert "No longer holds: Right edge left unshaped once" in told
    told = differ(knitting, course, RippedBack(16, 15)).effects
    assert not any(text.startswith("No longer holds") for text in told), "row 13 stays as it is"
    back = course.ripped(15)
    assert [str(back.crossed(row)[0].crossing) for row in (13, 15)] == ["R9-R10 over R7-R8", "R10-R11 over R8-R9"]


# --- rows too many, too few ----------------------------------------------------------------------


def test_rows_too_many_in_a_shoulder_are_counted_on_the_screen_and_the_other_shoulder_is_named() -> None:
    knitting, course = at("30 right shoulder")
    more, after, effects = taken(
        knitting, course, ways(knitting, course, "2", "m")["The plan goes on 2 rows later, crossings too"]
    )
    row = more.row
    assert row is not None and row.label == "32 of right shoulder"
    assert [after.row(n).label for n in (more.place.row - 2, more.place.row - 1)] == [
        "30 of right shoulder",
        "31 of right shoulder",
    ]
    assert "Row 32 of 40, right shoulder, is next" in effects[0]
    assert "Right shoulder has 2 rows more, and ends with row 40" in effects
    assert any(text.startswith("left shoulder will be knit to row 38: knit 2 rows more there") for text in effects)
    assert more.number("40") == more.place.row + 8
    beside = Knitting(CourseWorking(after), Place(more.number("30 left shoulder"), 0))
    assert beside.row is not None and beside.row.label == "30 of left shoulder"
    _, both, effects = taken(
        beside, after, ways(beside, after, "2", "m")["The plan goes on 2 rows later, crossings too"]
    )
    assert "It is as long as right shoulder now" in effects
    assert both.row(both.rows).label == "40 of left shoulder"


def test_ripped_back_from_one_shoulder_into_the_other_each_tells_how_much_shorter_it_is() -> None:
    knitting, course = at("30 right shoulder")
    more, course, _ = taken(knitting, course, next(iter(ways(knitting, course, "2", "m").values())))
    left = Knitting(CourseWorking(course), Place(more.number("30 left shoulder"), 0))
    left, course, _ = taken(left, course, next(iter(ways(left, course, "4", "m").values())))
    back = differ(left, course, RippedBack(left.place.row, left.number("28 right shoulder")))
    assert "Right shoulder has 2 rows fewer, and ends with row 38" in back.effects
    assert "Left shoulder has 4 rows fewer, and ends with row 38" in back.effects


def test_in_the_second_shoulder_the_first_is_knit_already() -> None:
    knitting, course = at("30 left shoulder")
    _, _, effects = taken(knitting, course, next(iter(ways(knitting, course, "2", "m").values())))
    assert "right shoulder was knit to row 38: rip 2 rows out here to have both alike" in effects


def test_rows_too_many_in_the_panel_are_counted_in_its_parts_too() -> None:
    knitting, course = at("20")
    _, after, _ = taken(knitting, course, next(iter(ways(knitting, course, "2", "m").values())))
    assert [after.row(n).label for n in (24, 25)] == [24, "25 of right shoulder"]


def test_rows_too_few_are_those_of_the_part_in_hand_and_no_more() -> None:
    knitting, course = at("25 left shoulder")
    few, _, _ = taken(knitting, course, next(iter(ways(knitting, course, "2", "f").values())))
    assert few.row is not None and few.row.label == "23 of left shoulder"
    with pytest.raises(CannotBe, match="2 rows of left shoulder were counted before this one; allowed: 1 to 2"):
        differ(knitting, course, TooFew(knitting.place.row, 3))
    assert line(*at("23 left shoulder"), "f").not_now == "no row of left shoulder is counted yet"


# --- any of them, anywhere -------------------------------------------------------------------------


def test_a_plan_with_its_mirrored_parts_written_out_is_knit_row_by_row_alike() -> None:
    more = plan(
        cable("R14-R15 over R12-R13", first_row=26, every=3, part="right shoulder"),
        needles="L20-R20", rows=22, shape=SHAPES, part=PARTS,
        stitch=[{"needles": "R16", "do": "purl", "first_row": 28, "part": "right shoulder"}],
    )  # fmt: skip
    planned, written = Calendar(more), Calendar(written_out(more))
    assert [written.row(n) for n in range(1, written.rows + 1)] == [planned.row(n) for n in range(1, planned.rows + 1)]
    assert written.cables == planned.cables


@given(st.data())
def test_whatever_edge_is_mended_wherever_all_that_comes_is_knit_without_a_fault(data: st.DataObject) -> None:
    course = Course(FRONT)
    knitting = Knitting(CourseWorking(course), Place(data.draw(st.integers(2, course.rows)), 0))
    for _ in range(data.draw(st.integers(1, 2))):
        asked = line(knitting, course, "e")
        if asked.not_now:
            return
        with pytest.raises(ValueError, match="allowed"):
            asked.ways("0")
        due = data.draw(st.integers(9, 38))
        try:
            found = asked.ways(str(due))
        except ValueError:
            continue
        way = data.draw(st.sampled_from(found))
        before = [width(course, n) for n in range(1, min(number(course, str(9)), knitting.place.row))]
        knitting, course, _ = taken(knitting, course, way)
        assert [width(course, n) for n in range(1, len(before) + 1)] == before
        if any(isinstance(one, Reshaped) and one.edge is Side.LEFT for one in way.deviations):
            assert course.rows == 54, "shaping adds no row"
        if knitting.place.done:
            return
