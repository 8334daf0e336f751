"""What happened? Everything that can be said of the knitting at a place: always the same lines, each with its letter.

A line has its ways at once, or asks one question first; each way says what it
does and what it costs. Nothing is changed here. Here stand the lines about rows
and about what holds from here on; those about crossings and the bed stand beside.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from purlside.bed.moves import size_text
from purlside.bed.transfers import Cross
from purlside.knitting import deviations
from purlside.knitting.bedlines import BedLines
from purlside.knitting.course import Course
from purlside.knitting.crossinglines import CrossingLines
from purlside.knitting.cursor import Knitting
from purlside.knitting.differing import passes_done
from purlside.knitting.happening import Group, Happening, Here, Way
from purlside.text.counts import counted
from purlside.work.part import PartBegun

MOST_ADDED = 999
"""Rows too many that can be said at once."""

SKIPPED_AT_ONCE = 20
"""Crossings passed over that can be skipped together."""


class RowLines(Here):
    """Rows too many, too few, ripped back; the other side."""

    group = Group.ROWS

    def lines(self) -> Iterator[Happening]:
        asked = "How many rows too many?", f"1 to {MOST_ADDED}: knit plain, and not counted yet"
        why = self._parts() or ("" if passes_done(self.knitting) else self.begun)
        yield Happening("m", "I knit too many rows", self._too_many, *asked, why)
        most = self.row - self.course.begins(self.row)
        why = self.begun or ("" if most else self._none_counted)
        asked = "How many rows were counted and not knit?", f"1 to {most:,}"
        yield Happening("f", "I counted rows I didn't knit", self._too_few, *asked, why)
        begun = self.row if self.done else self.row - 1
        rows = self._rows(1, max(1, begun))
        asked = "Which row is to be knit next?", f"{rows}: the first of the rows ripped out"
        yield Happening("r", "I'm ripping back", self._ripped, *asked, "" if begun else "nothing is knit yet")
        side = self.knitting.side.other
        stands = f"It stands on the {side} ({side.carriage}), and the count is right"
        cost = "A row knit and not counted is m, one counted and not knit is f"
        way = Way(stands, (deviations.OtherSide(self.row),), cost)
        why = self.finished or self.begun
        yield Happening("o", "The carriage is on the other side", lambda _: self._turned([way]), not_now=why)

    @property
    def _none_counted(self) -> str:
        part = self.knitting.row.part if self.knitting.row else None
        return "this is the first row" if part is None else f"no row of {part} is counted yet"

    def _parts(self) -> str:
        """Why rows can't be added before the first row of a part: they would be that part's, and it is not begun."""
        row = self.knitting.row
        if row is None or self.done or not any(isinstance(work, PartBegun) for work in row.works):
            return ""
        return f"{row.part} begins in this row: go back a row, say it there, and knit on"

    def _turned(self, ways: Iterable[Way]) -> tuple[Way, ...]:
        """Those the bed allows. Raises ValueError, which says what turns the carriage round again."""
        try:
            return self._can(ways)
        except ValueError as error:
            raise ValueError(f"{error}. Knit one plain row, or rip one back: then it stands right") from None

    def _ripped(self, text: str) -> Iterator[Way]:
        to = self._row(text, 1, max(1, self.row if self.done else self.row - 1))
        yield Way("Rip back, and knit on from there", (deviations.RippedBack(self.row, to),))

    def _too_many(self, text: str) -> tuple[Way, ...]:
        """What so many plain rows too many can mean.

        An odd number turns the carriage round: where the plan cannot be knit then, one row more is.
        """
        rows = self._whole(text, 1, MOST_ADDED)
        try:
            return self._can(self._added(rows))
        except ValueError:
            if not rows % 2:
                raise
            more = f"First knit one plain row more, {rows + 1} in all"
            cost = "What comes later wants the carriage on the other side"
            ways = [
                replace(w, label=f"{more}: {w.label[0].lower()}{w.label[1:]}", cost=cost) for w in self._added(rows + 1)
            ]
            return self._turned(ways)

    def _added(self, rows: int) -> Iterator[Way]:
        """The crossings passed over meanwhile: later, in the next row, or not at all."""
        course, row = self.course, self.row
        if passes_done(self.knitting):
            added = deviations.TooMany(row + 1, rows)
            left = {m.cable for m in self.knitting.moves[self.done :] if isinstance(m, Cross)}
            waiting = [c for c in course.crossed(row) if c.name in left]
            skipped = tuple(deviations.Skipped(row, c.name, c.k, prepared=True) for c in waiting)
            if waiting:
                names = ", ".join(c.name for c in waiting)
                late = (deviations.CrossedLate(row + 1 + rows, c.name, c.k) for c in waiting)
                yield Way(f"Cross {names} in the next row, {self._later(1 + rows)}", (*skipped, added, *late))
                yield Way(f"Leave {names} uncrossed", (*skipped, added))
            else:
                yield Way("The plan goes on after them", (added,))
            return
        added = deviations.TooMany(row, rows)
        yield Way(f"The plan goes on {counted(rows, 'row')} later, crossings too", (added,))
        passed = list(self._passed(row, row + rows - 1))
        first = {c.name: (c, due) for c, due in reversed(passed)}
        if coming := [(c, due) for c, due in first.values() if due > row]:
            skipped = tuple(deviations.Skipped(due + rows, c.name, c.k) for c, due in coming)
            late = (deviations.CrossedLate(row + rows, c.name, c.k) for c, _ in coming)
            names = ", ".join(c.name for c, _ in coming)
            yield Way(f"Cross {names} in the next row, {self._later(rows)}", (added, *skipped, *late))
        if 0 < len(passed) <= SKIPPED_AT_ONCE:
            skipped = tuple(deviations.Skipped(due + rows, c.name, c.k) for c, due in passed)
            names = ", ".join(dict.fromkeys(c.name for c, _ in passed))
            yield Way(f"Skip the crossing{'s' if len(passed) > 1 else ''} passed over: {names}", (added, *skipped))

    def _later(self, rows: int) -> str:
        """The row that comes so many later, rows added meanwhile: they are of the part in hand."""
        row = self.knitting.row
        return f"{(row.fabric if row else self.row) + rows:,}"

    def _too_few(self, text: str) -> tuple[Way, ...]:
        """Which side the carriage stands on is asked, not guessed: the way that agrees with the count comes first."""
        rows = self._whole(text, 1, max(1, self.row - self.course.begins(self.row)))
        to, side = self.row - rows, self.knitting.side
        expected = side.other if rows % 2 else side
        counted = self.course.ripped(to).side(to) if to > 0 else side
        ways = []
        for now in (expected, expected.other):
            turned = (deviations.OtherSide(to),) if now is not counted else ()
            said = deviations.TooFew(self.row, rows), *turned
            ways.append(Way(f"The carriage stands on the {now} ({now.carriage})", said))
        return self._can(ways)


class FromHereLines(Here):
    """Another size, the side row 1 was begun from, the machine's counter, a changed plan."""

    group = Group.FROM_HERE

    def lines(self) -> Iterator[Happening]:
        low, high = self.knitting.plan.machine.dial
        row = self.row + bool(self.begun)
        finished = self.finished or ("" if row <= self.course.rows else "this is the last row")
        now = "" if finished else f", now SS {size_text(self.course.size(row))}"
        sizes = f"{size_text(low)} to {size_text(high)}, as 5.5 or 5 1/3"
        asked = f"Which stitch size from row {self.knitting.named(row)} on?", sizes
        yield Happening("t", f"Another stitch size{now}", self._sized, *asked, finished)
        start = self.course.side(1).other
        way = Way(f"It was begun from the {start} ({start.carriage})", (deviations.StartSide(start),))
        yield Happening("b", "Row 1 was begun from the other side", lambda _: [way], not_now=self.begun)
        asked = "What does the machine's counter read now?", "0 to 999999; counted on from there"
        why = "" if self.knitting.counter is not None else "the plan gives no counter_trip under [machine]"
        yield Happening("c", "The machine's counter reads something else", self._reads, *asked, why)
        ways = (
            Way("Count the repeats from here on as the plan is written", plan="written"),
            Way("Take the plan as it is now for every row, knit ones too", plan="whole"),
        )
        changed = len(self.course.stretches) > 1
        why = "" if changed else "it was not: change it with F2 or in an editor, and it holds from the next row on"
        yield Happening("p", "The plan was changed", lambda _: ways, not_now=why)

    def _sized(self, text: str) -> Iterator[Way]:
        row = self.row + bool(self.begun)
        yield Way(
            f"Knit at this size from row {self.knitting.named(row)} on", (deviations.SizeFrom(row, parsed_size(text)),)
        )

    def _reads(self, text: str) -> Iterator[Way]:
        yield Way("Count on from there", reading=self._whole(text, 0, 999_999))


def parsed_size(text: str) -> float:
    """``"5.5"``, ``"5 1/3"``, ``"5⅓"`` → the dial number. Raises ValueError."""
    text = text.strip().replace("⅓", " 1/3").replace("⅔", " 2/3").replace(",", ".")
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,3})?)?(?:\s*\b([0-9])/([1-9]))?", text)
    if match is None or not text:
        raise ValueError("allowed: a stitch size, as 5, 5.5 or 5 1/3")
    return float(match[1] or 0) + (int(match[2]) / int(match[3]) if match[2] else 0)


def happenings(knitting: Knitting, course: Course) -> tuple[Happening, ...]:
    """The list at a place."""
    groups = (RowLines, CrossingLines, BedLines, FromHereLines)
    return tuple(replace(line, group=of.group) for of in groups for line in of(knitting, course).lines())
