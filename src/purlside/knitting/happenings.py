"""What happened? Everything that can be said of the knitting at a place: always the same lines, each with its letter.

A line has its ways at once, or asks one question first; each way says what it
does and what it costs. Nothing is changed here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from purlside.bed.moves import Knit, size_text
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Cross
from purlside.knitting.accidents import Broken, Dropped, HoldOff, Jammed, Recrossed, YarnEnded
from purlside.knitting.course import Course
from purlside.knitting.cursor import Knitting
from purlside.knitting.deviations import (
    CountedFrom,
    CrossedLate,
    Deviation,
    OtherSide,
    RippedBack,
    SizeFrom,
    Skipped,
    StartSide,
    TooFew,
    TooMany,
    WrongHalf,
    rows_text,
)
from purlside.knitting.differing import CannotBe, differ, passes_done
from purlside.knitting.reshaping import DONE, Reshaped, repeat
from purlside.work.crossing import Crossed

MOST_ADDED = 999
"""Rows too many that can be said at once."""

SKIPPED_AT_ONCE = 20
"""Crossings passed over that can be skipped together."""

MOST_DOWN = 99
"""Rows a dropped stitch can have run down: further, and ripping back is less work."""


class Group(StrEnum):
    """What a line is about: the heading it stands under."""

    ROWS = "rows"
    CROSSING = "the last crossing"
    BED = "the bed"
    FROM_HERE = "from here on"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to take it: what is said then, or the machine counter's reading. ``cost`` is what it costs, or a warning."""

    label: str
    deviations: tuple[Deviation, ...] = ()
    reading: int | None = None
    cost: str = ""
    plan: str = ""
    """Of a plan changed on the needles: taken as "written" from here on, or for the "whole" panel."""


@dataclass(frozen=True, slots=True)
class Happening:
    """A line of the list. ``not_now`` says why it cannot be said here.

    ``ways`` gives its ways, from the answer where it asks a ``question``; it raises ValueError with the reason.
    """

    letter: str
    group: Group
    label: str
    ways: Callable[[str], tuple[Way, ...]] = lambda _: ()
    question: str = ""
    hint: str = ""
    not_now: str = ""


def happenings(knitting: Knitting, course: Course) -> tuple[Happening, ...]:
    """The list at a place, always the same lines in the same order."""
    here = _Here(knitting, course)
    return (
        here.too_many(),
        here.too_few(),
        here.ripped_back(),
        here.other_side(),
        here.wrong_half(),
        here.not_done(),
        here.done_late(),
        here.broke(),
        here.hold_off(),
        here.dropped(),
        here.jammed(),
        here.edges(),
        here.yarn_ended(),
        here.size(),
        here.start_side(),
        here.counter(),
        here.plan(),
    )


@dataclass(frozen=True, slots=True)
class _Due:
    """A crossing of the list's middle part: which, and the row after which it was, or is, due."""

    crossed: Crossed
    row: int

    @property
    def words(self) -> str:
        return f"{self.crossed.name}, row {self.row:,}"


