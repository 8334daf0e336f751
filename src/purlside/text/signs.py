"""Tones and lines of a drawing in characters; the signs of the bed strip, in lines and in ASCII."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from itertools import groupby
from operator import itemgetter

from purlside.values import Value


class Tone(StrEnum):
    """What a piece of a drawing is, for whoever colours it. A tone only repeats what words and signs say."""

    PLAIN = "plain"
    QUIET = "quiet"
    STRONG = "strong"
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
    FIGURE = "figure"
    KEY = "key"
    PUSH = "push"
    COMING = "coming"
    NOW = "now"
    FINISHED = "finished"
    TROUBLE = "trouble"
    DONE = "done"


Run = tuple[str, Tone]
Line = list[Run]
"""One line of a drawing: runs of characters of one tone."""
_SIGN, _TONE = itemgetter(0), itemgetter(1)


def text(lines: Sequence[Line]) -> str:
    """A drawing as plain text."""
    return "\n".join("".join(part for part, _ in line).rstrip() for line in lines)


def runs(cells: Iterable[Run]) -> Line:
    """Characters, those of one tone gathered."""
    return [("".join(map(_SIGN, run)), tone) for tone, run in groupby(cells, _TONE)]


def toned(signs: str, tones: Iterable[Tone]) -> Line:
    """Characters and the tone of each, those of one tone gathered."""
    found: Line = []
    at = 0
    for tone, run in groupby(tones):
        first, at = at, at + len(list(run))
        found.append((signs[first:at], tone))
    return found


def columns(line: Line) -> int:
    """Characters of a line."""
    return sum(len(text) for text, _ in line)


def cut(text: str, most: int) -> str:
    """At most so many characters, with a sign where some are left out."""
    return text if len(text) <= most else text[: max(1, most - 1)] + "…"


class Glyphs(Value):
    """The characters of one way of drawing."""

    needle: str
    resting: str
    outward: str
    inward: str
    target: str
    rail: str
    centre: str
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
    blank: str
    outline: str
    """What stands before and after words that are outlined."""
    halves: str
    """The lower, the upper and both halves of a character: what capitals are drawn with."""
    done: str
    doing: str
    to_do: str


_LINES = "■ □ ▼ ▲ · ═ │ O @ × ◄ ► █ ● └ ┘ ‹ › ─ ═ · ┤├ ▄▀█ ■ ► □"
_PLAIN = '# + v ^ . = | O @ x < > C * \\ / < > - = . [] _"# # > .'
UNICODE, ASCII = Glyphs(*_LINES.split()), Glyphs(*_PLAIN.split())

LEGEND = (
    ("F b", "under a cable: F, the half that goes to the front and shows on the knit side; b, the half behind"),
    ("─ 1 ─", "loops, and rows worked in this row: one figure for all the needles of the line"),
    ("O @ 2 0", "a needle with another loop: enlarged, knit by hand, two on it, none"),
    ("×", "out of work: a ladder"),
    ("□", "rests: held, and not knit in this row"),
    ("▼ ·", "push this needle out, to there"),
    ("▲ ·", "bring this needle back, to there"),
    ("▲ @", "knit this needle by hand, drawn back to the rail"),
    ("◄ ►", "under a stitch at the edge: lift it and move it that way"),
    ("c e w", "at the edge: cast off, cast on (e-wrap), wrap"),
    ("i f o", "at the edge: into work, filled from the purl bump below its neighbour, out of work"),
    ("b p", "a bead drawn on; a column latched up to show purl"),
    ("●", "where the yarn lies"),
)
