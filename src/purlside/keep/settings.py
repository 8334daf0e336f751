"""Settings: keys, calls, look. A TOML file; what of it cannot be used is said, with what was meant, and left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal

from purlside.keep import folders
from purlside.keep.damage import read_toml, set_aside
from purlside.keep.folders import alone
from purlside.knitting.calling import MOST_AHEAD, Calling
from purlside.plan.checked import Checked, Inside, written
from purlside.plan.kinds import ByName, FrozenMapping, ListOf, Number, OneOf, Text, Whole, YesNo
from purlside.plan.problems import Key, Unfit
from purlside.sound.tones import KINDS, Tones
from purlside.text.harmless import shown
from purlside.values import Value

_NAMES = ListOf(Text(200, "a name", least=0), 1000, "a list of names")


class ToneSetting(Checked):
    """One sound: pitch in Hz, length in seconds, volume 0 to 1."""

    pitch: Annotated[float | None, Number(100, 4000, "Hz")] = None
    length: Annotated[float | None, Number(0.1, 3, "seconds")] = None
    volume: Annotated[float | None, Number(0, 1, "a part of full volume")] = None


_TONE = Inside(ToneSetting, "a table with some of pitch, length, volume")


class CallSettings(Checked):
    """How a crossing row is called."""

    ahead: Annotated[int, Whole(1, MOST_AHEAD, "rows ahead")] = 1
    """Rows before a crossing row."""
    muted: Annotated[bool, YesNo()] = False
    spoken: Annotated[bool, YesNo()] = False
    reminders: Annotated[bool, YesNo()] = True
    """Whether the plan's reminders are called as crossing rows are."""
    weights: Annotated[bool, YesNo()] = True
    """Whether moving the weights up is called."""
    steps: Annotated[bool, YesNo()] = False
    """Whether the steps of a crossing row are spoken too."""
    shaping_rows: Annotated[bool, YesNo()] = True
    """Whether rows shaped at the edges are called."""
    handling: Annotated[bool, YesNo()] = True
    """Whether it is told what weights and edges want, where it matters."""
    set_counter: Annotated[bool, YesNo()] = False
    """Whether the machine's counter is set to the row after each crossing row."""
    silent: Annotated[Mapping[str, tuple[str, ...]], ByName(_NAMES, 10_000, "lists of cables, by the plan's title")] = (
        FrozenMapping()
    )
    """Cables that are not called, by the plan's title."""
    coming: Annotated[ToneSetting, _TONE] = ToneSetting()
    now: Annotated[ToneSetting, _TONE] = ToneSetting()
    finished: Annotated[ToneSetting, _TONE] = ToneSetting()
    shaping: Annotated[ToneSetting, _TONE] = ToneSetting()
    dial: Annotated[ToneSetting, _TONE] = ToneSetting()

    def calling(self, title: str) -> Calling:
        """What is called of the plan with this title."""
        told = self.reminders, self.weights, self.shaping_rows, self.handling
        return Calling(self.ahead, frozenset(self.silent.get(title, ())), *told, self.set_counter)

    def tones(self) -> Tones:
        """The sounds with these settings over the defaults."""
        return Tones(**{kind: replace(Tones().of(kind), **written(getattr(self, kind))) for kind in KINDS})


class LookSettings(Checked):
    """How the screens look."""

    theme: Annotated[Literal["dark", "light"], OneOf("dark", "light")] = "dark"
    drawing: Annotated[Literal["lines", "ascii"], OneOf("lines", "ascii")] = "lines"
    unit: Annotated[Literal["cm", "inch"], OneOf("cm", "inch")] = "cm"
    """What sizes, yarn and weights are told in: cm, m and g, or inches, yards and ounces."""
    columns: Annotated[int, Whole(0, 3)] = 0
    """Columns a needle on the strip; 0 is as many as fit."""


PEDAL_GUARD = 60
"""Guard in ms where a pedal's key is set and no guard is: contacts bounce for less, feet are slower. An estimate."""


