"""What happened? The one place to say how the knitting came otherwise than planned, and to put it right."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partialmethod

from textual.app import ComposeResult
from textual.events import Key

from purlside.app.actions import DIFFERS, Action
from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Choosing
from purlside.app.widgets.page import ReadingPane, Told, sight
from purlside.app.widgets.pane import Pane, Run
from purlside.keep.session import Session
from purlside.knitting.differing import CannotBe
from purlside.knitting.happening import Happening, Way
from purlside.shown.counts import CountLines

TITLE = "What happened?"
TOLD = 5
"""Lines below the list for what a line asks; its ways have more to say."""


class WhatHappened(Choosing):
    """The list, each line with its letter; a line's ways, and below them what the chosen one does."""

    ACTIONS = DIFFERS
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
        self._known: dict[int, tuple[bool, tuple[str, ...]]] = {}

    def panes(self) -> ComposeResult:
        yield Pane(self._head, id="differs-head")
        yield Pane(self._listed, id="differs-list")
        yield ReadingPane(self._told, id="differs-effects")

    def fit(self, width: int, height: int) -> None:
        room = max(3, (height - 4) * 6 // 10 if self.ways else height - 4 - TOLD)
        self.query_one("#differs-list").styles.height = min(len(list(self.listed())), room)

    def _head(self, width: int, height: int) -> Iterator[list[Run]]:
        """What is asked, and where the knitting is."""
        knitting, side = self.session.knitting, self.session.knitting.side
        counts = CountLines(knitting)
        yield [(f" {self.title_text}", "figure")]
        if knitting.finished:
            yield [(f" the panel is finished, {knitting.rows:,} rows", "quiet")]
        else:
            where = f"{'under way' if knitting.place.done else 'at its start'}; {side.carriage}, carriage {side}"
            yield [(f" row {counts.row.fabric:,} {counts.place}, {where}", "quiet")]

    def _listed(self, width: int, height: int) -> Iterator[list[Run]]:
        """What can be said, under its headings, the chosen line marked."""
        lines = list(self.listed())
        chosen = next((i for i, (at, _) in enumerate(lines) if at == self.chosen), 0)
        seen = sight(chosen, len(lines), height)
        for i in seen:
            cut = i == seen.start > 0 or i == seen.stop - 1 < len(lines) - 1
            yield [(f" {'>' if i == chosen else '…' if cut else ' '} ", "key"), *lines[i][1]]

    def keys_now(self) -> dict[str, Action]:
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

    @property
    def count(self) -> int:
        return len(self.ways or self.happenings)

    def choose(self, at: int) -> None:
        self.query_one(ReadingPane).top = 0
        super().choose(at)

    def _list(self, ways: Sequence[Way], title: str) -> None:
        """Show the ways of a line, or the list again."""
        at = 0 if ways else next((i for i, line in enumerate(self.happenings) if line.label == self.title_text), 0)
        self.ways, self.title_text = ways, title
        self._known.clear()
        self.fit(*self.app.size)
        self.choose(at)
        self.call_after_refresh(self.repaint)

    # --- what keys do -------------------------------------------------------

    def taken(self, key: str, event: Key) -> bool:
        """A line's letter, or a way's number, chooses it; the key that says "done" does neither."""
        letters = [str(i + 1) for i in range(len(self.ways))] or [line.letter for line in self.happenings]
        if key not in letters:
            return False
        self.choose(letters.index(key))
        if not self.ways:
            self.do_open()
        return True

    def _read_on(self, by: int) -> None:
        self.query_one(ReadingPane).scroll_lines(by)
        self.say("")

    do_page_down, do_page_up = partialmethod(_read_on, 5), partialmethod(_read_on, -5)

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
            self.say(f"{self.key_of('say')} does it")
        elif not self._considered()[0]:
            self._refused("")
        elif (line := self.happenings[self.chosen]).question:
            question = Ask(line.question, line.hint, line.ways)
            self.owner.ask(question, lambda ways: self._list(ways, line.label))
        else:
            try:
                self._list(line.ways(""), line.label)
            except ValueError as error:
                self._refused(str(error))

    def _refused(self, why: str) -> None:
        """Nothing is changed, and why."""
        if why:
            self._known[self.chosen] = False, (why,)
        self.say("Nothing is changed")

    def _leave_saying(self, told: Sequence[str]) -> None:
        self.dismiss()
        self.said(*([told[0].rstrip(":"), *told[1:]] if told else [""]))

    def do_leave(self) -> None:
        if self.ways:
            self._list((), TITLE)
        else:
            super().do_leave()
