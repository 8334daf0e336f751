"""The fabric in plain sentences, for those who cannot see a picture of it.

``describe(fabric, Face.KNIT)`` gives lines: the panel, the side, ladders and
bands, then for each crossing which half lies in front, how it leans, how its
stitches were prepared and the rows it is crossed after. It tells what the
replayed fabric holds, not what the plan says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from purlside.bed.moves import size_text
from purlside.bed.needles import Crossing, Needle, Side, Span, needles_text
from purlside.fabric.stitches import Fabric, FabricCrossing, FabricRow, Face
from purlside.fabric.written import held_name, instruction, name
from purlside.plan.plan import Band, Plan
from purlside.rows.calendar import Calendar
from purlside.rows.segments import Segment
from purlside.values import Value
from purlside.work.part import PartBegun
from purlside.work.work import EdgeWork


class _Way(Value):
    """All crossings that are told together."""

    cable: str
    crossing: Crossing
    lean: Side
    prepared: tuple[str, ...]
    follows: Side | None = None
    """The edge it moves with; ``crossing`` is where it lies in row 1 then."""


def describe(fabric: Fabric | Plan, face: Face = Face.KNIT, rows: tuple[int, int] | None = None) -> list[str]:
    """The fabric between two rows, both counted, seen from a side; one sentence or two a line."""
    fabric = Fabric(fabric) if isinstance(fabric, Plan) else fabric
    first, last = rows or (1, fabric.rows)
    first = max(1, min(first, fabric.rows))
    last = max(first, min(last, fabric.rows))
    plan = fabric.plan
    lines = [f"{plan.title}, seen from the {face.words}.", _panel(fabric, first, last), SEEN[face]]
    if fabric.ladders:
        lines.append(f"Out of work, a ladder each: {needles_text(fabric.ladders)}.")
    for band in plan.band:
        if band.rows.first <= last and band.rows.last >= first:
            lines.append(f"Rows {str(band.rows).replace('-', '–')}: {band_words(band, 'in ')}.")
    found, refused = _gather(fabric, first, last)
    for way, crossed in found.items():
        lines.append(_told(fabric, way, crossed, face))
    if not found:
        lines.append("Nothing is crossed: plain fabric.")
    lines += _worked(fabric, first, last)
    for why, where in refused.items():
        after = "row" if len(where) == 1 else "rows"
        lines.append(f"Cannot be knit like this, {after} {rows_text(where)}: {why}.")
    return lines


def band_words(band: Band, before: str = "") -> str:
    """``"SS 4, slate"``; ``before`` stands before the colour."""
    size = "" if band.stitch_size is None else f"SS {size_text(band.stitch_size)}"
    return ", ".join(filter(None, (size, "" if band.colour is None else before + band.colour)))


def _worked(fabric: Fabric, first: int, last: int) -> Iterator[str]:
    """Work on single needles and the shaping, each with its rows; the edges of the panel, then of each part."""
    single: dict[str, list[int]] = {}
    begun: dict[str | None, list[str]] = {None: []}
    edges: dict[str | None, _Edged] = {}
    for row in range(first, last + 1):
        for part, work in fabric.asked(row):
            if isinstance(work, EdgeWork):
                edges.setdefault(part, {}).setdefault(work.done, {}).setdefault(work.edge, []).append(row)
            elif isinstance(work, PartBegun):
                begun.setdefault(part, []).append(f"{_capital(work.words)}: row {row}.")
            else:
                single.setdefault(work.words, []).append(row)
    for words, rows in single.items():
        yield f"{_capital(words)}: {_in_rows(rows)}."
    segments = {segment.part: segment for segment in Calendar(fabric.plan).segments}
    for part in dict.fromkeys((*begun, *edges)):
        yield from begun.get(part, ())
        yield from _edges(segments[part], edges.get(part, {}))


_Edged = dict[str, dict[Side, list[int]]]
"""What is done at the edges of the panel or a part, at which, in which rows."""


def _edges(segment: Segment, edged: _Edged) -> Iterator[str]:
    """Each edge, named as at the bed and by what it is of, with all that is done at it; both where that is alike."""
    found: dict[Side | None, list[str]] = {}
    for done, by_edge in edged.items():
        rows = list(by_edge.values())
        both = len(rows) == 2 and rows[0] == rows[1]
        for side in (None,) if both else by_edge:
            found.setdefault(side, []).append(f"{done}, {_in_rows(rows[0] if side is None else by_edge[side])}")
    for side, told in found.items():
        yield f"{_capital(_edge_of(segment, side))}: {'; '.join(told)}."


def _edge_of(segment: Segment, side: Side | None) -> str:
    if side is None:
        return "both edges" if segment.part is None else f"{segment.part}, both edges"
    if segment.part is None:
        return f"{side} edge, as you sit at the bed"
    # A part's edge is the neck's where other stitches rest beside it.
    beside = segment.edges.edge(side)
    inner = any((n - beside) * side.step > 0 for n in segment.others)
    return f"{segment.part}, {'neck' if inner else 'outer'} edge, on the {side} as you sit at the bed"


def _in_rows(rows: Sequence[int]) -> str:
    return f"{'row' if len(rows) == 1 else 'rows'} {rows_text(rows)}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def summary(fabric: Fabric, face: Face, rows: tuple[int, int]) -> str:
    """One short sentence: side, rows, which cables."""
    names = list(dict.fromkeys(made.cable for row in fabric.crossing_rows(*rows) for made in fabric.row(row).crossings))
    cables = f"crossed: {', '.join(names)}" if names else "plain fabric"
    return f"{fabric.plan.title}, {face.words}, rows {rows[0]}–{rows[1]}; {cables}"


def rows_text(rows: Sequence[int]) -> str:
    """Rows in ascending order, as briefly as they allow: ``"8 to 414, every 7 (59 times)"``."""
    told: list[str] = []
    i = 0
    while i < len(rows):
        step, count = (rows[i + 1] - rows[i] if i + 1 < len(rows) else 0), 1
        while i + count < len(rows) and rows[i + count] - rows[i + count - 1] == step:
            count += 1
        count = count if count >= 3 else 1
        told.append(f"{rows[i]} to {rows[i + count - 1]}, every {step} ({count} times)" if count > 1 else str(rows[i]))
        i += count
    return " and ".join(filter(None, [", ".join(told[:-1]), told[-1]]))


def _panel(fabric: Fabric, first: int, last: int) -> str:
    in_work = len(fabric.working.in_work)
    rows = f"{fabric.rows} rows" if last - first + 1 == fabric.rows else f"rows {first}–{last} of {fabric.rows}"
    panel = str(fabric.panel).replace("-", "–")
    return f"Needles {panel}, {in_work} in work; {rows} at SS {size_text(fabric.plan.panel.stitch_size)}."


SEEN = {Face.KNIT: "What is left at the bed is on the right here.", Face.PURL: "Left and right are as at the bed."}


def _gather(fabric: Fabric, first: int, last: int) -> tuple[dict[_Way, list[int]], dict[str, list[int]]]:
    found: dict[_Way, list[int]] = {}
    refused: dict[str, list[int]] = {}
    calendar = Calendar(fabric.plan)
    moving = {c.name: (i, Side(c.follows)) for i, c in enumerate(calendar.cables) if c.follows is not None}
    for row in fabric.crossing_rows(first, last):
        knitted = fabric.row(row)
        for made in knitted.crossings:
            crossing, follows = made.crossing, None
            if made.cable in moving and (k := calendar.repeats[moving[made.cable][0]].k(row)):
                index, follows = moving[made.cable]
                crossing = calendar.crossing(index, k).crossing
            way = _Way(made.cable, crossing, made.lean(), tuple(_prepared(knitted, made)), follows)
            found.setdefault(way, []).append(row)
        for why in knitted.refused:
            refused.setdefault(why, []).append(row)
    return found, refused


def _prepared(knitted: FabricRow, made: FabricCrossing) -> Iterable[str]:
    """How the stitches of a crossing were knit, where not as the rest of the row."""
    for half, strands in (("in front", made.front), ("behind", made.back)):
        stitches = {knitted.stitches.get(int(came)) for came, _ in strands}
        for stitch in sorted((s for s in stitches if s is not None), key=lambda s: (s.rows, s.size)):
            if stitch.by_hand:
                yield f"the half {half} is knit by hand"
            elif stitch.rows > 1:
                yield f"the half {half} has {stitch.rows - 1} extra rows"
            elif stitch.size != knitted.size:
                yield f"the half {half} is knit at SS {size_text(stitch.size)}"


def _told(fabric: Fabric, way: _Way, rows: Sequence[int], face: Face) -> str:
    crossing = way.crossing
    front, back = (needles_text(half, count=False) for half in (crossing.front, crossing.back))
    side = crossing.front_side
    lean = way.lean
    written = " or ".join(filter(None, (name(crossing), held_name(crossing))))
    begins = f"{way.cable}: {crossing.words}, written {written} (a hand knitter would {instruction(crossing)})."
    if way.follows is not None:
        front, back = (_from_edge(fabric, half, way) for half in (crossing.front, crossing.back))
        begins += f" It moves with the {way.follows} edge at the bed; counted from there:"
    told = f"{begins} The {side} half at the bed, {front}, lies in front on the knit side and leans {lean} there, over {back}."
    if face is Face.PURL:
        told += f" On the purl side {back} lies on top and leans {lean} too."
    if way.prepared:
        told += f" Before it {' and '.join(way.prepared)}."
    ends = (crossing.span.right, crossing.span.left) if face is Face.KNIT else (crossing.span.left, crossing.span.right)
    after = "row" if len(rows) == 1 else "rows"
    crossed = f"Crossed after {after} {rows_text(rows)}."
    if way.follows is not None:
        return f"{told} {crossed}"
    return f"{told} It takes needles {Needle(ends[0])} to {Needle(ends[1])} from left to right here. {crossed}"


def _from_edge(fabric: Fabric, half: Span, way: _Way) -> str:
    """A half's stitches counted from the edge it moves with: ``"stitches 3–4"``."""
    calendar = Calendar(fabric.plan)
    part = next(cable.part for cable in calendar.cables if cable.name == way.cable)
    edges = next(segment.edges for segment in calendar.segments if segment.part == part)
    edge = int(edges.edge(way.follows or Side.LEFT))
    places = sorted(abs(int(needle) - edge) + 1 for needle in half)
    return f"stitches {places[0]}–{places[-1]}" if len(places) > 1 else f"stitch {places[0]}"
