"""A plan taken up again: resumed, in two windows, beside other plans; the machine's counter, notes, rows left."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from purlside.keep.inhand import SNAPSHOT_EVERY
from purlside.knitting.cursor import Place
from purlside.knitting.deviations import OtherSide, RippedBack, SizeFrom, Skipped, StartSide, TooMany
from purlside.knitting.differing import CannotBe
from tests.plans import cable
from tests.sessions import Replay, again, at, opened, seen, ways, written

# --- resuming --------------------------------------------------------------------


def test_a_plan_is_resumed_with_all_that_was_said(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.differ(TooMany(8, 3))
    session.set_counter(50)
    session.note("12: second ball")
    at(session, 11, 3)
    before = seen(session.knitting), session.course.said, session.counter, session.in_force.notes
    session = again(session)
    assert (seen(session.knitting), session.course.said, session.counter, session.in_force.notes) == before


def test_resuming_reads_the_tail_of_a_long_ledger_alone(home: Path, tmp_path: Path) -> None:
    session = opened(written(tmp_path))
    session.note("30: change the ball")
    session.differ(StartSide(session.course.side(1).other))
    for _ in range(SNAPSHOT_EVERY * 3):
        session.next_row()
        session.row_back()
    session.close()
    lines = session.ledger.path.read_bytes().splitlines(keepends=True)
    # Everything before the last snapshots is spoilt: only a reader of the tail does not notice.
    spoilt = [b"x" * (len(line) - 1) + b"\n" for line in lines[: -SNAPSHOT_EVERY - 5]]
    session.ledger.path.write_bytes(b"".join(spoilt + lines[-SNAPSHOT_EVERY - 5 :]))
    after = opened(session.file.path)
    assert after.course.said == session.course.said
    assert after.in_force.notes == ((30, "change the ball"),)


def test_a_plan_changed_meanwhile_says_what_no_longer_fits(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.differ(Skipped(8, "rope", 1))
    session.close()
    written(tmp_path, cable(name="plait"))
    after = opened(session.file.path)
    assert after.unfit is not None and "no cable 'rope'" in after.unfit
    assert after.knitting.place == Place(8, 0)
    after.forward()
    assert after.unfit is None


def test_a_ledger_written_by_others_is_resumed_as_far_as_it_says_anything(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.close()
    with session.ledger.path.open("ab") as stream:
        stream.write(b'{"t": "2026-01-01T10:00:00", "did": "differs", "at": "9.0", "kept": {"said": ["nonsense"]}}\n')
        stream.write(b'{"t": "2026-01-01T10:00:00", "did": "card", "at": "x.y"}\n[]\n{"torn')
    after = opened(session.file.path)
    assert after.knitting.place == Place(9, 0)
    assert after.course.said == ()


# --- several plans, two windows -----------------------------------------------------


def test_several_plans_keep_a_place_each(home: Path, tmp_path: Path) -> None:
    one, two = written(tmp_path, name="scarf"), written(tmp_path, name="hat")
    at(opened(one), 8, 2).close()
    at(opened(two), 3).close()
    assert opened(one).knitting.place.row == 8
    assert opened(two).knitting.place == Place(3, 0)


def test_a_second_window_reads_only_follows_and_takes_over_once_the_first_is_closed(home: Path, tmp_path: Path) -> None:
    first = at(opened(written(tmp_path)), 4)
    second = opened(first.file.path)
    assert second.ledger.read_only
    ledger = first.ledger.path.read_bytes()
    with pytest.raises(CannotBe, match="another window"):
        second.differ(OtherSide(4))
    with pytest.raises(CannotBe, match="another window"):
        second.set_counter(3)
    second.note("not kept")
    assert first.ledger.path.read_bytes() == ledger
    first.differ(TooMany(4, 2))
    first.forward()
    assert not second.forward()
    assert seen(second.knitting) == seen(first.knitting)
    first.close()
    second.forward()
    assert not second.ledger.read_only
    assert second.forward()
    assert second.knitting.place == Place(8, 0)


# --- the machine's counter, notes, time ------------------------------------------------


def test_the_machines_counter_is_set_right_and_counted_on_from_there(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 5)
    assert session.counter == 4
    session.take(next(iter(ways(session, "c", "104").values())))
    assert session.counter == 104
    session.forward()
    assert session.counter == 105
    assert again(session).counter == 105


def test_where_a_pass_leaves_doubt_the_counter_is_a_range_until_it_is_read_again(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path, needles="L40-R40", machine={"counter_trip": "R5"})), 8)
    assert str(session.reading) == "7"
    at(session, 9)
    assert str(session.reading) == "8–12"
    session.set_counter(10)
    assert str(session.reading) == "10"
    session = again(session)
    at(session, 12)
    assert str(session.reading) == "13"
    at(session, 17)
    assert str(session.reading) == "18–22"
    at(session, 42)
    assert session.reading is not None and session.reading.most - session.reading.least > 9
    assert str(session.reading) == f"about {session.counter}", "after many such passes a range says no more"


def test_without_a_trip_there_is_no_counter_to_set(home: Path, tmp_path: Path) -> None:
    path = written(tmp_path)
    path.write_text(path.read_text().replace('counter_trip = "centre"\n', ""))
    session = opened(path)
    assert session.counter is None
    with pytest.raises(CannotBe, match="counter_trip"):
        session.set_counter(4)


def test_a_note_comes_back_when_its_row_is_knit_again(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 9)
    session.note("dropped a stitch at R4")
    session.forward()
    assert not session.notes
    session.differ(RippedBack(10, 7))
    session = again(session)
    assert not session.notes
    session.forward()
    at(session, 9)
    assert session.notes == ("dropped a stitch at R4",)


def test_a_note_can_be_pinned_to_another_row(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 2)
    assert session.note("30: shape the neck") == "Noted at row 30"
    assert session.note("12:30 tea") == "Noted at row 2", "a time of day is no row"
    for wrong in ("4000: not a row", "0: nor this", "99999999999: nor this"):
        with pytest.raises(ValueError, match="allowed: 1 to 40"):
            session.note(wrong)
    assert at(session, 30).notes == ("shape the neck",)


def test_a_note_is_taken_off_and_stays_off_after_opening_anew(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 9)
    session.note("first")
    session.note("second")
    assert session.note("-") == "Taken off row 9: second"
    session = again(session)
    assert session.notes == ("first",)
    assert session.note("9: -") == "Taken off row 9: first"
    assert session.note("-") == "Row 9 has no note"
    assert again(session).notes == ()


def test_rows_left_and_counters_are_what_counting_says_after_anything_said(home: Path, tmp_path: Path) -> None:
    chance = random.Random(8)
    session = opened(written(tmp_path))
    for _ in range(150):
        session.go_to(chance.randint(1, session.course.rows))
        for _ in range(chance.randint(0, 3)):
            session.forward()
        line = chance.choice([line for line in session.happenings() if not line.not_now])
        needle = str(chance.choice(session.knitting.bed.in_work))
        try:
            answer = chance.choice([str(chance.randint(1, 9)), needle, f"{needle} 2"]) if line.question else ""
            session.take(chance.choice(line.ways(answer)))
        except (CannotBe, ValueError):
            continue
        if session.knitting.finished:
            continue
        row = session.knitting.place.row
        left = [bool(session.course.row(n).crossed) for n in range(row, session.course.rows + 1)]
        assert session.course.rows_left(session.knitting.place.row) == (left.count(False), left.count(True))


def test_the_ledger_replayed_is_the_bed_in_hand(home: Path, tmp_path: Path) -> None:
    session = opened(written(tmp_path))
    replay = Replay(session.file.plan, session.ledger.path)
    for say in (OtherSide(1), TooMany(1, 4), SizeFrom(5, 6.0), Skipped(12, "rope", 1)):
        session.differ(say)
        assert seen(session.knitting) == seen(replay.read_on())
        session.next_move()
        session.back()
        assert seen(session.knitting) == seen(replay.read_on())
