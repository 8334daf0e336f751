"""On a real terminal: what is said to differ outlives a kill, and is on the screen again."""

from __future__ import annotations

from pathlib import Path

from tests.sessions import at, opened, written
from tests.terminal.terminal import purlside


def test_what_was_said_outlives_a_kill_and_can_be_taken_back(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    at(opened(plan), 8, 2).close()
    with purlside(plan) as terminal:
        terminal.wait_for("Pass 3 of 5")
        terminal.press("d")
        terminal.wait_for("What differs from the plan?")
        terminal.press("down", "down", "down")
        terminal.wait_for("> I ripped back")
        terminal.press("enter", "3", "enter")
        terminal.wait_for("Row 3 of 40 is next")
        assert "No crossing lies in the rows ripped out" in terminal.text
        assert "Bring all needles back to working position" in terminal.text
        terminal.press("enter")
        terminal.wait_for("One row")
        terminal.kill()
        terminal.wait()
    with purlside(plan) as terminal:
        terminal.wait_for("row 3\n")
        terminal.press("d")
        terminal.wait_for("> I knit some rows too many")
        terminal.press("down")
        terminal.wait_for("> Take back: Ripped back from row 8 to row 3")
        terminal.press("enter")
        terminal.wait_for("Pass 3 of 5")
        terminal.press("h")
        terminal.wait_for("taken back: Ripped back from row 8 to row")
        terminal.press("q")
        terminal.wait_for("Pass 3 of 5")
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
