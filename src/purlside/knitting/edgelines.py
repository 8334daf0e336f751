"""The line of "What happened?" about edges: shaping forgotten, done at one edge only, or done late."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress

from purlside.bed.needles import Side
from purlside.knitting.deviations import Deviation, DoesNotFit, Reshaped, RippedBack
from purlside.knitting.differing import CannotBe, differ
from purlside.knitting.happening import Group, Happening, Here, Way
from purlside.knitting.shapings import Shaping, shapings
from purlside.plan.mirror import written_out
from purlside.plan.plan import Shape
from purlside.text.counts import counted
from purlside.work.work import edge_kind

LISTED = 5
"""Rows named in the hint; those before them can be said too."""

ROWS_LATE = 4
"""Rows tried for what was forgotten, as the next one may leave no room for it; further on an edge would show it. Ours."""

NOUNS = {"cast off": "casting off", "cast on": "casting on", "hold": "short row"}
"""What a kind of shaping is called where its verb will not do."""

LESS = {
    "decrease": "{} wider",
    "increase": "{} narrower",
    "cast off": "{} wider",
    "cast on": "{} narrower",
    "hold": "{} fewer rest",
    "return": "{} rest on",
}
"""What an edge is like from there on without it."""


class EdgeLines(Here):
    """Of the panel, or of the part in hand, all shaping that came up in rows knit."""

    group = Group.BED

    def lines(self) -> Iterator[Happening]:
        label = "An edge was not shaped as planned"
        if self.finished or self.done:
            why = self.finished or "finish the row first, or go back to its start: edges are shaped before a row"
            yield Happening("e", label, not_now=why)
            return
        due = self._due()
        if not due:
            part = self.knitting.row.part if self.knitting.row else None
            why = "no edge was to be shaped yet"
            if part is not None:
                why += f" in {part}; of what was knit before it, go back to its rows and say it there"
            yield Happening("e", label, not_now=why)
            return
        rows = list(due)
        first, others = rows[0], ", ".join(f"{row:,}" for row in rows[1 : 1 + LISTED])
        words = "; ".join(dict.fromkeys(self._words(time, due[first]) for time in due[first]))
        before = f"; before it {others}" if others else ""
        since = f". If it was done since, before row {first + 1:,}, say {first} {first + 1}"
        yield Happening("e", label, self._of, "Which row's shaping was missed?", f"{first:,}: {words}{before}{since}")

    def _shape(self, time: Shaping) -> Shape:
        return written_out(self.course.shaped_plan(self.row)).shape[time.shape]

    def _words(self, time: Shaping, times: Sequence[Shaping]) -> str:
        shape = self._shape(time)
        both = len({each.edge for each in times if each.shape == time.shape}) > 1
        return f"{shape.do} {shape.stitches} at {'both edges' if both else f'the {time.edge} edge'}"

    def _due(self) -> dict[int, list[Shaping]]:
        """The shaping of rows knit, by their rows as told, the latest first."""
        found: dict[int, list[Shaping]] = {}
        course, row = self.course, self.knitting.row
        if row is None:
            return found
        first = course.shaped_from(self.row)
        times = [t for t in shapings(course.shaped_plan(self.row), row.part) if t.row >= first]
        for time in sorted(times, key=lambda t: (-t.row, t.edge.step)):
            number = course.row_of(time.row)
            kind = edge_kind(self._shape(time).do)
            if number < self.row and any(isinstance(w, kind) and w.edge is time.edge for w in course.row(number).works):
                found.setdefault(course.row(number).fabric, []).append(time)
        return found

    def _number(self, fabric: int) -> int:
        """The row in knitting order, of the panel or part in hand."""
        return self.course.begins(self.row) + fabric - self.course.row(self.course.begins(self.row)).fabric

    def _of(self, text: str) -> tuple[Way, ...]:
        due = self._due()
        named = ", ".join(f"{row:,}" for row in due)
        match = re.fullmatch(r"\s*([0-9]{1,6})(?:\s+([0-9]{1,6}))?\s*", text)
        if match is None or (fabric := int(match[1])) not in due:
            raise ValueError(
                f"allowed: a row that shapes an edge, {named}; then, if it was done since, before which row"
            )
        low, high = fabric + 1, self.course.row(self.row).fabric
        if match[2] and not low <= int(match[2]) <= high:
            raise ValueError(f"allowed: done before a row from {low:,} to {high:,}")
        return tuple(self._ways(due[fabric], fabric, self._number(int(match[2])) if match[2] else None))

    def _ways(self, times: Sequence[Shaping], fabric: int, to: int | None) -> Iterator[Way]:
        done = list(dict.fromkeys(self._shape(time).do for time in times))
        work = f"the {NOUNS.get(done[0], done[0]) if len(done) == 1 else 'shaping'} of row {fabric:,}"
        edges = {time.edge: [one for one in times if one.edge is time.edge] for time in times}
        forgotten = {edge: f"Only the {edge} edge was forgotten:" for edge in edges if len(edges) > 1}
        whole = f"Do {work}" if to is None else f"{work[0].upper()}{work[1:]} was done"
        why = ""
        for label, its in [(whole, times), *((words, edges[edge]) for edge, words in forgotten.items())]:
            try:
                yield self._soonest(label, its, to)
            except (CannotBe, DoesNotFit) as error:
                why = why or f". Not later: {error}"
        without = [(f"Leave {work} out", times)]
        without += [(f"{words} leave it out there", edges[edge]) for edge, words in forgotten.items()]
        for label, its in without:
            with suppress(CannotBe, DoesNotFit):
                yield self._way(label, its, {}, f"{self._less(its)} from there on")
        yield from self._rips(fabric, self.course.row_of(times[0].row), edges, why)

    def _less(self, times: Sequence[Shaping]) -> str:
        """What the edges are like without it: ``"1 wider at each edge"``."""
        told: dict[str, list[Side]] = {}
        for time in times:
            shape = self._shape(time)
            told.setdefault(LESS[shape.do].format(shape.stitches), []).append(time.edge)
        return ", ".join(
            f"{less} at {'each edge' if len(set(edges)) > 1 else f'the {edges[0]} edge'}"
            for less, edges in told.items()
        )

    def _rips(self, fabric: int, due: int, edges: dict[Side, list[Shaping]], why: str) -> Iterator[Way]:
        """Ripping back: what was not shaped has not to be undone on the way."""
        rip, back = RippedBack(self.row, due), f"ip back to row {fabric:,}"
        cost = f"{counted(self.row - due, 'row')} ripped out{why}"
        both = [time for times in edges.values() for time in times]
        tried = [(f"R{back}", both)]
        if len(edges) > 1:
            tried += [(f"Only the {edge} edge was forgotten: r{back}", times) for edge, times in edges.items()]
        for i, (label, times) in enumerate(tried):
            try:
                yield self._way(label, times, {}, cost, rip)
            except (CannotBe, DoesNotFit):
                if not i:
                    yield Way(label, (rip,), cost)

    def _soonest(self, label: str, times: Sequence[Shaping], to: int | None) -> Way:
        """Done before row ``to``, or in the first row from the one in hand that the bed allows. Raises CannotBe, DoesNotFit."""
        first: Exception | None = None
        for later in range(ROWS_LATE if to is None else 1):
            late = {time: to or self._late(time, later) for time in times}
            try:
                row = self.course.row(min(max(late.values()), self.course.rows)).fabric
                return self._way(f"{label} before row {row:,}", times, late, "")
            except (CannotBe, DoesNotFit) as error:
                first = first or error
        assert first is not None, "a row at least was tried"
        raise first

    def _late(self, time: Shaping, later: int) -> int:
        """The row in hand, or the next that begins from the side it wants, and so many of such rows later."""
        at = edge_kind(self._shape(time).do).at_carriage
        if at is None:
            return self.row + later
        return self.row + 2 * later + (self.course.side(self.row) is not (time.edge if at else time.edge.other))

    def _way(self, label: str, times: Sequence[Shaping], rows: dict[Shaping, int], cost: str, *more: Deviation) -> Way:
        """What is said, one edge after the other, and ``more`` after it. Raises CannotBe, DoesNotFit."""
        course = self.course
        said: list[Deviation] = []
        for time in times:
            # What was said first parts the shape: the plan's list is another then.
            plan, do = course.shaped_plan(self.row), self._shape(time).do
            part = self._shape(time).part
            shapes, where = written_out(plan).shape, (time.row, time.edge)
            now = next((t for t in shapings(plan, part) if (t.row, t.edge) == where and shapes[t.shape].do == do), None)
            if now is None:
                raise DoesNotFit("it is done together with what was said of the other edge")
            said.append(Reshaped(self.row, now.edge, now.k, now.shape, rows.get(time, 0)))
            course = course.with_(said[-1])
        said += more
        differ(self.knitting, self.course, *said)
        return Way(label, tuple(said), cost)
