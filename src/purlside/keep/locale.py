"""What the locale says of the terminal, and texts as far as it can show them."""

from __future__ import annotations

import codecs
import os
from collections.abc import Mapping

_PAIRS = '–-—-−-’\'‘\'“"”"….·.•*×x►>◄<▶>◀<▸>←<→>↑^↓v■#▣#▲^▼v●o○o◆*□o▌|▐|█#▀"▄_━=─-═=│|┃|║|┌+┐+└+┘+├+┤+┬+┴+┼+╭+╮+╰+╯+╔+╗+╚+╝+▁_▔-▏|▎|▊|▕|╵|╷|╶-╴-'
_PLAIN = str.maketrans(dict(zip(_PAIRS[::2], _PAIRS[1::2], strict=True)))
"""Signs of one column, each with one that every terminal has."""


def _plain(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    cut = error.object[error.start : error.end].translate(_PLAIN)
    return "".join(char if char.isascii() else "?" for char in cut), error.end


codecs.register_error("purlside.plain", _plain)


def terminal_encoding() -> str:
    """The encoding the locale names; UTF-8 where it says nothing, ASCII where it names none."""
    if os.name == "nt":
        return "utf-8"
    env = _as_started()
    told = next((value for name in ("LC_ALL", "LC_CTYPE", "LANG") if (value := env.get(name))), "UTF-8")
    place, _, named = told.partition(".")
    named = named.partition("@")[0] or ("iso8859-15" if place.endswith("@euro") else place)
    try:
        return codecs.lookup(named).name
    except LookupError:
        return "ascii"


def _as_started() -> Mapping[str, str]:
    """The environment as the program was given it: Python says UTF-8 in it where the locale says nothing usable."""
    if os.environ.get("LC_CTYPE") != "C.UTF-8":
        return os.environ
    try:
        with open("/proc/self/environ", "rb") as stream:
            given = (os.fsdecode(one).partition("=") for one in stream.read().split(b"\0"))
            return {name: value for name, _, value in given}
    except OSError:
        return os.environ


def shown_as(text: str, encoding: str) -> str:
    """A text with another sign for each that cannot be encoded so, column for column where it is one of ours."""
    return text if encoding == "utf-8" else text.encode(encoding, "purlside.plain").decode(encoding)
