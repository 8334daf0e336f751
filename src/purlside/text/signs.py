"""Tones and lines of a drawing in characters; the signs of the bed strip, in lines and in ASCII."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Tone(StrEnum):
    """What a piece of the drawing is, for whoever colours it."""

    LABEL = "label"
    NUMBER = "number"
    NEEDLE = "needle"
    MOVING = "moving"
    TARGET = "target"
    FRONT = "front"
    BACK = "back"
    LOOP = "loop"
    LARGE = "large"
    ROWS = "rows"
    RAIL = "rail"
    CARRIAGE = "carriage"
    YARN = "yarn"
    QUIET = "quiet"


Line = list[tuple[str, Tone]]
"""One line of a drawing: runs of characters of one tone."""


def text(lines: Sequence[Line]) -> str:
    """A drawing as plain text."""
    return "\n".join("".join(part for part, _ in line).rstrip() for line in lines)


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The characters of one way of drawing."""

    needle: str
    outward: str
    inward: str
    target: str
    rail: str
    centre: str
    loop: str
    large: str
    hand: str
    none: str
    left: str
    right: str
    body: str
    yarn: str
    open: str
    close: str
    more_left: str
    more_right: str
    bed: str
    seen: str
    block: str


UNICODE = Glyphs(
    "■", "▼", "▲", "·", "═", "│", "o", "O", "@", "×", "◄", "►", "█", "●", "└", "┘", "‹", "›", "─", "═", "█"
)
ASCII = Glyphs("#", "v", "^", ".", "=", "|", "o", "O", "@", "x", "<", ">", "C", "*", "\\", "/", "<", ">", "-", "=", "#")

LEGEND = (
    ("F b", "under a cable: the half that shows in FRONT on the knit side, the half at the back"),
    ("o O @", "a loop: at the row's size, enlarged, knit by hand"),
    ("×", "out of work: a ladder"),
    ("0 1 3", "rows worked on the needle in this row"),
    ("▼ ·", "push this needle out, to there"),
    ("▲ ·", "bring this needle back, to there"),
    ("▲ @", "knit this needle by hand, drawn back to the rail"),
    ("●", "where the yarn lies"),
)
