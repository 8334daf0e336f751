"""What happened? The one place to say how the knitting came otherwise than planned, and to put it right."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from textual.app import ComposeResult
from textual.events import Key, Resize

from purlside.app.actions import DIFFERS, Action
from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.app.widgets.read import ReadingPane, Told
from purlside.keep.session import Session
from purlside.knitting.differing import CannotBe
from purlside.knitting.happening import Happening, Way
from purlside.shown.counts import CountLines

TITLE = "What happened?"
TOLD = 5
"""Lines below the list for what a line asks; its ways have more to say."""


class Head(Pane):
    """What is asked, and where the knitting is."""

    def __init__(self, screen: WhatHappened) -> None:
        super().__init__(id="differs-head")
        self.differs = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting = self.differs.session.knitting
        yield [(f" {self.differs.title_text}", "figure")]
        if knitting.finished:
            yield [(f" the panel is finished, {knitting.rows:,} rows", "quiet")]
        else:
            where = "at its start" if not knitting.place.done else "under way"
            side, counts = knitting.side, CountLines(knitting)
            yield [
                (
                    f" row {counts.row.fabric:,} {counts.place}, {where}; {side.carriage}, carriage {side}",
                    "quiet",
                )
            ]


class List(Pane):
    """What can be said, under its headings, the chosen line marked; scrolls to keep it in sight."""

    def __init__(self, screen: WhatHappened) -> None:
        super().__init__(id="differs-list")
        self.differs = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        lines = list(self.differs.listed())
        chosen = next((i for i, (at, _) in enumerate(lines) if at == self.differs.chosen), 0)
        top = max(0, min(chosen - height // 2, len(lines) - height))
        for i in range(top, min(len(lines), top + height)):
            cut = (i == top and top > 0) or (i == top + height - 1 and i < len(lines) - 1)
            mark = ">" if i == chosen else "…" if cut else " "
            yield [(f" {mark} ", "key"), *lines[i][1]]


class WhatHappened(Keyed):
    """The list, each line with its letter; a line's ways, and below them what the chosen one does."""

    ACTIONS = DIFFERS
    FIXED = True
    CSS = """
    #differs-head { height: 3; }
    #differs-list { height: 10; }
    #differs-effects { height: 1fr; padding-top: 1; }
    """

    def __init__(
        self,
        session: Session,
        said: Callable[..., None] = lambda *_: None,
        letter: str = "",
    ) -> None:
        super().__init__()
        self.session = session
        self.said = said
        self.title_text = TITLE
        self.happenings: Sequence[Happening] = session.happenings()
        self.chosen = next((i for i, line in enumerate(self.happenings) if line.letter == letter), 0)
        self.ways: Sequence[Way] = ()
        """The ways of the line taken; empty while the list is shown."""
        self.note_line = ""
        self._known: dict[int, tuple[bool, tuple[str, ...]]] = {}

    def compose(self) -> ComposeResult:
        yield Head(self)
        yield List(self)
        yield ReadingPane(self._told, id="differs-effects")
        yield KeyLine(self._keys_now, lambda: self.note_line, id="keys")

    def on_mount(self) -> None:
        self._fit(self.app.size.height)

    def on_resize(self, event: Resize) -> None:
        self._fit(event.size.height)
        self.call_after_refresh(self._repaint)

    def _fit(self, height: int) -> None:
        room = max(3, (height - 4) * 6 // 10 if self.ways else height - 4 - TOLD)
        self.query_one(List).styles.height = min(len(list(self.listed())), room)

    def _keys_now(self) -> dict[str, Action]:
        """The keys that do something here: y where there is a way to say yes to, u with what it takes back."""
        said = None if self.ways else self.session.said_last
        found = {}
        for key, action in self.keys.items():
            if action.name == "take_back" and said is not None:
                found[key] = replace(action, short=f"take back: {said}")
            elif action.name not in ("take_back", "open" if self.ways else "say"):
                found[key] = action
        return found

    def listed(self) -> Iterable[tuple[int | None, list[Run]]]:
        """The lines to choose from with their numbers, and the headings between them."""
        if self.ways:
            for i, way in enumerate(self.ways):
                yield i, [(f"{i + 1}  ", "key"), (way.label, "figure" if i == self.chosen else "plain")]
            return
        group = None
        for i, line in enumerate(self.happenings):
            if line.group is not group:
                group = line.group
                yield None, [(group.value, "quiet")]
            tone = "quiet" if line.not_now else "figure" if i == self.chosen else "plain"
            yield i, [(f"{line.letter}  ", "key"), (f"{line.label}{' …' if line.question else ''}", tone)]

    def _considered(self) -> tuple[bool, tuple[str, ...]]:
        """Whether the chosen line can be said, and what it does or why not."""
        if self.chosen not in self._known:
            self._known[self.chosen] = self._consider()
        return self._known[self.chosen]

    def _consider(self) -> tuple[bool, tuple[str, ...]]:
        if self.ways:
            way = self.ways[self.chosen]
            try:
                effects = self.session.consider(way)
            except CannotBe as error:
                return False, (str(error),)
            return True, (*([way.cost] if way.cost else []), *effects)
        line = self.happenings[self.chosen]
        why = self.session.may_not_say or line.not_now
        if why:
            return False, (why,)
        return True, (line.question, line.hint) if line.question else ("Enter shows what can be done",)

    def _told(self) -> list[Told]:
        can, told = self._considered()
        if not can:
            return [("Can't, because: " + told[0], "strong")]
        head: list[Told] = [("Then:", "quiet")] if self.ways else []
        return [*head, *((text, "plain") for text in told)]

    def _go(self, to: int) -> None:
        self.chosen = max(0, min(to, len(self.ways or self.happenings) - 1))
        self.note_line = ""
        self.query_one(ReadingPane).top = 0
        self._repaint()

    def _list(self, ways: Sequence[Way], title: str) -> None:
        """Show the ways of a line, or the list again."""
        at = 0 if ways else next((i for i, line in enumerate(self.happenings) if line.label == self.title_text), 0)
        self.ways, self.title_text = ways, title
        self._known.clear()
        self._fit(self.app.size.height)
        self._go(at)
        self.call_after_refresh(self._repaint)

    # --- what keys do -------------------------------------------------------

    def taken(self, key: str, event: Key) -> bool:
        """A line's letter, or a way's number, chooses it; the key that says "done" does neither."""
        letters = [str(i + 1) for i in range(len(self.ways))] or [line.letter for line in self.happenings]
        if key not in letters:
            return False
        self._go(letters.index(key))
        if not self.ways:
            self.do_open()
        return True

    def do_down(self) -> None:
        self._go(self.chosen + 1)

    def do_up(self) -> None:
        self._go(self.chosen - 1)

    def do_page_down(self) -> None:
        self.query_one(ReadingPane).scroll_lines(5)

    def do_page_up(self) -> None:
        self.query_one(ReadingPane).scroll_lines(-5)

    def do_take_back(self) -> None:
        if (said := self.session.said_last) is None:
            self._refused("nothing was said that could be taken back")
            return
        try:
            told = self.session.take_back()
        except CannotBe as error:
            self._refused(str(error))
            return
        self._leave_saying((f"Taken back: {said}", *told))

    def do_say(self) -> None:
        if not self.ways or not self._considered()[0]:
            self._refused("")
            return
        try:
            told = self.session.take(self.ways[self.chosen])
        except CannotBe as error:
            self._refused(str(error))
        else:
            self._leave_saying(told)

    def do_open(self) -> None:
        if self.ways:
            self.note_line = f"{self.key_of('say')} does it"
            self._repaint()
        elif not self._considered()[0]:
            self._refused("")
        elif (line := self.happenings[self.chosen]).question:
            self._ask(line)
        else:
            self._take(line, "")

    def _refused(self, why: str) -> None:
        """Nothing is changed, and why."""
        if why:
            self._known[self.chosen] = False, (why,)
        self.note_line = "Nothing is changed"
        self._repaint()

    def _leave_saying(self, told: Sequence[str]) -> None:
        self.app.pop_screen()
        self.said(*([told[0].rstrip(":"), *told[1:]] if told else [""]))

    def _take(self, line: Happening, answer: str) -> None:
        try:
            self._list(line.ways(answer), line.label)
        except ValueError as error:
            self._refused(str(error))

    def _ask(self, line: Happening) -> None:
        def refuse(text: str) -> str | None:
            try:
                line.ways(text)
            except ValueError as error:
                return str(error)
            return None

        def go(text: str | None) -> None:
            if text is not None:
                self._take(line, text)

        self.app.push_screen(Ask(line.question, line.hint, refuse), go)

    def do_leave(self) -> None:
        if self.ways:
            self._list((), TITLE)
        else:
            self.app.pop_screen()
