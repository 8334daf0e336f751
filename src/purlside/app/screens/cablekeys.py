"""Keys of the drafting table that change a cable or the panel: each is one change of the draft."""

from __future__ import annotations

from collections.abc import Callable

from purlside.app.screens.ask import Ask
from purlside.app.screens.keyed import Keyed
from purlside.app.screens.questions import MotifMenu, even_form, measures_form, motif_form
from purlside.bed.needles import Needle
from purlside.draft import placing
from purlside.draft.drafting import CannotDraft, Draft
from purlside.keep.draftfile import DraftFile

CHANGES: dict[str, Callable[[Draft], str | None]] = {
    "widen": Draft.widen,
    "narrow": lambda draft: draft.widen(-1),
    "front_wider": lambda draft: draft.widen_half(True),
    "front_narrower": lambda draft: draft.widen_half(True, -1),
    "back_wider": lambda draft: draft.widen_half(False),
    "back_narrower": lambda draft: draft.widen_half(False, -1),
    "other_way": Draft.cross_other_way,
    "mirror": Draft.mirror,
    "mirror_all": Draft.mirror_all,
    "pair": Draft.pair,
    "centre": Draft.centre,
    "space_evenly": Draft.space_evenly,
    "dissolve": Draft.dissolve,
    "end_whole": Draft.end_whole,
    "copy_cable": Draft.copy,
    "ease": Draft.next_ease,
    "first_row": Draft.first_row_here,
    "further": lambda draft: draft.every_by(1),
    "closer": lambda draft: draft.every_by(-1),
    "more_times": lambda draft: draft.times_by(1),
    "fewer_times": lambda draft: draft.times_by(-1),
    "move_left": lambda draft: draft.move(-1, 0),
    "move_right": lambda draft: draft.move(1, 0),
    "move_up": lambda draft: draft.move(0, 1),
    "move_down": lambda draft: draft.move(0, -1),
    "next_cable": lambda draft: draft.select_next(1),
    "cable_before": lambda draft: draft.select_next(-1),
    "ladder": Draft.ladder_here,
    "turn_over": Draft.turn_over,
    "meet_wanted": Draft.meet_wanted,
}
"""Actions that ask nothing more, and what each does to the draft."""


class CableKeys(Keyed):
    """A screen with a draft; ``carrying`` while the arrows move the cable in hand."""

    file: DraftFile
    carrying = False

    @property
    def draft(self) -> Draft:
        return self.file.draft

    def do(self, name: str) -> None:
        if (change := CHANGES.get(name)) is not None:
            self.attempt(lambda: change(self.draft))
        else:
            super().do(name)

    def attempt(self, change: Callable[[], str | None]) -> None:
        """Make a change; what it did, or why it did nothing, is said."""
        try:
            said = change()
        except CannotDraft as error:
            said = str(error)
        self.say(said or "")

    def do_place(self) -> None:
        def heard(answer: str) -> str:
            placing.crossing(answer, Needle(0), leftward=False)
            return answer

        where = f"Place a cable: left edge at {self.draft.needle}, first crossed in row {self.draft.row:,}"
        place = Ask(where, placing.ALLOWED, heard)
        self.owner.ask(place, lambda answer: self.attempt(lambda: self.draft.place(answer)))

    def do_motif(self) -> None:
        def chosen(name: str) -> None:
            form = motif_form(name, self.draft)
            self.owner.ask(form, lambda laid: self.attempt(lambda: self.draft.lay(name, **laid)))

        self.owner.ask(MotifMenu(), chosen)

    def do_delete(self) -> None:
        self.carrying = False
        self.attempt(self.draft.delete)

    def do_reminder(self) -> None:
        ask = Ask(f"Reminder in row {self.draft.row:,}", "one line; Esc leaves it", str)
        self.owner.ask(ask, lambda answer: self.attempt(lambda: self.draft.add_reminder(answer)))

    def do_shape_evenly(self) -> None:
        self.owner.ask(even_form(self.draft), self.say)

    def do_measures(self) -> None:
        self.owner.ask(measures_form(self.draft), self.say)
