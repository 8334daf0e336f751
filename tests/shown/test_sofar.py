"""The fabric under the needles: what was knit since the last crossing is seen, and plain rows do not draw it again."""

from __future__ import annotations

from pathlib import Path

from purlside.files.planfile import read
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.shown.sofar import SoFar
from purlside.text.signs import text
from tests.plans import cable, plan

PATTERNS = Path(__file__).parents[2] / "patterns"


def seen(wanted: Plan, rows: range) -> list[tuple[int, bool, str]]:
    """Each row in turn, in knitting order: whether it is drawn anew, and the rows its caption names."""
    working, fabric, found = Working(wanted), SoFar(), []
    for row in rows:
        knitting = Knitting(working, Place(row, 0))
        anew = not fabric.is_so(knitting, 80, 20, ascii=False)
        if anew:
            fabric.draw(knitting, 80, 20, ascii=False)
        caption = text(list(fabric.known(knitting, 80, 20, ascii=False))[:1])
        found.append((row, anew, caption.partition("rows ")[2].partition(",")[0]))
    return found


def test_plain_rows_after_a_crossing_do_not_draw_the_fabric_again() -> None:
    rope = plan(cable(first_row=8, every=8), rows=30)
    assert seen(rope, range(9, 18)) == [
        (9, True, "1–8"), *((row, False, "1–8") for row in range(10, 17)), (17, True, "1–16"),
    ]  # fmt: skip


def test_short_rows_after_the_last_crossing_are_seen_as_they_are_knit() -> None:
    front = read(PATTERNS / "slipway-jersey-front.toml").plan
    # The last crossing of the right shoulder is after row 244; its decreases end there, its short rows begin in 250.
    found = {row: rows.partition("–")[2] for row, _, rows in seen(front, range(245, 261))}
    assert [found[row] for row in (245, 246, 249)] == ["244", "244", "244"]
    short = next(shape.first_row for shape in front.shape if shape.do == "hold" and shape.part)
    assert all(found[row] == str(row - 1) for row in range(short + 1, 261))


def test_a_panel_narrowed_after_its_last_crossing_is_seen_narrowed() -> None:
    shape = [{"edge": "both", "do": "decrease", "first_row": 14, "every": 2, "times": 3}]
    wanted = plan(cable(first_row=8), needles="L20-R20", rows=24, shape=shape)
    found = {row: (anew, rows) for row, anew, rows in seen(wanted, range(9, 20))}
    assert found[9] == (True, "1–8") and found[14] == (False, "1–8")
    assert found[15] == (True, "1–14") and found[19] == (True, "1–18")


def test_under_a_part_that_begins_hangs_what_it_is_knit_on_to() -> None:
    front = read(PATTERNS / "slipway-jersey-front.toml").plan
    rows = Working(front).calendar.rows
    second = next(n for n in range(1, rows + 1) if Working(front).calendar.row(n).part == "left shoulder")
    ((_, _, rows_told),) = seen(front, range(second, second + 1))
    assert rows_told.partition("–")[2] == str(front.panel.rows)
