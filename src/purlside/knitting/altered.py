"""What was said of the knitting, gathered: where rows were added, sides changed, crossings skipped.

Each deviation speaks of rows as they were numbered when it was said. Rows that
are added later, further down, move it up; so they are taken in the order said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from purlside.bed.needles import Side
from purlside.knitting.deviations import (
    CrossedLate,
    Deviation,
    DoesNotFit,
    OtherSide,
    SizeFrom,
    Skipped,
    StartSide,
    TooMany,
)

K = tuple[int, int]
"""A crossing: the index of its cable, and which one it is, counted from 1."""


@dataclass(slots=True)
class Added:
    """Plain rows ``at`` to ``at + rows - 1``; ``owner`` is the index of the deviation that added them."""

    at: int
    rows: int
    owner: int

    @property
    def end(self) -> int:
        return self.at + self.rows


@dataclass
class Altered:
    """The deviations in force. Rows are those of the fabric; ``where`` has each deviation's row as it is now."""

    start: Side | None = None
    """The side row 1 was begun from, where it is not as the plan says."""
    added: list[Added] = field(default_factory=list)
    flips: list[int] = field(default_factory=list)
    sizes: list[tuple[int, float]] = field(default_factory=list)
    skipped: set[K] = field(default_factory=set)
    late: dict[K, int] = field(default_factory=dict)
    prepared: dict[int, list[K]] = field(default_factory=dict)
    where: list[int] = field(default_factory=list)
    _crosses: list[bool] = field(default_factory=list)

    @property
    def rows(self) -> int:
        """How many rows were added."""
        return sum(added.rows for added in self.added)

    def take(self, deviation: Deviation, key: Callable[[str, int], K]) -> None:
        """Add one more. ``key`` finds a cable's crossing. Raises DoesNotFit."""
        row = deviation.at
        match deviation:
            case OtherSide(at):
                self.flips.append(at)
            case StartSide(side):
                self.start = side
                self.flips = [row for row in self.flips if row > 1]
            case TooMany(at, rows):
                self._add(at, rows)
            case SizeFrom(at, size):
                self.sizes = [(r, s) for r, s in self.sizes if r != at] + [(at, size)]
            case Skipped(at, cable, k, prepared):
                found = key(cable, k)
                if found in self.late:
                    row = self.late.pop(found)
                elif found in self.skipped:
                    raise DoesNotFit(f"the crossing of {cable} in row {at:,} is skipped already")
                self.skipped.add(found)
                if prepared:
                    self.prepared.setdefault(row, []).append(found)
            case CrossedLate(at, cable, k):
                found = key(cable, k)
                if found not in self.skipped or found in self.late:
                    raise DoesNotFit(f"no crossing of {cable} was skipped that could be made in row {at:,}")
                self.late[found] = at
            case _:
                raise DoesNotFit(f"{deviation} changes the place, not the plan")
        self.where.append(row)
        self._crosses.append(isinstance(deviation, (Skipped, CrossedLate)))
        self.flips.sort()
        self.sizes.sort()

    def _add(self, at: int, rows: int) -> None:
        kept: list[Added] = []
        for added in self.added:
            if added.at >= at:
                kept.append(replace(added, at=added.at + rows))
            elif added.end > at:
                kept.append(replace(added, rows=at - added.at))
                kept.append(Added(at + rows, added.end - at, added.owner))
            else:
                kept.append(added)
        self.added = sorted([*kept, Added(at, rows, len(self.where))], key=lambda a: a.at)

        # A side or a size said before row `at` holds for the added rows too; a crossing comes after them.
        def later(row: int) -> int:
            return row + rows if row > at else row

        def crossing(row: int) -> int:
            return row + rows if row >= at else row

        self.flips = [later(row) for row in self.flips]
        self.sizes = [(later(row), size) for row, size in self.sizes]
        self.late = {k: crossing(row) for k, row in self.late.items()}
        self.prepared = {crossing(row): ks for row, ks in self.prepared.items()}
        self.where = [
            crossing(row) if crosses else later(row) for row, crosses in zip(self.where, self._crosses, strict=True)
        ]


def ripped(said: Sequence[Deviation], altered: Altered, to: int) -> tuple[Deviation, ...]:
    """What remains of what was said when row ``to`` is knit next: nothing that was made in it or later."""
    kept: list[Deviation] = []
    remade = set()
    for index, (deviation, row) in reversed(list(enumerate(zip(said, altered.where, strict=True)))):
        match deviation:
            case TooMany():
                if rows := sum(max(0, min(a.end, to) - a.at) for a in altered.added if a.owner == index):
                    kept.append(replace(deviation, rows=rows))
            case CrossedLate(_, cable, k):
                if row <= to:
                    remade.add((cable, k))
                    kept.append(deviation)
            case Skipped(_, cable, k):
                if row < to or (cable, k) in remade:
                    remade.discard((cable, k))
                    kept.append(deviation)
            case _ if row <= to:
                kept.append(deviation)
    return tuple(reversed(kept))
