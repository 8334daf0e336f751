"""Plan files out: a fresh one, or the author's own text with just what changed.

The drafting table keeps plans; when it saves, the text the plan was read from
is changed as little as possible::

    file = planfile.read(path)
    text = rewritten(file.text, plan)                 # comments and the order of keys stay
    mark = save(path, text, digest(file.text))        # refuses if someone else changed the file meanwhile
    save(path, new(plan), None)                       # a new file; refuses if there is one

Every text is read back and compared before it is given out.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from purlside.files.edits import Add, Edit, NotEdited, Remove, Set, edited, pairs_text
from purlside.files.places import Key
from purlside.files.planfile import parse
from purlside.files.whole import digest, read_whole, write_whole
from purlside.plan.checked import Checked, Entries, kinds, table, written
from purlside.plan.plan import Plan

_BOM = b"\xef\xbb\xbf"
_LISTS = tuple(name for name, allowed in kinds(Plan).items() if isinstance(allowed, Entries))


class NotSaved(Exception):
    """A file that was not written, and why; what is on the disk is untouched."""


def rewritten(text: str, plan: Plan) -> str:
    """The text changed just so far that it says ``plan``.

    Raises :class:`NotEdited` where the author's way of writing does not allow
    it; :func:`new` then still writes the plan, without the author's comments.
    """
    edits = _differences(parse(text, "the plan"), plan, tomllib.loads(text), ())
    new_text = edited(text, edits, _order)
    if parse(new_text, "the edited plan") != plan:
        raise NotEdited("the text would not say this plan; write it afresh")
    return new_text


def updated(text: str, plan: Plan) -> str:
    """The text so changed where its author's way of writing allows it; else written afresh."""
    try:
        return rewritten(text, plan)
    except NotEdited:
        return new(plan)


def new(plan: Plan) -> str:
    """A fresh file: what differs from the defaults, in the usual order."""
    data = written(plan)
    parts = [pairs_text({k: v for k, v in data.items() if k not in _LISTS and not isinstance(v, dict)})]
    for name, value in data.items():
        if isinstance(value, dict):
            parts.append(f"[{name}]\n{pairs_text(value)}")
        elif name in _LISTS:
            parts += [f"[[{name}]]\n{pairs_text(entry)}" for entry in value]
    text = "\n".join(parts)
    if parse(text, "the new plan") != plan:
        raise NotEdited("the plan cannot be written as a file")
    return text


# --- what changed -------------------------------------------------------------


def _differences(old: Checked, new: Checked, stands: dict[str, Any], key: Key) -> Iterator[Edit]:
    """From one table to another; ``stands`` is what of the old one stands in the text."""
    before, after, short = written(old, defaults=True), written(new, defaults=True), written(new)
    for name in kinds(type(new)):
        at, was, now = (*key, name), before.get(name), after.get(name)
        if was == now:
            continue
        if name in _LISTS and not key:
            yield from _entries(name, getattr(old, name), getattr(new, name), stands.get(name, []))
        elif now is None:
            if name in stands:
                yield Remove(at)
        elif name in stands and isinstance(held := getattr(old, name), Checked):
            yield from _differences(held, getattr(new, name), stands[name], at)
        elif name in stands and isinstance(was, dict):
            yield from (Remove((*at, each)) for each in was if each not in now)
            yield from (Set((*at, each), value) for each, value in now.items() if was.get(each) != value)
        elif name in stands and isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
            yield from (Set((*at, i), b) for i, (a, b) in enumerate(zip(was, now, strict=True)) if a != b)
        else:
            yield Set(at, short.get(name, {}) if isinstance(now, dict) else now)


def _entries(name: str, old: Sequence[Checked], new: Sequence[Checked], stands: list[Any]) -> Iterator[Edit]:
    """Entries matched by name, or by what they say; from the last to the first, so that numbers stay right."""
    before, after = ([getattr(entry, "name", entry) for entry in entries] for entries in (old, new))
    steps = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    if len(before) == len(after) and set(before) == set(after):
        # Names that change places, as in a mirror: each entry stays where it stands, with its comments.
        steps = [("replace", 0, len(before), 0, len(after))]
    for kind, a, a_end, b, b_end in reversed(steps):
        both = 0 if kind in ("insert", "delete") else min(a_end - a, b_end - b)
        for i in reversed(range(a + both, a_end)):
            yield Remove((name, i))
        for j in reversed(range(b + both, b_end)):
            yield Add(name, written(new[j]), a + both)
        for i, j in reversed(list(zip(range(a, a + both), range(b, b + both), strict=True))):
            yield from _differences(old[i], new[j], stands[i], (name, i))


def _order(key: Key) -> list[str]:
    """The keys of a table in the order they are usually written."""
    kind: type[Checked] | None = Plan
    for part in key:
        if isinstance(part, str) and kind is not None:
            kind = table(kind, part)
    return list(kinds(kind)) if kind else []


# --- the disk -----------------------------------------------------------------


def digest_of(path: str | Path) -> str | None:
    """The digest of the text a file has now; None where there is no file. Raises :class:`NotSaved`."""
    return _digest(_on_disk(Path(os.path.realpath(path))))


def _digest(data: bytes | None) -> str | None:
    return None if data is None else digest(data.removeprefix(_BOM))


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
    if before is not None and _digest(before) != expected:
        raise NotSaved(f"{path.name} was changed by someone else meanwhile")
    if not path.parent.is_dir():
        raise NotSaved(f"{path.name} cannot be written: its folder is not there")
    data = (_BOM if before is not None and before.startswith(_BOM) else b"") + text.encode()
    try:
        write_whole(path, data, new=before is None)
    except FileExistsError:
        raise NotSaved(f"{path.name} is there already; choose another name") from None
    except OSError as error:
        raise NotSaved(f"{path.name} cannot be written: {error.strerror or error}") from None
    return digest(text)


def _on_disk(path: Path) -> bytes | None:
    try:
        return read_whole(path)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise NotSaved(f"{path.name} cannot be read: {error.strerror or error}") from None
