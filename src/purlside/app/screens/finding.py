"""Finding an action by a word: every action of a screen, with its keys; Enter does it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from purlside.app.actions import Action, keys_of
from purlside.app.screens.ask import Dialog


class Finding(Dialog[str]):
    """Type a word, choose with the arrows; gives the action's name."""

    BINDINGS: ClassVar[list[BindingType]] = [("down", "move(1)", "next"), ("up", "move(-1)", "before")]
    CSS = """
    Finding .ask { width: 90; }
    Finding OptionList { max-height: 14; }
    """

    def __init__(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        super().__init__("What do you want to do? A word of it")
        self.actions, self.keys = [a for a in actions if a.name != "find"], keys

    def body(self) -> ComposeResult:
        yield Input(max_length=40)
        yield OptionList()

    def on_mount(self) -> None:
        self.query_one(OptionList).can_focus = False
        self.query_one(Input).focus()
        self._list("")

    def _list(self, word: str) -> None:
        """The actions whose help has all the words typed."""
        words = word.lower().split()
        found = [a for a in self.actions if all(w in f"{a.help} {a.short} {a.name}".lower() for w in words)]
        options = self.query_one(OptionList)
        options.clear_options()
        for action in found:
            pressed = ", ".join(keys_of(self.keys, action))
            options.add_option(Option(Content(f"{pressed:<14} {action.help}"), id=action.name))
        options.highlighted = 0 if found else None

    def on_input_changed(self, event: Input.Changed) -> None:
        self._list(event.value)

    def action_move(self, by: int) -> None:
        options = self.query_one(OptionList)
        if options.option_count:
            options.highlighted = ((options.highlighted or 0) + by) % options.option_count

    def on_input_submitted(self, event: Input.Submitted) -> None:
        options = self.query_one(OptionList)
        if options.highlighted is not None:
            self.answer(options.get_option_at_index(options.highlighted).id)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.answer(event.option.id)
