"""Whatever a terminal sends, the program goes on: nearly-keys, bytes that are no text, pastes without an end."""

from __future__ import annotations

import contextlib
import fcntl
import os
import random
import signal
import struct
import termios
import time
from pathlib import Path

import pytest
from textual.events import Key, Paste

from purlside.app.input import LONGEST_PASTE, Keys
from purlside.keep import panels
from purlside.keep.ledger import Entry, backwards
from tests.sessions import opened, written
from tests.terminal.terminal import Ended, purlside

BYTES = int(os.environ.get("PURLSIDE_BYTES", "20000"))
"""Bytes of rubbish sent to the real program."""
A_SESSION = 50_000
"""Bytes of them to one session at most; then it is asked to end, and opened anew on the ledger it left."""
ENDS = (0, 130, 143)
"""Exit codes of a program that was left, interrupted or asked to end."""

NEARLY = [
    b"\xf6",
    b"\xc3",
    b"\x1b[1114112u",
    b"\x1b[57441;2:3u",
    b"\x1b[97:98:99;5:3u",
    b"\x1b[27;5;99999999~",
    b"\x1b[55296u",
    b"\x1b[0;0;1114112u",
    b"\x1b[M\xff\xff\xff",
    b"\x1b[<99999999;99999999;99999999M",
    b"\x1b[48;99999;99999;0;0t",
    b"\x1b[48;0;0;0;0t\x1b[<0;5;5M",
    b"\x1b[99999999;99999999R",
    b"\x1b[?2026;99$y\x1b[?2048;9$y",
    b"\x1b\x1b\x1b[",
    b"\x1bP" + b"x" * 100,
    b"\x1bP>|qqq\x1b\\\x1b_Gq\x1b\\\x1b]11;rgb:qqqq\x07",
    b"\x00\x80\x9b\xff",
]

PIECES = [
    *NEARLY,
    b"\x1b[",
    b"\x1bO",
    b"\x1b[<",
    b"\x1b[M",
    b"\x1b[200~",
    b"\x1b[201~",
    b"\x1b[?",
    b"u",
    b"~",
    b"M",
    b";",
    b":",
    b"1",
    b"99999",
    b"\xe9",
    b"\xff",
    b" ",
    b"\r",
]


def rubbish(chance: random.Random, size: int) -> bytes:
    """Bytes as no terminal sends them, some of them pieces of what terminals send."""
    found = bytearray()
    while len(found) < size:
        found += chance.choice(PIECES) if chance.random() < 0.4 else chance.randbytes(chance.randint(1, 12))
    return bytes(found)


def keys_of(data: bytes, encoding: str = "utf-8") -> list[str]:
    return [message.key for message in Keys(encoding).take(data) if isinstance(message, Key)]


@pytest.mark.parametrize("data", NEARLY)
def test_after_what_is_nearly_a_key_the_next_key_counts(data: bytes) -> None:
    keys = Keys()
    list(keys.take(data))
    time.sleep(0.12)
    list(keys.tick())
    found = [m.key for m in keys.take(b"  ") if isinstance(m, Key)]
    assert "space" in found


def test_what_a_terminal_tells_of_itself_is_not_typed() -> None:
    assert keys_of(b"\x1bP>|quilt(1)\x1b\\g") == ["g"]
    assert keys_of(b"\x1b]11;rgb:00/00/00\x07g\x1b_q\x1b\\") == ["g"]


def test_a_terminal_larger_than_any_wall_is_not_filled(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    with purlside(plan) as terminal:
        terminal.wait_for("?")
        fcntl.ioctl(terminal._master, termios.TIOCSWINSZ, struct.pack("HHHH", 65535, 65535, 0, 0))
        terminal.read(1.0)
        terminal.resize(100, 30)
        terminal.press("space")
        terminal.wait_for(lambda: panels.of(plan).place == (2, 0))


def test_a_million_bytes_of_rubbish_end_nothing() -> None:
    chance = random.Random(15)
    keys, given = Keys(), 0
    for _ in range(250):
        for message in keys.take(rubbish(chance, 4096)):
            if isinstance(message, Key):
                given += 1
                (message.character or "").encode()
        list(keys.tick())
    assert given > 10_000


def test_a_letter_in_latin_1_is_that_letter() -> None:
    assert keys_of(b"caf\xe9 ") == ["c", "a", "f", "é", "space"]
    assert keys_of("é".encode()) == ["é"]
    assert keys_of(b"\xa4", "iso8859-15") == ["euro_sign"]


def test_a_paste_without_an_end_is_ended() -> None:
    keys = Keys()
    assert not list(keys.take(b"\x1b[200~pasted"))
    keys._pasting = time.monotonic() - LONGEST_PASTE - 1
    (paste,) = keys.tick()
    assert isinstance(paste, Paste) and paste.text == "pasted"
    assert [m.key for m in keys.take(b"g") if isinstance(m, Key)] == ["g"]


def test_a_paste_with_an_end_is_whole() -> None:
    keys = Keys()
    found = [m for m in keys.take(b"\x1b[200~pas") if isinstance(m, Paste)]
    found += [m for m in keys.take(b"ted\x1b[201~a") if isinstance(m, Paste)]
    assert [paste.text for paste in found] == ["pasted"]


@pytest.mark.parametrize("data", NEARLY)
def test_the_real_program_goes_on(home: Path, tmp_path: Path, data: bytes) -> None:
    plan = written(tmp_path)
    opened(plan).close()
    with purlside(plan) as terminal:
        terminal.wait_for("?")
        terminal.settle()
        terminal.write(data)
        terminal.settle(0.3)
        terminal.press("escape")
        terminal.settle(0.3)
        before = panels.of(plan).ledger.stat().st_size
        terminal.press("space")
        terminal.wait_for(lambda: panels.of(plan).ledger.stat().st_size > before)


def test_the_real_program_survives_rubbish(home: Path, tmp_path: Path) -> None:
    """Among the rubbish are keys that end it: then it is opened again, at its place; never does it fail or fall silent."""
    plan = written(tmp_path)
    chance, sent = random.Random(51), 0
    while sent < BYTES:
        with purlside(plan, cwd=tmp_path) as terminal:
            terminal.wait_for("?")
            begun = sent
            with contextlib.suppress(Ended, OSError):
                while sent < min(BYTES, begun + A_SESSION) and terminal.process.poll() is None:
                    # Keys that end or suspend it are left out as far as they are plain.
                    data = rubbish(chance, 2000).translate(None, b"\x03\x11\x1a\x1cq")
                    terminal.write(data)
                    sent += len(data)
                    terminal.read(0.05)
            if terminal.process.poll() is None:
                terminal.settle(0.3, timeout=60)
                assert terminal.process.poll() in (None, *ENDS), terminal.text
                terminal.kill(signal.SIGTERM)
            assert terminal.wait(30) in ENDS, terminal.text
            assert b"Traceback" not in terminal.raw and b"mistake of its own" not in terminal.raw, terminal.text
            assert not (home / "mistake.txt").exists()
            lines = list(backwards(panels.of(plan).ledger))
            assert lines and all(isinstance(line, Entry) for line in lines), "every line of the ledger is whole"
    with purlside(plan) as terminal:
        terminal.wait_for("?")
