"""Runs a program in a pseudo-terminal and reads the screen it draws.

    with purlside("plan.toml", size=(80, 24)) as terminal:
        terminal.wait_for("Plain row")
        terminal.press("space", "space", "g")
        terminal.resize(100, 30)
        terminal.kill()

Time passes only by waiting for output; nothing sleeps for a guess. The bytes
are counted and looked through as they come; the screen is drawn from them when
somebody asks for it, so measuring does not pay for drawing.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any

import pyte

from purlside.shown.capitals import capitals

TIMEOUT = 15.0
"""Seconds to wait for something that should happen at once: long, for machines under load."""

KEYS: dict[str, bytes] = {
    "enter": b"\r",
    "tab": b"\t",
    "shift+tab": b"\x1b[Z",
    "space": b" ",
    "backspace": b"\x7f",
    "escape": b"\x1b",
    "up": b"\x1b[A",
    "down": b"\x1b[B",
    "right": b"\x1b[C",
    "left": b"\x1b[D",
    "home": b"\x1b[H",
    "end": b"\x1b[F",
    "insert": b"\x1b[2~",
    "delete": b"\x1b[3~",
    "pageup": b"\x1b[5~",
    "pagedown": b"\x1b[6~",
    **{f"f{n}": b"\x1bO" + letter.encode() for n, letter in enumerate("PQRS", 1)},
    **{f"f{n}": f"\x1b[{code}~".encode() for n, code in enumerate((15, 17, 18, 19, 20, 21, 23, 24), 5)},
    **{f"ctrl+{letter}": bytes([number]) for number, letter in enumerate("abcdefghijklmnopqrstuvwxyz", 1)},
}
"""Names of keys and what a terminal sends for them. A single character stands for itself."""

ALTERNATE_SCREEN = 1049
CURSOR_SHOWN = 25
FRAME = 2026
"""Private modes as terminals number them; ``FRAME`` is on while a program draws one picture in several writes."""

_ASKED_OR_SET = re.compile(rb"\x1b\[([<=>?])([0-9;]*)(\$?)([@-~])")
_BEGUN = re.compile(rb"\x1b(?:\[(?:[<=>?][0-9;]*\$?)?)?\Z")


class Ended(AssertionError):
    """The program ended while something else was waited for."""


class Terminal:
    """A program on a terminal of ``size`` columns and rows.

    It starts with this process's environment, a colour terminal, UTF-8 and all
    sound off; ``env`` changes that, None removes a variable. The terminal
    answers like a modern one: it can hold back a picture until it is complete.
    """

    def __init__(
        self,
        argv: Sequence[str | Path],
        *,
        env: Mapping[str, str | None] | None = None,
        size: tuple[int, int] = (80, 24),
        cwd: Path | None = None,
    ) -> None:
        self.received = 0
        """Bytes the program has written so far."""
        self.last_read = 0.0
        """When the last of them came (time.perf_counter)."""
        self.modes: set[int] = {CURSOR_SHOWN}
        """Private modes now set."""
        self.raw = bytearray()
        """All bytes written; may be cleared."""
        self._undrawn = bytearray()
        self._begun = b""
        self._open = True
        self._screen: Any = pyte.Screen(*size)
        self._stream: Any = pyte.ByteStream(self._screen)
        self._master, slave = os.openpty()
        try:
            fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
            self.process = subprocess.Popen(
                [str(word) for word in argv],
                stdin=slave,
                stdout=slave,
                stderr=slave,
                cwd=cwd,
                env=environment(env),
                start_new_session=True,
                preexec_fn=_take_terminal,
            )
        except BaseException:
            os.close(self._master)
            raise
        finally:
            os.close(slave)
        os.set_blocking(self._master, False)

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # What the knitter does

    def press(self, *keys: str) -> None:
        """Sends keys by name, as in ``KEYS``, or as single characters."""
        self.write(b"".join(KEYS[key] if len(key) > 1 else key.encode() for key in keys))

    def write(self, data: bytes) -> None:
        """Sends bytes as typed."""
        while data:
            try:
                data = data[os.write(self._master, data) :]
            except BlockingIOError:
                # The program does not read its keys: make room by reading what it says.
                self.read(0.05)

    def resize(self, columns: int, rows: int) -> None:
        """Changes the size; the system tells the program (SIGWINCH)."""
        self._draw()
        self._screen.resize(rows, columns)
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def kill(self, how: signal.Signals = signal.SIGKILL) -> None:
        """Sends a signal to the program, by default one it cannot answer."""
        self.process.send_signal(how)

    def hang_up(self) -> None:
        """Closes the terminal window under the program."""
        if self._master >= 0:
            os.close(self._master)
        self._master = -1
        self._open = False

    # What is waited for

    def read(self, timeout: float = 0.0) -> int:
        """Takes what the program has written, waiting for its first byte at most ``timeout``
        seconds. Gives the number of bytes; 0 when nothing came or the program let go of the terminal."""
        if not self._open or not select.select([self._master], [], [], timeout)[0]:
            return 0
        try:
            data = os.read(self._master, 1 << 16)
        except BlockingIOError:
            return 0
        except OSError as error:
            if error.errno != errno.EIO:
                raise
            data = b""
        if not data:
            self._open = False
            return 0
        self.last_read = time.perf_counter()
        self.received += len(data)
        self.raw += data
        self._take(data)
        return len(data)

    def wait_for(self, what: str | re.Pattern[str] | Callable[[], bool], timeout: float = TIMEOUT) -> None:
        """Waits until the screen shows a text or a pattern, or a condition holds, between two pictures.
        Raises AssertionError with the screen as it stands; ``Ended`` if the program ended before."""
        deadline = time.monotonic() + timeout
        while True:
            if FRAME not in self.modes and self._shows(what):
                return
            left = deadline - time.monotonic()
            if self.read(max(0.0, min(left, 0.1))):
                continue
            if not self._open or self.process.poll() is not None:
                if self._shows(what):
                    return
                raise Ended(f"the program ended ({self.process.poll()}) before {_name(what)}\n{self}")
            if left <= 0:
                raise AssertionError(f"{timeout:g} s without {_name(what)}\n{self}")

    def settle(self, quiet: float = 0.1, timeout: float = TIMEOUT) -> None:
        """Reads until the program has written nothing for ``quiet`` seconds."""
        deadline = time.monotonic() + timeout
        while self.read(quiet):
            if time.monotonic() > deadline:
                raise AssertionError(f"still drawing after {timeout:g} s\n{self}")

    def wait(self, timeout: float = TIMEOUT) -> int:
        """The exit code, once the program has ended; minus the signal's number if one ended it."""
        deadline = time.monotonic() + timeout
        while (code := self.process.poll()) is None:
            if time.monotonic() > deadline:
                raise AssertionError(f"still running after {timeout:g} s\n{self}")
            if not self.read(0.02) and not self._open:
                try:
                    return self.process.wait(max(0.0, deadline - time.monotonic()))
                except subprocess.TimeoutExpired:
                    continue
        while self.read():
            pass
        return code

    def close(self) -> None:
        """Ends the program, whatever it does, and gives the terminal back."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.hang_up()

    # What is seen

    @property
    def lines(self) -> list[str]:
        """The screen's rows, without the blanks at their ends."""
        self._draw()
        return [line.rstrip() for line in self._screen.display]

    @property
    def text(self) -> str:
        return "\n".join(self.lines)

    @property
    def screen(self) -> Any:
        """The ``pyte.Screen``: colours and attributes are in its ``buffer[row][column]``."""
        self._draw()
        return self._screen

    @property
    def restored(self) -> bool:
        """Whether the terminal is as a shell wants it: main screen, cursor, no mouse reports, no focus reports."""
        return not self.modes & {ALTERNATE_SCREEN, 1000, 1002, 1003, 1004, 1006} and CURSOR_SHOWN in self.modes

    def __str__(self) -> str:
        wide = self._screen.columns
        rows = "\n".join(f"│{line.ljust(wide)}│" for line in self.lines)
        return f"┌{'─' * wide}┐\n{rows}\n└{'─' * wide}┘"

    def _shows(self, what: str | re.Pattern[str] | Callable[[], bool]) -> bool:
        if isinstance(what, str):
            return what in self.text
        if isinstance(what, re.Pattern):
            return what.search(self.text) is not None
        return what()

    def _take(self, data: bytes) -> None:
        """Follows modes, answers questions, and keeps from the screen what pyte would print as text."""
        data = self._begun + data
        begun = _BEGUN.search(data)
        self._begun = begun.group() if begun else b""
        whole = data[: len(data) - len(self._begun)]
        self._undrawn += _ASKED_OR_SET.sub(self._private, whole)

    def _private(self, found: re.Match[bytes]) -> bytes:
        mark, numbers, asked, final = found.groups()
        if mark != b"?":
            return b""
        modes = {int(number) for number in numbers.split(b";") if number}
        if asked:
            for mode in modes:
                self.write(b"\x1b[?%d;%d$y" % (mode, 2 if mode == FRAME else 0))
            return b""
        if final == b"h":
            self.modes |= modes
        elif final == b"l":
            self.modes -= modes
        return found.group()

    def _draw(self) -> None:
        if self._undrawn:
            data, self._undrawn = bytes(self._undrawn), bytearray()
            self._stream.feed(data)


