"""Ripped back, the fabric comes apart in the reverse of the order it was made in, and the bed is as it was then."""

from __future__ import annotations

import random

import pytest

from purlside.bed.bed import Move
from purlside.bed.transfers import Cross
from purlside.knitting.course import Course
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.deviations import RippedBack, parse
from purlside.knitting.differing import CannotBe, differ
from purlside.knitting.happenings import happenings
from purlside.knitting.mends import ByWord, Uncross
from purlside.knitting.ripping import unknit_from
from purlside.plan.plan import Plan
from tests.knitting.fabric_in_hand import InHand, follow
from tests.plans import Tables, cable, plan
from tests.shaped.generated import plan_tables
from tests.shaped.test_replayed import parsed


def standing(of: Plan, row: str, steps: int = 0) -> tuple[Knitting, Course]:
    course = Course(of)
    knitting = Knitting(CourseWorking(course))
    knitting.go(Place(knitting.number(row), 0))
    for _ in range(steps):
        knitting.go(knitting.next_place())
    return knitting, course


def way_of(after: Knitting) -> list[Move]:
    """What is told on the way down, once the rip is said."""
    moves = (
        m for step in after.steps if step.mends for m in after.moves[max(step.first, after.place.done) : step.last]
    )
    return [move for move in moves if isinstance(move, ByWord | Uncross)]


def told(after: Knitting) -> list[str]:
    return [move.words() for move in way_of(after)]


def check_ripped(knitting: Knitting, course: Course, to: int) -> int:
    """Rip back to row ``to`` loop by loop; how many crossings and edges were undone."""
    start = CourseWorking(course)
    bed = start.bed_before(to)
    hands = InHand(bed)
    before, held = hands.seen(), set(hands.held)
    for row in range(to, knitting.place.row + 1):
        if row > course.rows:
            break
        moves = start.moves(row)
        for move in moves[: knitting.place.done] if row == knitting.place.row else moves:
            hands.make(row, move)
    hands.held = set(map(int, knitting.bed.held))
    after = differ(knitting, course, RippedBack(knitting.place.row, to)).knitting
    way = way_of(after)
    assert follow(hands, way, unknit_from(knitting), course) == to
    assert hands.seen() == before
    assert hands.held == held
    again = Course(course.plan, map(parse, map(str, after.working.calendar.said)))  # type: ignore[attr-defined]
    assert way_of(Knitting(CourseWorking(again), after.place)) == way, "it is told alike when the ledger is read"
    return sum(not (isinstance(move, ByWord) and move.verb.startswith("RIP ")) for move in way)


@pytest.mark.parametrize("tens", range(0, 60, 10))
def test_whatever_was_shaped_and_crossed_the_rip_undoes_it_loop_by_loop(tens: int) -> None:
    """Of shaped plans drawn at random, from places drawn at random, in the middle of rows too."""
    undone = 0
    for seed in range(tens, tens + 10):
        of, chance = parsed(plan_tables(seed)), random.Random(seed)
        course = Course(of)
        for _ in range(4):
            knitting = Knitting(CourseWorking(course), Place(chance.randint(2, course.rows + 1), 0))
            for _ in range(chance.randint(0, 4) if chance.random() < 0.6 else 0):
                knitting.go(knitting.next_move_place())
            last = knitting.place.row if knitting.place.done else knitting.place.row - 1
            undone += check_ripped(knitting, course, chance.randint(max(1, last - 25), last))
    assert undone > 100


ANSWERS = {"m": "2", "n": "1", "f": "1", "l": "{row}", "e": "{before}", "t": "6", "h": "{far}", "j": "{near}"}
ANSWERS |= {"s": "{near} 1", "x": "{near}", "k": "{near}", "w": "", "o": ""}
"""What is answered, by a line's letter."""


