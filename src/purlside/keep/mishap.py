"""A mistake of the program's own: told in words, its details kept in a file for whoever mends it."""

from __future__ import annotations

import traceback

from purlside.keep import folders


def told(error: BaseException) -> str:
    """What to say about an error nobody foresaw; its traceback goes to a file, as it helps no knitter."""
    file = folders.data() / "mistake.txt"
    details = "".join(traceback.format_exception(error))
    try:
        folders.keep(file, details.encode("utf-8", "replace"))
        where = f"The details are in {file}"
    except OSError:
        where = "The details could not be written to disk"
    kind = type(error).__name__
    return f"Purlside has made a mistake of its own and had to stop ({kind}). Every step up to it is kept. {where}"
