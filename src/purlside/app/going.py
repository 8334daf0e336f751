"""Between shelf, drafting table and bedside: the place in the knitting is kept, or what differs is said."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.draft.beginning import begin
from purlside.files.planfile import PlanFile, Refused, parse, read
from purlside.keep import draftfile, shelf, unsaved
from purlside.keep.draftfile import DraftFile
from purlside.keep.knitfrom import as_knit
from purlside.keep.session import Session
from purlside.keep.unsaved import Unsaved
from purlside.text.harmless import shown

if TYPE_CHECKING:
    from purlside.app.owner import Owner
    from purlside.app.screens.bedside import Bedside


def draft(app: Owner, file: DraftFile) -> None:
    """Put a draft on the drafting table."""
    from purlside.app.screens.drafting import Drafting

    app.push_screen(Drafting(file, app.settings))


def draft_path(app: Owner, path: Path, *, copy: bool = False) -> str | None:
    """Put the plan of a file, or a copy of it, on the drafting table; or say why it cannot be read."""
    kept = [] if copy else unsaved.left(path)
    try:
        file = read(path)
    except Refused as refused:
        if kept:
            _take_up(app, kept, None)
            return None
        if not os.path.exists(path) and unsaved.any_of(path):
            return f"{shown(path.name)} is drafted in another window, and not saved yet"
        return _mend(app, path, refused, copy=copy)
    if copy:
        draft(app, draftfile.copied(file, path.parent))
    else:
        _open(app, draftfile.opened(file), kept)
    return None


def _mend(app: Owner, path: Path, refused: Refused, *, copy: bool) -> str | None:
    """Let the lines of a plan file that cannot be read be mended, then draft it; or say why not even that can be."""
    from purlside.app.screens.mending import MendingScreen
    from purlside.keep.mending import Mending

    def mended(file: PlanFile) -> None:
        draft(app, draftfile.copied(file, path.parent) if copy else draftfile.opened(file))

    try:
        mending = Mending(path, copy=copy)
    except Refused:
        if not copy and not os.path.exists(path) and (knit := as_knit(path)) is not None:
            draft(app, draftfile.restored(knit))
            app.notify("The file is gone: this is the plan as you knit it; saving puts the file back", markup=False)
            return None
        return f"{shown(path.name)} cannot be read: {refused.refusals[0].problem}"
    app.push_screen(MendingScreen(mending, app.settings, mended))
    return None


def _open(app: Owner, drafted: DraftFile, kept: list[Unsaved]) -> None:
    """A plan file on the drafting table; changes kept from before are offered first."""
    new = [each for each in kept if each.plan != drafted.draft.plan or each.state.typed]
    for each in kept:
        if each not in new:
            unsaved.drop(each)
    if new:
        _take_up(app, new, drafted)
    else:
        draft(app, drafted)


def _take_up(app: Owner, kept: list[Unsaved], drafted: DraftFile | None, at: int = 0) -> None:
    """Ask what becomes of changes that were not saved, the ``at``-th of those ``kept``.

    ``drafted`` is the file as it is, None where there is none.
    """
    from purlside.app.screens.questions import TakeUp
    from purlside.app.screens.shelf import Shelf

    asked = kept[at]

    def answered(answer: str | None) -> None:
        if answer == "take":
            try:
                file = draftfile.taken_up(asked, drafted)
            except unsaved.Taken:
                app.notify("Another window has these changes in hand now", markup=False)
            except OSError as error:
                app.notify(f"These changes can't be restored: {error.strerror or error}", markup=False)
            else:
                draft(app, file)
        elif answer == "next":
            _take_up(app, kept, drafted, (at + 1) % len(kept))
        elif answer == "drop":
            unsaved.drop(asked)
            if rest := [each for each in kept if each is not asked]:
                _take_up(app, rest, drafted)
            elif drafted is not None:
                draft(app, drafted)
            elif isinstance(app.screen, Shelf):
                app.screen.look_again()

    changed = drafted is not None and asked.base != drafted.mark
    since = "\nThe file has changed since: restored, they are saved under another name" if changed else ""
    since += "\nWhat was kept is damaged: this is as far as it can be read" if asked.cut else ""
    what = f"Unsaved changes of {shown(asked.plan.title, 40)} from {asked.when:%Y-%m-%d %H:%M}{since}"
    of_file = "" if drafted is None or len(kept) > 1 else ", and draft the plan as it is saved"
    app.push_screen(TakeUp(what, of_file, at + 1, len(kept)), answered)


def new_plan(app: Owner, folder: Path) -> None:
    """Five questions, then the drafting table; the file comes with the first save."""
    from purlside.app.screens.questions import FiveQuestions

    def answered(given: dict[str, str] | None) -> None:
        if given is not None:
            draft(app, draftfile.begun(begin(FiveQuestions.given(given)), folder))

    app.push_screen(FiveQuestions(), answered)


def draft_session(app: Owner) -> None:
    """From the bedside to the drafting table; the place stays in the ledger."""
    session = app.session
    if session is None:
        return
    opened = draftfile.opened(session.file)
    opened.draft.go(opened.draft.needle, session.course.following(session.knitting.place.row))
    _open(app, opened, unsaved.left(session.file.path))


def knit(app: Owner, file: DraftFile) -> None:
    """From the drafting table to the bedside; the plan is saved and has no faults."""
    from purlside.app.screens.bedside import Bedside

    assert file.text is not None
    if app.session is not None:
        if file.path == app.session.file.path:
            leave(app, file)
            return
        # Saved under another name it is another plan; the place in the one in hand stays in its ledger.
        app.session.close()
        app.pop_screen()
    plan_file = PlanFile(file.path, file.text, file.draft.plan)
    app.session = _session(app, plan_file)
    app.session.call_due()
    app.switch_screen(Bedside(app.session, app.settings))


def leave(app: Owner, file: DraftFile) -> None:
    """Back to where the drafting table was reached from; a bedside goes on with the plan as it is saved now."""
    from purlside.app.screens.bedside import Bedside

    app.pop_screen()
    session = app.session
    bedside = app.screen
    if not isinstance(bedside, Bedside) or session is None or file.text is None:
        return
    if file.path != session.file.path:
        bedside.say(f"On with {shown(session.file.path.name, 30)}; {shown(file.path.name, 30)} is saved, on the shelf")
        return
    if file.text == session.file.text:
        return
    new = PlanFile(file.path, file.text, parse(file.text, shown(file.path.name)))
    if faults := new.faults():
        bedside.say(f"The plan as saved cannot be knit yet: {faults[0].problem}. Still on the plan as it was")
        return
    _knit_on(app, bedside, session, new)


def reread(app: Owner, bedside: Bedside) -> None:
    """Go on, at the place in hand, with the plan's file as it is now."""
    session = bedside.session
    try:
        new = read(session.file.path)
    except Refused as refused:
        first = refused.refusals[0]
        where = f"line {first.line}" if first.line else first.problem.where
        bedside.say(f"The plan file cannot be read ({where}): still on the plan as it was")
        return
    if new.text == session.file.text:
        bedside.say("The plan file is as it was opened")
    elif faults := new.faults():
        bedside.say(f"The plan file cannot be knit from: {faults[0].problem}. Still on the plan as it was")
    else:
        _knit_on(app, bedside, session, new)


