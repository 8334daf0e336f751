"""Drafts not saved yet, kept beside the other kept data: what a designer did outlives a killed program.

A draft is kept whole and all at once, never in the author's file. It is there
from the first change until it is saved or dropped. Each window keeps its own,
in a file that is locked while the window lives::

    keeping = Keeping.new(path)
    keeping.keep(Unsaved(path, now, state, base, source), history)
    found = left(path)          # what no window has in hand, the latest first
    keeping = take(found[0])    # now this window's
    keeping.drop()
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from datetime import datetime
from pathlib import Path
from typing import Any

from purlside.draft import fields
from purlside.draft.history import DraftStep, History, State
from purlside.files.tables import checked
from purlside.files.whole import PRIVATE, read_whole, settle
from purlside.keep import folders, panels
from purlside.keep.damage import MOST_BYTES, read_json, set_aside
from purlside.keep.folders import Lock, lock
from purlside.plan.checked import written
from purlside.plan.plan import Plan
from purlside.plan.problems import Unfit
from purlside.values import Value

MOST_KEPT = 60_000
"""Bytes of steps kept with a draft, the latest ones: written at each change, they must not hold up a key. Ours."""

CLAIMING = 0.2
"""Seconds to try for a place while other windows look whether it is anybody's."""


class Unsaved(Value):
    """A draft of the plan file at ``path``, as it was at ``when``.

    ``base`` is the digest of the text the file had then, None where there was
    no file; ``source`` the text a copy was made of.
    """

    path: Path
    when: datetime
    state: State
    base: str | None = None
    source: str | None = None
    file: Path | None = None
    """Where it is kept, if it is."""
    cut: bool = False
    """Whether what is kept was damaged: it goes as far as it could be read."""
    _data: Mapping[str, Any] = field(default_factory=dict, repr=False, compare=False)

    @property
    def plan(self) -> Plan:
        return self.state.plan

    def history(self) -> History:
        """The steps kept with it; none where they cannot be read. Each is a plan to be checked: for the one taken up."""
        try:
            states = [_state(data) for data in self._data["states"]]
            steps = [
                DraftStep(str(words), states[before], states[after]) for words, before, after in self._data["steps"]
            ]
            return History(steps, int(self._data["at"]))
        except folders.UNREADABLE:
            return History()


def folder() -> Path:
    """Where drafts are kept."""
    return folders.data() / "drafts"


class Taken(Exception):
    """Another window has the draft in hand."""


