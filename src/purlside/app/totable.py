"""To the drafting table: from the shelf, from the bedside, with a new plan, or with what was left unsaved."""

from __future__ import annotations

import os
from pathlib import Path

from purlside.app.owner import Owner
from purlside.app.screens.ask import Choose
from purlside.app.screens.drafting import Drafting
from purlside.app.screens.questions import FiveQuestions
from purlside.app.screens.shelf import Shelf
from purlside.files.planfile import PlanFile, Refused, read
from purlside.keep import draftfile, unsaved
from purlside.keep.draftfile import DraftFile
from purlside.keep.knitfrom import as_knit
from purlside.keep.session import Session
from purlside.keep.unsaved import Unsaved
from purlside.text.harmless import shown


def draft(app: Owner, path: Path, *, copy: bool = False) -> str | None:
    """Put the plan of a file, or a copy of it, on the table; or say why it cannot be read."""
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
        app.push_screen(Drafting(draftfile.copied(file, path.parent)))
    else:
        _open(app, draftfile.opened(file), kept)
    return None


def _mend(app: Owner, path: Path, refused: Refused, *, copy: bool) -> str | None:
    """Let the lines of a plan file that cannot be read be mended, then draft it; or say why not even that can be."""
    from purlside.app.screens.mending import MendingScreen
    from purlside.keep.mending import Mending

    def mended(file: PlanFile) -> None:
        app.push_screen(Drafting(draftfile.copied(file, path.parent) if copy else draftfile.opened(file)))

    try:
        mending = Mending(path, copy=copy)
    except Refused:
        if not copy and not os.path.exists(path) and (knit := as_knit(path)) is not None:
            app.push_screen(Drafting(draftfile.restored(knit)))
            app.notify("The file is gone: this is the plan as you knit it; saving puts the file back", markup=False)
            return None
        return f"{shown(path.name)} cannot be read: {refused.refusals[0].problem}"
    app.push_screen(MendingScreen(mending, mended))
    return None


def _open(app: Owner, drafted: DraftFile, kept: list[Unsaved]) -> None:
    """A plan file on the table; changes kept from before are offered first."""
    new = [each for each in kept if each.plan != drafted.draft.plan or each.state.typed]
    for each in kept:
        if each not in new:
            unsaved.drop(each)
    if new:
        _take_up(app, new, drafted)
    else:
        app.push_screen(Drafting(drafted))


def _take_up(app: Owner, kept: list[Unsaved], drafted: DraftFile | None, at: int = 0) -> None:
    """Ask what becomes of changes that were not saved, the ``at``-th of those ``kept``.

    ``drafted`` is the file as it is, None where there is none.
    """
    asked = kept[at]

    def answered(key: str) -> None:
        if key == "enter":
            try:
                file = draftfile.taken_up(asked, drafted)
            except unsaved.Taken:
                app.notify("Another window has these changes in hand now", markup=False)
            except OSError as error:
                app.notify(f"These changes can't be restored: {error.strerror or error}", markup=False)
            else:
                app.push_screen(Drafting(file))
        elif key == "o":
            _take_up(app, kept, drafted, (at + 1) % len(kept))
        else:
            unsaved.drop(asked)
            if rest := [each for each in kept if each is not asked]:
                _take_up(app, rest, drafted)
            elif drafted is not None:
                app.push_screen(Drafting(drafted))
            elif isinstance(app.screen, Shelf):
                app.screen.look_again()

    changed = drafted is not None and asked.base != drafted.mark
    since = "\nThe file has changed since: restored, they are saved under another name" if changed else ""
    since += "\nWhat was kept is damaged: this is as far as it can be read" if asked.cut else ""
    what = f"Unsaved changes of {shown(asked.plan.title, 40)} from {asked.when:%Y-%m-%d %H:%M}{since}"
    of_file = "" if drafted is None or len(kept) > 1 else ", and draft the plan as it is saved"
    ways = {"enter": "restore them", "delete": f"discard them{of_file}"}
    as_is = "it as it is" if not of_file else "both as they are"
    if len(kept) > 1:
        other = "another" if len(kept) > 2 else "the other"
        ways["o"] = f"{other} draft kept of it; this is {at + 1} of {len(kept)}, the latest first"
        as_is = "all as they are"
    app.ask(Choose(what, {**ways, "escape": f"leave {as_is}"}, {"q": "escape"}), answered)


def new_plan(app: Owner, folder: Path) -> None:
    """Five questions, then the table; the file comes with the first save."""

    app.ask(FiveQuestions(), lambda plan: app.push_screen(Drafting(draftfile.begun(plan, folder))))


def draft_session(app: Owner, session: Session) -> None:
    """From the bedside to the table; the place stays in the ledger."""
    opened = draftfile.opened(session.file)
    opened.draft.go(opened.draft.needle, session.course.following(session.knitting.place.row))
    _open(app, opened, unsaved.left(session.file.path))
