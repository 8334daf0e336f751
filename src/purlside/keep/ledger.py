"""What happened: an append-only file, one line a step, resumed from after any kind of end.

Each line is a JSON object with ``t`` (local time with offset), ``did`` and what
belongs to it. A line is appended unbuffered before the step is shown, which
outlives a killed program; a thread brings it to the disk soon after, which
outlives a power cut. A torn line is ignored when reading.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from purlside.keep.folders import about

BLOCK = 1 << 16
LONGEST_WAIT = 5.0
"""Seconds that closing waits for the last lines to reach the disk; a disk may never answer."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line: when, what, where (``"row.moves done"``) and what else belongs to it."""

    when: datetime
    did: str
    at: str
    more: dict[str, Any] = field(default_factory=dict)

    def line(self) -> bytes:
        text = json.dumps(
            {"t": self.when.isoformat(timespec="microseconds"), "did": self.did, "at": self.at, **self.more}
        )
        return text.encode() + b"\n"

    @classmethod
    def read(cls, line: bytes) -> Entry | None:
        """The entry of a line, or None for a line that is torn or not ours."""
        try:
            data = json.loads(line)
            when = datetime.fromisoformat(data.pop("t"))
            return cls(
                when.astimezone() if when.tzinfo is None else when, str(data.pop("did")), str(data.pop("at")), data
            )
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            return None


def entries(path: Path) -> Iterator[Entry]:
    """All entries of a ledger file, oldest first. Raises OSError."""
    with path.open("rb") as stream:
        for line in stream:
            if (entry := Entry.read(line)) is not None:
                yield entry


def entries_backwards(path: Path) -> Iterator[Entry]:
    """The entries of a ledger file, newest first, read from the end as far as asked for. Raises OSError."""
    with path.open("rb") as stream:
        end = stream.seek(0, os.SEEK_END)
        tail = b""
        while end > 0:
            start = max(0, end - BLOCK)
            stream.seek(start)
            block = stream.read(end - start) + tail
            head, *lines = block.split(b"\n")
            for line in reversed(lines):
                if line and (entry := Entry.read(line)) is not None:
                    yield entry
            tail, end = head, start
        if tail and (entry := Entry.read(tail)) is not None:
            yield entry


def last_place(path: Path) -> str | None:
    """Where the knitter left off, as written; None if nothing can be read."""
    try:
        return next((entry.at for entry in entries_backwards(path) if entry.at), None)
    except OSError:
        return None


class Ledger:
    """An open ledger, locked against a second writer.

    ``read_only`` says that another window writes it. ``trouble`` says in words
    what is not saved; it is None while everything is. Steps that could not be
    written are kept and tried again with the next one. ``opened`` counts the
    files opened: it changes when the file was removed or replaced meanwhile.
    ``found`` tells the file's content, as :func:`folders.about`, from before
    anything of it was read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.read_only = False
        self.trouble: str | None = None
        self.opened = 0
        self.found: tuple[int, ...] | None = None
        self._unsaved: list[bytes] = []
        self._torn = False
        self._handle: int | None = None
        self._letting_go = threading.Lock()
        """Held while a handle is closed, or one like it made for the thread."""
        self._written = threading.Event()
        self._closing = False
        self._thread: threading.Thread | None = None
        self._waking = False
        self.later: Callable[[Callable[[], None]], object] = lambda wake: wake()
        """How the thread that brings lines to the disk is woken: at once, or after what matters more."""
        self._open()

    def _open(self) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._handle = os.open(self.path, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        except OSError as error:
            self._handle = None
            self._say(error)
            return
        self.found = about(self.path)
        if not _locked(self._handle):
            os.close(self._handle)
            self._handle = None
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

    def append(self, did: str, at: str, **more: Any) -> None:
        """Write a step; it is in the file when this returns, or ``trouble`` says why not."""
        if self.read_only:
            return
        self._unsaved.append(Entry(datetime.now().astimezone(), did, at, more).line())
        self._save()

    def _save(self) -> None:
        try:
            if self._handle is None or self._moved():
                self._reopen()
            if self._handle is None:
                return
            while self._unsaved:
                self._write(self._unsaved[0])
                self._unsaved.pop(0)
        except OSError as error:
            self._say(error)
            return
        self.trouble = None
        self._sync_soon()

    def _write(self, line: bytes) -> None:
        assert self._handle is not None
        whole = b"\n" + line if self._torn else line
        self._torn = True
        sent = 0
        while sent < len(whole):
            sent += os.write(self._handle, whole[sent:])
        self._torn = False

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
        if old is not None and not self.path.exists():
            with contextlib.suppress(OSError):
                kept = os.pread(old, os.fstat(old).st_size, 0)
        self._open()
        if self._handle is not None and kept:
            self._unsaved.insert(0, kept if kept.endswith(b"\n") else kept + b"\n")
        if old is not None:
            with contextlib.suppress(OSError), self._letting_go:
                os.close(old)

    def _say(self, error: OSError) -> None:
        count = len(self._unsaved)
        steps = f"{count} step{'s' if count != 1 else ''} not saved" if count else "nothing can be saved"
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

    def close(self) -> None:
        """Bring the last step to the disk, as far as the disk answers, and let the file go."""
        self._closing = True
        if self._thread is not None:
            self._written.set()
            self._thread.join(LONGEST_WAIT)
        if self._handle is not None:
            with self._letting_go:
                _unlocked(self._handle)
                os.close(self._handle)
                self._handle = None


def _locked(handle: int) -> bool:
    """Take the lock that ends with this process; False if another holds it."""
    try:
        import fcntl
    except ImportError:  # Windows: no lock that outlives nothing but the process
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _unlocked(handle: int) -> None:
    """Let the lock go, even while the thread still has a handle of the file."""
    with contextlib.suppress(ImportError, OSError):
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_UN)