@pytest.mark.parametrize("tens", range(0, 40, 10))
def test_whatever_was_said_before_the_rip_undoes_what_was_really_done(tens: int) -> None:
    """Rows too many, crossings forgotten, late or the wrong way round, edges shaped late, passes unknit."""
    undone = ripped = 0
    for seed in range(tens, tens + 10):
        of, chance = parsed(plan_tables(seed)), random.Random(seed)
        course = Course(of)
        knitting = Knitting(CourseWorking(course), Place(1, 0))
        for _ in range(5):
            knitting.go(Place(min(course.rows, knitting.place.row + chance.randint(1, 9)), 0))
            for _ in range(chance.randint(0, 4) if chance.random() < 0.5 else 0):
                knitting.go(knitting.next_move_place())
            if knitting.row is None:
                break
            knitting, course = said_at(knitting, course, chance)
            for _ in range(chance.randint(0, 12)):
                knitting.go(knitting.next_move_place())
            last = knitting.place.row if knitting.place.done else knitting.place.row - 1
            if last < 1 or any(step.mends and step.last > knitting.place.done for step in knitting.steps):
                continue
            try:
                undone += check_ripped(knitting, course, chance.randint(max(1, last - 12), last))
                ripped += 1
            except CannotBe as why:
                # Of rows too many an odd number would be left: the carriage then stands on the wrong side.
                assert "could not be knit then" in str(why)
    assert undone > 60 and ripped > 15


def said_at(knitting: Knitting, course: Course, chance: random.Random) -> tuple[Knitting, Course]:
    """Something said there, drawn at random; nothing where it cannot be."""
    row, needles = knitting.row, knitting.bed.in_work
    assert row is not None
    lines = [line for line in happenings(knitting, course) if not line.not_now and line.letter in ANSWERS]
    line = chance.choice(lines)
    known = {"row": row.fabric, "before": row.fabric - 1, "near": needles[3], "far": needles[-2]}
    try:
        way = chance.choice(line.ways(ANSWERS[line.letter].format(**known)))
        changed = differ(knitting, course, *way.deviations)
    except (ValueError, CannotBe):
        return knitting, course
    return changed.knitting, changed.course


ARMHOLE: list[Tables] = [{"edge": "both", "do": "decrease", "tool": 6, "first_row": 5, "every": 1, "times": 3}]
NECK: list[Tables] = [
    {"edge": "left", "do": "cast off", "stitches": 3, "first_row": 12, "part": "right shoulder"},
    {"edge": "right", "do": "hold", "stitches": 2, "first_row": 14, "every": 2, "times": 2, "part": "right shoulder"},
    {"edge": "right", "do": "return", "stitches": "all", "first_row": 20, "part": "right shoulder"},
]
PARTS: list[Tables] = [
    {"name": "right shoulder", "needles": "R1-R20", "rows": 10, "carriage": "right"},
    {"name": "left shoulder", "mirrors": "right shoulder"},
]
STRAND = cable("R16-R17 over R14-R15", name="strand", first_row=4, every=7, times=1, follows="right")


def jersey(*cables: Tables) -> Plan:
    """The front of a child's jersey: armholes, a neck in two parts, a cable that follows an edge."""
    return plan(STRAND, *cables, needles="L20-R20", rows=10, shape=[*ARMHOLE, *NECK], part=PARTS)


@pytest.fixture
def front() -> Plan:
    return jersey()


def test_a_decrease_is_undone_before_the_crossing_of_the_row_below_it(front: Plan) -> None:
    """Where the cable was crossed its stitches hang only once the edge has gone back out."""
    knitting, course = standing(front, "6")
    words = told(differ(knitting, course, RippedBack(6, 4)).knitting)
    assert [text.split(" (")[0].split(":")[0] for text in words] == [
        "Rip back to the end of row 4",
        "Bring R20 back into work",
        "Move the stitches that came from R15–R20 back there, off R14–R19",
        "Bring L20 back into work",
        "Move the stitches that came from L20–L15 back there, off L19–L14",
        "Un-cross strand",
        "Rip out 1 row, to the start of row 4",
    ]
    assert check_ripped(knitting, course, 4) == 5


