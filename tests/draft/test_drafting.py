"""A draft: cables placed, moved, widened, mirrored, copied; judged at each change."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Crossing, Needle, Side
from purlside.draft import reshaping
from purlside.draft.drafting import CannotDraft, Draft
from purlside.ease.reach import Verdict
from purlside.fabric import written
from purlside.fabric.motifs import MOTIFS
from purlside.fabric.stitches import Fabric, Face
from purlside.plan.mirror import mirrored
from purlside.plan.plan import Plan
from purlside.rows.checking import faults
from tests.plans import cable, plan, plans, strands_after


def at(name: str) -> Needle:
    return Needle.parse(name)


def draft(*cables: dict[str, Any], face: Face = Face.KNIT, **more: Any) -> Draft:
    return Draft(plan(*cables, **more), face=face)


def cross_of(made: Draft) -> str:
    assert made.cable is not None
    return str(made.cable.cross)


# --- placing ----------------------------------------------------------------


def test_a_right_cross_seen_from_the_knit_side_puts_the_right_half_at_the_bed_in_front() -> None:
    made = draft()
    made.go(at("R3"), 8)
    made.place("3/3 RC")
    assert cross_of(made) == "R1-R3 over L3-L1"
    assert made.cable is not None and made.cable.first_row == 8


def test_a_cable_stands_to_the_right_of_the_cursor_as_it_is_seen_on_either_side() -> None:
    for face, cursor in ((Face.KNIT, "R3"), (Face.PURL, "L3")):
        made = draft(face=face)
        made.go(at(cursor), 4)
        made.place("c6f")
        assert cross_of(made) == "L3-L1 over R1-R3"


@pytest.mark.parametrize("text", ["3 over 3 right", "3/3 right", "3 over 3, right half in front", "R1-R3 over L3-L1"])
def test_a_cable_may_be_placed_in_other_words(text: str) -> None:
    made = draft(face=Face.PURL)
    made.go(at("L3"), 4)
    made.place(text)
    assert cross_of(made) == "R1-R3 over L3-L1"


@pytest.mark.parametrize("text", ["", "3/3", "0/3 RC", "C5F", "99/99 RC", "three", "R1-R3 over", "L3-L1 over L1-R2"])
def test_what_is_no_cable_is_refused_in_words_and_changes_nothing(text: str) -> None:
    made = draft()
    with pytest.raises(CannotDraft) as refused:
        made.place(text)
    assert str(refused.value)
    assert not made.changed and not made.plan.cable


@given(st.integers(-6, 5), st.integers(1, 6), st.integers(1, 6), st.sampled_from(["RC", "LC"]), st.sampled_from(Face))
def test_what_was_written_is_read_back_from_what_was_placed(
    needle: int, front: int, back: int, lean: str, face: Face
) -> None:
    made = draft(face=face)
    made.go(needle, 3)
    made.place(f"{front}/{back} {lean}")
    assert made.cable is not None
    assert written.name(made.cable.crossings[0]) == f"{front}/{back} {lean}"


@pytest.mark.parametrize("name", list(MOTIFS))
def test_each_motif_is_laid_down_at_the_cursor_as_cables_that_can_be_knit(name: str) -> None:
    made = draft(needles="L30-R30", rows=200)
    made.go(at("R20"), 6)
    made.lay(name, lean=Side.RIGHT, every=8)
    taken = [reshaping.span((c,)) for c in made.plan.cable]
    assert max(s.right for s in taken) == at("R20")
    assert min(c.first_row for c in made.plan.cable) == 6
    assert not made.judgement.faults
    made.lay(name, lean=Side.LEFT, every=8)
    assert len({c.name for c in made.plan.cable}) == len(made.plan.cable)


# --- moving and reshaping ---------------------------------------------------


def test_moving_right_as_seen_is_left_at_the_bed_from_the_knit_side() -> None:
    made = draft(cable())
    made.move(across=1)
    assert cross_of(made) == "L1-R2 over L4-L2"
    made.turn_over()
    made.move(across=1, up=2)
    assert cross_of(made) == "R1-R3 over L3-L1"
    assert made.cable is not None and made.cable.first_row == 10


def test_a_cable_moved_off_the_panel_stays_where_it_was_put_and_says_so() -> None:
    made = draft(cable(), face=Face.PURL)
    for _ in range(5):
        made.move(across=1)
    assert cross_of(made) == "R6-R8 over R3-R5"
    (fault,) = made.judgement.faults
    assert fault.why == "R7–R8 (2 needles) outside it"
    assert made.judgement.faulty == {0}
    assert made.judgement.cables[0][0].reach is None


def test_no_cable_is_moved_off_every_bed_or_below_row_one() -> None:
    made = draft(cable(), face=Face.PURL)
    made.move(across=1000)
    assert cross_of(made) == "R248-R250 over R245-R247"
    made.move(up=-1000)
    assert made.cable is not None and made.cable.first_row == 1
    with pytest.raises(CannotDraft):
        made.move(up=-1)


@pytest.mark.parametrize(
    "cross,wider",
    [
        ("R1-R3 over L3-L1", "R1-R4 over L4-L1"),
        ("R1 over L3-L1", "R1-R2 over L4-L1"),
        (["L3-L1 over R1-R3", "R1-R3 over L3-L1"], ["L4-L1 over R1-R4", "R1-R4 over L4-L1"]),
        # A plait of three strands: every strand wider, still side by side.
        (["R1-R2 over L2-L1", "R1-R2 over R3-R4"], ["R1-R3 over L3-L1", "R1-R3 over R4-R6"]),
    ],
)
def test_widening_makes_each_strand_wider_by_a_stitch_and_narrowing_takes_it_back(cross: Any, wider: Any) -> None:
    made = draft(cable(cross), needles="L9-R9")
    before = made.plan
    made.widen()
    assert made.cable is not None
    found = [wider] if isinstance(wider, str) else wider
    assert list(map(str, made.cable.crossings)) == found or _shifted(made, found)
    made.widen(-1)
    assert made.plan == before


def _shifted(made: Draft, wanted: list[str]) -> bool:
    """Whether the crossings are those wanted, moved by the same few needles."""
    assert made.cable is not None
    crossings = [Crossing.parse(text) for text in wanted]
    by = int(made.cable.crossings[0].front.left) - int(crossings[0].front.left)
    (shifted,) = reshaping.moved((made.cable,), -by)
    return list(map(str, shifted.crossings)) == wanted


def test_a_cable_over_a_ladder_keeps_the_ladder_between_its_halves_when_widened() -> None:
    made = draft(cable("R1-R3 over L4-L2"), needles="L9-R9", out=["L1"])
    made.widen()
    assert cross_of(made) == "R1-R4 over L5-L2"
    assert not made.judgement.faults


def test_one_half_alone_is_widened_outwards() -> None:
    made = draft(cable())
    made.widen_half(front=True)
    assert cross_of(made) == "R1-R4 over L3-L1"
    made.widen_half(front=False, by=-2)
    assert cross_of(made) == "R1-R4 over L1"
    with pytest.raises(CannotDraft):
        made.widen_half(front=False, by=-1)


def test_crossing_the_other_way_turns_a_right_cross_into_a_left_cross_and_back() -> None:
    made = draft(cable())
    made.cross_other_way()
    assert cross_of(made) == "L3-L1 over R1-R3"
    made.cross_other_way()
    assert cross_of(made) == "R1-R3 over L3-L1"


@given(plans())
def test_a_mirrored_panel_is_the_mirror_image_of_its_fabric(made: Plan) -> None:
    draft = Draft(made)
    for i in range(len(made.cable)):
        draft.select(i)
        try:
            draft.mirror()
        except CannotDraft:
            continue
    left, right = int(made.panel.needles.left), int(made.panel.needles.right)
    idle = [n for n in made.panel.out_of_work if left + right - n not in made.panel.out_of_work]
    if idle:
        return
    before, after = Fabric(made), Fabric(draft.plan)
    row = min(made.panel.rows, 12)
    image = [left + right - n for n in reversed(strands_after(before, row))]
    assert [int(n) for n in strands_after(after, row)] == image


def test_a_copy_stands_beside_its_original_under_a_name_of_its_own() -> None:
    made = draft(cable(), needles="L20-R20")
    made.copy()
    assert [c.name for c in made.plan.cable] == ["rope", "rope 1"]
    assert cross_of(made) == "L6-L4 over L9-L7"
    assert made.selected == 1 and not made.judgement.faults


def test_deleting_a_cable_keeps_what_was_typed_for_the_others() -> None:
    made = draft(cable(), cable("L6-L5 over L4-L4", name="other"), needles="L9-R9")
    made.type(("cable", 1, "every"), "often")
    made.select(0)
    made.delete()
    assert [c.name for c in made.plan.cable] == ["other"]
    assert made.text(("cable", 0, "every")) == "often"


def test_ease_goes_round_and_brings_the_sizes_and_rows_it_needs() -> None:
    made = draft(cable("R1-R4 over L4-L1"), needles="L9-R9")
    seen = []
    for _ in range(6):
        made.next_ease()
        assert made.cable is not None
        seen.append(sorted(made.cable.eases))
        assert not faults(made.plan)
    assert seen == [
        ["enlarge"], ["extra rows"], ["enlarge", "extra rows"], ["by hand"], ["auto"], ["plain"],
    ]  # fmt: skip


def test_repeats_are_set_by_keys() -> None:
    made = draft(cable(first_row=8, every=8))
    made.every_by(2)
    made.go(at("L1"), 5)
    made.first_row_here()
    made.times_by(-1)
    assert made.cable is not None
    assert (made.cable.first_row, made.cable.every, made.cable.times) == (5, 10, 3)


def test_a_ladder_is_made_and_closed_again_at_the_cursor() -> None:
    made = draft()
    made.go(at("L2"), 1)
    made.ladder_here()
    assert made.plan.panel.out_of_work == (at("L2"),)
    made.ladder_here()
    assert made.plan.panel.out_of_work == ()  # type: ignore[comparison-overlap]


def test_bands_and_reminders_are_put_in_the_row_of_the_cursor_and_taken_out() -> None:
    made = draft()
    made.go(at("L1"), 7)
    made.add_band(colour="slate")
    made.add_reminder("[b]hang a marker[/b]")
    assert str(made.plan.band[0].rows) == "7-16" and made.plan.reminder[0].row == 7
    made.remove(("reminder", 0))
    made.remove(("band", 0))
    assert not made.plan.band and not made.plan.reminder
    with pytest.raises(CannotDraft):
        made.add_reminder("\x1b[31mred")


# --- judged -----------------------------------------------------------------


def test_the_verdict_follows_the_yarn_as_it_is_typed() -> None:
    made = draft(cable(), yarn={"fibre": "wool", "loop_mm": {"5": 13.7, "9": 17.5}})
    reached = made.judgement.cables[0][0].reach
    assert reached is not None and reached.verdict is Verdict.FIRM
    made.type(("yarn", "fibre"), "linen")
    reached = made.judgement.cables[0][0].reach
    assert reached is not None and reached.verdict is Verdict.NOT_ENOUGH


def test_tools_that_are_missing_are_named_as_soon_as_a_half_is_too_wide() -> None:
    made = draft(cable(), needles="L9-R9", tools={"prongs": [3, 3]})
    assert made.judgement.cables[0][0].lift.hands
    made.widen()
    assert made.judgement.cables[0][0].lift.missing


def test_shaping_and_work_on_single_needles_begin_at_the_cursor() -> None:
    made = draft(cable())
    made.go(at("R5"), 9)
    assert made.add_shape() == "shaping in row 9"
    assert made.add_stitch() == "R5 by hand in row 9"
    (shape,), (work,) = made.plan.shape, made.plan.stitch
    assert (shape.edge, shape.do, shape.first_row, shape.every) == ("both", "decrease", 9, None)
    assert (work.needles, work.do, work.first_row) == ((at("R5"),), "by hand", 9)
    made.type(("shape", 0, "tool"), "2")
    made.type(("shape", 0, "stitches"), "2")
    assert (made.plan.shape[0].tool, made.plan.shape[0].stitches) == (2, 2)
    made.remove(("stitch", 0, "do"))
    assert made.plan.stitch == ()
    made.undo()
    assert list(made.plan.stitch) == [work]


def test_a_part_goes_from_the_cursor_to_the_nearer_edge_and_the_next_mirrors_it() -> None:
    made = draft()
    made.go(at("R2"), 9)
    made.add_part()
    made.add_part()
    first, second = made.plan.part
    assert (str(first.needles), first.mirrors) == ("R2-R6", None)
    assert (second.needles, second.mirrors) == (None, first.name)
    with pytest.raises(CannotDraft, match="parts to be mirrored: none"):
        made.remove(("part", 0))
    made.remove(("part", 1))
    made.remove(("part", 0))
    assert made.plan.part == ()


def test_the_whole_plan_is_mirrored_and_undone() -> None:
    made = draft(cable("R4-R5 over R2-R3"), title="Left front")
    before = made.plan
    made.go(at("R5"), 9)
    made.mirror_all()
    assert made.plan == mirrored(before)
    assert (made.plan.title, made.needle) == ("Right front", at("L5"))
    made.undo()
    assert made.plan == before
    made.type(("panel", "rows"), "many")
    with pytest.raises(CannotDraft, match="cannot be read"):
        made.mirror_all()


# --- in a part ------------------------------------------------------------------


def test_what_is_added_with_the_cursor_in_a_part_is_the_parts_in_the_fabrics_row() -> None:
    parts = [{"name": "right", "needles": "R1-R12", "rows": 20}, {"name": "left", "mirrors": "right"}]
    made = draft(needles="L12-R12", rows=40, part=parts)
    for row, first, last, part in ((8, 8, 40, None), (45, 45, 60, "right"), (66, 46, 60, "left")):
        made.go(at("R3"), row)
        rows, where = made.fabric_rows
        assert (rows.first, rows.last, where) == (first, last, part)
        made.add_shape()
        made.add_stitch()
        made.add_reminder("look")
        assert [(s.first_row, s.part) for s in (made.plan.shape[-1], made.plan.stitch[-1])] == [(first, part)] * 2
        assert made.plan.reminder[-1].row == first


def test_stitches_are_shaped_evenly_over_a_parts_own_rows() -> None:
    parts = [{"name": "right", "needles": "R1-R12", "rows": 20}, {"name": "left", "mirrors": "right"}]
    made = draft(needles="L12-R12", rows=40, part=parts)
    made.go(at("R3"), 45)
    given = {"stitches": "4", "do": "decrease", "edge": "left", "tool": "2"}
    made.shape_evenly({**given, "rows": str(made.fabric_rows[0]), "part": str(made.fabric_rows[1])})
    (shape,) = made.plan.shape
    assert (shape.part, shape.first_row, shape.every, shape.times) == ("right", 48, 4, 4)
    assert faults(made.plan) == []
    with pytest.raises(CannotDraft, match='the plan has "right", "left"'):
        made.shape_evenly({**given, "rows": "45-60", "part": "middle"})
