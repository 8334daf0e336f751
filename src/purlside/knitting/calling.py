"""The calls: what the knitter is warned of, at which row, in which words.

Crossing rows, shaping rows, and what else the plan asks to be told: reminders,
colours, weights to move up. A cable, and each of the others, can be left uncalled.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from enum import Enum, StrEnum
from typing import Literal

from purlside.rows.calendar import Rows
from purlside.rows.row import Row, briefly
from purlside.values import Value
from purlside.work.crossing import Crossed

MOST_AHEAD = 9
"""Rows ahead that can be called."""


class CallKind(StrEnum):
    COMING = "coming"
    NOW = "now"
    FINISHED = "finished"


class Telling(Enum):
    """How much of a call is written, the most first: which half is in front is the last to be left out."""

    FULL = 1
    HALVES = 2
    CLOSE = 3
    SHORT = 4
    NAMES = 5


class Calling(Value):
    """What is called: how many rows ahead, and what is left uncalled."""

    ahead: int = 1
    silent: frozenset[str] = frozenset()
    """Names of cables that are not called."""
    reminders: bool = True
    weights: bool = True
    shaping: bool = True
    handling: bool = True
    """Whether it is told what weights and edges want."""
    sets_counter: bool = False
    """Whether the machine's counter is set to the row after each crossing row."""


CALLING = Calling()
"""As it is until the settings say otherwise."""


class Call(Value):
    """The warning that stands at a place: something is coming in ``rows_away`` rows, or is now.

    ``told`` are the plan's reminders of that row; ``weights`` says that the
    weights move up after it; ``shaping`` is what is done at the edges before
    it, in words. ``also`` is a second call that stands here.
    """

    kind: CallKind
    row: int
    rows_away: int
    crossed: tuple[Crossed, ...] = ()
    told: tuple[str, ...] = ()
    weights: bool = False
    shaping: str = ""
    label: str = ""
    also: Call | None = None

    @property
    def sound(self) -> Literal["coming", "now", "finished", "shaping"]:
        """Which sound is heard: a shaping row has one of its own, where nothing is crossed in it."""
        match self.kind:
            case CallKind.FINISHED:
                return "finished"
            case _ if self.shaping and not self.crossed:
                return "shaping"
            case CallKind.NOW:
                return "now"
            case _:
                return "coming"

    @property
    def spoken(self) -> str:
        """The call as it is said aloud."""
        return ". ".join(self._parts(None))

    def seen(self, room: int = 1000) -> str:
        """The call as it is written, in at most ``room`` characters; shorter words where it would be cut."""
        for telling in Telling:
            text = " | ".join(self._parts(telling))
            if len(text) <= room:
                return text
        return f"{text[: room - 1]}…"

    def _parts(self, telling: Telling | None) -> Iterator[str]:
        """What is told, one after another; ``telling`` how much of it is written, None where it is spoken."""
        away, full = self.rows_away, telling is Telling.FULL
        when = {0: "", 1: " next"}.get(away, f" in {away} rows")
        row = f" (row {self.label or self.row})" if away and telling is not Telling.SHORT else ""

        def part(head: str, row: str, told: str) -> str:
            return f"{head}, {told}" if telling is None else f"{head.upper()}{row}: {told}"

        if self.kind is CallKind.FINISHED:
            yield "the panel is finished" if telling is None else "THE PANEL IS FINISHED"
        if self.crossed:
            yield part(f"crossing row{when}", row, _crossings(self.crossed, telling))
        if self.shaping:
            shaping = self.shaping if full or telling is None else briefly(self.shaping)
            yield part(f"shaping row{when}", "" if self.crossed else row, shaping)
        if self.told:
            between = ", " if telling is None else "; "
            yield part(f"reminder{' next row' if away == 1 else when}", row if full else "", between.join(self.told))
        if self.weights:
            after = {0: "after this row", 1: "after the next row"}.get(away, f"after the row in {away} rows")
            told = f"WEIGHTS UP {after.upper()}{row if full else ''}"
            yield f"{after}, move the weights up" if telling is None else told
        if self.also is not None:
            yield from self.also._parts(telling)

    @property
    def key(self) -> tuple[object, ...]:
        """What makes it another call: it is sounded once."""
        return self.kind.value, self.row, self.also.key if self.also else None


def _crossings(crossed: tuple[Crossed, ...], telling: Telling | None) -> str:
    match telling:
        case None:
            return ", ".join(f"{c.name}, {_half(c)}" for c in crossed)
        case Telling.FULL:
            return "; ".join(f"{c.name}, {c.crossing.words}, {_half(c)}" for c in crossed)
        case Telling.HALVES:
            return "; ".join(f"{c.name}, {_half(c)}" for c in crossed)
        case Telling.CLOSE | Telling.SHORT:
            if len({c.crossing.front_side for c in crossed}) == 1:
                return f"{', '.join(c.name for c in crossed)}: {_half(crossed[0])}"
            return f"{', '.join(f'{c.name}: {c.crossing.front_side}' for c in crossed)} half in front"
    return "; ".join(c.name for c in crossed)


def _half(crossed: Crossed) -> str:
    return f"{crossed.crossing.front_side} half in front"


def call_at(rows: Rows, number: int, calling: Calling) -> Call | None:
    """The call that stands in row ``number``; past the last row, that the panel is finished."""
    if number > rows.rows:
        return Call(CallKind.FINISHED, rows.rows, 0)
    crossing, told = _crossing(rows, number, calling), _told(rows, number, calling)
    if crossing is None or told is None:
        return crossing or told
    if crossing.row == told.row:
        return replace(told, crossed=crossing.crossed)
    first, then = (told, crossing) if told.kind is CallKind.NOW else (crossing, told)
    return replace(first, also=then)


def _label(rows: Rows, number: int, called: int) -> str:
    """A row that is called, as it is told in row ``number``."""
    return rows.row(called).seen_from(rows.row(number).part)


def _kind(away: int) -> CallKind:
    return CallKind.COMING if away else CallKind.NOW


def _crossing(rows: Rows, number: int, calling: Calling) -> Call | None:
    if calling.silent:
        loud = (i for i, cable in enumerate(rows.plan.cable) if cable.name not in calling.silent)
        found = min((n for i in loud if (n := rows.next_crossing(number, i)) is not None), default=None)
    else:
        found = rows.next_crossing(number)
    if found is None or found - number > calling.ahead:
        return None
    crossed, away = tuple(c for c in rows.row(found).crossed if c.name not in calling.silent), found - number
    return Call(_kind(away), found, away, crossed, label=_label(rows, number, found)) if crossed else None


def _told(rows: Rows, number: int, calling: Calling) -> Call | None:
    for n in range(number, min(number + calling.ahead, rows.rows) + 1):
        row: Row = rows.row(n)
        told = row.told if calling.reminders else ()
        # In a crossing row the weights move with the crossing, on its own step.
        weights = calling.weights and row.weights and not row.crossed
        shaping = row.shaping if calling.shaping else ""
        if told or weights or shaping:
            return Call(_kind(n - number), n, n - number, (), told, weights, shaping, _label(rows, number, n))
    return None
