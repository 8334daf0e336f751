"""What can happen to a panel, one class an event: how it is written, read, told and applied.

The ledger holds events and nothing else: what cannot be said as an event
cannot happen. A new kind of event is one class here. ``did`` is its name on
disk, for ever; its fields are written under their own names, one that is as it
is by default not at all, and are read back by their types::

    class YarnJoined(Event):
        did = "yarn joined"
        _says = "yarn joined in row {0.row:,}"
        aside = True
        row: int = 0

``says`` is its line in the ledger as that is read; :meth:`Event.applied` is what
holds of the panel once it has happened, and ``at`` where the knitter stands then.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import field, fields, replace
from typing import Any, ClassVar

from purlside.knitting.cursor import Place
from purlside.knitting.inforce import InForce
from purlside.values import Value


def _number(data: Any) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float):
        raise ValueError("not a number")
    return float(data)


def _whole(data: Any) -> int:
    if isinstance(data, bool) or not isinstance(data, int):
        raise ValueError("not a whole number")
    return data


def _texts(data: Any) -> tuple[str, ...]:
    if not isinstance(data, list):
        raise ValueError("not a list")
    return tuple(map(str, data))


_READ: dict[str, Callable[[Any], Any]] = {
    "str": str,
    "bool": bool,
    "int": _whole,
    "float": _number,
    "tuple[str, ...]": _texts,
    "Place": lambda data: Place.parse(str(data)),
    "InForce": InForce.read,
}
"""How a field is read back, by its type. Each raises ValueError, TypeError or KeyError for anything else."""


EVENTS: dict[str, type[Event]] = {}
"""Every kind of event by its name on disk."""


def _plain(value: Any) -> Any:
    """A field's value as JSON knows it."""
    if isinstance(value, InForce):
        return value.json()
    if isinstance(value, Place):
        return str(value)
    return list(value) if isinstance(value, tuple) else value


class Event(Value):
    """Something that happened, after which the knitter stands at ``at``."""

    did: ClassVar[str] = ""
    aside: ClassVar[bool] = False
    """Whether it takes the knitter nowhere."""
    _says: ClassVar[str] = ""
    """The same with its fields in it, as ``{0.row}``; empty: its name."""

    at: Place
    kept: InForce | None = field(default=None, kw_only=True)
    """All that holds after it, where the line carries that whole: resuming reads no further back."""

    def __init_subclass__(cls, *, kw_only: bool = False) -> None:
        super().__init_subclass__(kw_only=kw_only)
        if cls.did:
            EVENTS[cls.did] = cls

    @property
    def name(self) -> str:
        """Its name on disk."""
        return self.did

    @property
    def says(self) -> str:
        """The line of the ledger, in words."""
        return (self._says or self.did).format(self)

    def applied(self, kept: InForce) -> InForce:
        """What holds once it has happened."""
        return self.kept or kept

    def json(self) -> dict[str, Any]:
        """What is written of it beside its name and place."""
        return {
            one.name.rstrip("_"): _plain(value)
            for one in fields(self)[1:]
            if (value := getattr(self, one.name)) != one.default
        }


# --- going on and back ---------------------------------------------------------


class Forward(Event):
    """The knitter went on, and crossed these cables."""

    cross: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        return self._says + (f", crossed {', '.join(self.cross)}" if self.cross else "")


class StepDone(Forward):
    did = "card"
    _says = "done"


class MoveDone(Forward):
    did = "move"
    _says = "one move"


class StepBack(Event):
    did = "back"
    _says = "one back"


class WentTo(Event):
    did = "go"
    _says = "to row {0.at.row}"


# --- notes, the counter, how a crossing went -------------------------------------


class Noted(Event):
    did = "note"
    _says = "note, row {0._row}: {0.text}"
    aside = True
    row: int | None = None
    """None in old ledgers: the row in hand."""
    text: str = ""

    @property
    def _row(self) -> int:
        return self.at.row if self.row is None else self.row

    def applied(self, kept: InForce) -> InForce:
        return replace(kept, notes=kept.noted([(self._row, self.text)]))


class NoteOff(Event):
    did = "note off"
    _says = "note taken off row {0.row}: {0.text}"
    aside = True
    row: int = 0
    text: str = ""


class CounterRead(Event):
    """The machine's own counter was read, and what it was expected to read."""

    did = "counter"
    _says = "machine's counter reads {0.reads}, {0.expected} expected"
    aside = True
    reads: int = 0
    expected: int | None = None


class CrossingWent(Event):
    """How a crossing went, as the knitter says; ``reach`` is its ratio as estimated."""

    did = "crossing"
    _says = "{0.cable}, row {0.row}: {0.went}"
    aside = True
    row: int = 0
    cable: str = ""
    cross: str = ""
    size: float = 0.0
    technique: str = ""
    reach: float = 0.0
    went: str = ""
    yarn: str = ""


# --- how the knitting differs from the plan ----------------------------------------


class Differs(Event):
    """The knitter said what happened: ``deviations`` as :mod:`purlside.knitting.deviations` writes them."""

    did = "differs"
    from_: Place | None = None
    deviations: tuple[str, ...] = ()
    words: str = ""
    told: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        effects = "; ".join(self.told).replace(":; ", ": ")
        return f"differs: {self.words}" + (f". {effects}" if effects else "")


class TakenBack(Event):
    did = "taken back"
    _says = "taken back: {0.words}"
    from_: Place | None = None
    words: str = ""


class PlanChanged(Event):
    did = "plan changed"
    aside = True
    words: str = ""
    told: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        listed = "; ".join(self.told)
        said = f"knit as the plan was before: {listed}" if listed else self.words
        # What was said at the bedside begins alike.
        return f"the plan was changed; {said.removeprefix('The plan was changed').lstrip(':; ')}"


# --- opening, closing, keeping -----------------------------------------------------


class Opened(Event):
    did = "open"
    plan: str = ""
    title: str = ""
    digest: str = ""
    _says = "opened"


class Snapshot(Event):
    """All that holds, written now and then so that resuming reads the ledger's tail alone."""

    did = "kept"
    aside = True


class Closed(Event):
    did = "close"
    aside = True
    _says = "closed"


class Unknown(Event):
    """What a later Purlside wrote: told by its name, and what it carries is still taken."""

    as_: str = ""
    more: tuple[tuple[str, Any], ...] = ()

    @property
    def name(self) -> str:
        return self.as_

    @property
    def says(self) -> str:
        return self.as_

    def json(self) -> dict[str, Any]:
        return dict(self.more)


def read(did: str, at: Place, data: dict[str, Any]) -> Event:
    """The event that was written under a name, with what belongs to it; what cannot be read is as it is by default."""
    kind, given = EVENTS.get(did, Unknown), {}
    for one in fields(kind)[1:]:
        with contextlib.suppress(KeyError, ValueError, TypeError):
            given[one.name] = _READ[str(one.type).removesuffix(" | None")](data[one.name.rstrip("_")])
    return Unknown(at, did, tuple(data.items()), kept=given.get("kept")) if kind is Unknown else kind(at, **given)