class Pedal(Checked):
    """One key that does both: pressed it is "next", pressed twice or held it is "back"."""

    key: Annotated[str, Text(40, "the name of a key", least=0)] = ""
    """The key the pedal sends; empty where there is none."""
    back: Annotated[Literal["double", "long", "off"], OneOf("double", "long", "off")] = "double"
    window_ms: Annotated[int, Whole(100, 1500, "milliseconds")] = 350
    """The second press of a double-press comes within this time."""


class Settings(Checked):
    """All that the settings file may say."""

    calls: Annotated[CallSettings, Inside(CallSettings, "a table of how crossing rows are called")] = CallSettings()
    look: Annotated[LookSettings, Inside(LookSettings, "a table with some of theme, drawing, unit, columns")] = (
        LookSettings()
    )
    keys: Annotated[Mapping[str, tuple[str, ...]], ByName(_NAMES, 1000, "lists of keys, by the name of the action")] = (
        FrozenMapping()
    )
    """Keys by the name of the action, instead of its own."""
    pedal: Annotated[Pedal, Inside(Pedal, "a table with key, back, window_ms")] = Pedal()
    guard_ms: Annotated[int | None, Whole(0, 2000, "milliseconds")] = None
    """The same press of a pedal again within this time counts once; 0: a key held down makes step after step."""

    @property
    def guard(self) -> int:
        """The guard in ms: as set, else PEDAL_GUARD with a pedal and none without.

        Without a pedal the keys come from fingers and through the terminal,
        which may hand over several at once: there a press that was meant and
        not counted would leave the screen behind the machine.
        """
        if self.guard_ms is not None:
            return self.guard_ms
        return PEDAL_GUARD if self.pedal.key else 0


class SettingsError(Exception):
    """Settings that cannot be used; the message names what is wrong and what is allowed."""


class SettingsFound(Value):
    """The settings as far as they can be used, and what is said of the rest; empty where all is well."""

    settings: Settings
    said: str = ""


def path() -> Path:
    return folders.config() / "settings.toml"


def load(file: Path | None = None) -> SettingsFound:
    """The settings; defaults where there is no file, and for whatever in it cannot be used."""
    file = file or path()
    data, said = read_toml(file)
    problems: list[str] = [said] if said else []
    settings = Settings()
    while data:
        from purlside.files.tables import checked

        try:
            settings = checked(Settings, data)
            break
        except Unfit as unfit:
            problems += map(str, unfit.problems)
            for problem in unfit.problems:
                _leave_out(data, problem.key)
    return SettingsFound(settings, f"Settings, {shown(str(file), 200)}: {'; '.join(problems)}" if problems else "")


def _leave_out(data: Any, key: Key) -> None:
    """Take a key out of tables in tables; the whole table where it is not there."""
    first, *rest = key or ("",)
    if isinstance(data, dict) and first in data:
        if rest and isinstance(data[first], dict) and rest[0] in data[first]:
            _leave_out(data[first], tuple(rest))
        else:
            del data[first]
    elif isinstance(data, dict):
        data.clear()


def save(settings: Settings, file: Path | None = None, *, before: Settings | None = None) -> None:
    """Write what is other than ``before``: what another window has set meanwhile stays. Raises OSError.

    A file that could not be read whole is set aside, not written over.
    """
    import tomli_w

    file = file or path()
    with alone(file):
        data, damaged = read_toml(file)
        if damaged:
            set_aside(file)
        _merge(data, written(before or Settings()), written(settings))
        folders.keep(file, tomli_w.dumps(data).encode())


def _merge(data: dict[str, Any], before: Mapping[str, Any], after: Mapping[str, Any]) -> None:
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        if isinstance(old or new, Mapping):
            inner = data[key] if isinstance(data.get(key), dict) else {}
            _merge(inner, old or {}, new or {})
            data[key] = inner
            if not inner:
                del data[key]
        elif new is None:
            data.pop(key, None)
        else:
            data[key] = new
