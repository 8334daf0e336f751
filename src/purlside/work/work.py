"""What every kind of work says of itself, and the needles at the edges that some of them change."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Hashable, Iterator
from dataclasses import field, replace
from functools import cached_property
from importlib import import_module
from itertools import filterfalse
from keyword import iskeyword
from typing import TYPE_CHECKING, ClassVar, Protocol, cast

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.needles import MOST_A_SIDE, Crossing, Needle, Side, Span, needles_text
from purlside.plan.plan import Plan, Shape, StitchWork
from purlside.values import Value

if TYPE_CHECKING:
    from purlside.ease.reach import EaseChoice

BED = tuple(map(Needle, range(-MOST_A_SIDE, MOST_A_SIDE)))
"""Every needle of the widest bed."""


class Easing(Protocol):
    """Who knows how a crossing is eased."""

    @property
    def plan(self) -> Plan: ...
    def choice(self, cable: int, crossing: Crossing, size: float) -> EaseChoice: ...


class Work(ABC):
    """One thing a row is asked: the ``k``-th of ``of``, on ``needles``.

    A kind is a frozen value that says its moves before the row and after it,
    what it asks of the needles knit, its words and its sign. What it leaves
    out it has not.
    """

    title: ClassVar[str]
    """What kind of work it is, in one trade word or two."""
    how: ClassVar[str] = ""
    """How it is done, for a sheet, where its words do not say."""
    reason: ClassVar[str] = ""
    """Why it is done so, in a sentence."""
    sign: ClassVar[str] = ""
    """One character where the chart marks its needles; empty: it is drawn otherwise, or not at all."""
    k: int
    of: int

    @property
    def label(self) -> str:
        """What the knitter calls it: a cable's name, or its kind."""
        return self.title

    @property
    @abstractmethod
    def needles(self) -> tuple[Needle, ...]:
        """The needles it is about, in bed order."""

    @property
    def alike(self) -> Hashable:
        """What makes rows with it be knit alike: everything but which one of how many it is."""
        return replace(self, k=0, of=0)  # type: ignore[type-var]

    @property
    def down(self) -> int:
        """In how many rows of the fabric it shows, its own row the last of them."""
        return 1

    @property
    def lies_at(self) -> float | None:
        """The dial number its stitches lie in the fabric at; None: the row's own, or their yarn goes elsewhere."""
        return None

    def before(self) -> tuple[Move, ...]:
        """Moves made before the row is knit."""
        return ()

    def asks(self, demand: Demand, easing: Easing, size: float) -> Demand:
        """The row's demand with what this asks; ``size`` is the row's own."""
        return demand

    def after(self, easing: Easing) -> tuple[Move, ...]:
        """Moves made after the row is knit."""
        return ()

    @property
    def words(self) -> str:
        """What it is, for calendar and call: ``"decrease 1 at the left edge"``."""
        return self.title


class Edges(Value):
    """The needles in work from edge to edge, and those at the edges that rest, outermost first, each with its wrap."""

    left: Needle
    right: Needle
    ladders: frozenset[int] = frozenset()
    bed: Span = field(default_factory=lambda: Span(Needle(-250), Needle(249)))
    rest: tuple[tuple[tuple[Needle, bool], ...], tuple[tuple[Needle, bool], ...]] = ((), ())

    def edge(self, side: Side) -> Needle:
        return self.left if side is Side.LEFT else self.right

    def moved(self, side: Side, needle: Needle) -> Edges:
        """These edges with another needle outermost."""
        return replace(self, left=needle) if side is Side.LEFT else replace(self, right=needle)

    def inward(self, side: Side) -> Iterator[Needle]:
        """The needles in work from an edge inwards."""
        places = range(self.left, self.right + 1) if side is Side.LEFT else range(self.right, self.left - 1, -1)
        return (Needle(n) for n in places if n not in self.ladders)

    def outward(self, side: Side) -> Iterator[Needle]:
        """The needles of the bed beyond an edge, nearest first."""
        n = int(self.edge(side)) + side.step
        while n in self.bed:
            if n not in self.ladders:
                yield Needle(n)
            n += side.step

    def resting_at(self, side: Side) -> tuple[tuple[Needle, bool], ...]:
        return self.rest[side is Side.RIGHT]

    def rested(self, side: Side, resting: tuple[tuple[Needle, bool], ...]) -> Edges:
        """These edges with other needles at rest on that side."""
        return replace(self, rest=(resting, self.rest[1]) if side is Side.LEFT else (self.rest[0], resting))

    @cached_property
    def resting(self) -> frozenset[int]:
        return frozenset(int(n) for side in self.rest for n, _ in side)

    @cached_property
    def in_work(self) -> tuple[Needle, ...]:
        across = BED[self.left + MOST_A_SIDE : self.right + MOST_A_SIDE + 1]
        return tuple(filterfalse(self.ladders.__contains__, across)) if self.ladders else across

    @cached_property
    def knit(self) -> tuple[Needle, ...]:
        """The needles that do not rest."""
        return tuple(filterfalse(self.resting.__contains__, self.in_work)) if self.resting else self.in_work


