"""Settings: calls, look, hands-free, and which key does what."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

from textual.app import ComposeResult
from textual.events import Key, Resize

from purlside.app.actions import SETTINGS, KeyConflict
from purlside.app.options import Option, options
from purlside.app.rebinding import bound, keys_now, unbound, wrong_pedal
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.keep.settings import Settings
from purlside.sound.playing import SWITCH

NAME = 42
"""Columns for a setting's name, where the screen has them."""


class OptionList(Pane):
    """The settings, the chosen one marked; scrolls to keep it in sight."""

    def __init__(self, screen: SettingsScreen) -> None:
        super().__init__(id="options")
        self.of = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        listed, chosen = self.of.listed, self.of.chosen
        at = next(i for i, line in enumerate(listed) if line is self.of.option)
        top = max(0, min(at - height // 2, len(listed) - height))
        if chosen == 0:
            top = 0
        name = min(NAME, max(20, width // 2))
        above, below = top, len(listed) - top - height
        for i, line in enumerate(listed[top : top + height]):
            # A list that goes on says so in the line it would be cut at.
            if (above and i == 0) or (below > 0 and i == height - 1):
                yield [(f"   … {above + 1 if i == 0 else below + 1} more {'above' if i == 0 else 'below'}", "quiet")]
                continue
            if isinstance(line, str):
                yield [(f" {line}", "figure")]
                continue
            here = line is self.of.option
            value = "press a key" if here and self.of.asking else line.value
            label = line.name if len(line.name) <= name else f"{line.name[: name - 1]}…"
            yield [
                (" > " if here else "   ", "key"),
                (f"{label:<{name}} ", "strong" if here else "plain"),
                (f"{value}  ", "figure" if here else "strong"),
                (line.hint, "quiet"),
            ]


class SettingsScreen(Keyed):
    """Lists everything that can be set; each change is kept at once."""

    ACTIONS = SETTINGS

    def __init__(self) -> None:
        super().__init__()
        self.chosen = 0
        self.asking = ""
        """What the next key does: "" nothing of its own, "set" or "add" binds it."""
        self.note_line = ""
        self.listed: list[str | Option] = []

    def compose(self) -> ComposeResult:
        yield Title(lambda: " Settings", id="heading")
        yield OptionList(self)
        yield KeyLine(lambda: self.keys, lambda: self.note_line, id="keys")

    def on_mount(self) -> None:
        self.look_again()

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self._repaint)

    @property
    def option(self) -> Option:
        """The chosen one."""
        choices = self._choices()
        return choices[min(self.chosen, len(choices) - 1)]

    def _choices(self) -> list[Option]:
        return [line for line in self.listed if isinstance(line, Option)]

    def look_again(self) -> None:
        """Ask the settings anew."""
        session = self.owner.session
        plan = session.file.plan if session else None
        speech = "" if self.owner.calls.speaks else "no speech engine, as espeak-ng, is found"
        sound = f"{SWITCH}=off: sound is off" if os.environ.get(SWITCH, "").strip().lower() == "off" else ""
        self.listed = list(options(self.owner.settings, plan, sound=sound, speech=sound or speech))
        self.call_after_refresh(self._repaint)

    def say(self, text: str) -> None:
        self.note_line = text
        self.look_again()

    def _settle(self, settings: Settings) -> None:
        self.owner.settle(settings)
        self.say("")

    # --- moving -------------------------------------------------------------

    def _move(self, by: int) -> None:
        self.chosen = max(0, min(self.chosen + by, len(self._choices()) - 1))
        self.say("")

    def do_down(self) -> None:
        self._move(1)

    def do_up(self) -> None:
        self._move(-1)

    def do_page_down(self) -> None:
        self._move(self.query_one(OptionList).size.height - 2)

    def do_page_up(self) -> None:
        self._move(2 - self.query_one(OptionList).size.height)

    # --- changing -----------------------------------------------------------

    def _change(self, step: int) -> None:
        option = self.option
        if option.change is None:
            return
        self._settle(option.change(self.owner.settings, step))
        if option.sounds is not None:
            self.owner.calls.play(option.sounds)

    def do_more(self) -> None:
        self._change(1)

    def do_less(self) -> None:
        self._change(-1)

    def do_change(self) -> None:
        if self.option.binds:
            self._ask("set")
        else:
            self._change(1)

    def do_add(self) -> None:
        if self.option.binds and self.option.binds != "pedal":
            self._ask("add")

    def _ask(self, how: str) -> None:
        self.asking = how
        what = "The pedal's key" if self.option.binds == "pedal" else f"A key for: {self.option.name}"
        self.say(f"{what} (Esc leaves it as it is)")

    def taken(self, key: str, event: Key) -> bool:
        """A key that was asked for is bound, or refused in words."""
        if not self.asking:
            return False
        how, self.asking = self.asking, ""
        if key == "escape":
            self.say("")
            return True
        try:
            self._settle(self._bound(how, key))
        except KeyConflict as conflict:
            self.say(f"Refused: {conflict}")
        return True

    def _bound(self, how: str, key: str) -> Settings:
        settings, name = self.owner.settings, self.option.binds
        if name == "pedal":
            if why := wrong_pedal(settings.keys, key):
                raise KeyConflict(why)
            return replace(settings, pedal=replace(settings.pedal, key=key))
        others = keys_now(settings.keys, name) if how == "add" else []
        return bound(settings, name, [*(k for k in others if k != key), key])

    def do_reset(self) -> None:
        option = self.option
        try:
            if option.reset is not None:
                self._settle(option.reset(self.owner.settings))
            elif option.binds:
                self._settle(unbound(self.owner.settings, option.binds))
        except KeyConflict as conflict:
            self.say(f"Refused: {conflict}")

    def do_reset_keys(self) -> None:
        self._settle(replace(self.owner.settings, keys={}))
        self.say("All keys are reset")

    def do_sound_test(self) -> None:
        self.say(self.owner.sound_test())

    def do_leave(self) -> None:
        self.dismiss()


class Title(Pane):
    """The name of a screen."""

    def __init__(self, told: Callable[[], str], **options: Any) -> None:
        super().__init__(**options)
        self.told = told

    def lines(self, width: int, height: int) -> Iterator[list[Run]]:
        yield from ([], [(self.told(), "figure")], [])
