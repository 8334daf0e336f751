"""A step in the words of a sheet: in full lines, or in the trade's abbreviations."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field

from purlside.bed.bed import Bed, Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Lever, Push, Return, Weights, size_text
from purlside.bed.needles import Crossing, Needle, Position, Side, needles_text
from purlside.bed.transfers import Cross
from purlside.fabric import written
from purlside.plan.plan import Plan
from purlside.rows.steps import Step, lines_by_move
from purlside.values import Value

ABBREVIATIONS = (
    ("COR, COL", "carriage on the right, on the left"),
    ("RC", "row counter: the row of the fabric"),
    ("SS", "stitch size, the number on the dial"),
    ("NWP, WP", "non-working position (no stitch), working position"),
    ("UWP, HP", "upper working position, holding position"),
    ("L3, R3", "the third needle left, right of the centre, as you sit at the bed; there is no zero"),
)


def written_crosses(crossings: Iterable[Crossing]) -> tuple[str, str]:
    """How a plan's crossings are written, and what that says: ``"3/3 RC, 1/2 LC"``.

    The other RC, where a cable is told so (abbreviations as in the Craft Yarn Council's guideline).
    """
    named = dict.fromkeys(
        written.name(c) for c in sorted(crossings, key=lambda c: (-len(c.span), len(c.back), c.span.left))
    )
    leans = [lean for lean in Side if any(name.endswith(f"{lean.value[0].upper()}C") for name in named)]
    first = next(iter(named)).partition(" ")[0]
    return (
        ", ".join(named),
        f"{' or '.join(leans)} cross, as patterns write it, {first} being {first.replace('/', ' over ')}: the strand in "
        "front leans that way on the knit side",
    )


POSITIONS = (Position.NWP, Position.WP, Position.UWP, Position.HP)


class Letters(Value):
    """The machine's own letters for the needle positions, as far as they are to be printed."""

    by_position: dict[Position, str] = field(default_factory=dict)

    @classmethod
    def of(cls, plan: Plan) -> Letters:
        given = plan.machine.position_letters
        found = {position: getattr(given, position.value) for position in POSITIONS}
        return cls({position: letter for position, letter in found.items() if letter})

    def after(self, position: Position) -> str:
        """`` (C)``, to stand behind the trade's word; nothing where there is no letter."""
        letter = self.by_position.get(position)
        return f" ({letter})" if letter else ""


def step_lines(step: Step, dial: float, in_work: tuple[Needle, ...], letters: Letters) -> tuple[str, ...]:
    """What the step asks, as it is said on screen, the row's last pass taken out past the panel.

    ``dial`` is the stitch size before the step.
    """
    told: list[str] = []
    for move, lines in zip(step.moves, lines_by_move(step, dial, in_work), strict=True):
        told += lines
        if isinstance(move, Hold) and (letter := letters.after(Position.HP)):
            told[-1] += f", holding{letter}"
        elif isinstance(move, Return | Cross):
            told[-1] = told[-1].replace("upper working", f"upper working{letters.after(Position.UWP)}")
    if (out := _out(step)) is not None:
        told.append(f"Take the carriage out past {out.beyond}: {out.toward.carriage}")
    return tuple(told)


def step_short(step: Step, in_work: tuple[Needle, ...], letters: Letters) -> str:
    """The step in one line of the trade's abbreviations; it comes before the row's crossings, which have a table."""
    told = [_short(move, in_work, letters) for move in step.moves]
    if (out := _out(step)) is not None:
        told.append(f"out past {out.beyond}, {out.toward.carriage}")
    return "; ".join(told)


def _out(step: Step) -> Knit | None:
    """The pass that ends the row, if it is on this step."""
    return step.knits if step.pushes and step.push == step.pushes else None


def _short(move: Move, in_work: tuple[Needle, ...], letters: Letters) -> str:
    def counted(needles: tuple[Needle, ...]) -> str:
        return f"{needles_text(needles, in_work, count=False)} ({len(needles)})"

    match move:
        case Dial(size):
            return f"SS {size_text(size)}"
        case Hold(needles):
            return f"HP{letters.after(Position.HP)} {counted(needles)}"
        case Return(needles):
            return f"UWP{letters.after(Position.UWP)} {counted(needles)}"
        case Knit(toward, _, needles):
            ends = dict.fromkeys((min(needles), max(needles))[:: -1 if toward is Side.LEFT else 1])
            return f"knit {toward} {'–'.join(map(str, ends))} ({len(needles)})"
        case BackUp(toward, beyond):
            return f"back up {toward} past {beyond}"
        case ByHand(needles):
            return f"by hand {counted(needles)}"
        case Lever(to):
            return f"lever to {to}"
        case Weights(needles):
            return f"weights {needles_text(needles, in_work, count=False)}"
        case _:
            return move.words(in_work)


def bed_words(bed: Bed, step: Step, in_work: tuple[Needle, ...]) -> str:
    """The bed before a step, in one sentence, for whoever cannot see the drawing."""
    at = [(needle, bed.at(needle)) for needle in in_work]
    where = [
        f"{position.words} {needles_text(found, in_work, count=False)}"
        for position in reversed(POSITIONS[1:])
        if (found := [needle for needle, stands in at if stands is position])
    ]
    needle, side = bed.carriage
    carriage = f"{bed.side.carriage}" if bed.side else f"carriage just {side} of {needle}"
    goes = ""
    if (push := next((m for m in step.moves if isinstance(m, Push)), None)) is not None:
        goes = f"; the push goes {'' if isinstance(push, Knit) else 'back '}to the {push.toward}, past {push.beyond}"
    return f"The bed before {step.title[0].lower()}{step.title[1:]}: {'; '.join(where)}; {carriage}; yarn at {bed.yarn}{goes}."
