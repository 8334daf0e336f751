"""The count line: the row, and the state of the machine that the needles do not show."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property

from purlside.bed.moves import size_text
from purlside.knitting.cursor import Knitting
from purlside.rows.calendar import CableCount
from purlside.rows.counter import Reading
from purlside.rows.row import Row, briefly
from purlside.shown.capitals import capitals
from purlside.text.signs import Glyphs, Line, Run, Tone, columns, cut
from purlside.values import Value

GAP = "   "


class CountLines(Value):
    """Where the knitting is: the row, carriage, dial, lever, the machine's counter, each cable's repeat.

    ``ahead`` is how many rows ahead a crossing is called.
    """

    knitting: Knitting
    reading: Reading | None = None
    ahead: int = 1
    pace: str = ""
    panel: str = ""
    """Which panel of how many it is, where the plan is knit again."""

    @cached_property
    def row(self) -> Row:
        """The row in hand, or the last one."""
        return self.knitting.working.calendar.row(min(self.knitting.place.row, self.knitting.rows))

    @cached_property
    def rows(self) -> int:
        """The fabric's last row in the panel, or in the part in hand."""
        knitting, row = self.knitting, self.row
        if row.part is None and not knitting.plan.part:
            return knitting.rows
        calendar = knitting.working.calendar
        following = calendar.next_shaping(row.number + 1)
        while following is not None and calendar.row(following).part == row.part:
            following = calendar.next_shaping(following + 1)
        return calendar.row(knitting.rows if following is None else following - 1).fabric

    @cached_property
    def cables(self) -> tuple[CableCount, ...]:
        return self.knitting.cables()

    @property
    def place(self) -> str:
        """``"of 420"``, ``"of 260, right shoulder"``."""
        part = f", {self.row.part}" if self.row.part else ""
        return f"of {self.rows:,}{part}{', finished' if self.knitting.finished else ''}"

    @property
    def stitches(self) -> int:
        """Needles with stitches, those of another part that wait left out."""
        bed, left = self.knitting.bed, int(self.knitting.bed.panel.left)
        waiting = sum(1 for needle in self.row.waiting if bed.loops[needle - left])
        return len(bed.loops) - bed.loops.count(0) - waiting

    @property
    def carriage(self) -> str:
        """Where it stands, beside COL or COR: ``"carriage on the left"``, ``"carriage right of R33"``."""
        side, (needle, beside) = self.knitting.bed.side, self.knitting.bed.carriage
        return f"carriage on the {side}" if side is not None else f"carriage {beside} of {needle}"

    @property
    def machine(self) -> str:
        """Dial, hold lever, counter."""
        bed = self.knitting.bed
        counter = "" if self.reading is None else f"{GAP}counter {self.reading}"
        return f"SS {size_text(bed.dial)}{GAP}hold {'on' if bed.lever == 'hold' else 'off'}{counter}"

    @property
    def crossing(self) -> str:
        """How far the next crossing row is: ``"crossing in 7 rows"``."""
        away = min((c.rows_away for c in self.cables if c.rows_away is not None), default=None)
        if away is None:
            return "all crossed" if self.cables else ""
        return {0: "crossing row", 1: "crossing next row"}.get(away, f"crossing in {away:,} rows")

    @property
    def shaping(self) -> str:
        """What is shaped next, which time of how many, and when: ``"decrease 1 at both edges, 4 of 12, in 3 rows"``."""
        knitting = self.knitting
        number, calendar = knitting.place.row, knitting.working.calendar
        following = None if knitting.finished else calendar.next_shaping(number)
        if following is None:
            return ""
        row, away = calendar.row(following), following - number
        first = row.shaped[0]
        count = f", {first.k} of {first.of}" if first.of > 1 else ""
        when = "this row" if not away else f"row {row.seen_from(self.row.part)}, in {away:,}"
        return f"{row.shaping}{count}, {when}"


def when(cable: CableCount, named: Callable[[int], str]) -> str:
    """When a cable crosses next: ``"crosses after row 15, in 7"``."""
    if cable.rows_away is None or cable.next_row is None:
        return "all crossed"
    if cable.rows_away == 0:
        return "cross it after this row"
    return f"crosses after row {named(cable.next_row)}, in {cable.rows_away:,}"


def drawn(counts: CountLines, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """The counts in ``height`` lines: in three and more the row as a large figure, in fewer all of it in words."""
    if height < 3:
        return _small(counts, width, height)
    figure = capitals(f"{counts.row.fabric}", glyphs=glyphs)
    column = len(figure[0]) + 2
    facts = _facts(counts, width - column - 2, height)
    blank = " " * len(figure[0])
    return [
        [(f"  {figure[y] if y < len(figure) else blank}  ", Tone.FIGURE), *(facts[y] if y < len(facts) else [])]
        for y in range(height)
    ]


def _small(counts: CountLines, width: int, height: int) -> list[Line]:
    side = counts.knitting.side.carriage
    if counts.knitting.finished:
        return [[(f" Finished, {counts.rows:,} rows ", Tone.FIGURE), (f" {side}", Tone.STRONG)]]
    where: Line = [(f" Row {counts.row.fabric:,} {counts.place} ", Tone.FIGURE), (f" {side}", Tone.STRONG)]
    facts = [counts.machine, counts.crossing, counts.panel]
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
        closer = fact.replace(GAP, "  ")
        shorter = (
            closer.replace("counter", "RC").replace("crossing in", "cross in").replace("crossing next", "cross next")
        )
        spelt = next((each for each in (fact, closer, shorter) if len(each) + 2 <= room), None)
        if spelt is not None:
            gap = GAP if len(spelt) + len(GAP) <= room and line else "  " if line else " "
            line.append((f"{gap}{spelt}", Tone.PLAIN))
    return line


def _facts(counts: CountLines, width: int, height: int) -> list[Line]:
    side, machine = counts.knitting.side, counts.machine
    stitches = counts.stitches
    of = f"{counts.place}{f', {stitches:,} st' if stitches else ''}"
    stands = [(side.carriage, Tone.STRONG), (f" {counts.carriage}", Tone.QUIET)]
    if len(of) + len(machine) + 30 > width:
        stands, machine = stands[:1], machine.replace(GAP, "  ")
    right: Line = [(f"{machine}{GAP}", Tone.PLAIN), *stands]
    first: Line = [(of, Tone.PLAIN), (" " * max(2, width - len(of) - columns(right) - 1), Tone.PLAIN), *right]
    cables = sorted(counts.cables, key=lambda c: (c.rows_away is None, c.rows_away or 0))
    room = max(1, height - 2)
    told = _cable_lines(cables, counts.knitting.named, width, room, counts.ahead)
    quiet = GAP.join(filter(None, (counts.panel, counts.pace)))
    pace: Line = [(quiet, Tone.QUIET)]
    if shaping := counts.shaping:
        shaping = shaping if len(shaping) <= width else briefly(shaping)
        if height > 3 or not cables:
            told = [[(cut(shaping, width), Tone.PLAIN)], *told]
        else:
            spare = width - len(shaping) - len(GAP)
            pace = [
                (cut(shaping, width), Tone.PLAIN),
                *([(GAP + quiet, Tone.QUIET)] if len(quiet) <= spare else []),
            ]
    return [first, *told[: height - 2], pace]


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
