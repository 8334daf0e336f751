"""What stands beside the chart says whole what is wrong: what is too much, how much is allowed, what to do."""

from __future__ import annotations

from purlside.draft import beside
from purlside.draft.drafting import Draft
from tests.plans import cable, plan


def told(draft: Draft, heading: str) -> str:
    return next(" ".join(part.lines) for part in beside.parts(draft) if part.heading == heading)


def test_too_many_extra_rows_at_once_are_told_with_the_limit() -> None:
    ropes = [
        cable(f"R{2 + 2 * n} over R{1 + 2 * n}", name=f"rope {n}", ease="extra rows", extra_rows=20) for n in range(60)
    ]
    draft = Draft(plan(*ropes, needles="L10-R150", rows=60, machine={"needles": 300}))
    assert "allowed: at most" in told(draft, "Can't be knitted like this")


def headings(draft: Draft) -> list[str]:
    return [part.heading for part in beside.parts(draft)]


def test_one_verdict_stands_on_top_and_nothing_below_says_otherwise() -> None:
    wool = {"fibre": "wool"}
    fine = Draft(plan(cable(), yarn=wool, tools={"prongs": [3, 3]}))
    assert headings(fine)[0] == "WILL KNIT" and beside.verdict(fine).lines[0].endswith("; tools fit")
    short = Draft(plan(cable("R1-R6 over L6-L1"), yarn=wool, needles="L9-R9"))
    assert headings(short)[0] == "WON'T REACH"
    assert beside.verdict(short).lines == ("rope",)
    bare = Draft(plan(cable(), yarn=wool, tools={"prongs": [2]}))
    assert headings(bare)[0] == "NEEDS OTHER TOOLS"
    off = Draft(plan(cable("R8-R9 over R7"), yarn=wool))
    assert headings(off)[0] == "CAN'T BE KNITTED LIKE THIS"
    for wrong in (short, bare, off):
        assert beside.verdict(wrong).wrong
        assert not any("can be knit" in line for part in beside.parts(wrong) for line in part.lines)


def test_a_text_that_cannot_be_read_is_no_plan_that_will_knit() -> None:
    draft = Draft(plan(cable()))
    draft.type(("panel", "rows"), "many")
    assert headings(draft)[0] == "CAN'T BE KNITTED LIKE THIS"


def test_where_a_crossing_stands_between_easy_and_too_tight_is_drawn() -> None:
    lines = told(Draft(plan(cable("R1-R2 over L2-L1"), yarn={"fibre": "wool"})), "Will it cross? (estimate)")
    assert lines.startswith("easy ━") and "● " not in lines.split("too tight")[0]
    tight = told(
        Draft(plan(cable("R1-R6 over L6-L1"), yarn={"fibre": "wool"}, needles="L9-R9")), "Will it cross? (estimate)"
    )
    assert tight.index("●") > lines.index("●")
