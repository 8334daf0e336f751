"""Why a step is as it is, from what the row asks of its needles: enough to teach a beginner.

One or two sentences a step, with the needles, the cable, and why each is
treated so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from purlside.bed.bed import Move
from purlside.bed.moves import ByHand, Knit, Return, Weights, size_text
from purlside.bed.needles import Crossing, Needle, needles_text
from purlside.rows.row import Row
from purlside.rows.steps import Step
from purlside.rows.working import Working
from purlside.text.counts import counted
from purlside.values import Value

if TYPE_CHECKING:
    from purlside.ease.reach import EaseChoice

MOST = 2
"""Cables explained on one step; the others are counted."""


class CableAsked(Value):
    """What one cable asks of the row; ``skipped`` if it is knit for and not crossed after all."""

    name: str
    crossing: Crossing
    choice: EaseChoice
    skipped: bool = False

    @property
    def front(self) -> str:
        return _named(self.crossing.front)

    @property
    def back(self) -> str:
        return _named(self.crossing.back)

    # CableAsked of every cable for every step of a row.
    @cached_property
    def in_front(self) -> frozenset[Needle]:
        return frozenset(self.crossing.front)

    @cached_property
    def behind(self) -> frozenset[Needle]:
        return frozenset(self.crossing.back)

    @property
    def chosen(self) -> str:
        """How "auto" came to this, or nothing where the plan names the ease itself."""
        return f" Ease auto took {self.choice.why}." if self.choice.enough is not None else ""


def asked_in(working: Working, row: Row) -> list[CableAsked]:
    """What the row's crossings ask for, in the plan's order; those skipped when it was under way among them."""
    cables, skipped = working.calendar.cables, {c.cable for c in row.prepared}
    return [
        CableAsked(cables[i].name, crossing, working.choice(i, crossing, row.size), i in skipped)
        for i, crossing in row.cables
    ]


def why(working: Working, row: Row, moves: Sequence[Move], step: Step, asked: list[CableAsked] | None = None) -> str:
    """Why this step of the row's ``moves`` is as it is. ``asked`` saves working it out for each step of a row."""
    asked = asked_in(working, row) if asked is None else asked
    shaped = () if step.first else dict.fromkeys(work.reason for work in row.shaped if work.reason)
    return " ".join((*shaped, _why(working, row, moves, step, asked)))


def _why(working: Working, row: Row, moves: Sequence[Move], step: Step, asked: list[CableAsked]) -> str:
    hand = "".join(_by_hand(move, asked) for move in step.moves if isinstance(move, ByHand))
    if (cross := step.crosses) is not None:
        return f"{hand}{_crossing(cross.crossing)}"
    if step.backs_up is not None:
        following = next((m for m in moves[step.last :] if isinstance(m, Knit)), None)
        return f"{hand}{_backing_up(step, following, asked)}"
    knit = step.knits
    if knit is None:
        return (
            f"{hand}{' '.join(_after_passes(step.moves, last=row.number == working.calendar.rows))}".strip()
            or "The plan asks for this to be told here."
        )
    if step.pushes == 1:
        return f"{hand}{_one_pass(row, asked)}"
    worked = sum(knit.needles[0] in m.needles for m in moves[: step.first] if isinstance(m, Knit))
    return f"{hand}{_pass(knit, asked, worked, row.size)}"


def _named(needles: Iterable[int]) -> str:
    return needles_text(needles, count=False)


def _after_passes(moves: Sequence[Move], *, last: bool) -> Iterator[str]:
    if any(isinstance(move, Return) for move in moves):
        yield "No needle stays held at the end of a row, or the next pass would miss it."
    if any(isinstance(move, Weights) for move in moves):
        knit_on = ": after the last row only if you knit on in waste yarn, for they come off before the panel does"
        yield f"Weights follow the work up{knit_on if last else ''}."


def _crossing(crossing: Crossing) -> str:
    side = crossing.front_side
    return (
        f"The half put back first lies against the knit side, away from you: so the {side} half, "
        f"{_named(crossing.front)}, shows in front of {_named(crossing.back)}. Then all {len(crossing.needles)} needles "
        f"are pushed out, so that the next pass knits them safely."
    )


def _by_hand(move: ByHand, asked: list[CableAsked]) -> str:
    of = next((a for a in asked if a.in_front & set(move.needles)), None)
    one = len(move.needles) == 1
    goes = f", to go in front over {of.back} ({of.name})" if of else ""
    if of and of.skipped:
        goes = f", as this row was begun; {of.name} is skipped and not crossed after it"
    return (
        f"{_named(move.needles)} {'is' if one else 'are'} knit by hand where the yarn lies, drawn back to the rail: "
        f"{'one very large stitch' if one else 'very large stitches'}{goes}. "
    )


def _backing_up(step: Step, following: Knit | None, asked: list[CableAsked]) -> str:
    back = step.backs_up
    assert back is not None
    what = "the rest of the row"
    if following is not None:
        needles = set(following.needles)
        role = next((f" ({a.name}, {half})" for a in asked if not a.skipped for half in _roles(needles, a)), "")
        what = f"{_named(following.needles)}{role}"
    return (
        f"The next pass knits {what} and begins on the {back.toward}, where the yarn lies. Held needles do not knit, "
        "so the carriage goes back over them without making a row."
    )


