"""Help: all keys by what one wants, and how to read the strip."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping

from textual.app import ComposeResult

from purlside.app.actions import HELPING, Action, keys_of
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.page import Block, Page
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
    "changed. A key held down makes one step."
)
CAUTIONS = (
    "Cautions: Keep fingers clear of the carriage and off the latches and hooks. Weights fall: hold them when you move them. "
    "Clamp the bed. Rest your hands and shoulders: a short break each hour is better than a long one late. The "
    "machine's own manual comes before anything said here."
)


KEYS = 20
"""Columns for keys and signs, where there is room for them."""


class Help(Keyed):
    """Keys by what one wants, the legend, the words."""

    ACTIONS = HELPING

    def __init__(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        super().__init__()
        self.told, self.told_keys = list(actions), keys

    def panes(self) -> ComposeResult:
        yield Page(self.blocks)

    def note(self) -> str:
        return self.query_one(Page).where

    def blocks(self, width: int) -> list[Block]:
        """All of it, by blocks that stand together, in lines of so many columns."""
        return [*self.key_blocks(width), *self.more(width)]

    def key_blocks(self, width: int) -> list[Block]:
        groups = dict.fromkeys(action.group for action in self.told if action.group)
        left = [action for action in self.told if not action.group]
        found = [self._keys(group, [a for a in self.told if a.group == group], width) for group in groups]
        return [*found, self._keys("More" if groups else "Keys", left, width)] if left else found

    def _keys(self, title: str, actions: Iterable[Action], width: int) -> Block:
        pairs = ((", ".join(keys_of(self.told_keys, action)) or "(find it)", action.help) for action in actions)
        return listed(title, pairs, width)

    def more(self, width: int) -> list[Block]:
        """What stands below the keys."""
        title = "The strip: the bed as you see it, rail at the top"
        return [
            listed(title, (*signs.LEGEND, *MORE_SIGNS), width),
            *(prose(text, width) for text in (BRIDGING, FRONT, CALLS, HANDS_FREE, CAUTIONS)),
        ]


def listed(title: str, pairs: Iterable[tuple[str, str]], width: int) -> Block:
    """A block of two columns: what is pressed or seen, and what it does or means."""
    room = max(1, min(KEYS, width // 3))
    lines: Block = [[(title, "figure")]]
    for left, right in pairs:
        parts = textwrap.wrap(right, max(10, width - room - 2)) or [""]
        long = len(left) > room - 1
        if long:
            lines.append([(f" {left}", "key")])
        lines += [[(f" {'' if long or i else left:<{room}}", "key"), (part, "plain")] for i, part in enumerate(parts)]
    return [*lines, []]


def prose(text: str, width: int) -> Block:
    """A block of text under its first words."""
    head, _, rest = text.partition(": ")
    return [[(head, "figure")], *([(f" {part}", "plain")] for part in textwrap.wrap(rest, max(10, width - 2))), []]
