"""The count line: the row, and the state of the machine that the needles do not show."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from purlside.bed.moves import size_text
from purlside.bed.needles import Side
from purlside.rows.calendar import CableCount
from purlside.rows.counter import Reading
from purlside.shown.capitals import capitals
from purlside.text.signs import Glyphs, Line, Run, Tone, columns, cut

GAP = "   "


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Where the knitting is: ``row`` of ``rows``, carriage, dial, lever, the machine's counter, each cable's repeat."""

    row: int
    rows: int
    finished: bool
    side: Side
    dial: float
    hold: bool
    reading: Reading | None
    cables: tuple[CableCount, ...]
    named: Callable[[int], str]
    """A row in knitting order as it is told."""
    ahead: int
    """Rows ahead from which a crossing is called."""
    pace: str = ""
    part: str = ""
    """The part in hand; empty in the panel."""
    stitches: int = 0
    """Stitches on the needles now; 0: not told."""
    shaping: str = ""
    """What is shaped next, and when."""

    @property
    def place(self) -> str:
        """``"of 420"``, ``"of 260, right shoulder"``."""
        return f"of {self.rows:,}{f', {self.part}' if self.part else ''}{', finished' if self.finished else ''}"

    @property
    def machine(self) -> str:
        """Dial, hold lever, counter."""
        counter = "" if self.reading is None else f"{GAP}counter {self.reading}"
        return f"SS {size_text(self.dial)}{GAP}hold {'on' if self.hold else 'off'}{counter}"

    @property
    def crossing(self) -> str:
        """How far the next crossing row is: ``"crossing in 7 rows"``."""
        away = min((c.rows_away for c in self.cables if c.rows_away is not None), default=None)
        if away is None:
            return "all crossed" if self.cables else ""
        return {0: "crossing row", 1: "crossing next row"}.get(away, f"crossing in {away:,} rows")


def when(cable: CableCount, named: Callable[[int], str]) -> str:
    """When a cable crosses next: ``"crosses after row 15, in 7"``."""
    if cable.rows_away is None or cable.next_row is None:
        return "all crossed"
    if cable.rows_away == 0:
        return "cross it after this row"
    return f"crosses after row {named(cable.next_row)}, in {cable.rows_away:,}"


def drawn(counts: Counts, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """The counts in ``height`` lines: in three and more the row as a large figure, in fewer all of it in words."""
    if height < 3:
        return _small(counts, width, height)
    figure = capitals(f"{counts.row}", glyphs=glyphs)
    column = len(figure[0]) + 2
    facts = _facts(counts, width - column - 2, height)
    blank = " " * len(figure[0])
    return [
        [(f"  {figure[y] if y < len(figure) else blank}  ", Tone.FIGURE), *(facts[y] if y < len(facts) else [])]
        for y in range(height)
    ]


def _small(counts: Counts, width: int, height: int) -> list[Line]:
    side = counts.side.carriage
    if counts.finished:
        return [[(f" Finished, {counts.rows:,} rows ", Tone.FIGURE), (f" {side}", Tone.STRONG)]]
    where: Line = [(f" Row {counts.row:,} {counts.place} ", Tone.FIGURE), (f" {side}", Tone.STRONG)]
    facts = [counts.machine, counts.crossing]
    if height == 1:
        return [_filled(where, facts, width)]
    first = _filled(where, facts[:1], width)
    if len(first) == len(where):
        dial, _, rest = counts.machine.partition(GAP)
        return [_filled(where, [dial], width), _filled([], [rest, *facts[1:]], width)]
    return [first, _filled([], facts[1:], width)]


def _filled(line: Line, facts: Sequence[str], width: int) -> Line:
    """A line with as many of the facts behind it as fit, each as short as it must be."""
    line = list(line)
    for fact in filter(None, facts):
        room = width - columns(line)
        spelt = next((each for each in (fact, fact.replace(GAP, "  "), _shorter(fact)) if len(each) + 2 <= room), None)
        if spelt is not None:
            gap = GAP if len(spelt) + len(GAP) <= room and line else "  " if line else " "
            line.append((f"{gap}{spelt}", Tone.PLAIN))
    return line


def _shorter(fact: str) -> str:
    return fact.replace(GAP, "  ").replace("counter", "RC").replace("crossing in", "cross in")


def _facts(counts: Counts, width: int, height: int) -> list[Line]:
    of = f"{counts.place}{f', {counts.stitches:,} st' if counts.stitches else ''}"
    stands = [(counts.side.carriage, Tone.STRONG), (f" carriage on the {counts.side}", Tone.QUIET)]
    machine = counts.machine
    if len(of) + len(machine) + 30 > width:
        stands, machine = stands[:1], machine.replace(GAP, "  ")
    first = _apart([(of, Tone.PLAIN)], [(f"{machine}{GAP}", Tone.PLAIN), *stands], width)
    cables = sorted(counts.cables, key=lambda c: (c.rows_away is None, c.rows_away or 0))
    room = max(1, height - 2)
    told = _cable_lines(cables, counts.named, width, room, counts.ahead)
    if counts.shaping:
        shaped: Line = [(cut(counts.shaping, width), Tone.PLAIN)]
        told = [shaped, *told] if height > 3 or not cables else [_joined(counts.shaping, told[0], width)]
    return [first, *told[: height - 2], [(counts.pace, Tone.QUIET)]]


def _joined(shaping: str, cables: Line, width: int) -> Line:
    """What is shaped next and the cables' counters in one line, as far as both fit."""
    spare = width - columns(cables) - len(GAP)
    return [*cables, (GAP + cut(shaping, spare), Tone.PLAIN)] if spare > 12 else cables


def _apart(left: Line, right: Line, width: int) -> Line:
    """Two parts of a line, the second at the right end."""
    return [*left, (" " * max(2, width - columns(left) - columns(right) - 1), Tone.PLAIN), *right]


def _cable_lines(
    cables: Sequence[CableCount], named: Callable[[int], str], width: int, most: int, ahead: int
) -> list[Line]:
    """The cables' counters, soonest first, as many to a line as fit; those left out are counted."""
    found: list[Line] = [[]]
    used = 0
    for i, cable in enumerate(cables):
        last = len(found) == most
        more = f"  +{len(cables) - i} more"
        count = f" {cable.done} of {cable.of}, {when(cable, named)}"
        text = f"{cable.name}{':' if cable.name[-1].isdigit() else ''}{count}"
        spare = len(more) if last and i + 1 < len(cables) else 0
        if used and used + len(text) + len(GAP) + spare > width:
            if last:
                found[-1].append((more, Tone.STRONG))
                break
            found.append([])
            used = 0
            spare = len(more) if len(found) == most and i + 1 < len(cables) else 0
        if not used and len(text) + spare > width:
            # A name is known by its beginning; the count is not.
            text = f"{cable.name[: max(1, width - spare - len(count) - 1)]}…{count}"
        near = cable.rows_away is not None and cable.rows_away <= ahead
        run: Run = (f"{GAP if used else ''}{text}", Tone.STRONG if near else Tone.PLAIN)
        found[-1].append(run)
        used += len(run[0])
    return found
