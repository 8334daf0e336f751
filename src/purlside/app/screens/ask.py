"""Questions over a screen: answered by a line, as a row to go to or a note to keep, or by a key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Input, Static

T = TypeVar("T")


class Dialog(ModalScreen[T | None]):
    """What is asked, over the screen that asks it; None if the knitter leaves it."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "leave it")]
    AROUND: type[Widget] = Vertical

    def __init__(self, question: str) -> None:
        super().__init__()
        self.question = question

    def compose(self) -> ComposeResult:
        with self.AROUND(classes="ask"):
            yield Static(Content(self.question), classes="question")
            yield from self.body()

    def body(self) -> ComposeResult:
        """What stands below the question."""
        raise NotImplementedError

    def tell(self, text: str) -> None:
        """What is said below the answers: a hint, or what is wrong."""
        self.query_one(".hint", Static).update(Content(text))

    def answer(self, answer: T | None) -> None:
        # A second Enter may wait behind the first: what is answered must not be answered again.
        if self.is_current:
            self.dismiss(answer)

    def read(self, read: Callable[[], T]) -> None:
        """Answer with what is read; what is wrong with it, as the ValueError says, is told."""
        try:
            answer = read()
        except ValueError as error:
            self.tell(str(error))
        else:
            self.answer(answer)

    def action_leave(self) -> None:
        self.answer(None)


class Ask(Dialog[T]):
    """Asks for one line, and gives it as ``heard``, which raises ValueError for one that will not do."""

    def __init__(self, question: str, hint: str, heard: Callable[[str], T], preset: str = "") -> None:
        super().__init__(question)
        self.hint, self.heard, self.preset = hint, heard, preset

    def body(self) -> ComposeResult:
        yield Input(self.preset, max_length=200)
        yield Static(Content(self.hint), classes="hint")

    def on_mount(self) -> None:
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        if line := event.value.strip():
            self.read(lambda: self.heard(line))
        else:
            self.answer(None)


class Choose(Dialog[str]):
    """A question with a key for each answer, ``"escape"`` among them, which leaves it; gives the key."""

    def __init__(self, question: str, answers: Mapping[str, str], also: Mapping[str, str] | None = None) -> None:
        super().__init__(question)
        self.answers, self.also = answers, also or {}
        """What is shown; keys besides that do the same."""

    def body(self) -> ComposeResult:
        names = {"escape": "Esc"}
        keys = {key: names.get(key, key.capitalize() if len(key) > 1 else key) for key in self.answers}
        wide = max(map(len, keys.values()))
        yield Static(Content("\n".join(f"{keys[key]:<{wide}}  {words}" for key, words in self.answers.items())))

    def on_key(self, event: Key) -> None:
        event.stop()
        key = event.character if event.is_printable and event.character else event.key
        key = self.also.get(key, key)
        if key in self.answers:
            self.answer(None if key == "escape" else key)
