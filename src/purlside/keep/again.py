"""Knit again: the second front, the second sleeve, each a panel with a ledger of its own."""

from __future__ import annotations

from enum import StrEnum

from purlside.files.planfile import PlanFile, parse
from purlside.files.planwriting import save, updated
from purlside.files.whole import digest
from purlside.keep import panels
from purlside.keep.events import Opened
from purlside.keep.knitfrom import read, write
from purlside.keep.ledger import Ledger
from purlside.keep.resuming import resume
from purlside.knitting.accidents import Accident
from purlside.knitting.cursor import Place
from purlside.knitting.deviations import Deviation, OtherSide
from purlside.knitting.inforce import InForce


class As(StrEnum):
    """How a panel is knit again; the value is its key, ``words`` what the knitter reads."""

    PLANNED = "p"
    KNIT = "a"
    MIRRORED = "m"

    @property
    def words(self) -> str:
        return {
            As.PLANNED: "as planned",
            As.KNIT: "as you really knit it: rows too many, crossings made late or left out, sizes",
            As.MIRRORED: "mirrored, as a plan of its own",
        }[self]


def begin(file: PlanFile, how: As) -> PlanFile:
    """Begin another panel of a plan; the plan it is knit from. Raises OSError, NotSaved.

    What befell the bed and what was put right is left out; so is the side the
    carriage was said to stand on: this panel has rows of its own.
    """
    if how is As.MIRRORED:
        return _mirrored(file)
    before = panels.of(file.path)
    panel = before.again
    said: tuple[Deviation, ...] = ()
    if how is As.KNIT:
        told = resume(before.ledger).in_force.said
        said = tuple(one for one in told if not isinstance(one, Accident | OtherSide))
        if texts := read(before.ledger):
            write(panel.ledger, texts)
    panel.belongs_to(file)
    ledger = Ledger(panel.ledger)
    place = str(file.path.absolute())
    ledger.append(Opened(Place(1, 0), place, file.plan.title, digest(file.text)[:16], kept=InForce(said=said)))
    ledger.close()
    return file


def _mirrored(file: PlanFile) -> PlanFile:
    from purlside.keep.draftfile import free_path
    from purlside.plan.mirror import mirrored

    plan = mirrored(file.plan)
    path = free_path(file.path.parent, plan.title)
    text = updated(file.text, plan)
    save(path, text, None)
    return PlanFile(path, text, parse(text, path.name))
