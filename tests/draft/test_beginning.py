"""A new plan from five questions, and what stands beside a draft in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.draft.beginning import QUESTIONS, NotUnderstood, begin, hear
from purlside.draft.beside import parts
from purlside.draft.drafting import Draft
from purlside.draft.sameness import AsKnit
from purlside.keep.draftfile import free_path
from purlside.rows.checking import faults
from tests.plans import cable, plan

USUAL = [question.usual for question in QUESTIONS]
NAMES = ("title", "bed", "yarn", "gauge", "size")


def answered(**changes: str) -> list[str]:
    return [changes.get(name, usual) for name, usual in zip(NAMES, USUAL, strict=True)]


def understood(**changes: str) -> str:
    """How the last of the answers given is understood."""
    heard = hear(answered(**changes))[NAMES.index(list(changes)[-1])]
    assert not heard.wrong, heard.words
    return heard.words


def test_the_answers_that_stand_make_a_plan_that_can_be_knit() -> None:
    made = begin(USUAL)
    assert not faults(made)
    assert (str(made.panel.needles), made.panel.rows, made.panel.stitch_size) == ("L24-R24", 180, 5)
    assert (made.machine.pitch_mm, made.machine.needles, made.yarn.fibre, made.gauge) == (4.5, 200, "wool", None)
    assert begin([""] * 5) == made


def test_what_was_answered_stands_in_the_plan() -> None:
    made = begin(["Quay", "3.6 mm, 250", "cotton, SS 6.5, 300 tex", "29, 41", "L9-R12, 77"])
    assert (made.title, made.machine.pitch_mm, made.machine.needles) == ("Quay", 3.6, 250)
    assert (str(made.panel.needles), made.panel.rows, made.panel.stitch_size) == ("L9-R12", 77, 6.5)
    assert made.yarn.fibre == "cotton" and made.yarn.tex == 300
    assert made.gauge is not None and made.gauge.rows_per_10cm == 41


def test_a_wider_pitch_has_fewer_needles_where_none_are_named() -> None:
    assert [begin(answered(bed=f"{pitch} mm")).machine.needles for pitch in (3.6, 4.5, 6.5, 9)] == [250, 200, 150, 110]


@pytest.mark.parametrize(
    ("answer", "words", "tex", "size"),
    [
        ("wool 2/8 Nm, SS 5", "wool, 2/8 Nm, that is 250 tex, stitch size 5", 250, 5),
        ("2 × 2/30 Nm silk, SS 4", "silk, 2 x 2/30 Nm, that is 133.3 tex, stitch size 4", 133.33, 4),
        ("Nm 2/8 merino T6", "merino, Nm 2/8, that is 250 tex, stitch size 6", 250, 6),
        ("cotton 8/2 Ne SS 5⅓", "cotton, 8/2 Ne, that is 147.6 tex, stitch size 5⅓", 147.64, 5.33),
        ("420 m per 100 g alpaca, dial 7", "alpaca, 420 m per 100 g, that is 238.1 tex, stitch size 7", 238.1, 7),
        ("wool, SS 5 2/3, 280 tex", "wool, 280 tex, stitch size 5⅔", 280, 5.67),
        ("wool 5", "wool, stitch size 5", None, 5),
        ("2/28 Nm cashmere, 3 ends, SS 6", "cashmere, 3 x 2/28 Nm, that is 214.3 tex, stitch size 6", 214.29, 6),
        ("100% merino 2/28 Nm T5..", "merino, 2/28 Nm, that is 71.43 tex, stitch size 5⅔", 71.43, 5.67),
        ("50/50 wool silk, 2/20 Nm MT4", "50/50 wool silk, 2/20 Nm, that is 100 tex, stitch size 4", 100, 4),
        ("2-ply wool 2/8 Nm TD 5", "wool, 2/8 Nm, that is 250 tex, stitch size 5", 250, 5),
        ("Nm 3/4 wool", "3 plies of 4, 750 tex; 4 plies of 3 would be 1333 tex", 750, 5),
        ("unobtainium, SS 3", "this fibre's stretch is not known here", None, 3),
    ],
)
def test_yarns_are_read_as_they_stand_on_the_band(answer: str, words: str, tex: float | None, size: float) -> None:
    assert words in understood(yarn=answer)
    made = begin(answered(yarn=answer))
    assert (made.yarn.tex, made.panel.stitch_size) == (tex, size)


@pytest.mark.parametrize(
    "answer",
    [
        "7 st and 10 rows to the inch",
        "7 st, 10 rows per inch",
        "10 rows and 7 stitches per inch",
        "28 sts and 40 rows = 4 in",
        "28 st x 40 rows over 4 inches",
        "70/100 in 10 in",
    ],
)
def test_a_gauge_to_the_inch_is_a_gauge(answer: str) -> None:
    """The inch is 2.54 cm exactly, by the international agreement of 1959."""
    assert understood(gauge=answer).startswith("27.56 stitches and 39.37 rows in 10 cm; 7 and 10 to the inch")


@pytest.mark.parametrize(
    "answer", ["29, 41", "29 x 41", "29 st and 41 rows in 10 cm", "41 rows, 29 sts per 10cm", "2.9 st 4.1 r / cm"]
)
def test_a_gauge_is_in_10_cm_where_nothing_else_is_said(answer: str) -> None:
    made = begin(answered(gauge=answer)).gauge
    assert made is not None and (made.stitches_per_10cm, made.rows_per_10cm) == (29, 41)


@pytest.mark.parametrize(
    "answer",
    [
        "29 st and 41 rows in 10 cm at SS 6",
        "TD 6: 29 sts, 41 rows",
        "29 sts x 41 rows = 10 cm, tension 6",
        "29, 41, T6",
    ],
)
def test_a_gauge_may_say_the_dial_it_was_knit_at(answer: str) -> None:
    made = begin(answered(gauge=answer)).gauge
    assert made is not None and (made.stitches_per_10cm, made.rows_per_10cm, made.stitch_size) == (29, 41, 6)
    assert understood(gauge=answer).endswith("knit at SS 6")


@pytest.mark.parametrize(
    "answer",
    [
        "40 st = 16 cm, 60 rows = 15 cm",
        "40 sts measure 16 cm and 60 rows measure 15 cm",
        "tension square 40 sts 60 rows 16 x 15 cm",
        "40 sts and 60 rows, 16 cm by 15 cm",
    ],
)
def test_a_swatch_may_be_given_as_it_was_measured(answer: str) -> None:
    made = begin(answered(gauge=answer)).gauge
    assert made is not None and (made.stitches_per_10cm, made.rows_per_10cm) == (25, 40)


@pytest.mark.parametrize(
    ("answer", "pitch", "needles"),
    [
        ("4.5 mm × 200 needles", 4.5, 200),
        ("150 needles, 6.5 mm", 6.5, 150),
        ("chunky", 9, 110),
        ("standard gauge, 180 needles", 4.5, 180),
        ("9mm chunky, 112 needles", 9, 112),
        ("5.64 per inch", 4.5, 200),
        ("7.06 needles per inch, 250 needles", 3.6, 250),
        ("3.18 to the inch", 8, 110),
        ("2.82/in", 9, 110),
        ("120 needles, 3.18 per inch", 8, 120),
        ("5 1/2 needles to an inch", 4.62, 200),
        ('4.23 per "', 6, 150),
    ],
)
def test_a_bed_is_read_as_it_is_spoken_of(answer: str, pitch: float, needles: int) -> None:
    made = begin(answered(bed=answer)).machine
    assert (made.pitch_mm, made.needles) == (pitch, needles)


@pytest.mark.parametrize(
    ("answer", "needles", "rows", "wanted"),
    [
        ("22 cm x 160 cm", "L32-R32", 656, (22, 160)),
        ("22x160 cm", "L32-R32", 656, (22, 160)),
        ("220 mm by 1.6 m", "L32-R32", 656, (22, 160)),
        ("22,5 cm × 160 cm", "L32-R33", 656, (22.5, 160)),
        ("9 in × 60 in", "L33-R33", 625, (22.86, 152.4)),
        ("9 in, 60 in", "L33-R33", 625, (22.86, 152.4)),
        ('9" by 60"', "L33-R33", 625, (22.86, 152.4)),
        ("9 1/2 in x 180 rows", "L35-R35", 180, (24.13, None)),
        ("48 needles, 180 rows", "L24-R24", 180, None),
        ("48 sts 180 rows", "L24-R24", 180, None),
        ("180 rows, 48 needles", "L24-R24", 180, None),
        ("24-0-24, 180 rows", "L24-R24", 180, None),
        ("24L-24R 180 rows", "L24-R24", 180, None),
        ("160 cm long, 22 cm wide", "L32-R32", 656, (22, 160)),
        ("9 inches wide by 5 feet long", "L33-R33", 625, (22.86, 152.4)),
        ("L9-R12 x 160 cm", "L9-R12", 656, (None, 160)),
    ],
)
def test_a_size_in_cm_or_inches_is_needles_and_rows_and_stays_in_the_plan_as_wanted(
    answer: str, needles: str, rows: int, wanted: tuple[float | None, float | None] | None
) -> None:
    made = begin(answered(gauge="29, 41", size=answer))
    assert (str(made.panel.needles), made.panel.rows) == (needles, rows)
    assert (made.wanted and (made.wanted.width_cm, made.wanted.length_cm)) == wanted


def test_a_size_is_shown_back_in_needles_rows_cm_and_inches() -> None:
    assert understood(gauge="29, 41", size="9 in x 60 in") == (
        "66 needles, L33-R33, and 625 rows: 22.8 × 152.4 cm (9.0 × 60.0 in) before take-in"
    )


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"bed": "wide"}, "distance between needles"),
        ({"bed": "4.5, 201"}, "even number"),
        ({"size": "300 needles, 10 rows"}, "the bed has 200 needles"),
        ({"size": "48"}, "a comma"),
        ({"size": "180 rows, 48 rows"}, "the width comes first"),
        ({"size": "48 bananas, 10 rows"}, "write needles, rows, cm or in"),
        ({"size": "40 cm, 60 cm"}, "centimetres need a gauge"),
        ({"size": "9 in x 60 in"}, "inches need a gauge"),
        ({"size": "R1-L1, 10"}, "left to right"),
        ({"size": "L0-R3, 10"}, "no zero"),
        ({"size": "48, 9999999999"}, "rows"),
        ({"yarn": "wool, SS 40"}, "stitch size"),
        ({"yarn": "wool, 0 tex"}, "0 tex"),
        ({"yarn": "wool 4 ply, SS 5"}, "“4 ply” says how many plies, not how thick"),
        ({"yarn": "acrylic 2/32"}, "Nm, Ne or worsted?"),
        ({"gauge": "29"}, "stitches and rows"),
        ({"gauge": "0, 0"}, "1 to 300 stitches"),
        ({"title": "\x1b[31m"}, "control characters"),
        ({"title": "x" * 201}, "at most 200"),
    ],
)
def test_an_answer_that_cannot_be_read_is_refused_at_its_own_line(changes: dict[str, str], told: str) -> None:
    [name] = changes
    heard = hear(answered(**changes))
    assert [i for i, each in enumerate(heard) if each.wrong] == [NAMES.index(name)]
    assert told in heard[NAMES.index(name)].words
    with pytest.raises(NotUnderstood) as refused:
        begin(answered(**changes))
    assert refused.value.index == NAMES.index(name)


@given(st.lists(st.text(max_size=40), min_size=5, max_size=5))
def test_any_five_answers_make_a_plan_or_are_refused_in_words(answers: list[str]) -> None:
    try:
        made = begin(answers)
    except NotUnderstood as error:
        assert str(error) and "validation error" not in str(error)
        return
    assert not [fault for fault in faults(made) if fault.key[0] != "yarn"]


@pytest.mark.parametrize("index", [1, 4])
def test_a_number_of_hundreds_of_digits_is_refused_in_words(index: int) -> None:
    answers = [question.usual for question in QUESTIONS]
    answers[index] = f"4.5 mm, {'9' * 400} needles"
    assert hear(answers)[index].wrong


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
    assert "4 over 4, plain: won't reach; " in text and " will (" in text


def test_faults_are_told_with_the_cable_by_its_name_the_one_in_hand_first() -> None:
    draft = Draft(plan(cable("R8-R9 over R7", name="[b]bead"), cable("L9-L8 over L7", name="knot")))
    draft.select(1)
    wrong = next(part for part in parts(draft) if part.wrong and part.lines)
    assert wrong.lines[0].startswith("knot: L9–L7") and wrong.lines[1].startswith("[b]bead: R7–R9")


def test_rows_already_knit_are_compared_as_one_drafts() -> None:
    knit = plan(cable())
    draft = Draft(knit)
    assert "On the needles | rows 1–19 are as you knit them" in told(draft, knit=AsKnit(((1, knit),)), row=20)
    draft.move(up=1)
    assert "Doesn't match your knitting | row 8: R1-R3 over L3-L1 was crossed there" in told(
        draft, knit=AsKnit(((1, knit),)), row=20
    )
    assert "match your" not in told(draft, knit=AsKnit(((1, knit),)), row=8)
