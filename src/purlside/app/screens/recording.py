"""Recording at the bedside how a crossing went, and under which yarn."""

from __future__ import annotations

from collections.abc import Callable

from textual.events import Key

from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed, key_name
from purlside.app.screens.went import Went
from purlside.ease.calibration import Outcome
from purlside.keep.drawer import new_yarn
from purlside.keep.session import Session
from purlside.knitting.made import ROWS_LOOKED_BACK, CrossingMade, last_made
from purlside.plan.problems import Unfit

STEPS = ("forward", "back")
"""Actions whose keys step on while it is asked how a crossing went; Enter, which answers elsewhere, does not."""

HINT = (
    "Kept so, a yarn learns from its crossings; what it learns is offered, and changes no plan by itself. "
    "Enter or Esc: keep it in the ledger only."
)


def ask_how_it_went(screen: Keyed, session: Session, broke: Callable[[], None]) -> None:
    """Ask about the crossings made last; a step pressed instead is made. ``broke`` asks on where one broke."""
    if session.ledger.read_only:
        screen.say("This plan is being knit in another window: nothing is recorded here")
        return
    made = last_made(session.knitting)
    if not made:
        far = session.knitting.place.row > ROWS_LOOKED_BACK
        screen.say(f"No crossing made in the last {ROWS_LOOKED_BACK} rows" if far else "No crossing made yet")
        return
    outcomes = session.outcomes

    def steps(event: Key) -> bool:
        name = key_name(event)
        action = screen.keys.get(name)
        if name == screen.owner.settings.pedal.key:
            return True
        return name != "enter" and action is not None and action.name in STEPS

    def answered(answer: tuple[CrossingMade, Outcome] | Key | None) -> None:
        if answer is None:
            return
        if isinstance(answer, Key):
            screen.on_key(answer)
        elif outcomes.may_ask:
            outcomes.may_ask = False
            question = Ask("The plan names no yarn. Keep this one among my yarns as:", HINT, _name)
            screen.app.push_screen(question, lambda name: named(name, *answer))
        else:
            keep(*answer)

    def named(name: str | None, made: CrossingMade, outcome: Outcome) -> None:
        outcomes.name = name
        keep(made, outcome)

    def keep(made: CrossingMade, outcome: Outcome) -> None:
        try:
            said = outcomes.record(made, outcome, session.knitting.place)
        except (Unfit, OSError) as error:
            said = f"Kept in the ledger only: {str(error).splitlines()[0]}"
        screen.say(said)
        if outcome is Outcome.BROKE:
            # Recorded it is; what to do now is the next question.
            broke()

    screen.app.push_screen(Went(made, outcomes.of, steps), answered)


def _name(name: str) -> str:
    new_yarn(name=name)
    return name
