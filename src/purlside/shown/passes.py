"""The moves of a plan's rows, written out: as text for the knitter, as JSON for other programs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import Dial
from purlside.bed.moves import size_text as size
from purlside.rows.row import Row
from purlside.rows.steps import headed, lines, steps
from purlside.rows.working import Working

WIDTH = 80


def excerpt(working: Working, first: int) -> tuple[Move, ...]:
    """The first row's moves, beginning with the dial so that an excerpt stands by itself."""
    moves = working.moves(first)
    if first > 1 and not any(isinstance(move, Dial) for move in moves[: steps(moves)[0].last]):
        return (Dial(working.dial_before(first)), *moves)
    return moves


def as_json(working: Working, numbers: Sequence[int], *, bed: bool = False) -> Iterator[str]:
    """One JSON document in pieces: these rows, in knitting order (outside contract, format 1)."""
    import json

    yield f'{{"format": 1, "title": {json.dumps(working.plan.title)}, "rows": ['
    state: Bed | None = None
    before = 0
    for number_ in numbers:
        row = working.calendar.row(number_)
        moves = working.moves(number_) if number_ == before + 1 else excerpt(working, number_)
        if bed:
            state = working.bed_before(number_) if state is None or number_ != before + 1 else state
            listed = ", ".join(json.dumps(_with_bed(move, state)) for move in moves)
            state = working.complete(state, number_)
        else:
            listed = ", ".join(json.dumps(move.json()) for move in moves)
        part = "" if row.part is None else f', "part": {json.dumps(row.part)}'
        yield (
            f'{"" if not before else ","}\n  {{"row": {row.fabric}{part}, "from": "{row.side}", "to": "{row.side.other}", '
            f'"crossing": {json.dumps(row.crossing)}, "moves": [{listed}]}}'
        )
        before = number_
    yield "\n]}\n"


def _with_bed(move: Move, state: Bed) -> dict[str, Any]:
    state.push(move)
    return {**move.json(), "bed": state.json()}


def as_text(working: Working, numbers: Sequence[int], *, bed: bool = False) -> Iterator[str]:
    """Lines of text at most 80 columns wide; plain rows alike are gathered."""
    plan = working.plan
    yield plan.title
    yield from textwrap.wrap(
        f"{plan.panel.needles} ({len(working.in_work)} needles), {_rows(working, numbers)} of {working.calendar.row(working.calendar.rows).fabric:,}, "
        f"seen from the bed: the purl side faces you.".replace("-", "–"),
        WIDTH,
    )
    yield ""
    done = 0
    for row in numbers:
        if row <= done:
            continue
        through = next((n for n in range(row, numbers[-1] + 1) if n + 1 not in numbers), row)
        done = row if bed else _plain_until(working, row, through)
        if done > row:
            yield from _stretch(working, row, done)
        else:
            yield from _row(working, row, bed=bed)


def _rows(working: Working, numbers: Sequence[int]) -> str:
    first, last = (working.calendar.row(n).fabric for n in (numbers[0], numbers[-1]))
    return f"row {first}" if first == last else f"rows {first} to {last}"


def _plain_until(working: Working, first: int, last: int) -> int:
    """The last of the plain rows from ``first`` on that one line can stand for, or ``first``."""
    size_ = working.calendar.row(first).size
    if not _is_plain(working.calendar.row(first)):
        return first
    stop = min((working.calendar.next_crossing(first) or last + 1) - 1, last)
    end = first
    while end < stop:
        row = working.calendar.row(end + 1)
        if not _is_plain(row) or row.size != size_ or row.part != working.calendar.row(first).part:
            break
        end += 1
    return end


def _is_plain(row: Row) -> bool:
    return not (row.works or row.told or row.weights or row.wraps)


def _stretch(working: Working, first: int, last: int) -> Iterator[str]:
    row = working.calendar.row(first)
    to = working.calendar.row(last).fabric
    of = f" of {row.part}" if row.part else ""
    rows = f"Rows {row.fabric}–{to}{of}, from {row.side.carriage}: {last - first + 1} plain rows at SS {size(row.size)}"
    stands = working.dial_before(first) == row.size and first > 1
    yield from textwrap.wrap(rows if stands else f"{rows}. Set the dial to SS {size(row.size)}", WIDTH)
    yield ""


def _row(working: Working, number_: int, *, bed: bool) -> Iterator[str]:
    row = working.calendar.row(number_)
    moves = working.moves(number_)
    what = "; ".join(f"{c.name} {c.k} of {c.of}, {c.crossing}".replace("-", "–") for c in row.crossed)
    kind = f", crossing row: {what}" if what else ""
    kind += "".join(
        f"; {w.words}{f' ({w.k} of {w.of})' if w.of > 1 else ''}" for w in row.works if w not in row.crossed
    )
    yield from textwrap.wrap(
        f"Row {row.label}, {row.side.carriage} to {row.side.other.carriage}{kind}", WIDTH, subsequent_indent="    "
    )
    dial = working.dial_before(number_)
    state = working.bed_before(number_) if bed else None
    for step in (part for whole in steps(moves) for part in headed(whole)):
        yield f"  {step.title}"
        for line in lines(step, dial, working.in_work):
            yield from textwrap.wrap(line, WIDTH, initial_indent="    - ", subsequent_indent="      ")
        for move in step.moves:
            if isinstance(move, Dial):
                dial = move.size
            if state is not None:
                state.push(move)
                yield ""
                after = f"after: {move.words(working.in_work)}"
                yield from textwrap.wrap(after, WIDTH, initial_indent="      ", subsequent_indent="        ")
                yield from (f"      {line}" for line in _drawn(state, row, working))
    yield ""


def _drawn(bed: Bed, row: Row, working: Working) -> list[str]:
    from purlside.shown import strip
    from purlside.shown.view import View
    from purlside.text import signs

    before = working.size_before(row.number)
    ladders = working.plan.panel.out_of_work
    view = View(bed, crossed=row.crossed, size=row.size, before=before, resting=row.resting, ladders=ladders)
    return signs.text(strip.draw(view, WIDTH - 6)).splitlines()
