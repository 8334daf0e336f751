"""Recording at the bedside how a crossing went, and under which yarn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.events import Key

from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import key_name
from purlside.app.screens.went import Went
from purlside.ease.calibration import Outcome
from purlside.keep.drawer import DrawerRefused, new_yarn
from purlside.knitting.made import ROWS_LOOKED_BACK, CrossingMade, last_made

if TYPE_CHECKING:
    from purlside.app.screens.bedside import Bedside

STEPS = ("forward", "back")
"""Actions whose keys step on while it is asked how a crossing went; Enter, which answers elsewhere, does not."""

HINT = (
    "Kept so, a yarn learns from its crossings; what it learns is offered, and changes no plan by itself. "
    "Enter or Esc: keep it in the ledger only."
)


def ask_how_it_went(bedside: Bedside) -> None:
    """Ask about the crossings made last; a step pressed instead is made."""
    session = bedside.session
    if session.ledger.read_only:
        bedside.say("This plan is being knit in another window: nothing is recorded here")
        return
    made = last_made(session.knitting)
    if not made:
        far = session.knitting.place.row > ROWS_LOOKED_BACK
        bedside.say(f"No crossing made in the last {ROWS_LOOKED_BACK} rows" if far else "No crossing made yet")
        return

    def steps(event: Key) -> bool:
        name = key_name(event)
        action = bedside.keys.get(name)
        if name == bedside.owner.settings.pedal.key:
            return True
        return name != "enter" and action is not None and action.name in STEPS

    def answered(answer: tuple[CrossingMade, Outcome] | Key | None) -> None:
        if isinstance(answer, Key):
            bedside.on_key(answer)
        elif answer is not None:
            _record(bedside, *answer)

    bedside.app.push_screen(Went(made, session.outcomes.of, steps), answered)


def _record(bedside: Bedside, made: CrossingMade, outcome: Outcome) -> None:
    outcomes = bedside.session.outcomes
    if outcomes.may_ask:
        outcomes.may_ask = False

        def named(name: str | None) -> None:
            outcomes.name = name
            _keep(bedside, made, outcome)

        question = "The plan names no yarn. Keep this one among my yarns as:"
        bedside.app.push_screen(Ask(question, HINT, _name_refused), named)
    else:
        _keep(bedside, made, outcome)


def _name_refused(name: str) -> str | None:
    try:
        new_yarn(name=name)
    except DrawerRefused as refused:
        return str(refused).splitlines()[0]
    return None


def _keep(bedside: Bedside, made: CrossingMade, outcome: Outcome) -> None:
    try:
        said = bedside.session.outcomes.record(made, outcome, bedside.session.knitting.place)
    except (DrawerRefused, OSError) as error:
        said = f"Kept in the ledger only: {str(error).splitlines()[0]}"
    bedside.say(said)
    if outcome is Outcome.BROKE:
        # Recorded it is; what to do now is the next question.
        bedside.do_differs("x")
