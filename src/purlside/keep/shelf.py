"""The shelf: plans in ./patterns and plans opened before, each with how far it is knit."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from urllib.parse import unquote_to_bytes

from purlside.files import planfile
from purlside.keep import folders, panels
from purlside.keep.damage import read_toml, set_aside
from purlside.keep.folders import alone
from purlside.keep.ledger import entries_backwards
from purlside.knitting.cursor import Place
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.text.counts import counted
from purlside.text.harmless import shown
from purlside.values import Value

PATTERNS = Path("patterns")
MOST_PLANS = 200
"""Plans that are kept in mind, the latest opened first."""


class Shelved(Value):
    """One plan on the shelf; ``reason`` says why it cannot be knit."""

    path: Path
    title: str
    plan: Plan | None = None
    reason: str = ""
    row: int = 0
    """The row in hand; 0 before the first."""
    last: datetime | None = None
    panel: str = ""
    """Which panel of how many, where it is knit again."""
    draft: bool = False
    """Whether there is no file of it, only a draft kept."""

    @property
    def summary(self) -> str:
        """``"40 needles, 420 rows, 1 cable, 59 crossings"``; rows of a panel with parts are those of its length."""
        if self.plan is None:
            return ""
        calendar, cables, parts = Calendar(self.plan), len(self.plan.cable), len(self.plan.part)
        crossings = sum(repeat.of for repeat in calendar.repeats)
        rows = f"{calendar.end:,} rows{f' ({parts} parts)' if parts else ''}"
        return f"{len(self.plan.in_work)} needles, {rows}, {counted(cables, 'cable')}, {counted(crossings, 'crossing')}"

    @property
    def progress(self) -> str:
        if self.plan is None:
            return ""
        return ", ".join(filter(None, (self.panel, self._so_far(self.plan))))

    def _so_far(self, plan: Plan) -> str:
        if not self.row:
            return "not begun"
        calendar = Calendar(plan)
        if self.row > calendar.rows:
            return "finished"
        part = calendar.segment(self.row).part
        return f"row {calendar.fabric_row(self.row):,} of {calendar.end:,}{f', {part}' if part else ''}"


def _file() -> Path:
    return folders.data() / "shelf.toml"


def _kept() -> tuple[list[str], list[str], str]:
    """Paths opened before and paths taken off, and how the file that says so is damaged; empty where it is not."""
    data, damaged = read_toml(_file())
    found = [data.get(key) for key in ("opened", "off")]
    opened, off = ([_place(p) for p in one if isinstance(p, str)] if isinstance(one, list) else [] for one in found)
    return opened, off, damaged


def _place(kept: str) -> str:
    """A path as the system has it; one that is no text is kept as a file's address."""
    return os.fsdecode(unquote_to_bytes(kept.removeprefix("file://"))) if kept.startswith("file://") else kept


def _text(place: str) -> str:
    return place if place.isprintable() else Path(place).as_uri()


def _keep(opened: Iterable[str], off: Iterable[str]) -> None:
    import tomli_w

    lists = {"opened": [*map(_text, opened)][:MOST_PLANS], "off": [*map(_text, off)][-MOST_PLANS:]}
    folders.keep(_file(), tomli_w.dumps(lists).encode())


def mend() -> str:
    """Set what is damaged of the shelf and the drafts aside, keeping what can be told; what to say, empty for nothing."""
    from purlside.keep import unsaved

    return "; ".join(filter(None, (_change(lambda known, off: (known, off)), *unsaved.mend())))


def opened(path: Path, before: str = "") -> None:
    """Put a plan on top of the shelf; where its file was ``before`` it is no more."""
    place = os.path.abspath(path)
    _change(
        lambda known, off: ([place, *(p for p in known if p not in (place, before))], [p for p in off if p != place])
    )


def forget(path: Path) -> None:
    """Take a plan off the shelf; its file and its ledger stay."""
    place = os.path.abspath(path)
    _change(lambda known, off: ([p for p in known if p != place], [*(p for p in off if p != place), place]))


def _change(how: Callable[[list[str], list[str]], tuple[list[str], list[str]]]) -> str:
    """Change the paths opened and those taken off; what is said of a damaged file, which is set aside."""
    said = ""
    with contextlib.suppress(OSError), alone(_file()):
        known, off, damaged = _kept()
        said = set_aside(_file()) if damaged else ""
        if damaged or how(known, off) != (known, off):
            _keep(*how(known, off))
    return said


def plans() -> list[Shelved]:
    """Everything on the shelf: drafts never saved; plans opened before, latest first; then ./patterns by name."""
    from purlside.keep import unsaved

    known, off, _ = _kept()
    nearby = map(os.path.abspath, folders.listed(PATTERNS, "*.toml"))
    places = [p for p in dict.fromkeys([*known, *nearby]) if p not in off]
    drafts = []
    for kept in unsaved.without_file():
        elsewhere = ", in another window now" if unsaved.in_hand(kept) else ""
        why = f"not saved yet, drafted {kept.when:%Y-%m-%d %H:%M}{elsewhere}"
        drafts.append(Shelved(kept.path, shown(kept.plan.title, 200), reason=why, draft=True))
    return [*drafts, *(_shelved(Path(p)) for p in places[:MOST_PLANS] if not any(Path(p) == d.path for d in drafts))]


def _shelved(path: Path) -> Shelved:
    name = shown(path.name)
    try:
        file = planfile.read(path)
    except planfile.Refused as refused:
        first = refused.refusals[0]
        line = f"line {first.line}: " if first.line else ""
        more = len(refused.refusals) - 1
        return Shelved(path, name, reason=f"{line}{first.problem}" + (f" (and {more} more)" if more else ""))
    if faults := file.faults():
        first = faults[0]
        return Shelved(path, file.plan.title, reason=f"line {first.line}: {first.problem}")
    row, last, panel = 0, None, ""
    with contextlib.suppress(OSError, ValueError):
        found = panels.find(path, file).panel
        panel = found.words
        entry = next(entries_backwards(found.ledger), None)
        if entry is not None:
            place = entry.event.at
            row, last = (0 if place == Place(1, 0) else place.row), entry.when
    return Shelved(path, file.plan.title, file.plan, "", row, last, panel)
