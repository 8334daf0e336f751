"""Which keys may do what: settings checked when they are read, and when a key is bound on the screen."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import replace

from purlside.app.actions import GROUPS, Action, KeyConflict, key_text, keymap
from purlside.keep.settings import Pedal, Settings

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


def keys_now(over: Over, name: str) -> list[str]:
    """The keys that do an action now, the first group that has it deciding."""
    for group in GROUPS.values():
        if any(action.name == name for action in group):
            return [key for key, action in keymap(group, over).items() if action.name == name]
    raise KeyError(name)


def bound(settings: Settings, name: str, keys: Sequence[str]) -> Settings:
    """The settings with these keys for an action, and no others. Raises KeyConflict, in words."""
    over = settings.keys
    pedal: Pedal = settings.pedal
    for key in keys:
        if why := wrong_key(key):
            raise KeyConflict(why)
        if key == pedal.key and name not in ("forward", "back"):
            raise KeyConflict(f"{key_text(key)} is the pedal's key; choose another")
        for group in GROUPS.values():
            if not any(action.name == name for action in group):
                continue
            other = keymap(group, over).get(key)
            if other is not None and other.name != name:
                raise KeyConflict(f'{key_text(key)} already does "{other.help}"; choose another, or rebind that first')
    return replace(settings, keys={**over, name: tuple(keys)})


def unbound(settings: Settings, name: str) -> Settings:
    """The settings with an action's own keys again. Raises KeyConflict if another action has them all."""
    changed = replace(settings, keys={k: v for k, v in settings.keys.items() if k != name})
    own = actions()[name].keys
    taken = [other for group in GROUPS.values() for key in own if (other := keymap_of(group, settings, name).get(key))]
    if taken:
        raise KeyConflict(f'its key is now for "{taken[0].help}"; give that one back first')
    return changed


def keymap_of(group: Sequence[Action], settings: Settings, without: str) -> dict[str, Action]:
    """What the keys that were set do, but for one action."""
    over = {name: keys for name, keys in settings.keys.items() if name != without}
    return {key: action for action in group for key in over.get(action.name, ())}
