"""The real program on a real pseudo-terminal: what a knitter's terminal shows, and what is left when it ends."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.terminal.terminal import Terminal, at_row, environment, purlside

PLAN = """\
format = 1
title = "Jetty band"
[machine]
pitch_mm = 4.5
counter_trip = "centre"
[panel]
needles = "L6-R6"
rows = 12
stitch_size = 5
[[cable]]
name = "rope"
cross = "R1-R3 over L3-L1"
first_row = 3
every = 4
ease = "enlarge"
enlarged_size = 9
"""
"""Row 3 is the first crossing row: five pushes of the carriage, then the crossing."""

STEPS = [f"{step} of 6" for step in range(1, 7)]
"""How far along row 3 is, at each of its steps."""
COMPLAINTS = re.compile(rb"Traceback|Exception|Error\b")


class Knitter:
    """Someone who opens one plan again and again, with everything kept in one folder."""

    def __init__(self, folder: Path) -> None:
        self.plan = folder / "jetty.toml"
        self.plan.write_text(PLAN, encoding="utf-8")
        self.home = folder / "kept"

    def opens(self, *, size: tuple[int, int] = (80, 24), plan: bool = True, **env: str | None) -> Terminal:
        kept = {"PURLSIDE_HOME": str(self.home), **env}
        return purlside(*([self.plan] if plan else []), env=kept, size=size, cwd=self.plan.parent)

    @property
    def ledger(self) -> list[dict[str, str]]:
        (file,) = (self.home / "ledgers").glob("jetty-*.jsonl")
        return [json.loads(line) for line in file.read_text("utf-8").splitlines()]

    @property
    def place(self) -> str:
        """The place written last."""
        return self.ledger[-1]["at"]


@pytest.fixture
def knitter(tmp_path: Path) -> Knitter:
    return Knitter(tmp_path)


def to_row_3(terminal: Terminal) -> None:
    terminal.wait_for("Plain row")
    terminal.press("space", "pagedown")
    terminal.wait_for(STEPS[0])


def complaints(terminal: Terminal) -> list[bytes]:
    return COMPLAINTS.findall(bytes(terminal.raw))


def bells(terminal: Terminal) -> int:
    """How often the bell rang: the character that rings it also ends titles and the like."""
    return re.sub(rb"\x1b\].*?\x07", b"", bytes(terminal.raw)).count(b"\a")


# --- the job ----------------------------------------------------------------


def test_killed_at_any_step_of_a_crossing_row_the_same_step_is_there_again(knitter: Knitter) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        assert "CROSSING ROW: rope, 3 over 3, right half in front" in terminal.text
        for title in STEPS[1:3]:
            terminal.press("space")
            terminal.wait_for(title)
        terminal.kill()
        assert terminal.wait() == -signal.SIGKILL
        left = terminal.lines
    for title, key, following in ((STEPS[2], "enter", STEPS[3]), (STEPS[3], "pagedown", STEPS[4])):
        with knitter.opens() as terminal:
            terminal.wait_for(title)
            if title == STEPS[2]:
                terminal.wait_for(lambda: terminal.lines == left)
            terminal.press(key)
            terminal.wait_for(following)
            terminal.kill()
            terminal.wait()
    with knitter.opens() as terminal:
        terminal.wait_for(STEPS[4])
        terminal.press("space")
        terminal.wait_for(STEPS[5])
        assert "shows on the knit side" in terminal.text
        terminal.press("space")
        terminal.wait_for("rope 1 of 3, crosses after row 7, in 3")
        terminal.press("pageup")
        terminal.wait_for(STEPS[5])
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
        assert not complaints(terminal)


def test_a_finished_panel_says_so_and_can_be_stepped_back_into(knitter: Knitter) -> None:
    with knitter.opens() as terminal:
        terminal.wait_for("Plain row")
        terminal.press("g")
        terminal.wait_for("Go to row")
        terminal.press("1", "2", "enter")
        terminal.wait_for(at_row(terminal, 12))
        terminal.press("space", "space", "space")
        terminal.wait_for("THE PANEL IS FINISHED")
        assert "Space done" not in terminal.text and "Down move" not in terminal.text
        terminal.press("backspace")
        terminal.wait_for("Plain row")
        assert at_row(terminal, 12)()
    assert knitter.place == "12.0"


# --- terminals --------------------------------------------------------------


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (200, 50)], ids=str)
def test_every_usual_size_shows_row_bed_step_and_keys(knitter: Knitter, size: tuple[int, int]) -> None:
    with knitter.opens(size=size) as terminal:
        to_row_3(terminal)
        for part in (
            "of 12",
            "COR",
            "holding",
            "carriage",
            "step 1 of 6",
            "Knit left across R6–R1",
            "Space done",
        ):
            terminal.wait_for(part)
        terminal.wait_for(
            lambda: sum(line.split()[:1] in (["working"], ["upper"], ["holding"]) for line in terminal.lines) == 3
        )


@pytest.mark.parametrize("size", [(20, 5), (30, 8), (40, 12)], ids=str)
def test_where_there_is_no_room_for_the_bed_the_step_is_what_stays(knitter: Knitter, size: tuple[int, int]) -> None:
    with knitter.opens(size=size) as terminal:
        terminal.wait_for("Plain row")
        terminal.press("space", "space")
        terminal.wait_for("1 of 6")
        terminal.wait_for("3 of 12")
        terminal.wait_for(re.compile(r"1 +Check that the"))
        terminal.resize(80, 24)
        terminal.wait_for("holding")
        terminal.wait_for("Knit left across R6–R1")
        terminal.press("q")
        assert terminal.wait() == 0
        assert not complaints(terminal)


def test_a_resize_in_the_middle_of_stepping_loses_no_step(knitter: Knitter) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        for size, title in zip(((120, 40), (62, 20), (20, 5), (200, 50), (80, 24)), STEPS[1:], strict=True):
            terminal.press("space")
            terminal.resize(*size)
            terminal.wait_for(title)
        terminal.wait_for("holding")
        terminal.wait_for(lambda: "Space done" in terminal.lines[-1])
        assert not complaints(terminal)
    assert knitter.place == "3." + knitter.ledger[-1]["at"].split(".")[1]
    assert [entry["did"] for entry in knitter.ledger].count("card") == 7


@pytest.mark.parametrize("term", ["xterm-256color", "linux", "screen", "vt100"])
def test_usual_terminals_show_the_bedside_and_get_their_screen_back(knitter: Knitter, term: str) -> None:
    with knitter.opens(TERM=term, COLORTERM=None) as terminal:
        to_row_3(terminal)
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
        assert not complaints(terminal)


@pytest.mark.parametrize("term", ["dumb", "", None])
def test_a_terminal_that_cannot_draw_is_refused_in_words(knitter: Knitter, term: str | None) -> None:
    with knitter.opens(TERM=term, size=(160, 24)) as terminal:
        assert terminal.wait() == 2
        assert "purlside passes PLAN" in terminal.lines[0]
        assert b"\x1b" not in terminal.raw
        assert not complaints(terminal)


@pytest.mark.parametrize("locale", ["C", "POSIX"])
@pytest.mark.parametrize("python", [{}, {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}], ids=["usual", "strict"])
def test_where_the_locale_has_no_utf8_only_ascii_is_drawn(
    knitter: Knitter, locale: str, python: dict[str, Any]
) -> None:
    with knitter.opens(LC_ALL=locale, LANG=None, LC_CTYPE=None, **python) as terminal:
        to_row_3(terminal)
        terminal.press("?")
        terminal.wait_for("done, next step")
        terminal.press("escape")
        terminal.wait_for("Knit left across R6-R1")
        terminal.press("n", "h", "i", "enter")
        terminal.wait_for("Noted at row 3")
        assert "Knit left across R6-R1" in terminal.text
        assert bytes(terminal.raw).isascii()
        terminal.press("q")
        assert terminal.wait() == 0
        assert not complaints(terminal)


def without_pace(terminal: Terminal) -> list[str]:
    return [line for line in terminal.lines if " s a row" not in line]


def test_without_colours_the_same_words_and_shapes_are_there(knitter: Knitter) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        terminal.wait_for("Space done")
        terminal.settle()
        coloured = without_pace(terminal)
    with knitter.opens(NO_COLOR="1") as terminal:
        terminal.wait_for(STEPS[0])
        terminal.wait_for(lambda: without_pace(terminal) == coloured)
        raw = bytes(terminal.raw)
    assert not re.search(rb"\x1b\[[0-9;]*[34]8;2;(\d+);(?!\1;\1)", raw), "a colour that is not a grey"


@pytest.mark.parametrize("arguments", [[], ["PLAN"]], ids=["shelf", "plan"])
def test_without_a_terminal_it_says_which_commands_work_there(knitter: Knitter, arguments: list[str]) -> None:
    argv = [sys.executable, "-m", "purlside", *[str(knitter.plan) for _ in arguments]]
    done = subprocess.run(argv, env=environment(), stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=20)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "purlside passes PLAN" in done.stderr


def test_output_that_is_no_terminal_is_refused_too(knitter: Knitter) -> None:
    command = f"'{sys.executable}' -m purlside '{knitter.plan}' | cat"
    with Terminal(["/bin/sh", "-c", command], size=(160, 24)) as terminal:
        terminal.wait()
        assert "needs a terminal" in terminal.text
        assert not complaints(terminal)


# --- sound ------------------------------------------------------------------


def test_with_no_audio_device_the_terminal_bell_rings_for_a_call_and_nothing_is_printed(
    knitter: Knitter, tmp_path: Path
) -> None:
    nothing = tmp_path / "nothing"
    nothing.mkdir()
    with knitter.opens(PURLSIDE_SOUND=None, PATH=str(nothing)) as terminal:
        terminal.wait_for("Plain row")
        assert bells(terminal) == 0
        terminal.press("space")
        terminal.wait_for("CROSSING ROW NEXT")
        terminal.wait_for(lambda: bells(terminal) > 0)
        assert not complaints(terminal)


def test_with_sound_off_not_even_the_bell_rings(knitter: Knitter, tmp_path: Path) -> None:
    with knitter.opens(PURLSIDE_SOUND="off", PATH=str(tmp_path)) as terminal:
        to_row_3(terminal)
        terminal.press("a")
        terminal.settle(0.3)
        terminal.press("q")
        assert terminal.wait() == 0
        assert bells(terminal) == 0


# --- ends -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("end", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)], ids=lambda v: str(v)
)
def test_asked_to_end_it_saves_and_gives_the_screen_back(knitter: Knitter, end: signal.Signals, code: int) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        terminal.press("space")
        terminal.wait_for(STEPS[1])
        place = knitter.place
        terminal.kill(end)
        assert terminal.wait() == code
        assert terminal.restored
        assert not complaints(terminal)
    assert knitter.ledger[-1] == {**knitter.ledger[-1], "did": "close", "at": place}


def test_asked_to_end_in_a_flood_of_keys_it_ends(knitter: Knitter) -> None:
    """The pipe by which asyncio hears of signals is full of keys then."""
    for _ in range(3):
        with knitter.opens() as terminal:
            terminal.wait_for("Space done")
            terminal.write(b"wz" * 10_000)
            terminal.kill(signal.SIGTERM)
            assert terminal.wait() == 143
            assert terminal.restored
        assert knitter.ledger[-1]["did"] == "close"


@pytest.mark.parametrize("asked", [False, True], ids=["bedside", "in a question"])
def test_control_c_ends_it_with_the_place_kept(knitter: Knitter, asked: bool) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        if asked:
            terminal.press("g")
            terminal.wait_for("Go to row")
        terminal.press("ctrl+c")
        assert terminal.wait() == 130
        assert terminal.restored
        assert not complaints(terminal)
    assert knitter.place == "3.0"


def test_the_shelf_ends_on_request_too(knitter: Knitter) -> None:
    with knitter.opens(plan=False) as terminal:
        terminal.wait_for("Shelf of plans")
        terminal.kill(signal.SIGTERM)
        assert terminal.wait() == 143
        assert terminal.restored
        assert not complaints(terminal)


def test_a_terminal_window_closed_over_it_ends_it_with_the_place_kept(knitter: Knitter) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        terminal.press("space")
        terminal.wait_for(STEPS[1])
        place = knitter.place
        terminal.hang_up()
        assert terminal.wait() in (129, -signal.SIGHUP)
    assert knitter.place == place
    with knitter.opens() as terminal:
        terminal.wait_for(STEPS[1])


def test_a_terminal_closed_while_much_is_still_to_be_painted_keeps_no_one_waiting(knitter: Knitter) -> None:
    """What the program still wants to write has nowhere to go; it ends, and the plan is free for another window."""
    for _ in range(3):
        with knitter.opens(size=(200, 50)) as terminal:
            terminal.wait_for("Space done")
            for size in [(100, 30), (180, 45)] * 12:
                terminal.press("space", "backspace")
                terminal.resize(*size)
            terminal.hang_up()
            assert terminal.wait() in (129, -signal.SIGHUP)
        assert knitter.ledger[-1]["did"] == "close"
    assert not (knitter.home / "mistake.txt").exists()


def test_stopped_and_continued_it_is_drawn_again_and_ends_when_asked(knitter: Knitter) -> None:
    with knitter.opens() as terminal:
        to_row_3(terminal)
        for _ in range(2):
            terminal.kill(signal.SIGSTOP)
            terminal.raw.clear()
            terminal.kill(signal.SIGCONT)
            terminal.wait_for(lambda: b"\x1b[?1049h" in terminal.raw)
            terminal.press("space")
            terminal.wait_for(STEPS[1])
            terminal.press("backspace")
            terminal.wait_for(STEPS[0])
        terminal.press("q")
        assert terminal.wait() == 0
        assert terminal.restored
        assert not complaints(terminal)
