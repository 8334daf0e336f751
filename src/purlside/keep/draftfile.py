"""A draft's file: where it is saved, and the text it was read from; a new plan from five answers; a copy."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from purlside.draft.drafting import CannotDraft, Draft
from purlside.figures.fibres import Limit
from purlside.harmless import unprintable
from purlside.keep import drawer, folders, planwriting
from purlside.keep.resuming import resume
from purlside.knit.course import Course
from purlside.knit.deviations import DoesNotFit
from purlside.knit.pace import Pace
from purlside.knitting import Place
from purlside.plan import Plan
from purlside.planfile import PlanFile


class DrawerLimits:
    """The reach limit of the yarn a plan names, from the drawer as it is when first asked.

    ``said`` tells why it could not be read; reach is judged by the fibre then.
    """

    def __init__(self) -> None:
        self.said = ""
        self._drawer: drawer.Drawer | None = None

    def __call__(self, plan: Plan) -> Limit | None:
        if plan.yarn.name is None:
            return None
        try:
            self._drawer = self._drawer or drawer.read()
        except (drawer.DrawerRefused, OSError) as error:
            self._drawer = drawer.Drawer()
            self.said = f"The yarn drawer cannot be read; reach is judged by the fibre: {str(error).splitlines()[0]}"
        return drawer.known(plan, self._drawer)[0]


@dataclass(slots=True)
class DraftFile:
    """A draft and the file it is kept in. ``text`` is what the file holds; None while there is none yet.

    ``source`` is the text a copy was made of, whose comments are kept.
    """

    draft: Draft
    path: Path
    text: str | None = None
    source: str | None = None
    knit: Plan | None = None
    """The plan as it was knit so far, where its panel is on the needles."""
    row: int = 0
    """The row of the plan in hand; rows before it are knit. 0: none."""
    limits: DrawerLimits | None = None
    """Where the reach limit of its yarn is from."""

    @property
    def limit_said(self) -> str:
        """Why the yarn drawer is not judged with; empty where all is well."""
        if self.limits is None:
            return ""
        self.limits(self.draft.plan)
        return self.limits.said

    def save(self, *, afresh: bool = False) -> str:
        """Write the plan; the author's comments stay. What was done is returned in words.

        ``afresh`` writes it in our own way where the author's text cannot be
        changed so. Raises CannotDraft while a field cannot be read,
        :class:`purlside.keep.planwriting.NotSaved` if the file was changed meanwhile
        or cannot be written, :class:`purlside.keep.planwriting.NotEdited`.
        """
        for key, problem in self.draft.troubles.items():
            raise CannotDraft(f"not saved: {problem_words(problem.why, problem.found, problem.allowed, key)}")
        before = self.text if self.text is not None else self.source
        plan = self.draft.plan
        text = planwriting.new(plan) if before is None or afresh else planwriting.rewritten(before, plan)
        planwriting.save(self.path, text, None if self.text is None else planwriting.digest(self.text))
        self.text = text
        self.draft.saved()
        return f"Saved: {self.path.name}"

    def refused_name(self, name: str) -> str | None:
        """Why the plan cannot be saved under a name beside where it is, or None."""
        path = self._beside(name)
        if unprintable(name) or Path(name).name != name or name.startswith("."):
            return "a file name: letters, digits, - and _"
        return f"{path.name} is there already; choose another name" if path.exists() else None

    def rename(self, name: str) -> None:
        """Save under that name from now on; what was saved before stays where it is. The rows knit stay with it."""
        self.path, self.source, self.text = self._beside(name), self.text or self.source, None
        self.knit, self.row = None, 0

    def _beside(self, name: str) -> Path:
        return self.path.with_name(name if name.endswith(".toml") else f"{name}.toml")


def problem_words(why: str, found: str, allowed: str, key: tuple[str | int, ...]) -> str:
    """A field's trouble in one line."""
    name = " ".join(str(part + 1 if isinstance(part, int) else part).replace("_", " ") for part in key)
    return f"{name}: {why}" if why and found != "nothing" else f"{name}: found {found}; allowed: {allowed}"


def opened(file: PlanFile, row: int | None = None, plan: Plan | None = None) -> DraftFile:
    """A plan file on the drafting table; ``row`` in hand, knit so far from ``plan``: by default as its ledger says."""
    row = row_in_hand(file) if row is None else row
    return _drafted(file.plan, file.path, file.text, knit=(plan or file.plan) if row else None, row=row)


def _drafted(plan: Plan, path: Path, text: str | None = None, **more: Any) -> DraftFile:
    """A draft judged with the limits of the yarn drawer."""
    limits = DrawerLimits()
    return DraftFile(Draft(plan, limit_of=limits), path, text, limits=limits, **more)


def row_in_hand(file: PlanFile) -> int:
    """The row of the plan that its ledger says is in hand; 0 where nothing is knit."""
    found = resume(folders.ledger_for(file.path), Pace())
    if found.place is None or found.place == Place(1, 0):
        return 0
    try:
        return Course(file.plan, found.kept.said).following(found.place.row)
    except DoesNotFit:
        return found.place.row


def copied(file: PlanFile, folder: Path) -> DraftFile:
    """A copy of a plan under a title and a file name of its own, not saved yet."""
    title = f"{file.plan.title[:190]}, copy"
    plan = replace(file.plan, title=title)
    return _drafted(plan, free_path(folder, title), source=file.text)


def begun(plan: Plan, folder: Path) -> DraftFile:
    """A new plan, not saved yet."""
    return _drafted(plan, free_path(folder, plan.title))


def free_path(folder: Path, title: str) -> Path:
    """A file name made of a title that no file in the folder has."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    stem = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60] or "plan"
    names = (f"{stem}.toml", *(f"{stem}-{n}.toml" for n in range(2, 1000)))
    return next(path for name in names if not (path := folder / name).exists())
