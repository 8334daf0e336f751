"""How crossings went, kept: in the ledger always, in the yarn drawer under the yarn's name where it has one.

A crossing recorded refits the limit of its yarn in the drawer at once. A plan
keeps the limit it has: what the drawer has learnt is offered, and changes moves
only once the knitter has written it into the plan.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from purlside.keep.events import CrossingWent
from purlside.knitting.cursor import Place
from purlside.plan.checked import written
from purlside.plan.plan import Plan
from purlside.plan.problems import Unfit

if TYPE_CHECKING:
    from purlside.ease.calibration import Outcome, Record
    from purlside.keep.drawer import Drawer, KeptYarn
    from purlside.knitting.made import CrossingMade


def suggested(plan: Plan) -> str:
    """That the drawer has learnt another limit for a plan's yarn, in a line; empty where it has not."""
    if plan.yarn.name is None or not any("auto" in cable.eases for cable in plan.cable):
        return ""
    from purlside.keep import drawer

    try:
        found = drawer.offered(plan)
    except (Unfit, OSError) as error:
        return f"Your yarns cannot be read: {str(error).splitlines()[0]}"
    if found is None or not found.changes:
        return ""
    return f"Your crossings suggest reach {found.learnt.value:.2f} in {plan.yarn.name}, the plan has {found.current.value:.2f}"


class Outcomes:
    """The crossings recorded while one plan is open."""

    def __init__(self, plan: Plan, happened: Callable[[CrossingWent], None]) -> None:
        self.plan = plan
        self.happened = happened
        self.name: str | None = plan.yarn.name
        """The yarn of the drawer that learns; None while only the ledger keeps records."""
        self.may_ask = self.name is None
        """Whether to ask for a name: the plan has none, and the knitter has not been asked yet."""
        self._recorded: dict[CrossingMade, tuple[str | None, Record]] = {}

    def of(self, made: CrossingMade) -> Outcome | None:
        """How a crossing was recorded to have gone, since the plan was opened."""
        known = self._recorded.get(made)
        return known[1].outcome if known else None

    def record(self, made: CrossingMade, outcome: Outcome, at: Place) -> str:
        """Keep how a crossing went; recorded again, the later word counts. What is said to the knitter.

        Raises Unfit, OSError: then only the ledger has it.
        """
        from purlside.ease.calibration import MOST_RATIO, Record

        record = Record(min(round(made.ratio, 4), MOST_RATIO), outcome, made.note)
        before = self._recorded.get(made)
        how, yarn = str(made.technique), self.name or ""
        crossing, went = str(made.crossing), outcome.value
        self.happened(CrossingWent(at, made.row, made.name, crossing, made.size, how, record.ratio, went, yarn))
        self._recorded[made] = (None, record)
        said = f"{made.name}, row {made.row}: {outcome}"
        if self.name is None:
            return f"{said}. Kept in the ledger only"
        from purlside.keep import drawer

        mended = drawer.mend()
        kept = self._learn(self.name, record, before[1] if before and before[0] == self.name else None)
        self._recorded[made] = (self.name, record)
        return f"{said}. {kept.name}: your crossings suggest reach {kept.limit.value:.2f}; the plan stays{mended and f'. {mended}'}"

    def _learn(self, name: str, record: Record, instead_of: Record | None) -> KeptYarn:
        from purlside.keep import drawer

        def how(kept: Drawer) -> Drawer:
            if kept.get(name) is None:
                kept = kept.with_yarn(drawer.new_yarn(**kept_values(self.plan, name)))
            return kept.crossed(name, record, instead_of)

        return drawer.change(how).find(name)


def kept_values(plan: Plan, name: str) -> dict[str, Any]:
    """What the drawer keeps of a plan's yarn under a name."""
    return {**written(plan.yarn), "name": name, "pitch_mm": plan.machine.pitch_mm}
