"""The bedside: the screen one knits from."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from functools import partial
from typing import Any

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.events import Key, Resize

from purlside.app.actions import BEDSIDE, Action, keys_of
from purlside.app.pedal import Press, Presses
from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed
from purlside.app.widgets.bedside import Asking, BedStrip, CallLine, CountLine, KeyLine
from purlside.app.widgets.magnified import Magnified
from purlside.app.widgets.pane import Pane
from purlside.app.widgets.sofar import SoFar
from purlside.app.widgets.step import StepPane
from purlside.keep.outcomes import suggested
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.keep.watching import Looked, Seen, Watched
from purlside.knitting.welcome import AWAY
from purlside.shown import strip
from purlside.text.harmless import shown, unprintable

DISK_SOON = 0.02
"""Seconds from a step to its way to the disk; what is left out by then is lost only in a power cut."""
LOOK_EVERY = 1.0
"""Seconds between two looks at the plan's file and, in a second window, at the ledger."""
READY_SOON = 0.01
"""Seconds without a key after which the next step is worked out and painted, unseen."""
IDLE = 0.15
"""Seconds without a key after which the fabric so far is drawn."""
MOST_FABRIC = 50
"""Columns of the fabric so far, at most."""
LEAST_STEP = 5
"""Lines kept for the step: on a small screen the strip goes before the one thing to do now does."""
USUAL_STEP = 6
"""Lines of most steps: the large figures go before one of them does."""
LEAST_MAGNIFIED = 12
"""Lines of the screen below which the magnified view has those of the keys too."""


class Below(Horizontal):
    """What stands below the strip, side by side; it paints nothing itself."""

    BLANK = True


