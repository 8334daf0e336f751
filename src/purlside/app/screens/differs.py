"""The one place to say that the knitting differs from the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from textual.app import ComposeResult
from textual.events import Resize

from purlside.app.actions import DIFFERS
from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.pane import Pane, Run
from purlside.app.widgets.read import Reading, Told
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.choices import Choice, Option
from purlside.knitting.differing import CannotBe


class Head(Pane):
    """What is asked, and where the knitting is."""

    def __init__(self, screen: Differs) -> None:
        super().__init__(id="differs-head")
        self.differs = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        knitting = self.differs.session.knitting
        yield [(f" {self.differs.title_text}", "figure")]
        if knitting.finished:
            yield [(f" the panel is finished, {knitting.rows:,} rows", "quiet")]
        else:
            where = "at its start" if not knitting.place.done else "under way"
            side = knitting.side
            yield [
                (
                    f" row {knitting.place.row:,} of {knitting.rows:,}, {where}; {side.carriage}, carriage {side}",
                    "quiet",
                )
            ]


class List(Pane):
    """What can be said, the chosen line marked; scrolls to keep it in sight."""

    def __init__(self, screen: Differs) -> None:
        super().__init__(id="differs-list")
        self.differs = screen

    def lines(self, width: int, height: int) -> Iterable[Iterable[Run]]:
        labels, chosen = self.differs.labels, self.differs.chosen
        top = max(0, min(chosen - height // 2, len(labels) - height))
        for i in range(top, min(len(labels), top + height)):
            here = i == chosen
            cut = (i == top and top > 0) or (i == top + height - 1 and i < len(labels) - 1)
            mark = ">" if here else "…" if cut else " "
            yield [(f" {mark} ", "key"), (labels[i], "figure" if here else "plain")]


class Differs(Keyed):
    """A list of what can be said here; below it, what the chosen line would do."""

    ACTIONS = DIFFERS
    FIXED = True
    CSS = """
    #differs-head { height: 3; }
    #differs-list { height: 10; }
    #differs-effects { height: 1fr; border-top: solid $panel; }
    """

    def __init__(
        self, session: Session, settings: Settings, said: Callable[..., None] = lambda *_: None, **options: Any
    ) -> None:
        super().__init__(settings, **options)
        self.session = session
        self.said = said
        self.chosen = 0
        self.title_text = "What differs from the plan?"
        self.choices: Sequence[Choice] = session.choices()
        self.options: Sequence[Option] = ()
        """What an answer can mean, once a question was answered."""
        self.note_line = ""
        self._known: dict[int, tuple[bool, tuple[str, ...]]] = {}

    def compose(self) -> ComposeResult:
        yield Head(self)
        yield List(self)
        yield Reading(self._told, id="differs-effects")
        yield KeyLine(lambda: self.keys, lambda: self.note_line, id="keys")

    def on_mount(self) -> None:
        self._fit(self.app.size.height)

    def on_resize(self, event: Resize) -> None:
        self._fit(event.size.height)
        self.call_after_refresh(self._repaint)

    def _fit(self, height: int) -> None:
        room = max(3, (height - 4) * 6 // 10)
        self.query_one(List).styles.height = min(len(self.labels), room)

    @property
    def labels(self) -> list[str]:
        return [line.label for line in self.options or self.choices]

    def _option(self) -> Option | None:
        """What Enter would say; None where a question comes first."""
        if self.options:
            return self.options[self.chosen]
        return next(iter(self.choices[self.chosen].options), None)

    def _considered(self) -> tuple[bool, tuple[str, ...]]:
        """Whether the chosen line can be said, and what it does or why not."""
        option = self._option()
        if option is None:
            if (why := self.session.may_not_say) is not None:
                return False, (why,)
            choice = self.choices[self.chosen]
            return True, (f"Enter: {choice.question}", choice.hint)
        if self.chosen not in self._known:
            try:
                self._known[self.chosen] = True, self.session.consider(option)
            except CannotBe as error:
                self._known[self.chosen] = False, (str(error),)
        return self._known[self.chosen]

    def _told(self) -> list[Told]:
        can, told = self._considered()
        if not can:
            return [("Not now: " + told[0], "strong")]
        head: list[Told] = [("If so:", "quiet")] if self._option() is not None else []
        return [*head, *((text, "plain") for text in told)]

    def _go(self, to: int) -> None:
        self.chosen = max(0, min(to, len(self.labels) - 1))
        self.note_line = ""
        self.query_one(Reading).top = 0
        self._repaint()

    def _list(self, options: Sequence[Option], title: str) -> None:
        """Show other lines to choose from: what an answer can mean, or all there is."""
        self.options, self.title_text = options, title
        self._known.clear()
        self._fit(self.app.size.height)
        self._go(0)
        self.call_after_refresh(self._repaint)

    # --- what keys do -------------------------------------------------------

    def do_down(self) -> None:
        self._go(self.chosen + 1)

    def do_up(self) -> None:
        self._go(self.chosen - 1)

    def do_page_down(self) -> None:
        self.query_one(Reading).scroll_lines(5)

    def do_page_up(self) -> None:
        self.query_one(Reading).scroll_lines(-5)

    def do_say(self) -> None:
        option = self._option()
        if option is None and self._considered()[0]:
            self._ask(self.choices[self.chosen])
            return
        try:
            told = self.session.take(option) if option is not None else None
        except CannotBe as error:
            self._known[self.chosen] = False, (str(error),)
            told = None
        if told is None:
            self.note_line = "Nothing is changed"
            self._repaint()
            return
        self.app.pop_screen()
        self.said(*([told[0].rstrip(":"), *told[1:]] if told else [""]))

    def _ask(self, choice: Choice) -> None:
        assert choice.answer is not None
        answer = choice.answer

        def refuse(text: str) -> str | None:
            try:
                answer(text)
            except ValueError as error:
                return str(error)
            return None

        def go(text: str | None) -> None:
            if text is not None:
                self._list(answer(text), f"{choice.question} {text}")

        self.app.push_screen(Ask(choice.question, choice.hint, refuse), go)

    def do_leave(self) -> None:
        if self.options:
            self._list((), "What differs from the plan?")
        else:
            self.app.pop_screen()
