"""Motifs: compositions laid down as cables that share a motif's name.

Each motif is a function of a :class:`Laying` (where, when, which way it leans)
and its own widths; it gives plan cables, knit like any other. ``lean`` is the way the first strand in front leans on the knit
side: right is "RC" in a written pattern. ``every`` is rows from one crossing
row of the motif to its next::

    rope(Laying("rope", Needle.parse("L3"), first_row=8, every=8), width=3)
    lay("plait", laying, width=2, strands=3)     # by name, for a menu: MOTIFS lists names and what they take

Raises ValueError for a width or number outside what :data:`MOTIFS` allows.
What makes a rope, a wave or a plait is common practice, no source; their
braids are checked in the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial

from purlside.bed.needles import Crossing, Needle, Side
from purlside.fabric.written import crossing
from purlside.plan.plan import MOST_ROWS, Cable, EaseName
from purlside.values import Value


class Laying(Value):
    """Where and when a motif begins, and how its crossings are eased.

    ``left`` is its leftmost needle at the bed, ``times`` how many crossing rows
    it has (None: to the end of the panel). The ease is that of a plan's cable.
    """

    name: str
    left: Needle
    first_row: int
    every: int
    lean: Side = Side.RIGHT
    times: int | None = None
    ease: EaseName | tuple[EaseName, ...] = "plain"
    enlarged_size: float | None = None
    extra_rows: int | None = None

    def cable(self, turns: Iterable[Crossing], *, name: str = "", skip: int = 0, period: int = 1) -> Cable:
        """A cable that takes ``turns`` in turn, in every ``period``-th crossing row of the motif after ``skip``."""
        taken = list(turns)
        left = None if self.times is None else max(0, -(-(self.times - skip) // period))
        once = left is not None and left <= 1
        return Cable(
            name=f"{self.name}{name}",
            cross=taken[0] if len(taken) == 1 else tuple(taken),
            first_row=self.first_row + skip * self.every,
            every=None if once else min(self.every * period, MOST_ROWS),
            times=None if once else left,
            ease=self.ease,
            enlarged_size=self.enlarged_size,
            extra_rows=self.extra_rows,
            motif=self.name,
        )

    def cables(self, parts: Iterable[tuple[list[Crossing], int, int]]) -> list[Cable]:
        """One cable for each (turns, skip, period) that is crossed at all, numbered where there are several."""
        kept = [part for part in parts if self.times is None or self.times > part[1]]
        return [
            self.cable(turns, name=f" {i}" if len(kept) > 1 else "", skip=skip, period=period)
            for i, (turns, skip, period) in enumerate(kept, 1)
        ]

    def turned(self, leans: Iterable[Side], front: int, back: int) -> list[Cable]:
        """One cable whose crossings lean these ways in turn."""
        return self.cables([([self.cross(lean, front, back) for lean in leans], 0, 1)])

    def cross(self, lean: Side, front: int, back: int, at: int = 0) -> Crossing:
        """A crossing whose leftmost needle is ``at`` needles right of the motif's own."""
        return crossing(lean, front, back, Needle(self.left + at))


def rope(laying: Laying, width: int = 3) -> list[Cable]:
    """Two strands of ``width`` stitches, always crossed the same way."""
    _within("rope", width=width)
    return laying.turned((laying.lean,), width, width)


def wave(laying: Laying, width: int = 3) -> list[Cable]:
    """Two strands whose front alternates: the one that came over goes back over."""
    _within("wave", width=width)
    return laying.turned((laying.lean, laying.lean.other), width, width)


def plait(laying: Laying, width: int = 2, strands: int = 3) -> list[Cable]:
    """Strands that go over one neighbour and under the next: odd places lean one way, even places the other."""
    _within("plait", width=width, strands=strands)
    return _braid(laying, width, strands, laying.lean.other)


def lattice(laying: Laying, width: int = 2, strands: int = 6) -> list[Cable]:
    """Strands that run across on the slant; those that lean ``lean`` lie on top of those they meet."""
    _within("lattice", width=width, strands=strands)
    return _braid(laying, width, strands, laying.lean)


def honeycomb(laying: Laying, width: int = 2, cells: int = 3) -> list[Cable]:
    """Waves side by side, each the mirror image of its neighbour: several crossings in every crossing row."""
    _within("honeycomb", width=width, cells=cells)
    leans = (laying.lean, laying.lean.other)
    return laying.cables(
        ([laying.cross(lean, width, width, 2 * width * i) for lean in (leans if i % 2 == 0 else leans[::-1])], 0, 1)
        for i in range(cells)
    )


