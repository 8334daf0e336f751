"""A written pattern laid on the bed, as cables and purl columns; and a plan's rows back as a pattern.

A hand knitter crosses the stitches and then works the row; at the bed the row
is knit first and crossed after. So a cable written in row 5 is crossed after
row 4, and where the first row crosses already one plain row is knit before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from purlside.bed.needles import Crossing, Needle, Side, Span, spans
from purlside.draft.beginning import USUAL_NEEDLES, USUAL_PITCH_MM
from purlside.draft.leftout import is_shaped, left_out, moved_with_edge
from purlside.fabric import written
from purlside.fabric.pattern import Pattern, PatternRow, Placed, Remark, RemarkKind, drawn
from purlside.fabric.written import WrittenCross
from purlside.plan.machine import Machine
from purlside.plan.plan import MOST_CROSSINGS, MOST_ENTRIES, Cable, Panel, Plan, StitchWork
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from purlside.text.counts import counted
from purlside.values import Value

MOST_DROPPED = 16
"""Rows of a purl column latched up at one time where nothing asks for fewer. Ours: a ladder of more is slow to latch."""
MOST_TURNS = 100
"""Crossings a cable may take in turn, as in a plan."""


class Laid(Value):
    """What a pattern comes to on the bed; ``shift`` is how many rows the panel has before the pattern's first.

    ``purl`` are columns that show purl on the knit side: each time ``every`` rows are dropped and latched up.
    """

    needles: Span
    rows: int
    shift: int
    cables: tuple[Cable, ...]
    purl: tuple[StitchWork, ...]
    remarks: tuple[Remark, ...]


def lay(pattern: Pattern, left: Needle, repeats: int = 1) -> Laid:
    """The pattern with its repeat of rows worked ``repeats`` times, its leftmost needle at the bed ``left``.

    Raises ValueError for a pattern that is wrong, or too much for one plan.
    """
    if pattern.wrong or not pattern.rows:
        raise ValueError("the pattern cannot be followed as it stands")
    return _Laying(pattern, left, repeats).laid()


_Event = tuple[int, Placed]
"""A cable, and how many rows of the pattern come before the row it is written in."""


def plan_of(
    pattern: Pattern, repeats: int = 4, pitch_mm: float = USUAL_PITCH_MM, size: float = 5.0
) -> tuple[Plan, Laid]:
    """A plan of a pattern, in the middle of the bed. Raises ValueError for one that no plan holds."""
    laid = lay(pattern, Needle(-(pattern.stitches // 2)), repeats)
    machine = Machine(pitch_mm=pitch_mm, needles=USUAL_NEEDLES)
    if laid.needles.left not in machine.bed or laid.needles.right not in machine.bed:
        raise ValueError(f"{pattern.stitches} stitches are more than the {machine.needles} needles of the bed")
    panel = Panel(needles=laid.needles, rows=laid.rows, stitch_size=size)
    return Plan(format=1, title=pattern.title, machine=machine, panel=panel, cable=laid.cables, stitch=laid.purl), laid


class _Laying:
    def __init__(self, pattern: Pattern, left: Needle, repeats: int) -> None:
        self.pattern, self.left, self.repeats = pattern, left, repeats
        self.shift = 1 if pattern.rows[0].crossed else 0
        numbers = [row.number for row in pattern.rows]
        self.begin, self.end = numbers.index(pattern.repeat[0]), numbers.index(pattern.repeat[1]) + 1
        self.period = self.end - self.begin
        self.after = len(numbers) - self.end
        self.rows = self.shift + self.begin + self.period * repeats + self.after
        self.remarks: list[Remark] = []

    def laid(self) -> Laid:
        if self.shift:
            self.say(self.pattern.rows[0], "crosses already: one plain row is knit before it", RemarkKind.READ_AS)
        cables = tuple(self._cables())
        purl = tuple(self._purl())
        if len(cables) > MOST_ENTRIES or sum(len(c.crossings) for c in cables) > MOST_CROSSINGS:
            raise ValueError(f"more cables than one plan holds: {len(cables)}; work fewer repeats across")
        if len(purl) > MOST_ENTRIES:
            raise ValueError(f"purl columns in {len(purl)} stretches, more than one plan holds: work fewer repeats")
        right = Needle(self.left + self.pattern.stitches - 1)
        return Laid(Span(self.left, right), self.rows, self.shift, cables, purl, tuple(self.remarks))

    def say(self, row: PatternRow, why: str, kind: RemarkKind) -> None:
        self.remarks.append(Remark(row.line, f"row {row.number}", why, kind))

    # --- cables ---------------------------------------------------------------

    def _cables(self) -> Iterator[Cable]:
        events = [(i, placed) for i, row in enumerate(self.pattern.rows) for placed in row.crossed]
        for number, (turns, first, every, times) in enumerate((*self._once(events), *self._again(events)), 1):
            cross = turns[0] if len(turns) == 1 else turns
            yield Cable(name=f"cable {number}", cross=cross, first_row=first, every=every, times=times, ease="auto")

    def _crossing(self, placed: Placed) -> Crossing:
        return placed.cross.at(Needle(self.left + placed.place))

    def _once(self, events: Sequence[_Event]) -> Iterator[tuple[tuple[Crossing, ...], int, int | None, int | None]]:
        """Those before and after the rows that come again."""
        for at, placed in events:
            if at < self.begin:
                yield (self._crossing(placed),), at + self.shift, None, None
            elif at >= self.end:
                yield (self._crossing(placed),), at + self.shift + self.period * (self.repeats - 1), None, None

    def _again(self, events: Sequence[_Event]) -> Iterator[tuple[tuple[Crossing, ...], int, int | None, int | None]]:
        """Those of the repeat, gathered where they follow one another evenly over the same stitches."""
        left = sorted(
            ((at - self.begin, self._crossing(placed)) for at, placed in events if self.begin <= at < self.end),
            key=lambda each: (each[0], each[1].span.left),
        )
        counts = [n for n in range(min(self.period, len(left), MOST_TURNS), 0, -1) if self.period % n == 0]
        while left:
            taken = next(chain for n in counts if (chain := _chain(left, self.period // n, n)))
            for event in taken:
                left.remove(event)
            turns = _shortest([crossing for _, crossing in taken])
            every, times = self.period // len(taken), len(taken) * self.repeats
            first = taken[0][0] + self.begin + self.shift
            fits = (self.rows - first) // every + 1
            if times == 1:
                yield turns[:1], first, None, None
            else:
                yield turns, first, every, None if fits == times else times

    # --- purl columns ---------------------------------------------------------

    def _purl(self) -> Iterator[StitchWork]:
        order = [*range(self.begin), *list(range(self.begin, self.end)) * self.repeats]
        order += range(self.end, len(self.pattern.rows))
        ridges = self._ridges()
        faces = [(-1, "k" * self.pattern.stitches)] * self.shift
        faces += [(i, "k" * self.pattern.stitches if i in ridges else self.pattern.rows[i].faces) for i in order]
        # A column is latched up before its stitches, or a neighbour's, are taken elsewhere: after the row before.
        cut: dict[int, set[int]] = {}
        for row, (i, _) in enumerate(faces):
            for placed in self.pattern.rows[i].crossed if i >= 0 else ():
                for place in range(placed.place - 1, placed.place + placed.cross.width + 1):
                    cut.setdefault(place, set()).add(row)
        runs: dict[tuple[tuple[int, int], ...], list[int]] = {}
        for place in range(self.pattern.stitches):
            ends = tuple(_stretches([f[place] == "p" for _, f in faces], cut.get(place, set()), self.period))
            if ends:
                runs.setdefault(ends, []).append(place)
        for stretches, places in runs.items():
            needles = tuple(Needle(self.left + place) for place in places)
            for first, every, times in _evenly(stretches):
                yield StitchWork(needles=needles, do="purl", first_row=first, every=every, times=times)

    def _ridges(self) -> set[int]:
        """Rows that are purl all across between others: a ridge, for which every stitch would have to be turned."""
        found = set()
        for i, row in enumerate(self.pattern.rows):
            beside = self.pattern.rows[max(0, i - 1) : i] + self.pattern.rows[i + 1 : i + 2]
            if set(row.faces) == {"p"} and any("k" in other.faces for other in beside):
                why = "purl on the knit side all across: every stitch would be turned; it is knit plain"
                self.say(row, why, RemarkKind.LEFT_OUT)
                found.add(i)
        return found


def _chain(events: Sequence[tuple[int, Crossing]], every: int, count: int) -> list[tuple[int, Crossing]]:
    """``count`` of the events, ``every`` rows apart, each over stitches of the one before; empty where there are none."""
    first = events[0]
    if first[0] >= every:
        return []
    found = [first]
    while len(found) < count:
        row, crossing = found[-1]
        beside = [e for e in events if e[0] == row + every and e[1].span.overlaps(crossing.span)]
        if not beside:
            return []
        found.append(min(beside, key=lambda e: (e[1].span != crossing.span, e[1].span.left)))
    return found


def _shortest(turns: list[Crossing]) -> tuple[Crossing, ...]:
    """Crossings taken in turn, as few as say it all."""
    many = len(turns)
    return next(tuple(turns[:n]) for n in range(1, many + 1) if many % n == 0 and turns[:n] * (many // n) == turns)


def _stretches(purl: list[bool], cuts: set[int], period: int) -> Iterator[tuple[int, int]]:
    """Rows (first, last), counted from 1, to be latched up together: purl without a break, no more than is quick."""
    most = period if period <= MOST_DROPPED else MOST_DROPPED
    start: int | None = None
    for row, face in enumerate([*purl, False]):
        ends = not face or row in cuts or (start is not None and row - start >= most)
        if start is not None and ends:
            yield start + 1, row
            start = None
        if face and start is None:
            start = row


def _evenly(stretches: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int, int]]:
    """(first row, every, times): stretches of one length, each beginning where the one before ended, as one."""
    groups: list[list[tuple[int, int]]] = []
    for first, last in stretches:
        before = groups[-1][-1] if groups else None
        if before is not None and before[1] + 1 == first and before[1] - before[0] == last - first:
            groups[-1].append((first, last))
        else:
            groups.append([(first, last)])
    for group in groups:
        yield group[0][1], group[0][1] - group[0][0] + 1, len(group)


# --- told ---------------------------------------------------------------------

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
        stitches = sum(len(work.needles) * (work.every or 1) * (work.times or 1) for work in laid.purl)
        yield f"Purl columns, dropped and latched up from the knit side: {stitches:,} stitches in all"
        alike: dict[tuple[tuple[Needle, ...], int | None, int | None], list[StitchWork]] = {}
        for work in laid.purl:
            alike.setdefault((work.needles, work.every, work.times), []).append(work)
        for works in alike.values():
            later = ", ".join(f"{work.first_row:,}" for work in works[1:])
            yield f"  {purl_words(works[0])}{f'; the same after row {later}' if later else ''}"


def cable_words(cable: Cable) -> str:
    """``"cable 1: 3/3 RC, R1-R3 over L3-L1; after row 4, then every 8 rows"``."""
    turns = ", then ".join(f"{written.name(c)}, {c}" for c in cable.crossings[:4])
    more = f" … {len(cable.crossings)} in turn" if len(cable.crossings) > 4 else ""
    again = "" if cable.every is None else f", then every {cable.every} rows"
    times = "" if cable.times is None else f", {cable.times} times"
    return f"{cable.name}: {turns}{more}; after row {cable.first_row:,}{again}{times}"


def purl_words(work: StitchWork) -> str:
    """``"L9, R9-R10: latch up 8 rows after row 8, then every 8 rows, 3 times"``."""
    needles = ", ".join(map(str, spans(work.needles)))
    again = f", then every {work.every} rows, {work.times} times" if (work.times or 1) > 1 else ""
    return f"{needles}: latch up {counted(work.every or 1, 'row')} after row {work.first_row:,}{again}"


# --- a plan's rows, as they would be published --------------------------------


def as_pattern(plan: Plan, first: int = 1, last: int | None = None) -> Pattern:
    """Rows of a plan as a hand knitter would work them, each row written for itself.

    Row 1 is a right-side row, as the knit side shows it; a crossing made after a row stands in the row after it. Its
    remarks say what of the plan the rows leave out; without ``last`` it is the whole plan, of which the parts are.
    """
    whole, last = last is None, plan.panel.rows if last is None else last
    needles = plan.panel.needles
    calendar = Calendar(plan)
    purled: dict[int, set[int]] = {}
    for stitch in plan.stitch:
        repeat = Repeat.within(plan.panel.rows, stitch.first_row, stitch.every, stitch.times)
        for k in range(repeat.of if stitch.do == "purl" else 0):
            end = repeat.first + repeat.every * k
            begin = 1 if stitch.every is None else max(1, end - stitch.every + 1)
            for row in range(begin, end + 1):
                purled.setdefault(row, set()).update(int(n) - int(needles.left) for n in stitch.needles)
    rows = []
    for number in range(first, last + 1):
        here = purled.get(number, set())
        faces = "".join("p" if place in here else "k" for place in range(len(needles)))
        before = calendar.crossed(number - 1) if number > 1 else ()
        made = [c.crossing for c in before if not moved_with_edge(calendar, c, number - 1)]
        crossed = tuple(sorted((_placed(c, needles, faces) for c in made), key=lambda p: p.place))
        rows.append(PatternRow(number, number % 2 == 1, faces, crossed))
    again = (last, last) if is_shaped(plan) else (first, last)
    remarks = tuple(left_out(calendar, first, last, whole=whole))
    return Pattern(plan.title, len(needles), tuple(rows), again, remarks)


def _placed(crossing: Crossing, needles: Span, faces: str) -> Placed:
    front, back = len(crossing.front), len(crossing.back)
    lean = Side.RIGHT if crossing.front_side is Side.RIGHT else Side.LEFT
    place = int(crossing.span.left) - int(needles.left)
    behind = faces[place + front : place + front + back] if lean is Side.RIGHT else faces[place : place + back]
    return Placed(place, WrittenCross(lean, front, back, bool(behind) and set(behind) == {"p"}))
