"""The shelf says of each plan what is true of it."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from purlside.keep import shelf
from purlside.keep.settings import Settings
from tests.apps import knitting, press, shown, small_plan
from tests.plans import cable
from tests.sessions import opened, written

pytestmark = pytest.mark.usefixtures("home")


async def test_a_plan_only_opened_was_not_knit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    small_plan(tmp_path / "patterns")
    async with knitting(tmp_path, plan=False) as (app, pilot):
        await press(pilot, "enter", "q")
        assert "not begun" in shown(app) and "last knit" not in shown(app)
        await press(pilot, "enter", "space", "q")
        assert "row 2 of" in shown(app) and "last knit" in shown(app)


def test_of_a_piece_in_parts_the_shelf_tells_the_row_of_the_part_and_when_both_are_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    parts = [
        {"name": "right", "needles": "R1-R10", "rows": 4, "carriage": "right"},
        {"name": "left", "mirrors": "right"},
    ]
    path = written(
        tmp_path, cable("R1-R2 over L2-L1", first_row=2, times=1), name="neck", needles="L10-R10", rows=6, part=parts
    )
    session = opened(path)
    for row, told in ((6, "row 6 of 10"), (8, "row 8 of 10, right"), (12, "row 8 of 10, left"), (15, "finished")):
        session.go_to(row)
        shelf.opened(path)
        (line,) = shelf.plans()
        assert line.progress == told
    assert line.summary == "20 needles, 10 rows (2 parts), 1 cable, 1 crossing"


async def test_a_plan_that_cannot_be_knit_names_the_key_that_mends_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    (tmp_path / "patterns" / "faulty.toml").write_text("format = 7", "utf-8")
    for settings, key in ((Settings(), "F2"), (Settings(keys={"draft": ("m",)}), "m")):
        async with knitting(tmp_path, settings, plan=False) as (app, pilot):
            await press(pilot, "enter")
            assert f"{key} mends it" in shown(app)


HUGE: dict[str, Callable[[str], str]] = {
    "a comment": lambda text: f"{text}#{'x' * 800_000}\n",
    "keys nobody knows": lambda text: text + "".join(f"key{n} = {n}\n" for n in range(60_000)),
    "cables without end": lambda text: text + '[[cable]]\nname = "r"\ncross = "R1 over L1"\nfirst_row = 2\n' * 14_500,
    "needles without end": lambda text: text.replace(
        "[panel]\n", "[panel]\nout_of_work = [" + '"R1", ' * 150_000 + "]\n"
    ),
}


@pytest.mark.parametrize("what", HUGE)
def test_a_huge_file_among_the_plans_holds_the_shelf_up_for_no_more_than_a_moment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    """It took 5 s of processor time; one of 800,000 bytes takes half a second on the computer this was written on."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "patterns").mkdir()
    path = written(tmp_path / "patterns")
    path.write_text(HUGE[what](path.read_text("utf-8")), "utf-8")
    assert path.stat().st_size > 700_000
    begun = time.process_time()
    (found,) = shelf.plans()
    assert time.process_time() - begun < 2.5
    assert bool(found.reason) == (what != "a comment")


async def test_what_is_typed_into_the_five_questions_can_be_read_on_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with knitting(tmp_path, plan=False) as (app, pilot):
        await press(pilot, "n", *"Dunlin")
        painted = "\n".join("".join(s.text for s in line) for line in app.screen._compositor.render_strips())
        assert "Dunlin" in painted and "4.5 mm, 200 needles" in painted
