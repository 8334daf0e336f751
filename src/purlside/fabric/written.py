"""Written cables: published knit-side abbreviations and the crossings at the bed they stand for.

Patterns for hand knitting say what is seen on the knit side; at the bed the
purl side faces, so left and right change places:

- ``n/m RC`` (right cross): a strand of n in front leans right on the knit side.
  At the bed the *right* block of n goes in front onto the left needles, then
  the left block of m behind it.
- ``n/m LC`` (left cross) is its mirror image: the *left* block goes in front.
- ``C6F``, six stitches, half of them held in front, is ``3/3 LC``; ``C6B`` is
  ``3/3 RC``. ``1/1 RT`` and ``1/1 LT`` (twists) cross as ``1/1 RC``, ``1/1 LC``.
- A P before the C purls the strand behind: ``2/1 LPC``; ``T3F`` is the same, a
  knit strand of the larger half over a purled one of the rest.

Craft Yarn Council, knitting abbreviations and chart symbols; the order of the
two numbers (the strand in front first) and the halves of T3F from memory.
"""

from __future__ import annotations

import re

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.values import Value

_STRANDS = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})\s*-?\s*([RL])\s*(P?)\s*([CT])")
_HELD = re.compile(r"([CT])\s*(\d{1,2})\s*([FB])")
_TWIST = re.compile(r"([RL])T")
_THREE = re.compile(r"\d+\s*/\s*\d+\s*/\s*\d+.*")

ALLOWED = "a written cable as 3/3 RC, 3/3 LC, 2/1 RC, C6F or C6B"

MOST_STITCHES = 40
"""Stitches of one written cable. A limit of ours, far above what tools lift."""


def crossing(lean: Side, front: int, back: int, left: Needle) -> Crossing:
    """The crossing whose front strand leans that way on the knit side; ``left`` is its leftmost needle at the bed.

    ``front`` and ``back`` are stitches, 1 or more.
    """
    on_left = back if lean is Side.RIGHT else front
    halves = Span(left, Needle(left + on_left - 1)), Span(Needle(left + on_left), Needle(left + front + back - 1))
    return Crossing(*(halves[::-1] if lean is Side.RIGHT else halves))


class WrittenCross(Value):
    """A cable as a pattern writes it: ``front`` stitches lean that way over ``back``, which may be purled."""

    lean: Side
    front: int
    back: int
    purled: bool = False

    @property
    def width(self) -> int:
        return self.front + self.back

    @property
    def name(self) -> str:
        """``"3/3 RC"``, ``"2/1 LPC"``."""
        return f"{self.front}/{self.back} {'R' if self.lean is Side.RIGHT else 'L'}{'P' if self.purled else ''}C"

    @property
    def faces(self) -> str:
        """Knit (k) or purl (p) on the knit side once it is worked, from the left at the bed."""
        front, back = "k" * self.front, ("p" if self.purled else "k") * self.back
        return front + back if self.lean is Side.RIGHT else back + front

    def at(self, left: Needle) -> Crossing:
        """The crossing at the bed; ``left`` is its leftmost needle there."""
        return crossing(self.lean, self.front, self.back, left)


def cross(text: str) -> WrittenCross:
    """The cable a word asks for. Raises ValueError for anything that is not a cable a single bed can cross."""
    word = " ".join(text.upper().split())
    purled = False
    if match := _STRANDS.fullmatch(word):
        front, back, lean, purled = int(match[1]), int(match[2]), match[3], bool(match[4])
        if match[5] == "T" and (front, back) != (1, 1):
            raise ValueError(f"{word!r}: a twist is one stitch over one; a wider one is written {front}/{back} {lean}C")
    elif match := _HELD.fullmatch(word):
        stitches, purled = int(match[2]), match[1] == "T"
        if stitches < 2 or (stitches % 2 and not purled):
            raise ValueError(f"{word!r}: half of the stitches are held, so their number is even")
        front, back = stitches - stitches // 2, stitches // 2
        lean = "L" if match[3] == "F" else "R"
    elif match := _TWIST.fullmatch(word):
        front, back, lean = 1, 1, match[1]
    elif _THREE.fullmatch(word):
        raise ValueError(f"{word!r} crosses over stitches that stay; write two crossings, one after the other")
    else:
        raise ValueError(f"{word!r} is not {ALLOWED}")
    if not front or not back or front + back > MOST_STITCHES:
        raise ValueError(f"{word!r}: each strand has 1 stitch or more, and both together at most {MOST_STITCHES}")
    return WrittenCross(Side.RIGHT if lean == "R" else Side.LEFT, front, back, purled)


def parse(text: str, left: Needle) -> Crossing:
    """The crossing at the bed a written cable asks for, its leftmost needle being ``left``.

    Raises ValueError for anything that is not a cable a single bed can cross.
    """
    made = cross(text)
    if made.purled:
        raise ValueError(
            f"{' '.join(text.upper().split())!r} purls the strand behind; on a single bed all stitches are knit: cross it "
            f"as {made.front}/{made.back} {'R' if made.lean is Side.RIGHT else 'L'}C and latch up the purl columns"
        )
    return made.at(left)


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
