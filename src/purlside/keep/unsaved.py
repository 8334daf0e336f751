"""Drafts not saved yet, kept beside the other kept data: what a designer did outlives a killed program.

A draft is kept whole and all at once, never in the author's file. It is there
from the first change until it is saved or dropped::

    keep(Unsaved(path, now, plan, typed, selected, base, source))
    found = find(path)          # None where there is none, or none that can be read
    drop(path)
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from purlside.allowed import dumped
from purlside.draft import fields
from purlside.keep import folders
from purlside.places import Key
from purlside.plan import Plan
from purlside.planfile import Refused, parse


@dataclass(frozen=True, slots=True)
class Unsaved:
    """A draft of the plan file at ``path``, as it was at ``when``.

    ``base`` is the digest of the text the file had then, None where there was
    no file; ``source`` the text a copy was made of; ``typed`` the texts of
    fields that could not be taken in.
    """

    path: Path
    when: datetime
    plan: Plan
    typed: Mapping[Key, str] = field(default_factory=dict)
    selected: int | None = None
    base: str | None = None
    source: str | None = None


def folder() -> Path:
    """Where drafts are kept."""
    return folders.data() / "drafts"


def file_for(path: Path) -> Path:
    """The file in which the draft of a plan file is kept."""
    return folder() / folders.ledger_for(path).with_suffix(".json").name


def keep(draft: Unsaved) -> tuple[int, ...] | None:
    """Keep a draft instead of the one kept before; killed meanwhile, one of the two is there. Raises OSError.

    It is not waited for until the disk has it: see :func:`settle`. What is
    given back tells this draft from one that another window keeps of the same plan.
    """
    data = {
        "t": draft.when.isoformat(timespec="seconds"),
        "path": os.path.abspath(draft.path),
        "plan": dumped(draft.plan),
        "typed": [[list(key), text] for key, text in draft.typed.items()],
        "selected": draft.selected,
        "base": draft.base,
        "source": draft.source,
    }
    file = file_for(draft.path)
    folders.write_soon(file, json.dumps(data).encode())
    return folders.about(file)


def settle(path: Path) -> None:
    """Bring what is kept to the disk, so that it outlives a power cut; may wait for the disk."""
    for place in (file_for(path), folder()):
        with contextlib.suppress(OSError):
            handle = os.open(place, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def drop(path: Path, own: tuple[int, ...] | None = None) -> None:
    """The draft of a plan file is saved, or not wanted. One that is not the ``own`` that was kept stays."""
    file = file_for(path)
    if own is not None and folders.about(file) != own:
        return
    with contextlib.suppress(OSError):
        file.unlink(missing_ok=True)


def find(path: Path) -> Unsaved | None:
    """The draft kept of a plan file."""
    return _read(file_for(path))


def without_file() -> Iterator[Unsaved]:
    """Drafts of plans that were never saved, or whose file is gone; the latest first."""
    found = []
    with contextlib.suppress(OSError):
        found = [kept for file in folder().glob("*.json") if (kept := _read(file)) and not _is_there(kept.path)]
    yield from sorted(found, key=lambda kept: kept.when, reverse=True)


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        # No name that a file can have here.
        return False


def _read(file: Path) -> Unsaved | None:
    try:
        data = json.loads(file.read_bytes())
        plan = _plan(data["plan"])
        selected = data["selected"]
        return Unsaved(
            Path(str(data["path"])),
            datetime.fromisoformat(data["t"]).astimezone(),
            plan,
            {key: str(text) for names, text in data["typed"] if names and fields.field(plan, key := tuple(names))},
            selected if isinstance(selected, int) and 0 <= selected < len(plan.cable) else None,
            _text(data["base"]),
            _text(data["source"]),
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError, Refused):
        return None


def _plan(values: dict[str, Any]) -> Plan:
    import tomli_w

    return parse(tomli_w.dumps(values), "the draft kept")


def _text(value: Any) -> str | None:
    return None if value is None else str(value)
