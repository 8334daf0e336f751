"""The bedside's panes: all of what is shown now, and the key line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from purlside.app.actions import Action, keys_of
from purlside.app.ahead import Ahead
from purlside.app.widgets.pane import Pane, Run
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.cursor import Knitting
from purlside.knitting.pace import duration
from purlside.shown import layout
from purlside.shown.bedside import BedsideNow, Look
from purlside.shown.callbar import Trouble
from purlside.shown.sofar import SoFar
from purlside.shown.thisrow import Told
from purlside.text.signs import ASCII, UNICODE, Line


class BedsidePane(Pane):
    """The session as it stands; every time it is asked it asks the session again."""

    def __init__(self, session: Session, settings: Callable[[], Settings], **options: Any) -> None:
        super().__init__(**options)
        self.session, self.settings = session, settings
        self.why = self.magnified = False
        self.fabric, self.told, self.ahead = SoFar(), Told(), Ahead()
        self._hangs = (0, 0)
        """Columns and lines there are for the fabric under the needles."""

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        now, on = told(self.session, self.session.knitting, self.told, why=self.why), (width, height, self.look)
        if (lines := self.ahead.lines_for(now, on)) is not None and self.ahead.now is not None:
            self.told = self.ahead.now.told
            return lines
        self._hangs = (0, 0)
        return layout.screen(now, *on, self._under)

    def look_ahead(self) -> None:
        """Work out what the next step will show, and make its lines."""
        (width, height), knitting = self.size, self.session.knitting
        to = knitting.next_place()
        if to == knitting.place or not width or not height or self._with is None:
            return
        row = self.told if to.row == knitting.place.row else Told()
        now, on = told(self.session, knitting.standing_at(to), row), (width, height, self.look)
        lines = [tuple(line) for line in layout.screen(now, *on, self._under)]
        self.ahead.keep(now, on, lines)
        self.make_ready(lines)

    @property
    def look(self) -> Look:
        look = self.settings().look
        return Look(ASCII if look.drawing == "ascii" else UNICODE, look.columns or None, self.magnified)

    def _under(self, width: int, height: int) -> Sequence[Line]:
        self._hangs = width, height
        return self.fabric.known(self.session.knitting, width, height, ascii=self.look.ascii)

    def hang(self) -> None:
        """Draw the fabric anew, where there is room for it and another crossing on it."""
        where = (self.session.knitting, *self._hangs)
        if self._hangs[0] and not self.fabric.is_so(*where, ascii=self.look.ascii):
            self.fabric.draw(*where, ascii=self.look.ascii)
            self.ahead.drop()
            self.redraw()
            self.look_ahead()


def told(session: Session, knitting: Knitting, row: Told, *, why: bool = False) -> BedsideNow:
    """What is to be shown of a session where its knitting stands there."""
    return BedsideNow(
        knitting=knitting,
        call=knitting.call(session.calling),
        ahead=session.calling.ahead,
        reading=session.reading_at(knitting),
        pace=_pace(session, knitting),
        panel=session.panel_said,
        notes=session.notes_at(knitting.place.row),
        changed=session.changed_said,
        trouble=_trouble(session),
        why=why,
        handling=session.calling.handling,
        sets_counter=session.calling.sets_counter,
        told=row,
    )


def _pace(session: Session, knitting: Knitting) -> str:
    pace, left = session.pace, session.time_left(knitting.place.row)
    if pace.plain_row is None or pace.plain_row < 1:
        # Stepped through, not knit: nobody knits a row in less than a second.
        return ""
    said = [f"about {duration(pace.plain_row)} a row"]
    if pace.crossing_row is not None:
        said.append(f"{duration(pace.crossing_row)} a crossing row")
    if left is not None and not knitting.finished:
        said.append(f"{duration(left)} left")
    return ", ".join(said)


def _trouble(session: Session) -> Trouble:
    """What keeps steps from being kept; or what became of the plan's file."""
    file = session.file_said
    if session.ledger.read_only:
        also, also_short = (f"; {file.full}", f", {file.short}") if file.short else ("", "")
        return Trouble(f"READ ONLY{also_short}", f"READ ONLY: this plan is being knit in another window{also}")
    if session.unfit:
        return Trouble("SEE THE LEDGER", session.unfit)
    if session.ledger.trouble:
        return Trouble("NOT SAVED", session.ledger.trouble)
    return file


class KeyLine(Pane):
    """The keys that matter now."""

    def __init__(self, keys: Callable[[], Mapping[str, Action]], note: Callable[[], str], **options: Any) -> None:
        super().__init__(**options)
        self.keys = keys
        self.note = note

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        if note := self.note():
            yield [(f" {note}", "strong")]
        else:
            yield _line_of(self.keys(), width)


def _line_of(keys: Mapping[str, Action], width: int) -> list[Run]:
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
