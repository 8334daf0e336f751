"""A draft: cables placed, moved, widened, mirrored, copied; fields typed; undone, done again, saved."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from purlside import fields, planwriting, reshaping, written
from purlside.checking import faults
from purlside.draftfile import DraftFile, copied, opened
from purlside.drafting import CannotDraft, Draft
from purlside.fabric import Fabric, Face
from purlside.figures import figures
from purlside.motifs import MOTIFS
from purlside.needles import Crossing, Needle, Side
from purlside.plan import Plan
from purlside.planfile import read
from purlside.planwriting import NotSaved
from purlside.reach import Verdict
from tests.plans import cable, plan, plans, toml


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
def test_each_motif_is_laid_down_at_the_cursor_and_is_then_ordinary_cables(name: str) -> None:
    made = draft(needles="L30-R30", rows=200)
    made.go(at("R20"), 6)
    made.lay(name, lean=Side.RIGHT, every=8)
    taken = [reshaping.span(c) for c in made.plan.cable]
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
    shifted = reshaping.moved(made.cable, -by)
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
    made.front(Side.RIGHT)
    assert cross_of(made) == "R1-R3 over L3-L1"
    with pytest.raises(CannotDraft):
        made.front(Side.RIGHT)


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
    image = [left + right - n for n in reversed(before.strands(row))]
    assert [int(n) for n in after.strands(row)] == image


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
    assert made.plan.panel.out_of_work == [at("L2")]
    made.ladder_here()
    assert made.plan.panel.out_of_work == []


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


# --- fields -----------------------------------------------------------------


def test_what_cannot_be_read_is_kept_as_typed_and_the_plan_stays_as_it_could_be_read() -> None:
    made = draft(cable())
    made.type(("panel", "rows"), "4o")
    assert made.text(("panel", "rows")) == "4o"
    assert made.plan.panel.rows == 40
    assert "a whole number" in made.troubles["panel", "rows"].allowed
    made.type(("panel", "rows"), "44")
    assert made.plan.panel.rows == 44 and not made.troubles


def test_a_gauge_is_taken_in_once_both_its_numbers_are_typed_in_either_order() -> None:
    for keys in (("stitches_per_10cm", "rows_per_10cm"), ("rows_per_10cm", "stitches_per_10cm")):
        made = draft()
        made.type(("gauge", keys[0]), "29")
        assert made.plan.gauge is None and made.troubles
        made.type(("gauge", keys[1]), "29")
        assert made.plan.gauge is not None and not made.troubles
        assert made.judgement.size is not None


def test_typing_letter_by_letter_is_one_step_of_undo() -> None:
    made = draft(cable())
    for text in ("", "J", "Je", "Jet", "Jetty"):
        made.type(("title",), text)
    assert made.plan.title == "Jetty"
    made.undo()
    assert made.plan.title == "Tried out" and not made.state.typed
    made.redo()
    assert made.plan.title == "Jetty"


@given(
    st.text(
        st.characters(blacklist_categories=("Cc", "Cs", "Zl", "Zp", "Cf")) | st.sampled_from("\n\t\\n"), max_size=60
    )
)
def test_notes_of_several_lines_are_typed_on_one_and_keep_their_lines(notes: str) -> None:
    made = draft(notes=notes)
    text = made.text(("notes",))
    assert "\n" not in text
    made.type(("notes",), f"{text}!")
    assert made.plan.notes == f"{notes}!"


def test_two_cables_of_one_name_are_refused_in_the_field_and_nowhere_else() -> None:
    made = draft(cable(), cable("R5 over R4", name="bead"))
    made.type(("cable", 1, "name"), "rope")
    assert 'two cables are named "rope"' in made.troubles["cable", 1, "name"].why
    assert made.plan.cable[1].name == "bead"


@given(plans())
def test_every_field_typed_as_it_stands_changes_nothing(made: Plan) -> None:
    for index in range(max(1, len(made.cable))):
        for found in fields.fields(made, index):
            taken, problems = fields.apply(made, found.key, found.text, {})
            if found.key[-1] == "cross":
                # A list of one crossing is read back as the crossing itself.
                assert taken and taken.cable[index].crossings == made.cable[index].crossings
            elif found.text or taken is not None:
                assert taken == made, (found, problems)


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


OPERATIONS: dict[str, Any] = {
    "place": lambda d, n: d.place(["3/3 RC", "2/1 LC", "C4B", "nonsense", "1 over 3 left"][n % 5]),
    "lay": lambda d, n: d.lay([*MOTIFS][n % len(MOTIFS)], lean=[Side.LEFT, Side.RIGHT][n % 2], every=n % 9 + 1),
    "move": lambda d, n: d.move(n % 7 - 3, n % 5 - 2),
    "widen": lambda d, n: d.widen([1, -1][n % 2]),
    "half": lambda d, n: d.widen_half(n % 3 == 0, [1, -1][n % 2]),
    "turn": lambda d, n: d.cross_other_way(),
    "mirror": lambda d, n: d.mirror(),
    "copy": lambda d, n: d.copy(),
    "delete": lambda d, n: d.delete(),
    "ease": lambda d, n: d.next_ease(),
    "every": lambda d, n: d.every_by(n % 5 - 2),
    "times": lambda d, n: d.times_by(n % 5 - 2),
    "first": lambda d, n: d.first_row_here(),
    "ladder": lambda d, n: d.ladder_here(),
    "band": lambda d, n: d.add_band(colour="slate" if n % 2 else None),
    "reminder": lambda d, n: d.add_reminder(f"look {n}"),
    "remove": lambda d, n: d.remove((["band", "reminder"][n % 2], 0)),
    "next": lambda d, n: d.select_next(n % 2 * 2 - 1),
    "go": lambda d, n: d.go(n % 30 - 15, n),
    "over": lambda d, n: d.turn_over(),
    "type": lambda d, n: d.type(*TYPED[n % len(TYPED)]),
    "undo": lambda d, n: d.undo(),
    "redo": lambda d, n: d.redo(),
}
TYPED: list[tuple[tuple[str | int, ...], str]] = [
    (("panel", "rows"), "12"),
    (("panel", "rows"), "many"),
    (("panel", "needles"), "L3-R8"),
    (("panel", "out_of_work"), "L1, R2"),
    (("panel", "stitch_size"), "11"),
    (("machine", "dial"), "9 to 2"),
    (("gauge", "rows_per_10cm"), "40"),
    (("gauge", "stitches_per_10cm"), "28"),
    (("yarn", "loop_mm"), "5: 12, 9: 15"),
    (("yarn", "count"), "2/8 Nm"),
    (("yarn", "count"), "?"),
    (("cable", 0, "cross"), "R1-R2 over L2-L1, L2-L1 over R1-R2"),
    (("cable", 0, "ease"), "enlarge"),
    (("cable", 0, "enlarged_size"), "9"),
    (("cable", 0, "name"), "rope"),
    (("band", 0, "stitch_size"), ""),
    (("title",), ""),
]
sequences = st.lists(st.tuples(st.sampled_from(sorted(OPERATIONS)), st.integers(0, 60)), max_size=25)


def do(made: Draft, name: str, number: int) -> None:
    try:
        OPERATIONS[name](made, number)
    except CannotDraft as refused:
        assert str(refused)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(most_rows=30, most_needles=14), sequences)
def test_all_undone_is_the_original_and_all_done_again_is_the_end(original: Plan, steps: list[tuple[str, int]]) -> None:
    made = Draft(original)
    made.type(("gauge", "rows_per_10cm"), "40")
    made.type(("gauge", "stitches_per_10cm"), "28")
    for name, number in steps:
        do(made, name, number)
        judged = made.judgement
        assert judged.faults == tuple(faults(made.plan))
        if judged.size is not None and not judged.faults:
            assert judged.size == figures(made.plan).finished
        assert Draft(made.plan).judgement == judged
    end = made.state
    while True:
        try:
            made.undo()
        except CannotDraft:
            break
    assert made.plan == original and not made.state.typed and not made.changed
    while True:
        try:
            made.redo()
        except CannotDraft:
            break
    if not any(name in ("undo", "redo") for name, _ in steps):
        assert (made.plan, made.state.typed) == (end.plan, end.typed)


# --- the file ---------------------------------------------------------------

COMMENTED = """\
# drawn on a wet sunday
format = 1
title = "Jetty band"   # for the door

