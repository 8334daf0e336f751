"""Deviations: how the knitting differs from the plan, each as a value.

``str(deviation)`` is one line of plain text that :func:`parse` reads back to
the same value; the ledger keeps that line. ``words`` is what the knitter reads.
``at`` is the row in hand when it was said, of the fabric as it was known then.
A new kind is one class: ``form`` is its line, with its fields in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields, replace
from functools import cache
from typing import Any, ClassVar

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.text.counts import counted
from purlside.values import Value


class DoesNotFit(ValueError):
    """A deviation that this plan, or what was said before, leaves no room for; the message says why."""


_FIELDS: dict[str, tuple[str, Any]] = {
    "int": (r"\d+", int),
    "float": (r"[0-9.e+-]+", float),
    "Side": ("left|right", Side),
    "Needle": (r"[LR]\d+", Needle.parse),
    "Span": (r"[LR]\d+(?:-[LR]\d+)?", Span.parse),
    "Crossing": (r"\S+ over \S+", Crossing.parse),
    "str": (".+", str),
}
"""How a field is written in a line, and how it is read, by its type."""

_KINDS: dict[str, type[Deviation]] = {}


class Deviation:
    """One way in which the knitting differs from the plan."""

    __slots__ = ()
    form: ClassVar[str] = ""
    said: ClassVar[str] = ""
    """What the knitter reads, with its fields in it."""
    at: int

    def __init_subclass__(cls, **how: Any) -> None:
        super().__init_subclass__(**how)
        if cls.form:
            _KINDS[cls.form] = cls

    def __str__(self) -> str:
        given = self._given()
        flags = {name: f"{name} " if value else "" for name, value in given.items() if isinstance(value, bool)}
        return self.form.format(**{**given, **flags})

    def _given(self) -> dict[str, Any]:
        return {one.name: getattr(self, one.name) for one in fields(self)}  # type: ignore[arg-type]

    @property
    def words(self) -> str:
        """What the knitter reads."""
        return self.said.format(**self._given())

    def told(self, named: Callable[[int], str]) -> str:
        """The same with its rows as ``named`` tells them: those of a part are counted in the part."""
        rows = {name: _Row(row, named) for name, row in self._given().items() if name in ("at", "to", "row") and row}
        return replace(self, **rows).words  # type: ignore[type-var]


class _Row(int):
    """A row's number that is written as the row is told."""

    _told: str

    def __new__(cls, number: int, named: Callable[[int], str]) -> _Row:
        made = super().__new__(cls, number)
        made._told = named(number)
        return made

    def __format__(self, spec: str) -> str:
        return self._told


@cache
def _written(kind: type[Deviation]) -> tuple[re.Pattern[str], dict[str, str]]:
    """How a kind is written, and of which types its fields are; a ledger's tail has thousands to be read."""
    pattern = kind.form
    types = {one.name: str(one.type) for one in fields(kind)}  # type: ignore[arg-type]
    for name, type_ in types.items():
        written = f"(?:{name} )?" if type_ == "bool" else _FIELDS[type_][0]
        pattern = pattern.replace(f"{{{name}}}", f"(?P<{name}>{written})")
    return re.compile(pattern, re.ASCII), types


def parse(text: str) -> Deviation:
    """The deviation that prints as ``text``. Raises ValueError, for a needle off the bed too."""
    for kind in _KINDS.values():
        pattern, types = _written(kind)  # type: ignore[arg-type]  # a class is hashable: mypy asks its objects
        if match := pattern.fullmatch(text):
            return kind(**{n: bool(match[n]) if k == "bool" else _FIELDS[k][1](match[n]) for n, k in types.items()})
    raise ValueError(f"{text!r} is not a deviation")


# --- rows ---------------------------------------------------------------------


class OtherSide(Deviation, Value):
    """Before row ``at`` the carriage stands on the other side than was expected."""

    form = "other side at {at}"
    said = "Carriage on the other side before row {at:,}"
    at: int


class StartSide(Deviation, Value):
    """Row 1 was begun from ``side``, not from the side the plan says."""

    form = "start side {side}"
    said = "Row 1 was begun from the {side} ({side.carriage})"
    side: Side

    @property
    def at(self) -> int:  # type: ignore[override]
        return 1


class TooMany(Deviation, Value):
    """``rows`` plain rows were knit that the plan does not have; they are rows ``at`` and on."""

    form = "too many {rows} at {at}"
    at: int
    rows: int

    @property
    def words(self) -> str:
        return f"{counted(self.rows, 'row')} too many, from row {self.at:,}"


class TooFew(Deviation, Value):
    """``rows`` rows before row ``at`` were counted and not knit."""

    form = "too few {rows} at {at}"
    at: int
    rows: int

    @property
    def words(self) -> str:
        return f"{counted(self.rows, 'row')} too few before row {self.at:,}"


class RippedBack(Deviation, Value):
    """The fabric was ripped back from row ``at``; row ``to`` is knit next."""

    form = "ripped back to {to} at {at}"
    said = "Ripped back from row {at:,} to row {to:,}"
    at: int
    to: int


class SizeFrom(Deviation, Value):
    """From row ``at`` the panel is knit at ``size`` (dial number), until a band of the plan sets one."""

    form = "size {size} at {at}"
    at: int
    size: float

    @property
    def words(self) -> str:
        return f"SS {size_text(self.size)} from row {self.at:,}"


# --- crossings ------------------------------------------------------------------


class Skipped(Deviation, Value):
    """A cable's ``k``-th crossing, due after row ``at``, is not made.

    ``prepared``: its row was begun as the crossing row and is finished so.
    """

    form = "skipped {prepared}{k} at {at}: {cable}"
    said = "{cable} not crossed in row {at:,}"
    at: int
    cable: str
    k: int
    prepared: bool = False


class CrossedLate(Deviation, Value):
    """A cable's ``k``-th crossing, skipped in its own row, is prepared in row ``at`` and made after it.

    ``plain``: row ``at`` was knit before this was said, as any other row.
    """

    form = "crossed late {plain}{k} at {at}: {cable}"
    said = "{cable} crossed after all, in row {at:,}"
    at: int
    cable: str
    k: int
    plain: bool = False


class CountedFrom(Deviation, Value):
    """The repeats of a cable after its ``k``-th crossing count from row ``at``, in which that one was made."""

    form = "counted from {at} after {k}: {cable}"
    said = "{cable} counted on from row {at:,}"
    at: int
    cable: str
    k: int


class WrongHalf(Deviation, Value):
    """A cable's ``k``-th crossing, made after row ``at``, has the other half in front, and stays so."""

    form = "wrong half {k} at {at}: {cable}"
    said = "{cable} crossed the other way in row {at:,}"
    at: int
    cable: str
    k: int


class Reshaped(Deviation, Value):
    """The ``k``-th time of a plan's shape, counted from 0, was not done at an edge; it is before row ``row``, or never (0).

    The shapes counted are those of the plan with its mirrored parts written out.
    """

    form = "shaped {edge} {k} of {shape} before {row} at {at}"
    at: int
    edge: Side
    k: int
    shape: int
    row: int

    @property
    def words(self) -> str:
        edge = str(self.edge).capitalize()
        return f"{edge} edge shaped late, before row {self.row:,}" if self.row else f"{edge} edge left unshaped once"
