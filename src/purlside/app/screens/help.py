"""Help: all keys, and how to read the strip."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import ClassVar

from rich.console import Group
from rich.style import Style
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from purlside.app.actions import Action, keys_of
from purlside.app.spelling import in_ascii
from purlside.text import signs

BRIDGING = (
    "Bridging: in a crossing row different needles want different treatment, so the row is knit piece by piece while "
    "every other needle is held. Knit a piece, hold it, take the carriage back over the held needles (they do not "
    "knit), return the next piece to upper working, knit that. The plain pieces between cables are the bridges."
)
FRONT = (
    "Front and back: the half put back on the needles first lies on the knit side, away from you: it shows. The half "
    "put back second lies behind it."
)
MORE_SIGNS = (
    ("lanes", "working, upper working and holding position, from the rail towards you"),
    ("█ ◄ ►", "the carriage, and the way it goes"),
    ("‹ ›", "the bed goes on that way; the line 'seen' below shows which part stands above it"),
)
CALLS = (
    "Calls: before a crossing row, a reminder, or weights to move up, a line above the strip says so and a sound plays: "
    "one beat when it is coming, two when it is there, three when the panel is finished. The settings say how early, "
    "which cables, what it sounds like, and whether it is spoken."
)
HANDS_FREE = (
    "Hands-free: a pedal or page-turner that sends Page Down and Page Up works as it is. For a pedal with one key, name "
    "the key in the settings: pressed it is next, pressed twice or held down it is back. There too every key can be "
    "changed, and the same key again too soon made to count once."
)
CAUTIONS = (
    "Cautions: Keep fingers clear of the carriage and off the latches and hooks. Weights fall: hold them when you move them. "
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
            yield Static(Group(*self._parts()))

    def _parts(self) -> Iterator[Text | Table]:
        bold = Style(bold=True)
        spell = in_ascii if self.app.has_class("-ascii") else str
        yield Text.assemble(("Keys", bold), "   (Up, Down scroll; Esc goes back)")
        yield listed((", ".join(keys_of(self.keys, action)), action.help) for action in self.actions)
        yield Text("\nThe strip: the bed as you see it, rail at the top", bold)
        yield listed((spell(signs), meaning) for signs, meaning in (*signs.LEGEND, *MORE_SIGNS))
        for prose in (BRIDGING, FRONT, CALLS, HANDS_FREE, CAUTIONS):
            head, _, rest = prose.partition(": ")
            yield Text.assemble((f"\n{head}\n", bold), rest)

    def action_leave(self) -> None:
        self.dismiss(None)


def listed(pairs: Iterable[tuple[str, str]]) -> Table:
    """Two columns: what is pressed or seen, and what it does or means, its lines below each other."""
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True, style=Style(bold=True))
    table.add_column()
    for left, right in pairs:
        table.add_row(Text(f"  {left}"), Text(right))
    return table
