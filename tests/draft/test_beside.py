"""What stands beside the chart says whole what is wrong: what is too much, how much is allowed, what to do."""

from __future__ import annotations

from purlside.draft import beside
from purlside.draft.drafting import Draft
from tests.plans import cable, plan


def told(draft: Draft, heading: str) -> str:
    return next(" ".join(part.lines) for part in beside.parts(draft) if part.heading == heading)


def test_too_many_kinds_of_rows_are_told_with_the_limit_and_the_mend() -> None:
    primes = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61)
    ropes = [
        cable(f"R{2 + 2 * n} over R{1 + 2 * n}", name=f"rope {n}", first_row=3 + n, every=every)
        for n, every in enumerate(primes)
    ]
    draft = Draft(plan(*ropes, needles="L3-R40", rows=20_000))
    assert "more than 1,000" in told(draft, "Counting …")
    draft.count(draft.plan)
    words = told(draft, "Cannot be knit so")
    assert "rows of more than 1,000 kinds; allowed: at most 1,000 kinds of rows" in words
    assert "brings one too many; let cables share their every" in words


def test_too_many_extra_rows_at_once_are_told_with_the_limit() -> None:
    ropes = [
        cable(f"R{2 + 2 * n} over R{1 + 2 * n}", name=f"rope {n}", ease="extra rows", extra_rows=20) for n in range(60)
    ]
    draft = Draft(plan(*ropes, needles="L10-R150", rows=60, machine={"needles": 300}))
    assert "allowed: at most" in told(draft, "Cannot be knit so")
