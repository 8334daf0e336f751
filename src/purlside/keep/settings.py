"""Settings: keys, calls, look. A TOML file; unknown keys are refused, and the nearest known one named."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from purlside.keep import folders
from purlside.knitting.calling import MOST_AHEAD, Calling
from purlside.plan.plan import Part
from purlside.sound.tones import KINDS, Tone, Tones

if TYPE_CHECKING:
    from pydantic import Field


@dataclass(frozen=True, kw_only=True)
class ToneSetting(Part):
    """One sound: pitch in Hz, length in seconds, volume 0 to 1."""

    pitch: Annotated[float, Field(ge=100, le=4000)] | None = None
    length: Annotated[float, Field(ge=0.1, le=3)] | None = None
    volume: Annotated[float, Field(ge=0, le=1)] | None = None


@dataclass(frozen=True, kw_only=True)
class CallSettings(Part):
    """How a crossing row is called."""

    ahead: Annotated[int, Field(ge=1, le=MOST_AHEAD)] = 1
    """Rows before a crossing row."""
    muted: bool = False
    spoken: bool = False
    reminders: bool = True
    """Whether the plan's reminders are called as crossing rows are."""
    weights: bool = True
    """Whether moving the weights up is called."""
    silent: dict[str, list[str]] = field(default_factory=dict)
    """Cables that are not called, by the plan's title."""
    coming: ToneSetting = ToneSetting()
    now: ToneSetting = ToneSetting()
    finished: ToneSetting = ToneSetting()

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
class Look(Part):
    """How the screens look."""

    theme: Literal["dark", "light"] = "dark"
    drawing: Literal["lines", "ascii"] = "lines"
    columns: Annotated[int, Field(ge=0, le=3)] = 0
    """Columns a needle on the strip; 0 is as many as fit."""


PEDAL_GUARD = 60
"""Guard in ms where a pedal's key is set and no guard is: contacts bounce for less, feet are slower. An estimate."""


@dataclass(frozen=True, kw_only=True)
class Pedal(Part):
    """One key that does both: pressed it is "next", pressed twice or held it is "back"."""

    key: str = ""
    """The key the pedal sends; empty where there is none."""
    back: Literal["double", "long", "off"] = "double"
    window_ms: Annotated[int, Field(ge=100, le=1500)] = 350
    """The second press of a double-press comes within this time."""


@dataclass(frozen=True, kw_only=True)
class Settings(Part):
    """All that the settings file may say."""

    calls: CallSettings = CallSettings()
    look: Look = Look()
    keys: dict[str, list[str]] = field(default_factory=dict)
    """Keys by the name of the action, instead of its own."""
    pedal: Pedal = Pedal()
    guard_ms: Annotated[int, Field(ge=0, le=2000)] | None = None
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
    from purlside.files.allowed import ValidationError, checked

    try:
        return checked(Settings, data)
    except ValidationError as error:
        raise SettingsError("; ".join(f"{file}: {_said(e)}" for e in error.errors(include_url=False))) from None


def _said(error: Any) -> str:
    import difflib

    from purlside.files.allowed import names, table

    key = ", ".join(map(str, error["loc"]))
    if error["type"] != "unexpected_keyword_argument":
        return f"{key}: {error['msg']}"
    kind: type[Part] = Settings
    for part in error["loc"][:-1]:
        kind = table(kind, str(part)) or kind
    known = names(kind)
    near = difflib.get_close_matches(str(error["loc"][-1]), known, n=1, cutoff=0.5)
    return f"{key}: unknown; " + (f"did you mean {near[0]}?" if near else f"known: {', '.join(known)}")


def save(settings: Settings, file: Path | None = None) -> None:
    """Write the settings that differ from the defaults. Raises OSError."""
    import tomli_w

    from purlside.files.allowed import dumped

    data = dumped(settings, defaults=False)
    folders.write_whole(file or path(), tomli_w.dumps(data).encode())
