"""A sheet as Markdown, with the tables most readers of it know."""

from __future__ import annotations

import re
from collections.abc import Iterator

from purlside.sheet import parts

_SPECIAL = re.compile(r"[\\`*_\[\]<>#|~&!$]")
_AT_START = re.compile(r"^(\s*)([-+=:]|\d+[.)])")
_MOST_LEVELS = 6


def markdown(sheet: parts.Sheet) -> str:
    """The whole sheet. Text of the plan can neither mark itself up nor bring HTML."""
    lines = [f"# {escape(sheet.title)}", ""]
    for block in sheet.lead:
        lines += [*_block(block), ""]
    for section in sheet.sections:
        lines += _section(section, 2)
    return "\n".join(lines).rstrip() + "\n"


def escape(line: str) -> str:
    """Plain text that Markdown shows as it is, on one line."""
    line = _SPECIAL.sub(lambda m: "\\" + m[0], " ".join(line.split()))
    # A dash or a number at the start would begin a list or underline a heading.
    return _AT_START.sub(lambda m: m[1] + (m[2][:-1] + "\\" + m[2][-1]), line)


def _section(section: parts.SheetSection, level: int) -> Iterator[str]:
    yield f"{'#' * min(level, _MOST_LEVELS)} {escape(section.heading)}"
    yield ""
    for block in section.blocks:
        yield from _block(block)
        yield ""
    for below in section.sections:
        yield from _section(below, level + 1)


def _block(block: parts.Block) -> Iterator[str]:
    match block:
        case parts.Para(line):
            yield escape(line)
        case parts.Items(lines):
            yield from (f"- {escape(line)}" for line in lines)
        case parts.Steps(lines):
            yield from (f"{i}. {escape(line)}" for i, line in enumerate(lines, 1))
        case parts.Facts(pairs):
            yield from (f"- **{escape(name)}**: {escape(what)}" for name, what in pairs)
        case parts.Table(caption, head, rows):
            yield escape(caption)
            yield ""
            yield _row(tuple(head))
            yield "|" + " --- |" * len(head)
            yield from map(_row, rows)
        case parts.Legend(intro, _, in_characters):
            yield escape(intro)
            yield ""
            yield from (f"- `{sign}` {escape(what)}" for sign, what in in_characters(False))
        case parts.Drawing():
            yield escape(block.caption) if block.caption else f"*{escape(block.alt)}*"
            yield ""
            yield from ("```text", "\n".join(block.lines(False)), "```")
            yield ""
            yield from (f"- {escape(line)}" for line in block.told)


def _row(cells: tuple[parts.Cell, ...]) -> str:
    return "| " + " | ".join(_cell(cell) for cell in cells) + " |"


def _cell(cell: parts.Cell) -> str:
    return cell.drawn("☐") if isinstance(cell, parts.Boxes) else escape(cell)
