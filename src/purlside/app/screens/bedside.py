"""The bedside: the screen one knits from."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from textual.app import ComposeResult
from textual.events import Key

from purlside.app.actions import BEDSIDE, Action
from purlside.app.ahead import PAUSE
from purlside.app.presses import Press, Presses, Runs
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import BedsidePane
from purlside.bed.moves import Dial
from purlside.keep.outcomes import suggested
from purlside.keep.session import Session
from purlside.keep.watching import Looked, Seen, Watched
from purlside.knitting.welcome import AWAY
from purlside.shown.thisrow import step_spoken
from purlside.text.counts import counted
from purlside.text.harmless import unprintable

DISK_SOON = 0.02
"""Seconds from a step to its way to the disk; what is left out by then is lost only in a power cut."""
LOOK_EVERY = 1.0
"""Seconds between two looks at the plan's file and, in a second window, at the ledger."""
IDLE = 0.15
"""Seconds without a key after which the fabric so far is drawn."""
LEAST_KEYS = 14
"""Lines of the screen below which the step has the key line's too."""
STEPS: dict[str, Callable[[Session], object]] = {
    "forward": Session.forward,
    "back": Session.back,
    "next_move": Session.next_move,
    "move_back": Session.move_back,
    "next_row": Session.next_row,
    "row_back": Session.row_back,
}
"""Actions that step on or back."""


