"""A published pattern, row by row, as the knit side shows it; and back out to words.

Places count needles from the left at the bed, which is the right edge seen
from the knit side: a right-side row is worked from place 0 on, a wrong-side
row from the last place back. A crossing stands with the row before which it is
made, as a hand knitter makes it: the stitches change places, then the row is
worked.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from itertools import pairwise

from purlside.bed.needles import Side
from purlside.fabric.written import WrittenCross
from purlside.values import Value


class Placed(Value):
    """A cable in a row; ``place`` is its leftmost stitch at the bed."""

    place: int
    cross: WrittenCross


class PatternRow(Value):
    """One row once it is worked: ``faces`` has k or p for each stitch, as the knit side shows it.

    ``line`` and ``text`` are where and how it stands in the pattern; line 0 where it was not written.
    """

    number: int
    right_side: bool
    faces: str
    crossed: tuple[Placed, ...] = ()
    line: int = 0
    text: str = ""


class RemarkKind(StrEnum):
    """How much a remark changes what is knit."""

    WRONG = "cannot be followed"
    LEFT_OUT = "left out"
    READ_AS = "read as"


class Remark(Value):
    """What a reader has to be told of a line and a place in it."""

    line: int
    where: str
    why: str
    kind: RemarkKind = RemarkKind.READ_AS

    def __str__(self) -> str:
        return ": ".join(part for part in (f"line {self.line}" if self.line else "", self.where, self.why) if part)


class Pattern(Value):
    """Rows from the first on without a gap; ``repeat`` are the first and last of those that come again."""

    title: str
    stitches: int
    rows: tuple[PatternRow, ...]
    repeat: tuple[int, int]
    remarks: tuple[Remark, ...] = ()

    @property
    def wrong(self) -> bool:
        """Whether it cannot be followed as it stands."""
        return any(remark.kind is RemarkKind.WRONG for remark in self.remarks)


def words(pattern: Pattern) -> Iterator[str]:
    """The pattern as it would be published, a row a line; rows that read alike share one."""
    yield pattern.title
    yield f"Cast on {pattern.stitches} sts."
    told: dict[str, list[PatternRow]] = {}
    before: PatternRow | None = None
    plain = _as_they_appear(pattern)
    for row in pattern.rows:
        if not (plain and not row.right_side):
            told.setdefault(row_words(row, before), []).append(row)
        before = row
    first_plain = next((r.number for r in pattern.rows if not r.right_side), 0) if plain else 0
    for text, rows in told.items():
        if first_plain and rows[0].number > first_plain:
            yield f"Row {first_plain} and all WS rows: work the stitches as they appear."
            first_plain = 0
        named = " and ".join(filter(None, [", ".join(str(r.number) for r in rows[:-1]), str(rows[-1].number)]))
        yield f"Row{'s' if len(rows) > 1 else ''} {named} ({'RS' if rows[0].right_side else 'WS'}): {text}."
    if first_plain:
        yield f"Row {first_plain} and all WS rows: work the stitches as they appear."
    first, last = pattern.repeat
    if last > first:
        yield f"Repeat rows {first}-{last}."


def _as_they_appear(pattern: Pattern) -> bool:
    """Whether every wrong-side row shows what the row before it does."""
    rows = pattern.rows
    wrong = [(a, b) for a, b in pairwise(rows) if not b.right_side]
    return bool(wrong) and rows[0].right_side and all(a.faces == b.faces and not b.crossed for a, b in wrong)


def row_words(row: PatternRow, before: PatternRow | None = None) -> str:
    """``"p2, 3/3 RC, p2, k4"``, a repeat in it told once; on the wrong side as it is worked there."""
    if before is not None and not row.right_side and row.faces == before.faces and not row.crossed:
        return "work the stitches as they appear"
    tokens = list(_tokens(row))
    head, unit, times, tail = _repeated(tokens)
    if times < 2:
        return ", ".join(word for word, _ in tokens)
    end = f"to last {sum(n for _, n in tail)} sts" if tail else "to end"
    again = f"*{', '.join(word for word, _ in unit)}; rep from * {end}"
    return ", ".join([*(word for word, _ in head), again, *(word for word, _ in tail)])


_Token = tuple[str, int]
"""A word of a row, and how many stitches it works."""


def _tokens(row: PatternRow) -> Iterator[_Token]:
    """The words of a row in the order worked."""
    crossed = {placed.place: placed.cross for placed in row.crossed}
    run, count, at = "", 0, 0
    faces = row.faces if row.right_side else other_side(row.faces)
    while at < len(faces):
        cross = crossed.get(at) if row.right_side else None
        if run and (cross is not None or faces[at] != run):
            yield f"{run}{count}", count
            run, count = "", 0
        if cross is not None:
            yield cross.name, cross.width
            at += cross.width
        else:
            run, count, at = faces[at], count + 1, at + 1
    if run:
        yield f"{run}{count}", count


def other_side(faces: str) -> str:
    """What is knit here is a purl there, and the row runs the other way."""
    return faces[::-1].translate(str.maketrans("kp", "pk"))


def _repeated(tokens: list[_Token]) -> tuple[list[_Token], list[_Token], int, list[_Token]]:
    """(before it, what comes again, how often, after it): what shortens the row most."""
    best: tuple[int, list[_Token], list[_Token], int, list[_Token]] = (0, tokens, [], 0, [])
    for start in range(min(4, len(tokens))):
        for length in range(1, (len(tokens) - start) // 2 + 1):
            unit, times = tokens[start : start + length], 1
            while tokens[start + times * length : start + (times + 1) * length] == unit:
                times += 1
            if (saved := (times - 1) * length - 1) > best[0]:
                best = saved, tokens[:start], unit, times, tokens[start + times * length :]
    return best[1:]


def drawn(pattern: Pattern, ascii_only: bool = False) -> Iterator[str]:
    """The pattern drawn beside its text, the last row on top, seen from the knit side: a dash is a purl, a blank a knit."""
    dash, line = ("-", "|") if ascii_only else ("─", "│")
    wide = max((len(str(row.number)) for row in pattern.rows), default=1)
    for row in reversed(pattern.rows):
        cells = [dash if face == "p" else " " for face in row.faces]
        for placed in row.crossed:
            cross = placed.cross
            right = cross.lean is Side.RIGHT
            front = ("/" if right else "\\") * cross.front
            back = (dash if cross.purled else "_") * cross.back
            cells[placed.place : placed.place + cross.width] = front + back if right else back + front
        seen = "".join(reversed(cells))
        text = " ".join(row.text.split()) or "(not written: as the stitches appear)"
        yield f"{row.number:>{wide}} {line}{seen}{line} {text}"
