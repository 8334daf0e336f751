"""What can be set on the settings screen: each line's name, its value in words, and how it changes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from purlside.app.actions import GROUPS, Action, key_text
from purlside.app.rebinding import keys_now
from purlside.keep.settings import CallSettings, LookSettings, Pedal, Settings
from purlside.knitting.calling import MOST_AHEAD
from purlside.plan.plan import Plan
from purlside.sound.tones import KINDS, LIMITS, Kind
from purlside.values import dataclass

Change = Callable[[Settings, int], Settings]


@dataclass(frozen=True, slots=True)
class Option:
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
    yield from _calls(settings.calls, plan, sound, speech)
    yield "Look"
    yield from _look(settings.look)
    yield "Hands-free"
    yield from _hands_free(settings)
    listed: set[str] = set()
    for heading, group in GROUPS.items():
        yield heading
        for action in group:
            if action.name not in listed:
                listed.add(action.name)
                yield _key(settings, action)


def _part(part: str, name: str, values: Sequence[Any], *, wrap: bool = True) -> Change:
    """Steps through the values of ``settings.part.name``."""

    def change(settings: Settings, step: int) -> Settings:
        model = getattr(settings, part)
        at = _near(values, getattr(model, name)) + step
        value = values[at % len(values) if wrap else max(0, min(at, len(values) - 1))]
        return replace(settings, **{part: replace(model, **{name: value})})

    return change


def _reset(part: str, *names: str) -> Callable[[Settings], Settings]:
    def reset(settings: Settings) -> Settings:
        model = getattr(settings, part)
        usual = type(model)()
        return replace(settings, **{part: replace(model, **{name: getattr(usual, name) for name in names})})

    return reset


def _near(values: Sequence[Any], value: Any) -> int:
    if value in values:
        return values.index(value)
    return min(range(len(values)), key=lambda i: abs(values[i] - value))


def _switch(
    part: str, name: str, told: str, on: bool, hint: str = "", words: tuple[str, str] = ("on", "off")
) -> Option:
    return Option(told, words[0 if on else 1], _part(part, name, (True, False)), _reset(part, name), hint=hint)


def _calls(calls: CallSettings, plan: Plan | None, quiet: str, speech: str) -> Iterator[Option]:
    ahead = tuple(range(1, MOST_AHEAD + 1))
    yield Option(
        "Call a crossing row",
        f"{calls.ahead} row{'s' if calls.ahead != 1 else ''} ahead",
        _part("calls", "ahead", ahead, wrap=False),
        _reset("calls", "ahead"),
    )
    yield Option(
        "Sound",
        "off" if calls.muted else "on",
        _part("calls", "muted", (False, True)),
        _reset("calls", "muted"),
        hint=quiet,
    )
    yield _switch("calls", "spoken", "Spoken call", calls.spoken, speech)
    called = ("called", "not called")
    yield _switch("calls", "reminders", "Reminders", calls.reminders, words=called)
    yield _switch("calls", "weights", "Announce weights", calls.weights, words=called)
    yield _switch("calls", "shaping_rows", "Shaping rows", calls.shaping_rows, words=called)
    yield _switch("calls", "handling", "What weights and edges want", calls.handling, words=("told", "not told"))
    counter = ("set to the row", "left as it runs")
    yield _switch("calls", "set_counter", "Counter after a crossing row", calls.set_counter, words=counter)
    for cable in plan.cable if plan else ():
        silent = cable.name in calls.silent.get(plan.title if plan else "", ())
        yield Option(f"Cable {cable.name}", called[silent], _cable(plan, cable.name))
    tones = calls.tones()
    for kind in KINDS:
        tone, word = tones.of(kind), _SOUNDS[kind]
        yield Option(f"{word}: pitch", f"{tone.pitch:g} Hz", _tone(kind, "pitch", 20), _untone(kind), sounds=kind)
        yield Option(f"{word}: length", f"{tone.length:g} s", _tone(kind, "length", 0.05), _untone(kind), sounds=kind)
        yield Option(f"{word}: volume", f"{tone.volume:.0%}", _tone(kind, "volume", 0.1), _untone(kind), sounds=kind)


_SOUNDS: dict[Kind, str] = {
    "coming": "Coming",
    "now": "Crossing row",
    "finished": "Finished",
    "shaping": "Shaping row",
    "dial": "Dial to be set",
}


def _cable(plan: Plan | None, name: str) -> Change:
    def change(settings: Settings, step: int) -> Settings:
        title = plan.title if plan else ""
        names = settings.calls.silent.get(title, ())
        names = tuple(n for n in names if n != name) if name in names else (*names, name)
        silent = {k: v for k, v in {**settings.calls.silent, title: names}.items() if v}
        calls = replace(settings.calls, silent=silent)
        return replace(settings, calls=calls)

    return change


def _tone(kind: Kind, what: str, by: float) -> Change:
    def change(settings: Settings, step: int) -> Settings:
        low, high, _ = LIMITS[what]
        now = getattr(settings.calls.tones().of(kind), what)
        value = round(min(high, max(low, now + step * by)), 2)
        changes: dict[str, Any] = {kind: replace(getattr(settings.calls, kind), **{what: value})}
        return replace(settings, calls=replace(settings.calls, **changes))

    return change


def _untone(kind: Kind) -> Callable[[Settings], Settings]:
    return _reset("calls", kind)


def _look(look: LookSettings) -> Iterator[Option]:
    yield Option("Theme", look.theme, _part("look", "theme", ("dark", "light")), _reset("look", "theme"))
    drawing = {"lines": "lines", "ascii": "ASCII only"}[look.drawing]
    yield Option("Drawing", drawing, _part("look", "drawing", ("lines", "ascii")), _reset("look", "drawing"))
    unit = {"cm": "cm, m, g", "inch": "inches, yards, ounces"}[look.unit]
    yield Option("Measures", unit, _part("look", "unit", ("cm", "inch")), _reset("look", "unit"))
    columns = (
        f"{look.columns} column{'s' if look.columns != 1 else ''} a needle"
        if look.columns
        else "as many columns as fit"
    )
    yield Option("Strip", columns, _part("look", "columns", (0, 1, 2, 3)), _reset("look", "columns"))


WINDOWS = (200, 250, 300, 350, 400, 500, 700)


def _guard(settings: Settings, step: int) -> Settings:
    return replace(settings, guard_ms=None if settings.guard_ms == 0 else 0)


def _hands_free(settings: Settings) -> Iterator[Option]:
    pedal = settings.pedal
    yield Option(
        "A key held down",
        "makes step after step" if settings.guard_ms == 0 else "makes one step",
        _guard,
        lambda s: replace(s, guard_ms=None),
        hint="a bouncing pedal counts once too",
    )
    yield Option(
        "Pedal with one key",
        key_text(pedal.key) if pedal.key else "none",
        reset=lambda s: replace(s, pedal=Pedal()),
        binds="pedal",
        hint="one press: next; back as below",
    )
    if pedal.key:
        words = {"double": "pressed twice", "long": "held down", "off": "never"}[pedal.back]
        yield Option(
            "The pedal goes back when",
            words,
            _part("pedal", "back", ("double", "long", "off")),
            _reset("pedal", "back"),
        )
        if pedal.back == "double":
            yield Option(
                "Twice means within",
                f"{pedal.window_ms} ms",
                _part("pedal", "window_ms", WINDOWS, wrap=False),
                _reset("pedal", "window_ms"),
            )


def _key(settings: Settings, action: Action) -> Option:
    keys = ", ".join(map(key_text, keys_now(settings.keys, action.name)))
    own = "" if action.name not in settings.keys else "changed"
    return Option(action.help, keys, binds=action.name, hint=own)
