"""A sheet as plain text, 80 columns wide, drawn with ASCII characters."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from purlside.sheet import parts

COLUMNS = 80
GAP = 2
LEGEND_INDENT = 9
RULES = ("=", "-", "~", "")
"""What underlines a heading, by level."""


def text(sheet: parts.Sheet) -> str:
    """The whole sheet. No line is wider than 80 columns."""
    lines = [*wrap(sheet.title, COLUMNS), "=" * COLUMNS, ""]
    for block in sheet.lead:
        lines += [*_block(block), ""]
    for section in sheet.sections:
        lines += _section(section, 0)
    while lines and not lines[-1]:
        lines.pop()
    return "\n".join(line.rstrip() for line in lines) + "\n"


def wide(char: str) -> int:
    """Columns a character takes in a terminal or in a fixed-width font."""
    if unicodedata.combining(char) or unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def columns(line: str) -> int:
    """How wide a line is."""
    return len(line) if line.isascii() else sum(map(wide, line))


def wrap(line: str, width: int, hang: str = "") -> list[str]:
    """A line broken at spaces, a word longer than ``width`` within; ``hang`` begins all but the first."""
    found: list[str] = []
    now, used, begun = "", 0, False
    measure = len if line.isascii() else columns
    for word in line.split():
        size = measure(word)
        if used + begun + size <= width:
            now = f"{now} {word}" if begun else now + word
            used += begun + size
            begun = True
            continue
        if begun:
            found.append(now)
            now, used = hang, columns(hang)
        for char in word:
            size = measure(char)
            if used + size > width:
                found.append(now)
                now, used = hang, columns(hang)
            now += char
            used += size
        begun = True
    return [*found, now] if begun or not found else found


def _section(section: parts.SheetSection, level: int) -> Iterator[str]:
    rule = RULES[min(level, len(RULES) - 1)]
    heading = wrap(section.heading, COLUMNS)
    yield from heading
    if rule:
        yield rule * max(map(columns, heading))
    if level < len(RULES) - 1:
        yield ""
    for block in section.blocks:
        yield from _block(block)
        yield ""
    for below in section.sections:
        yield from _section(below, level + 1)


def _block(block: parts.Block) -> Iterator[str]:
    match block:
        case parts.Para(line):
            yield from wrap(line, COLUMNS)
        case parts.Items(lines):
            for line in lines:
                yield from wrap(f"- {line}", COLUMNS, "  ")
        case parts.Steps(lines):
            for i, line in enumerate(lines, 1):
                yield from wrap(f"{i}. {line}", COLUMNS, "   ")
        case parts.Facts(pairs):
            for name, what in pairs:
                yield from wrap(f"{name}: {what}", COLUMNS, "    ")
        case parts.Table():
            yield from table(block)
        case parts.Legend(intro, _, in_characters):
            yield from wrap(intro, COLUMNS)
            for sign, what in in_characters(True):
                first, *rest = wrap(what, COLUMNS - LEGEND_INDENT)
                yield f"  {sign}".ljust(LEGEND_INDENT) + first
                yield from (" " * LEGEND_INDENT + line for line in rest)
        case parts.Drawing():
            if block.caption:
                yield from wrap(block.caption, COLUMNS)
                yield ""
            yield from block.lines(True)
            if block.told:
                yield ""
            for line in block.told:
                yield from wrap(line, COLUMNS)


def cell_text(cell: parts.Cell) -> str:
    """A cell in plain characters."""
    return cell.drawn("[]") if isinstance(cell, parts.Boxes) else cell


def table(made: parts.Table) -> Iterator[str]:
    """Columns as wide as they need, the widest made narrower until all fit."""
    yield from wrap(made.caption, COLUMNS)
    grid = [list(made.head), *([cell_text(cell) for cell in row] for row in made.rows)]
    widths = _widths(grid)
    yield from _row(grid[0], widths)
    yield (" " * GAP).join("-" * width for width in widths)
    for row in grid[1:]:
        yield from _row(row, widths)


def _widths(grid: Sequence[Sequence[str]]) -> list[int]:
    widths = [max(1, *(columns(row[i]) for row in grid)) for i in range(len(grid[0]))]
    room = COLUMNS - GAP * (len(widths) - 1)
    while sum(widths) > room:
        widths[widths.index(max(widths))] -= 1
    return widths


def _row(cells: Sequence[str], widths: Sequence[int]) -> Iterator[str]:
    wrapped = [wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for pieces in zip_longest(*wrapped, fillvalue=""):
        line = (part + " " * (width - columns(part)) for part, width in zip(pieces, widths, strict=True))
        yield (" " * GAP).join(line)
