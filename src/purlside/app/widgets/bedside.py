"""The bedside's panes: count line, call, bed strip, step, key line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from rich.console import Console
from textual.renderables.digits import Digits

from purlside.app.actions import Action, keys_of
from purlside.app.widgets.pane import Pane, Run
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.calling import CallKind
from purlside.knitting.cursor import Knitting
from purlside.knitting.pace import duration
from purlside.rows.calendar import CableCount
from purlside.shown import strip


class Asking(Pane):
    """A pane that asks the session, and the settings for how to draw."""

    def __init__(self, session: Session, settings: Callable[[], Settings], **options: Any) -> None:
        super().__init__(**options)
        self.session = session
        self.settings = settings

    def lay_ready_for(self, ahead: Session) -> None:
        """Paint, unseen, what is shown once the session is as it is ``ahead``."""
        now, self.session = self.session, ahead
        try:
            self.lay_ready()
        finally:
            self.session = now

    @property
    def knitting(self) -> Knitting:
        return self.session.knitting

    @property
    def ascii(self) -> bool:
        return self.settings().look.drawing == "ascii"


def figures(text: str) -> tuple[str, ...]:
    """A number three lines high."""
    return tuple(map("".join, zip(*map(_figure, text), strict=True)))


@lru_cache
def _figure(digit: str) -> tuple[str, ...]:
    console = Console(width=4, color_system=None, legacy_windows=False)
    lines = ("".join(s.text for s in line) for line in console.render_lines(Digits(digit), pad=False))
    return tuple(f"{line:<3}" for line in lines)


def crossing_when(cable: CableCount) -> str:
    """When a cable crosses next, in words."""
    if cable.rows_away is None:
        return "all crossed"
    if cable.rows_away == 0:
        return "crosses after this row"
    return f"crosses in {cable.rows_away} row{'s' if cable.rows_away != 1 else ''}"


class CountLine(Asking):
    """The row in large digits, carriage, counter, each cable's repeat, time."""

    _told: tuple[tuple[tuple[CableCount, ...], int, int, int], list[list[Run]]] | None = None
    """The cables' lines, and of what they are."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting = self.knitting
        row, rows = min(knitting.place.row, knitting.rows), knitting.rows
        if height < 3:
            told = " Finished, " if knitting.finished else f" Row {row} "
            yield [(told, "figure"), *self._head(rows, width - len(told))]
            return
        label = "done" if knitting.finished else str(row)
        if self.ascii or knitting.finished:
            big: tuple[str, ...] = ("", f" ROW {label} " if not knitting.finished else " FINISHED ", "")
        else:
            big = figures(label)
        column = max(map(len, big)) + 2
        facts = self._facts(width - column - 1, height, rows)
        for y in range(height):
            left = big[y] if y < len(big) else ""
            yield [(f" {left:<{column}}", "figure"), *(facts[y] if y < len(facts) else [])]

    def wants(self, width: int) -> int:
        """Lines for the figure and all facts: those of the cables as they are now."""
        # The figure is as wide as it will be at the last row, so that nothing moves meanwhile.
        digits = str(self.knitting.rows)
        column = (len(digits) + 6 if self.ascii else max(map(len, figures(digits)))) + 2
        cables = self.knitting.cables()
        return max(3, 2 + sum(map(bool, self._cable_lines(cables, width - column - 1, len(cables)))))

    def _facts(self, width: int, height: int, rows: int) -> list[list[Run]]:
        asked = (self.knitting.cables(), width, height, self.session.calling.ahead)
        if self._told is None or self._told[0][0] is not asked[0] or self._told[0] != asked:
            cables = sorted(asked[0], key=lambda c: (c.rows_away is None, c.rows_away or 0))
            self._told = asked, self._cable_lines(cables, width, height - 2)
        return [self._head(rows, width), *self._told[1], self._time()]

    def _head(self, rows: int, room: int) -> list[Run]:
        """How many rows, side, counter: COR and COL stand alone where something would be cut."""
        knitting, reading = self.knitting, self.session.reading
        side = knitting.side
        after: list[Run] = [] if reading is None else [("counter ", "quiet"), (str(reading), "strong")]
        of = f"{rows:,} rows  " if knitting.finished else f"of {rows:,}  "
        said, gap = f" carriage {side}", "   "
        if len(of) + len(side.carriage) + len(said) + len(gap) + sum(len(text) for text, _ in after) > room:
            said, gap = "", "  "
        return [(of, "plain"), (side.carriage, "strong"), (said, "quiet"), (gap if after else "", "quiet"), *after]

    def _cable_lines(self, cables: Sequence[CableCount], width: int, room: int) -> list[list[Run]]:
        """The cables' counters, soonest first, as many to a line as fit; what does not fit is counted."""
        found: list[list[Run]] = [[]]
        used = 0
        for i, cable in enumerate(cables):
            when = f" {cable.done} of {cable.of}, {crossing_when(cable)}"
            text = f"{cable.name}{':' if cable.name[-1].isdigit() else ''}{when}"
            more = len(cables) - i
            last = len(found) == room
            fits = width - (len(f"  +{more - 1} more") if last and more > 1 else 0)
            if used and used + len(text) + 3 > fits:
                if last:
                    found[-1].append((f"  +{more} more", "strong"))
                    break
                found.append([])
                used = 0
                fits = width - (len(f"  +{more - 1} more") if len(found) == room and more > 1 else 0)
            if not used and len(text) > fits:
                # A name is known by its beginning; the count is not.
                text = f"{cable.name[: max(1, fits - len(when) - 1)]}…{when}"
            style = (
                "strong" if cable.rows_away is not None and cable.rows_away <= self.session.calling.ahead else "plain"
            )
            found[-1].append((f"{'   ' if used else ''}{text}", style))
            used += len(text) + (3 if used else 0)
        return [*found, *([] for _ in range(room - len(found)))]

    def _time(self) -> list[Run]:
        pace, left = self.session.pace, self.session.time_left()
        if pace.plain_row is None or pace.plain_row < 1:
            # Stepped through, not knit: nobody knits a row in less than a second.
            return []
        told = [f"about {duration(pace.plain_row)} a row"]
        if pace.crossing_row is not None:
            told.append(f"{duration(pace.crossing_row)} a crossing row")
        if left is not None and not self.knitting.finished:
            told.append(f"{duration(left)} left")
        return [(", ".join(told), "quiet")]