def test_a_row_that_is_knit_but_not_done_is_ripped_out_too() -> None:
    middle = cable("R1-R3 over L3-L1", name="middle", first_row=6, times=1)
    knitting, course = standing(jersey(middle), "6")
    while not any(knitting.bed.rows):
        knitting.go(knitting.next_move_place())
    assert knitting.place.row == 6, "the middle is still to be crossed"
    words = told(differ(knitting, course, RippedBack(6, 5)).knitting)
    assert words[0] == "Rip back to the end of row 5", "row 6 itself, before its decrease is undone"
    assert words[1].startswith("Bring R19 back into work (row 6: decrease 1 at the right edge)")
    assert words[5] == "Rip out 1 row, to the start of row 5"
    check_ripped(knitting, course, 5)
    only = told(differ(knitting, course, RippedBack(6, 6)).knitting)
    assert only[0] == "Rip out 1 row, to the start of row 6"
    check_ripped(knitting, course, 6)


def test_where_only_the_edge_was_shaped_nothing_is_ripped_and_the_edge_goes_back(front: Plan) -> None:
    knitting, course = standing(front, "6")
    knitting.go(knitting.next_move_place())
    words = told(differ(knitting, course, RippedBack(6, 6)).knitting)
    assert len(words) == 1 and words[0].startswith("Move the stitches that came from")
    check_ripped(knitting, course, 6)


def test_crossings_of_one_row_are_taken_apart_from_the_last_one_made() -> None:
    """They go along the bed from where the carriage stands then: row 8 ends on the right, row 9 on the left."""
    two = [
        cable(cross, name=cross[0], first_row=8, every=1, times=2) for cross in ("R5-R6 over R3-R4", "L6-L5 over L4-L3")
    ]
    knitting, course = standing(plan(*two), "10")
    undone = [m.cable for m in way_of(differ(knitting, course, RippedBack(10, 8)).knitting) if isinstance(m, Uncross)]
    made = [m.cable for row in (8, 9) for m in knitting.working.moves(row) if isinstance(m, Cross)]
    assert undone == made[::-1] and made[0] != made[2], "from either side"


def test_what_was_filled_or_cast_on_is_let_off_again() -> None:
    wider: list[Tables] = [
        {"edge": "right", "do": "increase", "tool": 2, "first_row": 3},
        {"edge": "left", "do": "cast on", "stitches": 2, "first_row": 6},
    ]
    knitting, course = standing(plan(needles="L6-R6", rows=12, shape=wider), "8")
    words = " ".join(told(differ(knitting, course, RippedBack(8, 2)).knitting))
    assert "Let the cast-on loops off L8–L7 (row 6" in words and "Push L8–L7 out of work again (row 6" in words
    assert "Let the purl bump off R5 again (row 3" in words and "Push R7 out of work again (row 3" in words
    assert check_ripped(knitting, course, 2) == 5


def test_a_step_of_the_rip_is_some_rows_and_the_edges_shaped_before_the_last_of_them(front: Plan) -> None:
    knitting, course = standing(front, "8")
    after = differ(knitting, course, RippedBack(8, 5)).knitting
    mends = [[move for move in step.moves if isinstance(move, ByWord)] for step in after.steps if step.mends]
    assert [step[0].verb for step in mends if step] == ["RIP TO 6", "RIP TO 5", "RIP 1 ROW"]
    assert [len(step) for step in mends if step] == [5, 5, 5]


def test_ripping_further_before_the_first_rip_is_done_leaves_out_nothing(front: Plan) -> None:
    knitting, course = standing(front, "8")
    changed = differ(knitting, course, RippedBack(8, 7))
    first = told(changed.knitting)
    further = told(differ(changed.knitting, changed.course, RippedBack(7, 5)).knitting)
    assert first and further[: len(first)] == first
    assert further[len(first)] == "Rip back to the end of row 5"


