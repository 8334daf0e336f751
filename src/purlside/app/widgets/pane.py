"""A widget drawn line by line, of which only changed lines are painted anew."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import ANSIToTruecolor, LineFilter
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from purlside.app import look
from purlside.app.spelling import in_ascii
from purlside.text.harmless import shown

Run = tuple[str, str]
"""Text and the name of its style (a tone, or a part of a screen)."""


@lru_cache(maxsize=512)
def wrapped(text: str, width: int) -> tuple[str, ...]:
    """A text in lines of at most ``width`` columns; most was shown before the key, too: wrapped anew, a
    step takes a tenth more."""
    return tuple(textwrap.wrap(text, width))


_PLAIN = frozenset(map(chr, (*range(0x20, 0x7F), *range(0xA1, 0x180), *range(0x2010, 0x2028), *range(0x2190, 0x2600))))
"""What disturbs no screen, the signs of all drawings among it: a text of these alone is looked at no further."""


class Ink(NamedTuple):
    """What runs are painted with: the pane's own style, which of two themes, whether in ASCII only, what is
    done to colours for this terminal."""

    base: Style
    background: Color
    dark: bool
    ascii: bool
    filters: tuple[LineFilter, ...]

    def strip(self, line: Iterable[Run], width: int) -> Strip:
        """One line of the screen: cut with a sign where it is too long, filled where it is short."""
        parts: list[str] = []
        last: Style = self.base
        segments: list[Segment] = []
        room = width
        for text, name in line:
            if not text:
                continue
            if not _PLAIN.issuperset(text):
                text = shown(text, len(text))
            if self.ascii:
                text = in_ascii(text)
            style = look.style(name, self.dark, self.base)
            size = len(text) if text.isascii() else cell_len(text)
            if size > room:
                cut = "~" if self.ascii else "…"
                text = f"{set_cell_size(text, room - 1)}{cut}" if room else ""
                size = room
            # A blank shows no more than its background: it joins what stands before it.
            if style is not last and not (text.isspace() and style.bgcolor == last.bgcolor):
                if parts:
                    segments.append(Segment("".join(parts), last))
                parts, last = [], style
            parts.append(text)
            room -= size
        if room and last.bgcolor != self.base.bgcolor:
            segments.append(Segment("".join(parts), last))
            parts, last = [], self.base
        segments.append(Segment("".join(parts) + " " * room, last))
        return Strip(segments, width)


class Pane(Widget):
    """Lines of runs, as they are now.

    What is kept is what was painted last, to know which lines changed.
    """

    can_focus = False

    def __init__(self, draw: Callable[[int, int], Iterable[Iterable[Run]]] | None = None, **options: Any) -> None:
        super().__init__(**options)
        self.draw = draw
        self._base: tuple[Style, Color] | None = None
        self._with: tuple[int, int, Ink] | None = None
        self._runs: list[tuple[Run, ...]] = []
        self._painted: list[Strip] = []
        self._ready: dict[int, tuple[tuple[Run, ...], Strip]] = {}

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        """What to show now, at most ``height`` lines: as ``draw`` has it, where a subclass says nothing else."""
        return self.draw(width, height) if self.draw is not None else ()

    def redraw(self) -> None:
        """Ask again, and paint the lines that came out different, each as far as it differs."""
        width, height = self.size
        if not width or not height:
            return
        before = self._painted
        if self._ask(width, height):
            regions = [
                Region(0, y, until, 1)
                for y, (old, new) in enumerate(zip(before, self._painted, strict=True))
                if old is not new and (until := _differs_until(old, new))
            ]
            if regions:
                self.refresh(*regions)
        else:
            self.refresh()

    def _ask(self, width: int, height: int) -> bool:
        """Make the lines what they are now; equal ones stay the strips they were. False if none can stay."""
        if self._base is None:
            self._base = self.rich_style, self.background_colors[1]
        app = self.app
        dark, ascii = app.has_class("-dark-mode"), app.has_class("-ascii")
        # Our styles name no colours of the terminal's own palette: there is nothing to translate.
        filters = tuple(each for each in self.get_line_filters() if not isinstance(each, ANSIToTruecolor))
        ink = Ink(*self._base, dark, ascii, filters)
        known = self._with == (width, height, ink)
        lines = [tuple(line) for line in self.lines(width, height)][:height]
        lines += [()] * (height - len(lines))
        if known:
            before = enumerate(zip(lines, self._runs, self._painted, strict=True))
            self._painted = [
                strip if line == old else self._line(line, width, ink, self._ready.get(y))
                for y, (line, old, strip) in before
            ]
        else:
            self._ready = {}
            self._painted = [self._line(line, width, ink) for line in lines]
        self._runs, self._with = lines, (width, height, ink)
        return known

    def make_ready(self, lines: Sequence[tuple[Run, ...]]) -> None:
        """Make the strips of lines that are likely to come next; they serve if just these lines do."""
        if self._with is not None:
            width, _, ink = self._with
            now = enumerate(zip(lines, self._runs, strict=False))
            self._ready = {y: (line, self._line(line, width, ink)) for y, (line, old) in now if line != old}

    def _line(
        self, line: tuple[Run, ...], width: int, ink: Ink, ready: tuple[tuple[Run, ...], Strip] | None = None
    ) -> Strip:
        if ready is not None and ready[0] is line:
            return ready[1]
        strip = ink.strip(line, width)
        for each in ink.filters:
            strip = strip.apply_filter(each, ink.background)
        return strip

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines as they were made; where there is a border or padding around them, Textual's own cache sees to it."""
        width, height = size = self.size
        if size != self.outer_size:
            return super().render_lines(crop)
        painted = self._painted_for(width, height)[crop.y : crop.bottom]
        return painted if crop.column_span == (0, width) else [strip.crop(*crop.column_span) for strip in painted]

    def render_line(self, y: int) -> Strip:
        return self._painted_for(*self.size)[y]

    def _painted_for(self, width: int, height: int) -> list[Strip]:
        if self._with is None or self._with[:2] != (width, height):
            self._ask(width, height)
        return self._painted

    def on_hide(self) -> None:
        """What is hidden is not redrawn: shown again, it must not be what it was."""
        self._with = None

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._base = self._with = None


def _differs_until(old: Strip, new: Strip) -> int:
    """The column after the last that differs between two strips of one width; 0 if none does."""
    end = new.cell_length
    one, other = old._segments[-1], new._segments[-1]
    if one.style != other.style and one.style and other.style and one.style.bgcolor == other.style.bgcolor:
        # Blanks show no more than their background.
        return end - min(len(text) - len(text.rstrip(" ")) for text in (one.text, other.text))
    for before, after in zip(reversed(old._segments), reversed(new._segments), strict=False):
        if before.style != after.style:
            break
        if before.text == after.text:
            end -= after.cell_length
            continue
        if all(len(segment.text) == segment.cell_length for segment in (before, after)):
            same = 0
            for a, b in zip(reversed(before.text), reversed(after.text), strict=False):
                if a != b:
                    break
                same += 1
            end -= same
        break
    return end
