"""A new plan from five questions, and what stands beside a draft in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.draft.beginning import QUESTIONS, begin, trouble
from purlside.draft.beside import parts
from purlside.draft.drafting import Draft
from purlside.draft.sameness import AsKnit
from purlside.keep.draftfile import free_path
from purlside.rows.checking import faults
from tests.plans import cable, plan

USUAL = [question.usual for question in QUESTIONS]


def answered(**changes: str) -> list[str]:
    names = ("title", "bed", "size", "yarn", "gauge")
    return [changes.get(name, usual) for name, usual in zip(names, USUAL, strict=True)]


def test_the_answers_that_stand_make_a_plan_that_can_be_knit() -> None:
    made = begin(USUAL)
    assert not faults(made)
    assert (str(made.panel.needles), made.panel.rows, made.panel.stitch_size) == ("L24-R24", 180, 5)
    assert (made.machine.pitch_mm, made.machine.needles, made.yarn.fibre, made.gauge) == (4.5, 200, "wool", None)
    assert begin([""] * 5) == made


def test_what_was_answered_stands_in_the_plan() -> None:
    made = begin(["Quay", "3.6 mm, 250", "L9-R12, 77", "cotton, SS 6.5, 300 tex", "29, 41"])
    assert (made.title, made.machine.pitch_mm, made.machine.needles) == ("Quay", 3.6, 250)
    assert (str(made.panel.needles), made.panel.rows, made.panel.stitch_size) == ("L9-R12", 77, 6.5)
    assert made.yarn.fibre == "cotton" and made.yarn.tex == 300
    assert made.gauge is not None and made.gauge.rows_per_10cm == 41


def test_centimetres_are_needles_and_rows_by_the_gauge() -> None:
    made = begin(answered(size="40 cm, 60 cm", gauge="30, 40"))
    assert (len(made.panel.needles), made.panel.rows) == (120, 240)
    assert "centimetres need a gauge" in (trouble(answered(size="40 cm, 60 cm")) or "")


@pytest.mark.parametrize(
    "changes,told",
    [
        ({"bed": "wide"}, "distance between needles"),
        ({"bed": "4.5, 201"}, "even number"),
        ({"size": "300 needles, 10 rows"}, "the bed has 200 needles"),
        ({"size": "48"}, "a comma"),
        ({"size": "R1-L1, 10"}, "left to right"),
        ({"size": "L0-R3, 10"}, "no zero"),
        ({"size": "48, 9999999999"}, "rows"),
        ({"yarn": "wool, SS 40"}, "stitch size"),
        ({"yarn": "wool, 0 tex"}, "tex"),
        ({"gauge": "29"}, "stitches and rows"),
        ({"gauge": "0, 0"}, "stitches and rows"),
        ({"title": "\x1b[31m"}, "control characters"),
        ({"title": "x" * 201}, "at most 200"),
    ],
)
def test_an_answer_that_makes_no_plan_is_told_in_words(changes: dict[str, str], told: str) -> None:
    assert told in (trouble(answered(**changes)) or "")


@given(st.lists(st.text(max_size=40), min_size=5, max_size=5))
def test_any_five_answers_make_a_plan_or_are_refused_in_words(answers: list[str]) -> None:
    try:
        made = begin(answers)
    except ValueError as error:
        assert str(error) and "validation error" not in str(error)
        return
    assert not [fault for fault in faults(made) if fault.key[0] != "yarn"]


@pytest.mark.parametrize("index", [1, 2])
def test_a_number_of_hundreds_of_digits_is_refused_in_words(index: int) -> None:
    answers = [question.usual for question in QUESTIONS]
    answers[index] = f"4.5 mm, {'9' * 400} needles"
    assert trouble(answers) == "a number has too many digits"


def test_a_file_name_is_made_of_the_title_and_no_file_is_met(tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("names")
    first = free_path(folder, "Öland: knots & ropes!")
    assert first.name == "oland-knots-ropes.toml"
    first.touch()
    assert free_path(folder, "Öland: knots & ropes!").name == "oland-knots-ropes-2.toml"
    assert free_path(folder, "../..").name == "plan.toml"


# --- beside the chart -------------------------------------------------------


def told(draft: Draft, **more: object) -> str:
    return "\n".join(f"{part.heading} | {' ; '.join(part.lines)}" for part in parts(draft, **more))  # type: ignore[arg-type]


def test_the_cable_in_hand_is_told_as_written_and_as_it_lies_at_the_bed() -> None:
    text = told(Draft(plan(cable(times=3))))
    assert "rope: 3/3 RC" in text
    assert "rows 8, 16, 24: every 8, 3 times ; R1-R3 over L3-L1: right half at the bed in front" in text
    assert "rows 8, 16 … 40: every 8, 5 times" in told(Draft(plan(cable())))
    assert "row 50 is above the panel: never crossed" in told(Draft(plan(cable(first_row=50))))
    assert "5 of 9 times" in told(Draft(plan(cable(times=9))))


def test_a_crossing_that_will_not_go_over_says_what_would_be_enough() -> None:
    text = told(Draft(plan(cable("R1-R4 over L4-L1"), yarn={"fibre": "wool"})))
    assert "4 over 4, plain: not enough; " in text and "is enough (" in text


def test_faults_are_told_with_the_cable_by_its_name_the_one_in_hand_first() -> None:
    draft = Draft(plan(cable("R8-R9 over R7", name="[b]bead"), cable("L9-L8 over L7", name="knot")))
    draft.select(1)
    wrong = next(part for part in parts(draft) if part.wrong and "Cannot" in part.heading)
    assert wrong.lines[0].startswith("knot: L9–L7") and wrong.lines[1].startswith("[b]bead: R7–R9")


def test_rows_already_knit_are_compared_as_one_drafts() -> None:
    knit = plan(cable())
    draft = Draft(knit)
    assert "On the needles | rows 1–19 are as you knit them" in told(draft, knit=AsKnit(((1, knit),)), row=20)
    draft.move(up=1)
    assert "Already knit otherwise | row 8: R1-R3 over L3-L1 was crossed there" in told(
        draft, knit=AsKnit(((1, knit),)), row=20
    )
    assert "Already" not in told(draft, knit=AsKnit(((1, knit),)), row=8)
