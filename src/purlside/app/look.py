"""How tones look: the two themes, two accents, and greys. Colour only repeats what characters and places already say."""

from __future__ import annotations

from functools import lru_cache

from rich.style import Style
from textual.theme import Theme

from purlside.text.signs import Tone

DARK = Theme(
    name="purlside-dark",
    primary="#d9a066",
    secondary="#7fb3c8",
    accent="#e8c468",
    warning="#e8c468",
    error="#e07a5f",
    success="#8fbf8f",
    foreground="#e9e4da",
    background="#1b1d20",
    surface="#24272b",
    panel="#2d3136",
    dark=True,
)

LIGHT = Theme(
    name="purlside-light",
    primary="#8a4f14",
    secondary="#1f5f78",
    accent="#7a5200",
    warning="#7a5200",
    error="#9c2f14",
    success="#2c6e2c",
    foreground="#22201c",
    background="#f7f3ea",
    surface="#efe9dc",
    panel="#e4dccb",
    dark=False,
)

THEMES = {"dark": DARK, "light": LIGHT}

NOW, CROSSING = ("#ffd479", "#8a4500"), ("#7cc4ff", "#0b4f86")
"""The two accents, dark and light: what is to be done now; what is crossed."""
STRONG, PLAIN, GREY = ("#fbf6ea", "#15130f"), ("#d8d2c4", "#3c382f"), ("#aaa294", "#645c4d")

_STYLES: dict[Tone, tuple[tuple[str, str], str]] = {
    Tone.PLAIN: (PLAIN, ""),
    Tone.QUIET: (GREY, ""),
    Tone.STRONG: (STRONG, "bold"),
    Tone.LABEL: (GREY, ""),
    Tone.NUMBER: (STRONG, "bold"),
    Tone.NEEDLE: (PLAIN, ""),
    Tone.MOVING: (NOW, "bold"),
    Tone.TARGET: (NOW, ""),
    Tone.FRONT: (CROSSING, "bold"),
    Tone.BACK: (CROSSING, ""),
    Tone.LOOP: (GREY, ""),
    Tone.LARGE: (STRONG, "bold"),
    Tone.ROWS: (PLAIN, ""),
    Tone.RAIL: (GREY, ""),
    Tone.CARRIAGE: (STRONG, "bold"),
    Tone.YARN: (NOW, "bold"),
    Tone.FIGURE: (STRONG, "bold"),
    Tone.KEY: (NOW, "bold"),
    Tone.DONE: (GREY, ""),
    Tone.PUSH: (NOW, "bold reverse"),
    Tone.COMING: (CROSSING, "bold"),
    Tone.NOW: (CROSSING, "bold reverse"),
    Tone.FINISHED: (STRONG, "bold reverse"),
    Tone.TROUBLE: (NOW, "bold reverse"),
}
"""Colour, dark and light, and the rest of a tone's style; one reversed is filled with its colour."""


def colour(tone: Tone, *, dark: bool) -> str:
    """The colour of a tone's letters, or where it is filled, of what is behind them: ``"#rrggbb"``."""
    return _STYLES[tone][0][0 if dark else 1]


def filled(tone: Tone) -> bool:
    """Whether a tone is drawn in the background's colour on its own."""
    return "reverse" in _STYLES[tone][1]


LIT = "lit "
"""Before a tone's name: on the background of a row that is lit."""
_LIT = ("#33302a", "#e2d9c4")


@lru_cache(maxsize=256)
def style(name: str, dark: bool, background: Style | None = None) -> Style:
    """The style of a tone on a background; made anew for each run, a step takes a sixth more."""
    if name.startswith(LIT):
        return style(name.removeprefix(LIT), dark, background) + Style(bgcolor=_LIT[0 if dark else 1])
    tone = Tone(name)
    own = colour(tone, dark=dark)
    rest = _STYLES[tone][1].replace(" reverse", "")
    under = THEMES["dark" if dark else "light"].background
    drawn = f"{rest} {under} on {own}" if filled(tone) else f"{rest} {own}"
    return background + Style.parse(drawn) if background else Style.parse(drawn)
