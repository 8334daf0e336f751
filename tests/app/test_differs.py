"""Saying at the bedside how the knitting differs, reading the ledger, notes that come back: through the app."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from purlside.app.app import PurlsideApp
from purlside.app.screens.bedside import Bedside
from purlside.app.widgets.pane import Pane
from purlside.files import planfile
from purlside.keep.session import Session
from tests.apps import press, settled
from tests.plans import Tables, cable
from tests.sessions import ROPE, at, opened, written


class Window:
    """The app on a plan, its keys and its text."""

    def __init__(self, app: PurlsideApp, pilot: Pilot[int]) -> None:
        self.app, self.pilot = app, pilot

    @property
    def session(self) -> Session:
        assert self.app.session is not None
        return self.app.session

    async def press(self, *keys: str) -> None:
        await press(self.pilot, *keys)

    @property
    def text(self) -> str:
        return "\n".join(
            pane.render_line(y).text.rstrip() for pane in self.app.screen.query(Pane) for y in range(pane.size.height)
        )


@pytest.fixture
def plan(home: Path, tmp_path: Path) -> Path:
    return written(tmp_path, ROPE, cable("L4-L3 over L6-L5", name="edge", first_row=12, every=8))


@pytest.fixture
def neck(home: Path, tmp_path: Path) -> Path:
    """Ten rows, then two shoulders of 16; each neck edge is cast off in row 12 and decreased in rows 13 and 15."""
    part = "right shoulder"
    return written(
        tmp_path,
        cable("R17-R18 over R15-R16", first_row=6, every=8, name="strand"),
        needles="L20-R20",
        rows=10,
        part=[{"name": part, "needles": "R1-R20", "rows": 16, "carriage": "right"}, {"name": "left", "mirrors": part}],
        shape=[
            {"edge": "left", "do": "cast off", "stitches": 4, "first_row": 12, "part": part},
            {"edge": "left", "do": "decrease", "tool": 3, "first_row": 13, "every": 2, "times": 2, "part": part},
        ],
    )


@asynccontextmanager
async def window_on(plan: Path, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Window]:
    app = PurlsideApp(planfile.read(plan))
    async with app.run_test(size=size) as pilot:
        yield Window(app, pilot)


async def test_rows_too_many_are_asked_shown_and_said_with_a_few_keys(plan: Path) -> None:
    at(opened(plan), 7).close()
    async with window_on(plan) as window:
        await window.press("d")
        assert "row 7 of 40, at its start; COR, carriage right" in window.text
        assert " > m  I knit too many rows" in window.text
        await window.press("m", "3", "enter")
        assert "The panel has 3 rows more: 43" in window.text
        await window.press("3")
        assert "> 3  Skip the crossing passed over: rope" in window.text
        assert "Row 10 of 43 is next" in window.text
        await window.press("y")
        assert isinstance(window.app.screen, Bedside)
        assert window.session.course.next_crossing(1, 0) == 19
        await window.press("d")
        assert "u take back: 3 rows too many" in window.text
        assert "yes, do it" not in window.text, "nothing is chosen that could be done"
        await window.press("u")
        assert isinstance(window.app.screen, Bedside)
        assert window.session.knitting.rows == 40
        assert window.session.knitting.place == (7, 0)


async def test_the_keys_that_say_done_apply_nothing(plan: Path) -> None:
    at(opened(plan), 7).close()
    async with window_on(plan) as window:
        await window.press("d", "o")
        assert "1  It stands on the left (COL)" in window.text
        await window.press("enter", "space", "pagedown", "enter")
        assert window.session.course.said == ()
        await window.press("y")
        assert len(window.session.course.said) == 1


async def test_what_cannot_be_is_said_with_its_reason_and_yes_changes_nothing(plan: Path) -> None:
    at(opened(plan), 8, 2).close()
    async with window_on(plan) as window:
        await window.press("d", "o")
        assert "Can't, because: row 8 is under way: finish it, or go back to its start" in window.text
        await window.press("y")
        assert "Nothing is changed" in window.text
        assert window.session.course.said == ()
        await window.press("escape", "escape")
        assert isinstance(window.app.screen, Bedside)


async def test_an_answer_out_of_range_is_refused_in_the_question(plan: Path) -> None:
    at(opened(plan), 5).close()
    async with window_on(plan) as window:
        await window.press("d", "r", "9", "enter")
        hint = window.app.screen.query_one(".hint").render()
        assert "allowed: a whole number, 1 to 4" in str(hint)
        await window.press("backspace", "2", "enter")
        assert "Row 2 of 40 goes on" in window.text or "Row 2 of 40 is next" in window.text


async def test_all_that_must_be_uncrossed_can_be_read_on_a_small_screen(plan: Path) -> None:
    at(opened(plan), 40).close()
    async with window_on(plan, size=(60, 16)) as window:
        await window.press("d", "r", "2", "enter")
        assert "more line" in window.text
        seen = window.text
        for _ in range(12):
            await window.press("pagedown")
            seen += window.text
        seen = " ".join(seen.split())
        assert "8 crossings to undo" in seen
        assert "Un-cross rope: lift both halves; the one on L3–L1, in front" in seen
        assert "Un-cross edge: lift both halves; the one on L6–L5, in front" in seen
        await window.press("y")
        assert isinstance(window.app.screen, Bedside)


async def test_a_mend_is_followed_step_by_step_on_the_strip(plan: Path) -> None:
    at(opened(plan), 8).close()
    async with window_on(plan) as window:
        await window.press("d", "h", *"L2", "enter", "y")
        knitting = window.session.knitting
        assert knitting.step is not None and knitting.step.mends
        assert "Unknit" in window.text
        before = window.text
        await window.press("space")
        assert window.text != before
        assert "Back up" in window.text or "BACK UP" in window.text


async def test_the_machines_counter_is_set_right_from_the_list(plan: Path) -> None:
    at(opened(plan), 5).close()
    async with window_on(plan) as window:
        assert "counter 4" in window.text
        await window.press("d", "c", "9", "0", "enter", "y")
        assert "counter 90" in window.text
        await window.press("space")
        assert "counter 91" in window.text


async def test_a_note_stands_on_the_step_of_its_row_each_time(plan: Path) -> None:
    async with window_on(plan) as window:
        await window.press("n", *"3", "colon", "space", *"ball", "enter")
        assert "Noted at row 3" in window.text
        await window.press("space", "space")
        assert "Note: ball" in window.text
        await window.press("space")
        assert "Note: ball" not in window.text
        await window.press("backspace")
        assert "Note: ball" in window.text


async def test_a_note_for_a_row_there_is_not_is_refused_and_one_kept_is_taken_off(plan: Path) -> None:
    async with window_on(plan) as window:
        await window.press("n", *"999", "colon", "space", "x", "enter")
        assert "there is no row 999; allowed: 1 to 40" in str(window.app.screen.query_one(".hint").render())
        await window.press("escape", "n", *"ball", "enter")
        assert "Note: ball" in window.text
        await window.press("n", "minus", "enter")
        assert "Taken off row 1: ball" in window.text and "Note:" not in window.text
        await window.press("l")
        assert "note taken off row 1: ball" in window.text


async def test_the_ledger_is_read_with_one_key(plan: Path) -> None:
    session = at(opened(plan), 8, 6)
    session.note("[b]tight[/b]")
    session.close()
    async with window_on(plan) as window:
        await window.press("l")
        assert "Ledger of Tried out" in window.text
        assert "row 9: [b]tight[/b]" in window.text
        assert "done, crossed rope" in window.text
        await window.press("end")
        assert "kept in" in window.text
        await window.press("home", "escape")
        assert isinstance(window.app.screen, Bedside)


async def test_the_key_that_takes_over_from_a_closed_window_says_that_it_made_no_step(plan: Path) -> None:
    first = at(opened(plan), 5)
    async with window_on(plan) as window:
        first.close()
        await window.press("space")
        assert "READ ONLY" not in window.text
        assert "The other window is closed: this one knits on from here; press again" in window.text
        await window.press("space")
        assert "The other window" not in window.text and window.session.knitting.place.row == 6


async def test_a_second_window_says_that_it_only_reads_and_says_nothing_to_the_plan(plan: Path) -> None:
    first = at(opened(plan), 5)
    async with window_on(plan) as window:
        assert "READ ONLY: this plan is being knit in another window" in window.text
        await window.press("d", "enter")
        assert "Can't, because: this plan is being knit in another window" in window.text
        await window.press("escape")
        first.forward()
        await window.press("space")
        assert window.session.knitting.place == first.knitting.place
        first.close()
        await window.press("space")
        assert "READ ONLY" not in window.text
        await window.press("space")
        assert window.session.knitting.place == (7, 0)


async def test_yes_pressed_twice_says_a_thing_once(plan: Path) -> None:
    at(opened(plan), 5).close()
    async with window_on(plan) as window:
        await window.press("d", "o")
        window.app.simulate_key("y")
        window.app.simulate_key("y")
        await settled(window.pilot)
        assert isinstance(window.app.screen, Bedside)
        assert len(window.session.course.said) == 1


# --- a neck in two parts -------------------------------------------------------------------


async def test_a_casting_off_forgotten_at_a_neck_is_asked_for_by_the_row_it_can_be_done_in(neck: Path) -> None:
    session = opened(neck)
    at(session, session.knitting.number("13 right")).close()
    async with window_on(neck) as window:
        await window.press("d", "e", "1", "2", "enter")
        assert "> 1  Do the casting off of row 12 before row 14" in window.text
        assert "Before row 14, left edge: Cast off R2–R5 (4 needles)" in " ".join(window.text.split())
        await window.press("y", "space")
        assert "Cast off R2–R5 (4 needles)" in window.text, "row 14 asks for it"
    again = opened(neck).knitting
    assert again.row is not None and again.row.label == "14 of right shoulder"
    assert any("Cast off R2–R5" in move.words() for move in again.moves), "kept in the ledger"


async def test_rows_too_many_in_a_shoulder_move_its_count_on_the_screen_and_are_taken_back(neck: Path) -> None:
    session = opened(neck)
    at(session, session.knitting.number("18 right")).close()
    async with window_on(neck) as window:
        assert "of 26, right shoulder" in window.text
        await window.press("d", "m", "2", "enter")
        told = " ".join(window.text.split())
        assert "Row 20 of 28, right shoulder, is next" in told
        assert "left will be knit to row 26: knit 2 rows more there and say so (d, m), or rip these out" in told
        await window.press("y")
        assert "of 28, right shoulder" in window.text
        assert window.session.knitting.number("20") == window.session.knitting.place.row
        await window.press("d", "u")
        assert "of 26, right shoulder" in window.text
        assert window.session.knitting.number("18") == window.session.knitting.place.row


async def test_on_the_second_shoulder_the_row_ripped_back_to_is_the_one_on_the_screen(
    home: Path, tmp_path: Path
) -> None:
    """The panel's rows 1 to 10, then each shoulder's 11 to 20: its row 17 is the 27th that is knit."""
    parts: list[Tables] = [
        {"name": "right shoulder", "needles": "R1-R6", "rows": 10, "carriage": "right"},
        {"name": "left shoulder", "mirrors": "right shoulder"},
    ]
    plan = written(tmp_path, cable("R2-R3 over R4-R5", first_row=4, times=1), rows=10, part=parts)
    at(opened(plan), 27).close()
    async with window_on(plan) as window:
        await window.press("d", "r")
        assert "1 to 16: the first of the rows ripped out" in str(window.app.screen.query_one(".hint").render())
        await window.press("1", "5", "enter")
        assert "Rip out 2 rows, to the start of row 15" in window.text
        await window.press("y")
        assert window.session.knitting.place.row == 25
        await window.press("d")
        assert "u take back: Ripped back from row 17 to row 15" in window.text
