"""What the bedside says: on the step, beside the figure, magnified; on small screens and at the panel's end."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from purlside.app.app import PurlsideApp
from purlside.app.widgets.bedside import CallLine, CountLine
from purlside.files import planfile
from purlside.keep.settings import Settings
from purlside.shown.letters import big
from tests.apps import knitting, press, settled, shown
from tests.plans import cable
from tests.sessions import opened, written

pytestmark = pytest.mark.usefixtures("home")

WIDE = [
    cable("L90-L87 over L86-L83", name="far left", first_row=2),
    cable(name="middle", first_row=2, ease="enlarge", enlarged_size=9.0),
]
"""Two cables far apart on a wide bed."""


async def test_what_is_done_of_a_step_is_counted_as_its_lines_are_numbered(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "g", "8", "enter", *["space"] * 5)
        assert "\n  1  Return " in shown(app) and "\n  6  Move the claw weights" in shown(app)
        await press(pilot, "down")
        assert "    1 of 6 done on this step\n  2  Lift " in shown(app)
        await press(pilot, "down")
        assert "    5 of 6 done on this step\n  6  Move the claw weights" in shown(app)


async def test_weights_after_the_last_row_are_only_for_what_is_knit_on(tmp_path: Path) -> None:
    async with knitting(tmp_path, rows=9, panel={"weights_every": 9}) as (app, pilot):
        await press(pilot, "g", "9", "enter", "space")
        assert "  1  Move the claw weights up under L6–R6\n" in shown(app)
        assert " Only for rows you knit on in waste yarn\n then the panel is finished" in shown(app)
        await press(pilot, "w")
        assert "only if you knit on in waste yarn" in " ".join(shown(app).split())
        await press(pilot, "w", "z")
        assert "weights up" in big_words(shown(app))
        await press(pilot, "space")
        finished = shown(app)
        assert big("FINISHED", 40)[0].rstrip() in finished and "\n\n\n" not in finished
        assert "Bind off, or go on in waste yarn" in finished and "hold each with one hand" in " ".join(
            finished.split()
        )
        await press(pilot, "z")
        assert "The panel is finished" in shown(app)


def big_words(text: str) -> Iterator[str]:
    """The words written big, read back from their block letters."""
    for word in ("weights up", "return"):
        if big(word, 78)[0].rstrip() in text and big(word, 78)[2].rstrip() in text:
            yield word


@pytest.mark.parametrize("trip", ["centre", None])
async def test_row_side_and_counter_are_whole_on_a_screen_of_forty_columns(tmp_path: Path, trip: str | None) -> None:
    machine = {"counter_trip": trip} if trip else {}
    async with knitting(tmp_path, size=(40, 10), rows=420, machine=machine) as (app, pilot):
        await press(pilot, "g", "4", "1", "9", "enter")
        head = shown(app).splitlines()[0]
        assert head.startswith(" Row 419 of 420  COR") and "…" not in head
        assert ("  counter about 522" in head) == (trip is not None)
        await press(pilot, "g", "4", "2", "0", "enter", "space")
        assert shown(app).startswith(" Finished, 420 rows  COR")


async def test_how_many_cables_are_not_shown_is_never_cut_and_of_a_long_name_its_count_is_not(tmp_path: Path) -> None:
    long = "a cable whose name is as long as is"
    cables = [cable(f"R{n}-R{n + 1} over R{n + 2}-R{n + 3}", name=f"{long} {n}") for n in (1, 5, 9)]
    async with knitting(tmp_path, size=(60, 24), cables=cables, needles="L20-R20") as (app, _):
        first, second = shown(app).splitlines()[1:3]
        assert first.endswith("… 0 of 5, crosses in 7 rows")
        assert second.endswith("… 0 of 5, crosses in 7 rows  +1 more")


async def test_magnified_a_wide_bed_says_which_part_is_seen_at_80_by_24(tmp_path: Path) -> None:
    async with knitting(tmp_path, cables=WIDE, needles="L100-R100") as (app, pilot):
        await press(pilot, "g", "2", "enter", "z")
        while "Row 3" not in shown(app) and "ROW 2 CROSS" not in shown(app):
            lines = shown(app).splitlines()
            assert any(line.startswith("seen      L100 ") and line.endswith(" R100") for line in lines)
            assert any(line.startswith("holding") for line in lines)
            await press(pilot, "space")


@pytest.mark.parametrize("size", [(40, 10), (40, 14), (60, 16), (80, 24), (100, 30)])
async def test_magnified_no_line_of_a_step_is_lost_without_a_word_and_no_lane_of_the_bed(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with knitting(tmp_path, size=size, cables=WIDE, needles="L100-R100") as (app, pilot):
        await press(pilot, "g", "2", "enter", "z")
        session = app.session
        assert session is not None
        while session.knitting.place.row == 2:
            text = shown(app)
            assert "ROW 2" in text or "█" in text
            step = session.knitting.step
            assert step is not None
            last = step.moves[-1].words(session.knitting.working.in_work).split()[-1]
            assert last in text or "more lines in a taller window" in text
            lanes = [line.split()[0] for line in text.splitlines() if line[:1].islower()]
            assert not lanes or {"needle", "working", "upper", "holding", "carriage"} <= set(lanes)
            await press(pilot, "space")


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
        other.file_said = "PLAN CHANGED: by another program; on with it as opened; p takes it up"
        line = CallLine(other, lambda: app.settings)
        told = "".join(text for text, _ in next(iter(line.lines(160, 1))))
        assert "READ ONLY: this plan is being knit in another window; PLAN CHANGED: by another program" in told
        other.go_to(8)
        assert app.session is session and session.go_to(8) and other.follow()
        told = "".join(text for text, _ in next(iter(line.lines(120, 1))))
        assert "## CROSSING ROW: rope" in told and "!! READ ONLY, PLAN CHANGED" in told


async def test_magnified_a_note_is_shown_with_its_row(tmp_path: Path) -> None:
    async with knitting(tmp_path) as (app, pilot):
        await press(pilot, "n", *"tie", "enter", "z")
        assert " Note: tie\n" in shown(app)
        await press(pilot, "space")
        assert "Note" not in shown(app)


@pytest.mark.parametrize("height", [16, 18, 19, 20, 21, 22, 23, 24])
async def test_on_a_low_screen_a_pass_is_read_whole_before_figures_and_bed_have_room(
    tmp_path: Path, height: int
) -> None:
    async with knitting(tmp_path, size=(60, height), cables=WIDE, needles="L100-R100") as (app, pilot):
        await press(pilot, "g", "2", "enter")
        text = shown(app)
        assert "Row 2 " in text or "╶─╮" in text
        assert "more lines" not in text and "are clear" in text
        assert ("\nholding" in text) == (height >= 19)


async def test_a_long_note_is_read_whole_where_the_step_leaves_room_and_is_cut_with_a_sign_where_not(
    tmp_path: Path,
) -> None:
    words = "word " * 30
    for size, whole in (((80, 24), True), ((60, 20), False)):
        async with knitting(tmp_path, size=size, cables=WIDE, needles="L100-R100") as (app, pilot):
            await press(pilot, "g", "2", "enter")
            if not whole:
                await press(pilot, "n", "minus", "enter")
            session = app.session
            assert session is not None
            session.note(words.strip())
            await press(pilot, "z", "z")
            assert (shown(app).count("word") == 30) == whole
            assert whole or any(line.startswith(" Note: ") and line.endswith("…") for line in shown(app).splitlines())
            assert "3  Knit to the right" in shown(app)


async def test_what_is_knit_otherwise_is_not_cut_off_the_line_of_counts(tmp_path: Path) -> None:
    plan = written(tmp_path, cable(), machine={"counter_trip": "centre"})
    session = opened(plan)
    for _ in range(14):
        session.forward()
    session.close()
    plan.write_text(plan.read_text("utf-8").replace("first_row = 8", "first_row = 6"), "utf-8")
    line = CountLine(opened(plan), Settings)
    for width in (80, 60):
        told = "".join(text for text, _ in next(iter(line.lines(width, 1))))
        assert told.endswith("! 2 rows knit otherwise") and len(told) <= width
        assert ("carriage" in told) == (width == 80) and "  counter " in told


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
        text = shown(app)
        assert "Already knit otherwise than the plan has it now" in text and "… the ledger has it whole" in text
        assert "more lines" not in text and re.search(r"\d +Knit to the ", text)
