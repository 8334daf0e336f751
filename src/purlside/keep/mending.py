"""A plan file that cannot be read, mended line by line until it can; the file is written only then.

mending = Mending(path)
mending.refusals               # why it cannot be read, each with its line
mending.put('title = "Jetty"') # the line in hand, written anew
mending.plan                   # None until it can be read
mending.save()

Lines mended and not yet written are kept aside: killed, the program goes on with them the next time.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Sequence
from pathlib import Path

from purlside.files import planwriting
from purlside.files.planfile import PlanFile, Refusal, Refused, parse, read_text
from purlside.files.whole import digest
from purlside.keep import folders
from purlside.plan.plan import Plan
from purlside.text.harmless import shown

LONGEST = 2_000
"""Characters of a line that can be mended here. Ours: a screen shows no more."""

MISSING = "nothing"
"""What is found of a key that is not there."""


class Mending:
    """A plan's text, and the line in hand. Raises :class:`purlside.files.planfile.Refused` if the file holds no text."""

    def __init__(self, path: Path, *, copy: bool = False) -> None:
        """``copy`` leaves the file as it is: only the text is mended."""
        self.path, self.copy = path, copy
        self._read = read_text(path)
        place = hashlib.sha256(os.fsencode(os.path.realpath(path)) + bytes([copy])).hexdigest()[:16]
        self._aside = folders.data() / "mending" / f"{place}.json"
        before = self._kept()
        self.taken_up = before is not None
        """Whether it goes on with lines that were mended before, and not written."""
        self.lines = (self._read if before is None else before).split("\n")
        self.at = 0
        self.plan: Plan | None = None
        self.refusals: Sequence[Refusal] = ()
        self._judge()
        self.go_to_trouble()

    @property
    def line(self) -> str:
        """The line in hand, as it can be typed: without what is no character."""
        return shown(self.lines[self.at].rstrip("\r").replace("\t", "    "), LONGEST + 1)

    @property
    def too_long(self) -> bool:
        return len(self.lines[self.at]) > LONGEST

    def wrong(self, at: int) -> bool:
        """Whether something is wrong with a line, counted from 0."""
        return any(refusal.line == at + 1 for refusal in self.refusals)

    def go(self, at: int) -> None:
        self.at = max(0, min(at, len(self.lines) - 1))

    def go_to_trouble(self) -> None:
        """Take the first line in hand with which something is wrong; one that stands there before one that is missing."""
        found = [(r.problem.found == MISSING, r.line) for r in self.refusals if r.line]
        if self.refusals:
            self.go(min(found, default=(False, 1))[1] - 1)

    def put(self, line: str) -> None:
        """Write the line in hand anew."""
        if line != self.line:
            self.lines[self.at] = line + ("\r" if self.lines[self.at].endswith("\r") else "")
            self._keep()

    def add(self) -> None:
        """A new line below the one in hand, begun with the key that is missing there."""
        keys = [r.problem.key for r in self.refusals if r.problem.found == MISSING and r.line == self.at + 1]
        begun = f"{keys[0][-1]} = " if keys else ""
        self.lines.insert(self.at + 1, begun + ("\r" if self.lines[self.at].endswith("\r") else ""))
        self.at += 1
        self._keep()

    def take_out(self) -> None:
        """Take the line in hand out."""
        del self.lines[self.at]
        self.lines = self.lines or [""]
        self.go(self.at)
        self._keep()

    @property
    def changed(self) -> bool:
        return self._text != self._read

    @property
    def _text(self) -> str:
        return "\n".join(self.lines)

    def _kept(self) -> str | None:
        """What was mended of the file as it is now, and not written; None where nothing was."""
        same = digest(self._read)
        return folders.read_json(self._aside, lambda kept: str(kept["text"]) if kept["of"] == same else None, None)

    def _keep(self) -> None:
        self._judge()
        kept = {"of": digest(self._read), "text": self._text}
        with contextlib.suppress(OSError):
            folders.keep(self._aside, json.dumps(kept).encode())

    def forget(self) -> None:
        """Keep nothing of it aside: it is written, or was left as it is."""
        with contextlib.suppress(OSError):
            self._aside.unlink()

    def _judge(self) -> None:
        try:
            self.plan, self.refusals = parse(self._text, shown(self.path.name)), ()
        except Refused as refused:
            self.plan, self.refusals = None, refused.refusals

    def save(self) -> PlanFile:
        """The plan with its text as it was mended, the file too. Raises :class:`purlside.files.planwriting.NotSaved`."""
        assert self.plan is not None
        if self.changed and not self.copy:
            planwriting.save(self.path, self._text, digest(self._read))
        self.forget()
        return PlanFile(self.path, self._text, self.plan)
