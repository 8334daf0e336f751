"""How a crossing went: one key records it, under its yarn; any step goes on knitting."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Key
from textual.screen import ModalScreen

from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed, key_name
from purlside.app.widgets.page import sight
from purlside.app.widgets.pane import Pane, Run
from purlside.ease.calibration import Outcome
from purlside.ease.reach import Verdict
from purlside.keep.drawer import new_yarn
from purlside.keep.session import Session
from purlside.knitting.made import ROWS_LOOKED_BACK, CrossingMade, last_made
from purlside.plan.problems import Unfit

KEYS: dict[str, Outcome] = {
    **{outcome[0]: outcome for outcome in Outcome},
    **{str(number): outcome for number, outcome in enumerate(Outcome, 1)},
}
"""The first letter of each outcome, and 1 to 4."""

MOST_SHOWN = 5
"""Crossings of a row in sight at once."""

STEPS = ("forward", "back")
"""Actions whose keys step on while it is asked how a crossing went; Enter, which answers elsewhere, does not."""

HINT = (
    "Kept so, a yarn learns from its crossings; what it learns is offered, and changes no plan by itself. "
    "Enter or Esc: keep it in the ledger only."
)


class Went(ModalScreen[tuple[CrossingMade, Outcome] | Key | None]):
    """Asks how one of the crossings made last went; gives it with its outcome, or the key of a step pressed instead.

    ``steps`` tells the keys that always step, whatever is asked.
    """

    def __init__(
        self,
        made: Sequence[CrossingMade],
        recorded: Callable[[CrossingMade], Outcome | None],
        steps: Callable[[Key], bool],
    ) -> None:
        super().__init__()
        self.made, self.recorded, self.steps = tuple(made), recorded, steps
        open_ = [i for i, one in enumerate(self.made) if recorded(one) is None]
        self.chosen = open_[0] if open_ else len(self.made) - 1

    def compose(self) -> ComposeResult:
        with Vertical():
            asked = Pane(self._asked)
            asked.styles.height = min(len(self.made), MOST_SHOWN) + 2
            yield asked

    def on_key(self, event: Key) -> None:
        event.stop()
        event.prevent_default()
        if self.steps(event):
            self.dismiss(event)
        elif event.key in ("up", "down"):
            by = 1 if event.key == "down" else -1
            self.chosen = max(0, min(self.chosen + by, len(self.made) - 1))
            self.query_one(Pane).redraw()
        elif (outcome := KEYS.get(event.character or "")) is not None:
            self.dismiss((self.made[self.chosen], outcome))
        elif event.key in ("escape", "q"):
            self.dismiss(None)

    def _asked(self, width: int, height: int) -> Iterator[list[Run]]:
        """The crossings made last, the one asked about marked; the answers."""
        several = "   Up, Down: another crossing" if len(self.made) > 1 else ""
        yield [(f" Row {self.made[0].row}: how did it go over?", "figure"), (several, "quiet")]
        for i in sight(self.chosen, len(self.made), MOST_SHOWN):
            yield list(self._one(self.made[i], i == self.chosen))
        keys: list[Run] = []
        for outcome in Outcome:
            keys += [(f" {outcome[0]}", "key"), (f" {outcome}  ", "plain")]
        yield [*keys, ("   next and back still work; Esc leaves it", "quiet")]

    def _one(self, made: CrossingMade, chosen: bool) -> Iterator[Run]:
        yield (" > " if chosen else "   "), "key"
        yield f"{made.name}, {made.crossing}", "strong" if chosen else "plain"
        yield f": {made.note}, reach {made.ratio:.2f}, ", "plain"
        if (outcome := self.recorded(made)) is not None:
            yield f"recorded: {outcome}", "strong"
        else:
            verdict = made.attempt.verdict
            yield ("not expected to" if verdict is Verdict.NOT_ENOUGH else f"expected {verdict}"), "plain"


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