def test_a_rip_written_in_an_older_ledger_reads_as_it_did() -> None:
    line = (
        "unravelled from 12, carriage right, dial 5.0 at 7.0: "
        '[[8, "rope", "R1-R3 over L3-L1"], [6, "", "Bring R9 back into work (row 7: decrease 1 at the right edge)"]]'
    )
    course = Course(plan(rows=20), [parse(line)])
    after = Knitting(CourseWorking(course), Place(7, 1))
    assert [text[:36] for text in told(after)] == [
        "Rip back to the end of row 8",
        "Un-cross rope: lift both halves; the",
        "Rip out 2 rows, to the start of row ",
        "Bring R9 back into work (row 7: decr",
    ]


# --- rows as the bedside tells them --------------------------------------------------


def line_of(knitting: Knitting, course: Course, letter: str) -> tuple[str, str]:
    line = next(line for line in happenings(knitting, course) if line.letter == letter)
    return line.question, line.hint


def ripped_to(knitting: Knitting, course: Course, answer: str) -> str:
    line = next(line for line in happenings(knitting, course) if line.letter == "r")
    (way,) = line.ways(answer)
    row = differ(knitting, course, *way.deviations).knitting.row
    assert row is not None
    return str(row.label)


def test_on_the_second_shoulder_rows_are_counted_as_on_the_screen(front: Plan) -> None:
    knitting, course = standing(front, "17 left shoulder")
    assert line_of(knitting, course, "r")[1] == "1 to 16: the first of the rows ripped out"
    assert ripped_to(knitting, course, "15") == "15 of left shoulder"
    assert ripped_to(knitting, course, "15 left shoulder") == "15 of left shoulder"
    assert ripped_to(knitting, course, "15 right shoulder") == "15 of right shoulder"
    assert ripped_to(knitting, course, "15 of right shoulder") == "15 of right shoulder"
    assert ripped_to(knitting, course, "9") == "9"
    for answer in ("17", "18", "0", "x", "15 collar"):
        with pytest.raises(ValueError, match="allowed: a row, 1 to"):
            ripped_to(knitting, course, answer)


def test_from_one_shoulder_into_the_other_each_row_says_whose_it_is(front: Plan) -> None:
    knitting, course = standing(front, "14 left shoulder")
    words = told(differ(knitting, course, RippedBack(knitting.place.row, knitting.number("16 right"))).knitting)
    assert words[0] == "Rip back to the end of row 11 of left shoulder"
    assert "Rip back to the end of row 20 of right shoulder" in words
    assert any(text.endswith("to the start of row 16 of right shoulder") for text in words)
    check_ripped(knitting, course, knitting.number("16 right"))


def test_a_crossing_made_late_in_a_part_is_told_in_the_parts_rows(front: Plan) -> None:
    strand = cable("R10-R11 over R8-R9", name="strand", part="right shoulder", first_row=13, times=1)
    of = plan(strand, needles="L20-R20", rows=10, part=PARTS)
    knitting, course = standing(of, "16 left shoulder")
    line = next(line for line in happenings(knitting, course) if line.letter == "l")
    assert line.hint == "strand, row 13 of right shoulder. A row up to 16"
    assert [way.label for way in line.ways("14 left shoulder")][1] == "Count its repeats from row 14"


def test_what_cannot_be_is_said_in_the_knitters_words(front: Plan) -> None:
    knitting, course = standing(front, "9")
    line = next(line for line in happenings(knitting, course) if line.letter == "o")
    with pytest.raises(ValueError) as refused:
        line.ways("")
    said = str(refused.value)
    assert said.startswith("row 11 of right shoulder could not be knit then. “Knit right across R1–R")
    assert "a float from" in said and said.endswith("then it stands right")
    assert "move '" not in said and "beyond" not in said
    with pytest.raises(CannotBe, match=r"allowed: a row that was begun, 1 to 8"):
        differ(knitting, course, RippedBack(9, 9))
