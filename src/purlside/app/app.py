"""Where one goes from each screen: shelf, bedside and drafting table; the place in the knitting is kept."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual.screen import Screen

from purlside.app.actions import Action
from purlside.app.owner import Owner
from purlside.app.screens.bedside import Bedside
from purlside.files.planfile import PlanFile, Refused, parse, read
from purlside.keep import panels
from purlside.keep import settings as stored
from purlside.keep.knitfrom import as_knit, opened_as_knit
from purlside.keep.ledger import not_saved
from purlside.keep.locale import terminal_encoding
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.text.harmless import printed, shown

if TYPE_CHECKING:
    from purlside.app.screens.ask import Choose
    from purlside.keep.draftfile import DraftFile

SAVE_AGAIN = 2.0
"""Seconds between two tries to save what is not saved."""
NO_LOCKS = "This disk has no locks: a second window on this plan would not be noticed"


class PurlsideApp(Owner):
    """Opens on a plan, or on the shelf."""

    def __init__(
        self, file: PlanFile | None = None, settings: Settings | None = None, *, utf8: bool = True, said: str = ""
    ) -> None:
        super().__init__(settings or Settings(), utf8=utf8)
        self._said = said
        """What is to be said once the first picture is there."""
        self._file = file
        self._leaving: Choose | None = None
        """The question whether to leave with steps that are not saved."""
        self._from_shelf = file is None

    def get_default_screen(self) -> Screen[Any]:
        """What the app opens on stands lowest; an empty screen below it would be painted before it."""
        if self._file is not None and panels.find(self._file.path, self._file).like is None:
            return self._bedside(self._file)
        from purlside.app.screens.shelf import Shelf

        return Shelf()

    def on_mount(self) -> None:
        self.call_after_refresh(self._shown)

    def _shown(self) -> None:
        """The first picture is there: now for what could wait."""
        self.calls.start()
        self.set_interval(SAVE_AGAIN, self._save_again)
        if self._file is not None and self.session is None:
            self._from_shelf = True
            self._open(self._file)
        if self._said:
            self.notify(self._said, markup=False, timeout=20)
        if not gc.isenabled():
            gc.freeze()
            gc.enable()

    # --- to the bedside -------------------------------------------------------

    def open_plan(self, path: Path) -> bool:
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
        self._open(file)
        return True

    def _open(self, file: PlanFile) -> None:
        """To the bedside; of a copy of a plan that is on the needles it is asked which panel is meant."""
        found = panels.find(file.path, file)
        if (like := found.like) is None:
            self.push_screen(self._bedside(file))
            return
        owner, place = like.owner(), like.place

        def answered(key: str) -> None:
            if key == "g":
                try:
                    found.panel.copied_from(like)
                except OSError as error:
                    self.notify(f"What was knit cannot be copied: {error.strerror or error}", markup=False)
            self.push_screen(self._bedside(file))

        row = f", at row {place.row:,}" if place else ""
        name = shown(Path(owner.plan).name if owner else like.name, 40)
        from purlside.app.screens.ask import Choose

        asked = f"{shown(file.path.name, 40)} is like {name}, which is on the needles{row}"
        ways = {"g": f"go on with what was knit as {name}", "b": "begin anew at row 1", "escape": "leave it"}
        self.ask(Choose(asked, ways), answered)

    def _bedside(self, file: PlanFile) -> Bedside:
        session = self._take_up(file)
        session.call_due()
        return Bedside(session)

    def _take_up(self, file: PlanFile) -> Session:
        """A plan's session, resumed from its ledger, in place of the one in hand."""
        self.close_session()
        self.session = session = Session(file, calling=self.settings.calls.calling(file.plan.title))
        # A slow disk is not waited for: the shelf is only looked at later.
        self.call_after_refresh(self._onto_shelf, file.path, session.moved_from)
        if session.ledger.unlocked:
            self.call_after_refresh(self.notify, NO_LOCKS, markup=False, timeout=20)
        return session

    def _onto_shelf(self, path: Path, before: str) -> None:
        from purlside.keep import shelf

        shelf.opened(path, before)

    def knit(self, file: DraftFile) -> None:
        assert file.text is not None
        if self.session is not None:
            if file.path == self.session.file.path:
                self.leave_table(file)
                return
            # Saved under another name it is another plan; the place in the one in hand stays in its ledger.
            self.pop_screen()
        self.switch_screen(self._bedside(PlanFile(file.path, file.text, file.draft.plan)))

    def leave_table(self, file: DraftFile) -> None:
        self.pop_screen()
        bedside, session = self.screen, self.session
        if not isinstance(bedside, Bedside) or session is None or file.text is None:
            return
        if file.path != session.file.path:
            on, saved = shown(session.file.path.name, 30), shown(file.path.name, 30)
            bedside.say(f"On with {on}; {saved} is saved, on the shelf")
        elif file.text != session.file.text:
            new = PlanFile(file.path, file.text, parse(file.text, shown(file.path.name)))
            self._knit_on(bedside, new, "The plan as saved cannot be knit yet")

    def reread(self) -> None:
        bedside = self.screen
        assert isinstance(bedside, Bedside)
        before = bedside.session.file
        try:
            new = read(before.path)
        except Refused as refused:
            first = refused.refusals[0]
            where = f"line {first.line}" if first.line else first.problem.where
            bedside.say(f"The plan file cannot be read ({where}): still on the plan as it was")
            return
        if new.text == before.text:
            bedside.say("The plan file is as it was opened")
        else:
            self._knit_on(bedside, new, "The plan file cannot be knit from")

    def _knit_on(self, bedside: Bedside, new: PlanFile, why_not: str) -> None:
        """Another text of the plan in hand, knit from its place on; a row in hand that it changes is begun again."""
        if faults := new.faults():
            bedside.say(f"{why_not}: {faults[0].problem}. Still on the plan as it was")
        else:
            bedside.take_up(self._take_up(new))

    def check(self, session: Session) -> None:
        from purlside.app.screens.welcome import Welcome
        from purlside.knitting.welcome import AWAY, away_text, to_check

        away = away_text(session.away) if session.away >= AWAY else "The bed as it must look now"
        session.away = 0.0
        checks = tuple(to_check(session.knitting, session.reading, session.panel.words))
        self.push_screen(Welcome(away, checks, session.knitting))

    def knit_again(self, file: PlanFile) -> None:
        from purlside.app.screens.ask import Choose
        from purlside.files.planwriting import NotSaved
        from purlside.keep.again import As, begin

        def go(how: str) -> None:
            self.close_session()
            try:
                again = begin(file, As(how))
            except (NotSaved, OSError) as error:
                again = file
                self.notify(f"It cannot be knit again: {error}", markup=False)
            if isinstance(self.screen, Bedside):
                self.screen.take_up(self._take_up(again))
            else:
                self.push_screen(self._bedside(again))
            assert self.session is not None
            words = self.session.panel.words.capitalize()
            self.notify(words or f"On with {shown(again.path.name, 40)}", markup=False)

        ways = {way.value: way.words for way in As}
        self.ask(Choose("Knit it again", {**ways, "escape": "leave it"}), lambda key: self.call_later(go, key))

    def _save_again(self) -> None:
        """Try again to save what is not saved; a question that waits for that is answered then."""
        if self.session is not None and not self.session.ledger.safe:
            self.session.ledger.save()
            if isinstance(self.screen, Bedside):
                self.screen.refresh_soon()
            if self.session.ledger.safe and self.screen is self._leaving:
                self._leaving.dismiss("delete")

    def leave_bedside(self) -> None:
        if self.session is not None and not self.session.ledger.read_only:
            self.session.ledger.save()
            if not self.session.ledger.safe:
                from purlside.app.screens.ask import Choose

                at = self.session.knitting.place.row
                mend = "Put the disk back" if self.session.ledger.away else "Make room on the disk"
                asked = f"{self.session.ledger.trouble}\nYou are at row {at:,}. {mend} and this clears by itself"
                ways = {"delete": "leave anyway; your place is printed at the end", "escape": "stay here"}
                self._leaving = Choose(asked, ways)
                self.ask(self._leaving, lambda _: self._leave())
                return
        self._leave()

    def _leave(self) -> None:
        """Back to the shelf the plan came from, or out."""
        self.close_session()
        if self._from_shelf:
            self.pop_screen()
        else:
            self.exit(0)

    # --- to the drafting table: what it needs is read then -----------------------

    def new_plan(self, folder: Path) -> None:
        from purlside.app import totable

        totable.new_plan(self, folder)

    def draft(self, path: Path, *, copy: bool = False) -> str | None:
        from purlside.app import totable

        return totable.draft(self, path, copy=copy)

    def draft_session(self, session: Session) -> None:
        from purlside.app import totable

        totable.draft_session(self, session)

    # --- what every screen has ------------------------------------------------

    def open_settings(self) -> None:
        from purlside.app.screens.settings import SettingsScreen

        self.push_screen(SettingsScreen())

    def open_help(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        from purlside.app.screens.help import Help

        self.push_screen(Help(actions, keys))


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
