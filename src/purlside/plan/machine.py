"""What a panel is knit on and of: machine, tools, yarn, gauge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from purlside.bed.needles import MOST_A_SIDE, Needle, Side, Span
from purlside.plan.checked import Checked, Inside
from purlside.plan.kinds import ByName, Either, FrozenMapping, ListOf, Number, OneOf, Text, Whole, Written, YesNo
from purlside.plan.problems import Problem

MOST_NEEDLES = 2 * MOST_A_SIDE

NAME = Text(40, "a short text")
SIZE = Number(0, 100, "a size on the dial", told=False)
TAKE_IN = Number(0.5, 1.2, "the width of a cable over its stitches knit plain")
NEEDLE = Written(Needle, 'a needle, as "R12"')


class PositionLetters(Checked):
    """The machine's own letters for the four needle positions."""

    nwp: Annotated[str | None, NAME] = None
    wp: Annotated[str | None, NAME] = None
    uwp: Annotated[str | None, NAME] = None
    hp: Annotated[str | None, NAME] = None


class Machine(Checked):
    """The bed and its carriage. ``dial`` is the smallest and the largest stitch size."""

    pitch_mm: Annotated[float, Number(1, 30, "the distance between needles in mm")]
    needles: Annotated[
        int, Whole(2, MOST_NEEDLES, "an even whole number", odd="half of them on each side of the centre")
    ] = 200
    dial: Annotated[
        tuple[float, float], ListOf(SIZE, 2, "the smallest and the largest stitch size, as [0.0, 10.0]", least=2)
    ] = (0.0, 10.0)
    dial_clicks: Annotated[int, Whole(1, 20, "clicks between two whole numbers of the dial")] = 3
    carriage: Annotated[Literal["left", "right"], OneOf("left", "right")] = "right"
    counter_trip: Annotated[
        Literal["centre", "left end", "right end"] | Needle | None,
        Either(
            OneOf("centre", "left end", "right end"), NEEDLE, '"centre", "left end", "right end" or a needle as "R12"'
        ),
    ] = None
    position_letters: Annotated[PositionLetters, Inside(PositionLetters, "a table with some of nwp, wp, uwp, hp")] = (
        PositionLetters()
    )
    release_hold: Annotated[bool, YesNo()] = False

    @property
    def bed(self) -> Span:
        """All needles of the machine."""
        return Span(Needle(-self.needles // 2), Needle(self.needles // 2 - 1))

    @property
    def side(self) -> Side:
        """Where the carriage stands before row 1."""
        return Side(self.carriage)


class Tools(Checked):
    """The transfer tools within reach, by their prongs; None where the plan does not say, then tools are not checked."""

    prongs: Annotated[
        tuple[int, ...] | None, ListOf(Whole(1, 20), 100, "a list with one number of prongs a tool, each 1 to 20")
    ] = None


_LOOPS = 'yarn in one loop in mm (0.1 to 200), by stitch size, as { "5" = 12.0 }, at most 50'


class Yarn(Checked):
    """What the panel is knit of: its weight as ``tex`` or ``count``, its stretch as ``fibre`` or ``extension_at_break``,
    its loops in mm by stitch size."""

    name: Annotated[str | None, Text(40, "the name of one of your yarns")] = None
    fibre: Annotated[str | None, Text(40, 'the name of a fibre, as "wool" or "cotton"')] = None
    extension_at_break: Annotated[float | None, Number(0, 2, "a part of the length, 0.3 for 30 %", above=True)] = None
    tex: Annotated[float | None, Number(1, 20_000, "grams in 1000 m")] = None
    count: Annotated[str | None, Text(40, 'a yarn count as "2/8 Nm", "Ne 20/2" or "280 tex"')] = None
    reach_limit: Annotated[
        float | None, Number(0, 20, "the reach up to which a crossing goes over in this yarn", above=True)
    ] = None
    loop_mm: Annotated[Mapping[str, float], ByName(Number(0.1, 200, "mm"), 50, _LOOPS)] = FrozenMapping()

    def together(self) -> Iterator[Problem]:
        if self.tex is not None and self.count is not None:
            yield self.wrong("tex and count are both given; keep one", "count")


class Gauge(Checked):
    """Stitches and rows of the knitter's own swatch. ``stitch_size`` None: it was knit at the panel's.

    ``cable_take_in`` is the width of a cable over the width of its stitches knit plain.
    """

    stitches_per_10cm: Annotated[float, Number(1, 300, "stitches in 10 cm")]
    rows_per_10cm: Annotated[float, Number(1, 400, "rows in 10 cm")]
    stitch_size: Annotated[float | None, Number(0, 100, "the size on the dial the swatch was knit at", told=False)] = (
        None
    )
    cable_take_in: Annotated[float | None, TAKE_IN] = None


class Wanted(Checked):
    """The size the finished panel shall have, in cm; None where any will do."""

    width_cm: Annotated[float | None, Number(0, 2000, "the finished width in cm", above=True)] = None
    length_cm: Annotated[float | None, Number(0, 2000, "the finished length in cm", above=True)] = None
