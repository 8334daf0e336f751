"""Text from outside, made harmless: no control characters, no turned writing, nothing drawn over other lines."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

_DIRECTION_MARKS = set("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u061c")


MOST_MARKS = 5
"""Combining marks on one character. More would be drawn over the lines above and below; no script known to us has them."""


def is_mark(char: str) -> bool:
    """Whether a character is drawn onto the one before it."""
    return unicodedata.category(char) in {"Mn", "Me"}


def unprintable(text: str, *, lines: bool = False) -> str | None:
    """The first character that could disturb a terminal or a page, or None."""
    return next((text[at] for at in _disturbing(text, lines=lines)), None)


def _disturbing(text: str, *, lines: bool = False) -> Iterator[int]:
    marks = 0
    for at, char in enumerate(text):
        category = unicodedata.category(char)
        marks = marks + 1 if category in {"Mn", "Me"} else 0
        if lines and char in "\n\t":
            continue
        no_character = ord(char) & 0xFFFE == 0xFFFE or "\ufdd0" <= char <= "\ufdef"
        if category in {"Cc", "Cs", "Zl", "Zp"} or char in _DIRECTION_MARKS or no_character or marks > MOST_MARKS:
            yield at


def shown(text: str, most: int = 60) -> str:
    """Text from outside, safe on a terminal: no control characters, cut with a sign."""
    plain = _replaced(text[: most + 1])
    return plain if len(plain) <= most else plain[: most - 1] + "…"


def printed(text: str) -> str:
    """Text of several lines as a terminal may be given it: what would disturb is replaced, nothing is cut."""
    return _replaced(text, lines=True)


def _replaced(text: str, *, lines: bool = False) -> str:
    chars = list(text)
    for at in _disturbing(text, lines=lines):
        chars[at] = "\N{REPLACEMENT CHARACTER}"
    return "".join(chars)