class _Here:
    """The lines, one method each."""

    def __init__(self, knitting: Knitting, course: Course) -> None:
        self.knitting, self.course = knitting, course
        self.row, self.done = knitting.place
        self.finished = "the panel is finished" if knitting.finished else ""

    def _whole(self, text: str, low: int, high: int) -> int:
        """Raises ValueError."""
        if re.fullmatch(r"[0-9]{1,9}", text) and low <= int(text) <= high:
            return int(text)
        raise ValueError(f"allowed: a whole number, {low:,} to {high:,}")

    def _can(self, ways: Iterable[Way]) -> tuple[Way, ...]:
        """The ways the bed allows. Raises ValueError with the reason where it allows none."""
        can, why = [], "nothing can be done here"
        for way in ways:
            try:
                differ(self.knitting, self.course, *way.deviations)
                can.append(way)
            except CannotBe as error:
                why = str(error)
        if not can:
            raise ValueError(why)
        return tuple(can)

    # --- rows -------------------------------------------------------------------

    def too_many(self) -> Happening:
        return Happening(
            "m",
            Group.ROWS,
            "I knit too many rows",
            question="How many rows too many?",
            hint=f"1 to {MOST_ADDED}: knit plain, and not counted yet",
            ways=lambda text: tuple(self._too_many(self._whole(text, 1, MOST_ADDED))),
        )

    def _too_many(self, rows: int) -> Iterator[Way]:
        """What so many plain rows too many can mean for the crossings passed over meanwhile."""
        course, row = self.course, self.row
        if passes_done(self.knitting):
            added = TooMany(row + 1, rows)
            left = {m.cable for m in self.knitting.moves[self.done :] if isinstance(m, Cross)}
            waiting = [c for c in course.crossed(row) if c.name in left]
            skipped = tuple(Skipped(row, c.name, c.k, prepared=True) for c in waiting)
            if waiting:
                names = ", ".join(c.name for c in waiting)
                late = (CrossedLate(row + 1 + rows, c.name, c.k) for c in waiting)
                yield Way(f"Cross {names} in the next row, {row + 1 + rows:,}", (*skipped, added, *late))
                yield Way(f"Leave {names} uncrossed", (*skipped, added))
            else:
                yield Way("The plan goes on after them", (added,))
            return
        added = TooMany(row, rows)
        yield Way(f"The plan goes on {rows_text(rows)} later, crossings too", (added,))
        passed = list(self._passed(row, row + rows - 1))
        first = {c.name: (c, due) for c, due in reversed(passed)}
        if coming := [(c, due) for c, due in first.values() if due > row]:
            skipped = tuple(Skipped(due + rows, c.name, c.k) for c, due in coming)
            late = (CrossedLate(row + rows, c.name, c.k) for c, _ in coming)
            names = ", ".join(c.name for c, _ in coming)
            yield Way(f"Cross {names} in the next row, {row + rows:,}", (added, *skipped, *late))
        if 0 < len(passed) <= SKIPPED_AT_ONCE:
            skipped = tuple(Skipped(due + rows, c.name, c.k) for c, due in passed)
            names = ", ".join(dict.fromkeys(c.name for c, _ in passed))
            yield Way(f"Skip the crossing{'s' if len(passed) > 1 else ''} passed over: {names}", (added, *skipped))

    def _passed(self, first: int, last: int) -> Iterator[tuple[Crossed, int]]:
        """The crossings of rows ``first`` to ``last``, and their rows."""
        due = self.course.next_crossing(first)
        while due is not None and due <= last:
            yield from ((crossed, due) for crossed in self.course.crossed(due))
            due = self.course.next_crossing(due + 1)

    def too_few(self) -> Happening:
        most = self.row - 1
        return Happening(
            "f",
            Group.ROWS,
            "I counted rows I didn't knit",
            question="How many rows were counted and not knit?",
            hint=f"1 to {most:,}",
            ways=lambda text: tuple(self._too_few(self._whole(text, 1, max(1, most)))),
            not_now="" if most else "this is the first row",
        )

    def _too_few(self, rows: int) -> Iterator[Way]:
        """Which side the carriage stands on is asked, not guessed: the way that agrees with the count comes first."""
        to, side = self.row - rows, self.knitting.side
        expected = side.other if rows % 2 else side
        counted = self.course.ripped(to).side(to) if to > 0 else side
        for now in (expected, expected.other):
            turned = (OtherSide(to),) if now is not counted else ()
            yield Way(f"The carriage stands on the {now} ({now.carriage})", (TooFew(self.row, rows), *turned))

    def ripped_back(self) -> Happening:
        begun = self.row if self.done else self.row - 1
        return Happening(
            "r",
            Group.ROWS,
            "I'm ripping back",
            question="Which row is to be knit next?",
            hint=f"1 to {begun:,}: the first of the rows ripped out",
            ways=lambda text: (
                Way("Rip back, and knit on from there", (RippedBack(self.row, self._whole(text, 1, max(1, begun))),)),
            ),
            not_now="" if begun else "nothing is knit yet",
        )

    def other_side(self) -> Happening:
        side = self.knitting.side.other
        way = Way(f"It stands on the {side} ({side.carriage})", (OtherSide(self.row),))
        return Happening("o", Group.ROWS, "The carriage is on the other side", lambda _: (way,), not_now=self.finished)

    # --- the last crossing --------------------------------------------------------

    def _in_hand(self) -> set[str]:
        """The cables crossed in the row in hand so far."""
        return {m.cable for m in self.knitting.moves[: self.done] if isinstance(m, Cross)}

    def _last(self) -> list[_Due]:
        """Each cable's crossing made last, the latest first."""
        crossed, found = self._in_hand(), []
        for index, cable in enumerate(self.course.plan.cable):
            row = self.course.last_crossing(self.row + (cable.name in crossed), index)
            if row is not None:
                found += [_Due(c, row) for c in self.course.crossed(row) if c.name == cable.name]
        return sorted(found, key=lambda due: (-due.row, due.crossed.cable))

    def _coming(self) -> list[_Due]:
        """Each cable's next crossing that is not made yet, soonest first."""
        crossed, found = self._in_hand(), []
        for index, cable in enumerate(self.course.plan.cable):
            row = self.course.next_crossing(self.row + (cable.name in crossed), index)
            if row is not None:
                found += [_Due(c, row) for c in self.course.crossed(row) if c.name == cable.name]
        return sorted(found, key=lambda due: (due.row, due.crossed.cable))

    def _which(
        self, letter: str, label: str, listed: list[_Due], ways: Callable[[_Due], Iterable[Way]], none: str
    ) -> Happening:
        """A line about one of several crossings: its number is asked where there is more than one."""
        if not listed:
            return Happening(letter, Group.CROSSING, label, not_now=none)
        if len(listed) == 1:
            return Happening(letter, Group.CROSSING, label, lambda _: self._can(ways(listed[0])))
        named = "; ".join(f"{i} {due.words}" for i, due in enumerate(listed, 1))
        return Happening(
            letter,
            Group.CROSSING,
            label,
            question="Which crossing?",
            hint=named,
            ways=lambda text: self._can(ways(listed[self._whole(text, 1, len(listed)) - 1])),
        )

    def wrong_half(self) -> Happening:
        label, none = "The wrong half is in front", "nothing is crossed yet"
        last = self._last()
        return self._which("w", label, [due for due in last if due.row == last[0].row], self._wrong, none)

    def _wrong(self, due: _Due) -> Iterator[Way]:
        name, crossing, row = due.crossed.name, due.crossed.crossing, self.row
        since = row - due.row - 1
        knit = any(isinstance(m, Knit) for m in self.knitting.moves[: self.done])
        side = crossing.front_side
        if due.row == row or (since == 0 and not knit):
            yield Way(
                f"Cross {name} again, the {side} half first",
                (Recrossed(row, self.done, crossing, 0, name),),
                cost="Nothing is knit over it yet: two lifts",
            )
        else:
            again = Recrossed(due.row + 1, self._after_rip(due.row + 1), crossing, 0, name)
            yield Way(
                f"Rip back to it and cross {name} again",
                (RippedBack(row, due.row + 1), again),
                cost=f"{rows_text(since + bool(self.done))} ripped out",
            )
            stitches = len(crossing.needles)
            if not self._knit_over(crossing, due.row + 1) and not self.done:
                yield Way(
                    f"Let only {name}'s stitches down, cross again, latch them up",
                    (Recrossed(row, 0, crossing, since, name),),
                    cost=f"{stitches} stitches, {rows_text(since)}: {stitches * since:,} loops to latch up",
                )
        if not (due.row == row and self.done and not passes_done(self.knitting)):
            yield Way(
                "Leave it, and remember it",
                (WrongHalf(due.row, name, due.crossed.k),),
                cost="It stays in the fabric, and in picture and ledger",
            )

    def _after_rip(self, to: int) -> int:
        """How many moves of row ``to`` are made once the fabric is ripped back to it."""
        try:
            after = differ(self.knitting, self.course, RippedBack(self.row, to)).knitting
        except CannotBe:
            return 0
        mends = [step for step in after.steps if step.mends]
        return mends[-1].last if mends else 0

    def _knit_over(self, crossing: Crossing, first: int) -> bool:
        """Whether any of its needles is crossed again from row ``first`` on."""
        needles = set(crossing.needles)
        return any(needles & set(c.crossing.needles) for c, _ in self._passed(first, self.row - 1))

    def not_done(self) -> Happening:
        listed = [*self._last(), *self._coming()]
        return self._which(
            "n", "A crossing was forgotten, or is to be left out", listed, self._forgot, "nothing crosses"
        )

    def _forgot(self, due: _Due) -> Iterator[Way]:
        name, k, row = due.crossed.name, due.crossed.k, self.row
        prepared = due.row < row or (due.row == row and self.done > 0)
        skipped = Skipped(due.row, name, k, prepared=prepared)
        into = row if due.row < row and not self.done else max(row, due.row) + 1
        if self.knitting.finished or into > self.course.rows:
            into = 0
        if into:
            late = CrossedLate(into, name, k)
            close = self._close(due.crossed, into)
            yield Way(f"Cross {name} after row {into:,}; the next ones as planned", (skipped, late), cost=close)
            counted = CountedFrom(into, name, k)
            yield Way(f"Cross {name} after row {into:,}, and count its repeats from there", (skipped, late, counted))
        yield Way(f"Leave it out: {name} is not crossed in row {due.row:,}", (skipped,))
        if due.row < row:
            yield Way(
                f"Rip back to row {due.row:,} and cross it there",
                (skipped, RippedBack(row, due.row)),
                cost=f"{rows_text(row - due.row)} ripped out",
            )

    def _close(self, crossed: Crossed, row: int) -> str:
        """A warning where the crossing after one made in row ``row`` comes closer than the cable has stitches."""
        following = self.course.next_crossing(max(row, self.row) + 1, crossed.cable)
        stitches = len(crossed.crossing.needles)
        if following is None or following - row >= stitches:
            return ""
        return (
            f"Then {crossed.name} crosses again {rows_text(following - row)} later, in row {following:,}: "
            f"{stitches} or more are usual for {stitches} stitches, and it will pull in"
        )

    def done_late(self) -> Happening:
        course, row = self.course, self.row
        missed = [_Due(c, course.skipped_row((c.name, c.k))) for c in course.missed(row)]
        seen: dict[str, _Due] = {}
        for due in [*missed, *(due for due in self._last() if due.row < row)]:
            seen.setdefault(due.crossed.name, due)
        listed = list(seen.values())
        last = row if not self.finished else row - 1
        if not listed or last <= listed[0].row:
            return Happening("l", Group.CROSSING, "A crossing was made late", not_now="none was skipped or forgotten")

        def answer(text: str) -> tuple[Way, ...]:
            *name, number = text.split()
            due = next((d for d in listed if not name or d.crossed.name == " ".join(name)), None)
            if due is None:
                raise ValueError(f"allowed: {', '.join(d.crossed.name for d in listed)}, and a row")
            at = self._whole(number, due.row + 1, last)
            return self._can(self._late(due, at, missed=due in missed))

        named = "; ".join(due.words for due in listed)
        hint = f"{named}. A row up to {last:,}" + (f", as {listed[0].crossed.name} {last}" if len(listed) > 1 else "")
        question = "After which row was it crossed, or will it be?"
        return Happening("l", Group.CROSSING, "A crossing was made late", answer, question, hint)

    def _late(self, due: _Due, at: int, *, missed: bool) -> Iterator[Way]:
        name, k = due.crossed.name, due.crossed.k
        skipped = () if missed else (Skipped(due.row, name, k, prepared=True),)
        made = CrossedLate(at, name, k, plain=at < self.row or self.done > 0)
        yield Way("The next ones as planned", (*skipped, made), cost=self._close(due.crossed, at))
        yield Way(f"Count its repeats from row {at:,}", (*skipped, made, CountedFrom(at, name, k)))

    def broke(self) -> Happening:
        last = self._last()
        return Happening(
            "x",
            Group.CROSSING,
            "A stitch broke as it was crossed",
            lambda text: self._can(self._broke(Span.parse(text.strip().upper()), last)),
            "On which needle does it hang, or did it?",
            "as L3, or L3-L2 for two",
            self.finished or ("" if last else "nothing is crossed yet"),
        )

    def _broke(self, needles: Span, last: list[_Due]) -> Iterator[Way]:
        yield Way("Mend the stitch with a length of yarn, and go on", (Broken(self.row, self.done, needles),))
        due = next((due for due in last if set(needles) & set(due.crossed.crossing.needles)), last[0])
        back = RippedBack(self.row, due.row)
        cost = f"{rows_text(self.row - due.row + bool(self.done))} ripped out; change its ease with F2, it holds from there"
        yield Way(f"Rip back to row {due.row:,}, and knit it with more ease", (back,), cost=cost)

    # --- the bed -------------------------------------------------------------------

    def _push(self) -> int | None:
        """How many of the row's moves are made when the step's push comes next; None where it has none."""
        step = self.knitting.step
        if step is None or step.mends or not (step.knits or step.backs_up):
            return None
        return step.last - 1

    def _accident(
        self, letter: str, label: str, question: str, hint: str, ways: Callable[[Needle], Iterable[Way]]
    ) -> Happening:
        why = self.finished or ("" if self._push() is not None else "the step in hand takes the carriage nowhere")
        return Happening(
            letter,
            Group.BED,
            label,
            question=question,
            hint=hint,
            ways=lambda text: self._can(ways(Needle.parse(text.strip().upper()))),
            not_now=why,
        )

    def hold_off(self) -> Happening:
        return self._accident(
            "h",
            "Hold was off: held needles knit",
            "Which needle was knit last?",
            "in the pass on screen; Backspace first if it was the one before",
            self._hold_off,
        )

    def _hold_off(self, last: Needle) -> Iterator[Way]:
        done = self._push() or 0
        row, course = self.row, self.course
        told = (
            ("back", "Unknit what knit wrongly, and go on as planned", ""),
            ("plain", "Knit the row on plain, and cross all the same", "It goes over tighter: no ease was knit"),
            ("plain", "Knit the row on plain, and leave the crossing out", ""),
            ("start", "Unknit to the start of the row", ""),
        )
        crossings = course.crossed(row)
        for way, label, cost in told:
            out = "out" in label.split()
            if way == "plain" and not crossings:
                if out:
                    continue
                label, cost = "Knit the row on plain", ""
            skipped = tuple(Skipped(row, c.name, c.k, prepared=True) for c in crossings) if out else ()
            yield Way(label, (HoldOff(row, done, last, way), *skipped), cost=cost)

    def dropped(self) -> Happening:
        return Happening(
            "s",
            Group.BED,
            "A stitch has dropped",
            question="Which needle, and how many rows down?",
            hint="as L5 3, or L5-L7 3; 0 if it is only off its needle",
            ways=self._dropped,
            not_now=self.finished,
        )

    def _dropped(self, text: str) -> tuple[Way, ...]:
        match = re.fullmatch(r"\s*(\S+?)\s+([0-9]{1,3})\s*|\s*(\S+?)\s*", text.upper())
        if match is None:
            raise ValueError("allowed: a needle and a number of rows, as L5 3")
        needles, rows = Span.parse(match[1] or match[3]), self._whole(match[2] or "0", 0, min(MOST_DOWN, self.row - 1))
        crossed = next(
            (
                c
                for c, _ in reversed(list(self._passed(max(1, self.row - rows), self.row - 1)))
                if set(needles) & set(c.crossing.needles)
            ),
            None,
        )
        label = f"Latch {needles} up and hang it on again" if rows else f"Hang {needles} on again"
        cost = ""
        if crossed is not None:
            cost = f"It has run down through {crossed.name}'s crossing: latch it on the side of it where it belongs"
        return self._can([Way(label, (Dropped(self.row, self.done, needles, rows),), cost=cost)])

    def jammed(self) -> Happening:
        return self._accident(
            "j",
            "The carriage jammed in mid-pass",
            "Which needle was knit last?",
            "in the pass on screen; if none was: free the carriage, take it back, begin the pass again",
            self._jammed,
        )

    def _jammed(self, last: Needle) -> Iterator[Way]:
        done = self._push() or 0
        yield Way("Hold what is knit, and knit the rest of the pass", (Jammed(self.row, done, last, "on"),))
        yield Way("Unknit this pass, and knit it again", (Jammed(self.row, done, last, "back"),))

    def edges(self) -> Happening:
        """The shaping done last: a decrease or an increase forgotten, done at one edge only, or done late."""
        label = "An edge was not shaped as planned"
        plan, course = self.course.planned.plan, self.course
        now = course.following(self.row)
        done: list[tuple[int, int, int]] = []
        for i, shape in enumerate(plan.shape):
            rows = repeat(plan, shape)
            if shape.do in DONE and shape.part is None and (k := rows.before(now)):
                done.append((rows.first + rows.every * (k - 1), i, k))
        if not done:
            return Happening("e", Group.BED, label, not_now="no decrease or increase was due yet")
        if self.done or self.finished:
            return Happening(
                "e", Group.BED, label, not_now=self.finished or "finish the row first: edges are shaped before one"
            )
        row, index, k = max(done)
        due = course.row_of(row)
        return Happening(
            "e",
            Group.BED,
            label,
            lambda text: self._can(self._edges(index, k, due, self._whole(text, due + 1, self.row))),
            f"Row {due:,}, {plan.shape[index].do}: before which row is it done now, or was it?",
            f"{due + 1:,} to {self.row:,}: {self.row:,} is the row in hand",
        )

    def _edges(self, index: int, k: int, due: int, row: int) -> Iterator[Way]:
        shape = self.course.planned.plan.shape[index]
        sides = [side for side in Side if shape.edge in ("both", str(side))]

        def said(edges: Sequence[Side], before: int) -> tuple[Deviation, ...]:
            """The first one said parts the shape: the other edge's own entry then comes first."""
            if len(edges) == 2:
                return (Reshaped(self.row, edges[0], k, index, before), Reshaped(self.row, edges[1], k, index, before))
            return (Reshaped(self.row, edges[0], k, index, before),)

        work = f"the {shape.do} of row {due:,}"
        yield Way(f"Do {work} before row {row:,}", said(sides, row))
        if len(sides) == 2:
            for side in sides:
                yield Way(f"Only the {side} edge was forgotten: before row {row:,}", said([side], row))
        wider = "wider" if shape.do == "decrease" else "narrower"
        yield Way(f"Leave {work} out", said(sides, 0), cost=f"{shape.stitches} {wider} at each edge from there on")
        yield Way(
            f"Rip back to row {due:,}", (RippedBack(self.row, due),), cost=f"{rows_text(self.row - due)} ripped out"
        )

    def yarn_ended(self) -> Happening:
        yarn = self.knitting.bed.yarn
        return Happening(
            "y",
            Group.BED,
            "The yarn ran out or broke",
            question="Which needle was knit last?",
            hint=f"{yarn} if it ended where it lies now; else in the pass on screen",
            ways=lambda text: self._can(self._yarn_ended(Needle.parse(text.strip().upper()))),
            not_now=self.finished,
        )

    def _yarn_ended(self, last: Needle) -> Iterator[Way]:
        here = last == self.knitting.bed.yarn
        done = self.done if here else self._push() or 0
        if here and not any(isinstance(m, Knit) for m in self.knitting.moves[: self.done]):
            yield Way("Join new yarn at the edge", (YarnEnded(self.row, done, last, "edge"),), cost=self._cone())
            return
        tail = "The tails show least in a row with nothing crossed"
        yield Way(
            f"Join it here, at {last}", (YarnEnded(self.row, done, last, "here"),), cost=f"{self._cone()}. {tail}"
        )
        yield Way(
            "Unknit the row, and join it at the edge", (YarnEnded(self.row, done, last, "edge"),), cost=self._cone()
        )

    def _cone(self) -> str:
        joined = sum(isinstance(one, YarnEnded) for one in self.course.said)
        return f"Cone {joined + 2} from here"

    # --- from here on -----------------------------------------------------------------

    def size(self) -> Happening:
        if self.finished:
            return Happening("t", Group.FROM_HERE, "Another stitch size", not_now=self.finished)
        low, high = self.knitting.plan.machine.dial
        return Happening(
            "t",
            Group.FROM_HERE,
            f"Another stitch size, now SS {size_text(self.course.size(self.row))}",
            question=f"Which stitch size from row {self.row:,} on?",
            hint=f"{size_text(low)} to {size_text(high)}, as 5.5 or 5 1/3",
            ways=lambda text: (Way("Knit at this size from here", (SizeFrom(self.row, parsed_size(text)),)),),
        )

    def start_side(self) -> Happening:
        start = self.course.side(1).other
        way = Way(f"It was begun from the {start} ({start.carriage})", (StartSide(start),))
        return Happening("b", Group.FROM_HERE, "Row 1 was begun from the other side", lambda _: (way,))

    def counter(self) -> Happening:
        return Happening(
            "c",
            Group.FROM_HERE,
            "The machine's counter reads something else",
            question="What does the machine's counter read now?",
            hint="0 to 999999; counted on from there",
            ways=lambda text: (Way("Count on from there", reading=self._whole(text, 0, 999_999)),),
            not_now="" if self.knitting.counter is not None else "the plan gives no counter_trip under [machine]",
        )

    def plan(self) -> Happening:
        ways = (
            Way("Count the repeats from here on as the plan is written", plan="written"),
            Way("Take the plan as it is now for every row, knit ones too", plan="whole"),
        )
        changed = len(self.course.stretches) > 1
        why = "" if changed else "it was not: change it with F2 or in an editor, and it holds from the next row on"
        return Happening("p", Group.FROM_HERE, "The plan was changed", lambda _: ways, not_now=why)


def parsed_size(text: str) -> float:
    """``"5.5"``, ``"5 1/3"``, ``"5⅓"`` → the dial number. Raises ValueError."""
    text = text.strip().replace("⅓", " 1/3").replace("⅔", " 2/3").replace(",", ".")
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,3})?)?(?:\s*\b([0-9])/([1-9]))?", text)
    if match is None or not text:
        raise ValueError("allowed: a stitch size, as 5, 5.5 or 5 1/3")
    return float(match[1] or 0) + (int(match[2]) / int(match[3]) if match[2] else 0)
