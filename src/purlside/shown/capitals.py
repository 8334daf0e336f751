"""Capitals of our own drawing, three lines high of half characters, or larger: read from across the room."""

from __future__ import annotations

from functools import lru_cache
from unicodedata import combining, normalize

from purlside.text.signs import UNICODE, Glyphs

TALL = 6
"""Half lines of a letter: three lines at scale 1."""

_FONT = """\
A .#. #.# #.# ### #.# #.#
B ##. #.# ##. #.# #.# ##.
C .## #.. #.. #.. #.. .##
D ##. #.# #.# #.# #.# ##.
E ### #.. ##. #.. #.. ###
F ### #.. ##. #.. #.. #..
G .## #.. #.. #.# #.# .##
H #.# #.# ### #.# #.# #.#
I # # # # # #
J ..# ..# ..# ..# #.# .#.
K #.# #.# ##. #.# #.# #.#
L #.. #.. #.. #.. #.. ###
M #...# ##.## #.#.# #...# #...# #...#
N #..# ##.# #.## #..# #..# #..#
O .#. #.# #.# #.# #.# .#.
P ##. #.# #.# ##. #.. #..
Q .#. #.# #.# #.# ### .##
R ##. #.# #.# ##. #.# #.#
S ### #.. ### ..# ..# ###
T ### .#. .#. .#. .#. .#.
U #.# #.# #.# #.# #.# ###
V #.# #.# #.# #.# #.# .#.
W #...# #...# #...# #.#.# ##.## #...#
X #.# #.# .#. .#. #.# #.#
Y #.# #.# #.# .#. .#. .#.
Z ### ..# .#. .#. #.. ###
0 ### #.# #.# #.# #.# ###
1 .#. ##. .#. .#. .#. ###
2 ##. ..# ..# .#. #.. ###
3 ### ..# ### ..# ..# ###
4 #.# #.# ### ..# ..# ..#
5 ### #.. ##. ..# ..# ##.
6 ### #.. ### #.# #.# ###
7 ### ..# ..# .#. .#. .#.
8 ### #.# ### #.# #.# ###
9 ### #.# ### ..# ..# ###
/ ..# ..# .#. .#. #.. #..
. . . . . . #
, .. .. .. .. .# #.
: . # . . # .
- .. .. .. ## .. ..
+ ... ... .#. ### .#. ...
? ##. ..# .#. .#. ... .#.
! # # # # . #
' # # . . . .
( .# #. #. #. #. .#
) #. .# .# .# .# #.
> ...#.. ...##. ###### ###### ...##. ...#..
< ..#... .##... ###### ###### .##... ..#...
"""
_LETTERS: dict[str, list[str]] = {name: rows for name, *rows in (line.split(" ") for line in _FONT.splitlines())}
_LIKE = str.maketrans({"–": "-", "►": ">", "◄": "<", "’": "'"})
_ASIDE = {"⅓": " 1/3", "⅔": " 2/3", "…": "..."}
_LETTERS[" "] = [".."] * TALL


def capitals(text: str, scale: int = 1, glyphs: Glyphs = UNICODE) -> list[str]:
    """The text drawn ``3 * scale`` lines high; a sign that the font lacks is drawn as ``?``."""
    letters = [_letter(sign, scale, glyphs.halves) for sign in _signs(text)]
    return [(" " * scale).join(line) for line in zip(*letters, strict=True)]


@lru_cache(maxsize=256)
def _letter(sign: str, scale: int, halves: str) -> list[str]:
    """A letter's lines; with each drawn anew, working out what a step shows takes an eighth more."""
    rows = [row for row in _LETTERS[sign] for _ in range(scale)]
    drawn = dict(zip(("..", ".#", "#.", "##"), (" ", *halves), strict=True))
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return ["".join(drawn[upper + lower] * scale for upper, lower in zip(a, b, strict=True)) for a, b in pairs]


def width_of(text: str, scale: int = 1) -> int:
    """Columns that the text takes."""
    return scale * (sum(len(_LETTERS[sign][0]) + 1 for sign in _signs(text)) - 1) if text else 0


def _signs(text: str) -> list[str]:
    """The text's letters, each one the font has."""
    for sign, spelt in _ASIDE.items():
        text = text.replace(sign, spelt)
    # A letter with an accent is drawn without it: a reminder is in the knitter's own words.
    bare = "".join(sign for sign in normalize("NFD", text) if not combining(sign))
    return [sign if sign in _LETTERS else "?" for sign in bare.upper().translate(_LIKE)]


def fitting(text: str, width: int, lines: int, glyphs: Glyphs = UNICODE) -> list[str]:
    """The text as large as fits, or nothing where not even the smallest does."""
    scale = min(lines // 3, width // max(1, width_of(text)))
    return capitals(text, scale, glyphs) if scale > 0 else []
