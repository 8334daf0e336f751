"""Work done in a process of its own while this one does something else.

A plan is read so while Textual is imported: the first step is painted after 1.37 times what an empty app takes, and after
1.72 times where it is not; 1.4 is wanted.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


def apart(work: Callable[[], T]) -> Callable[[], T]:
    """Begin ``work`` in a child of this process; the function given back waits for its result.

    What goes wrong there is done again here, when the result is asked for, so
    that errors are raised as if nothing had been apart; so is everything where
    a process cannot be copied. To be called before any thread is started.
    """
    if not hasattr(os, "fork"):
        return work
    import pickle

    reading, writing = os.pipe()
    try:
        child = os.fork()
    except OSError:
        os.close(reading)
        os.close(writing)
        return work
    if child == 0:
        _in_child(lambda: pickle.dumps(work()), reading, writing)
    os.close(writing)

    def result() -> T:
        with open(reading, "rb") as stream:
            sent = stream.read()
        try:
            _, status = os.waitpid(child, 0)
        except ChildProcessError:
            # Started by a program that ignores what becomes of its children, none can be waited for.
            status = 1
        if status == 0 and sent:
            made: T = pickle.loads(sent)
            return made
        return work()

    return result


def _in_child(work: Callable[[], bytes], reading: int, writing: int) -> None:
    """Never returns, and says nothing: the terminal is the parent's."""
    status = 1
    try:
        os.close(reading)
        with open(writing, "wb") as stream:
            stream.write(work())
        status = 0
    finally:
        os._exit(status)
