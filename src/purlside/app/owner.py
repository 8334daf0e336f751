"""The app as its screens know it: settings, sound, the session in hand, how it ends. It knows no screen itself."""

from __future__ import annotations

import contextlib
import signal
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.events import Event, Key
from textual.reactive import Reactive
from textual.screen import Screen
from textual.theme import Theme

from purlside.app.actions import Action
from purlside.app.closed import may_be_closed
from purlside.app.look import THEMES
from purlside.app.typedahead import TypedAhead
from purlside.files.planfile import PlanFile
from purlside.keep import settings as stored
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.calling import Call
from purlside.sound.playing import Calls
from purlside.sound.tones import KINDS

if TYPE_CHECKING:
    from purlside.keep.draftfile import DraftFile

T = TypeVar("T")


class Owner(App[int]):
    """What all screens have, and the ways from one to another: where they lead is decided above the screens."""

    CSS_PATH = "styles.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "Purlside"
    theme = Reactive(THEMES["dark"].name)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "interrupted", show=False, priority=True, system=True),
    ]

    def __init__(self, settings: Settings, *, utf8: bool) -> None:
        super().__init__()
        self.settings = settings
        self._drawing = settings.look.drawing
        """What the settings say; a terminal without UTF-8 is drawn in ASCII whatever they do."""
        if not utf8:
            self.settings = _with_look(settings, drawing="ascii")
        self.session: Session | None = None
        self.calls = Calls(settings.calls.tones(), unheard=self._unheard)
        self.calls.muted = settings.calls.muted
        self.typed_ahead = TypedAhead(self, super().on_event)
        self._look_as_set()

    @property
    def available_themes(self) -> dict[str, Theme]:
        """Ours alone, from the first: styles are not worked out for another before."""
        return {theme.name: theme for theme in THEMES.values()}

    def get_driver_class(self) -> type[Driver]:
        return may_be_closed(super().get_driver_class())

    async def on_event(self, event: Event) -> None:
        if (
            isinstance(event, Key)
            and not event.is_forwarded
            and event.key != "ctrl+c"
            and self.typed_ahead.waits(event)
        ):
            return
        await super().on_event(event)

    # --- the ways from screen to screen ---------------------------------------

    def ask(self, question: Screen[T | None], then: Callable[[T], object]) -> None:
        """Put a question; ``then`` gets what is answered, unless it is left."""

        def answered(answer: T | None) -> None:
            if answer is not None:
                then(answer)

        self.push_screen(question, answered)

    def open_plan(self, path: Path) -> bool:
        """From the shelf to the bedside; False where there is nothing to knit from."""
        raise NotImplementedError

    def knit_again(self, file: PlanFile) -> None:
        """Another panel of a plan: the one in hand stays as it is, in a ledger of its own."""

    def check(self, session: Session) -> None:
        """How the metal must look now, to be ticked off: after a break, or when asked for."""

    def reread(self) -> None:
        """Go on, at the place in hand, with the plan's file as it is now."""

    def leave_bedside(self) -> None:
        """Close the plan, asking first while steps are not saved."""

    def new_plan(self, folder: Path) -> None:
        """Five questions, then the drafting table; the file comes with the first save."""

    def draft(self, path: Path, *, copy: bool = False) -> str | None:
        """Put the plan of a file, or a copy of it, on the drafting table; or say why it cannot be read."""
        raise NotImplementedError

    def draft_session(self, session: Session) -> None:
        """From the bedside to the drafting table; the place stays in the ledger."""

    def knit(self, file: DraftFile) -> None:
        """From the drafting table to the bedside; the plan is saved and has no faults."""

    def leave_table(self, file: DraftFile) -> None:
        """Back to where the drafting table was reached from; a bedside goes on with the plan as it is saved now."""

    def open_settings(self) -> None:
        """To the settings, and back."""

    def open_help(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        """To all keys, and how to read the strip."""

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
        self._look_as_set()
        self.calls.muted = settings.calls.muted
        if settings.calls != before.calls:
            self.calls.tones = settings.calls.tones()
            if self.session is not None:
                self.session.calling = settings.calls.calling(self.session.file.plan.title)
        try:
            stored.save(_with_look(settings, drawing=self._drawing), before=_with_look(before, drawing=drawn))
        except OSError as error:
            self.notify(f"Settings are not kept: {error.strerror or error}", markup=False)

    def _look_as_set(self) -> None:
        self.theme = THEMES[self.settings.look.theme].name
        self.set_class(self.settings.look.drawing == "ascii", "-ascii")

    # --- ending -------------------------------------------------------------

    def close_session(self) -> None:
        if self.session is not None:
            self.session.close()
            self.session = None

    def on_mount(self) -> None:
        """A closed terminal or a polite kill ends the app with the screen restored; the ledger is already safe.

        asyncio's own way loses a signal that comes while a flood of keys fills the pipe that wakes it.
        """
        if self.is_headless:
            return
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
        self.close_session()
        self.calls.close()


def _with_look(settings: Settings, **changes: Any) -> Settings:
    return replace(settings, look=replace(settings.look, **changes))