[panel]                # before the machine, as I like it
rows = 40
needles = "L6-R6"
stitch_size = 5

[machine]
pitch_mm = 4.5

[[cable]]
# the rope of the jetty
name = "rope"
cross = "R1-R3 over L3-L1"
first_row = 8   # after the hem
every = 8
"""


def on_disk(folder: Path, text: str = COMMENTED) -> DraftFile:
    path = folder / "jetty.toml"
    path.write_text(text, encoding="utf-8")
    return opened(read(path))


def test_saving_keeps_the_comments_and_the_order_of_keys(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.draft.copy()
    assert file.save() == "Saved: jetty.toml"
    text = file.path.read_text("utf-8")
    for comment in ("# drawn on a wet sunday", "# for the door", "# the rope of the jetty", "# after the hem"):
        assert comment in text
    assert text.index("[panel]") < text.index("[machine]")
    assert read(file.path).plan == file.draft.plan
    assert not file.draft.changed


def test_a_file_changed_by_someone_else_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.path.write_text(COMMENTED.replace("rows = 40", "rows = 60"), encoding="utf-8")
    file.draft.move(up=2)
    with pytest.raises(NotSaved):
        file.save()
    assert "rows = 60" in file.path.read_text("utf-8")
    assert file.draft.changed


def test_nothing_is_saved_while_a_field_cannot_be_read(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.type(("panel", "rows"), "4o")
    with pytest.raises(CannotDraft, match="panel rows"):
        file.save()
    assert file.path.read_text("utf-8") == COMMENTED


def test_a_copy_keeps_the_comments_and_leaves_the_original_alone(tmp_path: Path) -> None:
    file = copied(read(on_disk(tmp_path).path), tmp_path)
    file.save()
    assert file.path.name == "jetty-band-copy.toml"
    assert "# for the door" in file.path.read_text("utf-8")
    assert read(file.path).plan.title == "Jetty band, copy"
    assert (tmp_path / "jetty.toml").read_text("utf-8") == COMMENTED


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_whatever_was_done_the_saved_file_says_the_plan_that_was_drafted(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    original = data.draw(plans(most_rows=30, most_needles=14))
    file = on_disk(tmp_path_factory.mktemp("saved"), toml(original.model_dump(mode="json", exclude_none=True)))
    for name, number in data.draw(sequences):
        do(file.draft, name, number)
    if file.draft.troubles:
        return
    file.save()
    assert read(file.path).plan == file.draft.plan
    assert planwriting.digest(file.path.read_text("utf-8")) == planwriting.digest(file.text or "")
