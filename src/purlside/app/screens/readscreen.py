"""A screen of lines to read: a ledger, a sheet before it is printed."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.events import Resize

from purlside.app.actions import LEDGER
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.read import Reading, Told
from purlside.keep.settings import Settings


class ReadScreen(Keyed):
    """Lines read a screen at a time."""

    ACTIONS = LEDGER
    FIXED = True
    CSS = "#reading { height: 1fr; }"

    def __init__(self, lines: list[Told], settings: Settings, **options: Any) -> None:
        super().__init__(settings, **options)
        self._text = lines

    def compose(self) -> ComposeResult:
        yield Reading(lambda: self._text, id="reading")
        yield KeyLine(lambda: self.keys, lambda: "", id="keys")

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self._repaint)

    # --- what keys do -------------------------------------------------------

    def _reading(self) -> Reading:
        return self.query_one(Reading)

    def do_down(self) -> None:
        self._reading().scroll_lines(1)

    def do_up(self) -> None:
        self._reading().scroll_lines(-1)

    def do_page_down(self) -> None:
        self._reading().scroll_lines(max(1, self._reading().size.height - 2))

    def do_page_up(self) -> None:
        self._reading().scroll_lines(-max(1, self._reading().size.height - 2))

    def do_first(self) -> None:
        self._reading().to(0)

    def do_last(self) -> None:
        self._reading().to(10**9)

    def do_leave(self) -> None:
        self.app.pop_screen()
