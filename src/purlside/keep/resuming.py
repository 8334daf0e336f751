"""Resuming: what the tail of a ledger says of where the knitter is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.keep import folders
from purlside.keep.ledger import entries_backwards
from purlside.knitting.cursor import Place
from purlside.knitting.kept import Kept
from purlside.knitting.pace import Pace

if TYPE_CHECKING:
    from purlside.figures.timing import Timings

LINES_LOOKED_BACK = 2000
"""Ledger lines read on opening to know the pace; more would not change a median of the last rows."""

_STEPS = ("card", "move")

_ASIDE = ("crossing", "note", "note off", "counter", "kept", "plan changed")
"""Lines that take the knitter nowhere."""


@dataclass
class Resumed:
    """The place, None where nothing is kept yet, and the last snapshot with the notes since."""

    place: Place | None = None
    kept: Kept = field(default_factory=Kept)


def resume(path: Path, pace: Pace) -> Resumed:
    """Read a ledger back to its last snapshot; the pace of the rows before is learnt on the way."""
    found = Resumed()
    notes: list[tuple[int, str]] = []
    kept: Kept | None = None
    seen: list[tuple[datetime, Place, str]] = []
    try:
        for count, entry in enumerate(entries_backwards(path)):
            if count >= LINES_LOOKED_BACK and kept is not None:
                break
            try:
                at = Place.parse(entry.at)
            except ValueError:
                continue
            found.place = found.place or at
            if kept is None and entry.did == "note" and isinstance(row := entry.more.get("row", at.row), int):
                notes.append((row, str(entry.more.get("text", ""))))
            if kept is None and "kept" in entry.more:
                try:
                    kept = Kept.read(entry.more["kept"])
                except ValueError:
                    continue
            if count < LINES_LOOKED_BACK and entry.did not in _ASIDE:
                seen.append((entry.when, at, entry.did))
    except OSError:
        pass
    found.kept = kept or Kept()
    found.kept = replace(found.kept, notes=found.kept.noted(reversed(notes)))
    _learn(pace, seen[::-1])
    return found


def _learn(pace: Pace, seen: Sequence[tuple[datetime, Place, str]]) -> None:
    """Take the pace from steps: a row runs from one arrival at a row's start to the next row's."""
    pace.plain.clear()
    pace.crossing.clear()
    starts: list[tuple[datetime, int, bool]] = []
    steps = 0
    for when, at, did in seen:
        steps += 1
        if at.done == 0 or did not in _STEPS:
            starts.append((when, at.row if did in _STEPS else -1, steps > 1))
            steps = 0
    for (began, row, _), (ended, after, several) in pairwise(starts):
        if row >= 0 and after == row + 1:
            pace.row_done((ended - began).total_seconds(), crossing=several)


def own_timings(plan: Path) -> Timings:
    """The knitter's own time for a row of this plan, as far as its ledger tells; defaults for the rest."""
    from purlside.figures.timing import Timings

    pace = Pace()
    resume(folders.ledger_for(plan), pace)
    return Timings(row=pace.plain_row, crossing_row=pace.crossing_row)
