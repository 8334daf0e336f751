"""Plan files out: a fresh one, or the author's own text with just what changed.

The drafting table keeps plans; when it saves, the text the plan was read from
is changed as little as possible::

    file = planfile.read(path)
    text = rewritten(file.text, plan)                 # comments and the order of keys stay
    mark = save(path, text, digest(file.text))        # refuses if someone else changed the file meanwhile
    save(path, new(plan), None)                       # a new file; refuses if there is one

``changed(text, [Set(("panel", "rows"), 200), Add("cable", {...}), Remove(("band", 0))])``
makes single edits. Every text is read back and compared before it is given out.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import MISSING, fields
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from purlside.files.allowed import dumped, names
from purlside.files.edits import Add, Edit, NotEdited, Remove, Set, edited, pairs_text
from purlside.files.places import Key
from purlside.files.planfile import parse
from purlside.plan.plan import (
    Band,
    Cable,
    Gauge,
    Machine,
    Panel,
    Part,
    Plan,
    PositionLetters,
    Reminder,
    Tools,
    Wanted,
    Yarn,
)

__all__ = [
    "Add",
    "Edit",
    "NotEdited",
    "NotSaved",
    "Remove",
    "Set",
    "changed",
    "digest",
    "edits_for",
    "new",
    "rewritten",
    "save",
]

_BOM = b"\xef\xbb\xbf"
_TABLES: dict[Key, type[Part]] = {
    (): Plan,
    ("machine",): Machine,
    ("machine", "position_letters"): PositionLetters,
    ("tools",): Tools,
    ("yarn",): Yarn,
    ("gauge",): Gauge,
    ("wanted",): Wanted,
    ("panel",): Panel,
    ("cable",): Cable,
    ("band",): Band,
    ("reminder",): Reminder,
}
_LISTS = ("cable", "band", "reminder")


class NotSaved(Exception):
    """A file that was not written, and why; what is on the disk is untouched."""


def changed(text: str, edits: Iterable[Edit]) -> str:
    """A plan's text with edits made, everything else left as it is.

    Raises :class:`NotEdited` if the text cannot be changed so, and
    :class:`purlside.files.planfile.Refused` if it would be no plan any more.
    """
    text = edited(text, edits, _order)
    parse(text, "the edited plan")
    return text


def rewritten(text: str, plan: Plan) -> str:
    """The text changed just so far that it says ``plan``.

    Raises :class:`NotEdited` where the author's way of writing does not allow
    it; :func:`new` then still writes the plan, without the author's comments.
    """
    written = changed(text, edits_for(text, plan))
    if _dump(parse(written, "the edited plan")) != _dump(plan):
        raise NotEdited("the text would not say this plan; write it afresh")
    return written


def new(plan: Plan) -> str:
    """A fresh file: what differs from the defaults, in the usual order."""
    data = _pruned(_dump(plan), ())
    parts = [pairs_text({k: v for k, v in data.items() if k not in _LISTS and not isinstance(v, dict)})]
    for name in _order(()):
        value = data.get(name)
        if isinstance(value, dict):
            parts.append(f"[{name}]\n{pairs_text(value)}")
        elif name in _LISTS:
            parts += [f"[[{name}]]\n{pairs_text(entry)}" for entry in value or []]
    text = "\n".join(parts)
    if _dump(parse(text, "the new plan")) != _dump(plan):
        raise NotEdited("the plan cannot be written as a file")
    return text


# --- what changed -------------------------------------------------------------


def edits_for(text: str, plan: Plan) -> list[Edit]:
    """The edits that make a plan's text say ``plan``. Entries keep their text as far as they stay recognisable."""
    old = parse(text, "the plan")
    return list(_differences(_dump(old), _dump(plan), tomllib.loads(text), ()))


def _differences(old: dict[str, Any], new: dict[str, Any], written: dict[str, Any], key: Key) -> Iterator[Edit]:
    """From ``old`` to ``new``; ``written`` is what of ``old`` stands in the text."""
    for name in [*old, *(n for n in new if n not in old)]:
        at, before, after = (*key, name), old.get(name), new.get(name)
        if before == after:
            continue
        if not key and name in _LISTS:
            yield from _entries(name, before or [], after or [], written.get(name, []))
        elif after is None:
            if name in written:
                yield Remove(at)
        elif name in written and isinstance(before, dict) and isinstance(after, dict):
            yield from _differences(before, after, written[name], at)
        elif name in written and isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
            yield from (Set((*at, i), b) for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b)
        else:
            yield Set(at, _pruned(after, at) if isinstance(after, dict) else after)


