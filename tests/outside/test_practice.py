"""Common practice at the machine, no source: what a knitter who has crossed cables before would expect."""

from __future__ import annotations

from purlside.bed.bed import Move
from purlside.bed.faults import Fault
from purlside.bed.moves import BackUp, ByHand, Dial, Knit
from purlside.bed.needles import Crossing, Needle, Side
from purlside.bed.transfers import Cross
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from tests.plans import cable, plan


def rope(cross: str, **ease: object) -> Plan:
    """A 3 over 3 or 4 over 4 in the middle of a panel, crossed in row 7 and every 7; row 7 starts from the right."""
    return plan(cable(cross, first_row=7, every=7, **ease), needles="L8-R8", rows=70)


def crossing_row(of: Plan, number: int = 7) -> tuple[Move, ...]:
    return Working(of).moves(number)


def sized(moves: tuple[Move, ...]) -> list[tuple[str, float]]:
    """Each knitting pass as its needles, first to last, and its size."""
    size = 5.0
    found = []
    for move in moves:
        if isinstance(move, Dial):
            size = move.size
        elif isinstance(move, Knit):
            found.append((f"{move.needles[0]}-{move.needles[-1]}", size))
    return found


def back_ups(moves: tuple[Move, ...]) -> int:
    return sum(isinstance(move, BackUp) for move in moves)


def test_three_over_three_with_the_right_half_in_front_from_the_right_enlarges_the_left_half() -> None:
    of = rope("R1-R3 over L3-L1", ease="enlarge", enlarged_size=9.0)
    assert Calendar(of).row(7).side is Side.RIGHT
    moves = crossing_row(of)
    assert sized(moves) == [("R8-R1", 5), ("L1-L3", 9), ("L4-L8", 5)]
    assert back_ups(moves) == 2


def test_with_the_left_half_in_front_the_right_half_is_enlarged_and_the_first_pass_is_the_bridge_alone() -> None:
    moves = crossing_row(rope("L3-L1 over R1-R3", ease="enlarge", enlarged_size=9.0))
    assert sized(moves) == [("R8-R4", 5), ("R3-R1", 9), ("L1-L8", 5)]
    assert back_ups(moves) == 2


def test_four_over_four_with_two_extra_rows_leaves_three_rows_on_the_half_in_front_and_the_carriage_left() -> None:
    of = rope("R1-R4 over L4-L1", ease="extra rows", extra_rows=2)
    working = Working(of)
    moves = working.moves(7)
    bed = working.bed_before(7)
    for move in moves:
        bed.push(move)
    assert sum(isinstance(move, Knit) for move in moves) == 3
    assert back_ups(moves) == 0
    assert {str(n) for n, rows in zip(bed.panel, bed.rows, strict=True) if rows == 3} == {"R1", "R2", "R3", "R4"}
    assert set(bed.rows) == {1, 3}
    assert bed.side is Side.LEFT


def test_the_half_placed_first_shows_on_the_knit_side() -> None:
    cross = next(move for move in crossing_row(rope("R1-R3 over L3-L1")) if isinstance(move, Cross))
    told = cross.json()
    assert told["front"] == "R1-R3"
    assert told["first"]["from"] == ["R1", "R2", "R3"]
    assert told["first"]["to"] == ["L3", "L2", "L1"]
    assert cross.words().index("R1–R3 first") < cross.words().index("then L3–L1")


def test_after_six_plain_rows_the_next_crossing_starts_from_the_other_side_and_is_planned_from_there() -> None:
    of = rope("R1-R3 over L3-L1", ease="enlarge", enlarged_size=9.0)
    calendar = Calendar(of)
    assert [calendar.row(n).crossing for n in range(7, 15)] == [True, *[False] * 6, True]
    assert [calendar.row(n).side for n in (7, 14, 21)] == [Side.RIGHT, Side.LEFT, Side.RIGHT]
    assert sized(crossing_row(of, 14)) == [("L8-L4", 5), ("L3-L1", 9), ("R1-R8", 5)]
    assert sized(crossing_row(of, 21)) == sized(crossing_row(of, 7))


def test_a_bead_wants_one_large_stitch_by_hand_in_front_of_three() -> None:
    of = plan(cable("R1 over L3-L1", first_row=7, ease="by hand"), needles="L8-R8")
    moves = crossing_row(of)
    assert [move.needles for move in moves if isinstance(move, ByHand)] == [(Needle.parse("R1"),)]
    assert sized(moves) == [("R8-R2", 5), ("L1-L8", 5)]
    assert back_ups(moves) == 1


def test_neighbours_are_never_crossed_twice_in_one_row_and_never_half_knit() -> None:
    working = Working(rope("R1-R3 over L3-L1"))
    bed = working.bed_before(7)
    cross = Cross("rope", Crossing.parse("R1-R3 over L3-L1"))
    assert [found.fault for found in bed.faults(cross)] == [Fault.ROW_NOT_FINISHED]
    for move in working.moves(7):
        bed.push(move)
    assert [found.fault for found in bed.faults(cross)] == [Fault.SHARES_NEEDLES]
