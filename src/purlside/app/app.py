"""The app: wiring only. Screens ask the session; the session asks the engine."""

from __future__ import annotations

import contextlib
import gc
import signal
import sys
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.events import Event, Key
from textual.reactive import Reactive
from textual.screen import Screen
from textual.theme import Theme

from purlside.app.actions import Action
from purlside.app.closed import may_be_closed
from purlside.app.look import THEMES
from purlside.app.owner import Owner
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.keyed import Keyed
from purlside.app.typedahead import TypedAhead
from purlside.files.planfile import PlanFile, Refused, read
from purlside.keep import panels
from purlside.keep import settings as stored
from purlside.keep.knitfrom import as_knit, opened_as_knit
from purlside.keep.ledger import not_saved
from purlside.keep.locale import terminal_encoding
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.calling import Call
from purlside.sound.playing import Calls
from purlside.sound.tones import KINDS
from purlside.text.harmless import printed, shown

if TYPE_CHECKING:
    from purlside.app.screens.ask import Choose

SAVE_AGAIN = 2.0
"""Seconds between two tries to save what is not saved."""
NO_LOCKS = "This disk has no locks: a second window on this plan would not be noticed"


class PurlsideApp(Owner):
    """Opens on a plan, or on the shelf."""

    CSS_PATH = "styles.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "Purlside"
    theme = Reactive(THEMES["dark"].name)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "interrupted", show=False, priority=True, system=True),
    ]

    def __init__(
        self, file: PlanFile | None = None, settings: Settings | None = None, *, utf8: bool = True, said: str = ""
    ) -> None:
        super().__init__()
        self._said = said
        """What is to be said once the first picture is there."""
        self.settings = settings or Settings()
        self._drawing = self.settings.look.drawing
        """What the settings say; a terminal without UTF-8 is drawn in ASCII whatever they do."""
        if not utf8:
            self.settings = _with_look(self.settings, drawing="ascii")
        self.session: Session | None = None
        self.calls = Calls(self.settings.calls.tones(), unheard=self._unheard)
        self.calls.muted = self.settings.calls.muted
        self.typed_ahead = TypedAhead(self, super().on_event)
        self._file = file
        self._leaving: Choose | None = None
        """The question whether to leave with steps that are not saved."""
        self._from_shelf = file is None
        self.theme = THEMES[self.settings.look.theme].name
        self.set_class(self.settings.look.drawing == "ascii", "-ascii")

    @property
    def available_themes(self) -> dict[str, Theme]:
        """Ours alone, from the first: styles are not worked out for another before."""
        return {theme.name: theme for theme in THEMES.values()}

    def get_driver_class(self) -> type[Driver]:
        return may_be_closed(super().get_driver_class())

    def get_default_screen(self) -> Screen[Any]:
        """What the app opens on stands lowest; an empty screen below it would be painted before it."""
        if self._file is not None and panels.find(self._file.path, self._file).like is None:
            return self._bedside(self._file)
        from purlside.app.screens.shelf import Shelf

        return Shelf(self.settings)

    async def on_event(self, event: Event) -> None:
        if (
            isinstance(event, Key)
            and not event.is_forwarded
            and event.key != "ctrl+c"
            and self.typed_ahead.waits(event)
        ):
            return
        await super().on_event(event)

    def on_mount(self) -> None:
        if not self.is_headless:
            self._catch_signals()
        self.call_after_refresh(self._shown)

    def _shown(self) -> None:
        """The first picture is there: now for what could wait."""
        self.calls.start()
        self.set_interval(SAVE_AGAIN, self._save_again)
        if self._file is not None and self.session is None:
            self._from_shelf = True
            self._knit(self._file)
        if self._said:
            self.notify(self._said, markup=False, timeout=20)
        if not gc.isenabled():
            gc.freeze()
            gc.enable()

    # --- plans --------------------------------------------------------------

    def open_plan(self, path: Path) -> bool:
        """From the shelf to the bedside; False where there is nothing to knit from."""
        try:
            file = read(path)
            why = file.faults()
        except Refused as refused:
            why = list(refused.refusals)
        if why:
            if (knit := as_knit(path)) is None:
                return False
            file = knit
            self.notify(opened_as_knit(path, str(why[0].problem)), markup=False, timeout=20)
        self._knit(file)
        return True

    def _knit(self, file: PlanFile) -> None:
        """To the bedside; of a copy of a plan that is on the needles it is asked which panel is meant."""
        found = panels.find(file.path, file)
        if (like := found.like) is None:
            self.push_screen(self._bedside(file))
            return
        owner, place = like.owner(), like.place

        def answered(key: str | None) -> None:
            if key == "g":
                try:
                    found.panel.copied_from(like)
                except OSError as error:
                    self.notify(f"What was knit cannot be copied: {error.strerror or error}", markup=False)
            if key != "escape":
                self.push_screen(self._bedside(file))

        row = f", at row {place.row:,}" if place else ""
        name = shown(Path(owner.plan).name if owner else like.name, 40)
        from purlside.app.screens.ask import Choose

        self.push_screen(
            Choose(
                f"{shown(file.path.name, 40)} is like {name}, which is on the needles{row}",
                {"g": f"go on with what was knit as {name}", "b": "begin anew at row 1", "escape": "leave it"},
            ),
            answered,
        )

    def _bedside(self, file: PlanFile) -> Bedside:
        self.session = session = Session(file, calling=self.settings.calls.calling(file.plan.title))
        session.call_due()
        # A slow disk is not waited for: the shelf is only looked at later.
        self.call_after_refresh(self._onto_shelf, file.path, session.moved_from)
        if session.ledger.unlocked:
            self.call_after_refresh(self.notify, NO_LOCKS, markup=False, timeout=20)
        return Bedside(session, self.settings)

    def _onto_shelf(self, path: Path, before: str) -> None:
        from purlside.keep import shelf

        shelf.opened(path, before)

    def _save_again(self) -> None:
        """Try again to save what is not saved; a question that waits for that is answered then."""
        if self.session is not None and not self.session.ledger.safe:
            self.session.ledger.save()
            if isinstance(self.screen, Bedside):
                self.screen.refresh_soon()
            if self.session.ledger.safe and self.screen is self._leaving:
                self._leaving.dismiss("delete")

    def leave_bedside(self) -> None:
        """Close the plan, asking first while steps are not saved."""
        if self.session is not None and not self.session.ledger.read_only:
            self.session.ledger.save()
            if not self.session.ledger.safe:
                from purlside.app.screens.ask import Choose

                at = self.session.knitting.place.row
                mend = "Put the disk back" if self.session.ledger.away else "Make room on the disk"
                self._leaving = Choose(
                    f"{self.session.ledger.trouble}\nYou are at row {at:,}. {mend} and this clears by itself",
                    {"delete": "leave anyway; your place is printed at the end", "escape": "stay here"},
                )
                self.push_screen(self._leaving, self._leave)
                return
        self._leave("delete")

    def _leave(self, key: str | None) -> None:
        """Back to the shelf the plan came from, or out."""
        if key != "delete":
            return
        self._close_session()
        if self._from_shelf:
            self.pop_screen()
        else:
            self.exit(0)

    def _close_session(self) -> None:
        if self.session is not None:
            self.session.close()
            self.session = None

    # --- what every screen has ------------------------------------------------

    def open_settings(self) -> None:
        from purlside.app.screens.settings import SettingsScreen

        self.push_screen(SettingsScreen(self.settings))

    def open_help(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        from purlside.app.screens.help import Help

        self.push_screen(Help(self.settings, actions, keys))

    # --- calls --------------------------------------------------------------

    def sound(self, call: Call) -> None:
        """Sound a call; never waits."""
        self.calls.play(call.sound)
        if self.settings.calls.spoken:
            self.calls.speak(call.spoken)

    def sound_test(self) -> str:
        """Sound every kind of call; what to say of it."""
        if self.settings.calls.muted:
            return "Calls: sound is off"
        for kind in KINDS:
            self.calls.play(kind)
        if self.settings.calls.spoken:
            self.calls.speak("crossing row next")
        return "Sounding: crossing row coming, crossing row now, finished, shaping, dial"

    def _unheard(self) -> None:
        """No audio device: ring the terminal's bell instead. Called from the sound's thread."""
        with contextlib.suppress(RuntimeError):
            self.call_from_thread(self.bell)

    # --- settings -----------------------------------------------------------

    def change_look(self, **changes: Any) -> None:
        self.settle(_with_look(self.settings, **changes))

    def change_calls(self, **changes: Any) -> None:
        self.settle(replace(self.settings, calls=replace(self.settings.calls, **changes)))

    def settle(self, settings: Settings) -> None:
        """Take settings and keep them for the next time; a disk that refuses does not stop the knitting."""
        before, self.settings, drawn = self.settings, settings, self._drawing
        if settings.look.drawing != before.look.drawing:
            self._drawing = settings.look.drawing
        self.theme = THEMES[settings.look.theme].name
        self.set_class(settings.look.drawing == "ascii", "-ascii")
        self.calls.muted = settings.calls.muted
        if settings.calls != before.calls:
            self.calls.tones = settings.calls.tones()
            if self.session is not None:
                self.session.calling = settings.calls.calling(self.session.file.plan.title)
        for screen in self.screen_stack:
            if isinstance(screen, Keyed):
                screen.rebind(settings)
        try:
            stored.save(_with_look(settings, drawing=self._drawing), before=_with_look(before, drawing=drawn))
        except OSError as error:
            self.notify(f"Settings are not kept: {error.strerror or error}", markup=False)

    # --- ending -------------------------------------------------------------

    def _catch_signals(self) -> None:
        """A closed terminal or a polite kill ends the app with the screen restored; the ledger is already safe.

        asyncio's own way loses a signal that comes while a flood of keys fills the pipe that wakes it.
        """
        import asyncio

        loop = asyncio.get_running_loop()

        def end(number: int, _: object) -> None:
            with contextlib.suppress(RuntimeError):
                loop.call_soon_threadsafe(self.exit, 128 + number)

        for name in ("SIGTERM", "SIGHUP", "SIGINT"):
            if (number := getattr(signal, name, None)) is not None:
                with contextlib.suppress(ValueError):
                    signal.signal(number, end)

    def _handle_exception(self, error: Exception) -> None:
        """A screen that is closed while it is being made has none of what it looks for in itself: no mistake."""
        from textual._context import active_message_pump
        from textual.css.query import NoMatches

        made = active_message_pump.get(None)
        if not (isinstance(error, NoMatches) and (self._exit or (isinstance(made, Screen) and made._pruning))):
            super()._handle_exception(error)

    def _fatal_error(self) -> None:
        """Words instead of a traceback; what was knit is in the ledger already."""
        from rich.text import Text

        from purlside.keep import mishap

        error = sys.exc_info()[1] or self._exception
        self.panic(Text(mishap.told(error or RuntimeError())))

    def action_interrupted(self) -> None:
        """Control-C as a key ends the app as the signal does."""
        self.exit(128 + signal.SIGINT)

    def on_unmount(self) -> None:
        self._close_session()
        self.calls.close()


def _with_look(settings: Settings, **changes: Any) -> Settings:
    return replace(settings, look=replace(settings.look, **changes))


def run(file: PlanFile | None, found: stored.SettingsFound) -> int:
    """Run the app on a plan without faults, or on the shelf."""
    settings, said = found.settings, found.said
    if settings.keys or settings.pedal.key:
        from purlside.app.rebinding import check

        try:
            check(settings)
        except stored.SettingsError as error:
            settings = replace(settings, keys=Settings().keys, pedal=Settings().pedal)
            said = f"{said + '; ' if said else ''}{error}: keys and pedal are reset"
    app = PurlsideApp(file, settings, utf8=terminal_encoding() == "utf-8", said=said)
    code = app.run()
    for told in not_saved():
        print(printed(told), file=sys.stderr)
    return (app.return_code or 0) if code is None else code
