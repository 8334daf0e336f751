"""A widget drawn line by line, of which only changed lines are painted anew."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from purlside.app import look
from purlside.app.spelling import in_ascii

Run = tuple[str, str]
"""Text and the name of its style (a tone, or a part of a screen)."""


class Pane(Widget):
    """Lines of runs; a subclass says what they are now in :meth:`lines`.

    Nothing is kept but what was painted last, to know which lines changed.
    """

    can_focus = False

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._painted: list[Strip] = []
        self._shape: tuple[int, int] = (-1, -1)

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        """What to show now, at most ``height`` lines."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Ask again, and paint the lines that came out different."""
        width, height = self.size
        if not width or not height:
            return
        drawn = self._draw(width, height)
        if self._shape != (width, height) or len(drawn) != len(self._painted):
            self._painted, self._shape = drawn, (width, height)
            self.refresh()
            return
        changed = [y for y, (old, new) in enumerate(zip(self._painted, drawn, strict=True)) if old != new]
        self._painted = drawn
        if changed:
            self.refresh(*(Region(0, y, width, 1) for y in changed))

    def _draw(self, width: int, height: int) -> list[Strip]:
        base = self.rich_style
        dark = self.app.current_theme.dark
        spell = in_ascii if self.app.has_class("-ascii") else str
        strips = [_strip(line, width, base, dark, spell) for line in self.lines(width, height)][:height]
        blank = Strip([Segment(" " * width, base)], width)
        return strips + [blank] * (height - len(strips))

    def render_line(self, y: int) -> Strip:
        if self._shape != (self.size.width, self.size.height):
            self._painted, self._shape = self._draw(*self.size), (self.size.width, self.size.height)
        return self._painted[y] if y < len(self._painted) else Strip.blank(self.size.width, self.rich_style)

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._shape = (-1, -1)


def _strip(line: Iterable[Run], width: int, base: Style, dark: bool, spell: Callable[[str], str]) -> Strip:
    """One line of the screen: cut with a sign where it is too long, filled where it is short."""
    segments: list[Segment] = []
    room = width
    for text, name in line:
        if not text:
            continue
        text = spell(text)
        style = look.style(name, dark, base)
        size = cell_len(text)
        if size > room:
            segments.append(Segment(f"{set_cell_size(text, max(0, room - 1))}{spell('…')}" if room else "", style))
            room = 0
            break
        segments.append(Segment(text, style))
        room -= size
    if room:
        segments.append(Segment(" " * room, base))
    return Strip(segments, width)
