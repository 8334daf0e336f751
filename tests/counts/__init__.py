"""Every small row there is, with what it costs: a record to compare with.

``small_rows.txt`` has a line for each row of one to three needles, as the
carriage meets them: ``a1`` one row at the panel's size, ``b3`` three rows at
another size, ``h`` by hand. ``python -m tests.counts`` writes it anew.
"""

from __future__ import annotations

import difflib
from itertools import product
from pathlib import Path

from purlside.bed.demand import Demand
from purlside.bed.moves import BackUp, Hold, Knit, Return
from purlside.bed.needles import Needle, Side, Span, spans
from purlside.rows.bridging import bridge

RECORD = Path(__file__).parent / "small_rows.txt"
WISHES = ("a1", "a3", "a5", "b1", "b3", "b5", "h")
HEAD = "# row: passes, back-ups, groups pushed, needles pushed"


def line(wishes: tuple[str, ...], side: Side) -> str:
    """What one row costs from one side; ``wishes`` stand in the order of travel."""
    ordered = wishes if side is Side.LEFT else wishes[::-1]
    needles = tuple(map(Needle, range(len(ordered))))
    demand = Demand(
        needles,
        tuple(int(w[1:] or 1) for w in ordered),
        tuple({"a": 5.0, "b": 9.0, "h": 5.0}[w[0]] for w in ordered),
        tuple(w == "h" for w in ordered),
    )
    moves = bridge(demand, Span(needles[0], needles[-1]), side, 5.0)
    pushed = [m.needles for m in moves if isinstance(m, Hold | Return)]
    numbers = (
        sum(isinstance(m, Knit) for m in moves),
        sum(isinstance(m, BackUp) for m in moves),
        sum(len(spans(needles)) for needles in pushed),
        sum(map(len, pushed)),
    )
    return f"{' '.join(wishes)}: {', '.join(map(str, numbers))}"


def table(side: Side) -> list[str]:
    """The record as it should be, line by line."""
    rows = (wishes for count in (1, 2, 3) for wishes in product(WISHES, repeat=count) if set(wishes) != {"h"})
    return [HEAD, *(line(wishes, side) for wishes in rows)]


def difference() -> str:
    """What is not as on record, from either side; empty if all is."""
    record = RECORD.read_text("utf-8").splitlines()
    found: list[str] = []
    for side in Side:
        found += difflib.unified_diff(record, table(side), "on record", f"carriage {side}", lineterm="", n=0)
    return "\n".join(found)
