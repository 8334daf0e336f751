"""A terminal that may be gone: what is written to it then is lost, and holds nothing up.

Textual writes to the terminal in a thread. Closed under the program, the
terminal refuses what is written; the thread would end with that, and the
program, asked to end, would wait for room in the queue of a thread that is no
more, its ledger locked for ever.
"""

from __future__ import annotations

import contextlib
from typing import IO, Any, cast

from textual.driver import Driver

from purlside.app.input import MOST_CELLS, read_keys
from purlside.keep.locale import shown_as, terminal_encoding

HUNG_UP = 128 + 1
"""The exit code of a program whose terminal was closed, as after SIGHUP."""


class Lossy:
    """A file that loses what it can no longer write."""

    def __init__(self, file: IO[str]) -> None:
        self._file = file
        self._encoding = terminal_encoding()

    def write(self, text: str) -> int:
        with contextlib.suppress(OSError):
            self._file.write(shown_as(text, self._encoding))
        return len(text)

    def flush(self) -> None:
        with contextlib.suppress(OSError):
            self._file.flush()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)


def may_be_closed(driver: type[Driver]) -> type[Driver]:
    """A driver whose terminal may be closed under it, or continued (SIGCONT) without having been left."""

    class Lasting(driver):  # type: ignore[valid-type,misc]
        _away = False

        def __init__(self, *words: Any, **options: Any) -> None:
            super().__init__(*words, **options)
            if (file := getattr(self, "_file", None)) is not None:
                self._file = Lossy(file)

        def _get_terminal_size(self) -> tuple[int, int]:
            width, height = super()._get_terminal_size()
            return min(width, MOST_CELLS), min(height, MOST_CELLS)

        def suspend_application_mode(self) -> None:
            self._away = True
            super().suspend_application_mode()

        def resume_application_mode(self) -> None:
            if not self._away:
                # Its threads still run; a second pair would never be ended.
                super().suspend_application_mode()
            self._away = False
            super().resume_application_mode()

        def run_input_thread(self) -> None:
            try:
                if hasattr(self, "fileno"):
                    read_keys(self.fileno, self.exit_event.is_set, self.process_message)
                else:
                    super().run_input_thread()
            except OSError:
                self._app.call_later(self._app.exit, HUNG_UP)

    return cast("type[Driver]", Lasting)
