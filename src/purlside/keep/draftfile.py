"""A draft's file: where it is saved, and the text it was read from; a new plan from five answers; a copy."""

from __future__ import annotations

import contextlib
import os
import re
import unicodedata
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from purlside.draft.drafting import CannotDraft, Draft
from purlside.draft.history import State
from purlside.draft.sameness import AsKnit
from purlside.files import planwriting
from purlside.files.planfile import PlanFile
from purlside.files.whole import digest
from purlside.keep import folders, panels, unsaved
from purlside.keep.knitfrom import KnitFrom
from purlside.keep.resuming import resume
from purlside.keep.unsaved import Keeping, Unsaved
from purlside.knitting.course import Course
from purlside.knitting.cursor import Place
from purlside.knitting.deviations import DoesNotFit
from purlside.plan.plan import Plan
from purlside.text.harmless import shown, unprintable


@dataclass(slots=True)
class DraftFile:
    """A draft and the file it is kept in. ``text`` is what the file holds; None while there is none yet.

    ``source`` is the text a copy was made of, whose comments are kept.
    """

    draft: Draft
    path: Path
    text: str | None = None
    source: str | None = None
    knit: AsKnit | None = None
    """What was knit so far, where the panel is on the needles."""
    row: int = 0
    """The row of the plan in hand; rows before it are knit. 0: none."""
    _kept: State | None = None
    """What is kept of the draft in case the program ends; None: nothing."""
    keeping: Keeping | None = None
    """Where this window keeps it; None while nothing is kept."""
    _given_up: bool = False

    @property
    def elsewhere(self) -> str:
        """That another window drafts the plan too, in words; empty if none does."""
        others = (kept for kept in unsaved.every(self.path) if self.keeping is None or kept.file != self.keeping.file)
        if not any(map(unsaved.in_hand, others)):
            return ""
        return "Drafted in another window too: who saves second saves under another name"

    @property
    def mark(self) -> str | None:
        """What tells the text of the file from another; None while there is no file."""
        return None if self.text is None else digest(self.text)

    @property
    def unsaved(self) -> bool:
        """Whether the file lacks something of the draft."""
        return self.draft.changed or self.text is None

    def keep(self) -> bool:
        """Keep what is not saved, so that it outlives a killed program; False if that is so already. Raises OSError."""
        state = self.draft.state
        if self._given_up:
            return False
        if not self.unsaved:
            self.drop()
            return False
        if self._kept is not None and self._kept.plan is state.plan and self._kept.typed is state.typed:
            return False
        now = datetime.now().astimezone()
        self.keeping = self.keeping or Keeping.new(self.path)
        self.keeping.keep(Unsaved(self.path, now, state, self.mark, self.source), self.draft.history)
        self._kept = state
        return True

    def drop(self) -> None:
        """What was kept is saved."""
        if self.keeping is not None:
            self.keeping.drop()
        self._kept = self.keeping = None

    def give_up(self) -> None:
        """Leave it without saving: it is not kept any more."""
        self._given_up = True
        self.drop()

    def take_up(self, kept: Unsaved) -> None:
        """Go on with changes that were not saved, and the steps that led to them, on the file as it is.

        Where the file was changed since, or there is none to change, the draft
        is to be saved under a name of its own. Raises :class:`purlside.keep.unsaved.Taken`
        if another window has them in hand, and OSError.
        """
        self.keeping = unsaved.take(kept)
        self.draft.take_up(kept.state, kept.history())
        self._kept = self.draft.state
        if kept.base == self.mark if self.text is not None else not os.path.exists(self.path):
            return
        self.source = self.text or self.source
        self.text, self.knit, self.row = None, None, 0
        self._move(free_path(self.path.parent, kept.plan.title))

    def _move(self, path: Path) -> None:
        """To another file; what is kept goes with it before it is gone from where it was."""
        before = self.keeping
        self.path, self._kept, self.keeping = path, None, None
        with contextlib.suppress(OSError):
            self.keep()
            if before is not None:
                before.drop()

    def save(self) -> str:
        """Write the plan; the author's comments stay. What was done is returned in words.

        Raises CannotDraft while a field cannot be read, :class:`purlside.files.planwriting.NotSaved`
        if the file was changed meanwhile or cannot be written, :class:`purlside.files.edits.NotEdited`.
        """
        for key, problem in self.draft.troubles.items():
            raise CannotDraft(f"not saved: {problem_words(problem.why, problem.found, problem.allowed, key)}")
        before = self.text if self.text is not None else self.source
        plan = self.draft.plan
        text = planwriting.new(plan) if before is None else planwriting.rewritten(before, plan)
        if self.text is None:
            # The first plan made in a folder: there is no ./patterns yet. Where none can be made, saving says why.
            with contextlib.suppress(OSError):
                self.path.parent.mkdir(parents=True, exist_ok=True)
        planwriting.save(self.path, text, self.mark)
        self.text = text
        self.draft.saved()
        self.drop()
        return f"Saved: {shown(self.path.name)} in {shown(folders.told(self.path.parent), 200)}"

    def checked_name(self, name: str) -> str:
        """A name the plan can be saved under, beside where it is. Raises ValueError for another."""
        path = self._beside(name)
        if unprintable(name) or Path(name).name != name or name.startswith("."):
            raise ValueError("a file name: letters, digits, - and _")
        if os.path.exists(path) or (path != self.path and unsaved.any_of(path)):
            raise ValueError(f"{path.name} is there already; choose another name")
        return name

    def rename(self, name: str) -> None:
        """Save under that name from now on; what was saved before stays where it is. The rows knit stay with it."""
        self.source, self.text = self.text or self.source, None
        self.knit, self.row = None, 0
        self._move(self._beside(name))

    def _beside(self, name: str) -> Path:
        return self.path.with_name(name if name.endswith(".toml") else f"{name}.toml")


