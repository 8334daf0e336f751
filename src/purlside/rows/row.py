"""A row as a value: all that decides how it is knit, before it is knit."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from functools import cached_property
from itertools import pairwise

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.values import Value
from purlside.work.crossing import Crossed
from purlside.work.part import PartBegun
from purlside.work.work import EdgeWork, Work

BRIEF = (
    (" half first", " first"),
    (" at both edges", ", both edges"),
    (" at the left edge", " left"),
    (" at the right edge", " right"),
)


def briefly(text: str) -> str:
    """What rows are asked, where there is little room: edges and halves are named by their side alone."""
    for whole, brief in BRIEF:
        text = text.replace(whole, brief)
    return text


class Kind(Value):
    """All that decides how a row is knit: rows of one kind are knit alike. ``works`` are what makes them so."""

    side: Side
    size: float
    needles: tuple[Needle, ...]
    resting: tuple[Needle, ...] = ()
    across: Span | None = None
    wraps: tuple[Needle, ...] = ()
    works: tuple[Hashable, ...] = ()

    @cached_property
    def _hashed(self) -> int:
        return hash((self.side, self.size, len(self.needles), self.resting, self.across, self.wraps, self.works))

    def __hash__(self) -> int:
        # A kind is looked up for each step of its rows: hashed anew, and its works asked anew, a step takes 15% more.
        return self._hashed


class Tally(Value):
    """How many rows of a kind there are, and the first of them."""

    count: int
    row: Row

    @property
    def first(self) -> int:
        return self.row.number


class Row(Value):
    """One row: the ``number``-th to be knit, the fabric's row ``fabric``, of the panel or of a ``part``.

    The carriage stands on ``side`` before it. ``needles`` are knit, in bed
    order, ``resting`` ones held throughout; the last pass goes past the edge of
    ``across``. ``works`` are what it is asked beyond being knit once, in the
    order they are done; ``wraps`` are wrapped at its end. ``turned``: some rest for short rows, perhaps wrapped.
    ``waiting`` are those that rest because they are no needles of its part.
    """

    number: int
    side: Side
    size: float
    needles: tuple[Needle, ...]
    across: Span
    works: tuple[Work, ...] = ()
    resting: tuple[Needle, ...] = ()
    wraps: tuple[Needle, ...] = ()
    told: tuple[str, ...] = ()
    weights: bool = False
    colour: str | None = None
    part: str | None = None
    fabric: int = 0
    turned: bool = False
    waiting: tuple[Needle, ...] = ()

    @cached_property
    def crossed(self) -> tuple[Crossed, ...]:
        """The crossings made after it, in the plan's order."""
        return tuple(w for w in self.works if isinstance(w, Crossed) and w.made)

    @property
    def along(self) -> tuple[Crossed, ...]:
        """The same in the order they are made: along the bed, from where the carriage stands then."""
        return tuple(sorted(self.crossed, key=lambda made: made.crossing.span.left, reverse=self.side is Side.LEFT))

    @cached_property
    def shaped(self) -> tuple[Work, ...]:
        """What is done at the edges before it is knit, and the part it begins."""
        return tuple(w for w in self.works if isinstance(w, EdgeWork | PartBegun))

    @property
    def shaping(self) -> str:
        """That in words, what is done alike at both edges told once: ``"decrease 1 at both edges"``."""
        told = dict.fromkeys(w.words for w in self.shaped)
        for words in list(told):
            other = words.replace("left", "right")
            if words != other and words in told and other in told:
                told = {
                    (words.replace("the left edge", "both edges") if w == words else w): None
                    for w in told
                    if w != other
                }
        return "; ".join(told)

    @property
    def prepared(self) -> tuple[Crossed, ...]:
        """Crossings it is knit for that are not made after it: they were skipped when it was under way."""
        return tuple(w for w in self.works if isinstance(w, Crossed) and not w.made)

    @cached_property
    def kind(self) -> Kind:
        alike = tuple(work.alike for work in self.works)
        return Kind(self.side, self.size, self.needles, self.resting, self.across, self.wraps, alike)

    @property
    def label(self) -> int | str:
        """The fabric's row as it is told: ``8``, or of a part ``"151 of right shoulder"``."""
        return self.fabric if self.part is None else f"{self.fabric} of {self.part}"

    def seen_from(self, part: str | None) -> str:
        """How it is told in a row of a part: its own part is named where that is another, and no more than begins."""
        begins = any(isinstance(work, PartBegun) for work in self.works)
        return f"{self.fabric:,}" if self.part in (None, part) or begins else str(self.label)

    @property
    def crossing(self) -> bool:
        """Whether this is a crossing row."""
        return bool(self.crossed)

    @property
    def cables(self) -> tuple[tuple[int, Crossing], ...]:
        """The crossings it is knit for, made or not: the cable's index and its crossing, in the plan's order."""
        return tuple((w.cable, w.planned) for w in self.works if isinstance(w, Crossed) and w.eased)


def tallied(marks: Iterable[int], falls: Callable[[int], Hashable], row: Callable[[int], Row]) -> dict[Kind, Tally]:
    """How many rows of each kind there are between the first and the last of ``marks``.

    Rows where something falls are marked; those from one mark to the next alternate between two kinds. ``falls`` is
    what falls on a row: rows with the same are of one kind, though not the other way round.
    """
    counts: dict[Hashable, tuple[int, int]] = {}
    for start, stop in pairwise(sorted(marks)):
        for number in range(start, min(start + 2, stop)):
            fallen = falls(number)
            count, first = counts.get(fallen, (0, number))
            counts[fallen] = count + (stop - number + 1) // 2, first
    found: dict[Kind, Tally] = {}
    for count, number in counts.values():
        made = row(number)
        known = found.get(made.kind)
        found[made.kind] = Tally(known.count + count, known.row) if known else Tally(count, made)
    return found
