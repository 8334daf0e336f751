"""The headline: the one move to make now, with its needles, short enough for capitals."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from purlside.bed.moves import BackUp, ByHand, Cross, Dial, Hold, Knit, Move, Return, Tell, Weights, size_text
from purlside.bed.needles import Needle, Side, spans
from purlside.rows.steps import Step


@dataclass(frozen=True, slots=True)
class Headline:
    """``KNIT ►`` and ``L3–L1 SS 9``; ``aside`` is what ordinary letters say beside them."""

    verb: str
    what: str = ""
    aside: str = ""

    @property
    def words(self) -> str:
        return f"{self.verb} {self.what}".strip()


AT_END = Headline("CAST OFF", "", "or knit on in waste yarn")


def headlines(step: Step, dial: float, in_work: Sequence[Needle]) -> Iterator[Headline]:
    """A headline for each move of a step that begins with the dial at ``dial``."""
    for move in step.moves:
        if isinstance(move, Dial):
            dial = move.size
        yield headline(move, step, dial, in_work)


def headline(move: Move, step: Step, dial: float, in_work: Sequence[Needle]) -> Headline:
    """One move of a step, the dial as it then stands."""
    match move:
        case Dial(size):
            return Headline("DIAL", f"SS {size_text(size)}")
        case Hold(needles):
            first = "hold lever on first" if step.push == 1 else ""
            return Headline("HOLD", _ranges(needles, in_work), _and(first, _ladders(needles, in_work)))
        case Return(needles):
            return Headline("RETURN", _ranges(needles, in_work), _and("to upper working", _ladders(needles, in_work)))
        case Knit(toward, _, needles):
            whole = step.pushes == 1 and len(needles) == len(in_work)
            across = "1 ROW" if whole else f"{_ends(needles)} SS {size_text(dial)}"
            on = "and carry on clear of them" if step.push < step.pushes or step.by_hand_next else ""
            return Headline(f"KNIT {_arrow(toward)}", across, _and(on, f"SS {size_text(dial)}" if whole else ""))
        case BackUp(toward, beyond):
            return Headline(f"BACK UP {_arrow(toward)}", "", f"clear of {beyond}; nothing knits")
        case Cross(cable, crossing):
            return Headline("CROSS", f"{_ranges(crossing.front, in_work)} FIRST", f"{cable}, {crossing.words}")
        case ByHand(needles):
            return Headline("BY HAND", _ranges(needles, in_work), "drawn back to the rail")
        case Weights(needles):
            return Headline("WEIGHTS UP", "", f"under {_ranges(needles, in_work)}")
        case Tell(text):
            return Headline("REMINDER", "", text)
    return Headline(move.words(in_work).upper())


def _and(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _arrow(side: Side) -> str:
    return "◄" if side is Side.LEFT else "►"


def _ends(needles: Sequence[Needle]) -> str:
    return str(needles[0]) if len(needles) == 1 else f"{needles[0]}–{needles[-1]}"


def _ranges(needles: Iterable[Needle], in_work: Sequence[Needle]) -> str:
    return ", ".join(str(span).replace("-", "–") for span in spans(needles, in_work))


def _ladders(needles: Iterable[Needle], in_work: Sequence[Needle]) -> str:
    """Needles out of work inside a group: a pusher would take them along."""
    work = set(in_work)
    out = [str(needle) for span in spans(needles, in_work) for needle in span if needle not in work]
    return f"not {', '.join(out)}" if out else ""