def purlside(*words: str | Path, **more: Any) -> Terminal:
    """The program itself, as typed with these words; ``more`` is the terminal's."""
    return Terminal([sys.executable, "-m", "purlside", *words], **more)


def environment(changes: Mapping[str, str | None] | None = None) -> dict[str, str]:
    """This process's environment as a knitter's terminal would have it, with changes; None removes."""
    wanted: dict[str, str | None] = {
        **os.environ,
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        "LANG": "C.UTF-8",
        "LC_ALL": "C.UTF-8",
        "PURLSIDE_SOUND": "off",
        "NO_COLOR": None,
        "COLUMNS": None,
        "LINES": None,
        **(changes or {}),
    }
    if (home := wanted.get("PURLSIDE_HOME")) is not None:
        _hurried(Path(home))
    return {name: value for name, value in wanted.items() if value is not None}


def _hurried(home: Path) -> None:
    """Tests press keys as fast as a key held down: where nothing else is set, each of them counts."""
    if not os.path.exists(home / "settings.toml"):
        with contextlib.suppress(OSError):
            home.mkdir(exist_ok=True)
            (home / "settings.toml").write_text("guard_ms = 0\n", "utf-8")


def _take_terminal() -> None:
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def _name(what: str | re.Pattern[str] | Callable[[], bool]) -> str:
    if isinstance(what, str):
        return repr(what)
    return what.pattern if isinstance(what, re.Pattern) else getattr(what, "__name__", "the condition")


def at_row(terminal: Terminal, row: int) -> Callable[[], bool]:
    """Whether the bedside stands at a row, whose number it draws large."""
    return lambda: all(
        re.search(rf"^  {re.escape(line.rstrip())}(  |$)", terminal.text, re.MULTILINE) for line in capitals(str(row))
    )
