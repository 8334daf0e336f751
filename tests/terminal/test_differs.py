"""On a real terminal: what is said to differ outlives a kill, and is on the screen again."""

from __future__ import annotations

from pathlib import Path

from purlside.keep import panels
from tests.sessions import at, opened, written
from tests.terminal.terminal import Terminal, at_row, purlside


def test_what_was_said_outlives_a_kill_and_can_be_taken_back(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    at(opened(plan), 8, 2).close()
    with purlside(plan) as terminal:
        terminal.wait_for("step 3 of 6")
        terminal.press("d")
        terminal.wait_for("What happened?")
        terminal.press("r")
        terminal.wait_for("   Which row is to be knit next?")
        terminal.press("3", "enter")
        terminal.wait_for("Row 3 of 40 is next")
        assert "No crossing lies in the rows ripped out" in terminal.text
        assert "Return L6–R6 (12 needles) to working position" in terminal.text
        terminal.press("y")
        terminal.wait_for(at_row(terminal, 3))
        terminal.wait_for("Rip out 6 rows, to the start of row 3")
        terminal.wait_for("step 1 of 2")
        said = panels.of(plan).place
        terminal.kill()
        terminal.wait()
    with purlside(plan) as terminal:
        terminal.wait_for("step 1 of 2")
        terminal.wait_for(at_row(terminal, 3))
        terminal.wait_for("Rip out 6 rows, to the start of row 3")
        assert panels.of(plan).place == said
        terminal.press("d", "u")
        terminal.wait_for("Taken back: Ripped back from row 8 to row 3")
        terminal.wait_for("step 3 of 6")
        terminal.wait_for(at_row(terminal, 8))
        terminal.press("l")
        terminal.wait_for("taken back: Ripped back from row 8 to row")
        terminal.press("q")
        terminal.wait_for("step 3 of 6")
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored


def test_what_the_chosen_line_would_do_is_shown_whole_and_nothing_is_left_of_the_line_before(
    home: Path, tmp_path: Path
) -> None:
    plan = written(tmp_path)
    at(opened(plan), 5).close()
    with purlside(plan) as terminal:
        terminal.wait_for(at_row(terminal, 5))
        terminal.press("d")
        terminal.wait_for("\n\n How many rows too many?\n 1 to 999: knit plain, and not counted yet\n\n")
        terminal.press("down")
        terminal.wait_for("\n\n How many rows were counted and not knit?\n 1 to 4\n\n")
        assert "How many rows too many?" not in terminal.text and "not counted" not in terminal.text
        terminal.press("o")
        terminal.wait_for(
            "> 1  It stands on the left (COL), and the count is right\n\n Then:\n"
            " A row knit and not counted is m, one counted and not knit is f\n"
            " Row 5 of 40 is next, from the left (COL), SS 5; nothing crosses after it\n\n"
        )
        assert "How many" not in terminal.text and "I knit too many" not in terminal.text
        terminal.press("escape")
        terminal.wait_for("\n\n Enter shows what can be done\n\n")
        assert "Then:" not in terminal.text and "It stands" not in terminal.text
        terminal.press("w")
        terminal.wait_for("\n\n Can't, because: nothing is crossed yet\n\n")
        assert "Enter shows what can be done" not in terminal.text
        assert "Nothing is changed" in terminal.lines[-1]


def knit_on(terminal: Terminal, row: int) -> None:
    """A row further, and it is shown."""
    terminal.press("space")
    terminal.wait_for(at_row(terminal, row))


def test_a_plan_edited_in_another_program_while_it_is_knit_loses_no_step_and_is_taken_up_with_one_key(
    home: Path, tmp_path: Path
) -> None:
    plan = written(tmp_path)
    text = plan.read_text("utf-8")
    at(opened(plan), 5).close()
    with purlside(plan) as terminal:
        terminal.wait_for("of 40")
        plan.write_text(text.replace("rows = 40", "rows = 60"), "utf-8")
        terminal.wait_for("PLAN CHANGED: by another program; still on the old one; Ctrl R reloads it")
        knit_on(terminal, 6)
        assert "of 40" in terminal.text and "PLAN CHANGED" in terminal.text, "the plan in hand stays as it was"
        plan.write_text(text.replace("rows = 40", "rows = "), "utf-8")
        terminal.wait_for("PLAN CHANGED: it can't be knit; still on the old one")
        knit_on(terminal, 7)
        terminal.press("ctrl+r")
        terminal.wait_for("The plan file cannot be read (line 11): still on the plan as it was")
        plan.unlink()
        terminal.wait_for("PLAN FILE GONE")
        knit_on(terminal, 8)
        plan.write_text(text.replace("rows = 40", "rows = 60"), "utf-8")
        terminal.wait_for("!! PLAN CHANGED")
        terminal.press("ctrl+r")
        terminal.wait_for("of 60")
        terminal.wait_for("Row 8 of 60")
        terminal.wait_for("The plan was changed: from row 8 on it is the new one, what is knit stays as")
        terminal.wait_for("it is; rope crosses next in row 8")
        assert "PLAN CHANGED" not in terminal.text
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
    assert plan.read_text("utf-8") == text.replace("rows = 40", "rows = 60"), "the file is the other program's"
    assert opened(plan).knitting.place == (8, 0)


def test_a_second_window_stays_and_shows_where_the_first_is(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    first = at(opened(plan), 5)
    with purlside(plan) as terminal:
        terminal.wait_for("READ ONLY: this plan is being knit in another window")
        first.forward()
        terminal.wait_for(at_row(terminal, 6))
        plan.write_text(plan.read_text("utf-8").replace("rows = 40", "rows = 60"), "utf-8")
        first.forward()
        terminal.wait_for(at_row(terminal, 7))
        assert "READ ONLY" in terminal.text
        terminal.press("q")
        assert terminal.wait() == 0
