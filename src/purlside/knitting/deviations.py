"""Deviations: how the knitting differs from the plan, each as a value.

``str(deviation)`` is one line of plain text that :func:`parse` reads back to
the same value; the ledger keeps that line. ``words`` is what the knitter reads.
``at`` is the row in hand when it was said, of the fabric as it was known then.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from purlside.bed.moves import size_text
from purlside.bed.needles import Side


class DoesNotFit(ValueError):
    """A deviation that this plan, or what was said before, leaves no room for; the message says why."""


def rows_text(count: int) -> str:
    """``"1 row"``, ``"3 rows"``."""
    return f"{count:,} row{'s' if count != 1 else ''}"


@dataclass(frozen=True, slots=True)
class OtherSide:
    """Before row ``at`` the carriage stands on the other side than was expected."""

    at: int

    def __str__(self) -> str:
        return f"other side at {self.at}"

    @property
    def words(self) -> str:
        return f"Carriage on the other side before row {self.at:,}"


@dataclass(frozen=True, slots=True)
class StartSide:
    """Row 1 was begun from ``side``, not from the side the plan says."""

    side: Side

    at = 1

    def __str__(self) -> str:
        return f"start side {self.side}"

    @property
    def words(self) -> str:
        return f"Row 1 was begun from the {self.side} ({self.side.carriage})"


@dataclass(frozen=True, slots=True)
class TooMany:
    """``rows`` plain rows were knit that the plan does not have; they are rows ``at`` and on."""

    at: int
    rows: int

    def __str__(self) -> str:
        return f"too many {self.rows} at {self.at}"

    @property
    def words(self) -> str:
        return f"{rows_text(self.rows)} too many, from row {self.at:,}"


@dataclass(frozen=True, slots=True)
class TooFew:
    """``rows`` rows before row ``at`` were counted and not knit."""

    at: int
    rows: int

    def __str__(self) -> str:
        return f"too few {self.rows} at {self.at}"

    @property
    def words(self) -> str:
        return f"{rows_text(self.rows)} too few before row {self.at:,}"


@dataclass(frozen=True, slots=True)
class RippedBack:
    """The fabric was ripped back from row ``at``; row ``to`` is knit next."""

    at: int
    to: int

    def __str__(self) -> str:
        return f"ripped back to {self.to} at {self.at}"

    @property
    def words(self) -> str:
        return f"Ripped back from row {self.at:,} to row {self.to:,}"


@dataclass(frozen=True, slots=True)
class Skipped:
    """A cable's ``k``-th crossing, due after row ``at``, is not made.

    ``prepared``: its row was begun as the crossing row and is finished so.
    """

    at: int
    cable: str
    k: int
    prepared: bool = False

    def __str__(self) -> str:
        return f"skipped {'prepared ' if self.prepared else ''}{self.k} at {self.at}: {self.cable}"

    @property
    def words(self) -> str:
        return f"{self.cable} not crossed in row {self.at:,}"


@dataclass(frozen=True, slots=True)
class CrossedLate:
    """A cable's ``k``-th crossing, skipped in its own row, is prepared in row ``at`` and made after it."""

    at: int
    cable: str
    k: int

    def __str__(self) -> str:
        return f"crossed late {self.k} at {self.at}: {self.cable}"

    @property
    def words(self) -> str:
        return f"{self.cable} crossed after all, in row {self.at:,}"


@dataclass(frozen=True, slots=True)
class SizeFrom:
    """From row ``at`` the panel is knit at ``size`` (dial number), until a band of the plan sets one."""

    at: int
    size: float

    def __str__(self) -> str:
        return f"size {self.size!r} at {self.at}"

    @property
    def words(self) -> str:
        return f"SS {size_text(self.size)} from row {self.at:,}"


Deviation = OtherSide | StartSide | TooMany | TooFew | RippedBack | Skipped | CrossedLate | SizeFrom

_WRITTEN = (
    r"other side at (?P<other>\d+)"
    r"|start side (?P<start>left|right)"
    r"|too many (?P<many>\d+) at (?P<many_at>\d+)"
    r"|too few (?P<few>\d+) at (?P<few_at>\d+)"
    r"|ripped back to (?P<to>\d+) at (?P<to_at>\d+)"
    r"|skipped (?P<prepared>prepared )?(?P<skipped>\d+) at (?P<skipped_at>\d+): (?P<skipped_cable>.+)"
    r"|crossed late (?P<late>\d+) at (?P<late_at>\d+): (?P<late_cable>.+)"
    r"|size (?P<size>[0-9.e+-]+) at (?P<size_at>\d+)"
)


def parse(text: str) -> Deviation:
    """The deviation that prints as ``text``. Raises ValueError."""
    match = re.fullmatch(_WRITTEN, text, re.ASCII)
    if match is None:
        raise ValueError(f"{text!r} is not a deviation")
    given = match.groupdict()
    if given["other"]:
        return OtherSide(int(given["other"]))
    if given["start"]:
        return StartSide(Side(given["start"]))
    if given["many"]:
        return TooMany(int(given["many_at"]), int(given["many"]))
    if given["few"]:
        return TooFew(int(given["few_at"]), int(given["few"]))
    if given["to"]:
        return RippedBack(int(given["to_at"]), int(given["to"]))
    if given["skipped"]:
        prepared = given["prepared"] is not None
        return Skipped(int(given["skipped_at"]), given["skipped_cable"], int(given["skipped"]), prepared)
    if given["late"]:
        return CrossedLate(int(given["late_at"]), given["late_cable"], int(given["late"]))
    return SizeFrom(int(given["size_at"]), float(given["size"]))
