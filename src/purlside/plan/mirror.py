"""The mirror image about the centre of the bed: of a whole plan, and of a part that mirrors another."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, Literal, TypeVar

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.plan.plan import Cable, PanelPart, Plan, Shape, StitchWork
from purlside.values import Value

Work = TypeVar("Work", Shape, Cable, StitchWork)


def needle(n: int) -> Needle:
    """L3 for R3, R3 for L3."""
    return Needle(-1 - n)


def span(of: Span) -> Span:
    """R1-R3 for L3-L1."""
    return Span(needle(of.right), needle(of.left))


def crossing(of: Crossing) -> Crossing:
    """The same half in front, on the other side."""
    return Crossing(span(of.front), span(of.back))


def work(of: Work) -> Work:
    """A cable, a shape or work on single needles, in the mirror; its part keeps its name."""
    changes: dict[str, Any]
    match of:
        case Shape():
            changes = {"edge": of.edge if of.edge == "both" else _side(of.edge)}
        case Cable():
            cross = crossing(of.cross) if isinstance(of.cross, Crossing) else tuple(map(crossing, of.cross))
            changes = {"cross": cross, "follows": _side(of.follows)}
        case _:
            changes = {"needles": tuple(sorted(map(needle, of.needles)))}
    return replace(of, **changes)


def _side(side: str | None) -> Literal["left", "right"] | None:
    return None if side is None else "left" if side == "right" else "right"


class FullPart(Value):
    """A part with all that is worked in it, its own and what it mirrors.

    Each shape, cable and stitch stands with its place in the plan's own list, in that order: a mirrored one is no entry
    of the plan, and has the place of the one it mirrors.
    """

    name: str
    needles: Span
    rows: int
    carriage: Side | None
    shapes: tuple[tuple[int, Shape], ...] = ()
    cables: tuple[tuple[int, Cable], ...] = ()
    stitches: tuple[tuple[int, StitchWork], ...] = ()

    def mirrored_cables(self, plan: Plan) -> tuple[Cable, ...]:
        """Its cables that are no entry of the plan, named after the part too."""
        mirrored = (cable for i, cable in self.cables if plan.cable[i].part != self.name)
        return tuple(replace(cable, name=f"{cable.name}, {self.name}"[:40]) for cable in mirrored)

    def mirrored_stitches(self, plan: Plan) -> tuple[StitchWork, ...]:
        """Its work on single needles that is no entry of the plan."""
        return tuple(stitch for i, stitch in self.stitches if plan.stitch[i].part != self.name)


def written_out(plan: Plan) -> Plan:
    """The same fabric with no part that mirrors another: what such a part works stands at the end of the plan's lists."""
    if all(part.mirrors is None for part in plan.part):
        return plan
    full = full_parts(plan)

    def listed(part: FullPart) -> PanelPart:
        side: Literal["left", "right"] | None = None
        if part.carriage is not None:
            side = "left" if part.carriage is Side.LEFT else "right"
        return PanelPart(name=part.name, needles=part.needles, rows=part.rows, carriage=side)

    shapes = (shape for part in full for i, shape in part.shapes if plan.shape[i].part != part.name)
    return replace(
        plan,
        part=tuple(map(listed, full)),
        shape=(*plan.shape, *shapes),
        cable=(*plan.cable, *(cable for part in full for cable in part.mirrored_cables(plan))),
        stitch=(*plan.stitch, *(stitch for part in full for stitch in part.mirrored_stitches(plan))),
    )


def full_parts(plan: Plan) -> tuple[FullPart, ...]:
    """The parts of a plan in knitting order, those that mirror another worked out."""
    named = {part.name: part for part in plan.part}
    return tuple(_full(plan, part, named.get(part.mirrors or "")) for part in plan.part)


def _full(plan: Plan, part: PanelPart, original: PanelPart | None) -> FullPart:
    def worked(entries: Iterable[Work]) -> tuple[tuple[int, Work], ...]:
        found: list[tuple[int, Work]] = []
        for i, entry in enumerate(entries):
            if entry.part == part.name:
                found.append((i, entry))
            elif original is not None and entry.part == original.name:
                found.append((i, replace(work(entry), part=part.name)))
        return tuple(found)

    needles, rows, carriage = part.needles, part.rows, part.carriage
    if original is not None and original.needles is not None:
        needles, rows, carriage = span(original.needles), original.rows, _side(original.carriage)
    assert needles is not None and rows is not None, "checked by the plan"
    side = None if carriage is None else Side(carriage)
    return FullPart(part.name, needles, rows, side, worked(plan.shape), worked(plan.cable), worked(plan.stitch))


def mirrored(plan: Plan) -> Plan:
    """The plan in the mirror: needles, edges, crossings, parts and where the carriage begins.

    Names that say left or right say the other. Texts to be told stay as they are: see :func:`one_sided`.
    """
    named = _names(plan)
    trip = plan.machine.counter_trip
    if isinstance(trip, Needle):
        trip = needle(trip)
    elif trip is not None:
        trip = {"left end": "right end", "right end": "left end"}.get(trip, trip)  # type: ignore[assignment]
    panel = plan.panel

    def turned(part: PanelPart) -> PanelPart:
        needles, side = None if part.needles is None else span(part.needles), _side(part.carriage)
        return replace(part, name=named(part.name), needles=needles, carriage=side, mirrors=named(part.mirrors))

    def worked(entries: tuple[Work, ...]) -> tuple[Work, ...]:
        return tuple(replace(work(entry), part=named(entry.part)) for entry in entries)

    return replace(
        plan,
        title=_title(plan.title),
        machine=replace(plan.machine, carriage=plan.machine.side.other.value, counter_trip=trip),
        panel=replace(panel, needles=span(panel.needles), out_of_work=tuple(map(needle, panel.out_of_work))),
        part=tuple(map(turned, plan.part)),
        shape=worked(plan.shape),
        cable=tuple(replace(cable, name=named(cable.name)) for cable in worked(plan.cable)),
        stitch=worked(plan.stitch),
    )


_MIRRORED = ", mirrored"
_LEFT_OR_RIGHT = re.compile(r"\b(left|right)\b", re.IGNORECASE)


def _turned(name: str) -> str:
    def other(found: re.Match[str]) -> str:
        word = "left" if found[1].lower() == "right" else "right"
        if found[1].isupper():
            return word.upper()
        return word.title() if found[1][0].isupper() else word

    return _LEFT_OR_RIGHT.sub(other, name)


def _title(title: str) -> str:
    """The other front's where the title names a side; else said to be the mirror image, and no more so twice."""
    if (turned := _turned(title)) != title:
        return turned if len(turned) <= 200 else title
    if title.endswith(_MIRRORED):
        return title.removesuffix(_MIRRORED) or title
    return title + _MIRRORED if len(title + _MIRRORED) <= 200 else title


def _names(plan: Plan) -> Callable[[Any], Any]:
    """How names are turned: all of them, or none where one would grow too long."""
    names = [*(part.name for part in plan.part), *(cable.name for cable in plan.cable)]
    turn = all(len(_turned(name)) <= 40 for name in names)
    return lambda name: _turned(name) if turn and name is not None else name


def one_sided(plan: Plan) -> list[str]:
    """Texts of a plan that name a side and are told as they are written: to be looked at in a mirrored copy."""
    return [text for text in (*(r.text for r in plan.reminder), plan.notes) if _LEFT_OR_RIGHT.search(text)]
