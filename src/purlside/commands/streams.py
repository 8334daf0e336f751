"""The three streams: open, whatever they were given as, and in an encoding that the locale can show."""

from __future__ import annotations

import io
import os
import sys

from purlside.keep.locale import terminal_encoding


def ready() -> bool:
    """Make the streams ready; False where there is no stdout to write results to.

    A stream that is closed stands on the null device from then on: a file that is
    opened later must not come in its place.
    """
    open_ = [_open(number) for number in range(3)]
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # What goes into a file or to another program is UTF-8 where the locale only names nothing better.
            named = terminal_encoding()
            plain = named == "utf-8" or (named == "ascii" and not stream.isatty())
            stream.reconfigure(encoding=None if plain else named, errors="purlside.plain")
    return open_[1]


def _open(number: int) -> bool:
    try:
        os.fstat(number)
    except OSError:
        null = os.open(os.devnull, os.O_RDWR)
        if null != number:
            os.dup2(null, number)
            os.close(null)
        return False
    return True


def draw_on_the_terminal() -> None:
    """Textual draws on stderr: where that is no terminal, the screen goes where stdout goes, and stderr stays."""
    if sys.__stderr__ is None or not sys.__stderr__.isatty():
        sys.__stderr__ = open(os.dup(1), "w", encoding="utf-8", errors="replace")  # type: ignore[misc]  # noqa: SIM115
