"""A plan changed with its panel on the needles, here or in an editor: rows already knit are told as they were knit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from purlside.keep import knitfrom
from purlside.keep.events import PlanChanged
from purlside.keep.ledger import entries
from purlside.keep.ledger_text import what
from purlside.keep.session import Session
from tests.plans import cable
from tests.sessions import ROPE, again, at, opened, ways, written

pytestmark = pytest.mark.usefixtures("home")


def crossing_rows(session: Session) -> list[int]:
    return [n for n in range(1, session.course.rows + 1) if session.course.row(n).crossed]


def hands(session: Session) -> tuple[object, ...]:
    bed = session.knitting.bed
    return session.knitting.place, bed.position, bed.rows, bed.side, bed.dial, bed.yarn


def test_a_row_begun_is_finished_as_it_was_begun_and_the_next_repeat_counts_from_the_last_made(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 24, steps=3)
    metal, passes = hands(session), session.knitting.moves
    written(tmp_path, cable(every=9, ease="enlarge", enlarged_size=9))
    session = again(session)
    assert hands(session) == metal
    assert session.knitting.moves == passes
    assert crossing_rows(session) == [8, 16, 24, 33]
    assert session.changed_said == (
        "The plan was changed: row 24 is finished as it was begun; from row 25 on it is the new one, what is knit "
        "stays as it is; rope crosses next in row 33, 9 after the last"
    )
    while session.knitting.place.row < 34:
        session.forward()
    assert session.knitting.cables()[0].done == 4


def test_another_size_for_the_half_behind_holds_from_the_next_crossing_row_on(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8, steps=3)
    passes = session.knitting.moves
    written(tmp_path, cable(ease="enlarge", enlarged_size=8))
    session = again(session)
    assert session.knitting.moves == passes, "SS 9 in this row still"
    session.go_to(16)
    assert "dial 8" in map(str, session.knitting.moves)
    session.go_to(8)
    assert session.knitting.moves == passes, "and what is knit stays as it was knit"


@pytest.mark.parametrize("steps", [0, 1, 2, 3, 4, 5])
@pytest.mark.parametrize("now", [{"every": 9}, {"first_row": 9}, {"ease": "plain"}, {"cross": "L3-L1 over R1-R3"}])
def test_wherever_the_plan_is_changed_the_place_and_the_metal_stay(
    tmp_path: Path, steps: int, now: dict[str, Any]
) -> None:
    session = at(opened(written(tmp_path)), 16, steps)
    metal = hands(session)
    written(tmp_path, cable(**{"ease": "enlarge", "enlarged_size": 9, **now}))
    session = again(session)
    assert hands(session) == metal
    assert hands(again(session)) == metal
    for _ in range(30):
        session.forward()


def test_it_may_be_taken_as_it_is_written_or_for_every_row(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 20)
    written(tmp_path, cable(every=9, ease="enlarge", enlarged_size=9))
    session = again(session)
    assert crossing_rows(session) == [8, 16, 25, 34]
    session.take(ways(session, "p")["Count the repeats from here on as the plan is written"])
    assert crossing_rows(session) == [8, 16, 26, 35]
    session = again(session)
    assert crossing_rows(session) == [8, 16, 26, 35]
    session.take(ways(session, "p")["Take the plan as it is now for every row, knit ones too"])
    assert crossing_rows(session) == [8, 17, 26, 35]
    assert session.knitting.place == (20, 0)


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


def test_the_ledger_tells_that_the_plan_was_changed(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 12)
    written(tmp_path, ROPE, cable("R6 over R5", first_row=20, name="bead"))
    session = again(session)
    (told,) = [what(e.event) for e in entries(session.ledger.path) if isinstance(e.event, PlanChanged)]
    assert told.startswith("the plan was changed; ") and "from row 12 on it is the new one" in told
    session.forward()
    assert session.changed_said == "", "told once"
    assert again(session).changed_said == ""


def test_remarks_and_another_way_of_writing_change_nothing(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 12)
    path = session.file.path
    path.write_text("# for the quay\n" + path.read_text("utf-8"), "utf-8")
    assert again(session).changed_said == ""


def test_nothing_is_told_before_anything_is_knit(tmp_path: Path) -> None:
    session = opened(written(tmp_path))
    written(tmp_path, cable(first_row=9))
    assert again(session).changed_said == ""
    assert crossing_rows(again(session)) == [9, 17, 25, 33]


def test_changed_twice_each_stretch_is_as_the_plan_was_then(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 12)
    written(tmp_path, cable(every=4))
    session = at(again(session), 18)
    assert crossing_rows(session)[:4] == [8, 12, 16, 20]
    written(tmp_path, cable(every=10))
    session = again(session)
    assert crossing_rows(session) == [8, 12, 16, 26, 36]
    assert crossing_rows(again(session)) == [8, 12, 16, 26, 36]


def test_what_is_ripped_out_is_knit_again_from_the_plan_as_it_is_now_and_taken_back_it_is_not(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 20)
    written(tmp_path, cable(every=9))
    session = again(session)
    session.take(next(iter(ways(session, "r", "12").values())))
    assert crossing_rows(session) == [8, 17, 26, 35]
    session.take_back()
    assert crossing_rows(session) == [8, 16, 25, 34]
    session.take(next(iter(ways(session, "r", "12").values())))
    while session.knitting.place.row < 18:
        session.forward()
    assert session.knitting.cables()[0].done == 2
    assert crossing_rows(again(session)) == [8, 17, 26, 35]


def test_a_plan_with_other_needles_is_taken_from_the_start_and_says_so(tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 16, steps=2)
    written(tmp_path, cable("R1-R4 over L4-L1"), needles="L8-R8")
    session = again(session)
    assert session.knitting.place == (16, 0)
    assert "it has other needles in row 16 than are in work" in session.changed_said


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
