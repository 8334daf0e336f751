"""The plan's file while the plan is knit: changed, removed or made unreadable by another program."""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from purlside.files import planfile
from purlside.files.planfile import PlanFile, Refused
from purlside.keep.folders import about
from purlside.shown.callbar import Trouble
from purlside.text.harmless import shown


class Seen(Enum):
    """What became of the file since it was read: in two words, and in full with why it cannot be knit from."""

    AS_OPENED = ("", "")
    CHANGED = ("PLAN CHANGED", "PLAN CHANGED: by another program; still on the old one")
    NOT_KNITTABLE = ("PLAN CHANGED", "PLAN CHANGED: it can't be knit; still on the old one. {}")
    """Changed to what cannot be read, or not be knit."""
    GONE = (
        "PLAN FILE GONE",
        "PLAN FILE GONE: removed or renamed; still on the plan as opened, steps are kept",
    )


class Looked:
    """Whether a file is another one, or longer, than at the last look; at first, than ``last``."""

    def __init__(self, path: Path, last: tuple[int, ...] | None) -> None:
        self.path = path
        self._last = last

    def look(self) -> bool:
        before, self._last = self._last, about(self.path)
        return self._last != before


class Watched:
    """Looks at the file of a plan in hand. The plan in hand stays as it was read, whatever is found.

    ``seen`` is what was found last; ``why`` why the file as it is now cannot be
    knit from. An editor may write a file in pieces, or put another in its place:
    it is judged once it is found the same by two looks. So it is at first: it may
    have been changed after it was read.
    """

    def __init__(self, file: PlanFile) -> None:
        self.file = file
        self.seen = Seen.AS_OPENED
        self.why = ""
        self._last = about(file.path)
        self._judged: tuple[int, ...] | None = ()

    def look(self) -> bool:
        """Look at the file; True where what is seen, or why, is other than before."""
        now, last = about(self.file.path), self._last
        self._last = now
        if now == self._judged or now != last:
            return False
        self._judged = now
        before = self.seen, self.why
        self.seen, self.why = self._judge() if now is not None else (Seen.GONE, "")
        return (self.seen, self.why) != before or self.seen is Seen.CHANGED

    def _judge(self) -> tuple[Seen, str]:
        try:
            text = planfile.read_text(self.file.path)
            if text == self.file.text:
                return Seen.AS_OPENED, ""
            new = PlanFile(self.file.path, text, planfile.parse(text, shown(str(self.file.path), 200)))
        except Refused as refused:
            first = refused.refusals[0]
        else:
            if not (faults := new.faults()):
                return Seen.CHANGED, ""
            first = faults[0]
        return Seen.NOT_KNITTABLE, f"line {first.line}: {first.problem}" if first.line else str(first.problem)

    @property
    def trouble(self) -> Trouble:
        """What is seen, in two words and in full; none where the file is as it was opened."""
        short, full = self.seen.value
        return Trouble(short, full.format(self.why))