class Bedside(Keyed):
    """Shows the session; every key goes to it, and what is shown is asked of it again."""

    ACTIONS = BEDSIDE
    GUARDED = True
    _hanging: asyncio.TimerHandle | None
    _readying: asyncio.TimerHandle | None

    def __init__(self, session: Session, settings: Settings, **options: Any) -> None:
        super().__init__(settings, **options)
        self.session = session
        self.note_line = suggested(session.file.plan)
        self._panes: tuple[Pane, ...] = ()
        self._watch()
        self._asked = False
        self._hanging = self._readying = None
        self._why: tuple[int, int] | None = None
        """The step whose why is shown: its row and first move."""

    def _watch(self) -> None:
        ledger = self.session.ledger
        self.watched, self._ledger = Watched(self.session.file), Looked(ledger.path, ledger.found)
        self._only_read = ledger.read_only

    def compose(self) -> ComposeResult:
        settings = lambda: self.owner.settings  # noqa: E731
        self._so_far = SoFar(self.session, settings, id="sofar")
        self._panes = (
            CountLine(self.session, settings, id="counts"),
            CallLine(self.session, settings, id="call"),
            BedStrip(self.session, settings, id="strip"),
            step := StepPane(self.session, settings, id="step"),
            magnified := Magnified(self.session, settings, id="magnified"),
            keys := KeyLine(self._keys_now, lambda: self.note_line, id="keys"),
        )
        yield from self._panes[:3]
        with Below(id="below"):
            yield step
            yield self._so_far
        yield magnified
        yield keys

    def _keys_now(self) -> Mapping[str, Action]:
        """The keys, at the finished panel without those that only go on."""
        if not self.session.knitting.finished:
            return self.keys
        return {key: action for key, action in self.keys.items() if action.name not in ("forward", "next_move")}

    def _key_of(self, name: str) -> str:
        """The first key of an action, as printed."""
        return next(keys_of(self.keys, action)[0] for action in self.keys.values() if action.name == name)

    def on_mount(self) -> None:
        # Waking another thread may cost a step a millisecond: the picture comes first.
        self.session.ledger.later = partial(asyncio.get_running_loop().call_later, DISK_SOON)
        self._fit(*self.app.size)
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
            said = self.watched.said
            session.file_said = (
                f"{said}; {self._key_of('reread')} takes it up" if self.watched.seen is Seen.CHANGED else said
            )
        if (self._ledger.look() and session.follow()) or looked:
            self.refresh_soon()

    def on_resize(self, event: Resize) -> None:
        self._fit(event.size.width, event.size.height)
        self.refresh_soon()

    def _fit(self, width: int, height: int) -> None:
        """Give the strip its lanes, and what is left to the counts and the step."""
        lanes = len(strip.LANES) + 1
        per = self.owner.settings.look.columns or None
        panel = self.session.knitting.plan.panel.needles
        whole = strip.frame(panel, max(1, width - strip.GUTTER), per=per).whole
        lanes += 0 if whole else 1
        counts = 1
        if (room := height - lanes - 2 - USUAL_STEP) >= 3:
            counts = min(6 if height >= 30 else 4, room, self.query_one(CountLine).wants(width))
        if self._why is not None and counts + lanes + 2 + (step := self.query_one(StepPane).wants(width)) > height:
            counts = 1
            lanes = lanes if counts + lanes + 2 + step <= height else height
        bed = height >= counts + lanes + 2 + LEAST_STEP
        self.query_one("#counts").styles.height = counts
        self.query_one("#strip").styles.height = lanes
        self.query_one("#strip").display = bed and not self.has_class("-magnified")
        self.query_one("#keys").display = height >= (LEAST_MAGNIFIED if self.has_class("-magnified") else 8)
        self._so_far.styles.width = min(MOST_FABRIC, width * 2 // 5)
        self._so_far.display = width >= 120 and height - counts - lanes - 2 >= 12
        self._hang_soon()

    def _hang_soon(self) -> None:
        """Draw the fabric when no further key comes; plain rows alone move nothing."""
        if self._hanging is not None:
            self._hanging.cancel()
            self._hanging = None
        if self._so_far.display and not self._so_far.is_so:
            self._hanging = asyncio.get_running_loop().call_later(IDLE, self._hang)

    def _hang(self) -> None:
        self._hanging = None
        if self.is_current:
            self._so_far.redraw()

    def on_screen_resume(self) -> None:
        """Back from the settings: the strip, the call and the keys may be others now."""
        if self.is_mounted:
            self._fit(*self.app.size)
            self.refresh_soon()

    def refresh_soon(self) -> None:
        """Paint once the keys that wait are done: a flood of them costs one picture."""
        if self._asked:
            return
        if not self.message_queue_size and not self.app.message_queue_size:
            self._repaint()
        else:
            self._asked = True
            self.call_later(self._repaint)

    def _ready_soon(self) -> None:
        if self._readying is not None:
            self._readying.cancel()
        self._readying = asyncio.get_running_loop().call_later(READY_SOON, self._lay_ready)

    def _lay_ready(self) -> None:
        """While the hands are on the machine: work out the next step, so that its key only has to show it."""
        self._readying = None
        if not self.is_current or self.app.screen is not self:
            return
        if self._asked or self.message_queue_size:
            self._ready_soon()
        elif (ahead := self.session.ahead()) is not None:
            for pane in self._panes:
                if isinstance(pane, Asking) and pane.display:
                    pane.lay_ready_for(ahead)

    def _repaint(self) -> None:
        self._asked = False
        for pane in self._panes:
            if pane.display:
                pane.redraw()
        self._ready_soon()
        if self._so_far.display:
            self._hang_soon()

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
        self.refresh_soon()

    def say(self, text: str) -> None:
        """A word on the key line, until the next key."""
        self.note_line = text
        self.refresh_soon()

    # --- what keys do -------------------------------------------------------

    def do_forward(self) -> None:
        self.session.forward()
        self._stepped()

    def do_back(self) -> None:
        self.session.back()
        self._stepped()

    def do_next_move(self) -> None:
        self.session.next_move()
        self._stepped()

    def do_move_back(self) -> None:
        self.session.move_back()
        self._stepped()

    def do_next_row(self) -> None:
        self.session.next_row()
        self._stepped()

    def do_row_back(self) -> None:
        self.session.row_back()
        self._stepped()

    def do_go_to(self) -> None:
        rows = self.session.knitting.rows

        def refuse(answer: str) -> str | None:
            if answer.isascii() and answer.isdigit() and 1 <= int(answer[:9]) <= rows:
                return None
            return f"Found {shown(answer, 20)}; allowed: a row, 1 to {rows:,}"

        def go(answer: str | None) -> None:
            gone = answer is not None and self.session.go_to(int(answer))
            self._stepped()
            if gone and (before := self.session.jumped_from) is not None:
                self.say(f"Gone to row {answer}; {self._key_of('back')} takes you back to row {before.row:,}")

        self.app.push_screen(Ask("Go to row", f"1 to {rows:,}; Esc leaves it", refuse), go)

    def do_check(self) -> None:
        from purlside.app import going

        going.check(self.owner, self.session)

    def do_knit_again(self) -> None:
        from purlside.app import going

        if self.session.ledger.read_only:
            self.say("Read only: this plan is being knit in another window")
        else:
            going.knit_again(self.owner, self.session.file)

    def do_note(self) -> None:
        if self.session.ledger.read_only:
            self.say("Read only: a note is kept in the window this plan is knit in")
            return

        def refuse(answer: str) -> str | None:
            if unprintable(answer):
                return "a note has no control characters"
            try:
                self.session.note_for(answer)
            except ValueError as error:
                return str(error)
            return None

        def keep(answer: str | None) -> None:
            if answer is not None:
                self.say(self.session.note(answer))

        hint = "comes back when this row is knit; begun with 30: it is row 30's; - takes this row's last note off"
        self.app.push_screen(Ask("Note for this row", hint, refuse), keep)

    def do_sheet(self) -> None:
        from purlside.app.screens.handing import hand_out

        hand_out(self, self.session, self.say)

    def do_differs(self) -> None:
        from purlside.app.screens.differs import Differs

        def said(first: str, *more: str) -> None:
            rest = f"; {self._key_of('ledger')} tells the rest" if more else ""
            room = self.app.size.width - 1 - len(rest)
            self._stepped()
            self.say(f"{first if len(first) <= room else f'{first[: room - 1]}…'}{rest}")

        self.app.push_screen(Differs(self.session, self.owner.settings, said))

    def do_ledger(self) -> None:
        from purlside.app.screens.ledger import LedgerScreen

        self.app.push_screen(LedgerScreen(self.session, self.owner.settings))

    def do_went(self) -> None:
        from purlside.app.screens.recording import ask_how_it_went

        ask_how_it_went(self)

    def do_figures(self) -> None:
        from purlside.app.screens.figures import of_session

        self.app.push_screen(of_session(self.session, self.owner.settings))

    def take_up(self, session: Session) -> None:
        """Go on with another session of this plan, as after drafting."""
        self.session = session
        self._watch()
        for pane in self.query(Asking):
            pane.session = session
        self._fit(*self.app.size)
        self._stepped()
        self.say(suggested(session.file.plan))

    def do_reread(self) -> None:
        from purlside.app import going

        going.reread(self.owner, self)

    def do_draft(self) -> None:
        from purlside.app import going

        going.draft_session(self.owner)

    def do_why(self) -> None:
        self._show_why(None if self._why else self._step_place())

    def _step_place(self) -> tuple[int, int] | None:
        step = self.session.knitting.step
        return (self.session.knitting.place.row, step.first) if step else None

    def _show_why(self, place: tuple[int, int] | None) -> None:
        """Say why of the step in hand, the counts and then the strip making room for it; it goes with the step."""
        self._why = place
        self.query_one(StepPane).show_why = place is not None
        self._fit(*self.app.size)
        self.call_after_refresh(self.refresh_soon)

    def do_mute(self) -> None:
        muted = not self.owner.settings.calls.muted
        self.owner.change_calls(muted=muted)
        self.say("Calls: sound is off; they still show here" if muted else "Calls: sound is on")

    def do_sound_test(self) -> None:
        self.say(self.owner.sound_test())

    def taken(self, key: str, event: Key) -> bool:
        """A pedal's single key is next, and back when pressed twice or held."""
        if key != self.owner.settings.pedal.key:
            return False
        match self.presses.press(event.time):
            case Press.NEXT:
                self.presses.moved(self.session.forward())
                self._stepped()
            case Press.BACK:
                for _ in range(self.presses.undo + 1):
                    self.session.back()
                self._stepped()
        return True

    def rebind(self, settings: Settings) -> None:
        super().rebind(settings)
        self.presses = Presses(settings)

    def do_columns(self) -> None:
        columns = (self.owner.settings.look.columns + 1) % 4
        self.owner.change_look(columns=columns)
        self._fit(*self.app.size)
        many = f"{columns} column{'s' if columns > 1 else ''} a needle"
        self.say(f"Strip: {many if columns else 'as many columns a needle as fit'}")

    def do_magnify(self) -> None:
        self.toggle_class("-magnified")
        self._fit(*self.app.size)
        self.call_after_refresh(self.refresh_soon)

    def do_drawing(self) -> None:
        drawing = "lines" if self.owner.settings.look.drawing == "ascii" else "ascii"
        self.owner.change_look(drawing=drawing)
        self.refresh_soon()

    def do_leave(self) -> None:
        self.owner.leave_bedside()
