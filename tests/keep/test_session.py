"""A plan in hand: saying how the knitting differs, taking it back, resuming, two windows, the machine's counter."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from purlside.bed.transfers import Cross
from purlside.keep.session import Session
from purlside.knitting.cursor import Place
from purlside.knitting.deviations import (
    CrossedLate,
    OtherSide,
    RippedBack,
    SizeFrom,
    Skipped,
    StartSide,
    TooFew,
    TooMany,
)
from purlside.knitting.differing import CannotBe
from purlside.knitting.happenings import parsed_size
from tests.plans import cable
from tests.sessions import again, at, opened, seen, ways, written

# --- each deviation ----------------------------------------------------------


def test_with_the_carriage_on_the_other_side_the_next_pass_begins_there(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    before = session.knitting.side
    session.differ(OtherSide(5))
    assert session.knitting.side == before.other
    assert session.knitting.row is not None
    session.forward()
    assert session.knitting.side == before
    at(session, 8)
    for _ in range(12):
        session.forward()
    assert session.knitting.place.row > 8, "the crossing row, mirrored, is knit to its end"


def test_stepping_over_the_row_where_the_carriage_changed_sides_is_taken_by_the_bed(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    session.differ(OtherSide(5))
    session.back()
    session.forward()
    assert session.knitting.place == Place(5, 0)
    assert session.knitting.side == session.course.side(5)


def test_rows_too_many_are_counted_and_the_crossing_comes_later(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    told = session.take(ways(session, "m", "3")["The plan goes on 3 rows later, crossings too"])
    assert session.knitting.place == Place(11, 0)
    assert session.knitting.row is not None and session.knitting.row.crossed
    assert "The panel has 3 rows more: 43" in told
    assert session.course.rows_left(session.knitting.place.row) == (28, 5)


def test_a_crossing_passed_over_can_be_made_now_or_skipped(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 7)
    found = ways(session, "m", "3")
    assert list(found) == [
        "The plan goes on 3 rows later, crossings too",
        "Cross rope in the next row, 10",
        "Skip the crossing passed over: rope",
    ]
    session.take(found["Cross rope in the next row, 10"])
    assert [n for n in range(1, 30) if session.course.crossed(n)] == [10, 19, 27]
    session.take_back()
    session.take(ways(session, "m", "3")["Skip the crossing passed over: rope"])
    assert [n for n in range(1, 30) if session.course.crossed(n)] == [19, 27]


def test_rows_too_many_at_the_crossing_step_pass_that_crossing_over(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8, 5)
    assert session.knitting.step is not None and session.knitting.step.crosses
    found = ways(session, "m", "2")
    session.take(found["Cross rope in the next row, 11"])
    assert session.knitting.place == Place(11, 0)
    assert [n for n in range(1, 30) if session.course.crossed(n)] == [11, 18, 26]
    assert session.knitting.cables()[0].done == 0


def test_rows_too_few_set_the_counter_back_and_say_what_is_still_to_be_crossed(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 10)
    told = session.differ(TooFew(10, 3))
    assert session.knitting.place == Place(7, 0)
    assert told[0] == "Row 8: rope is still to be crossed"


def test_ripped_back_the_crossings_to_undo_are_listed_latest_first_with_the_half_in_front(
    home: Path, tmp_path: Path
) -> None:
    two = cable("L4-L3 over L6-L5", name="edge", first_row=12, every=8)
    session = at(opened(written(tmp_path, cable(), two)), 25)
    told = session.differ(RippedBack(25, 9))
    assert "4 crossings to undo, newest first" in told
    undone = [text.partition(":")[0].partition(" ")[2] for text in told if "Un-cross" in text or "Rip back" in text]
    assert undone == [
        *("Un-cross rope", "Rip back to the end of row 20", "Un-cross edge"),
        *("Rip back to the end of row 16", "Un-cross rope", "Rip back to the end of row 12", "Un-cross edge"),
    ]
    assert session.knitting.place.row == 9
    assert [c.done for c in session.knitting.cables()] == [1, 0]


def test_ripped_back_in_the_middle_of_a_row_the_needles_and_the_dial_go_back(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8, 3)
    assert session.knitting.bed.held and session.knitting.bed.dial == 9
    told = session.differ(RippedBack(8, 8))
    assert any("Return" in text and "to working position" in text for text in told)
    assert [text.partition(" ")[2] for text in told if "Dial" in text] == ["Dial to SS 5"], "and no other number"
    while session.knitting.step is not None and session.knitting.step.mends:
        session.forward()
    assert session.knitting.bed.dial == 5
    assert not session.knitting.bed.held
    assert session.knitting.step is not None and session.knitting.step.title == "Pass 1 of 5"


def test_what_was_said_of_rows_ripped_out_no_longer_holds(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    session.differ(OtherSide(5))
    at(session, 12)
    session.differ(SizeFrom(12, 6.0))
    at(session, 15)
    told = session.differ(RippedBack(15, 7))
    assert "No longer holds: SS 6 from row 12" in told
    assert session.course.said[:-1] == (OtherSide(5),)


def test_of_rows_too_many_ripped_out_in_part_the_rest_stays(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    session.differ(TooMany(5, 3))
    told = session.differ(RippedBack(8, 6))
    assert "1 row of these left: 3 rows too many, from row 5" in told
    assert session.course.said[:-1] == (TooMany(5, 1),)
    assert session.knitting.rows == 41


def test_a_crossing_skipped_before_its_row_leaves_a_plain_row(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.take(ways(session, "n")["Leave it out: rope is not crossed in row 8"])
    assert len(session.knitting.moves) == 1
    assert session.call is None


def test_a_crossing_skipped_at_its_step_leaves_the_needles_to_return_and_leads_to_the_next_row(
    home: Path, tmp_path: Path
) -> None:
    session = at(opened(written(tmp_path)), 8, 5)
    session.take(ways(session, "n")["Leave it out: rope is not crossed in row 8"])
    assert not any(isinstance(move, Cross) for move in session.knitting.moves)
    session.forward()
    assert session.knitting.place == Place(9, 0)
    assert session.knitting.cables()[0].of == 4


def test_in_the_midst_of_a_crossing_row_the_row_is_finished_as_it_was_begun(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8, 2)
    passes = session.knitting.moves
    session.take(ways(session, "n")["Leave it out: rope is not crossed in row 8"])
    assert session.knitting.place.row == 8
    assert session.knitting.moves == passes[: len(session.knitting.moves)]
    assert not any(isinstance(move, Cross) for move in session.knitting.moves)


@pytest.mark.parametrize(
    ("ease", "told"),
    [
        ({"ease": "enlarge", "enlarged_size": 9}, "L3–L1, made ready for it, are knit at SS 9."),
        ({"ease": "extra rows", "extra_rows": 2}, "R1–R3, made ready for it, are knit 3 times in it"),
    ],
)
def test_after_skipping_in_the_midst_of_a_row_no_step_says_that_anything_crosses(
    home: Path, tmp_path: Path, ease: dict[str, Any], told: str
) -> None:
    session = at(opened(written(tmp_path, cable(**ease))), 8, 1)
    session.take(ways(session, "n")["Leave it out: rope is not crossed in row 8"])
    said = []
    while session.knitting.place.row == 8:
        said.append(session.knitting.why)
        session.forward()
    assert any(told in text for text in said)
    for word in ("behind", "in front", "reach over", "change places", "Weights"):
        assert not any(word in text for text in said), word
    assert said[-1] == "No needle stays held at the end of a row, or the next pass would miss it."


def test_a_skipped_crossing_is_made_after_all_in_a_later_row(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.differ(Skipped(8, "rope", 1))
    at(session, 11)
    session.take(ways(session, "l", "11")["The next ones as planned"])
    assert session.knitting.steps[-1].crosses is not None
    for _ in range(6):
        session.forward()
    assert session.knitting.place == Place(12, 0)
    assert session.knitting.cables()[0].done == 1


def test_another_size_from_here_is_on_the_next_step(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    told = session.differ(SizeFrom(5, parsed_size("5 1/3")))
    assert "SS 5⅓" in told[0]
    assert str(session.knitting.moves[0]).startswith("dial 5.33")


def test_a_size_no_smaller_than_the_enlarged_one_is_said_to_enlarge_nothing(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    assert "rope: SS 9 no longer enlarges the half behind" in session.differ(SizeFrom(5, 9.0))


def test_row_1_begun_from_the_other_side_turns_every_row(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    before = session.course.side(3)
    session.differ(StartSide(session.course.side(1).other))
    assert session.course.side(3) == before.other
    assert session.knitting.side == session.course.side(5)


# --- refused -----------------------------------------------------------------


REFUSED: list[tuple[str, Callable[[Session], object], Callable[[Session], object], str]] = [
    ("other side in a row", lambda s: at(s, 8, 2), lambda s: s.differ(OtherSide(8)), "row 8 is under way"),
    ("too many in a row", lambda s: at(s, 8, 2), lambda s: s.differ(TooMany(8, 3)), "row 8 is under way"),
    ("too few in a row", lambda s: at(s, 8, 2), lambda s: s.differ(TooFew(8, 3)), "row 8 is under way"),
    ("too few for the panel", lambda s: at(s, 4), lambda s: s.differ(TooFew(4, 4)), "3 rows were counted"),
    ("ripped back ahead", lambda s: at(s, 4), lambda s: s.differ(RippedBack(4, 4)), "1 to 3"),
    ("ripped back from nothing", lambda s: s, lambda s: s.differ(RippedBack(1, 1)), "nothing is knit yet"),
    (
        "a size off the dial",
        lambda s: at(s, 4),
        lambda s: s.differ(SizeFrom(4, 11.0)),
        "SS 11 is off the dial, 0 to 10",
    ),
    ("a size in a row", lambda s: at(s, 8, 2), lambda s: s.differ(SizeFrom(8, 7.0)), "row 8 is under way"),
    ("late, nothing skipped", lambda s: at(s, 9), lambda s: s.differ(CrossedLate(9, "rope", 1)), "no crossing of rope"),
    ("more rows than can be counted", lambda s: at(s, 9), lambda s: s.differ(TooMany(9, 999_999)), "at most 20,000"),
    ("the panel is finished", lambda s: at(s, 99), lambda s: s.differ(OtherSide(41)), "the panel is finished"),
    ("nothing to take back", lambda s: at(s, 9), lambda s: s.take_back(), "nothing was said"),
]


@pytest.mark.parametrize(("go", "say", "reason"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED])
def test_what_cannot_be_knit_is_refused_with_the_reason_and_changes_nothing(
    go: Callable[[Session], object], say: Callable[[Session], object], reason: str, home: Path, tmp_path: Path
) -> None:
    session = opened(written(tmp_path))
    go(session)
    before = seen(session.knitting), session.in_force, session.ledger.path.read_bytes()
    with pytest.raises(CannotBe, match=reason):
        say(session)
    assert (seen(session.knitting), session.in_force, session.ledger.path.read_bytes()) == before


def test_two_crossings_on_the_same_needles_in_one_row_are_refused_by_the_bed(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.differ(Skipped(8, "rope", 1))
    at(session, 16)
    with pytest.raises(CannotBe, match="already crossed in this row"):
        session.differ(CrossedLate(16, "rope", 1))


# --- taken back ----------------------------------------------------------------


def test_everything_said_is_taken_back_one_after_the_other_to_where_it_was(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 6)
    stations = [seen(session.knitting)]
    for deviation in (OtherSide(6), TooMany(6, 3), SizeFrom(9, 6.0), RippedBack(9, 7), TooFew(7, 2)):
        session.differ(deviation)
        stations.append(seen(session.knitting))
    for before in reversed(stations[:-1]):
        session = again(session)
        session.take_back()
        assert seen(session.knitting) == before


def test_rows_too_many_taken_back_later_take_their_rows_off_the_count(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    session.differ(TooMany(5, 2))
    at(session, 10)
    session.take_back()
    assert session.knitting.place == Place(8, 0)


def test_what_would_change_moves_that_are_made_is_not_taken_back(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    session.differ(OtherSide(5))
    at(session, 8, 2)
    with pytest.raises(CannotBe, match="row 8 is under way"):
        session.take_back()
