"""How crossings went, kept: in the ledger always, in the yarn drawer under the yarn's name where it has one.

A crossing recorded refits the limit of its yarn in the drawer at once. A plan
that is open keeps the limit it was opened with, so that no row in hand changes
under the knitter; the refitted limit counts from the next opening. Opened in
the middle of a row, the plan keeps the earlier limit once more: the moves made
and the moves to come are of one row.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from purlside.ease.calibration import MOST_RATIO, Outcome, Record
from purlside.ease.fibres import Limit
from purlside.keep.events import CrossingWent, Opened
from purlside.keep.ledger import entries_backwards

if TYPE_CHECKING:
    from purlside.keep.drawer import Drawer, KeptYarn
    from purlside.knitting.cursor import Place
    from purlside.knitting.made import Made
    from purlside.plan.plan import Plan

_SAME = 1e-9
"""Limits this close are one."""


def opening_limit(plan: Plan, ledger: Path, place: Place | None) -> tuple[Limit | None, str]:
    """The reach limit a plan is opened with (None: its fibre's), and what the knitter should know of it."""
    if plan.yarn.name is None:
        return None, ""
    from purlside.keep import drawer

    begun, before = _limit_before(ledger)
    inside = place is not None and place.done > 0 and begun
    kept = None if before is None else Limit(before, f"{plan.yarn.name}'s limit when this row was begun")
    try:
        now = drawer.known_limit(plan)
    except (drawer.DrawerRefused, OSError) as error:
        said = f"The yarn drawer cannot be read; {'the limit stays' if begun else 'reach is judged by the fibre'}"
        return kept, f"{said}: {str(error).splitlines()[0]}"
    chooses = any("auto" in cable.eases for cable in plan.cable)
    if not begun or not chooses or _same(before, now):
        return now, ""
    was, becomes = _words(before), _words(now.value if now else None)
    change = f"Reach limit of {plan.yarn.name}: {becomes}"
    if inside:
        return kept, f"{change} next time; the row in hand keeps {was}"
    return now, f"{change} from here on, {was} before"


def _words(limit: float | None) -> str:
    return "the fibre's" if limit is None else f"{limit:.2f}"


def _same(before: float | None, now: Limit | None) -> bool:
    if before is None or now is None:
        return before is None and now is None
    return abs(now.value - before) < _SAME


def _limit_before(ledger: Path) -> tuple[bool, float | None]:
    """Whether the plan was open before, and the limit it was opened with last."""
    try:
        for entry in entries_backwards(ledger):
            if isinstance(entry.event, Opened):
                value = entry.event.limit
                return True, value if value is not None and 0 < value <= MOST_RATIO else None
    except OSError:
        pass
    return False, None


class Outcomes:
    """The crossings recorded while one plan is open."""

    def __init__(self, plan: Plan, happened: Callable[[CrossingWent], None]) -> None:
        self.plan = plan
        self.happened = happened
        self.name: str | None = plan.yarn.name
        """The yarn of the drawer that learns; None while only the ledger keeps records."""
        self.may_ask = self.name is None
        """Whether to ask for a name: the plan has none, and the knitter has not been asked yet."""
        self._recorded: dict[Made, tuple[str | None, Record]] = {}

    def of(self, made: Made) -> Outcome | None:
        """How a crossing was recorded to have gone, since the plan was opened."""
        known = self._recorded.get(made)
        return known[1].outcome if known else None

    def record(self, made: Made, outcome: Outcome, at: Place) -> str:
        """Keep how a crossing went; recorded again, the later word counts. What is said to the knitter.

        Raises DrawerRefused, OSError: then only the ledger has it.
        """
        record = Record(min(round(made.ratio, 4), MOST_RATIO), outcome, made.note)
        before = self._recorded.get(made)
        self.happened(
            CrossingWent(
                at,
                row=made.row,
                cable=made.name,
                cross=str(made.crossing),
                size=made.size,
                technique=str(made.technique),
                reach=record.ratio,
                went=outcome.value,
                yarn=self.name or "",
            )
        )
        self._recorded[made] = (None, record)
        said = f"{made.name}, row {made.row}: {outcome}"
        if self.name is None:
            return f"{said}. Kept in the ledger only"
        yarn = self._learn(self.name, record, before[1] if before and before[0] == self.name else None)
        self._recorded[made] = (self.name, record)
        if self.plan.yarn.name is None:
            return f'{said}. The plan must say [yarn] name = "{yarn.name}" to use limit {yarn.limit.value:.2f}'
        return f"{said}. {yarn.name}: limit {yarn.limit.value:.2f}, used when this plan is next opened"

    def _learn(self, name: str, record: Record, instead_of: Record | None) -> KeptYarn:
        from purlside.keep import drawer

        def how(kept: Drawer) -> Drawer:
            if not kept.has(name):
                kept = kept.kept(drawer.new_yarn(**kept_values(self.plan, name)))
            return kept.crossed(name, record, instead_of)

        return drawer.change(how).find(name)


def kept_values(plan: Plan, name: str) -> dict[str, Any]:
    """What the drawer keeps of a plan's yarn under a name."""
    from purlside.files.allowed import dumped

    values = dumped(plan.yarn, defaults=False)
    return {**values, "name": name, "pitch_mm": plan.machine.pitch_mm}