def _knit_on(app: Owner, bedside: Bedside, session: Session, new: PlanFile) -> None:
    """Another text of the plan in hand, knit from its place on; a row in hand that it changes is begun again."""
    session.close()
    app.session = _session(app, new)
    bedside.take_up(app.session)


def _session(app: Owner, file: PlanFile) -> Session:
    """A plan's session, resumed from its ledger."""
    shelf.opened(file.path)
    return Session(file, calling=app.settings.calls.calling(file.plan.title))


def check(app: Owner, session: Session) -> None:
    """How the metal must look now, to be ticked off: after a break, or when asked for."""
    from purlside.app.screens.welcome import Welcome
    from purlside.keep.again import panel_words
    from purlside.knitting.welcome import AWAY, away_text, to_check

    away = away_text(session.away) if session.away >= AWAY else "The bed as it must look now"
    session.away = 0.0
    checks = to_check(session.knitting, session.reading, panel_words(session.panel))
    app.push_screen(Welcome(away, checks, session.knitting, app.settings))


def knit_again(app: Owner, file: PlanFile) -> None:
    """Another panel of a plan: the one in hand stays as it is, in a ledger of its own."""
    from purlside.app.screens.ask import Choose
    from purlside.app.screens.bedside import Bedside
    from purlside.files.planwriting import NotSaved
    from purlside.keep.again import As, begin, panel_words

    def answered(key: str | None) -> None:
        if key is not None and key != "escape":
            app.call_later(go, As(key))

    def go(how: As) -> None:
        if app.session is not None:
            app.session.close()
        try:
            again = begin(file, how)
        except (NotSaved, OSError) as error:
            again = file
            app.notify(f"It cannot be knit again: {error}", markup=False)
        app.session = _session(app, again)
        if isinstance(app.screen, Bedside):
            app.screen.take_up(app.session)
        else:
            app.push_screen(Bedside(app.session, app.settings))
        app.notify(panel_words(app.session.panel).capitalize() or f"On with {shown(again.path.name, 40)}", markup=False)

    app.push_screen(Choose("Knit it again", {**{way.value: way.words for way in As}, "escape": "leave it"}), answered)
