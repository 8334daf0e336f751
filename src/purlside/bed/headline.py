"""A move in words: templates with its fields in them, and what can be read at a glance from across the room."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from purlside.bed.needles import Needle, listed, needles_text, spans, spans_text
from purlside.text.counts import counted
from purlside.text.signs import cut
from purlside.values import Value


class Headline(Value):
    """``KNIT ►`` and ``L3–L1 SS 9``; ``aside`` is what ordinary letters may say beside them."""

    verb: str
    what: str = ""
    aside: str = ""

    @property
    def words(self) -> str:
        return f"{self.verb} {self.what}".strip()


def shortened(text: str, most: int) -> str:
    """As many whole words as fit in so many characters, with a sign where some are left out."""
    text = " ".join(text.split())
    if len(text) <= most:
        return text
    whole = text[:most].rpartition(" ")[0].rstrip(" ,;:–-")
    return f"{whole}…" if whole else cut(text, most)


def number(size: float) -> int | float:
    """A whole size as a whole number, for JSON."""
    return int(size) if size == int(size) else size


def plain(value: Any) -> Any:
    """A move's field as JSON has it."""
    if isinstance(value, tuple):
        return listed(value)
    return number(value) if type(value) in (int, float) else str(value)


def ranges(needles: Iterable[int], within: Iterable[int] | None = None) -> str:
    """``"L24–L4, R1"``: ranges over the needles in work ``within``, ladders not named."""
    return ", ".join(str(span).replace("-", "–") for span in spans(needles, within))


def not_these(needles: Iterable[int], within: Iterable[int]) -> str:
    """``"not R20, R41"``, or nothing: needles out of work inside those ranges, as a pusher would take them along."""
    gathered, work = list(needles), list(within)
    out = {needle for span in spans(gathered, work) for needle in span}.difference(work, gathered)
    return f"not {', '.join(map(str, sorted(out)))}" if out else ""


class Gathered(NamedTuple):
    """Needles as a template writes them: ``{needles}`` are named, ``{needles:count}`` counted too.

    ``within`` runs ranges over needles out of work, ``spans`` is for logs, ``ranges`` and ``ladders`` for a headline,
    ``many`` counts only: ``"3 needles"``.
    """

    needles: tuple[Needle, ...]
    within: Iterable[int] | None = None

    def __format__(self, asked: str) -> str:
        within = self.within if "within" in asked else None
        if "ranges" in asked:
            return ranges(self.needles, within)
        if asked == "ladders":
            return not_these(self.needles, self.within or ())
        if asked == "spans":
            return spans_text(self.needles)
        if asked == "many":
            return counted(len(self.needles), "needle")
        return needles_text(self.needles, within, count="count" in asked)


class _Named(dict[str, Any]):
    """What the templates of a move name: its fields, needles as :class:`Gathered`."""

    def __init__(self, move: object, within: Iterable[int] | None) -> None:
        self._move, self._within = move, within

    def __missing__(self, name: str) -> Any:
        value = getattr(self._move, name)
        return Gathered(value, self._within) if isinstance(value, tuple) else value


def told(move: object, template: str, within: Iterable[int] | None = None) -> str:
    """A template with a move's fields in it; ``within`` are the needles in work."""
    return template.format_map(_Named(move, within))
