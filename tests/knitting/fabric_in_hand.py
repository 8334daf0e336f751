"""A bed of loops that remember what they were drawn through, and a knitter who does to it what a rip tells, word by word."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from purlside.bed import moves as bed_moves
from purlside.bed import transfers
from purlside.bed.bed import Bed, Move
from purlside.bed.needles import Needle, Span
from purlside.knitting.course import Course
from purlside.knitting.mends import ByWord, Uncross, Unknit


class Loop:
    """A loop: of which row's yarn (of none, ``how`` it came instead), what it was drawn through, where it was moved from."""

    def __init__(self, row: int | None, below: Iterable[Loop] = (), how: str = "") -> None:
        self.row, self.below, self.how = row, tuple(below), how
        self.from_: list[tuple[int, int]] = []
        """Each time it was moved: the how-manieth move that was, and from which needle."""
        self.cast_off: dict[int, list[Loop]] = {}


class InHand:
    """The loops on each needle, and the needles in work."""

    def __init__(self, bed: Bed) -> None:
        self.on: dict[int, list[Loop]] = {int(n): [Loop(0)] for n in bed.in_work}
        self.held = set(map(int, bed.held))
        self.moved = 0

    def seen(self) -> dict[int, list[int]]:
        """Which loops hang where."""
        return {needle: sorted(map(id, loops)) for needle, loops in sorted(self.on.items())}

    # --- knitting -------------------------------------------------------------

    def make(self, row: int, move: Move) -> None:
        match move:
            case bed_moves.Knit(needles=needles) | bed_moves.ByHand(needles=needles):
                for n in needles:
                    self.on[n] = [Loop(row, self.on[n])]
            case Unknit(needles=needles):
                for n in needles:
                    (loop,) = self.on[n]
                    self.on[n] = list(loop.below)
            case transfers.Wrap(needles=needles):
                for n in needles:
                    self.on[n].append(Loop(row))
            case transfers.Cross(crossing=crossing):
                front, back = crossing.landing()
                self.carry((*crossing.front, *crossing.back), (*front, *back))
            case transfers.Transfer(needles=needles, onto=onto):
                self.carry(needles, onto)
            case transfers.IntoWork(needles=needles):
                self.on.update({int(n): [] for n in needles})
            case transfers.OutOfWork(needles=needles):
                self.put_out(needles)
            case transfers.Fill(needles=needles):
                for n in needles:
                    self.on[n].append(Loop(None, how="bump"))
            case transfers.CastOn(needles=needles):
                for n in needles:
                    self.on[n].append(Loop(None, how="cast on"))
            case transfers.CastOff(needles=needles, onto=onto):
                last = Loop(None, how="cast off")
                last.cast_off = {int(n): self.on[n] for n in needles}
                self.on.update({int(n): [] for n in needles})
                self.on[onto].append(last)

    def carry(self, came: Iterable[int], goes: Iterable[int]) -> None:
        self.moved += 1
        lifted = [(n, self.on[n]) for n in came]
        for n, _ in lifted:
            self.on[n] = []
        for (n, loops), onto in zip(lifted, goes, strict=True):
            for loop in loops:
                loop.from_.append((self.moved, n))
            self.on[onto] += loops

    def put_out(self, needles: Iterable[int]) -> None:
        for n in needles:
            assert not self.on.pop(n), f"{Needle(n)} still carries a stitch"

    # --- ripping --------------------------------------------------------------

    def rip(self, row: int) -> None:
        """Out with a row's yarn: each of its loops falls to what it was drawn through, on the needle where it hangs now."""
        for n, loops in self.on.items():
            while any(loop.row == row for loop in loops):
                loops = [one for loop in loops for one in (loop.below if loop.row == row else (loop,))]
            self.on[n] = loops

    def back(self, came: Iterable[int], off: Iterable[int]) -> None:
        """The loops that came from needles go back there: of those that did, the ones that came last."""
        moved = []
        for n, onto in zip(came, off, strict=True):
            mine = [loop for loop in self.on[onto] if loop.from_ and loop.from_[-1][1] == n]
            latest = max((loop.from_[-1] for loop in mine), default=None)
            mine = [loop for loop in mine if loop.from_[-1] == latest]
            assert mine, f"no stitch on {Needle(onto)} that came from {Needle(n)}"
            assert n in self.on, f"{Needle(n)} is out of work"
            assert not self.held & {int(n), int(onto)}, f"{Needle(n)} or {Needle(onto)} is held"
            self.on[onto] = [loop for loop in self.on[onto] if loop not in mine]
            moved.append((n, mine))
        for n, mine in moved:
            for loop in mine:
                loop.from_.pop()
            self.on[n] += mine

    def let_off(self, needles: Iterable[int], how: str) -> None:
        for n in needles:
            assert any(loop.how == how for loop in self.on[n]), f"nothing {how} on {Needle(n)}"
            self.on[n] = [loop for loop in self.on[n] if loop.how != how]

    def hang_on_again(self, needles: Iterable[int]) -> None:
        last = next(one for loops in self.on.values() for one in loops if set(one.cast_off) == set(needles))
        for n in self.on:
            self.on[n] = [loop for loop in self.on[n] if loop is not last]
        for n, loops in last.cast_off.items():
            assert n in self.on, f"{Needle(n)} is out of work"
            self.on[n] += loops


