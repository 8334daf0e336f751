"""One store: where a user's settings, ledgers and shelf are kept, how they are written, and one lock for all of it.

A lock ends with the process that holds it, however that ends. It is written here
and not taken from a library: the one that is well kept takes a disk without locks
for one that is locked, and waits for ever.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import time
from collections.abc import Callable, Iterator
from enum import Enum
from pathlib import Path
from typing import Any, TypeVar

from purlside.files.whole import PRIVATE, read_whole, write_whole

T = TypeVar("T")

HOME = "PURLSIDE_HOME"
"""Environment variable: one folder for everything kept, instead of the system's own places."""


def config() -> Path:
    """The folder of the settings file."""
    if home := os.environ.get(HOME):
        return Path(home)
    import platformdirs

    return platformdirs.user_config_path("purlside", appauthor=False)


def data() -> Path:
    """The folder of ledgers and the shelf."""
    if home := os.environ.get(HOME):
        return Path(home)
    import platformdirs

    return platformdirs.user_data_path("purlside", appauthor=False)


def about(path: Path) -> tuple[int, ...] | None:
    """What tells one content of a file from another without reading it; None where there is no file."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns


def keep(path: Path, content: bytes, *, settled: bool = True) -> None:
    """Keep a file all at once, for this user's eyes alone; see :func:`purlside.files.whole.write_whole`. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, content, mode=PRIVATE, settled=settled)


UNREADABLE = (OSError, ValueError, LookupError, TypeError, AttributeError, OverflowError, RecursionError)
"""What comes of reading a file that is not there, or holds something else than one of ours."""


def read_json(path: Path, read: Callable[[Any], T], otherwise: T, most: int | None = None) -> T:
    """What a JSON file says, as ``read`` takes it; ``otherwise`` where it is not there, or says something else."""
    try:
        return read(json.loads(read_whole(path, most)))
    except UNREADABLE:
        return otherwise


def listed(folder: Path, pattern: str) -> list[Path]:
    """The files of a folder that match; none where the folder cannot be read."""
    try:
        return sorted(folder.glob(pattern))
    except OSError:
        return []


def told(folder: Path) -> str:
    """A folder as it is told on screen: whole, but a user's own home as ``~``."""
    whole = os.path.abspath(folder)
    home = os.path.expanduser("~")
    return f"~{whole[len(home) :]}" if home != "~" and (whole == home or whole.startswith(home + os.sep)) else whole


MOST_TEXT = 200_000
"""Bytes of a pattern's text that are read. A limit of ours, some hundred pages."""


def text_of(path: str, most: int = MOST_TEXT) -> str:
    """A file's text, at most so many bytes. Raises OSError for none, or too long a one, and UnicodeDecodeError."""
    place = Path(os.path.expanduser(path))
    if not place.is_file():
        raise FileNotFoundError(2, "no such file")
    if place.stat().st_size > most:
        raise OSError(27, f"more than {most:,} bytes")
    return place.read_bytes().decode("utf-8-sig")


PATIENCE = 5.0
"""Seconds that other windows are waited for."""

_FAR = 1 << 40
"""The byte that is locked on Windows, where a locked byte cannot be read: no file reaches it."""

_TAKEN = (errno.EACCES, errno.EDEADLK) if os.name == "nt" else (errno.EWOULDBLOCK, errno.EAGAIN)
"""What a system says of a lock that another holds. Anything else, refused too: there are no locks to be had."""


class Lock(Enum):
    """What came of asking for a lock."""

    MINE = "mine"
    TAKEN = "taken"
    NONE = "none"
    """The disk has no locks: another window would not be noticed."""


def lock(handle: int, *, shared: bool = False) -> Lock:
    """Ask for the lock of an open file, without waiting."""
    try:
        if os.name == "nt":
            _windows(handle, take=True)
        else:
            import fcntl

            fcntl.flock(handle, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError as error:
        return Lock.TAKEN if error.errno in _TAKEN else Lock.NONE
    return Lock.MINE


def unlock(handle: int) -> None:
    """Let the lock go, even while something else still has the file open."""
    with contextlib.suppress(OSError):
        if os.name == "nt":
            _windows(handle, take=False)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_UN)


def _windows(handle: int, *, take: bool) -> None:
    import msvcrt

    at = os.lseek(handle, 0, os.SEEK_CUR)
    try:
        os.lseek(handle, _FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK if take else msvcrt.LK_UNLCK, 1)  # type: ignore[attr-defined]
    finally:
        os.lseek(handle, at, os.SEEK_SET)


@contextlib.contextmanager
def alone(path: Path) -> Iterator[None]:
    """Keep other windows from changing a file while it is read, changed and written; waits for them. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle = os.open(path.parent / ".lock", os.O_RDWR | os.O_CREAT, 0o600)
    try:
        until = time.monotonic() + PATIENCE
        while lock(handle) is Lock.TAKEN and time.monotonic() < until:
            time.sleep(0.01)
        yield
    finally:
        unlock(handle)
        os.close(handle)
