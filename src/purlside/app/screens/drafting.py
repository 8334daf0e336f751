"""The drafting table: the screen on which a panel is designed."""

from __future__ import annotations

from functools import partialmethod

from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.widgets import Input

from purlside.app.actions import DRAFTING
from purlside.app.screens.ask import Ask, Choose
from purlside.app.screens.fieldline import FieldLine
from purlside.app.screens.looking import Looking
from purlside.app.screens.questions import refit_form
from purlside.app.widgets.chart import Beside, Chart, FieldHint, Fields, TableHeading
from purlside.bed.needles import Needle
from purlside.draft import beside, frompattern
from purlside.draft.drafting import CannotDraft
from purlside.draft.refit import RefitFor, refit
from purlside.draft.refittold import side_by_side
from purlside.fabric import reading
from purlside.files.edits import NotEdited
from purlside.files.planfile import Refused
from purlside.files.planwriting import NotSaved
from purlside.keep import folders, shelf
from purlside.keep.draftfile import DraftFile
from purlside.text.harmless import shown

WIDE = 100
"""Columns from which the fields stand beside the chart; below, they take its place when asked for."""
WAYS = {"left": (-1, 0), "right": (1, 0), "row_up": (0, 1), "row_down": (0, -1)}
"""Where actions take the cursor, or what it carries: needles across, rows up."""

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
    Drafting.-narrow.-fields #beside { height: 11; }
    """

    def __init__(self, file: DraftFile) -> None:
        super().__init__()
        self.file = file
        self.picture = False
        self._settling = False

    def panes(self) -> ComposeResult:
        yield TableHeading(self, id="table")
        with Container(id="body"):
            yield Chart(self, id="chart")
            with Vertical(id="side"):
                yield Beside(self, id="beside")
                with Vertical(id="form"):
                    yield Fields(self, id="fields")
                    yield Input(id="typed", max_length=10_000, select_on_focus=False)
                    yield FieldHint(self, id="hint")

    def note(self) -> str:
        """What was said; or what keys do just now, where it is not what they usually do."""
        if self.note_line:
            return self.note_line
        if self.has_class("-typing"):
            return "Enter keeps it, Esc puts back what stood there, Up and Down go to other fields"
        if self.at_fields:
            return "Enter: type in the field, Up and Down: choose, i: back to the chart"
        return "Arrows move it; Enter puts it down" if self.carrying else ""

    # --- painting -----------------------------------------------------------

    def on_mount(self) -> None:
        self.query_one("#typed", Input).can_focus = False
        self.note_line = self.file.elsewhere

    def on_screen_resume(self) -> None:
        self.refresh_soon()

    def fit(self, width: int, height: int) -> None:
        self.set_class(width < WIDE, "-narrow")
        self.query_one("#side").styles.width = None if width < WIDE else min(64, max(40, width // 3))

    def repaint(self) -> None:
        self._keep()
        super().repaint()

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
            self.attempt(lambda: self.draft.move(across, up))
        else:
            self.draft.step(across, up)
            self.say("")

    def do(self, name: str) -> None:
        if (way := WAYS.get(name)) is not None:
            self._step(*way)
        else:
            super().do(name)

    @property
    def page(self) -> int:
        return max(1, self.query_one("#chart").size.height - 3)

    def move(self, by: int) -> None:
        self._step(0, -by)

    def _to_edge(self, across: int) -> None:
        self.draft.step(across, 0)
        self.say("")

    do_left_edge, do_right_edge = partialmethod(_to_edge, -1000), partialmethod(_to_edge, 1000)

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

    def do_picture(self) -> None:
        self.picture = not self.picture
        self.say("The fabric from the stitches replayed; v: back to the chart" if self.picture else "")

    def do_go_to(self) -> None:
        def go(place: tuple[Needle, int]) -> None:
            self.draft.go(*place)
            self.say("")

        hint = "40, R12, or R12 40; Esc leaves it"
        self.owner.ask(Ask("Go to which row or needle?", hint, self.draft.place_of), go)

    def do_undo(self) -> None:
        self.attempt(lambda: f"Undone: {self.draft.undo()}")
        self._retype()

    def do_redo(self) -> None:
        self.attempt(lambda: f"Done again: {self.draft.redo()}")
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
        """Save; a plan that cannot be knit any more, with its panel on the needles, only when that is meant."""
        faults = self.draft.judgement.faults if self.file.row else ()
        if not faults:
            self._save()
            return
        asked = (
            f"This plan cannot be knit as it is now ({faults[0]}), and its panel is on the needles at row "
            f"{self.file.row:,}. Saved like this, it opens as you knit it until this is put right"
        )
        ways = {"enter": "save it anyway", "escape": "stay here"}
        self.owner.ask(Choose(asked, ways), lambda _: self._save())

    def do_save_as(self) -> None:
        def named(name: str) -> None:
            self.file.rename(name)
            self._save()

        hint = f"a file in {shown(str(self.file.path.parent), 40)}; its name ends in .toml"
        self.owner.ask(Ask("Save under which name?", hint, self.file.checked_name), named)

    def do_knit(self) -> None:
        """To the bedside; a plan with faults stays here."""
        faults = self.draft.judgement.faults
        if faults or self.draft.troubles:
            why = beside.fault_words(self.draft.plan, faults[0]) if faults else "a field"
            self.say(f"It cannot be knit yet: {why}")
        elif not self.file.unsaved or self._save():
            self.owner.knit(self.file)

    def do_leave(self) -> None:
        if self.carrying:
            self.carrying = False
            self.say("")
        elif self.at_fields:
            self.do_fields()
        elif self.picture:
            self.do_picture()
        elif self.file.unsaved:
            ways = {"enter": "save it", "delete": "leave without saving", "escape": "stay here"}
            asked = f"{shown(self.draft.plan.title, 40)} is not saved"
            self.owner.ask(Choose(asked, ways, {"s": "enter", "q": "escape"}), self._left)
        else:
            self.owner.leave_table(self.file)

    def _left(self, key: str) -> None:
        if key == "delete":
            self.file.give_up()
        if key == "delete" or self._save():
            self.owner.leave_table(self.file)

    # --- looking, handing out, refitting --------------------------------------

    def do_figures(self) -> None:
        from purlside.app.screens.figures import of_plan

        if self._knittable("figures"):
            self.app.push_screen(of_plan(self.draft.plan, self.file.path))

    def do_sheet(self) -> None:
        from purlside.app.screens.handing import hand_out

        if self._knittable("a sheet"):
            hand_out(self, self.draft.plan, self.file.path)

    def do_look_at_sheet(self) -> None:
        from purlside.sheet.whole import sheet_command

        if self._knittable("a sheet"):
            lines = sheet_command(self.draft.plan, ".txt", "short").splitlines()
            self.app.push_screen(Looking("The short sheet, as it will be written", lines))

    def _knittable(self, what: str) -> bool:
        """Whether the draft has no faults; what is left to mend is said otherwise."""
        if self.draft.judgement.faults or self.draft.troubles:
            self.say(f"Can't be knitted like this yet, so there is no making {what}")
            return False
        return True

    def do_refit(self) -> None:
        before = self.draft.plan

        def refitted(asked: RefitFor) -> None:
            self.attempt(lambda: self.draft.refit(asked))
            if self.draft.plan is not before:
                made = refit(before, asked)
                told = list(side_by_side(made.changes, made.said))
                self.app.push_screen(Looking("Laid again; undo takes it back", told))

        self.owner.ask(refit_form(before), refitted)

    def do_read_pattern(self) -> None:
        """A file's text, read, looked at, and laid at the cursor."""

        def named(answer: str) -> None:
            try:
                pattern = reading.read(folders.text_of(answer))
            except OSError as error:
                self.say(f"{shown(answer, 40)} cannot be read: {error.strerror or error}")
                return
            except UnicodeDecodeError:
                self.say(f"{shown(answer, 40)} is not text in UTF-8")
                return
            laid = None if pattern.wrong else frompattern.lay(pattern, self.draft.needle)
            told = frompattern.told(pattern, laid, ascii_only=self.app.has_class("-ascii"))
            looking = Looking("The pattern as it is read", told, "" if laid is None else "lay it here")
            self.owner.ask(looking, lambda _: self.attempt(lambda: self.draft.lay_pattern(pattern)[0]))

        hint = "a text file with rows as published: Row 5 (RS): p2, 3/3 RC, p2, k4; rep from *"
        self.owner.ask(Ask("A written pattern, in which file?", hint, str), named)

    def do_help(self) -> None:
        from purlside.app.screens.charthelp import ChartHelp

        self.app.push_screen(ChartHelp(self.ACTIONS, self.keys))
