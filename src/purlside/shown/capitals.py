"""Capitals of our own drawing, three lines high of half characters, or larger: read from across the room."""

from __future__ import annotations

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
> ...#.. ...##. ###### ###### ...##. ...#..
< ..#... .##... ###### ###### .##... ..#...
"""
_LETTERS: dict[str, list[str]] = {name: rows for name, *rows in (line.split(" ") for line in _FONT.splitlines())}
_LIKE = str.maketrans({"–": "-", "►": ">", "◄": "<"})
_ASIDE = {"⅓": " 1/3", "⅔": " 2/3"}
_SPACE = [".."] * TALL


def capitals(text: str, scale: int = 1, glyphs: Glyphs = UNICODE) -> list[str]:
    """The text drawn ``3 * scale`` lines high; a sign that the font lacks is drawn as ``?``."""
    signs = _signs(text)
    rows = [".".join(sign[y] for sign in signs) for y in range(TALL)]
    if scale > 1:
        rows = ["".join(dot * scale for dot in row) for row in rows for _ in range(scale)]
    drawn = dict(zip(("..", ".#", "#.", "##"), (" ", *glyphs.halves), strict=True))
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return ["".join(drawn[upper + lower] for upper, lower in zip(a, b, strict=True)) for a, b in pairs]


def width_of(text: str, scale: int = 1) -> int:
    """Columns that the text takes."""
    return scale * (sum(len(sign[0]) + 1 for sign in _signs(text)) - 1) if text else 0


def _signs(text: str) -> list[list[str]]:
    """The text's letters, as the font has them."""
    for sign, spelt in _ASIDE.items():
        text = text.replace(sign, spelt)
    return [_SPACE if c == " " else _LETTERS.get(c, _LETTERS["?"]) for c in text.upper().translate(_LIKE)]


def fitting(text: str, width: int, lines: int, glyphs: Glyphs = UNICODE) -> list[str]:
    """The text as large as fits, or nothing where not even the smallest does."""
    for scale in range(max(1, lines // 3), 0, -1):
        if 3 * scale <= lines and width_of(text, scale) <= width:
            return capitals(text, scale, glyphs)
    return []
