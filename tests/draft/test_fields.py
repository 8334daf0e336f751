"""Fields: what is typed letter by letter, taken into the plan or kept as typed with what is wrong."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.draft import fields
from purlside.draft.drafting import Draft
from purlside.fabric.stitches import Face
from purlside.plan.plan import Plan
from tests.plans import cable, plan, plans


def draft(*cables: dict[str, Any], face: Face = Face.KNIT, **more: Any) -> Draft:
    return Draft(plan(*cables, **more), face=face)


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


def test_every_key_of_the_plan_file_is_a_field_and_takes_its_own_text() -> None:
    of = plan(
        cable(part="left front", follows="left", take_in=0.8, motif="rope"),
        part=[{"name": "left front", "needles": "L6-L1", "rows": 9, "carriage": "left"}],
        shape=[{"edge": "both", "do": "decrease", "stitches": 2, "tool": 3, "first_row": 9}],
        stitch=[{"needles": "L6-L5, R2", "do": "enlarge", "size": 9, "first_row": 3}],
        machine={"release_hold": True, "dial": [1.0, 9.0]},
        gauge={"stitches_per_10cm": 28, "rows_per_10cm": 40, "stitch_size": 5},
        wanted={"width_cm": 52},
        yarn={"reach_limit": 0.9, "loop_mm": {"5": 12.0}},
        tools={"prongs": [1, 2, 3]},
    )
    texts = {found.key: found.text for found in fields.fields(of, 0)}
    assert texts["shape", 0, "stitches"] == "2"
    assert texts["stitch", 0, "needles"] == "L6-L5, R2"
    assert texts["machine", "release_hold"] == "yes"
    assert texts["machine", "dial"] == "1 to 9"
    for key, text in texts.items():
        assert fields.apply(of, key, text, {}) == (of, []), key


@pytest.mark.parametrize(
    ("key", "text", "told"),
    [
        (("shape", 0, "stitches"), "all", 'only "return" takes "all"'),
        (("shape", 0, "do"), "decreases", 'allowed: "decrease", "increase"'),
        (("stitch", 0, "needles"), "L6 to L5", "write a needle as L3"),
        (("machine", "release_hold"), "perhaps", "allowed: true or false"),
        (("shape", 0, "part"), "yoke", "the plan has no part"),
        (("wanted", "width_cm"), "wide", "the finished width in cm"),
    ],
)
def test_a_text_of_the_new_tables_that_cannot_be_taken_in_is_told_at_its_key(
    key: tuple[str | int, ...], text: str, told: str
) -> None:
    of = plan(
        shape=[{"edge": "both", "do": "decrease", "first_row": 9}],
        stitch=[{"needles": "L6", "do": "bead", "first_row": 3}],
    )
    none, (problem,) = fields.apply(of, key, text, {})
    assert none is None and problem.key == key
    assert told in str(problem)
