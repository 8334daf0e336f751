"""Results in files: sheets and pictures. A file that Purlside has not written is not written over unasked."""

from __future__ import annotations

import contextlib
import json
import os
import stat
import threading
from pathlib import Path

from purlside.files.whole import digest, read_whole, write_whole
from purlside.keep import folders
from purlside.keep.folders import alone
from purlside.text.harmless import shown

MOST_WAITED_S = 0.5
"""Seconds that a browser is waited for before it is taken to be opening. Ours."""

MOST_KNOWN = 500
"""Results that are known again, the latest ones."""


class NotWritten(Exception):
    """A result that could not be put in its file; the message says why."""


class NotOurs(NotWritten):
    """The file is there already, and is none that Purlside has written, or was changed since."""


def theirs(out: str) -> bool:
    """Whether a file stands there that Purlside has not written as it is; an empty one is nobody's loss."""
    place = os.path.realpath(out)
    try:
        data = read_whole(place)
        return bool(data) and _known().get(place) != digest(data)
    except (OSError, ValueError):
        return os.path.lexists(place)


def write(out: str, plan: str | Path, text: str, *, force: bool = False) -> None:
    """Put a result in a file, all at once; never over the plan it came from, over what is not ours only by ``force``.

    Raises NotWritten, NotOurs.
    """
    name, place = shown(out, 200), os.path.realpath(out)
    if place == os.path.realpath(plan):
        raise NotWritten(f"{name} is the plan itself; name another file")
    data = text.encode("utf-8", "replace")
    try:
        if os.path.isdir(place) or not os.path.isdir(os.path.dirname(place)):
            raise NotWritten(f"{name}: name a file in a folder that exists")
        if os.path.lexists(place) and not stat.S_ISREG(os.stat(place).st_mode):
            raise NotWritten(f"{name} is a pipe or a device; name a file")
        if not force and theirs(out):
            raise NotOurs(f"{name} is there already, and not as Purlside wrote it; name another file")
        write_whole(Path(place), data)
    except (OSError, ValueError) as error:
        raise NotWritten(f"{name}: {getattr(error, 'strerror', None) or error}") from None
    with contextlib.suppress(OSError), alone(_file()):
        known = {at: mark for at, mark in _known().items() if at != place}
        latest = [*known.items(), (place, digest(data))][-MOST_KNOWN:]
        folders.keep(_file(), json.dumps(dict(latest)).encode(), settled=False)


def _file() -> Path:
    return folders.data() / "written.json"


def _known() -> dict[str, str]:
    """The digests of what was written, by its place."""
    return folders.read_json(_file(), lambda data: {str(place): str(mark) for place, mark in data.items()}, {})


def in_browser(path: str | Path) -> bool:
    """Open a file in the browser; whether one could be asked to. One that would take this terminal is none."""
    import webbrowser

    done: list[bool] = []
    try:
        page, browser = Path(path).resolve().as_uri(), webbrowser.get()
    except (OSError, ValueError, webbrowser.Error):
        return False
    # lynx and its like run where Purlside does, until they are left.
    waits = isinstance(browser, webbrowser.GenericBrowser) and not isinstance(browser, webbrowser.BackgroundBrowser)
    if waits or not getattr(browser, "background", True):
        return False

    def ask() -> None:
        try:
            done.append(browser.open(page))
        except (OSError, webbrowser.Error):
            done.append(False)

    # Some browsers are waited for; nobody at the bed is to wait with them, nor on leaving.
    asking = threading.Thread(target=ask, name="browser", daemon=True)
    asking.start()
    asking.join(MOST_WAITED_S)
    return done[0] if done else True
