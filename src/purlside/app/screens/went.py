"""How a crossing went: one key, or any step goes on knitting."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Key
from textual.screen import ModalScreen

from purlside.app.widgets.page import sight
from purlside.app.widgets.pane import Pane, Run
from purlside.ease.calibration import Outcome
from purlside.ease.reach import Verdict
from purlside.knitting.made import CrossingMade

KEYS: dict[str, Outcome] = {
    **{outcome[0]: outcome for outcome in Outcome},
    **{str(number): outcome for number, outcome in enumerate(Outcome, 1)},
}
"""The first letter of each outcome, and 1 to 4."""

MOST_SHOWN = 5
"""Crossings of a row in sight at once."""


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