def one_over_many(laying: Laying, many: int = 3, back: bool = True) -> list[Cable]:
    """One stitch over ``many``; with ``back`` it goes back over them at the next crossing, else the next one follows."""
    _within("one over many", many=many)
    return laying.turned((laying.lean, laying.lean.other) if back else (laying.lean,), 1, many)


def travelling(laying: Laying, width: int = 2, over: int = 1, steps: int = 4, back: bool = True) -> list[Cable]:
    """A strand of ``width`` that travels ``steps`` times over ``over`` stitches of the fabric, in front all the way.

    With ``back`` it returns as it came, again and again; else it travels once.
    """
    _within("travelling cable", width=width, over=over, steps=steps)
    # A strand that leans right on the knit side goes left at the bed, so it begins at the right.
    places = range((steps - 1) * over, -1, -over) if laying.lean is Side.RIGHT else range(0, steps * over, over)
    out = [laying.cross(laying.lean, width, over, at) for at in places]
    if back:
        home = [laying.cross(laying.lean.other, width, over, at) for at in reversed(places)]
        return laying.cables([(out + home, 0, 1)])
    once = steps if laying.times is None else min(steps, laying.times)
    return [replace(laying, times=once).cable(out[:once])]


def _braid(laying: Laying, width: int, strands: int, even_lean: Side) -> list[Cable]:
    """Odd places (1 and 2, 3 and 4, …) crossed in one crossing row, even places in the next.

    Two neighbouring places share a cable that takes them in turn; a last odd place has its own.
    """
    odd = [laying.cross(laying.lean, width, width, width * i) for i in range(0, strands - 1, 2)]
    even = [laying.cross(even_lean, width, width, width * i) for i in range(1, strands - 1, 2)]
    pairs = [([first, second], 0, 1) for first, second in zip(odd, even, strict=False)]
    return laying.cables([*pairs, *([([odd[-1]], 0, 2)] if len(odd) > len(even) else [])])


class Motif(Value):
    """One entry of the menu: its name, what it is, its numbers as (least, usual, most), whether it may go ``back``."""

    name: str
    words: str
    numbers: dict[str, tuple[int, int, int]]
    make: Callable[..., list[Cable]]
    back: bool = False


MOTIFS: dict[str, Motif] = {
    motif.name: motif
    for motif in (
        Motif("rope", "two strands, crossed the same way each time", {"width": (1, 3, 12)}, rope),
        Motif("wave", "two strands, the front alternates", {"width": (1, 3, 12)}, wave),
        Motif("plait", "strands over and under in turn", {"width": (1, 2, 8), "strands": (3, 3, 20)}, plait),
        Motif("honeycomb", "waves side by side, mirrored", {"width": (1, 2, 8), "cells": (2, 3, 40)}, honeycomb),
        Motif(
            "lattice", "slanting strands over slanting strands", {"width": (1, 2, 8), "strands": (3, 6, 60)}, lattice
        ),
        Motif("one over many", "one stitch over several, for show", {"many": (2, 3, 12)}, one_over_many, True),
        Motif(
            "travelling cable",
            "a strand that wanders over the fabric",
            {"width": (1, 2, 8), "over": (1, 1, 8), "steps": (1, 4, 50)},
            travelling,
            True,
        ),
    )
}


def lay(name: str, laying: Laying, *, back: bool | None = None, **numbers: int) -> list[Cable]:
    """A motif by its name. Raises ValueError for an unknown name or number, and for one out of range."""
    motif = MOTIFS.get(name)
    if motif is None:
        raise ValueError(f"{name!r} is not a motif; there are {', '.join(MOTIFS)}")
    if unknown := set(numbers) - set(motif.numbers):
        raise ValueError(f"a {name} takes {', '.join(motif.numbers)}, not {', '.join(sorted(unknown))}")
    make = motif.make if back is None or not motif.back else partial(motif.make, back=back)
    return make(laying, **numbers)


def _within(name: str, **numbers: int) -> None:
    for key, value in numbers.items():
        least, _, most = MOTIFS[name].numbers[key]
        if not least <= value <= most:
            raise ValueError(f"{name}: {key} is {value}; allowed: {least} to {most}")
