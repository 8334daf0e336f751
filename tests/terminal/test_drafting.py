"""The drafting table in a real terminal: designed by keys and mouse, saved, resized, left as it was found."""

from __future__ import annotations

from pathlib import Path

from purlside.files.planfile import read
from tests.terminal.terminal import purlside

PLAN = """\
format = 1
title = "Groyne"  # [b]our own[/b]
[machine]
pitch_mm = 4.5
[panel]
needles = "L9-R9"
rows = 40
stitch_size = 5
"""


def test_a_panel_is_designed_by_keys_and_mouse_saved_and_the_terminal_left_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "patterns").mkdir()
    path = tmp_path / "patterns" / "groyne.toml"
    path.write_text(PLAN, "utf-8")
    with purlside(env={"PURLSIDE_HOME": str(tmp_path / "kept")}, cwd=tmp_path) as terminal:
        terminal.wait_for("Groyne")
        terminal.press("f2")
        terminal.wait_for("KNIT SIDE, mirrored  R9 row 1 of 40")
        # A click on needle R4 in row 5: the line of row 5, three columns a needle after the gutter.
        y = next(i for i, line in enumerate(terminal.lines) if line.startswith("   5"))
        x = terminal.lines[y].index("▕") + 2 + 3 * 5
        for end in (b"M", b"m"):
            terminal.write(b"\x1b[<0;%d;%d%s" % (x + 1, y + 1, end))
        terminal.wait_for("R4 row 5 of 40")
        terminal.press("p")
        terminal.wait_for("Place a cable: left edge at R4")
        terminal.press(*"c6b", "enter")
        terminal.wait_for("cable 1: 3/3 RC")
        terminal.wait_for("placed 3/3 RC")
        assert "R2-R4 over L2-R1" in terminal.text
        terminal.write(b"\x1b[1;2C")
        terminal.wait_for("R1-R3 over L3-L1")
        terminal.resize(100, 30)
        terminal.wait_for("Cable in hand")
        terminal.press("ctrl+s")
        terminal.wait_for("Saved: groyne.toml")
        terminal.resize(80, 24)
        terminal.wait_for(lambda: "Cable in hand" not in terminal.text)
        terminal.press("q")
        terminal.wait_for("Shelf of plans")
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
        assert b"Traceback" not in terminal.raw
    saved = read(path)
    assert str(saved.plan.cable[0].cross) == "R1-R3 over L3-L1"
    assert saved.plan.cable[0].first_row == 5 and "# [b]our own[/b]" in saved.text


def test_in_a_terminal_without_utf8_the_chart_is_ascii(tmp_path: Path) -> None:
    (tmp_path / "patterns").mkdir()
    cable = '[[cable]]\nname = "rope"\ncross = "R1-R3 over L3-L1"\nfirst_row = 4\nevery = 6\n'
    (tmp_path / "patterns" / "groyne.toml").write_text(PLAN + cable, "utf-8")
    env = {"PURLSIDE_HOME": str(tmp_path / "kept"), "LANG": "C", "LC_ALL": "C", "LC_CTYPE": "C"}
    with purlside(env=env, cwd=tmp_path, size=(100, 30)) as terminal:
        terminal.wait_for("Groyne")
        terminal.press("f2")
        terminal.wait_for("rope: 3/3 RC")
        terminal.press("?")
        terminal.wait_for("place a cable")
        assert terminal.text.isascii()
        terminal.press("escape")
        terminal.wait_for(lambda: "place a cable" not in terminal.text and "Cable in hand" in terminal.text)
        assert terminal.text.isascii()
        assert "///// _____" in terminal.text or "///////  _______" in terminal.text
