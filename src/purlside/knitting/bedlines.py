"""The lines of "What happened?" about the bed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

from purlside.bed.moves import Hold, Knit, Return
from purlside.bed.needles import Needle, Span
from purlside.knitting.accidents import Dropped, HoldOff, Jammed, YarnEnded
from purlside.knitting.deviations import Skipped
from purlside.knitting.edgelines import EdgeLines
from purlside.knitting.happening import Group, Happening, Here, Way

MOST_DOWN = 99
"""Rows a dropped stitch can have run down: further, and ripping back is less work."""


class BedLines(Here):
    """Hold off, a stitch dropped, a jam, an edge, the yarn at its end."""

    group = Group.BED

    def _push(self) -> int | None:
        """How many of the row's moves are made when the step's push comes next; None where it has none."""
        step = self.knitting.step
        if step is None or step.mends or not (step.knits or step.backs_up):
            return None
        return step.last - 1

    def lines(self) -> Iterator[Happening]:
        last, in_pass = "Which needle was knit last?", "in the pass on screen"
        nowhere = self.finished or ("" if self._push() is not None else "the step in hand takes the carriage nowhere")
        first = f"{in_pass}; Backspace first if it was the one before"
        none_held = nowhere or ("" if self._held() else "no needle is held in this pass")
        yield Happening("h", "Hold was off: held needles knit", self._of(self._hold_off), last, first, none_held)
        which, needle = "Which needle, and how many rows down?", "as L5 3, or L5-L7 3; 0 if it is only off its needle"
        yield Happening("s", "A stitch has dropped", self._dropped, which, needle, self.finished)
        none = f"{in_pass}; if none was: free the carriage, take it back, begin the pass again"
        yield Happening("j", "The carriage jammed in mid-pass", self._of(self._jammed), last, none, nowhere)
        yield from EdgeLines(self.knitting, self.course).lines()
        here = f"{self.knitting.bed.yarn} if it ended where it lies now"
        here += f"; else {in_pass}" if self._push() is not None else ""
        ended = self._of(self._yarn_ended)
        yield Happening("k", "The yarn ran out, broke or had a knot", ended, last, here, self.finished)

    def _held(self) -> bool:
        """Whether a needle is held once all but the last move of the step in hand are made."""
        held = set(self.knitting.bed.held)
        for move in self.knitting.moves[self.done : self._push()]:
            held |= set(move.needles) if isinstance(move, Hold) else set()
            held -= set(move.needles) if isinstance(move, Return) else set()
        return bool(held)

    def _of(self, ways: Callable[[Needle], Iterable[Way]]) -> Callable[[str], Iterable[Way]]:
        """The ways that the needle named allows."""
        return lambda text: self._can(ways(Needle.parse(text.strip().upper())))

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

    def _dropped(self, text: str) -> tuple[Way, ...]:
        match = re.fullmatch(r"\s*(\S+?)\s+([0-9]{1,3})\s*|\s*(\S+?)\s*", text.upper())
        if match is None:
            raise ValueError("allowed: a needle and a number of rows, as L5 3")
        needles, rows = Span.parse(match[1] or match[3]), self._whole(match[2] or "0", 0, min(MOST_DOWN, self.row - 1))
        passed = reversed(list(self._passed(max(1, self.row - rows), self.row - 1)))
        through = [c.name for c, _ in passed if set(needles) & set(c.crossing.needles)]
        label = f"Latch {needles} up and hang it on again" if rows else f"Hang {needles} on again"
        cost = "It has run down through {}'s crossing: latch it on the side of it where it belongs"
        dropped = Dropped(self.row, self.done, needles, rows)
        return self._can([Way(label, (dropped,), cost.format(*through) if through else "")])

    def _jammed(self, last: Needle) -> Iterator[Way]:
        done = self._push() or 0
        yield Way("Hold what is knit, and knit the rest of the pass", (Jammed(self.row, done, last, "on"),))
        yield Way("Unknit this pass, and knit it again", (Jammed(self.row, done, last, "back"),))

    def _yarn_ended(self, last: Needle) -> Iterator[Way]:
        here = last == self.knitting.bed.yarn
        done = self.done if here else self._push() or 0
        if here and not any(isinstance(m, Knit) for m in self.knitting.moves[: self.done]):
            yield Way("Join new yarn at the edge", (YarnEnded(self.row, done, last, "edge"),), cost=self._cone())
            return
        tail = "The tails show least in a row with nothing crossed"
        here_, edge = (YarnEnded(self.row, done, last, way) for way in ("here", "edge"))
        yield Way(f"Join it here, at {last}", (here_,), cost=f"{self._cone()}. {tail}")
        yield Way("Unknit the row, and join it at the edge", (edge,), cost=self._cone())

    def _cone(self) -> str:
        joined = sum(isinstance(one, YarnEnded) for one in self.course.said)
        return f"Cone {joined + 2} from here"
