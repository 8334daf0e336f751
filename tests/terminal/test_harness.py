"""The harness itself: it must see what a person at the terminal sees."""

from __future__ import annotations

import re
import signal
import sys
import time
from pathlib import Path

import pytest

from tests.terminal.terminal import ALTERNATE_SCREEN, Ended, Terminal

TINY: list[str | Path] = [sys.executable, Path(__file__).with_name("tiny.py")]


def test_a_program_is_driven_by_keys_resized_and_left_with_the_terminal_restored() -> None:
    with Terminal(TINY, size=(60, 10)) as terminal:
        terminal.wait_for("counted 0 →")
        terminal.wait_for("60 by 10")
        assert ALTERNATE_SCREEN in terminal.modes
        assert not terminal.restored
        before = terminal.received
        terminal.press("space", "space", "pagedown", "f1", "f5", "backspace")
        terminal.wait_for(re.compile(r"counted 31\b"))
        assert terminal.received > before
        terminal.resize(100, 30)
        terminal.wait_for("100 by 30")
        assert len(terminal.lines) == 30
        terminal.wait_for(lambda: terminal.lines[0] == "counted 31 →")
        terminal.press("x")
        assert terminal.wait() == 3
        assert terminal.restored


def test_a_killed_program_is_seen_to_be_killed_and_to_have_left_the_terminal_as_it_was() -> None:
    with Terminal(TINY) as terminal:
        terminal.wait_for("counted 0")
        terminal.kill()
        assert terminal.wait() == -signal.SIGKILL
        assert not terminal.restored


def test_what_never_comes_is_reported_with_the_screen_as_it_stands() -> None:
    with Terminal(["/bin/sh", "-c", "printf 'half a \\033[1mscr'; printf een; sleep 60"]) as terminal:
        terminal.wait_for("half a screen")
        assert terminal.screen.buffer[0][7].bold
        assert not terminal.screen.buffer[0][0].bold
        with pytest.raises(AssertionError, match=r"without 'whole'\n.*\n│half a screen ") as raised:
            terminal.wait_for("whole", timeout=0.05)
        assert not isinstance(raised.value, Ended)
    with Terminal(["/bin/sh", "-c", "echo good; exit 7"]) as terminal:
        terminal.wait_for("good")
        with pytest.raises(Ended, match=r"(?s)ended \((7|None)\).*good"):
            terminal.wait_for("bye")
        assert terminal.wait() == 7


def test_a_closed_window_ends_the_program() -> None:
    with Terminal(["/bin/sh", "-c", "echo here; while read line; do echo; done"]) as terminal:
        terminal.wait_for("here")
        terminal.hang_up()
        assert terminal.wait() in (-signal.SIGHUP, 0, 1)


def test_the_terminal_answers_questions_and_hides_a_half_drawn_picture() -> None:
    """Also where a sequence arrives in pieces, and with sequences the screen model does not know."""
    script = (
        "import sys, time, tty; tty.setraw(0); out = sys.stdout\n"
        "def say(text): out.write(text); out.flush()\n"
        "say('\\x1b[?20'); time.sleep(0.05); say('26$p')\n"
        "answer = sys.stdin.buffer.raw.read(11)\n"
        "say('\\x1b[>1u\\x1b[<u\\x1b[?2026h' + repr(answer)); time.sleep(0.2); say(' drawn\\x1b[?2026l'); time.sleep(60)\n"
    )
    with Terminal([sys.executable, "-c", script]) as terminal:
        begun = time.monotonic()
        terminal.wait_for(r"b'\x1b[?2026;2$y'")
        assert terminal.lines[0] == r"b'\x1b[?2026;2$y' drawn"
        assert time.monotonic() - begun > 0.2


def test_more_keys_than_a_terminal_holds_all_arrive() -> None:
    script = "import sys, tty; tty.setraw(0); print('go', flush=True); print(len(sys.stdin.buffer.read(20000)))"
    with Terminal([sys.executable, "-c", script]) as terminal:
        terminal.wait_for("go")
        terminal.write(b" " * 20_000)
        terminal.wait_for("20000")
        assert terminal.wait() == 0
