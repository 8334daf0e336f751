"""Fields: what is typed letter by letter, taken into the plan or kept as typed with what is wrong."""

from __future__ import annotations

from typing import Any

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