def _entries(table: str, old: list[Any], new: list[Any], written: list[Any]) -> Iterator[Edit]:
    """Entries matched by name, or by what they say; from the last to the first, so that numbers stay right."""
    before, after = ([str(e.get("name") or json.dumps(e, sort_keys=True)) for e in entries] for entries in (old, new))
    for kind, a, a_end, b, b_end in reversed(SequenceMatcher(None, before, after, autojunk=False).get_opcodes()):
        both = 0 if kind in ("insert", "delete") else min(a_end - a, b_end - b)
        for i in reversed(range(a + both, a_end)):
            yield Remove((table, i))
        for j in reversed(range(b + both, b_end)):
            yield Add(table, _pruned(new[j], (table, j)), a + both)
        for i, j in reversed(list(zip(range(a, a + both), range(b, b + both), strict=True))):
            yield from _differences(old[i], new[j], written[i], (table, i))


def _dump(plan: Plan) -> dict[str, Any]:
    data: dict[str, Any] = dumped(plan)
    return data


def _kind(key: Key) -> type[Part] | None:
    return _TABLES.get(tuple(part for part in key if isinstance(part, str)))


def _order(key: Key) -> list[str]:
    """The keys of a table in the order they are usually written."""
    kind = _kind(key)
    return list(names(kind)) if kind else []


def _pruned(data: dict[str, Any], key: Key) -> dict[str, Any]:
    """Without what is so anyway, in the usual order."""
    kind = _kind(key)
    if kind is None:
        return data
    kept: dict[str, Any] = {}
    usual = {field.name: field for field in fields(kind)}
    for name in names(kind):
        value = data.get(name)
        if isinstance(value, dict) and _kind((*key, name)):
            value = _pruned(value, (*key, name))
        elif name in _LISTS and not key:
            value = [_pruned(entry, (name, i)) for i, entry in enumerate(value or [])]
        factory = usual[name].default_factory
        default = usual[name].default if factory is MISSING else factory()
        if value is None or value == {} or value == (list(default) if isinstance(default, tuple) else default):
            continue
        kept[name] = value
    return kept


# --- the disk -----------------------------------------------------------------


def digest(text: str) -> str:
    """What tells one text of a file from another."""
    return hashlib.sha256(text.encode()).hexdigest()


def save(path: str | Path, text: str, expected: str | None) -> str:
    """Write a plan's text in one step, and give its digest.

    ``expected`` is the digest of the text the file had when it was read, or
    None for a file that is not there yet. Raises :class:`NotSaved` if the file
    is not as expected or cannot be written, and
    :class:`purlside.files.planfile.Refused` if the text is no plan.
    """
    # A link stays a link: what it leads to is written.
    path = Path(os.path.realpath(path))
    parse(text, path.name)
    before = _on_disk(path)
    if before is None and expected is not None:
        raise NotSaved(f"{path.name} is not there any more; save it under a name of its own")
    if before is not None and expected is None:
        raise NotSaved(f"{path.name} is there already; choose another name")
    if before is not None and hashlib.sha256(before.removeprefix(_BOM)).hexdigest() != expected:
        raise NotSaved(f"{path.name} was changed by someone else meanwhile")
    data = (_BOM if before is not None and before.startswith(_BOM) else b"") + text.encode()
    beside = path.with_name(f".{path.name}.{os.urandom(4).hex()}")
    try:
        _write(beside, data)
        if before is None:
            _appear(beside, path)
        else:
            os.chmod(beside, stat.S_IMODE(path.stat().st_mode))
            os.replace(beside, path)
        _settle(path.parent)
    except FileExistsError:
        raise NotSaved(f"{path.name} is there already; choose another name") from None
    except OSError as error:
        raise NotSaved(f"{path.name} cannot be written: {error.strerror or error}") from None
    finally:
        with contextlib.suppress(OSError):
            beside.unlink()
    return digest(text)


def _on_disk(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise NotSaved(f"{path.name} cannot be read: {error.strerror or error}") from None


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _appear(beside: Path, path: Path) -> None:
    """Give a new file its name. Raises FileExistsError where a file has come meanwhile."""
    try:
        # A link fails there; a rename would replace it.
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:
        # Some disks have no links.
        path.open("xb").close()
        os.replace(beside, path)


def _settle(folder: Path) -> None:
    """Make the new name last through a power cut, where the system allows it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
