"""What happened: an append-only file, one line an event, resumed from after any kind of end.

Each line is a JSON object with ``t`` (local time with offset), ``did``, ``at`` and
what belongs to the event; ``sum``, its last key, is the CRC-32 of all before it,
so that a changed byte is noticed. Lines without one are from before there were
any. A line is appended unbuffered before the step is shown, which outlives a
killed program; a thread brings it to the disk soon after, which outlives a
power cut. Lines that cannot be written stay in this program's memory, and are
read as if they were in the file.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import re
import stat
import threading
import time
import zlib
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from purlside.files.whole import PRIVATE, NotAFile, open_plain, settle
from purlside.keep.events import Event, read
from purlside.keep.folders import Lock, about, lock, unlock
from purlside.knitting.cursor import Place
from purlside.text.counts import counted
from purlside.values import Value

BLOCK = 1 << 16
LONGEST_LINE = 4_000_000
"""Bytes of one line; what is longer is none of ours."""
LONGEST_WAIT = 5.0
"""Seconds that closing waits for the last lines to reach the disk; a disk may never answer."""

AWAY = (
    "The disk with your ledger is not where it was: unmounted? Steps still go to it as far as it takes them; "
    "put it back before you leave"
)
"""What is said then."""

_BEGIN = b'{"t": "'
_SUM = re.compile(rb', "sum": "([0-9a-f]{8})"}$')

_UNSAVED: dict[Path, list[bytes]] = {}
"""The lines of each ledger that no disk has taken yet, oldest first."""
_OPEN: set[Path] = set()
"""The ledgers that are open in this program."""
_AWAY: dict[Path, bytes] = {}
"""The last line of each ledger that was closed while its disk was away."""


class Clock(Value):
    """What tells the time."""

    now: Callable[[], datetime] = lambda: datetime.now().astimezone()
    """Local time, with its offset."""
    monotonic: Callable[[], float] = time.monotonic
    """Seconds, never set back."""


CLOCK = Clock()


class Entry(Value):
    """One line of the ledger: when, and what happened."""

    when: datetime
    event: Event

    def line(self) -> bytes:
        event = self.event
        text = json.dumps(
            {"t": self.when.isoformat(timespec="microseconds"), "did": event.name, "at": str(event.at), **event.json()}
        ).encode()[:-1]
        return text + b', "sum": "%08x"}\n' % zlib.crc32(text)

    @classmethod
    def read(cls, line: bytes) -> Entry | None:
        """The entry of a line, or None for a line that is torn, damaged or not ours."""
        line = line.rstrip(b"\r\n")
        if (found := _SUM.search(line)) and zlib.crc32(line[: found.start()]) != int(found[1], 16):
            return None
        try:
            data = json.loads(line)
            if (data.pop("sum", None) is None) == bool(found):
                return None
            when = datetime.fromisoformat(data.pop("t"))
            did, at = str(data.pop("did")), Place.parse(str(data.pop("at")))
            return cls(when.astimezone() if when.tzinfo is None else when, read(did, at, data))
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError):
            return None


class Damaged(Value):
    """A line that cannot be read."""

    line: bytes


def not_saved() -> list[str]:
    """What no disk has taken of each ledger, after trying once more, with the place to remember."""
    for path, lines in _UNSAVED.items():
        if lines and path not in _OPEN:
            left = Ledger(path)
            left.save()
            left.close()
    told = [
        _to_remember(path, f"{counted(len(lines), 'step')} of {{}} not saved", lines[-1])
        for path, lines in _UNSAVED.items()
        if lines
    ]
    return told + [_to_remember(path, "the disk with the ledger of {} is away", line) for path, line in _AWAY.items()]


def _to_remember(path: Path, what: str, line: bytes) -> str:
    last = Entry.read(line)
    assert last is not None
    row, done = last.event.at
    moves = f", {counted(done, 'move')} of it made" if done else ""
    return f"{what.format(path.stem.rpartition('-')[0])}: you are at row {row:,}{moves}. Remember it"


def entries(path: Path) -> Iterator[Entry]:
    """All entries of a ledger that can be read, oldest first. Raises OSError."""
    return reversed(list(entries_backwards(path)))


def entries_backwards(path: Path) -> Iterator[Entry]:
    """All entries of a ledger that can be read, newest first, as far as asked for. Raises OSError."""
    yield from (line for line in backwards(path) if isinstance(line, Entry))


def backwards(path: Path) -> Iterator[Entry | Damaged]:
    """The lines of a ledger, newest first, read from the end as far as asked for. Raises OSError.

    A line that writing broke off is no damage, and left out: the last one, and one that the line after it says whole.
    """
    unsaved = [line for lines in _UNSAVED.get(path, ()) for line in lines.splitlines()]
    yield from filter(None, map(Entry.read, reversed(unsaved)))
    after: bytes | None = None
    for line in _lines_backwards(path):
        if entry := Entry.read(line):
            yield entry
        elif line and not (_broken_off(line) if after is None else after.startswith(line)):
            yield Damaged(line)
        after = line


def _broken_off(line: bytes) -> bool:
    """Whether the last line of a file is the beginning of one of ours, as a kill leaves it; a power cut leaves zeros."""
    return line.startswith(_BEGIN[: len(line)]) and b"\0" not in line


def _lines_backwards(path: Path) -> Iterator[bytes]:
    with open_plain(path) as stream:
        end = stream.seek(0, os.SEEK_END)
        parts: list[bytes] = []
        while end > 0:
            start = max(0, end - BLOCK)
            stream.seek(start)
            first, *others = stream.read(end - start).split(b"\n")
            for other in reversed(others):
                yield b"".join((other, *reversed(parts)))
                parts = []
            parts.append(first)
            if len(parts) * BLOCK > LONGEST_LINE:
                parts = [b"\0"]
            end = start
        yield b"".join(reversed(parts))


class Ledger:
    """An open ledger, locked against a second writer.

    ``read_only`` says that another window writes it. ``trouble`` says in words
    what is not saved; it is None while everything is. Steps that could not be
    written are kept and tried again with the next one. ``unlocked`` says that
    the disk has no locks: another window is not noticed. ``opened`` counts the
    files opened: it changes when the file was removed or replaced meanwhile.
    ``content`` tells the file's content, as :func:`folders.about`, from before
    anything of it was read.
    """

    def __init__(self, path: Path, clock: Clock = CLOCK) -> None:
        self.path = path
        self.clock = clock
        self.unlocked = False
        self.read_only = False
        self.trouble: str | None = None
        self.away = False
        """Whether the disk of the file was not where it was, at the last step."""
        self.opened = 0
        self.content: tuple[int, ...] | None = None
        self._unsaved = _UNSAVED.setdefault(path, [])
        self._torn = self._new = False
        self._last = b""
        """The last line appended."""
        self._handle: int | None = None
        self._letting_go = threading.Lock()
        """Held while a handle is closed, or one like it made for the thread."""
        self._written = threading.Event()
        self._closing = False
        self._thread: threading.Thread | None = None
        self._waking = False
        _OPEN.add(path)
        self.later: Callable[[Callable[[], None]], object] = lambda wake: wake()
        """How the thread that brings lines to the disk is woken: at once, or after what matters more."""
        self._open()

    def _open(self) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._new = self._new or not os.path.exists(self.path)
            flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
            self._handle = os.open(self.path, flags, PRIVATE)
            if not stat.S_ISREG(os.fstat(self._handle).st_mode):
                raise NotAFile(0, f"{self.path} is no plain file")
        except OSError as error:
            self._let_go()
            self._say(error)
            return
        self.content = about(self.path)
        asked = lock(self._handle)
        self.unlocked = asked is Lock.NONE
        if asked is Lock.TAKEN:
            self._let_go()
            self.read_only = True
            return
        self.opened += 1
        size = os.fstat(self._handle).st_size
        self._torn = bool(size) and os.pread(self._handle, 1, size - 1) != b"\n"

    def take_over(self) -> bool:
        """Try to write a ledger that another window wrote; False while it still does."""
        if self.read_only:
            self.read_only = False
            self._open()
        return not self.read_only

    @property
    def safe(self) -> bool:
        """Whether every step is where it will be found again."""
        return not self._unsaved and not self.away

    def append(self, event: Event) -> None:
        """Write what happened; it is in the file when this returns, or ``trouble`` says why not."""
        if self.read_only:
            return
        self._last = Entry(self.clock.now(), event).line()
        self._unsaved.append(self._last)
        self.save()

    def save(self) -> None:
        """Try again to write what is not saved."""
        try:
            self.away = self._handle is not None and self._is_away()
            if not self.away and (self._handle is None or self._moved()):
                self._reopen()
            if self._handle is None:
                return
            while self._unsaved:
                self._write(self._unsaved[0])
                self._unsaved.pop(0)
        except OSError as error:
            self._say(error)
            return
        self.trouble = AWAY if self.away else None
        self._sync_soon()

    def _write(self, line: bytes) -> None:
        assert self._handle is not None
        whole = b"\n" + line if self._torn else line
        self._torn = True
        sent = 0
        while sent < len(whole):
            sent += os.write(self._handle, whole[sent:])
        self._torn = False

    def _is_away(self) -> bool:
        """Whether the disk the file is on is not where it was: another one, or none, is in its place."""
        assert self._handle is not None
        folder = next(one for one in self.path.parents if one.exists())
        return os.stat(folder).st_dev != os.fstat(self._handle).st_dev

    def _moved(self) -> bool:
        """Whether the file was removed or replaced under us."""
        assert self._handle is not None
        try:
            return os.stat(self.path).st_ino != os.fstat(self._handle).st_ino
        except FileNotFoundError:
            return True

    def _reopen(self) -> None:
        """Go on in a new file, beginning with everything the old one holds if it is gone."""
        old = self._handle
        kept = b""
        if old is not None and not os.path.exists(self.path):
            with contextlib.suppress(OSError):
                kept = os.pread(old, os.fstat(old).st_size, 0)
        self._open()
        if self._handle is not None and kept:
            self._unsaved[:0] = kept.splitlines(keepends=True)
        if old is not None:
            with contextlib.suppress(OSError), self._letting_go:
                os.close(old)

    def _say(self, error: OSError) -> None:
        count = len(self._unsaved)
        steps = f"{counted(count, 'step')} not saved" if count else "nothing can be saved"
        self.trouble = (
            f"{steps}: {error.strerror or error}. Earlier steps are safe; this is tried again with each step."
        )

    # --- to the disk -------------------------------------------------------

    def _sync_soon(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._syncing, name="ledger", daemon=True)
            self._thread.start()
        if not self._waking:
            self._waking = True
            self.later(self._wake)

    def _wake(self) -> None:
        self._waking = False
        self._written.set()

    def _syncing(self) -> None:
        while True:
            self._written.wait()
            self._written.clear()
            try:
                self._sync()
            except OSError as error:
                # Some file systems cannot; only a disk that has no room or is broken is worth a word.
                if error.errno in (errno.EIO, errno.ENOSPC, errno.EDQUOT):
                    self.trouble = f"Not yet safe from a power cut: {error.strerror}. This is tried again."
            if self._closing:
                return

    def _sync(self) -> None:
        # By a handle of its own: the ledger's may be closed, and its number be another file's, before the disk answers.
        with self._letting_go:
            if self._handle is None:
                return
            mine = os.dup(self._handle)
        try:
            os.fsync(mine)
        finally:
            os.close(mine)
        if self._new:
            settle(self.path.parent)
            self._new = False

    def close(self) -> None:
        """Bring the last step to the disk, as far as the disk answers, and let the file go."""
        if self._unsaved and not self.read_only:
            self.save()
        _OPEN.discard(self.path)
        if self.away and self._last:
            _AWAY[self.path] = self._last
        self._closing = True
        if self._thread is not None:
            self._written.set()
            self._thread.join(LONGEST_WAIT)
        with self._letting_go:
            self._let_go()

    def _let_go(self) -> None:
        if self._handle is not None:
            unlock(self._handle)
            os.close(self._handle)
            self._handle = None
