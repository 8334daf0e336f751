"""What the bedside says in the app: on small screens, magnified, at the panel's end; what it says of other windows."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from purlside.app.app import PurlsideApp
from purlside.app.widgets.bedside import told
from purlside.files import planfile
from purlside.shown.bedside import Look
from purlside.shown.callbar import Trouble
from purlside.shown.layout import screen
from purlside.shown.thisrow import Told
from purlside.text.signs import text
from tests.apps import knitting, press, settled, shown
from tests.plans import cable
from tests.sessions import opened, written

pytestmark = pytest.mark.usefixtures("home")


async def test_moves_done_go_from_the_step_and_the_others_keep_their_numbers(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "g", "8", "enter", *["space"] * 5)
        assert "\n  1  Return " in shown(app) and "\n  6  Move the claw weights" in shown(app)
        await press(pilot, "down")
        assert "  1  Return" not in shown(app) and "\n  2  Lift " in shown(app)
        await press(pilot, "down")
        assert "  2  Lift" not in shown(app) and "\n  6  Move the claw weights" in shown(app)


async def test_weights_after_the_last_row_are_only_for_what_is_knit_on(tmp_path: Path) -> None:
    async with knitting(tmp_path, rows=9, panel={"weights_every": 9}) as (app, pilot):
        await press(pilot, "g", "9", "enter", "space")
        assert "  1  Move the claw weights up under L6–R6\n" in shown(app)
        assert " Only for rows you knit on in waste yarn\n" in shown(app)
        assert "then the panel is finished" in shown(app)
        await press(pilot, "w")
        assert "only if you knit on in waste yarn" in " ".join(shown(app).split())
        await press(pilot, "space", "z")
        assert "hold each with one hand" in " ".join(shown(app).split())
        await press(pilot, "z")
        assert "THE PANEL IS FINISHED" in shown(app)


@pytest.mark.parametrize("trip", ["centre", None])
async def test_row_side_and_counter_are_whole_on_a_screen_of_forty_columns(tmp_path: Path, trip: str | None) -> None:
    machine = {"counter_trip": trip} if trip else {}
    async with knitting(tmp_path, size=(40, 12), rows=420, machine=machine) as (app, pilot):
        await press(pilot, "g", "4", "1", "9", "enter")
        head = "\n".join(shown(app).splitlines()[:2])
        assert re.match(" Row 419 of 420 +COR", head) and "…" not in head
        assert ("counter about 522" in head) == (trip is not None)
        await press(pilot, "g", "4", "2", "0", "enter", "space")
        assert shown(app).startswith(" Finished, 420 rows  COR")


async def test_the_settings_say_how_many_are_out_of_sight(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "comma")
        assert re.search(r"\n   … \d+ more below\n", shown(app)) and "more above" not in shown(app)
        await press(pilot, *["down"] * 15)
        assert re.search(r"\n   … \d+ more above\n(.*\n)+ > .*\n(.*\n)+   … \d+ more below\n", shown(app))
        await press(pilot, *["pagedown"] * 9)
        assert "more above" in shown(app) and "more below" not in shown(app)


async def test_a_second_window_says_too_that_the_plan_is_another_by_now(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, _):
        session = app.session
        assert session is not None
        other = opened(session.file.path)
        other.file_said = Trouble(
            "PLAN CHANGED", "PLAN CHANGED: by another program; still on the old one; p reloads it"
        )
        seen = text(screen(told(other, other.knitting, Told()), 160, 30, Look()))
        assert "READ ONLY: this plan is being knit in another window; PLAN CHANGED: by another program" in seen
        other.go_to(8)
        assert app.session is session and session.go_to(8) and other.follow()
        seen = text(screen(told(other, other.knitting, Told()), 120, 30, Look()))
        assert "  CROSSING ROW: rope" in seen and "!! READ ONLY, PLAN CHANGED" in seen


async def test_magnified_a_note_is_shown_with_its_row(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "n", *"tie", "enter", "z")
        assert " Note: tie\n" in shown(app)
        await press(pilot, "space")
        assert "Note" not in shown(app)


@pytest.mark.parametrize("view", ["step", "magnified"])
async def test_what_a_changed_plan_means_hides_no_move_of_the_step_in_hand(tmp_path: Path, view: str) -> None:
    cables = [cable(first_row=2, every=4), cable("R8-R9 over R10-R11", name="twist", first_row=3, every=2)]
    plan = written(tmp_path, *cables, name="small", needles="L40-R40", rows=60)
    session = opened(plan)
    for _ in range(60):
        session.forward()
    session.go_to(18)
    session.close()
    plan.write_text(plan.read_text("utf-8").replace("first_row = 2", "first_row = 3"), "utf-8")
    app = PurlsideApp(planfile.read(plan))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        if view == "magnified":
            await press(pilot, "z")
        seen = " ".join(shown(app).split())
        assert "from row" in seen
        assert re.search(r"\d +Knit (left|right) ", seen)
