"""The lines of "What happened?" about the last crossing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from purlside.bed.moves import Knit
from purlside.bed.needles import Crossing, Span
from purlside.bed.transfers import Cross
from purlside.knitting.accidents import Broken, Recrossed
from purlside.knitting.deviations import CountedFrom, CrossedLate, RippedBack, Skipped, WrongHalf
from purlside.knitting.differing import CannotBe, differ, passes_done
from purlside.knitting.happening import Group, Happening, Here, Way
from purlside.text.counts import counted
from purlside.values import Value
from purlside.work.crossing import Crossed


class _Due(Value):
    """A crossing of the list's middle part: which, and the row after which it was, or is, due."""

    crossed: Crossed
    row: int


class CrossingLines(Here):
    """The wrong half in front, a crossing forgotten or made late, a stitch that broke."""

    group = Group.CROSSING

    def _due(self, find: Callable[[int, int], int | None]) -> list[_Due]:
        """Each cable's crossing in the row that is found for it from where it is now."""
        crossed = {m.cable for m in self.knitting.moves[: self.done] if isinstance(m, Cross)}
        found = []
        for index, cable in enumerate(self.course.plan.cable):
            row = find(self.row + (cable.name in crossed), index)
            if row is not None:
                found += [_Due(c, row) for c in self.course.crossed(row) if c.name == cable.name]
        return found

    def _listed(self, listed: Iterable[_Due]) -> Iterator[str]:
        """Each as it is told."""
        return (f"{due.crossed.name}, row {self.knitting.named(due.row)}" for due in listed)

    def _last(self) -> list[_Due]:
        """Each cable's crossing made last, the latest first."""
        return sorted(self._due(self.course.last_crossing), key=lambda due: (-due.row, due.crossed.cable))

    def _which(
        self, letter: str, label: str, listed: list[_Due], ways: Callable[[_Due], Iterable[Way]], none: str
    ) -> Happening:
        """A line about one of several crossings: its number is asked where there is more than one."""
        if not listed:
            return Happening(letter, label, not_now=none)
        if len(listed) == 1:
            return Happening(letter, label, lambda _: self._can(ways(listed[0])))
        named = "; ".join(f"{i} {told}" for i, told in enumerate(self._listed(listed), 1))

        def numbered(text: str) -> tuple[Way, ...]:
            return self._can(ways(listed[self._whole(text, 1, len(listed)) - 1]))

        return Happening(letter, label, numbered, "Which crossing?", named)

    def lines(self) -> Iterator[Happening]:
        last = self._last()
        latest, none = [due for due in last if due.row == last[0].row], "nothing is crossed yet"
        yield self._which("w", "The wrong half is in front", latest, self._wrong, none)
        coming = sorted(self._due(self.course.next_crossing), key=lambda due: (due.row, due.crossed.cable))
        forgotten = "A crossing was forgotten, or is to be left out"
        yield self._which("n", forgotten, [*last, *coming], self._forgot, "nothing crosses")
        yield self._done_late()
        asked = "On which needle does it hang, or did it?", "as L3, or L3-L2 for two"
        why = self.finished or ("" if last else none)
        yield Happening("x", "A stitch broke as it was crossed", lambda text: self._can(self._broke(text)), *asked, why)

    def _wrong(self, due: _Due) -> Iterator[Way]:
        name, crossing, row = due.crossed.name, due.crossed.crossing, self.row
        since = row - due.row - 1
        knit = any(isinstance(m, Knit) for m in self.knitting.moves[: self.done])
        side = crossing.front_side
        if due.row == row or (since == 0 and not knit):
            again = Recrossed(row, self.done, crossing, 0, name)
            yield Way(f"Cross {name} again, the {side} half first", (again,), "Nothing is knit over it yet: two lifts")
        else:
            again = Recrossed(due.row + 1, self._after_rip(due.row + 1), crossing, 0, name)
            cost = f"{counted(self.unknit - due.row - 1, 'row')} ripped out"
            yield Way(f"Rip back to it and cross {name} again", (RippedBack(row, due.row + 1), again), cost)
            stitches = len(crossing.needles)
            if not self._knit_over(crossing, due.row + 1) and not self.done:
                again = Recrossed(row, 0, crossing, since, name)
                cost = f"{stitches} stitches, {counted(since, 'row')}: {stitches * since:,} loops to latch up"
                yield Way(f"Let only {name}'s stitches down, cross again, latch them up", (again,), cost)
        if not (due.row == row and self.done and not passes_done(self.knitting)):
            cost = "It stays in the fabric, and in picture and ledger"
            yield Way("Leave it, and remember it", (WrongHalf(due.row, name, due.crossed.k),), cost)

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

    def _forgot(self, due: _Due) -> Iterator[Way]:
        name, k, row = due.crossed.name, due.crossed.k, self.row
        prepared = due.row < row or (due.row == row and self.done > 0)
        skipped = Skipped(due.row, name, k, prepared=prepared)
        into = row if due.row < row and not self.done else max(row, due.row) + 1
        if self.knitting.finished or into > self.course.rows:
            into = 0
        if into:
            late, at = CrossedLate(into, name, k), self.knitting.named(into)
            close = self._close(due.crossed, into)
            yield Way(f"Cross {name} after row {at}; the next ones as planned", (skipped, late), close)
            from_there = CountedFrom(into, name, k)
            yield Way(f"Cross {name} after row {at}, and count its repeats from there", (skipped, late, from_there))
        there = self.knitting.named(due.row)
        yield Way(f"Leave it out: {name} is not crossed in row {there}", (skipped,))
        if due.row < row:
            cost = f"{counted(self.unknit - due.row, 'row')} ripped out"
            yield Way(f"Rip back to row {there} and cross it there", (skipped, RippedBack(row, due.row)), cost)

    def _close(self, crossed: Crossed, row: int) -> str:
        """A warning where the crossing after one made in row ``row`` comes closer than the cable has stitches."""
        following = self.course.next_crossing(max(row, self.row) + 1, crossed.cable)
        stitches = len(crossed.crossing.needles)
        if following is None or following - row >= stitches:
            return ""
        return (
            f"Then {crossed.name} crosses again {counted(following - row, 'row')} later, in row {self.knitting.named(following)}: "
            f"{stitches} or more are usual for {stitches} stitches, and it will pull in"
        )

    def _done_late(self) -> Happening:
        course, row = self.course, self.row
        missed = [_Due(c, course.skipped_row((c.name, c.k))) for c in course.missed(row)]
        seen: dict[str, _Due] = {}
        for due in [*missed, *(due for due in self._last() if due.row < row)]:
            seen.setdefault(due.crossed.name, due)
        listed = list(seen.values())
        last = row if not self.finished else row - 1
        if not listed or last <= listed[0].row:
            return Happening("l", "A crossing was made late", not_now="none was skipped or forgotten")

        def answer(text: str) -> tuple[Way, ...]:
            said = " ".join(text.split())
            named = [d for d in listed if said.startswith(f"{d.crossed.name} ")]
            due = max(named, key=lambda d: len(d.crossed.name), default=listed[0])
            number = said.removeprefix(due.crossed.name).strip() if named else said
            if not number[:1].isdigit():
                raise ValueError(f"allowed: {', '.join(d.crossed.name for d in listed)}, and a row")
            at = self._row(number, due.row + 1, last)
            return self._can(self._late(due, at, missed=due in missed))

        end = self.knitting.named(last)
        hint = f"{'; '.join(self._listed(listed))}. A row up to {end}"
        hint += f", as {listed[0].crossed.name} {end}" if len(listed) > 1 else ""
        question = "After which row was it crossed, or will it be?"
        return Happening("l", "A crossing was made late", answer, question, hint)

    def _late(self, due: _Due, at: int, *, missed: bool) -> Iterator[Way]:
        name, k = due.crossed.name, due.crossed.k
        skipped = () if missed else (Skipped(due.row, name, k, prepared=True),)
        made = CrossedLate(at, name, k, plain=at < self.row or self.done > 0)
        yield Way("The next ones as planned", (*skipped, made), cost=self._close(due.crossed, at))
        yield Way(f"Count its repeats from row {self.knitting.named(at)}", (*skipped, made, CountedFrom(at, name, k)))

    def _broke(self, text: str) -> Iterator[Way]:
        needles = Span.parse(text.strip().upper())
        if not any(map(self.knitting.bed.loops_on, needles)):
            raise ValueError(f"no stitch hangs on {needles}")
        yield Way("Mend the stitch with a length of yarn, and go on", (Broken(self.row, self.done, needles),))
        due = next((due for due in self._last() if set(needles) & set(due.crossed.crossing.needles)), None)
        if due is None:
            return
        back = RippedBack(self.row, due.row)
        cost = f"{counted(self.unknit - due.row, 'row')} ripped out; change its ease with F2, it holds from there"
        yield Way(f"Rip back to row {self.knitting.named(due.row)}, and knit it with more ease", (back,), cost=cost)
