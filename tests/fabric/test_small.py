"""The small picture of a fabric: it fits, it shows a crossing as the knit side leans, and says what part it is."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from purlside.bed.needles import Span
from purlside.fabric.small import small, so_far
from purlside.fabric.stitches import Face
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.text.signs import text
from tests.plans import cable, plan, plans


@examples(max_examples=60, deadline=None)
@given(plans(most_rows=40), st.integers(5, 120), st.integers(1, 60))
def test_it_is_never_larger_than_its_room(wanted: Plan, width: int, height: int) -> None:
    found = small(wanted, width, height)
    assert 1 <= len(found.lines) <= height
    assert all(sum(len(part) for part, _ in line) <= width for line in found.lines)


def test_it_shows_the_first_crossing_leaning_as_on_the_knit_side() -> None:
    drawn = text(small(plan(cable()), 14, 12).lines)
    assert "///" in drawn, "a right half in front runs from lower left to upper right"
    assert "\\\\\\" in text(small(plan(cable("L3-L1 over R1-R3")), 14, 12).lines)


def test_of_a_wide_panel_the_cables_are_shown_and_the_needles_are_named() -> None:
    found = small(plan(cable("L40-L38 over L37-L35"), needles="L60-R60"), 30, 12)
    assert "/" in text(found.lines)
    ends = re.fullmatch(r"knit side, rows 4–\d+, L(\d+)–L(\d+) of 120 needles", found.caption)
    assert ends is not None and int(ends[1]) <= 35 and int(ends[2]) >= 40
    assert int(ends[2]) - int(ends[1]) == 29


def test_a_panel_with_no_cable_and_one_in_ascii_are_drawn_too() -> None:
    assert text(small(plan(), 12, 4).lines).split() == []
    assert text(small(plan(cable()), 30, 12, ascii_only=True).lines).isascii()


def test_the_fabric_so_far_hangs_below_the_needles_as_at_the_bed() -> None:
    working = Working(plan(cable()))
    assert so_far(working, 1, 30, 10).lines == ()
    early, later = so_far(working, 5, 12, 10), so_far(working, 9, 12, 10)
    assert text(early.lines).splitlines() == ["-" * 12] * 4, "four rows, from the purl side"
    drawn = text(later.lines).splitlines()
    assert "///" in drawn[0] and "/" not in "".join(drawn[4:]), "the latest crossing hangs right below the needles"
    assert len(so_far(working, 40, 12, 10).lines) == 10
    assert early.caption == "purl side, rows 1–4"
    part = so_far(working, 5, 8, 10).caption
    assert part == "purl side, rows 1–4, L4–R4 of 12 needles", (
        "needles that are left out are not passed over in silence"
    )
    assert so_far(working, 5, 8, 10, face=Face.KNIT).caption == "knit side, rows 1–4, R4–L4 of 12 needles"


def test_of_a_panel_wider_than_the_screen_what_hangs_under_the_needles_in_hand_is_shown() -> None:
    wanted = plan(cable("L40-L38 over L37-L35"), cable("R30-R32 over R33-R35", name="other"), needles="L60-R60")
    hangs = {under: so_far(Working(wanted), 9, 30, 6, under=Span.parse(under)) for under in ("R20-R60", "L1-R8")}
    assert hangs["R20-R60"].caption == "purl side, rows 3–8, R20–R49 of 120 needles"
    assert "\\" in text(hangs["R20-R60"].lines)
    assert hangs["L1-R8"].caption == "purl side, rows 3–8, L11–R19 of 120 needles"
    assert set(text(hangs["L1-R8"].lines)) <= {"-", "\n"}
