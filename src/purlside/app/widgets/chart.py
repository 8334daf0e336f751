"""The drafting table's panes: heading, chart, what stands beside it, fields."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from itertools import zip_longest
from typing import Protocol

from textual.events import Click, MouseScrollDown, MouseScrollUp

from purlside.app.look import LIT
from purlside.app.widgets.page import in_sight
from purlside.app.widgets.pane import Pane, Run, wrapped
from purlside.draft import beside, chart, chartsigns, fields
from purlside.draft.drafting import Draft
from purlside.fabric import picture
from purlside.fabric.stitches import Fabric, Face
from purlside.keep.draftfile import DraftFile
from purlside.plan.problems import Key
from purlside.text.signs import Line, Tone
from purlside.text.units import Unit


class Table(Protocol):
    """What the panes ask of the screen they stand on."""

    file: DraftFile
    carrying: bool
    picture: bool
    at_fields: bool
    chosen_key: Key | None

    @property
    def draft(self) -> Draft: ...
    @property
    def unit(self) -> Unit: ...
    def pointed(self, needle: int, row: int) -> None: ...
    def scrolled(self, rows: int) -> None: ...


class TablePane(Pane):
    """A pane that asks the drafting table."""

    def __init__(self, table: Table, id: str) -> None:
        super().__init__(id=id)
        self.table = table

    @property
    def ascii(self) -> bool:
        return bool(self.app.has_class("-ascii"))


class SidePane(TablePane):
    """A pane that the cursor does not change: its lines are made anew only when the draft or the chosen field is."""

    _known: tuple[object, list[list[Run]]] | None = None

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        table = self.table
        asked = (table.draft, table.draft.revision, table.at_fields, table.chosen_key, table.unit, width, height)
        if self._known is None or self._known[0] != asked:
            self._known = asked, [list(line) for line in self.made(width, height)]
        return self._known[1]

    def made(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        """What to show, worked out."""
        raise NotImplementedError


class TableHeading(TablePane):
    """Title and whether it is saved; which side is seen; where the cursor stands."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        draft = self.table.draft
        side = f"{draft.face.words.upper()}, {'mirrored' if draft.face is Face.KNIT else 'as at the bed'}"
        doing = f"  MOVING {draft.name_in_hand}" if self.table.carrying else ""
        where = f"  {draft.needle} row {draft.row_words}{doing} "
        saved = "not saved" if self.table.file.unsaved else "saved"
        told = beside.verdict(draft)
        room = max(8, width - len(side) - len(where) - len(saved) - len(told.heading) - 10)
        title = draft.plan.title if len(draft.plan.title) <= room else f"{draft.plan.title[: room - 1]}…"
        heading: list[Run] = [
            (f" {title}", "figure"),
            (f"  {saved}", "strong" if saved != "saved" else "quiet"),
            (f"  {side}", "strong"),
            (where, "plain"),
            (f" {'! ' if told.wrong else ''}{told.heading} ", "trouble" if told.wrong else "finished"),
        ]
        how = f" {' '.join(told.lines)}"
        fits = sum(len(text) for text, _ in heading) + len(how) <= width
        yield [*heading, (how, "strong")] if fits else heading


class Chart(TablePane):
    """The chart around the cursor, or the fabric as it will look; a click puts the cursor there."""

    top = 1
    """The topmost row in sight."""
    left: int | None = None
    """The leftmost place at the bed in sight."""

    def __init__(self, table: Table, id: str) -> None:
        super().__init__(table, id)
        self._drawn: list[tuple[Line, list[Run]]] = []

    def view(self, width: int, height: int) -> chart.ChartView:
        draft = self.table.draft
        self.top = chart.top_for(draft.row, draft.rows, height, self.top)
        return chart.ChartView(
            draft.plan,
            draft.face,
            self.top,
            height,
            width,
            (int(draft.needle), draft.row),
            draft.in_hand,
            draft.judgement.faulty,
            self.table.file.row,
            chartsigns.ASCII if self.ascii else chartsigns.UNICODE,
            self.left,
            draft.calendar,
        )

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        if self.table.picture:
            return self._fabric(width, height)
        drawn = chart.draw(self.view(width, height))
        self.left = min(drawn.places)
        before = self._drawn
        self._drawn = [
            known if known is not None and known[0] == line else (line, _named(line, lit=row == self.table.draft.row))
            for known, line, row in zip_longest(before[: len(drawn.lines)], drawn.lines, drawn.rows)
        ]
        return [runs for _, runs in self._drawn]

    def _fabric(self, width: int, height: int) -> list[list[Run]]:
        """The stitches replayed, from the cursor's row up."""
        draft = self.table.draft
        fabric = Fabric(draft.plan)
        first = max(1, draft.row - 2)
        left, right = int(draft.plan.panel.needles.left), int(draft.plan.panel.needles.right)
        if right - left + 1 > width - 8:
            half = (width - 8) // 2
            middle = max(left + half, min(int(draft.needle), right - half))
            left, right = middle - half, middle + half
        part = picture.window(fabric, first, first + height, left, right)
        lines = picture.draw(fabric, draft.face, part, width=width, ascii_only=self.ascii).lines
        return [[(text, tone.value) for text, tone in line] for line in [lines[0], *lines[1:][-(height - 1) :]]]

    def on_click(self, event: Click) -> None:
        width, height = self.size
        if not self.table.picture and (place := chart.draw(self.view(width, height)).place(event.x, event.y)):
            self.table.pointed(*place)

    def on_mouse_scroll_up(self, event: MouseScrollUp) -> None:
        event.stop()
        self.table.scrolled(3)

    def on_mouse_scroll_down(self, event: MouseScrollDown) -> None:
        event.stop()
        self.table.scrolled(-3)


