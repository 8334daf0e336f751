"""Which keys may do what: settings checked when they are read, and when a key is bound on the screen."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import replace

from purlside.app.actions import GROUPS, Action, KeyConflict, key_text, keymap
from purlside.keep.settings import Settings

Over = Mapping[str, Sequence[str]]
"""Keys by the name of the action, instead of its own."""

_PLAIN = "space enter tab escape backspace delete insert home end up down left right pageup pagedown"
NAMED = frozenset([*_PLAIN.split(), *(f"f{n}" for n in range(1, 25))])
"""Keys without a character, by the names they have in the settings."""
TAKEN = {"ctrl+c": "ends the program", "ctrl+q": "ends the program"}
"""Keys that never reach a screen."""


def actions() -> dict[str, Action]:
    """Every action that can be rebound, by name."""
    return {action.name: action for group in GROUPS.values() for action in reversed(group)}


def wrong_key(key: str) -> str | None:
    """Why a text is not the name of a key that can be bound; None if it is."""
    if key in TAKEN:
        return f"{key_text(key)} {TAKEN[key]}; choose another"
    *modifiers, last = key.split("+") if len(key) > 1 else [key]
    if all(m in ("ctrl", "shift", "alt") for m in modifiers) and (
        last in NAMED or (len(last) == 1 and last.isprintable() and last != " ")
    ):
        return None
    near = difflib.get_close_matches(key.lower().replace(" ", ""), NAMED, n=1, cutoff=0.5)
    return f'"{key}" is not a key; ' + (
        f'did you mean "{near[0]}"?' if near else 'allowed: one character, or a name as "pagedown" or "f5"'
    )


def check(settings: Settings) -> None:
    """Refuse keys that cannot work. Raises KeyConflict."""
    known = sorted(actions())
    for name, keys in settings.keys.items():
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
            meant = f'did you mean "{near[0]}"?' if near else f"known: {', '.join(known)}"
            raise KeyConflict(f'settings, keys: "{name}" is not an action; {meant}')
        for key in keys:
            if why := wrong_key(key):
                raise KeyConflict(f"settings, keys, {name}: {why}")
    for group in GROUPS.values():
        keymap(group, settings.keys)
    if settings.pedal.key and (why := wrong_pedal(settings.keys, settings.pedal.key)):
        raise KeyConflict(f"settings, pedal, key: {why}")


def wrong_pedal(over: Over, key: str) -> str | None:
    """Why a key cannot be the pedal's; it may do nothing else, or what the pedal does."""
    if why := wrong_key(key):
        return why
    action = keymap(GROUPS["Keys at the bedside"], over).get(key)
    if action is None or action.name in ("forward", "back"):
        return None
    return f'{key_text(key)} does "{action.help}"; choose another for the pedal, or rebind that first'


def _with(name: str) -> list[tuple[Action, ...]]:
    """The groups that have an action of this name."""
    return [group for group in GROUPS.values() if any(action.name == name for action in group)]


def keys_now(over: Over, name: str) -> list[str]:
    """The keys that do an action now, the first group that has it deciding."""
    return [key for key, action in keymap(_with(name)[0], over).items() if action.name == name]


def bound(settings: Settings, name: str, keys: Sequence[str]) -> Settings:
    """The settings with these keys for an action, and no others. Raises KeyConflict, in words."""
    for key in keys:
        if why := wrong_key(key):
            raise KeyConflict(why)
        if key == settings.pedal.key and name not in ("forward", "back"):
            raise KeyConflict(f"{key_text(key)} is the pedal's key; choose another")
        for group in _with(name):
            other = keymap(group, settings.keys).get(key)
            if other is not None and other.name != name:
                raise KeyConflict(f'{key_text(key)} already does "{other.help}"; choose another, or rebind that first')
    return replace(settings, keys={**settings.keys, name: tuple(keys)})


def unbound(settings: Settings, name: str) -> Settings:
    """The settings with an action's own keys again. Raises KeyConflict if another action has one of them."""
    rest = {other: keys for other, keys in settings.keys.items() if other != name}
    for group in GROUPS.values():
        for action in group:
            if set(rest.get(action.name, ())) & set(actions()[name].keys):
                raise KeyConflict(f'its key is now for "{action.help}"; give that one back first')
    return replace(settings, keys=rest)