class Keeping:
    """Where one window keeps one draft; no other window takes it while this one lives."""

    def __init__(self, file: Path, handle: int | None) -> None:
        self.file, self._handle = file, handle
        self._texts: dict[int, tuple[State, str]] = {}
        """What states of a history are as text, by their identity: each is written again at each change."""

    @classmethod
    def new(cls, path: Path) -> Keeping:
        """A place of its own for the draft of a plan file. Raises OSError."""
        file = folder() / f"{panels.name_for(path)}.{os.urandom(4).hex()}.json"
        folder().mkdir(parents=True, exist_ok=True)
        return cls(file, _claimed(file))

    def keep(self, draft: Unsaved, history: History) -> None:
        """Keep a draft instead of the one kept before; killed meanwhile, one of the two is there. Raises OSError.

        It is not waited for until the disk has it: see :meth:`settle`.
        """
        steps, states = self._steps(history.steps)
        at = max(0, history.at - (len(history.steps) - len(steps)))
        when, path = draft.when.isoformat(timespec="microseconds"), os.path.abspath(draft.path)
        whole = {"t": when, "path": path, **_state_data(draft.state), "base": draft.base, "source": draft.source}
        text = json.dumps({**whole, "steps": steps, "at": at})
        folders.keep(self.file, f'{text[:-1]}, "states": [{", ".join(states)}]}}'.encode(), settled=False)

    def _steps(self, steps: Sequence[DraftStep]) -> tuple[list[tuple[str, int, int]], list[str]]:
        """The latest steps as far as there is room: their words, and the numbers of the states before and after."""
        known, texts = self._texts.copy(), self._texts
        texts.clear()
        numbers: dict[int, int] = {}
        kept: list[tuple[str, int, int]] = []
        room = MOST_KEPT
        for step in reversed(steps):
            for state in (step.after, step.before):
                if id(state) not in numbers:
                    numbers[id(state)] = len(numbers)
                    found = known.get(id(state)) or (state, json.dumps(_state_data(state)))
                    texts[id(state)] = found
                    room -= len(found[1])
            if room < 0:
                break
            kept.append((step.words, numbers[id(step.before)], numbers[id(step.after)]))
        return kept[::-1], [text for _, text in texts.values()]

    def settle(self) -> None:
        """Bring what is kept to the disk, so that it outlives a power cut; may wait for the disk."""
        settle(self.file)
        settle(self.file.parent)

    def drop(self) -> None:
        """The draft is saved, or not wanted."""
        for file in (self.file, _lock(self.file)):
            with contextlib.suppress(OSError):
                file.unlink(missing_ok=True)
        self.let_go()

    def let_go(self) -> None:
        """Leave what is kept to whoever asks for it, as when the window ends."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


def left(path: Path) -> list[Unsaved]:
    """The drafts of a plan file that no window has in hand, the latest first."""
    return [kept for kept in every(path) if not in_hand(kept)]


def every(path: Path) -> list[Unsaved]:
    """The drafts kept of a plan file, in hand in a window or not, the latest first."""
    return _latest_first(_files(path))


def any_of(path: Path) -> bool:
    """Whether a draft of a plan file is kept."""
    return any(True for _ in _files(path))


def in_hand(kept: Unsaved) -> bool:
    """Whether a window that lives has a draft in hand, this one or another."""
    if kept.file is None:
        return False
    try:
        handle = os.open(_lock(kept.file), os.O_RDWR)
    except OSError:
        return False
    try:
        # Shared: two windows that look at the same time do not take each other for its owner.
        return lock(handle, shared=True) is Lock.TAKEN
    finally:
        os.close(handle)


def take(kept: Unsaved) -> Keeping:
    """Take a draft in hand. Raises Taken if another window has it, or it is kept no more, and OSError."""
    assert kept.file is not None
    handle = _claimed(kept.file)
    keeping = Keeping(kept.file, handle)
    if not os.path.exists(kept.file):
        keeping.drop()
        raise Taken
    return keeping


def drop(kept: Unsaved) -> None:
    """A draft is not wanted; one that another window has in hand stays."""
    with contextlib.suppress(Taken, OSError):
        take(kept).drop()


def without_file() -> list[Unsaved]:
    """The latest draft of each plan that was never saved, or whose file is gone; the latest first."""
    found: dict[Path, Unsaved] = {}
    for kept in _latest_first(folders.listed(folder(), "*.json")):
        if not os.path.exists(kept.path):
            found.setdefault(kept.path, kept)
    return list(found.values())


def _files(path: Path) -> Iterable[Path]:
    name = panels.name_for(path)
    return (file for file in folders.listed(folder(), f"{name}*.json") if file.name.split(".")[0] == name)


def _lock(file: Path) -> Path:
    return file.with_suffix(".lock")


def _claimed(file: Path) -> int | None:
    """The lock of a place, held until it is let go or the program ends; None where there are no locks.

    Raises Taken if another window holds it.
    """
    handle = os.open(_lock(file), os.O_RDWR | os.O_CREAT, PRIVATE)
    until = time.monotonic() + CLAIMING
    while (asked := lock(handle)) is Lock.TAKEN:
        if time.monotonic() > until:
            os.close(handle)
            raise Taken
        time.sleep(0.01)
    if asked is Lock.NONE:
        # What is kept on a disk without locks counts as left.
        os.close(handle)
        return None
    return handle


def _latest_first(files: Iterable[Path]) -> list[Unsaved]:
    return sorted(filter(None, map(_read, files)), key=lambda kept: kept.when, reverse=True)


def _state_data(state: State) -> dict[str, Any]:
    typed = [[list(key), text] for key, text in state.typed.items()]
    return {"plan": written(state.plan), "typed": typed, "selected": state.selected}


def _read(file: Path) -> Unsaved | None:
    try:
        data, cut = read_json(read_whole(file, MOST_BYTES))
        state = _state(data)
        when = datetime.fromisoformat(data["t"]).astimezone()
        base, source = (None if data.get(key) is None else str(data[key]) for key in ("base", "source"))
        path = Path(str(data["path"]))
    except folders.UNREADABLE:
        return None
    return Unsaved(path, when, state, base, source, file, cut, data)


def mend() -> list[str]:
    """Set drafts aside of which nothing can be told; what to say of each."""
    files = [file for file in folders.listed(folder(), "*.json") if _read(file) is None]
    return [set_aside(file) for file in files if os.path.exists(file)]


def _state(data: Mapping[str, Any]) -> State:
    plan, selected = _plan(data["plan"]), data.get("selected")
    return State(
        plan,
        {key: str(text) for names, text in data.get("typed", ()) if names and fields.field(plan, key := tuple(names))},
        selected if isinstance(selected, int) and 0 <= selected < len(plan.cable) else None,
    )


def _plan(data: Any) -> Plan:
    """A plan, without the last cables and bands of one that was cut. Raises Unfit."""
    while True:
        try:
            return checked(Plan, data)
        except Unfit as unfit:
            last = {problem.key[:2] for problem in unfit.problems}
            if len(last) > 1 or not (key := last.pop()) or not isinstance(data.get(key[0]), list):
                raise
            if len(key) < 2 or key[1] != len(data[key[0]]) - 1:
                raise
            data = {**data, key[0]: data[key[0]][:-1]}
