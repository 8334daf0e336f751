"""Between shelf, drafting table and bedside: the place in the knitting is kept, or what differs is said."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from purlside.draft.beginning import begin
from purlside.draft.sameness import first_difference
from purlside.harmless import shown
from purlside.keep import draftfile, shelf
from purlside.keep.draftfile import DraftFile
from purlside.keep.session import Session
from purlside.plan import Plan
from purlside.planfile import PlanFile, Refused, parse, read

if TYPE_CHECKING:
    from purlside.app.app import PurlsideApp
    from purlside.app.screens.bedside import Bedside


def draft(app: PurlsideApp, file: DraftFile) -> None:
    """Put a draft on the drafting table."""
    from purlside.app.screens.drafting import Drafting

    app.push_screen(Drafting(file, app.settings))


def draft_path(app: PurlsideApp, path: Path, *, copy: bool = False) -> str | None:
    """Put the plan of a file, or a copy of it, on the drafting table; or say why it cannot be read."""
    try:
        file = read(path)
    except Refused as refused:
        first = refused.refusals[0]
        line = f" line {first.line}:" if first.line else ""
        return f"{shown(path.name)} cannot be read:{line} {first.problem}"
    draft(app, draftfile.copied(file, path.parent) if copy else draftfile.opened(file))
    return None


def new_plan(app: PurlsideApp, folder: Path) -> None:
    """Five questions, then the drafting table; the file comes with the first save."""
    from purlside.app.screens.questions import FiveQuestions

    def answered(given: dict[str, str] | None) -> None:
        if given is not None:
            draft(app, draftfile.begun(begin(FiveQuestions.answers(given)), folder))

    app.push_screen(FiveQuestions(), answered)


def draft_session(app: PurlsideApp) -> None:
    """From the bedside to the drafting table; the place stays in the ledger."""
    session = app.session
    if session is None:
        return
    place = session.knitting.place
    row = 0 if place == (1, 0) else session.course.following(place.row)
    draft(app, draftfile.opened(session.file, row))


def knit(app: PurlsideApp, file: DraftFile) -> None:
    """From the drafting table to the bedside; the plan is saved and has no faults."""
    from purlside.app.screens.bedside import Bedside

    if app.session is not None:
        leave(app, file)
        return
    assert file.text is not None
    plan_file = PlanFile(file.path, file.text, file.draft.plan)
    app.session = _session(app, plan_file)
    app.session.call_due()
    bedside = Bedside(app.session, app.settings)
    bedside.note_line = _said(file) or bedside.note_line
    app.switch_screen(bedside)


def leave(app: PurlsideApp, file: DraftFile) -> None:
    """Back to where the drafting table was reached from; a bedside goes on with the plan as it is saved now."""
    from purlside.app.screens.bedside import Bedside

    app.pop_screen()
    session = app.session
    bedside = app.screen
    if (
        not isinstance(bedside, Bedside)
        or session is None
        or file.text in (None, session.file.text)
        or file.path != session.file.path
    ):
        return
    assert file.text is not None
    new = PlanFile(file.path, file.text, parse(file.text, shown(file.path.name)))
    if faults := new.faults():
        bedside.say(f"The plan as saved cannot be knit yet: {faults[0].problem}. On with the plan as it was")
        return
    _take_up(app, bedside, session, new)


def reread(app: PurlsideApp, bedside: Bedside) -> None:
    """Go on, at the place in hand, with the plan's file as it is now."""
    session = bedside.session
    try:
        new = read(session.file.path)
    except Refused as refused:
        bedside.say(f"The plan file cannot be read: {refused.refusals[0].problem}. On with the plan as it was")
        return
    if new.text == session.file.text:
        bedside.say("The plan file is as it was opened")
    elif faults := new.faults():
        bedside.say(f"The plan file cannot be knit from: {faults[0].problem}. On with the plan as it was")
    else:
        _take_up(app, bedside, session, new)


def _take_up(app: PurlsideApp, bedside: Bedside, session: Session, new: PlanFile) -> None:
    """Another text of the plan in hand, knit from its place on; a row in hand that it changes is begun again."""
    place = session.knitting.place
    row = session.course.following(place.row)
    again = place.done > 0 and first_difference(session.file.plan, new.plan, row) is not None
    said = differs_words(session.file.plan, new.plan, row)
    session.close()
    app.session = _session(app, new)
    if again:
        app.session.go_to(place.row)
    bedside.take_up(app.session, said)


def _session(app: PurlsideApp, file: PlanFile) -> Session:
    """A plan's session, resumed from its ledger."""
    shelf.opened(file.path)
    return Session(file, calling=app.settings.calls.calling(file.plan.title))


def _said(file: DraftFile) -> str:
    return differs_words(file.knit, file.draft.plan, file.row) if file.knit is not None else ""


def differs_words(knit: Plan, plan: Plan, row: int) -> str:
    """What is said at the bedside after drafting: rows before ``row`` of ``knit`` are on the needles."""
    if row <= 1:
        return ""
    found = first_difference(knit, plan, row - 1)
    if found is None:
        here = first_difference(knit, plan, row)
        begin = f"row {row:,} is knit otherwise now, begin it" if here else f"on with row {row:,}"
        return f"Rows 1–{row - 1:,} are as you knit them: {begin}"
    return f"Already knit otherwise, {found}. Rip back to row {found.row:,}, or go on as it is"
