"""Find: any action of the screen below, by a word."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from textual.app import ComposeResult
from textual.events import Key

from purlside.app.actions import FINDING, Action, keys_of
from purlside.app.finding import found
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.keep.settings import Settings

KEYS = 22
"""Columns for the keys of an action."""
LONGEST = 60


class FoundList(Pane):
    """What is typed, and the actions like it."""

    def __init__(self, screen: Find) -> None:
        super().__init__(id="found")
        self.of = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        of = self.of
        yield [(" Find ", "figure"), (f" {of.typed}", "strong"), ("_", "key")]
        yield []
        if not of.listed:
            yield [(" Nothing is called that. Type another word for it, or part of one", "plain")]
        room = max(1, height - 2)
        top = max(0, min(of.chosen - room // 2, len(of.listed) - room))
        for i, action in enumerate(of.listed[top : top + room], top):
            here = i == of.chosen
            keys = ", ".join(keys_of(of.all_keys, action)[:2])
            yield [
                (" > " if here else "   ", "key"),
                (f"{keys:<{KEYS}}", "key"),
                (action.help, "figure" if here else "plain"),
            ]


class Find(Keyed):
    """Typed letters narrow the list; Enter does the line chosen, on the screen below."""

    ACTIONS = FINDING
    CSS = "#found { height: 1fr; }"

    def __init__(
        self,
        settings: Settings,
        actions: Iterable[Action],
        keys: Mapping[str, Action],
        run: Callable[[Action], None],
        **options: Any,
    ) -> None:
        super().__init__(settings, **options)
        self.all_keys, self._actions, self._run = keys, [a for a in actions if a.name != "find"], run
        self.typed, self.chosen = "", 0
        self.listed = list(self._actions)

    def compose(self) -> ComposeResult:
        yield FoundList(self)
        yield KeyLine(lambda: self.keys, lambda: self.note_line, id="keys")

    def taken(self, key: str, event: Key) -> bool:
        if event.key == "backspace":
            self._type(self.typed[:-1])
        elif event.is_printable and event.character:
            self._type((self.typed + event.character)[:LONGEST])
        else:
            return False
        return True

    def _type(self, typed: str) -> None:
        self.typed, self.chosen = typed, 0
        self.listed = found(self._actions, typed)
        self._repaint()

    def _go(self, to: int) -> None:
        self.chosen = max(0, min(to, len(self.listed) - 1))
        self._repaint()

    def do_down(self) -> None:
        self._go(self.chosen + 1)

    def do_up(self) -> None:
        self._go(self.chosen - 1)

    def do_run(self) -> None:
        if self.listed:
            action = self.listed[self.chosen]
            self.dismiss()
            self.app.call_later(self._run, action)

    def do_leave(self) -> None:
        self.dismiss()
