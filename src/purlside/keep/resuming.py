"""Resuming: what the tail of a ledger says of where the knitter is."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.keep import panels
from purlside.keep.events import Event, Opened
from purlside.keep.ledger import Damaged, Entry, backwards
from purlside.keep.ledger_text import lines, times
from purlside.knitting.cursor import Place
from purlside.knitting.inforce import InForce
from purlside.knitting.pace import Pace
from purlside.text.counts import counted

if TYPE_CHECKING:
    from purlside.figures.costs import Timings

LINES_LOOKED_BACK = 600
"""Ledger lines read on opening to know the pace: enough for the 25 crossing rows it is told by, each of six steps,
15 plain rows apart; 2,000 took 40 ms of the start."""


@dataclass
class Resumed:
    """The place, None where nothing is kept yet, and all that holds there."""

    place: Place | None = None
    in_force: InForce = field(default_factory=InForce)
    when: datetime | None = None
    """When something happened last."""
    damage: str = ""
    """What is missing of the ledger since the plan was opened last, in words; empty if nothing is."""
    pace: Pace = field(default_factory=Pace)
    """That of the rows before."""


def resume(path: Path) -> Resumed:
    """Read a ledger back to its last snapshot, and on for the pace of the rows before."""
    seen: list[Entry] = []
    since: list[Event] = []
    damage: list[tuple[Entry | None, Entry | None]] = []
    whole = opened = False
    with contextlib.suppress(OSError):
        for count, line in enumerate(backwards(path)):
            if count >= LINES_LOOKED_BACK and whole:
                break
            if isinstance(line, Damaged):
                if not (whole and opened):
                    damage.append((None, seen[-1] if seen else None))
                continue
            if damage and damage[-1][0] is None:
                damage[-1] = line, damage[-1][1]
            if not whole:
                since.append(line.event)
            whole = whole or line.event.kept is not None
            opened = opened or isinstance(line.event, Opened)
            if count < LINES_LOOKED_BACK:
                seen.append(line)
    in_force = InForce()
    for event in reversed(since):
        in_force = event.applied(in_force)
    pace = Pace()
    for row in times(lines(reversed(seen))).rows:
        pace.row_done(row.seconds, crossing=bool(row.crossings))
    when = seen[0].when if seen else None
    told = _damage_words(damage, lost=not since) or _emptied(path)
    return Resumed(since[0].at if since else None, in_force, when, told, pace)


def _emptied(path: Path) -> str:
    """What is to be said of a ledger that holds nothing though its panel was begun, as a power cut may leave it."""
    with contextlib.suppress(OSError):
        if path.stat().st_size == 0 and panels.KeptPanel(path.stem).knit_from.exists():
            return "The ledger is empty, though this panel was begun: go to the row you are at"
    return ""


def _damage_words(damage: list[tuple[Entry | None, Entry | None]], *, lost: bool) -> str:
    """What is missing, each between the lines before and after it."""
    if not damage:
        return ""
    many = counted(len(damage), "line")
    if lost:
        return f"The ledger is damaged, nothing of it can be read ({many}): go to the row you are at"
    before, after = damage[-1][0], damage[0][1]
    where = [f"after row {before.event.at.row:,}, {before.when:%H:%M}"] if before else []
    where += [f"before row {after.event.at.row:,}, {after.when:%H:%M}"] if after else []
    return (
        f"The ledger is damaged in {many} ({'; '.join(where)}): the rest is read. Check row and carriage; "
        "what you said of the knitting there may be missing"
    )


def own_timings(plan: Path) -> Timings:
    """The knitter's own time for a row of this plan, as far as its ledger tells; defaults for the rest."""
    from purlside.figures.costs import Timings

    pace = resume(panels.of(plan).ledger).pace
    return Timings(row=pace.plain_row, crossing_row=pace.crossing_row)
