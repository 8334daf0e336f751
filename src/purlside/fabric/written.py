"""Written cables: published knit-side abbreviations and the crossings at the bed they stand for.

Patterns for hand knitting say what is seen on the knit side; at the bed the
purl side faces, so left and right change places:

- ``n/m RC`` (right cross): a strand of n in front leans right on the knit side.
  At the bed the *right* block of n goes in front onto the left needles, then
  the left block of m behind it.
- ``n/m LC`` (left cross) is its mirror image: the *left* block goes in front.
- ``C6F``, six stitches, half of them held in front, is ``3/3 LC``; ``C6B`` is
  ``3/3 RC``. ``1/1 RT`` and ``1/1 LT`` (twists) cross as ``1/1 RC``, ``1/1 LC``.

Craft Yarn Council, knitting abbreviations and chart symbols; the order of the
two numbers (the strand in front first) from memory.
"""

from __future__ import annotations

import re

from purlside.bed.needles import Crossing, Needle, Side, Span

_STRANDS = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})\s*-?\s*([RL])\s*([CT])")
_HELD = re.compile(r"C\s*(\d{1,2})\s*([FB])")
_PURLED = re.compile(r"\d+\s*/\s*\d+\s*-?\s*[RL]P[CT]|T\s*\d+\s*[FB]")
_THREE = re.compile(r"\d+\s*/\s*\d+\s*/\s*\d+.*")

ALLOWED = "a written cable as 3/3 RC, 3/3 LC, 2/1 RC, C6F or C6B"

MOST_STITCHES = 40
"""Stitches of one written cable. A limit of ours, far above what tools lift."""


def crossing(lean: Side, front: int, back: int, left: Needle) -> Crossing:
    """The crossing whose front strand leans that way on the knit side; ``left`` is its leftmost needle at the bed.

    ``front`` and ``back`` are stitches, 1 or more.
    """
    place, end = int(left), int(left) + front + back - 1
    if lean is Side.RIGHT:
        return Crossing(_span(end - front + 1, end), _span(place, place + back - 1))
    return Crossing(_span(place, place + front - 1), _span(place + front, end))


def parse(text: str, left: Needle) -> Crossing:
    """The crossing at the bed a written cable asks for, its leftmost needle being ``left``.

    Raises ValueError for anything that is not a cable a single bed can cross.
    """
    word = " ".join(text.upper().split())
    if match := _STRANDS.fullmatch(word):
        front, back, lean, kind = int(match[1]), int(match[2]), match[3], match[4]
        if kind == "T" and (front, back) != (1, 1):
            raise ValueError(f"{word!r}: a twist is one stitch over one; a wider one is written {front}/{back} {lean}C")
    elif match := _HELD.fullmatch(word):
        stitches = int(match[1])
        if stitches < 2 or stitches % 2:
            raise ValueError(f"{word!r}: half of the stitches are held, so their number is even")
        front = back = stitches // 2
        lean = "L" if match[2] == "F" else "R"
    elif _PURLED.fullmatch(word):
        raise ValueError(
            f"{word!r} purls the strand behind; on a single bed all stitches are knit, write it as n/m RC or n/m LC"
        )
    elif _THREE.fullmatch(word):
        raise ValueError(f"{word!r} crosses over stitches that stay; write two crossings, one after the other")
    else:
        raise ValueError(f"{word!r} is not {ALLOWED}")
    if not front or not back or front + back > MOST_STITCHES:
        raise ValueError(f"{word!r}: each strand has 1 stitch or more, and both together at most {MOST_STITCHES}")
    return crossing(Side.RIGHT if lean == "R" else Side.LEFT, front, back, left)


def name(crossing: Crossing) -> str:
    """How the crossing is written: ``"3/3 RC"``."""
    return f"{len(crossing.front)}/{len(crossing.back)} {'R' if crossing.front_side is Side.RIGHT else 'L'}C"


def held_name(crossing: Crossing) -> str | None:
    """The other way to write it, ``"C6B"``, where both halves are as wide; else None."""
    if len(crossing.front) != len(crossing.back):
        return None
    return f"C{2 * len(crossing.front)}{'B' if crossing.front_side is Side.RIGHT else 'F'}"


def instruction(crossing: Crossing) -> str:
    """What a hand knitter does, knit side facing."""
    front, back = len(crossing.front), len(crossing.back)
    held, where, first = (front, "front", back) if crossing.front_side is Side.LEFT else (back, "back", front)
    return f"slip {held} to the cable needle, hold in {where}, k{first}, k{held} from the cable needle"


def _span(left: int, right: int) -> Span:
    return Span(Needle(left), Needle(right))
