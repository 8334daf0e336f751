"""Why a step is as it is: the needles, the cable, and what the row asks of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import settings as examples

from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from tests.plans import cable, plan, plans


def whys(wanted: Plan, row: int = 8) -> list[str]:
    """Why each step of a row."""
    knitting, found = Knitting(Working(wanted), Place(row, 0)), []
    while knitting.place.row == row:
        found.append(knitting.why)
        knitting.go(knitting.next_place())
    return found


def test_a_plain_row_says_that_nothing_is_crossed() -> None:
    assert whys(plan(cable()), 3) == ["Nothing is crossed after this row, so every needle knits once, at SS 5."]


def test_a_plain_crossing_row_names_the_cable_and_asks_nothing_of_it() -> None:
    row, crossing = whys(plan(cable()))
    assert row.startswith("rope crosses after this row, plain: the plan asks nothing of its stitches")
    assert "the right half, R1–R3, shows in front of L3–L1" in crossing


def test_the_enlarged_half_is_said_to_lie_behind_and_to_have_yarn_to_give() -> None:
    bridge, back, larger, again, rest, _ = whys(plan(cable(ease="enlarge", enlarged_size=9.0)))
    assert bridge.startswith("L6–L4 is a bridge: plain fabric left of rope")
    assert back.startswith("The next pass knits L3–L1 (rope, the half behind) and begins on the left")
    assert larger == (
        "L3–L1 go behind R1–R3 (rope), where larger loops do not show: knit at SS 9 they have yarn to give "
        "when the halves change places."
    )
    assert again.startswith("The next pass knits R1–R6 and begins on the left")
    assert rest.startswith("R1–R3 (rope) will show in front: they keep the row's own SS 5")


def test_extra_rows_are_counted() -> None:
    first, alone, last, _ = whys(plan(cable(ease="extra rows", extra_rows=2)))
    assert "R1–R3 (rope, in front) are knit 3 times in this row" in first
    assert alone.startswith("R1–R3 go in front (rope): 2 extra rows give them length to reach over L3–L1")
    assert alone.endswith("This is row 2 of their 3.")
    assert "are knit 3 times" in last


def test_stitches_by_hand_are_said_to_be_large_and_to_go_in_front() -> None:
    texts = " ".join(whys(plan(cable("R1 over R2-R3", ease="by hand"))))
    assert "R1 is knit by hand where the yarn lies, drawn back to the rail: one very large stitch" in texts
    assert "to go in front over R2–R3 (rope)" in texts


def test_with_both_eases_each_half_has_its_own_reason() -> None:
    texts = whys(plan(cable(ease=["enlarge", "extra rows"], enlarged_size=9.0, extra_rows=2)))
    assert sum("go behind" in text for text in texts) == 1
    assert [text[-26:] for text in texts if "extra rows" in text] == [
        "This is row 1 of their 3.".rjust(26),
        "This is row 2 of their 3.".rjust(26),
    ]


def test_at_the_edge_no_bridge_is_spoken_of() -> None:
    texts = whys(plan(cable(ease="enlarge", enlarged_size=9.0), needles="L3-R3"))
    assert not any("bridge" in text or "plain fabric" in text for text in texts)


def test_of_several_cables_each_pass_names_its_own() -> None:
    left = cable("L6-L5 over L4-L3", name="left rope", ease="enlarge", enlarged_size=9.0)
    right = cable("R3-R4 over R5-R6", name="right rope", ease="enlarge", enlarged_size=9.0)
    larger = [text for text in whys(plan(left, right)) if "larger loops" in text]
    assert ["left rope" in text for text in larger] == [True, False]
    assert ["right rope" in text for text in larger] == [False, True]


def test_what_auto_chose_is_said_with_its_numbers() -> None:
    yarn = {"fibre": "wool", "loop_mm": {"5": 13.7, "9": 17.5}}
    texts = " ".join(whys(plan(cable("R1-R4 over L4-L1", ease="auto"), yarn=yarn)))
    assert "Ease auto took 2 extra rows: travel 36.0 mm" in texts
    assert "plain would be" in texts


def test_weights_are_spoken_of_only_where_they_move() -> None:
    wanted = plan(cable(), panel={"weights_every": 3})
    assert whys(wanted, 3)[-1] == "Weights follow the work up."
    assert not any("eights" in text for text in whys(wanted, 4))


@examples(max_examples=40)
@given(plans(most_rows=12))
def test_every_step_of_any_plan_has_a_reason_that_names_only_needles_of_the_panel(wanted: Plan) -> None:
    knitting = Knitting(Working(wanted))
    while not knitting.finished:
        text = knitting.why
        assert text.endswith(".") and "  " not in text and ".." not in text
        knitting.go(knitting.next_place())


@pytest.mark.parametrize("cross", ["R6 over R3-R5", "L6 over L5-L3"])
@pytest.mark.parametrize("row", [8, 15])
def test_stitches_knit_by_hand_at_the_panels_edge_are_never_called_plain(cross: str, row: int) -> None:
    told = whys(plan(cable(cross, every=7, ease="by hand")), row)
    assert not any("plain" in each for each in told)
    assert any("knit by hand where the yarn lies" in each for each in told)
    assert any("the stitches by hand are at the edge" in each for each in told)


def test_why_an_edge_is_shaped_is_told_and_which_needles_rest() -> None:
    wanted = plan(
        needles="L20-R20",
        rows=9,
        shape=[
            {"edge": "left", "do": "decrease", "tool": 3, "first_row": 2},
            {"edge": "right", "do": "hold", "stitches": 5, "first_row": 4},
        ],
    )
    [shaped] = whys(wanted, 2)
    assert shaped.startswith("Moved inwards together, the edge stitches stay whole;")
    short = whys(wanted, 4)[0]
    assert "Needles are rested where the carriage is not" in short
    assert short.endswith("so L19–R15 knit once, at SS 5; 5 needles held, resting.")
