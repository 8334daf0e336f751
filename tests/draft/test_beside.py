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
    assert "allowed: at most" in told(draft, "Cannot be knit so")
