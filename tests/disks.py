"""A small disk of its own for a test, and no room left on it."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """``folder``, made as a file system with room for 256 kB. Skips the test where none can be mounted."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("mounting a small file system wants root")
    folder.mkdir()
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=256k", "none", folder], capture_output=True, check=False)
    if done.returncode:
        pytest.skip(f"no small file system can be mounted here: {done.stderr.decode().strip()}")
    try:
        yield folder
    finally:
        if os.path.ismount(folder):
            subprocess.run(["umount", "-l", folder], check=True)


def fill(disk: Path) -> Path:
    """Take all room that is left; the file that takes it."""
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as stream, pytest.raises(OSError, match="No space left"):
        while True:
            stream.write(bytes(512))
    return ballast
