"""Killed at the drafting table, the program opens again with nothing a designer did lost."""

from __future__ import annotations

import random
import sys
from pathlib import Path

from purlside.files.planfile import read
from purlside.keep import unsaved
from tests.terminal.terminal import Terminal
from tests.terminal.test_drafting import PLAN

CABLE = '[[cable]]\nname = "rope"\ncross = "R1-R3 over L3-L1"\nfirst_row = 4\nevery = 6\n'
KILLS = 8


def program(folder: Path) -> Terminal:
    return Terminal(
        [sys.executable, "-m", "purlside"], env={"PURLSIDE_HOME": str(folder / "kept")}, cwd=folder, size=(100, 30)
    )


def at(every: int) -> str:
    return f"every {every}, "


def test_whatever_was_shown_is_there_again_after_each_kill(home: Path, tmp_path: Path) -> None:
    (tmp_path / "patterns").mkdir()
    path = tmp_path / "patterns" / "groyne.toml"
    path.write_text(PLAN + CABLE, "utf-8")
    chance, every = random.Random(4), 6
    for run in range(KILLS):
        with program(tmp_path) as terminal:
            terminal.wait_for("Groyne")
            terminal.press("f2")
            if run:
                terminal.wait_for("Unsaved changes of Groyne from ")
                (found,) = unsaved.left(path)
                assert found.plan.cable[0].every in (every, every + 1)
                every = found.plan.cable[0].every or 0
                terminal.press("enter")
            terminal.wait_for(at(every))
            for _ in range(chance.randint(1, 3)):
                terminal.press(">")
                every += 1
                terminal.wait_for(at(every))
            # One key more, killed before or after it was shown.
            terminal.press(">")
            terminal.read(chance.uniform(0, 0.01))
            terminal.kill()
            terminal.wait()
        assert path.read_text("utf-8") == PLAN + CABLE, "the author's file is as it was"
    with program(tmp_path) as terminal:
        terminal.wait_for("Groyne")
        terminal.press("f2")
        terminal.wait_for("Unsaved changes of Groyne from ")
        terminal.press("enter")
        terminal.wait_for("not saved")
        terminal.press("ctrl+s")
        terminal.wait_for("Saved: groyne.toml")
        terminal.press("q")
        terminal.wait_for("Shelf of plans")
        terminal.press("f2")
        terminal.wait_for("KNIT SIDE")
        assert "Unsaved changes" not in terminal.text
    assert (read(path).plan.cable[0].every or 0) - every in (0, 1)


def test_two_windows_draft_one_plan_and_what_each_did_is_offered_after_both_were_killed(
    home: Path, tmp_path: Path
) -> None:
    (tmp_path / "patterns").mkdir()
    path = tmp_path / "patterns" / "groyne.toml"
    path.write_text(PLAN + CABLE, "utf-8")
    with program(tmp_path) as one, program(tmp_path) as two, program(tmp_path) as three:
        for window, keys in ((one, ">>"), (two, ">>>"), (three, ">")):
            window.wait_for("Groyne")
            window.press("f2")
            window.wait_for("KNIT SIDE" if window is one else "Drafted in another window too")
            window.press(*keys)
            window.wait_for(at(6 + len(keys)))
        three.press("ctrl+s")
        three.wait_for("Saved: groyne.toml")
        # The others' are still kept, and none of them is offered while its window lives.
        assert not unsaved.left(path) and len(unsaved.every(path)) == 2
        two.press("ctrl+s")
        two.wait_for("groyne.toml was changed by someone else")
        for window in (one, two):
            window.kill()
            window.wait()
    assert read(path).plan.cable[0].every == 7
    with program(tmp_path) as terminal:
        terminal.wait_for("Groyne")
        terminal.press("f2")
        terminal.wait_for("this is 1 of 2")
        terminal.press("o")
        terminal.wait_for("this is 2 of 2")
        terminal.press("enter")
        terminal.wait_for(at(8))
        terminal.press("u")
        terminal.wait_for(at(7))
        terminal.press("U")
        terminal.wait_for(at(8))
        terminal.press("ctrl+s")
        terminal.wait_for("Saved: groyne-2.toml")
        terminal.press("q")
        terminal.wait_for("Shelf of plans")
        assert [kept.plan.cable[0].every for kept in unsaved.left(path)] == [9]


def test_a_new_plan_never_saved_stands_on_the_shelf_and_can_be_dropped(home: Path, tmp_path: Path) -> None:
    with program(tmp_path) as terminal:
        terminal.wait_for("No plan here yet")
        terminal.press("n")
        terminal.wait_for("Enter goes on")
        terminal.settle(0.3)
        terminal.press(*"Quay")
        for _ in range(5):
            terminal.press("enter")
            terminal.settle(0.2)
        terminal.wait_for("not saved")
        terminal.press("p")
        terminal.wait_for("Place a cable")
        terminal.press(*"c6f", "enter")
        terminal.wait_for("cable 1: 3/3 LC")
        terminal.kill()
        terminal.wait()
    with program(tmp_path) as terminal:
        terminal.wait_for("not saved yet, drafted")
        terminal.press("enter")
        terminal.wait_for("F2 opens it")
        terminal.press("f2")
        terminal.wait_for("Unsaved changes of Quay")
        terminal.wait_for("Esc     leave it as it is")
        terminal.press("enter")
        terminal.wait_for("cable 1: 3/3 LC")
        terminal.press("q")
        terminal.wait_for("is not saved")
        terminal.press("delete")
        terminal.wait_for("No plan here yet")
    assert not list(unsaved.without_file())


def test_lines_mended_and_not_written_are_there_again_after_a_kill(home: Path, tmp_path: Path) -> None:
    (tmp_path / "patterns").mkdir()
    path = tmp_path / "patterns" / "groyne.toml"
    path.write_text(PLAN.replace("rows = 40", "rows = forty").replace('"L9-R9"', '"L9-R9'), "utf-8")
    before = path.read_bytes()
    with program(tmp_path) as terminal:
        terminal.wait_for("cannot be knit")
        terminal.press("f2")
        terminal.wait_for("groyne.toml cannot be read yet")
        terminal.press('"', "enter")
        terminal.wait_for("line 7: ")
        terminal.kill()
        terminal.wait()
    assert path.read_bytes() == before
    with program(tmp_path) as terminal:
        terminal.wait_for("cannot be knit")
        terminal.press("f2")
        terminal.wait_for("Lines you mended before, not written yet, are here again")
        terminal.wait_for("line 7: ")
        terminal.press("ctrl+u", *"rows = 40", "enter")
        terminal.wait_for("KNIT SIDE")
        terminal.kill()
        terminal.wait()
    assert path.read_text("utf-8") == PLAN
    assert not list((home / "mending").iterdir())
