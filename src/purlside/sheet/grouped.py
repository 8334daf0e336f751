"""The crossings of a sheet, told together as a knitter would: a lattice's at once, a cable that moves from its edge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from purlside.bed.needles import Crossing, Needle, Side, needles_text
from purlside.rows.calendar import Calendar
from purlside.rows.row import Row
from purlside.sheet.kinds import RowKind, placed, thing
from purlside.sheet.parts import Table
from purlside.values import Value
from purlside.work.crossing import Crossed

HEAD = ("Crossing", "Stitches", "First, in front", "Then, behind")

Made = tuple[int, Crossing]
"""A cable's index, and its crossing as it is told."""


class Together(Value):
    """Crossings of one motif, or one cable, made after the same row; ``label`` is what the sheet calls them."""

    label: str
    made: tuple[Crossing, ...]
    follows: Side | None
    edge: Needle
    part: str | None

    @property
    def lines(self) -> Iterator[tuple[str, str, str, str]]:
        """Their lines in the table of crossings: one for each half that goes in front and each width."""

        def sort(crossing: Crossing) -> tuple[str, str]:
            return crossing.words, str(crossing.front_side)

        for (words, side), of in groupby(sorted(self.made, key=sort), key=sort):
            found = sorted(of, key=lambda crossing: crossing.span.left)
            if self.follows is None and len(found) > 1:
                yield self.label, words, f"the {side} half of {_runs(found)}", f"the {Side(side).other} half"
                continue
            for crossing in found:
                halves = (crossing.front, crossing.back), crossing.landing()
                front, back = (f"{self._named(half)} on {self._named(to)}" for half, to in zip(*halves, strict=True))
                if self.follows is not None:
                    whose = f" of the {self.part}" if self.part else ""
                    front = f"from the {self.follows} edge{whose}, {front}"
                yield self.label, words, front, back

    def _named(self, needles: Iterable[int]) -> str:
        if self.follows is None:
            return needles_text(needles, count=False)
        places = sorted(abs(int(needle) - int(self.edge)) + 1 for needle in needles)
        return f"{places[0]}–{places[-1]}" if len(places) > 1 else f"{places[0]}"


def _runs(made: Sequence[Crossing]) -> str:
    """Crossings alike, from the left: those side by side as one stretch: ``"L12–R12 (6 side by side), R20–R23"``."""
    runs: list[list[Crossing]] = []
    for crossing in made:
        if runs and int(runs[-1][-1].span.right) + 1 == int(crossing.span.left):
            runs[-1].append(crossing)
        else:
            runs.append([crossing])
    return ", ".join(
        f"{run[0].span.left}–{run[-1].span.right}" + (f" ({len(run)} side by side)" if len(run) > 1 else "")
        for run in runs
    )


Key = tuple[str, str | None, str | None]
"""What crossings are gathered by: motif or cable, the edge it follows, and of one that does, the part it is worked in."""


class Groups:
    """What crosses after each kind of row, gathered by motif, in the order it first comes."""

    def __init__(self, calendar: Calendar, kinds: Sequence[RowKind]) -> None:
        self.calendar = calendar
        self._sets: dict[Key, list[frozenset[Made]]] = {}
        for kind in kinds:
            for key, made in self._gathered(kind.row).items():
                if made not in (known := self._sets.setdefault(key, [])):
                    known.append(made)

    def _key(self, made: Crossed) -> Key:
        cable = self.calendar.cables[made.cable]
        return thing(self.calendar, made), cable.follows, None if cable.follows is None else cable.part

    def _gathered(self, row: Row) -> dict[Key, frozenset[Made]]:
        found: dict[Key, set[Made]] = {}
        for made in row.crossed:
            found.setdefault(self._key(made), set()).add((made.cable, placed(self.calendar, made)))
        return {key: frozenset(of) for key, of in found.items()}

    @property
    def table(self) -> Table:
        """Every group with its needles."""
        groups = [self._together(key, made) for key, sets in self._sets.items() for made in sets]
        return Table("The crossings", HEAD, tuple(line for group in groups for line in group.lines))

    def _together(self, key: Key, made: frozenset[Made]) -> Together:
        _, side, part = key
        follows = None if side is None else Side(side)
        edges = next(segment.edges for segment in self.calendar.segments if segment.part == part)
        edge = edges.edge(follows or Side.LEFT)
        return Together(self._label(key, made), tuple(crossing for _, crossing in made), follows, edge, part)

    def _label(self, key: Key, made: frozenset[Made]) -> str:
        name, follows, part = key
        if sum(other[0] == name for other in self._sets) > 1:
            name = ", ".join(filter(None, (name, follows and f"{follows} edge", part)))
        sets = self._sets[key]
        return name if len(sets) == 1 else f"{name}, {sets.index(made) + 1}"

    def labels(self, row: Row) -> dict[int, str]:
        """What the sheet calls the crossings among which each cable's is made."""
        named = {key: self._label(key, made) for key, made in self._gathered(row).items()}
        return {made.cable: named[self._key(made)] for made in row.crossed}
