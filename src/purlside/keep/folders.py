"""Places on disk: where a user's settings, ledgers and shelf are kept, and how they are written."""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
from collections.abc import Iterator
from pathlib import Path

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


def ledger_for(plan: Path) -> Path:
    """The ledger of a plan file: one a place on disk, its name still readable."""
    place = os.path.realpath(plan)
    digest = hashlib.sha256(os.fsencode(place)).hexdigest()[:12]
    stem = "".join(c if c.isalnum() or c in "-_" else "-" for c in plan.stem)[:60] or "plan"
    return data() / "ledgers" / f"{stem}-{digest}.jsonl"


@contextlib.contextmanager
def alone(path: Path) -> Iterator[None]:
    """Keep other windows from changing a file while it is read, changed and written; waits for them. Raises OSError."""
    try:
        import fcntl
    except ImportError:  # Windows: the last one to write is the one that counts
        yield
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def about(path: Path) -> tuple[int, ...] | None:
    """What tells one content of a file from another without reading it; None where there is no file."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns


def write_whole(path: Path, content: bytes) -> None:
    """Replace a file all at once: readers see the old content or the new. Raises OSError.

    It may be read by whom the old one might, a new one by whom any new file of this user's may.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name[:40]}.{os.urandom(4).hex()}")
    try:
        with beside.open("xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        with contextlib.suppress(FileNotFoundError):
            os.chmod(beside, stat.S_IMODE(path.stat().st_mode))
        os.replace(beside, path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def write_soon(path: Path, content: bytes) -> None:
    """Replace a file all at once without waiting for the disk: outlives a killed program. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        beside.write_bytes(content)
        os.replace(beside, path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def told(folder: Path) -> str:
    """A folder as it is told on screen: whole, but a user's own home as ``~``."""
    whole = os.path.abspath(folder)
    home = os.path.expanduser("~")
    return f"~{whole[len(home) :]}" if home != "~" and (whole == home or whole.startswith(home + os.sep)) else whole


class NotWritten(Exception):
    """A result that could not be put in its file; the message says why."""


def write_result(out: str, plan: str | Path, text: str) -> None:
    """Put a result in a file, all at once; never over the plan it came from. Raises NotWritten."""
    from purlside.text.harmless import shown

    name = shown(out, 200)
    if os.path.realpath(out) == os.path.realpath(plan):
        raise NotWritten(f"{name} is the plan itself; name another file")
    try:
        if os.path.isdir(out) or not os.path.isdir(os.path.dirname(os.path.abspath(out))):
            raise NotWritten(f"{name}: name a file in a folder that exists")
        write_whole(Path(os.path.realpath(out)), text.encode())
    except (OSError, ValueError) as error:
        raise NotWritten(f"{name}: {getattr(error, 'strerror', None) or error}") from None
