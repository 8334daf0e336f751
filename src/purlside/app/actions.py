"""What keys do: one registry for bindings, key line and help; which keys is a setting.

A key is named by its character (``"g"``, ``"?"``) or, where it has none, by
its name (``"space"``, ``"pagedown"``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Action:
    """One thing a key does. ``short`` stands on the key line; empty keeps it off."""

    name: str
    keys: tuple[str, ...]
    help: str
    short: str = ""


BEDSIDE = (
    Action("forward", ("space", "enter", "pagedown"), "done: show the next card", "next"),
    Action("back", ("backspace", "pageup"), "one card back", "back"),
    Action("next_move", ("down",), "one move on, within the card", "move"),
    Action("move_back", ("up",), "one move back"),
    Action("next_row", ("r",), "to the start of the next row"),
    Action("row_back", ("R",), "to the start of this row, or of the row before"),
    Action("go_to", ("g",), "go to a row", "row"),
    Action("why", ("w",), "why this card is as it is", "why"),
    Action("note", ("n",), "keep a note at this place", "note"),
    Action("mute", ("m",), "calls: sound off or on", "mute"),
    Action("sound_test", ("t",), "sound the three calls"),
    Action("columns", ("c",), "strip: columns a needle, as many as fit or 1, 2, 3"),
    Action("drawing", ("a",), "strip: line drawing or ASCII only"),
    Action("theme", ("l",), "light or dark"),
    Action("help", ("?", "f1"), "all keys, and how to read the strip", "keys"),
    Action("leave", ("q", "escape"), "leave: back to the shelf, or close", "leave"),
)

SHELF = (
    Action("open", ("enter", "space"), "open the plan where it was left", "open"),
    Action("down", ("down", "j"), "next plan", ""),
    Action("up", ("up", "k"), "plan before", ""),
    Action("forget", ("x",), "take the plan off the shelf (its file and ledger stay)", "take off"),
    Action("theme", ("l",), "light or dark", "light"),
    Action("help", ("?", "f1"), "all keys", "keys"),
    Action("leave", ("q", "escape"), "close", "close"),
)

_NAMES = {
    "space": "Space",
    "enter": "Enter",
    "pagedown": "Page Down",
    "pageup": "Page Up",
    "backspace": "Backspace",
    "down": "Down",
    "up": "Up",
    "left": "Left",
    "right": "Right",
    "escape": "Esc",
    "home": "Home",
    "end": "End",
    "tab": "Tab",
}


def key_text(key: str) -> str:
    """A key as it is printed on the keyboard."""
    return _NAMES.get(key) or (key.upper() if len(key) > 1 else key)


class KeyConflict(ValueError):
    """Keys in the settings that cannot work; the message says which and why."""


def keymap(actions: Iterable[Action], over: Mapping[str, list[str]]) -> dict[str, Action]:
    """Which key does what, settings over defaults. Raises KeyConflict."""
    listed = list(actions)
    taken: dict[str, Action] = {}
    for action in sorted(listed, key=lambda a: a.name not in over):
        for key in over.get(action.name, action.keys):
            other = taken.get(key)
            if other is None:
                taken[key] = action
            elif action.name in over:
                raise KeyConflict(
                    f'settings, keys: "{key}" is given to both "{other.name}" and "{action.name}"; keep one'
                )
    for action in listed:
        if not any(found is action for found in taken.values()):
            raise KeyConflict(f'settings, keys: no key is left for "{action.name}"; give it one')
    return taken


def keys_of(keys: Mapping[str, Action], action: Action) -> list[str]:
    """The keys that do an action, as printed."""
    return [key_text(key) for key, found in keys.items() if found.name == action.name]
