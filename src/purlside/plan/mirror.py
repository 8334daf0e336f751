"""Left for right about the centre of the bed: needles, spans, crossings, work; and the parts of a plan, resolved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.plan.plan import Cable, Plan, Shape, StitchWork

_OTHER: dict[str, Literal["left", "right"]] = {"left": "right", "right": "left"}


def mirrored_needle(needle: int) -> Needle:
    """L3 for R3."""
    return Needle(-1 - int(needle))


def mirrored_span(span: Span) -> Span:
    return Span(mirrored_needle(span.right), mirrored_needle(span.left))


def mirrored_crossing(crossing: Crossing) -> Crossing:
    """The same halves in front and behind, on the other side of the centre: a crossing that leans the other way."""
    return Crossing(mirrored_span(crossing.front), mirrored_span(crossing.back))


def mirrored_shape(shape: Shape, part: str | None) -> Shape:
    return replace(shape, edge=_OTHER.get(shape.edge, shape.edge), part=part)


def mirrored_cable(cable: Cable, part: str | None, name: str) -> Cable:
    turned = tuple(map(mirrored_crossing, cable.crossings))
    follows = None if cable.follows is None else _OTHER[cable.follows]
    cross = turned[0] if isinstance(cable.cross, Crossing) else turned
    return replace(cable, name=name, cross=cross, part=part, follows=follows)


def mirrored_stitch(stitch: StitchWork, part: str | None) -> StitchWork:
    return replace(stitch, needles=tuple(sorted(map(mirrored_needle, stitch.needles))), part=part)


@dataclass(frozen=True)
class ResolvedPart:
    """A part as it is knit: ``shapes`` with their place in the plan; what only a mirrored part has stands apart."""

    name: str
    needles: Span
    rows: int
    carriage: Side | None
    shapes: tuple[tuple[int, Shape], ...]
    mirrored_cables: tuple[Cable, ...] = ()
    mirrored_stitches: tuple[StitchWork, ...] = ()


def parts(plan: Plan) -> tuple[ResolvedPart, ...]:
    """The plan's parts in its order, mirrored ones worked out from what they mirror."""
    named = {part.name: part for part in plan.part}
    found = []
    for part in plan.part:
        original = named[part.mirrors or part.name]
        assert original.needles is not None and original.rows is not None
        carriage = None if original.carriage is None else Side(original.carriage)
        shapes = _in(plan.shape, original.name)
        if part.mirrors is None:
            found.append(ResolvedPart(part.name, original.needles, original.rows, carriage, tuple(shapes)))
            continue
        own = tuple((i, mirrored_shape(shape, part.name)) for i, shape in shapes)
        found.append(
            ResolvedPart(
                part.name,
                mirrored_span(original.needles),
                original.rows,
                None if carriage is None else carriage.other,
                (*own, *_in(plan.shape, part.name)),
                tuple(
                    mirrored_cable(c, part.name, f"{c.name}, {part.name}"[:40])
                    for _, c in _in(plan.cable, original.name)
                ),
                tuple(mirrored_stitch(s, part.name) for _, s in _in(plan.stitch, original.name)),
            )
        )
    return tuple(found)


W = TypeVar("W", Shape, Cable, StitchWork)


def _in(works: Iterable[W], part: str) -> list[tuple[int, W]]:
    return [(i, work) for i, work in enumerate(works) if work.part == part]
