"""The app: wiring only. Screens ask the session; the session asks the engine."""

from __future__ import annotations

import contextlib
import signal
from pathlib import Path
from typing import Any

from textual.app import App

from purlside import settings as stored
from purlside import shelf
from purlside.app.look import THEMES
from purlside.app.screens.bedside import Bedside
from purlside.calling import Call
from purlside.planfile import PlanFile, Refused, read
from purlside.session import Session
from purlside.settings import CallSettings, Look, Settings
from purlside.sound import Calls


class PurlsideApp(App[int]):
    """Opens on a plan, or on the shelf."""

    CSS_PATH = "styles.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "Purlside"

    def __init__(self, file: PlanFile | None = None, settings: Settings | None = None) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.session: Session | None = None
        self.calls = Calls(self.settings.calls.tones(), unheard=self._unheard)
        self.calls.muted = self.settings.calls.muted
        self._file = file
        self._from_shelf = file is None
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = THEMES[self.settings.look.theme].name

    def on_mount(self) -> None:
        self._catch_signals()
        if self._file is not None:
            self._knit(self._file)
        else:
            self._show_shelf()
        self.call_after_refresh(self.calls.start)

    def _show_shelf(self) -> None:
        from purlside.app.screens.shelf import Shelf

        self.push_screen(Shelf(self.settings))

    # --- plans --------------------------------------------------------------

    def open_plan(self, path: Path) -> None:
        """From the shelf to the bedside."""
        try:
            file = read(path)
        except Refused:
            self.screen.refresh()
            return
        self._knit(file)

    def _knit(self, file: PlanFile) -> None:
        self.session = Session(file, calling=self.settings.calls.calling(file.plan.title))
        self.session.call_due()
        shelf.opened(file.path)
        self.push_screen(Bedside(self.session, self.settings))

    def leave_bedside(self) -> None:
        """Close the plan: back to the shelf it came from, or out."""
        self._close_session()
        if self._from_shelf:
            self.pop_screen()
        else:
            self.exit(0)

    def _close_session(self) -> None:
        if self.session is not None:
            self.session.close()
            self.session = None

    # --- calls --------------------------------------------------------------

    def sound(self, call: Call) -> None:
        """Sound a call; never waits."""
        self.calls.play(call.kind.value)
        if self.settings.calls.spoken:
            self.calls.speak(call.spoken)

    def _unheard(self) -> None:
        """No audio device: ring the terminal's bell instead. Called from the sound's thread."""
        with contextlib.suppress(RuntimeError):
            self.call_from_thread(self.bell)

    # --- settings -----------------------------------------------------------

    def change_look(self, **changes: Any) -> None:
        look = Look.model_validate({**self.settings.look.model_dump(), **changes})
        self._settle(self.settings.model_copy(update={"look": look}))
        self.theme = THEMES[look.theme].name

    def change_calls(self, **changes: Any) -> None:
        calls = self.settings.calls.model_copy(update=changes)
        self._settle(self.settings.model_copy(update={"calls": CallSettings.model_validate(calls.model_dump())}))
        self.calls.muted = calls.muted

    def _settle(self, settings: Settings) -> None:
        """Keep settings for the next time; a disk that refuses does not stop the knitting."""
        self.settings = settings
        try:
            stored.save(settings)
        except OSError as error:
            self.notify(f"Settings are not kept: {error.strerror or error}", markup=False)

    # --- ending -------------------------------------------------------------

    def _catch_signals(self) -> None:
        """A closed terminal or a polite kill ends the app with the screen restored; the ledger is already safe."""
        import asyncio

        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            if (number := getattr(signal, name, None)) is not None:
                with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                    loop.add_signal_handler(number, self.exit, 128 + number)

    def on_unmount(self) -> None:
        self._close_session()
        self.calls.close()


def run(plan: str | None) -> int:
    """Run the app on a plan that was read without faults, or on the shelf. Raises Refused, SettingsError."""
    settings = stored.load()
    file = read(plan) if plan is not None else None
    app = PurlsideApp(file, settings)
    code = app.run()
    return (app.return_code or 0) if code is None else code
