"""Whose ledger is whose: a panel belongs to its plan, whatever becomes of the name and the place of the plan's file.

Beside a ledger stands whose it is: where the plan's file was, which file it
was there, its title, and the digest of the text it was knit from last. A plan
that no ledger says is its own may have been renamed or moved: then the old
place is empty, and the file or its text is known. Where the old place is not
empty the file is a copy: that can be told from the original, and is asked.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from dataclasses import asdict
from pathlib import Path
from typing import Any

from purlside.files.planfile import PlanFile
from purlside.files.whole import digest, read_whole, settle
from purlside.keep import folders
from purlside.keep.events import Opened
from purlside.keep.ledger import entries, entries_backwards
from purlside.knitting.cursor import Place
from purlside.values import Value

MOST_BYTES = 1_000_000


class PanelOwner(Value):
    """The plan a panel was knit from last: where its file was, which one that was, its text's digest, its title."""

    plan: str
    digest: str = ""
    title: str = ""
    file: tuple[int, int] | None = None
    """Device and number of the file, where it was."""

    @property
    def gone(self) -> bool:
        """Whether no file is there any more."""
        return not os.path.lexists(self.plan)


class KeptPanel(Value):
    """The files kept of one panel, beside each other."""

    name: str

    @property
    def ledger(self) -> Path:
        return _folder() / f"{self.name}.jsonl"

    @property
    def knit_from(self) -> Path:
        """The texts it was knit from."""
        return _folder() / f"{self.name}.knit.json"

    @property
    def owned(self) -> Path:
        """Whose it is."""
        return _folder() / f"{self.name}.plan.json"

    @property
    def number(self) -> int:
        """Which panel of its plan it is, from 1: a plan may be knit again."""
        _, again, number = self.name.rpartition("+")
        return int(number) if again and number.isdecimal() else 1

    @property
    def again(self) -> KeptPanel:
        """The next panel of the same plan."""
        first = self.name.rpartition("+")[0] if self.number > 1 else self.name
        return KeptPanel(f"{first}+{self.number + 1}")

    @property
    def words(self) -> str:
        """``"panel 2 of 2"``; nothing where there is only one."""
        last = self
        while os.path.exists(last.again.ledger):
            last = last.again
        return "" if last.number == 1 else f"panel {self.number} of {last.number}"

    @property
    def place(self) -> Place | None:
        """Where the knitter left off; None where nothing is knit."""
        try:
            place = next((entry.event.at for entry in entries_backwards(self.ledger)), None)
        except OSError:
            return None
        return None if place == Place(1, 0) else place

    def owner(self) -> PanelOwner | None:
        """Whose it is, as kept; of an old panel as its ledger and its texts tell."""

        def read(data: Any) -> PanelOwner | None:
            file = (int(data["file"][0]), int(data["file"][1])) if data.get("file") else None
            return PanelOwner(str(data["plan"]), str(data["digest"]), str(data["title"]), file)

        if owner := folders.read_json(self.owned, read, None, MOST_BYTES):
            return owner
        with contextlib.suppress(OSError):
            for entry in entries(self.ledger):
                if isinstance(entry.event, Opened):
                    text = folders.read_json(self.knit_from, lambda data: str(data[-1][1]), "")
                    return PanelOwner(os.path.realpath(entry.event.plan), digest(text), entry.event.title)
        return None

    def belongs_to(self, file: PlanFile) -> None:
        """Keep whose it is from now on. Raises OSError."""
        place = os.path.realpath(file.path)
        owner = PanelOwner(place, digest(file.text), file.plan.title, _number(place))
        if self.owner() != owner or not os.path.exists(self.owned):
            folders.keep(self.owned, json.dumps(asdict(owner)).encode(), settled=False)

    def copied_from(self, other: KeptPanel) -> None:
        """Go on with what another panel's ledger and texts say; that one stays as it is. Raises OSError."""
        for mine, theirs in ((self.knit_from, other.knit_from), (self.ledger, other.ledger)):
            if os.path.exists(theirs):
                shutil.copyfile(theirs, mine)
                os.chmod(mine, 0o600)
        settle(_folder())


class PanelFound(Value):
    """The panel of a plan file; ``like`` is another's of which it may be a copy, ``moved`` where the file was before."""

    panel: KeptPanel
    like: KeptPanel | None = None
    moved: str = ""


def of(plan: Path) -> KeptPanel:
    """The panel that is knit from a plan file; a new one where none is yet."""
    return find(plan).panel


def find(plan: Path, file: PlanFile | None = None) -> PanelFound:
    """The panel of a plan file, as it was read; ``file`` is None where it was not."""
    place = os.path.realpath(plan)
    name = name_for(plan)
    # Its stem may be another, where the file was reached by a link.
    ledgers = folders.listed(_folder(), f"*-{name.rpartition('-')[2]}*.jsonl")
    for panel in sorted((KeptPanel(ledger.stem) for ledger in ledgers), key=lambda panel: (-panel.number, panel.name)):
        if not os.path.exists(panel.owned) or ((owner := panel.owner()) and owner.plan == place):
            return PanelFound(panel)
    owners = _owners()
    if ours := [KeptPanel(one) for one, owner in owners.items() if owner.plan == place]:
        return PanelFound(max(ours, key=lambda panel: panel.number))
    new = KeptPanel(next(one for one in (name, *(f"{name}~{n}" for n in range(2, 1000))) if one not in owners))
    if not owners:
        return PanelFound(new)
    try:
        text = read_whole(place, MOST_BYTES).decode("utf-8-sig") if file is None else file.text
    except (OSError, ValueError):
        return PanelFound(new)
    mine, number = digest(text), _number(place)
    title = _title(text) if file is None else file.plan.title
    for one, owner in owners.items():
        if owner.gone and (owner.digest == mine or (owner.file == number and owner.title == title)):
            return PanelFound(KeptPanel(one), moved=owner.plan)
    alike = [one for one, owner in owners.items() if owner.digest == mine]
    alike += [one for one, owner in owners.items() if owner.gone and title and owner.title == title]
    like = next((KeptPanel(one) for one in alike if KeptPanel(one).place is not None), None)
    return PanelFound(new, like)


def _title(text: str) -> str | None:
    import tomllib

    try:
        return str(tomllib.loads(text).get("title"))
    except (ValueError, RecursionError):
        return None


def _folder() -> Path:
    return folders.data() / "ledgers"


def _number(place: str) -> tuple[int, int] | None:
    found = folders.about(Path(place))
    return None if found is None else (found[0], found[1])


def name_for(plan: Path) -> str:
    """A name for what is kept of a plan file: readable, and of its place alone."""
    place = os.path.realpath(plan)
    stem = "".join(c if c.isalnum() or c in "-_" else "-" for c in Path(place).stem) or "plan"
    short = stem.encode()[:60].decode("utf-8", "ignore")
    return f"{short}-{digest(os.fsencode(place))[:12]}"


_KNOWN: tuple[tuple[str, int], dict[str, PanelOwner]] | None = None


def _owners() -> dict[str, PanelOwner]:
    """Whose each panel is, the latest knit first; read anew when a file has come to the folder, or gone."""
    global _KNOWN
    folder = _folder()
    try:
        now = (str(folder), folder.stat().st_mtime_ns)
        if _KNOWN is None or _KNOWN[0] != now:
            files = sorted(folder.glob("*.jsonl"), key=os.path.getmtime, reverse=True)
            _KNOWN = now, {file.stem: owner for file in files if (owner := KeptPanel(file.stem).owner())}
    except OSError:
        return {}
    return _KNOWN[1]
