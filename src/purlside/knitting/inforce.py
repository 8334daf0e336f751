"""What a snapshot in the ledger carries, so that resuming reads the ledger's tail alone."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from purlside.knitting.cursor import Place
from purlside.knitting.deviations import Deviation, parse
from purlside.values import Value

MOST_NOTES = 5000
"""Pinned notes that are carried on; older ones stay in the ledger, and are no longer shown."""

MOST_UNDONE = 8
"""Things said that can be taken back, one after the other."""


NO_NOTE = "-"
"""Written as a note, it takes the row's last note off."""


def pinned(text: str, row: int, rows: int) -> tuple[int, str]:
    """A note and the row it belongs to: row ``row``, or begun as ``"30: text"`` row 30. Raises ValueError.

    ``"12:30 tea"`` is a time of day, not row 12.
    """
    found = re.match(r"([0-9]+): *(?=\S)(?!(?<=:)[0-9]{2}(?![0-9]))", text)
    if found is None:
        return row, text
    number = found[1].lstrip("0")
    if not number or len(number) > 9 or int(number) > rows:
        raise ValueError(f"there is no row {found[1][:12]}; allowed: 1 to {rows:,}")
    return int(number), text[found.end() :]


class Said(Value):
    """One thing that was said, with all it takes to take it back."""

    words: str
    before: tuple[Deviation, ...]
    """What held before."""
    from_: Place
    to: Place
    unclicked: int = 0
    """Clicks the machine's counter was left ahead by when rows were ripped out."""

    def json(self) -> dict[str, Any]:
        held = {"words": self.words, "said": list(map(str, self.before)), "from": str(self.from_), "to": str(self.to)}
        return {**held, **({"unclicked": self.unclicked} if self.unclicked else {})}

    @classmethod
    def read(cls, data: Any) -> Said:
        """Raises ValueError, TypeError, KeyError."""
        places = Place.parse(data["from"]), Place.parse(data["to"])
        return cls(str(data["words"]), _deviations(data["said"]), *places, int(data.get("unclicked", 0)))

    def place(self, now: Place) -> Place:
        """Where the place in hand is once this is taken back."""
        if now == self.to:
            return self.from_
        shift = self.from_.row - self.to.row
        if now.row >= self.to.row:
            return Place(max(1, now.row + shift), now.done)
        return now if now.row <= self.from_.row else Place(self.from_.row, 0)


class InForce(Value):
    """Deviations in force, what can be taken back, notes by row, what the machine's counter is ahead by."""

    said: tuple[Deviation, ...] = ()
    undo: tuple[Said, ...] = ()
    notes: tuple[tuple[int, str], ...] = ()
    counter_ahead: int = 0
    sure: tuple[int, int] = (0, 0)
    """How many fewer and more clicks there may have been when the counter was last read: it was known then."""

    def json(self) -> dict[str, Any]:
        return {
            "said": list(map(str, self.said)),
            "undo": [said.json() for said in self.undo],
            "notes": [list(note) for note in self.notes],
            "counter": self.counter_ahead,
            "counter_sure": list(self.sure),
        }

    @classmethod
    def read(cls, data: Any) -> InForce:
        """Raises ValueError for what is not a snapshot."""
        try:
            notes = tuple((int(row), str(text)) for row, text in data.get("notes", ()))
            undo = tuple(map(Said.read, data.get("undo", ())))
            fewer, more = map(int, data.get("counter_sure", (0, 0)))
            return cls(_deviations(data.get("said", ())), undo, notes, int(data.get("counter", 0)), (fewer, more))
        except (TypeError, KeyError, AttributeError, OverflowError) as error:
            raise ValueError(f"not a snapshot: {error}") from None

    def noted(self, notes: Iterable[tuple[int, str]]) -> tuple[tuple[int, str], ...]:
        """The notes with more, the oldest left out."""
        return (*self.notes, *notes)[-MOST_NOTES:]

    def without_note(self, row: int) -> tuple[str | None, tuple[tuple[int, str], ...]]:
        """The last note of a row, None if it has none, and the notes without it."""
        last = max((i for i, (at, _) in enumerate(self.notes) if at == row), default=None)
        if last is None:
            return None, self.notes
        return self.notes[last][1], (*self.notes[:last], *self.notes[last + 1 :])


def _deviations(lines: Iterable[Any]) -> tuple[Deviation, ...]:
    return tuple(parse(str(line)) for line in lines)
