"""A plan file that cannot be read: what is wrong, and the line it stands on to be written anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from textual.app import ComposeResult
from textual.events import Key
from textual.widgets import Input

from purlside.app.actions import MENDING
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.page import sight
from purlside.app.widgets.pane import Pane, Run, wrapped
from purlside.files.planfile import PlanFile
from purlside.files.planwriting import NotSaved
from purlside.keep.mending import LONGEST, Mending
from purlside.text.harmless import shown

OF_SCREEN = 2
"""What is wrong takes at most one of so many parts of the screen; the lines of the file have the rest."""


class MendingScreen(Keyed):
    """Each line typed is put in its place by Enter; the file is written once it can be read, then ``mended`` is told."""

    ACTIONS = MENDING
    CSS = """
    MendingScreen #line, .-ascii MendingScreen #line { height: 1; border: none; padding: 0 1; background: $primary 30%; }
    """

    def __init__(self, mending: Mending, mended: Callable[[PlanFile], None]) -> None:
        super().__init__()
        self.mending, self.mended = mending, mended
        self.note_line = "Lines you mended before, not written yet, are here again" if mending.taken_up else ""
        self._warned = False

    def panes(self) -> ComposeResult:
        yield Pane(self._wrong, id="page")
        yield Input(id="line", max_length=LONGEST, select_on_focus=False)

    def on_mount(self) -> None:
        self._take()

    def _wrong(self, width: int, height: int) -> Iterator[list[Run]]:
        """What is wrong, those of the line in hand first, and the lines of the file around it."""
        mending, room = self.mending, max(10, width - 4)
        name = shown(mending.path.name, 24)
        then = "what is drafted is a copy" if mending.copy else "it is written only once it can"
        yield [(f" {name} cannot be read yet", "figure"), (f"  {then}", "quiet")]
        told: list[list[Run]] = []
        for refusal in sorted(mending.refusals, key=lambda r: r.line != mending.at + 1):
            where = f"line {refusal.line}: " if refusal.line else ""
            told += [[(f"   {part}", "plain")] for part in wrapped(f"{where}{refusal.problem}", room)]
        most = max(2, height // OF_SCREEN - 2)
        if len(told) > most:
            told = [*told[: most - 1], [(f"   … {len(told) - most + 1} more lines", "strong")]]
        yield from told
        yield []
        for at in sight(mending.at, len(mending.lines), height - len(told) - 2):
            here, wrong = at == mending.at, mending.wrong(at)
            text = mending.lines[at][: width * 2].replace("\t", "    ").rstrip("\r")
            yield [
                (f"{'>' if here else ' '}{'!' if wrong else ' '}", "key"),
                (f"{at + 1:>5}  ", "quiet"),
                (text, "trouble" if wrong else "figure" if here else "plain"),
            ]

    def _take(self) -> None:
        """The line in hand is the one that is typed in."""
        line = self.query_one("#line", Input)
        self._warned = False
        line.disabled = self.mending.too_long
        line.value = "" if line.disabled else self.mending.line
        line.cursor_position = len(line.value)
        if line.disabled:
            self.note_line = f"This line is longer than {LONGEST:,} characters: it can only be taken out, with F4"
        else:
            line.focus()
        self.call_after_refresh(self.repaint)

    def _put(self) -> None:
        """What is typed stands in the line in hand."""
        if not self.mending.too_long:
            self.mending.put(self.query_one("#line", Input).value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.do_put()

    def on_key(self, event: Key) -> None:
        # What is typed is the line's.
        if event.is_printable and self.query_one("#line", Input).has_focus:
            return
        super().on_key(event)

    def do_put(self) -> None:
        """The line stands as typed; with the last fault mended the file is written."""
        self._put()
        if self.mending.plan is None:
            self.mending.go_to_trouble()
            self._take()
            return
        try:
            file = self.mending.save()
        except NotSaved as error:
            self.note_line = f"Not saved: {error}"
            self._take()
        else:
            self.dismiss()
            self.mended(file)

    def move(self, by: int) -> None:
        self._put()
        self.mending.go(self.mending.at + by)
        self._take()

    def do_add(self) -> None:
        self._put()
        self.mending.add()
        self._take()

    def do_take_out(self) -> None:
        self.mending.take_out()
        self._take()

    def do_leave(self) -> None:
        self._put()
        if self.mending.changed and not self._warned:
            self._warned = True
            self.say("What you mended is not written yet: Enter goes to what is still wrong, Esc again leaves")
        else:
            self.mending.forget()
            self.dismiss()
