"""How tones look: the two themes, and styles for what is drawn by hand.

Colour only repeats what characters and places already say.
"""

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

_TONES: dict[Tone, tuple[str, str]] = {
    Tone.LABEL: ("#a39b8b", "#6d6454"),
    Tone.NUMBER: ("bold #f0e6d2", "bold #22201c"),
    Tone.NEEDLE: ("#d8d2c4", "#3c382f"),
    Tone.MOVING: ("bold #ffd479", "bold #8a4f14"),
    Tone.TARGET: ("#ffd479", "#8a4f14"),
    Tone.FRONT: ("bold #a8d8a0", "bold #1f6a2f"),
    Tone.BACK: ("#8fb8cc", "#2a5f7c"),
    Tone.LOOP: ("#a39b8b", "#6d6454"),
    Tone.LARGE: ("bold #f2a0c0", "bold #8c2a5a"),
    Tone.ROWS: ("#d8d2c4", "#3c382f"),
    Tone.RAIL: ("#7d776b", "#8f8672"),
    Tone.CARRIAGE: ("bold #8fd0e8", "bold #0f5f80"),
    Tone.YARN: ("bold #f0907a", "bold #a03a1e"),
    Tone.QUIET: ("#8b8477", "#7a7160"),
}

_PARTS: dict[str, tuple[str, str]] = {
    "plain": ("", ""),
    "quiet": ("#a39b8b", "#6d6454"),
    "strong": ("bold #f7efdf", "bold #15130f"),
    "figure": ("bold #ffdf9e", "bold #6b3c0a"),
    "push": ("bold #1b1d20 on #d9a066", "bold #fffaf0 on #8a4f14"),
    "coming": ("bold #1b1d20 on #e8c468", "bold #fffaf0 on #7a5200"),
    "now": ("bold #1b1d20 on #f0907a", "bold #fffaf0 on #9c2f14"),
    "finished": ("bold #1b1d20 on #8fbf8f", "bold #fffaf0 on #2c6e2c"),
    "trouble": ("bold #1b1d20 on #e07a5f", "bold #fffaf0 on #9c2f14"),
    "key": ("bold #ffdf9e", "bold #6b3c0a"),
    "done": ("#7d776b", "#8f8672"),
}


LIT = "lit "
"""Before a style's name: on the background of a row that is lit."""
_LIT = ("#33302a", "#e2d9c4")


@lru_cache(maxsize=256)
def style(name: str, dark: bool, background: Style | None = None) -> Style:
    """The style of a tone or of a named part of a screen, on a background."""
    if name.startswith(LIT):
        return style(name.removeprefix(LIT), dark, background) + Style(bgcolor=_LIT[0 if dark else 1])
    try:
        pair = _TONES[Tone(name)]
    except ValueError:
        pair = _PARTS[name]
    own = Style.parse(pair[0 if dark else 1])
    return background + own if background else own