def needles(text: str) -> list[int]:
    """``"L30–R6, R8, not R2"``: bed order."""
    takes, out = text.split(" (")[0].partition(", not ")[::2]
    found = {int(n) for span in takes.split(", ") for n in Span.parse(span.replace("–", "-"))}
    return sorted(found - {int(Needle.parse(n)) for n in out.split(", ") if n})


def follow(hands: InHand, way: Iterable[Move], down: int, course: Course) -> int:
    """Do what the way down tells, from the start of row ``down``; the row whose start is reached."""
    for move in way:
        if isinstance(move, Uncross):
            (front, back), crossing = move.crossing.landing(), move.crossing
            hands.back((*crossing.front, *crossing.back), (*front, *back))
            continue
        assert isinstance(move, ByWord)
        text = re.sub(r" \([^()]*(\d|begins)[^()]*\)$", "", move.text) if move.verb == "PUT BACK" else move.text
        if found := re.fullmatch(r"Rip back to the end of row (.+)", text):
            last = _row(course, found[1], down - 1)
        elif found := re.fullmatch(r"Rip out (\d+) rows?, to the start of row (.+)", text):
            last = _row(course, found[2], down) - 1
            assert down - last - 1 == int(found[1])
        else:
            _do(hands, text)
            continue
        assert last + 1 < down, f"{text}: nothing to rip"
        for row in range(down - 1, last, -1):
            hands.rip(row)
        down = last + 1
    return down


def _row(course: Course, told: str, most: int) -> int:
    """The latest row told so, ``most`` or before: that is the one the knitter comes to."""
    names = (
        n for n in range(min(most, course.rows), 0, -1) if told in (f"{course.row(n).fabric}", f"{course.row(n).label}")
    )
    return next(names)


def _do(hands: InHand, text: str) -> None:
    forms: dict[str, Callable[..., object]] = {
        r"Bring (.+) back into work": lambda at: hands.on.update({n: [] for n in needles(at)}),
        r"Push (.+) out of work again": lambda at: hands.put_out(needles(at)),
        r"Move the stitches that came from (.+) back there, off (.+)": lambda a, b: hands.back(needles(a), needles(b)),
        r"Let the purl bump off (.+) again": lambda at: hands.let_off(needles(at), "bump"),
        r"Let the cast-on loops off (.+)": lambda at: hands.let_off(needles(at), "cast on"),
        r"Undo the casting off, and hang the stitches of (.+) on again": lambda at: hands.hang_on_again(needles(at)),
        r"Hold (.+)": lambda at: hands.held.update(needles(at)),
        r"Return (.+) to working position": lambda at: hands.held.difference_update(needles(at)),
        r"Past the join at (.+), rip on with the end that was broken off": lambda at: None,
    }
    for form, do in forms.items():
        if found := re.fullmatch(form, text):
            do(*found.groups())
            return
    raise AssertionError(f"a knitter would not know what to do: {text}")
