"""Keys of the drafting table that change a cable or the panel: each is one change of the draft."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed
from purlside.app.screens.questions import MotifMenu, MotifNumbers
from purlside.bed.needles import Needle
from purlside.draft import placing
from purlside.draft.drafting import CannotDraft, Draft
from purlside.keep.draftfile import DraftFile


class CableKeys(Keyed):
    """A screen with a draft; ``carrying`` while the arrows move the cable in hand."""

    file: DraftFile
    carrying = False

    @property
    def draft(self) -> Draft:
        return self.file.draft

    def _try(self, change: Callable[[], str | None]) -> None:
        """Make a change; what it did, or why it did nothing, is said."""
        try:
            said = change()
        except CannotDraft as error:
            said = str(error)
        self.say(said or "")

    # --- placing ------------------------------------------------------------

    def do_place(self) -> None:
        def refuse(answer: str) -> str | None:
            try:
                placing.crossing(answer, Needle(0), leftward=False)
            except ValueError as error:
                return str(error)
            return None

        def place(answer: str | None) -> None:
            if answer is not None:
                self._try(lambda: self.draft.place(answer))

        where = f"Place a cable: left edge at {self.draft.needle}, first crossed in row {self.draft.row:,}"
        self.app.push_screen(Ask(where, placing.ALLOWED, refuse), place)

    def do_motif(self) -> None:
        def chosen(name: str | None) -> None:
            if name is not None:
                form = MotifNumbers(name, self.draft)
                self.app.push_screen(form, lambda given: lay(name, form, given))

        def lay(name: str, form: MotifNumbers, given: dict[str, str] | None) -> None:
            if given is not None:
                laid: dict[str, Any] = form.laid(given)
                self._try(lambda: self.draft.lay(name, **laid))

        self.app.push_screen(MotifMenu(), chosen)

    # --- the cable in hand --------------------------------------------------

    def do_widen(self) -> None:
        self._try(self.draft.widen)

    def do_narrow(self) -> None:
        self._try(lambda: self.draft.widen(-1))

    def do_front_wider(self) -> None:
        self._try(lambda: self.draft.widen_half(True))

    def do_front_narrower(self) -> None:
        self._try(lambda: self.draft.widen_half(True, -1))

    def do_back_wider(self) -> None:
        self._try(lambda: self.draft.widen_half(False))

    def do_back_narrower(self) -> None:
        self._try(lambda: self.draft.widen_half(False, -1))

    def do_other_way(self) -> None:
        self._try(self.draft.cross_other_way)

    def do_mirror(self) -> None:
        self._try(self.draft.mirror)

    def do_mirror_all(self) -> None:
        self._try(self.draft.mirror_all)

    def do_pair(self) -> None:
        self._try(self.draft.pair)

    def do_centre(self) -> None:
        self._try(self.draft.centre)

    def do_space_evenly(self) -> None:
        self._try(self.draft.space_evenly)

    def do_dissolve(self) -> None:
        self._try(self.draft.dissolve)

    def do_end_whole(self) -> None:
        self._try(self.draft.end_whole)

    def do_copy_cable(self) -> None:
        self._try(self.draft.copy)

    def do_delete(self) -> None:
        self.carrying = False
        self._try(self.draft.delete)

    def do_ease(self) -> None:
        self._try(self.draft.next_ease)

    def do_first_row(self) -> None:
        self._try(self.draft.first_row_here)

    def do_further(self) -> None:
        self._try(lambda: self.draft.every_by(1))

    def do_closer(self) -> None:
        self._try(lambda: self.draft.every_by(-1))

    def do_more_times(self) -> None:
        self._try(lambda: self.draft.times_by(1))

    def do_fewer_times(self) -> None:
        self._try(lambda: self.draft.times_by(-1))

    def do_ladder(self) -> None:
        self._try(self.draft.ladder_here)

    def do_reminder(self) -> None:
        def add(answer: str | None) -> None:
            if answer is not None:
                self._try(lambda: self.draft.add_reminder(answer))

        self.app.push_screen(Ask(f"Reminder in row {self.draft.row:,}", "one line; Esc leaves it"), add)
