"""A panel knit again: a second front, a second sleeve."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from purlside.bed.needles import Side
from purlside.files.planfile import read
from purlside.keep.again import As, begin
from purlside.keep.ledger import CLOCK, Clock
from purlside.keep.session import Session
from purlside.knitting.deviations import OtherSide, Skipped, TooMany
from purlside.knitting.welcome import away_text, to_check
from tests.sessions import OPEN, again, at, opened, ways, written

pytestmark = pytest.mark.usefixtures("home")


def crossing_rows(session: Session) -> list[int]:
    return [n for n in range(1, session.course.rows + 1) if session.course.row(n).crossed]


def first_panel(tmp_path: Path) -> Session:
    session = at(opened(written(tmp_path)), 5)
    session.differ(TooMany(5, 3))
    session.differ(OtherSide(8))
    session.take(next(iter(ways(session, "s", "L3 2").values())))
    at(session, 18)
    session.differ(Skipped(19, "rope", 2))
    session.close()
    return session


def test_as_planned_the_second_panel_begins_at_row_1_with_nothing_said(tmp_path: Path) -> None:
    first = first_panel(tmp_path)
    before = first.ledger.path.read_bytes()
    second = opened(begin(first.file, As.PLANNED).path)
    assert (second.knitting.place.row, second.course.said, second.course.rows) == (1, (), 40)
    assert second.panel.words == "panel 2 of 2"
    at(second, 9)
    assert first.ledger.path.read_bytes() == before, "the first panel's ledger stays as it is"
    assert again(second).knitting.place == (9, 0), "and the plan opens on the panel that is on the needles"


def test_as_really_knit_the_rows_too_many_and_the_crossing_left_out_come_again(tmp_path: Path) -> None:
    first = first_panel(tmp_path)
    second = opened(begin(first.file, As.KNIT).path)
    assert second.course.said == (TooMany(5, 3), Skipped(19, "rope", 2)), "not the accident, nor the carriage's side"
    assert crossing_rows(second) == crossing_rows(first)
    assert again(second).course.said == second.course.said
    third = opened(begin(again(second).file, As.PLANNED).path)
    assert third.panel.words == "panel 3 of 3"


def test_mirrored_it_is_a_plan_of_its_own(tmp_path: Path) -> None:
    first = first_panel(tmp_path)
    file = begin(first.file, As.MIRRORED)
    assert file.path != first.file.path and read(file.path).plan == file.plan
    second = opened(file.path)
    assert second.course.side(1) is Side.LEFT
    assert str(second.course.row(8).crossed[0].crossing) == "L3-L1 over R1-R3"
    assert again(first).knitting.place.row == 18


def test_only_one_panel_is_not_counted(tmp_path: Path) -> None:
    assert opened(written(tmp_path)).panel.words == ""


# --- back after a break ------------------------------------------------------------------


def test_eight_days_later_the_metal_is_told_and_the_step_that_is_half_done(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8, 2)
    session.next_move()
    session.close()
    session = Session(session.file, clock=Clock(now=lambda: CLOCK.now() + timedelta(days=8)))
    OPEN.append(session)
    assert away_text(session.away) == "8 days away"
    told = tuple(to_check(session.knitting, session.reading))
    assert told[0] == (
        "row 8 of 40, pass 3 of 5: 1 of 3 done. Done last: Dial to SS 9. "
        "Next: Return L3–L1 (3 needles) to upper working"
    )
    assert told[1:] == (
        "Carriage inside the panel, just left of L4",
        "Yarn at L4",
        "12 needles held: L6–R6",
        "Dial at SS 9",
        "Hold lever on",
        f"Machine's counter at {session.reading}",
    )


def test_at_once_nobody_is_welcomed_back(tmp_path: Path) -> None:
    assert opened(written(tmp_path)).away == 0
    assert again(at(opened(written(tmp_path)), 8)).away < 60


# --- the machine's counter, set at each crossing row ------------------------------------------


def test_set_to_the_row_after_each_crossing_row_the_counter_reads_the_row_again(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.calling = replace(session.calling, sets_counter=True)
    while session.knitting.place.row < 9:
        session.forward()
    assert (str(session.reading), session.knitting.place.row) == ("8", 9)
    session.forward()
    assert str(session.reading) == "9"
    assert str(again(session).reading) == "9"
