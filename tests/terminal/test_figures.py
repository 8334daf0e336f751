"""Figures and my yarns in the real program, on a real terminal."""

from __future__ import annotations

from pathlib import Path

from purlside.keep import drawer, folders
from tests.plans import cable, tables, toml
from tests.terminal.terminal import purlside


def test_a_crossing_is_recorded_and_what_it_taught_is_written_into_the_plan_when_agreed(tmp_path: Path) -> None:
    """Linen that went over easily three times needs less enlarging, once the plan says so."""
    plan, home = tmp_path / "plan.toml", tmp_path / "home"
    yarn = {"name": "Quay", "fibre": "linen", "tex": 230, "loop_mm": {"5": 13.2, "9": 17.0}}
    plan.write_text(toml(tables(cable(ease="auto"), needles="L20-R20", rows=80, yarn=yarn)))
    env: dict[str, str | None] = {folders.HOME: str(home)}
    with purlside(plan, env=env) as terminal:
        terminal.wait_for("of 80")
        terminal.press(*"rrrrrrrr")
        terminal.wait_for("rope 1 of 10")
        for row in range(3):
            terminal.press("j")
            terminal.wait_for("how did it go over?")
            terminal.wait_for("enlarge to SS 10, reach 0.87, expected firm")
            terminal.press("e")
            terminal.wait_for(f"rope, row {8 * (row + 1)}: easy. Quay: your crossings suggest reach 0.9")
            terminal.press(*"rrrrrrrr")
            terminal.wait_for(f"rope {row + 2} of 10")
        terminal.press("f")
        terminal.wait_for("lines 1-")
        assert terminal.lines[1].startswith(" Figures   Tried out")
        terminal.press("pagedown", "pagedown")
        terminal.wait_for("limit 0.88: estimate from linen")
        terminal.resize(200, 50)
        terminal.wait_for("Widest crossing this yarn will do on this bed")
        terminal.press("q")
        terminal.wait_for("rope 4 of 10")
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
    kept = drawer.read(home / "yarns.toml").find("Quay")
    assert [one.outcome for one in kept.crossing] == ["easy"] * 3
    with purlside(plan, env=env, size=(120, 30)) as terminal:
        terminal.wait_for("Your crossings suggest reach 0.97 in Quay, the plan has 0.88")
        terminal.press("f", "y", "f4")
        terminal.wait_for("enlarge to SS 10 now")
        terminal.press("y", "enter")
        terminal.wait_for("Written into plan.toml")
    assert "reach_limit = 0.97" in plan.read_text()
