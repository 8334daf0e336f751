"""Files read and written whole: readers see the old content or the new, never a part."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import stat
import time
from pathlib import Path
from typing import BinaryIO

PRIVATE = 0o600
"""Who may read what is kept: this user alone."""

PART = ".part"
"""The end of the name of a file that is still being written."""

STALE = 600.0
"""Seconds after which a part is nobody's any more: the program that wrote it was ended."""


class NotAFile(OSError):
    """A device, a pipe or a folder stands in place of a file."""


def digest(content: str | bytes) -> str:
    """What tells one content from another."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def read_whole(path: str | os.PathLike[str], most: int | None = None) -> bytes:
    """The content of a plain file, one byte more than ``most`` at most. Raises OSError.

    Never waits: a pipe in place of a file is refused.
    """
    with open_plain(path) as stream:
        return stream.read() if most is None else stream.read(most + 1)


def open_plain(path: str | os.PathLike[str]) -> BinaryIO:
    """A plain file, to be read. Raises OSError; never waits, as a pipe would make one."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise NotAFile(0, "it is no plain file")
    return os.fdopen(handle, "rb")


def write_whole(
    path: Path, content: bytes, *, mode: int | None = None, new: bool = False, settled: bool = True
) -> None:
    """Put a file in its place all at once. Raises OSError.

    ``mode`` says who may read it; by default who might read the old one, or any
    new file of this user's. ``new`` raises FileExistsError rather than replace a
    file that has come meanwhile. ``settled`` waits until the disk has it: it
    outlives a power cut then, else only a killed program.
    """
    _tidy(path)
    beside = path.with_name(f".{_cut(path.name)}.{os.urandom(4).hex()}{PART}")
    try:
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        with open(os.open(beside, flags, 0o666 if mode is None else mode), "wb") as stream:
            stream.write(content)
            stream.flush()
            if settled:
                _reach_the_disk(stream.fileno())
        with contextlib.suppress(FileNotFoundError):
            if mode is None:
                os.chmod(beside, stat.S_IMODE(path.stat().st_mode))
        if new:
            _appear(beside, path)
        else:
            os.replace(beside, path)
        if settled:
            settle(path.parent)
    finally:
        with contextlib.suppress(OSError):
            beside.unlink()


_CANNOT = (errno.EINVAL, errno.ENOSYS, errno.EOPNOTSUPP, errno.EROFS)
"""What a file system says that brings everything to its disk in its own time, or not at all."""


def _reach_the_disk(handle: int) -> None:
    """Wait until the disk has a file. Raises OSError for a disk that is full or broken."""
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _CANNOT:
            raise


def settle(place: Path) -> None:
    """Make a file, or the names in a folder, outlive a power cut, where the system allows it."""
    with contextlib.suppress(OSError):
        handle = os.open(place, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _appear(beside: Path, path: Path) -> None:
    """Give a new file its name. Raises FileExistsError where a file has come meanwhile."""
    try:
        # A link fails there; a rename would replace it.
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:
        # Some disks have no links.
        path.open("xb").close()
        os.replace(beside, path)


def _cut(name: str) -> str:
    """A name with room for more behind it: a file's name has 255 bytes at most."""
    return os.fsdecode(os.fsencode(name)[:100]).encode("utf-8", "ignore").decode() or "file"


def _tidy(path: Path) -> None:
    """Take away parts of this file that a program ended in mid-writing has left."""
    with contextlib.suppress(OSError):
        begin = f".{_cut(path.name)}."
        for one in os.scandir(path.parent):
            if one.name.startswith(begin) and one.name.endswith(PART) and time.time() - one.stat().st_mtime > STALE:
                os.unlink(one.path)
