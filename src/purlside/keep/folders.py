"""Places on disk: where a user's settings, ledgers and shelf are kept, and how they are written."""

from __future__ import annotations

import os
from pathlib import Path

from purlside.files.whole import PRIVATE, write_whole

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
