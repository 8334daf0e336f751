"""The drafting table: the screen on which a panel is designed."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.events import Resize
from textual.widgets import Input

from purlside.app import going
from purlside.app.actions import DRAFTING
from purlside.app.screens.ask import Ask
from purlside.app.screens.fieldline import FieldLine
from purlside.app.screens.questions import Unsaved
from purlside.app.widgets.bedside import KeyLine
from purlside.app.widgets.chart import Beside, Chart, FieldHint, Fields, TableHeading
from purlside.app.widgets.pane import Pane
from purlside.draft import beside
from purlside.draft.drafting import CannotDraft
from purlside.files.planfile import Refused
from purlside.files.planwriting import NotEdited, NotSaved
from purlside.keep import shelf
from purlside.keep.draftfile import DraftFile
from purlside.keep.settings import Settings
from purlside.text.harmless import shown

WIDE = 100
"""Columns from which the fields stand beside the chart; below, they take its place when asked for."""


SETTLED_AFTER = 2.0
"""Seconds after which what is kept of a draft is brought to the disk, to outlive a power cut too."""


class Drafting(FieldLine):
    """Shows a draft; keys change it, and what is shown is asked of it again."""

    ACTIONS = DRAFTING
    AUTO_FOCUS = ""
    CSS = """
    Drafting #table { height: 1; background: $panel; }
    Drafting #body { height: 1fr; layout: horizontal; }
    Drafting #chart { width: 1fr; height: 1fr; }
    Drafting #side { width: 44; height: 1fr; padding-left: 1; }
    Drafting #side, Drafting #side > *, Drafting #form > Pane { background: $surface; }
    Drafting #beside { height: 3fr; }
    Drafting #form { height: 2fr; }
    Drafting #fields { height: 1fr; }
    Drafting #hint { height: 3; }
    Drafting #typed, .-ascii Drafting #typed { height: 1; border: none; padding: 0 1; background: $primary 30%; display: none; }
    Drafting.-typing #typed { display: block; }
    Drafting.-narrow #body { layout: vertical; }
    Drafting.-narrow #side { width: 100%; height: 4; padding-left: 0; }
    Drafting.-narrow #beside { height: 1fr; }
    Drafting.-narrow #form { display: none; }
    Drafting.-narrow.-fields #chart { display: none; }
    Drafting.-narrow.-fields #side { height: 1fr; }
    Drafting.-narrow.-fields #form { display: block; height: 1fr; }
    Drafting.-narrow.-fields #beside { height: 10; }
    """

    def __init__(self, file: DraftFile, settings: Settings, **options: Any) -> None:
        super().__init__(settings, **options)
        self.file = file
        self.note_line = ""
        self.picture = False
        self._asked = False
        self._settling = False

    def compose(self) -> ComposeResult:
        yield TableHeading(self, id="table")
        with Container(id="body"):
            yield Chart(self, id="chart")
            with Vertical(id="side"):
                yield Beside(self, id="beside")
                with Vertical(id="form"):
                    yield Fields(self, id="fields")
                    yield Input(id="typed", max_length=10_000, select_on_focus=False)
                    yield FieldHint(self, id="hint")
        yield KeyLine(lambda: self.keys, lambda: self.note_line or self._doing, id="keys")

    @property
    def _doing(self) -> str:
        """What keys do just now, where it is not what they usually do."""
        if self.has_class("-typing"):
            return "Enter keeps it, Esc puts back what stood there, Up and Down go to other fields"
        if self.at_fields:
            return "Enter: type in the field, Up and Down: choose, i: back to the chart"
        return "Arrows move it; Enter puts it down" if self.carrying else ""

    # --- painting -----------------------------------------------------------

    def on_mount(self) -> None:
        self._fit(self.app.size.width)
        self.query_one("#typed", Input).can_focus = False
        self.note_line = self.file.elsewhere

    def on_resize(self, event: Resize) -> None:
        self._fit(event.size.width)
        self.call_after_refresh(self.repaint)

    def on_screen_resume(self) -> None:
        self.refresh_soon()

    def _fit(self, width: int) -> None:
        self.set_class(width < WIDE, "-narrow")
        self.query_one("#side").styles.width = None if width < WIDE else min(64, max(40, width // 3))

    def refresh_soon(self) -> None:
        """Paint once the keys that wait are done."""
        if not self._asked:
            self._asked = True
            self.call_later(self.repaint)

    def repaint(self) -> None:
        self._asked = False
        self._keep()
        for pane in self.query(Pane):
            if pane.display and pane.size.area:
                pane.redraw()

    def _keep(self) -> None:
        """What is about to be shown is kept first, so that it outlives a killed program; the disk has it soon after."""
        try:
            kept = self.file.keep()
        except OSError as error:
            self.note_line = f"Unsaved changes are not kept: {error.strerror or error}. Ctrl S saves the plan"
            return
        if kept and not self._settling:
            self._settling = True
            self.set_timer(SETTLED_AFTER, self._settle)

    def _settle(self) -> None:
        self._settling = False
        if (keeping := self.file.keeping) is not None:
            self.run_worker(keeping.settle, thread=True, exit_on_error=False)

    def say(self, text: str) -> None:
        """A word on the key line, until the next key."""
        self.note_line = text
        self.refresh_soon()

    def pointed(self, needle: int, row: int) -> None:
        """The mouse put the cursor there: the cable there is taken in hand."""
        self.draft.go(needle, row)
        if (here := self.draft.cable_here()) is not None:
            self.draft.select(here)
        self._show_fields(False)
        self.say("")

    def scrolled(self, rows: int) -> None:
        self.draft.step(0, rows)
        self.say("")

    # --- the cursor, and what it carries ------------------------------------

    def _step(self, across: int, up: int) -> None:
        if self.at_fields:
            self._choose(-up or across)
        elif self.carrying:
            self._try(lambda: self.draft.move(across, up))
        else:
            self.draft.step(across, up)
            self.say("")

    def do_left(self) -> None:
        self._step(-1, 0)

    def do_right(self) -> None:
        self._step(1, 0)

    def do_row_up(self) -> None:
        self._step(0, 1)

    def do_row_down(self) -> None:
        self._step(0, -1)

    @property
    def _page(self) -> int:
        return max(1, self.query_one("#chart").size.height - 3)

    def do_page_up(self) -> None:
        self._step(0, self._page)

    def do_page_down(self) -> None:
        self._step(0, -self._page)

    def do_left_edge(self) -> None:
        self.draft.step(-1000, 0)
        self.say("")

    def do_right_edge(self) -> None:
        self.draft.step(1000, 0)
        self.say("")

    def do_move_left(self) -> None:
        self._try(lambda: self.draft.move(-1, 0))

    def do_move_right(self) -> None:
        self._try(lambda: self.draft.move(1, 0))

    def do_move_up(self) -> None:
        self._try(lambda: self.draft.move(0, 1))

    def do_move_down(self) -> None:
        self._try(lambda: self.draft.move(0, -1))

    def do_take(self) -> None:
        if self.at_fields:
            self._type()
        elif self.carrying:
            self.carrying = False
            self.say("")
        elif (here := self.draft.cable_here()) is not None:
            # The arrows carry at once what was in hand already.
            self.carrying = here in self.draft.in_hand
            self.draft.select(here)
            self.say("")
        else:
            self.do_place()

    def do_next_cable(self) -> None:
        self._try(lambda: self.draft.select_next(1))

    def do_cable_before(self) -> None:
        self._try(lambda: self.draft.select_next(-1))

    def do_turn_over(self) -> None:
        self.draft.turn_over()
        self.say("")

    def do_picture(self) -> None:
        self.picture = not self.picture
        self.say("The fabric from the stitches replayed; v: back to the chart" if self.picture else "")

    def do_go_to(self) -> None:
        draft = self.draft

        def refuse(answer: str) -> str | None:
            try:
                draft.place_of(answer)
            except CannotDraft as error:
                return str(error)
            return None

        def go(answer: str | None) -> None:
            if answer is not None:
                draft.go(*draft.place_of(answer))
            self.say("")

        self.app.push_screen(Ask("Go to which row or needle?", "40, R12, or R12 40; Esc leaves it", refuse), go)

    def do_undo(self) -> None:
        self._try(lambda: f"Undone: {self.draft.undo()}")
        self._retype()

    def do_redo(self) -> None:
        self._try(lambda: f"Done again: {self.draft.redo()}")
        self._retype()

    # --- saving and leaving -------------------------------------------------

    def _save(self) -> bool:
        """Save; what was done or why it was not is said."""
        try:
            self.say(self.file.save())
        except CannotDraft as error:
            self.say(str(error))
        except (NotSaved, NotEdited, Refused) as error:
            # The way out first: a small screen cuts the reason.
            self.say(f"Not saved (F12: under another name): {error}")
        else:
            shelf.opened(self.file.path)
            return True
        return False

    def do_save(self) -> None:
        self._save()

    def do_save_as(self) -> None:
        def named(answer: str | None) -> None:
            if answer is not None:
                self.file.rename(answer)
                self._save()

        hint = f"a file in {shown(str(self.file.path.parent), 40)}; its name ends in .toml"
        self.app.push_screen(Ask("Save under which name?", hint, self.file.refused_name), named)

    def do_knit(self) -> None:
        """To the bedside; a plan with faults stays here."""
        faults = self.draft.judgement.faults
        if faults or self.draft.troubles:
            self.say(
                f"It cannot be knit yet: {beside.fault_words(self.draft.plan, faults[0]) if faults else 'a field'}"
            )
        elif not (self.file.unsaved) or self._save():
            going.knit(self.owner, self.file)

    def do_leave(self) -> None:
        if self.carrying:
            self.carrying = False
            self.say("")
        elif self.at_fields:
            self.do_fields()
        elif self.picture:
            self.do_picture()
        elif self.file.unsaved:
            self.app.push_screen(Unsaved(f"{shown(self.draft.plan.title, 40)} is not saved"), self._left)
        else:
            going.leave(self.owner, self.file)

    def _left(self, answer: str | None) -> None:
        if answer == "leave":
            self.file.give_up()
        if answer == "leave" or (answer == "save" and self._save()):
            going.leave(self.owner, self.file)

    def do_help(self) -> None:
        from purlside.app.screens.charthelp import ChartHelp

        self.app.push_screen(ChartHelp(self.owner.settings, self.ACTIONS, self.keys))