def problem_words(why: str, found: str, allowed: str, key: tuple[str | int, ...]) -> str:
    """A field's trouble in one line."""
    name = " ".join(str(part + 1 if isinstance(part, int) else part).replace("_", " ") for part in key)
    return f"{name}: {why}" if why and found != "nothing" else f"{name}: found {found}; allowed: {allowed}"


def opened(file: PlanFile) -> DraftFile:
    """A plan file on the drafting table, with what its ledger says is knit."""
    row = row_in_hand(file)
    knit = KnitFrom(panels.find(file.path, file).panel.ledger, file).as_knit(row) if row else None
    return DraftFile(Draft(file.plan), file.path, file.text, knit=knit, row=row)


def row_in_hand(file: PlanFile) -> int:
    """The row of the plan that its ledger says is in hand; 0 where nothing is knit."""
    found = resume(panels.find(file.path, file).panel.ledger)
    if found.place is None or found.place == Place(1, 0):
        return 0
    try:
        return Course(file.plan, found.in_force.said).following(found.place.row)
    except DoesNotFit:
        return found.place.row


def copied(file: PlanFile, folder: Path) -> DraftFile:
    """A copy of a plan under a title and a file name of its own, not saved yet."""
    title = f"{file.plan.title[:190]}, copy"
    plan = replace(file.plan, title=title)
    return DraftFile(Draft(plan), free_path(folder, title), source=file.text)


def taken_up(found: Unsaved, file: DraftFile | None) -> DraftFile:
    """Changes that were not saved, taken up on the file as it is; None where it is gone or cannot be read.

    Raises :class:`purlside.keep.unsaved.Taken` if another window has them in hand, and OSError.
    """
    if file is None:
        steps = found.history().steps
        first = steps[0].before if steps else found.state
        file = DraftFile(Draft(first.plan), found.path, source=found.source)
        file.draft.state = first
    file.take_up(found)
    return file


def restored(file: PlanFile) -> DraftFile:
    """A plan as it was knit, whose file is gone: saving puts it back."""
    return DraftFile(Draft(file.plan), file.path, source=file.text)


def begun(plan: Plan, folder: Path) -> DraftFile:
    """A new plan, not saved yet."""
    return DraftFile(Draft(plan), free_path(folder, plan.title))


def free_path(folder: Path, title: str) -> Path:
    """A file name made of a title that no file in the folder has, and no draft that is kept."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    stem = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60] or "plan"
    names = (f"{stem}.toml", *(f"{stem}-{n}.toml" for n in range(2, 1000)))
    return next(p for name in names if not os.path.exists(p := folder / name) and not unsaved.any_of(p))
