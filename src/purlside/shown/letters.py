"""Big block letters, five lines high: read from two metres, drawn with any one character."""

from __future__ import annotations

HEIGHT = 5
"""Lines of a letter."""

_FONT = """\
A .##. #..# #### #..# #..#
B ###. #..# ###. #..# ###.
C .### #... #... #... .###
D ###. #..# #..# #..# ###.
E #### #... ###. #... ####
F #### #... ###. #... #...
G .### #... #.## #..# .###
H #..# #..# #### #..# #..#
I ### .#. .#. .#. ###
J ..## ...# ...# #..# .##.
K #..# #.#. ##.. #.#. #..#
L #... #... #... #... ####
M #...# ##.## #.#.# #...# #...#
N #..# ##.# #.## #..# #..#
O .##. #..# #..# #..# .##.
P ###. #..# ###. #... #...
Q .##. #..# #..# #.#. .#.#
R ###. #..# ###. #.#. #..#
S .### #... .##. ...# ###.
T ##### ..#.. ..#.. ..#.. ..#..
U #..# #..# #..# #..# .##.
V #...# #...# .#.#. .#.#. ..#..
W #...# #...# #.#.# ##.## #...#
X #...# .#.#. ..#.. .#.#. #...#
Y #...# .#.#. ..#.. ..#.. ..#..
Z #### ...# .##. #... ####
0 .##. #..# #..# #..# .##.
1 .#. ##. .#. .#. ###
2 ###. ...# .##. #... ####
3 ###. ...# .##. ...# ###.
4 #..# #..# #### ...# ...#
5 #### #... ###. ...# ###.
6 .##. #... ###. #..# .##.
7 #### ...# ..#. .#.. .#..
8 .##. #..# .##. #..# .##.
9 .##. #..# .### ...# .##.
/ ...# ..#. ..#. .#.. #...
. . . . . #
- ... ... ### ... ...
< ..#.. .#... ##### .#... ..#..
> ..#.. ...#. ##### ...#. ..#..
? ##. ..# .#. ... .#.
"""
LETTERS: dict[str, tuple[str, ...]] = {
    letter: tuple(rows) for letter, *rows in (line.split(" ") for line in _FONT.splitlines())
}


def big(text: str, width: int, block: str = "█") -> list[str]:
    """The text in block letters at most ``width`` columns wide, as large as fits: each block 2 × 2, or one.

    Letters that are not in the font are drawn as ``?``. Text too long even so
    is cut, with ``>`` at its end.
    """
    text = text.upper()
    for scale in (2, 1):
        while (lines := _rows(text, block, scale)) and len(lines[0]) > width and scale == 1 and len(text) > 1:
            text = f"{text[:-2]}>"
        if len(lines[0]) <= width:
            return lines
    return [line[:width] for line in lines]


def _rows(text: str, block: str, scale: int) -> list[str]:
    found: list[str] = []
    for y in range(HEIGHT):
        row = " ".join(LETTERS.get(c, LETTERS["?"])[y] if c != " " else ".." for c in text)
        wide = "".join((block if c == "#" else " ") * scale for c in row)
        found += [wide] * scale
    return found