def _roles(needles: set[Needle], asked: CableAsked) -> list[str]:
    if needles <= asked.behind:
        return ["the half behind"]
    return ["the half in front"] if needles <= asked.in_front else []


def _one_pass(row: Row, asked: list[CableAsked]) -> str:
    size = size_text(row.size)
    skipped, asked = [a.name for a in asked if a.skipped], [a for a in asked if not a.skipped]
    if not asked:
        why = f" ({', '.join(skipped)}: skipped)" if skipped else ""
        knit, rest = "every needle knits", ""
        if row.resting:
            knit, rest = f"{_named(row.needles)} knit", f"; {counted(len(row.resting), 'needle')} held, resting"
        return f"Nothing is crossed after this row{why}, so {knit} once, at SS {size}{rest}."
    if by_hand := [a for a in asked if a.choice.technique.by_hand]:
        # At the panel's edge no pass is needed to get past them.
        hand = ", ".join(a.front for a in by_hand)
        return (
            f"Every needle but {hand} is knit once by the carriage, at SS {size}: the stitches by hand are at the edge."
        )
    names = ", ".join(a.name for a in asked[:MOST]) + (
        f" and {len(asked) - MOST} more cables" if len(asked) > MOST else ""
    )
    plural = len(asked) > 1
    return (
        f"{names} cross{'' if plural else 'es'} after this row, plain: the plan asks nothing of "
        f"{'their' if plural else 'its'} stitches but one row at SS {size}, like all the others."
        f"{''.join(a.chosen for a in asked[:1])}"
    )


def _pass(knit: Knit, asked: list[CableAsked], worked: int, size: float) -> str:
    needles = set(knit.needles)
    told = [text for a in asked if (text := _treated(needles, a, worked))]
    if told:
        return " ".join(told[:MOST]) + (f" {len(told) - MOST} more cables likewise." if len(told) > MOST else "")
    for half, stitches, does in (
        ("front", "in_front", "will show in front"),
        ("back", "behind", "will lie behind, nothing more is asked of them"),
    ):
        if ours := [a for a in asked if needles & getattr(a, stitches)]:
            first = ours[0]
            alone = needles <= getattr(first, stitches)
            if first.skipped:
                does = f"are not crossed, {first.name} is skipped"
            return (
                f"{getattr(first, half)} ({first.name}) {does}: they keep the row's own SS {size_text(size)}"
                f"{'' if alone else ', so they are knit in one pass with the plain fabric beside them'}."
                + (f" {counted(len(ours) - 1, 'more cable')} likewise." if len(ours) > 1 else "")
            )
    return _bridge(knit, asked, size)


def _treated(needles: set[Needle], asked: CableAsked, worked: int) -> str:
    """What is special about this cable's stitches in the pass, or nothing; skipped in mid-row, they get it all the same."""
    front, back, choice = asked.in_front, asked.behind, asked.choice.technique
    begun = f"{asked.name} is skipped, but the row is finished as it was begun"
    if choice.enlarged_size is not None and needles & back:
        size = size_text(choice.enlarged_size)
        if asked.skipped:
            return f"{begun}: {asked.back}, made ready for it, are knit at SS {size}."
        return (
            f"{asked.back} go behind {asked.front} ({asked.name}), where larger loops do not show: knit at "
            f"SS {size} they have yarn to give when the halves change places.{asked.chosen}"
        )
    if choice.extra_rows and needles & front:
        rows = 1 + choice.extra_rows
        if asked.skipped:
            return (
                f"{begun}: {asked.front}, made ready for it, are knit {rows} times in it, and this is row {worked + 1}. "
                "An odd number brings the carriage out on the other side."
            )
        if needles <= front:
            return (
                f"{asked.front} go in front ({asked.name}): {choice.extra_rows} extra rows give them length to reach "
                f"over {asked.back}, and let them stand out. This is row {worked + 1} of their {rows}.{asked.chosen}"
            )
        return (
            f"{asked.front} ({asked.name}, in front) are knit {rows} times in this row, an odd number so that the "
            f"carriage comes out on the other side; this pass takes them along with the plain fabric beside them."
        )
    return ""


def _bridge(knit: Knit, asked: list[CableAsked], size: float) -> str:
    low, high = min(knit.needles), max(knit.needles)
    left = [a for a in asked if a.crossing.span.right < low or low in a.crossing.span]
    right = [a for a in asked if a.crossing.span.left > high or high in a.crossing.span]
    nearest_left = max(left, key=lambda a: a.crossing.span.right, default=None)
    nearest_right = min(right, key=lambda a: a.crossing.span.left, default=None)
    if nearest_left and nearest_right and nearest_left is not nearest_right:
        where = f"between {nearest_left.name} and {nearest_right.name}"
    elif nearest_left or nearest_right:
        beside = nearest_left or nearest_right
        assert beside is not None
        where = f"{'right' if nearest_left else 'left'} of {beside.name}"
    else:
        where = "beside the cable"
    return (
        f"{_named(knit.needles)} is a bridge: plain fabric {where}, knit by itself at SS {size_text(size)}, "
        "so that only the cable's stitches are treated differently."
    )
