"""What a written pattern comes to at the bed, told: the chart beside its text, cables, purl columns, what to know."""

from __future__ import annotations

from collections.abc import Iterator

from purlside.bed.needles import spans
from purlside.draft.frompattern import Laid, PurlColumns
from purlside.fabric import written
from purlside.fabric.pattern import Pattern, RemarkKind, drawn
from purlside.plan.plan import Cable

_HEADINGS = {
    RemarkKind.WRONG: "Cannot be followed",
    RemarkKind.LEFT_OUT: "Not done on one bed",
    RemarkKind.READ_AS: "Taken for granted",
}


def told(pattern: Pattern, laid: Laid | None, *, ascii_only: bool = False) -> Iterator[str]:
    """All of it, line by line; ``laid`` is None where the pattern cannot be followed."""
    first, last = pattern.repeat
    yield f"{pattern.title}: {pattern.stitches} stitches, rows {first} to {last} come again"
    if pattern.rows:
        yield ""
        yield "Knit side, a dash is a purl; its text beside each row"
        yield from drawn(pattern, ascii_only)
    if laid is not None:
        yield ""
        yield from laid_words(laid)
    remarks = [*pattern.remarks, *(laid.remarks if laid else ())]
    for weight, heading in _HEADINGS.items():
        if some := [str(remark) for remark in remarks if remark.kind is weight]:
            yield ""
            yield heading
            yield from (f"  {text}" for text in some)


def laid_words(laid: Laid) -> Iterator[str]:
    """The panel, its cables and its purl columns, a line each."""
    yield f"At the bed: {laid.needles}, {laid.rows:,} rows"
    yield from (f"  {cable_words(cable)}" for cable in laid.cables)
    if laid.purl:
        stitches = sum(columns.stitches for columns in laid.purl)
        yield f"Purl columns, dropped and latched up from the knit side: {stitches:,} stitches in all"
        yield from (f"  {purl_words(columns)}" for columns in laid.purl)


def cable_words(cable: Cable) -> str:
    """``"cable 1: 3/3 RC, R1-R3 over L3-L1; after row 4, then every 8 rows"``."""
    turns = ", then ".join(f"{written.name(c)}, {c}" for c in cable.crossings[:4])
    more = f" … {len(cable.crossings)} in turn" if len(cable.crossings) > 4 else ""
    again = "" if cable.every is None else f", then every {cable.every} rows"
    times = "" if cable.times is None else f", {cable.times} times"
    return f"{cable.name}: {turns}{more}; after row {cable.first_row:,}{again}{times}"


def purl_words(columns: PurlColumns) -> str:
    """``"L9, R9-R10: latch up 8 rows after row 8, then every 8 rows, 3 times"``."""
    needles = ", ".join(map(str, spans(columns.needles)))
    again = f", then every {columns.every} rows, {columns.times} times" if columns.times > 1 else ""
    rows = f"{columns.every} row{'s' if columns.every > 1 else ''}"
    return f"{needles}: latch up {rows} after row {columns.first_row:,}{again}"
