"""Settings: keys, calls, look. A TOML file; unknown keys are refused, and the nearest known one named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

from purlside.keep import folders
from purlside.knitting.calling import MOST_AHEAD, Calling
from purlside.plan.checked import Checked, Inside, written
from purlside.plan.kinds import ByName, FrozenMapping, ListOf, Number, OneOf, Text, Whole, YesNo
from purlside.plan.problems import Unfit
from purlside.sound.tones import KINDS, Tone, Tones

_NAMES = ListOf(Text(200, "a name", least=0), 1000, "a list of names")


@dataclass(frozen=True, kw_only=True)
class ToneSetting(Checked):
    """One sound: pitch in Hz, length in seconds, volume 0 to 1."""

    pitch: Annotated[float | None, Number(100, 4000, "Hz")] = None
    length: Annotated[float | None, Number(0.1, 3, "seconds")] = None
    volume: Annotated[float | None, Number(0, 1, "a part of full volume")] = None


_TONE = Inside(ToneSetting, "a table with some of pitch, length, volume")


@dataclass(frozen=True, kw_only=True)
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
    silent: Annotated[Mapping[str, tuple[str, ...]], ByName(_NAMES, 10_000, "lists of cables, by the plan's title")] = (
        FrozenMapping()
    )
    """Cables that are not called, by the plan's title."""
    coming: Annotated[ToneSetting, _TONE] = ToneSetting()
    now: Annotated[ToneSetting, _TONE] = ToneSetting()
    finished: Annotated[ToneSetting, _TONE] = ToneSetting()

    def calling(self, title: str) -> Calling:
        """What is called of the plan with this title."""
        return Calling(self.ahead, frozenset(self.silent.get(title, ())), self.reminders, self.weights)

    def tones(self) -> Tones:
        """The three sounds with these settings over the defaults."""
        default = Tones()
        given = {kind: asdict(getattr(self, kind)) for kind in KINDS}
        return Tones(**{kind: _over(default.of(kind), over) for kind, over in given.items()})


def _over(tone: Tone, over: dict[str, float | None]) -> Tone:
    return replace(tone, **{name: value for name, value in over.items() if value is not None})


@dataclass(frozen=True, kw_only=True)
class Look(Checked):
    """How the screens look."""

    theme: Annotated[Literal["dark", "light"], OneOf("dark", "light")] = "dark"
    drawing: Annotated[Literal["lines", "ascii"], OneOf("lines", "ascii")] = "lines"
    unit: Annotated[Literal["cm", "inch"], OneOf("cm", "inch")] = "cm"
    """What sizes, yarn and weights are told in: cm, m and g, or inches, yards and ounces."""
    columns: Annotated[int, Whole(0, 3)] = 0
    """Columns a needle on the strip; 0 is as many as fit."""


PEDAL_GUARD = 60
"""Guard in ms where a pedal's key is set and no guard is: contacts bounce for less, feet are slower. An estimate."""


@dataclass(frozen=True, kw_only=True)
class Pedal(Checked):
    """One key that does both: pressed it is "next", pressed twice or held it is "back"."""

    key: Annotated[str, Text(40, "the name of a key", least=0)] = ""
    """The key the pedal sends; empty where there is none."""
    back: Annotated[Literal["double", "long", "off"], OneOf("double", "long", "off")] = "double"
    window_ms: Annotated[int, Whole(100, 1500, "milliseconds")] = 350
    """The second press of a double-press comes within this time."""


@dataclass(frozen=True, kw_only=True)
class Settings(Checked):
    """All that the settings file may say."""

    calls: Annotated[CallSettings, Inside(CallSettings, "a table of how crossing rows are called")] = CallSettings()
    look: Annotated[Look, Inside(Look, "a table with some of theme, drawing, unit, columns")] = Look()
    keys: Annotated[Mapping[str, tuple[str, ...]], ByName(_NAMES, 1000, "lists of keys, by the name of the action")] = (
        FrozenMapping()
    )
    """Keys by the name of the action, instead of its own."""
    pedal: Annotated[Pedal, Inside(Pedal, "a table with key, back, window_ms")] = Pedal()
    guard_ms: Annotated[int | None, Whole(0, 2000, "milliseconds")] = None
    """The same key again within this time counts once: a bouncing pedal, a key held down."""

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
    """A settings file that cannot be used; the message names file, key and what is allowed."""


def path() -> Path:
    return folders.config() / "settings.toml"


def load(file: Path | None = None) -> Settings:
    """The settings, or the defaults where there is no file. Raises SettingsError."""
    import tomllib

    file = file or path()
    try:
        data = tomllib.loads(file.read_text("utf-8"))
    except FileNotFoundError:
        return Settings()
    except (OSError, ValueError, RecursionError) as error:
        raise SettingsError(f"{file}: {error}") from None
    from purlside.files.tables import checked

    try:
        return checked(Settings, data)
    except Unfit as unfit:
        raise SettingsError("; ".join(f"{file}: {problem}" for problem in unfit.problems)) from None


def save(settings: Settings, file: Path | None = None) -> None:
    """Write the settings that differ from the defaults. Raises OSError."""
    import tomli_w

    folders.write_whole(file or path(), tomli_w.dumps(written(settings)).encode())
