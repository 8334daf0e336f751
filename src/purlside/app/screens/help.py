"""Help: all keys, and how to read the strip."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar

from rich.style import Style
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from purlside import strip
from purlside.app.actions import Action, keys_of
from purlside.app.spelling import in_ascii

BRIDGING = (
    "Bridging: in a crossing row different needles want different treatment, so the row is knit piece by piece while "
    "every other needle is held. Knit a piece, hold it, take the carriage back over the held needles (they do not "
    "knit), return the next piece to upper working, knit that. The plain pieces between cables are the bridges."
)
FRONT = (
    "Front and back: the half put back on the needles first lies on the knit side, away from you: it shows. The half "
    "put back second lies behind it."
)
CAUTIONS = (
    "Keep fingers clear of the carriage and off the latches and hooks. Weights fall: hold them when you move them. "
    "Clamp the bed. Rest your hands and shoulders: a short break each hour is better than a long one late. The "
    "machine's own manual comes before anything said here."
)


class Help(ModalScreen[None]):
    """Keys, legend, the words."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape,q,question_mark,f1,space,enter", "leave", "back"),
    ]

    def __init__(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        super().__init__()
        self.actions, self.keys = list(actions), keys

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="help"):
            yield Static(self._text())

    def _text(self) -> Text:
        bold = Style(bold=True)
        text = Text()
        spell = in_ascii if self.app.has_class("-ascii") else str
        text.append("Keys", bold)
        text.append("   (Up, Down scroll; Esc goes back)\n")
        for action in self.actions:
            keys = ", ".join(keys_of(self.keys, action))
            text.append(f"  {keys:<26} ", bold)
            text.append(f"{action.help}\n")
        text.append("\nThe strip: the bed as you see it, rail at the top\n", bold)
        for signs, meaning in strip.LEGEND:
            text.append(f"  {spell(signs):<8} ", bold)
            text.append(f"{meaning}\n")
        text.append("  lanes    working, upper working and holding position, from the rail towards you\n")
        for prose in (BRIDGING, FRONT, CAUTIONS):
            head, _, rest = prose.partition(": ") if prose is not CAUTIONS else ("Cautions", "", prose)
            text.append(f"\n{head}\n", bold)
            text.append(f"{rest}\n")
        return text

    def action_leave(self) -> None:
        self.dismiss(None)