class Bedside(Keyed):
    """Shows the session; every key goes to it, and what is shown is asked of it again."""

    ACTIONS = BEDSIDE
    GUARDED = True

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.note_line = suggested(session.file.plan)
        self._watch()
        self._in_pauses: list[asyncio.TimerHandle] = []
        """What is worked out when no further key comes."""
        self._runs, self._place = Runs(), session.knitting.place
        """Of steps made one after another; the place before the last key."""
        self._presses: Presses | None = None
        self._why: tuple[int, int] | None = None
        """The step whose why is shown: its row and first move."""

    def _watch(self) -> None:
        ledger = self.session.ledger
        self.watched, self._ledger = Watched(self.session.file), Looked(ledger.path, ledger.content)
        self._only_read = ledger.read_only

    def panes(self) -> ComposeResult:
        self.pane = BedsidePane(self.session, lambda: self.owner.settings, id="bedside")
        yield self.pane

    def keys_now(self) -> Mapping[str, Action]:
        """The keys, at the finished panel without those that only go on."""
        if not self.session.knitting.finished:
            return self.keys
        return {key: action for key, action in self.keys.items() if action.name not in ("forward", "next_move")}

    def on_mount(self) -> None:
        # Waking another thread may cost a step a millisecond: the picture comes first.
        self.session.ledger.later = partial(asyncio.get_running_loop().call_later, DISK_SOON)
        self.set_interval(LOOK_EVERY, self._look)
        if self.session.away >= AWAY and not self.session.ledger.read_only:
            self.call_after_refresh(self.do_check)

    def _look(self) -> None:
        """See what other programs do with the plan's file, and other windows with the ledger."""
        if self.app.screen is not self:
            return
        session = self.session
        looked = self.watched.look()
        if looked:
            trouble = self.watched.trouble
            if self.watched.seen is Seen.CHANGED:
                trouble = replace(trouble, full=f"{trouble.full}; {self.key_of('reread')} reloads it")
            session.file_said = trouble
        if (self._ledger.look() and session.follow()) or looked:
            self.refresh_soon()

    def fit(self, width: int, height: int) -> None:
        self.query_one("#keys").display = height >= LEAST_KEYS

    def _in_a_pause(self) -> None:
        """When no further key comes, work out the next step; later draw the fabric: plain rows alone move nothing."""
        for waiting in self._in_pauses:
            waiting.cancel()
        pauses = ((PAUSE, self.pane.look_ahead), (IDLE, self.pane.hang))
        self._in_pauses = [asyncio.get_running_loop().call_later(pause, self._if_seen, work) for pause, work in pauses]

    def _if_seen(self, work: Callable[[], None]) -> None:
        if self.is_current:
            work()

    def on_screen_resume(self) -> None:
        """Back from the settings: the strip, the call and the keys may be others now."""
        if self.is_mounted:
            self.refresh_soon()

    def repaint(self) -> None:
        super().repaint()
        self._in_a_pause()

    def _stepped(self) -> None:
        self.note_line = ""
        if self._only_read and not self.session.ledger.read_only:
            # The key that found the other window closed made no step.
            self.note_line = "The other window is closed: this one knits on from here; press again"
        self._only_read = self.session.ledger.read_only
        if self._why is not None and self._why != self._step_place():
            self._show_why(None)
        call = self.session.call_due()
        if call is not None:
            self.owner.sound(call)
        elif self.session.knitting.place != self._place:
            self._sound_step()
        if (began := self._runs.ran_from(self.session.knitting.place)) is not None:
            self.session.may_go_back_to(began)
            self.note_line = f"Rows are running away: {self.key_of('back')} takes you back to row {began.row:,}"
        self.refresh_soon()

    def _sound_step(self, *, again: bool = False) -> None:
        """Inside a crossing row a dial change has its tone, and the step is spoken if that is wanted."""
        knitting = self.session.knitting
        step, row = knitting.step, knitting.row
        if row is None or step is None or (not row.crossed and not again) or knitting.place.done != step.first:
            return
        if any(isinstance(move, Dial) for move in step.moves):
            self.owner.calls.play("dial")
        if self.owner.settings.calls.steps or again:
            self.owner.calls.speak(step_spoken(knitting))

    def before_key(self, event: Key) -> None:
        self._place = self.session.knitting.place
        if self.owner.settings.guard_ms != 0:
            self._runs.step(event.time, self._place)

    def take_back_repeat(self) -> None:
        self.session.back_to(self._place)
        self._stepped()
        self.say("A key held down makes one step")

    def do_again(self) -> None:
        call = self.session.call
        if call is not None:
            self.owner.sound(call)
        self._sound_step(again=True)
        self.say(f"Again: {step_spoken(self.session.knitting)}")

    # --- what keys do -------------------------------------------------------

    def do(self, name: str) -> None:
        if (step := STEPS.get(name)) is not None:
            step(self.session)
            self._stepped()
        else:
            super().do(name)

    def do_go_to(self) -> None:
        from purlside.app.screens.ask import Ask

        knitting = self.session.knitting
        last = knitting.working.calendar.row(knitting.rows).fabric if knitting.plan.part else knitting.rows

        def go(row: int) -> None:
            gone = self.session.go_to(row)
            self._runs = Runs()
            self._stepped()
            if gone and (before := self.session.jumped_from) is not None:
                at = self.session.knitting
                back = f"{self.key_of('back')} takes you back to row {at.named(before.row)}"
                self.say(f"Gone to row {at.named(at.place.row)}; {back}")

        part = f", of a part as {last} {knitting.plan.part[0].name}" if knitting.plan.part else ""
        self.owner.ask(Ask("Go to row", f"1 to {last:,}{part}; Esc: stay here", knitting.number), go)

    def do_check(self) -> None:
        self.owner.check(self.session)

    def do_knit_again(self) -> None:
        if self.session.ledger.read_only:
            self.say("Read only: this plan is being knit in another window")
        else:
            self.owner.knit_again(self.session.file)

    def do_note(self) -> None:
        from purlside.app.screens.ask import Ask

        if self.session.ledger.read_only:
            self.say("Read only: a note is kept in the window this plan is knit in")
            return

        def noted(answer: str) -> str:
            if unprintable(answer):
                raise ValueError("a note has no control characters")
            return self.session.note(answer)

        hint = "comes back when this row is knit; begun with 30: it is row 30's; - takes this row's last note off"
        self.owner.ask(Ask("Note for this row", hint, noted), self.say)

    def do_sheet(self) -> None:
        from purlside.app.screens.handing import hand_out

        file = self.session.file
        hand_out(self, file.plan, file.path, file.text)

    def do_differs(self, letter: str = "") -> None:
        """What happened? The list, on the line with a letter where one is given."""
        from purlside.app.screens.differs import WhatHappened

        def said(first: str, *more: str) -> None:
            rest = f"; {self.key_of('ledger')} tells the rest" if more else ""
            room = self.app.size.width - 1 - len(rest)
            self._stepped()
            self.say(f"{first if len(first) <= room else f'{first[: room - 1]}…'}{rest}")

        self.app.push_screen(WhatHappened(self.session, said, letter))

    def do_ledger(self) -> None:
        from purlside.app.screens.ledger import LedgerScreen

        self.app.push_screen(LedgerScreen(self.session))

    def do_went(self) -> None:
        from purlside.app.screens.went import ask_how_it_went

        ask_how_it_went(self, self.session, lambda: self.do_differs("x"))

    def do_figures(self) -> None:
        from purlside.app.screens.figures import of_session

        self.app.push_screen(of_session(self.session))

    def take_up(self, session: Session) -> None:
        """Go on with another session of this plan, as after drafting."""
        self.session = session
        self._watch()
        self.pane.session = session
        self._stepped()
        self.say(suggested(session.file.plan))

    def do_reread(self) -> None:
        self.owner.reread()

    def do_draft(self) -> None:
        self.owner.draft_session(self.session)

    def do_why(self) -> None:
        self._show_why(None if self._why else self._step_place())

    def _step_place(self) -> tuple[int, int] | None:
        step = self.session.knitting.step
        return (self.session.knitting.place.row, step.first) if step else None

    def _show_why(self, place: tuple[int, int] | None) -> None:
        """Say why of the step in hand; it goes with the step."""
        self._why = place
        self.pane.why = place is not None
        self.refresh_soon()

    def do_mute(self) -> None:
        muted = not self.owner.settings.calls.muted
        self.owner.change_calls(muted=muted)
        self.say("Calls: sound is off; they still show here" if muted else "Calls: sound is on")

    def taken(self, key: str, event: Key) -> bool:
        """A pedal's single key is next, and back when pressed twice or held."""
        settings = self.owner.settings
        if key != settings.pedal.key:
            return False
        if self._presses is None or self._presses.settings is not settings:
            self._presses = Presses(settings)
        match self._presses.press(event.time):
            case Press.NEXT:
                self._presses.moved(self.session.forward())
                self._stepped()
            case Press.BACK:
                for _ in range(self._presses.undo + 1):
                    self.session.back()
                self._stepped()
        return True

    def do_columns(self) -> None:
        columns = (self.owner.settings.look.columns + 1) % 4
        self.owner.change_look(columns=columns)
        many = f"{counted(columns, 'column')} a needle" if columns else "as many columns a needle as fit"
        self.say(f"Strip: {many}")

    def do_magnify(self) -> None:
        self.pane.magnified = not self.pane.magnified
        self.refresh_soon()

    def do_drawing(self) -> None:
        drawing = "lines" if self.owner.settings.look.drawing == "ascii" else "ascii"
        self.owner.change_look(drawing=drawing)
        self.refresh_soon()

    def do_leave(self) -> None:
        self.owner.leave_bedside()