def _named(line: Line, *, lit: bool) -> list[Run]:
    """The runs of a line; the cursor's row is lit, and its cell reversed: not told by colour alone."""
    on = LIT if lit else ""
    return [(text, "push" if tone is Tone.MOVING else f"{on}{tone.value}") for text, tone in line]


class Beside(SidePane):
    """Reach, tools, faults, size: wrapped where there is height, a line a part where there is not."""

    def made(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        _, first, *rest = beside.parts(self.table.draft, self.table.file.knit, self.table.file.row, self.table.unit)
        # What is wrong comes first: the lines may not be enough for all.
        told = [first, *sorted(rest, key=lambda part: not part.wrong)]
        if height <= 6:
            return list(self._short(told, height))
        return list(self._long(told, width, height))

    def _short(self, told: list[beside.Part], height: int) -> Iterator[list[Run]]:
        """A part a line, as many as there are lines."""
        for part in told[:height]:
            sign = "!" if part.wrong else " "
            yield [
                (f"{sign}{part.heading}", "trouble" if part.wrong else "strong"),
                (f"{'  ' if part.lines else ''}{'; '.join(part.lines)}", "plain"),
            ]

    def _long(self, told: list[beside.Part], width: int, height: int) -> Iterator[list[Run]]:
        lines: list[list[Run]] = []
        for part in told:
            sign = "! " if part.wrong else ""
            for i, line in enumerate(wrapped(f"{sign}{part.heading}", max(10, width - 2))):
                style = "trouble" if part.wrong else "figure" if part is told[0] and i == 0 else "strong"
                lines.append([(f" {line} ", style)])
            for text in part.lines:
                lines += [[(f"   {line}", "plain")] for line in wrapped(text, max(10, width - 4))]
        more = len(lines) - height
        yield from lines if more <= 0 else [*lines[: height - 1], [(f" … {more + 1} more lines", "strong")]]


class Fields(SidePane):
    """The plan's fields, a line each; the chosen one marked, those that cannot be read with a sign."""

    def made(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        rows: list[list[Run]] = []
        at, before, troubles = 0, None, self.table.draft.troubles
        for field in fields.fields(self.table.draft.plan, self.table.draft.selected):
            if field.table != before:
                rows.append([(f" {heading_of(field)}", "quiet")])
                before = field.table
            if field.key == self.table.chosen_key:
                at = len(rows)
            rows.append(self._field(field, min(20, max(12, width // 2 - 4)), bad=field.key in troubles))
        return in_sight(rows, at, height)

    def _field(self, field: fields.Field, wide: int, *, bad: bool) -> list[Run]:
        here = self.table.at_fields and field.key == self.table.chosen_key
        text = " ".join(self.table.draft.state.typed.get(field.key, field.text).split())
        return [
            (f"{' >' if here else '  '}{'!' if bad else ' '}", "key"),
            (f"{field.label:<{wide}} ", "strong" if here else "quiet"),
            (text or ("—" if here else ""), "trouble" if bad else "figure" if here else "plain"),
        ]


def heading_of(field: fields.Field) -> str:
    """``"Cable in hand"``, ``"Panel"``, ``"Band 2"``: the table a field belongs to."""
    if not field.table:
        return "Plan"
    if field.table[0] == "cable":
        return "Cable in hand"
    number = f" {int(field.table[1]) + 1}" if len(field.table) > 1 else ""
    return f"{str(field.table[0]).capitalize()}{number}"


class FieldHint(TablePane):
    """What the chosen field allows, or what is wrong with what was typed."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        draft, key = self.table.draft, self.table.chosen_key
        if key is None:
            return
        problem = draft.troubles.get(key)
        if problem is not None:
            text, style = beside.trouble_words(draft, key, problem), "trouble"
        else:
            field = fields.field(draft.plan, key)
            text, style = (field.allowed if field else ""), "quiet"
        for line in textwrap.wrap(text, max(10, width - 2), max_lines=height, placeholder=" …"):
            yield [(f" {line}", style)]
