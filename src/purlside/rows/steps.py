"""Steps: a row's moves as the knitter takes them, one push of the carriage at a time."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from purlside.bed.bed import Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Lever, Push, Tell, size_text
from purlside.bed.needles import Needle, needles_text
from purlside.bed.transfers import Cross, LatchUp
from purlside.text.counts import counted
from purlside.values import Value


class Step(Value):
    """Moves ``first`` to ``last - 1`` of a row: those up to one push, or one crossing.

    ``push`` of ``pushes`` counts the carriage's movements in the row; it is 0
    on a step without one. ``by_hand_next`` are needles knit by hand right after
    the push: the carriage must be clear of them too.
    """

    first: int
    last: int
    moves: tuple[Move, ...]
    push: int
    pushes: int
    by_hand_next: tuple[Needle, ...] = ()
    mends: bool = False
    """Whether it puts right what befell the bed."""

    @property
    def knits(self) -> Knit | None:
        return next((m for m in self.moves if isinstance(m, Knit)), None)

    @property
    def backs_up(self) -> BackUp | None:
        return next((m for m in self.moves if isinstance(m, BackUp)), None)

    @property
    def crosses(self) -> Cross | None:
        return next((m for m in self.moves if isinstance(m, Cross)), None)

    @property
    def title(self) -> str:
        """What kind of step it is: ``"Pass 2 of 5"``, ``"Cross rope: 3 over 3"``, ``"Plain row"``, ``"Purl column L5"``."""
        if self.mends:
            return "Putting it right"
        if (cross := self.crosses) is not None:
            return f"Cross {cross.cable}: {cross.crossing.words}"
        if self.push and self.pushes == 1:
            return "Plain row"
        if self.push:
            return f"Pass {self.push} of {self.pushes}"
        if latched := [needle for move in self.moves if isinstance(move, LatchUp) for needle in move.needles]:
            return f"Purl column{'s' if len(latched) > 1 else ''} {needles_text(latched, count=False)}"
        return "After this row"


def headed(step: Step) -> tuple[Step, ...]:
    """A step as a list has it: columns that are latched up before stitches are crossed stand under their own heading."""
    crosses = next((i for i, move in enumerate(step.moves) if isinstance(move, Cross)), 0)
    cut = max((i + 1 for i, move in enumerate(step.moves[:crosses]) if isinstance(move, LatchUp)), default=0)
    if not cut or step.mends:
        return (step,)
    before = replace(step, last=step.first + cut, moves=step.moves[:cut])
    return before, replace(step, first=step.first + cut, moves=step.moves[cut:])


@lru_cache(maxsize=2048)
def steps(moves: tuple[Move, ...]) -> tuple[Step, ...]:
    """A row's moves parted into steps, each ending with a push or a crossing; parted at each step, it takes 8% more."""
    ends = [i + 1 for i, move in enumerate(moves) if isinstance(move, (*Push, Cross))]
    if not ends or ends[-1] < len(moves):
        # What follows the last crossing goes with it; after a push it is a step of its own.
        if ends and isinstance(moves[ends[-1] - 1], Cross):
            ends[-1] = len(moves)
        else:
            ends.append(len(moves))
    pushes = sum(isinstance(move, Push) for move in moves)
    found, first, push = [], 0, 0
    for last in ends:
        pushed = any(isinstance(move, Push) for move in moves[first:last])
        push += pushed
        following = moves[last] if last < len(moves) else None
        by_hand = following.needles if pushed and isinstance(following, ByHand) else ()
        found.append(Step(first, last, moves[first:last], push if pushed else 0, pushes, by_hand))
        first = last
    return tuple(found)


def lines(step: Step, dial: float, in_work: tuple[Needle, ...], *, hold: bool = True) -> list[str]:
    """What the step asks, one line a thing to do. ``dial`` is the size before it, ``hold`` whether the lever is on."""
    return [line for told in lines_by_move(step, dial, in_work, hold=hold) for line in told]


def lines_by_move(step: Step, dial: float, in_work: tuple[Needle, ...], *, hold: bool = True) -> list[list[str]]:
    """The step's lines, gathered by the move they tell."""
    found: list[list[str]] = []
    for move in step.moves:
        told: list[str] = []
        found.append(told)
        match move:
            case Dial(size):
                dial = size
                told.append(move.words(in_work))
            case Knit():
                # Carriages are wide: what was just knit can be moved only once it is clear.
                clear = needles_text(step.by_hand_next, count=False) or ("them" if step.push < step.pushes else "")
                clear = f", and carry on clear of {clear}" if clear else ""
                told.append(f"{move.words(in_work)} at SS {size_text(dial)}{clear}")
            case Lever(to="knit") if step.knits is not None:
                # What is held behind it, just out of its way, is done and must not be passed again.
                told.append(f"Hold lever off, the carriage just past {step.knits.needles[0]}: all it passes is knit")
            case Cross():
                told.extend(_cross_lines(move, hold=hold))
            case Hold():
                if step.push == 1 and not any(isinstance(m, Lever) for m in step.moves):
                    told.append("Check that the hold lever is on")
                told.append(move.words(in_work))
            case _:
                told.append(move.words(in_work))
    return found


def _cross_lines(move: Cross, *, hold: bool) -> list[str]:
    crossing, (front, back) = move.crossing, move.crossing.landing()
    first, second, onto, beside = (needles_text(n, count=False) for n in (crossing.front, crossing.back, front, back))
    side = crossing.front_side
    not_held = ", not as far as holding" if hold else ""
    return [
        f"Lift {first} on {counted(len(crossing.front), 'prong')} and {second} on {counted(len(crossing.back), 'prong')}",
        f"{str(side).capitalize()} half FIRST: {first} onto {onto}; it shows on the knit side",
        f"Then the {side.other} half: {second} onto {beside}, behind",
        f"Push all {len(crossing.needles)} out to upper working{not_held}",
    ]


def short(step: Step, in_work: tuple[Needle, ...]) -> str:
    """The step in one line, as the row's list and "then" have it."""
    if (cross := step.crosses) is not None:
        return f"cross {cross.cable}, {cross.crossing.front_side} half first"
    if (knit := step.knits) is not None:
        dial = next((f" at SS {size_text(m.size)}" for m in step.moves if isinstance(m, Dial)), "")
        if step.pushes == 1 and not any(isinstance(move, Hold) for move in step.moves):
            return f"plain row to the {knit.toward}{dial}"
        return f"knit {knit.toward} {knit.across}{dial}"
    if (back := step.backs_up) is not None:
        return f"hold, back up {back.toward} past {back.beyond}"
    # It stands behind "then"; the text of a reminder is the knitter's own.
    told = ((move, move.words(in_work)) for move in step.moves)
    return "; ".join(words if isinstance(move, Tell) else f"{words[:1].lower()}{words[1:]}" for move, words in told)
