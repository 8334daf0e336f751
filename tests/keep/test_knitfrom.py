"""A plan changed with its panel on the needles, here or in an editor: rows already knit are told as they were knit."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.files.planfile import read
from purlside.keep import knitfrom
from purlside.keep.events import PlanChanged
from purlside.keep.knitfrom import KnitFrom
from purlside.keep.ledger import entries
from purlside.keep.ledger_text import what
from purlside.keep.session import Session
from tests.plans import cable
from tests.sessions import ROPE, again, at, opened, ways, written

pytestmark = pytest.mark.usefixtures("home")


def rows_otherwise(session: Session) -> list[int]:
    return sorted({difference.row for difference in session.otherwise})


def test_a_plan_edited_while_closed_is_compared_with_what_was_knit(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 20)
    written(tmp_path, cable(first_row=9, ease="enlarge", enlarged_size=9))
    session = again(session)
    assert rows_otherwise(session) == [8, 9, 16, 17]
    said = session.changed_said
    assert "row 8: R1-R3 over L3-L1 was crossed there, and is not now" in said
    assert "row 17: R1-R3 over L3-L1 is crossed there now, and was not" in said
    assert "those of the plan as it is now" in said and session.knitting.place == (20, 0)
    (told,) = [what(e.event) for e in entries(session.ledger.path) if isinstance(e.event, PlanChanged)]
    assert told.startswith("the plan was changed; knit as the plan was before: row 8: R1-R3") and "row 17: " in told
    session.forward()
    assert session.changed_said == "" and rows_otherwise(session) == [8, 9, 16, 17], "told once, and not forgotten"
    assert rows_otherwise(again(session)) == [8, 9, 16, 17] and opened(session.file.path).changed_said == ""


def test_the_machines_counter_reads_what_it_read_before_the_plan_was_changed(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 20)
    read = session.counter
    assert read is not None and read > 20, "two crossing rows clicked more than once"
    written(tmp_path, cable(first_row=30, ease="enlarge", enlarged_size=9))
    session = again(session)
    assert session.counter == read
    session.forward()
    assert session.counter == read + 1
    assert again(session).counter == read + 1
    written(tmp_path)
    assert again(session).counter == read + 1


def test_what_was_changed_further_up_leaves_what_is_knit_as_it_is(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 12)
    written(tmp_path, ROPE, cable("R6 over R5", first_row=20, name="bead"))
    session = again(session)
    assert session.changed_said == "The plan was changed; rows 1–11 are as you knit them: on with row 12"
    assert session.otherwise == ()
    (told,) = [what(e.event) for e in entries(session.ledger.path) if isinstance(e.event, PlanChanged)]
    assert told == "the plan was changed; rows 1–11 are as you knit them: on with row 12", "said once, not twice"


def test_remarks_and_another_way_of_writing_change_nothing(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 12)
    path = session.file.path
    path.write_text("# for the quay\n" + path.read_text("utf-8"), "utf-8")
    assert again(session).changed_said == ""


def test_nothing_is_told_before_anything_is_knit(tmp_path: Path) -> None:
    session = opened(written(tmp_path))
    written(tmp_path, cable(first_row=9))
    assert again(session).changed_said == ""


def test_changed_twice_each_stretch_is_compared_with_the_plan_it_was_knit_from(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 12)
    written(tmp_path, cable(first_row=9))
    session = at(again(session), 20)
    written(tmp_path)
    session = again(session)
    assert rows_otherwise(session) == [16, 17], "row 8 was crossed as the plan has it now"


def test_ripped_back_and_knit_again_the_rows_are_as_the_plan_has_them(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 20)
    written(tmp_path, cable(first_row=9))
    session = again(session)
    session.take(next(iter(ways(session, "r", "12").values())))
    assert rows_otherwise(session) == [8, 9]
    while session.knitting.place.row < 18:
        session.forward()
    assert rows_otherwise(session) == [8, 9]
    assert rows_otherwise(again(session)) == [8, 9]


def test_a_row_in_hand_that_is_knit_otherwise_now_is_begun_again(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 16, steps=2)
    written(tmp_path, cable("R1-R4 over L4-L1", ease="enlarge", enlarged_size=9))
    session = again(session)
    assert session.knitting.place == (16, 0)
    assert session.changed_said.startswith("Row 16 is knit otherwise now: begin it again. Already knit otherwise")


def test_a_row_in_hand_that_is_knit_the_same_goes_on(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 16, steps=2)
    place = session.knitting.place
    written(tmp_path, ROPE, cable("R6 over R5", first_row=20, name="bead"))
    assert again(session).knitting.place == place


def test_what_was_kept_may_be_gone_while_it_is_asked_for(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 16, steps=2)
    knit = KnitFrom(session.ledger.path, read(written(tmp_path, cable("R1-R4 over L4-L1"))), 16)
    knitfrom.file_for(session.ledger.path).unlink()
    assert knit.row_differs


@pytest.mark.parametrize("torn", [b"", b"[", b"[[2, 3]]", b'{"a": 1}', b"[[1]]", b'[[1, "x"], [1, "y"]]'])
def test_what_cannot_be_read_is_as_if_nothing_were_known(tmp_path: Path, torn: bytes) -> None:
    session = at(opened(written(tmp_path)), 20)
    knitfrom.file_for(session.ledger.path).write_bytes(torn)
    written(tmp_path, cable(first_row=9))
    assert again(session).changed_said == ""


@pytest.mark.parametrize(("row", "steps", "many"), [(30, 0, "9 rows are"), (24, 2, "4 rows are"), (22, 0, "1 row is")])
def test_a_plan_made_shorter_than_what_is_knit_says_so_and_the_counter_stays(
    tmp_path: Path, row: int, steps: int, many: str
) -> None:
    session = at(opened(written(tmp_path)), row, steps)
    read = session.counter
    written(tmp_path, panel={"needles": "L6-R6", "rows": 20, "stitch_size": 5.0})
    session = again(session)
    assert session.knitting.finished and session.counter == read
    assert session.changed_said == (
        f"{many} knit beyond the plan's last row, 20: rip back to it, or make the plan longer."
    )
