"""The size a plan wants: told at every edit, met in one key."""

from __future__ import annotations

import pytest

from purlside.draft.beside import parts
from purlside.draft.drafting import CannotDraft, Draft
from purlside.draft.wanting import off
from purlside.text.units import Unit
from tests.plans import cable, plan


def scarf(width: float | None = 22, length: float | None = 160, needles: str = "L30-R30", rows: int = 600) -> Draft:
    gauge = {"stitches_per_10cm": 29, "rows_per_10cm": 41}
    wanted = {name: cm for name, cm in (("width_cm", width), ("length_cm", length)) if cm}
    return Draft(plan(cable(first_row=8, every=8), needles=needles, rows=rows, gauge=gauge, wanted=wanted))


def told(draft: Draft) -> str:
    return next(line for part in parts(draft) for line in part.lines if line.startswith("wanted"))


def test_how_far_off_it_is_is_told_with_what_would_meet_it() -> None:
    words = told(scarf())
    assert words.startswith("wanted 22 × 160 cm: ")
    assert "too narrow" in words or "too wide" in words
    assert "13.7 cm too short" in words
    assert "656 rows would meet it" in words


def test_one_key_meets_it_after_take_in() -> None:
    draft = scarf()
    draft.meet_wanted()
    found = off(draft.plan, draft.judgement.size)
    assert found is not None and found.met
    assert told(draft) == "wanted 22 × 160 cm: as wanted"
    # The cable stands where it stood.
    assert str(draft.plan.cable[0].cross) == "R1-R3 over L3-L1"
    with pytest.raises(CannotDraft, match="as big as wanted"):
        draft.meet_wanted()


def test_a_panel_is_not_narrowed_over_its_cables() -> None:
    draft = scarf(width=8)
    draft.move(across=14)
    with pytest.raises(CannotDraft, match="the cables take"):
        draft.meet_wanted()


def test_it_is_typed_in_cm_or_inches() -> None:
    draft = scarf()
    draft.type(("wanted", "width_cm"), "9 in")
    assert draft.plan.wanted is not None and draft.plan.wanted.width_cm == 22.86
    draft.type(("wanted", "width_cm"), "24.5 cm")
    assert draft.plan.wanted.width_cm == 24.5


def test_who_measures_in_inches_is_told_in_inches() -> None:
    """The inch is 2.54 cm exactly, by the international agreement of 1959: 22 × 160 cm are 8.66 × 62.99 in."""
    told_in = {part.heading: part.lines for part in parts(scarf(), unit=Unit.INCH)}
    size, wanted = told_in["Size"]
    assert wanted.startswith("wanted 8.66 × 62.99 in: ") and "5.4 in too short" in wanted
    assert size.endswith(" in") or " in (width" in size
    assert not any(" cm" in line for line in (size, wanted))


def test_nothing_is_told_where_nothing_is_wanted() -> None:
    draft = scarf(None, None)
    assert not any(line.startswith("wanted") for part in parts(draft) for line in part.lines)
    with pytest.raises(CannotDraft, match="no size is wanted"):
        draft.meet_wanted()