class CannotBeShaped(ValueError):
    """Shaping that the needles leave no room for; the message says why."""


class EdgeWork(Work, Value):
    """Work at an edge, done before its row: it changes which needles are in work, or which rest.

    Of a kind that has no room it cannot be made, or left: both raise :class:`CannotBeShaped`.
    """

    at_carriage: ClassVar[bool | None] = None
    """Whether it is done at the edge where the carriage stands, or at the other; None: at either."""
    edge: Side
    edges: Edges
    stitches: int
    tool: int = 1
    wrap: bool = True
    k: int = 1
    of: int = 1

    @classmethod
    def at(cls, shape: Shape, edge: Side, edges: Edges, k: int, of: int) -> EdgeWork:
        """The work of a shape at these edges."""
        return cls(edge, edges, int(shape.stitches), shape.tool, shape.wrap, k, of)

    @property
    @abstractmethod
    def leaves(self) -> Edges:
        """The edges as this leaves them."""

    @property
    def done(self) -> str:
        """What is done, its edge not named: ``"decrease 1"``."""
        return f"{self.title} {self.stitches}"

    @property
    def words(self) -> str:
        return f"{self.done} at the {self.edge} edge"

    def wants(self, stitches: int, why: str) -> None:
        """Refuse an edge with fewer stitches knit; ``why`` follows their number."""
        if (knit := len(self.edges.knit)) < stitches:
            raise CannotBeShaped(f"{'1 stitch is' if knit == 1 else f'{knit} stitches are'} {why}")

    def inward(self, count: int) -> tuple[Needle, ...]:
        """So many needles from the edge inwards."""
        return taken(self.edges.inward(self.edge), count, "too few stitches are left")


class StitchKind(Work, Value):
    """Work on single needles."""

    on: tuple[Needle, ...]
    k: int
    of: int

    @classmethod
    def of_plan(cls, stitch: StitchWork, k: int, of: int, since: int) -> StitchKind:
        """``since`` are the fabric's rows since it was last done, or from the first."""
        return cls(stitch.needles, k, of)

    @property
    def needles(self) -> tuple[Needle, ...]:
        return self.on

    @property
    def named(self) -> str:
        """The needles in words."""
        return needles_text(self.on, count=False)


def edge_kind(do: str) -> type[EdgeWork]:
    """The kind of a shape, by its ``do``."""
    return cast(type[EdgeWork], _kind(do))


def stitch_kind(do: str) -> type[StitchKind]:
    """The kind of work on single needles, by its ``do``."""
    return cast(type[StitchKind], _kind(do))


def _kind(do: str) -> object:
    """The ``KIND`` of the file that has the plan's name for it."""
    name = do.replace(" ", "_")
    return import_module(f"purlside.work.{name}{'_' * iskeyword(name)}").KIND


def taken(needles: Iterator[Needle], count: int, why: str) -> tuple[Needle, ...]:
    """The next so many needles. Raises :class:`CannotBeShaped` where there are fewer."""
    found = tuple(n for n, _ in zip(needles, range(count), strict=False))
    if len(found) < count:
        raise CannotBeShaped(why)
    return found


def bed_order(needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
    return tuple(sorted(needles))