class CallLine(Asking):
    """The call, seen: words and a shape, never colour alone; beside it, or in its place, what is not saved."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        short, trouble = self._trouble()
        call = self.session.call
        if call is not None:
            style, sign = _CALLS[call.kind]
            warning: list[Run] = [(f" !! {short} ", "trouble")] if short else []
            room = width - sum(len(text) for text, _ in warning)
            yield [*_banner(call.seen(room - 2 * len(sign) - 2), style, sign, room), *warning]
        elif trouble:
            yield _banner(trouble, "trouble", "!!", width)
        else:
            yield [((("-" if self.ascii else "─") * width), "quiet")]

    def _trouble(self) -> tuple[str, str]:
        """What keeps steps from being kept, in two words and in full; empty if nothing does."""
        session = self.session
        if session.ledger.read_only:
            changed, _, what = session.file_said.partition(":")
            also = f"; {changed}:{what}" if changed else ""
            return f"READ ONLY{also and f', {changed}'}", f"READ ONLY: this plan is being knit in another window{also}"
        if session.unfit:
            return "SEE THE LEDGER", session.unfit
        if session.ledger.trouble:
            return "NOT SAVED", session.ledger.trouble
        return session.file_said.partition(":")[0], session.file_said


_CALLS = {CallKind.FINISHED: ("finished", "=="), CallKind.NOW: ("now", "##"), CallKind.COMING: ("coming", ">>")}
"""How a call looks: its style, and the sign at both ends."""


def _banner(text: str, style: str, sign: str, width: int) -> list[Run]:
    room = max(1, width - 2 * len(sign) - 2)
    text = text if len(text) <= room else text[: room - 1] + "…"
    return [(f"{sign} {text:<{room}} {sign}", style)]


class BedStrip(Asking):
    """The needle bed, as the knitter sees it."""

    LINES_KEPT = 110
    """The lanes of the steps of a few kinds of rows."""

    def view(self) -> strip.View:
        knitting = self.knitting
        row, step = knitting.row, knitting.step
        moves = () if step is None else knitting.moves[knitting.place.done : step.last]
        call = self.session.call
        coming = next((c.crossed for c in (call, call and call.also) if c and c.kind is CallKind.COMING), ())
        return strip.View(
            knitting.bed,
            moves,
            row.crossed if row else (),
            row.size if row else knitting.plan.panel.stitch_size,
            () if row and row.crossed else coming,
            knitting.size_before,
        )

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        look = self.settings().look
        glyphs = strip.ASCII if look.drawing == "ascii" else strip.UNICODE
        return strip.draw(self.view(), width, glyphs, per=look.columns or None)


class KeyLine(Pane):
    """The keys that matter now."""

    def __init__(self, keys: Callable[[], Mapping[str, Action]], note: Callable[[], str], **options: Any) -> None:
        super().__init__(**options)
        self.keys = keys
        self.note = note
        self._made: tuple[Mapping[str, Action], int, list[Run]] = ({}, 0, [])

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        if note := self.note():
            yield [(f" {note}", "strong")]
            return
        keys, made = self.keys(), self._made
        if made[0] is not keys or made[1] != width:
            self._made = made = keys, width, self._line_of(keys, width)
        yield made[2]

    def _line_of(self, keys: Mapping[str, Action], width: int) -> list[Run]:
        line: list[Run] = []
        used = 0
        shown = {a.name: (keys_of(keys, a)[0], a.short) for a in keys.values() if a.short}
        sizes = {name: len(key) + len(what) + 4 for name, (key, what) in shown.items()}
        # Where they do not all fit, the key that tells the others is always among them, at the end.
        last = "help" if "help" in shown and sum(sizes.values()) > width else ""
        room = width - max(2, sizes.get(last, 0) - 1)
        for name, (key, what) in shown.items():
            if name == last:
                continue
            if used + sizes[name] > room:
                line.append(("…", "quiet"))
                break
            line += [(f" {key}", "key"), (f" {what}  ", "quiet")]
            used += sizes[name]
        if last:
            key, what = shown[last]
            line += [(f" {key}", "key"), (f" {what}", "quiet")]
        return line
