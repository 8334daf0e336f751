"""Text for terminals without UTF-8: every character as one or more of ASCII."""

from __future__ import annotations

import unicodedata
from dataclasses import astuple
from functools import lru_cache

from purlside.text import signs

_SPELT = str.maketrans(
    {
        **dict(zip("".join(astuple(signs.UNICODE)), "".join(astuple(signs.ASCII)), strict=True)),
        "–": "-",
        "—": "-",
        "…": "~",
        "·": ".",
        "⅓": " 1/3",
        "⅔": " 2/3",
        "ρ": "rho",
        "≤": "<=",
        "→": ">",
        "←": "<",
    }
)


@lru_cache(maxsize=1024)
def in_ascii(text: str) -> str:
    """The text in ASCII: signs by their like, letters without their marks, anything else as ``?``."""
    if text.isascii():
        return text
    bare = unicodedata.normalize("NFKD", text.translate(_SPELT))
    return "".join(c for c in bare if not unicodedata.combining(c)).encode("ascii", "replace").decode()
