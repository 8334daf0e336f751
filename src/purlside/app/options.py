"""What can be set on the settings screen: each line's name, its value in words, and how it changes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from purlside.app.actions import GROUPS, Action, key_text
from purlside.app.rebinding import keys_now
from purlside.keep.settings import Pedal, Settings
from purlside.knitting.calling import MOST_AHEAD
from purlside.plan.checked import Checked
from purlside.plan.plan import Plan
from purlside.sound.tones import KINDS, LIMITS, Kind
from purlside.text.counts import counted
from purlside.values import Value

Change = Callable[[Settings, int], Settings]
T = TypeVar("T", bound=Checked)


class Option(Value):
    """One line: ``change`` takes it a step up (1) or down (-1); ``binds`` names what a key is asked for."""

    name: str
    value: str
    change: Change | None = None
    reset: Callable[[Settings], Settings] | None = None
    binds: str = ""
    """An action's name, or "pedal"."""
    sounds: Kind | None = None
    hint: str = ""


def options(settings: Settings, plan: Plan | None, *, sound: str = "", speech: str = "") -> Iterator[str | Option]:
    """The lines now, headings as text between them; ``sound`` and ``speech`` say why calls cannot be heard, spoken."""
    yield "Calls"
    ahead = {rows: f"{counted(rows, 'row')} ahead" for rows in range(1, MOST_AHEAD + 1)}
    yield _choice(settings, "calls.ahead", "Call a crossing row", ahead, wrap=False)
    yield _choice(settings, "calls.muted", "Sound", {False: "on", True: "off"}, hint=sound)
    yield _choice(settings, "calls.spoken", "Spoken call", {True: "on", False: "off"}, hint=speech)
    for key, (name, yes, no) in _CALLED.items():
        yield _choice(settings, f"calls.{key}", name, {True: yes, False: no})
    for cable in plan.cable if plan else ():
        yield _cable(settings, plan.title if plan else "", cable.name)
    for kind in KINDS:
        yield from _tones(settings, kind)
    yield "Look"
    yield _choice(settings, "look.theme", "Theme", {"dark": "dark", "light": "light"})
    yield _choice(settings, "look.drawing", "Drawing", {"lines": "lines", "ascii": "ASCII only"})
    units = {"cm": "cm, m, g", "inch": "inches, yards, ounces"}
    yield _choice(settings, "look.unit", "Measures", units)
    columns = {n: f"{counted(n, 'column')} a needle" for n in range(1, 4)}
    yield _choice(settings, "look.columns", "Strip", {0: "as many columns as fit", **columns})
    yield "Hands-free"
    held = {None: "makes one step", 0: "makes step after step"}
    yield _choice(settings, "guard_ms", "A key held down", held, hint="a bouncing pedal counts once too")
    yield from _pedal(settings)
    listed: set[str] = set()
    for heading, group in GROUPS.items():
        yield heading
        for action in group:
            if action.name not in listed:
                listed.add(action.name)
                yield _key(settings, action)


_CALLED = {
    "reminders": ("Reminders", "called", "not called"),
    "weights": ("Announce weights", "called", "not called"),
    "shaping_rows": ("Shaping rows", "called", "not called"),
    "handling": ("What weights and edges want", "told", "not told"),
    "set_counter": ("Counter after a crossing row", "set to the row", "left as it runs"),
}
"""What is called or not, or told: its line's name, and the words for yes and no."""
_SOUNDS: dict[Kind, str] = {
    "coming": "Coming",
    "now": "Crossing row",
    "finished": "Finished",
    "shaping": "Shaping row",
    "dial": "Dial to be set",
}
WINDOWS = (200, 250, 300, 350, 400, 500, 700)


def _at(table: Any, path: str) -> Any:
    for name in path.split("."):
        table = getattr(table, name)
    return table


def _with(table: T, path: str, value: Any) -> T:
    name, _, inner = path.partition(".")
    return replace(table, **{name: _with(getattr(table, name), inner, value) if inner else value})


def _reset(path: str) -> Callable[[Settings], Settings]:
    return lambda settings: _with(settings, path, _at(Settings(), path))


def _choice(
    settings: Settings, path: str, name: str, words: Mapping[Any, str], *, hint: str = "", wrap: bool = True
) -> Option:
    """A setting that has one of these values, the first where it has none of them; each is told in its words."""
    values = list(words)

    def place(settings: Settings) -> int:
        value = _at(settings, path)
        return values.index(value) if value in values else 0

    def change(settings: Settings, step: int) -> Settings:
        at = place(settings) + step
        return _with(settings, path, values[at % len(values) if wrap else max(0, min(at, len(values) - 1))])

    return Option(name, words[values[place(settings)]], change, _reset(path), hint=hint)


def _cable(settings: Settings, title: str, name: str) -> Option:
    def change(settings: Settings, step: int) -> Settings:
        names = settings.calls.silent.get(title, ())
        names = tuple(n for n in names if n != name) if name in names else (*names, name)
        silent = {k: v for k, v in {**settings.calls.silent, title: names}.items() if v}
        return replace(settings, calls=replace(settings.calls, silent=silent))

    silent = name in settings.calls.silent.get(title, ())
    return Option(f"Cable {name}", "not called" if silent else "called", change)


def _tones(settings: Settings, kind: Kind) -> Iterator[Option]:
    def change_of(what: str, by: float) -> Change:
        def change(settings: Settings, step: int) -> Settings:
            low, high, _ = LIMITS[what]
            now = getattr(settings.calls.tones().of(kind), what)
            return _with(settings, f"calls.{kind}.{what}", round(min(high, max(low, now + step * by)), 2))

        return change

    tone, reset = settings.calls.tones().of(kind), _reset(f"calls.{kind}")
    for what, value, by in (
        ("pitch", f"{tone.pitch:g} Hz", 20),
        ("length", f"{tone.length:g} s", 0.05),
        ("volume", f"{tone.volume:.0%}", 0.1),
    ):
        yield Option(f"{_SOUNDS[kind]}: {what}", value, change_of(what, by), reset, sounds=kind)


def _pedal(settings: Settings) -> Iterator[Option]:
    pedal = settings.pedal
    yield Option(
        "Pedal with one key",
        key_text(pedal.key) if pedal.key else "none",
        reset=lambda s: replace(s, pedal=Pedal()),
        binds="pedal",
        hint="one press: next; back as below",
    )
    if pedal.key:
        back = {"double": "pressed twice", "long": "held down", "off": "never"}
        yield _choice(settings, "pedal.back", "The pedal goes back when", back)
        if pedal.back == "double":
            within = {ms: f"{ms} ms" for ms in sorted({*WINDOWS, pedal.window_ms})}
            yield _choice(settings, "pedal.window_ms", "Twice means within", within, wrap=False)


def _key(settings: Settings, action: Action) -> Option:
    keys = ", ".join(map(key_text, keys_now(settings.keys, action.name)))
    own = "" if action.name not in settings.keys else "changed"
    return Option(action.help, keys, binds=action.name, hint=own)
