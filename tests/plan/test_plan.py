"""The plan: what the knitter wrote, refused where a value is wrong by itself."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, fields, replace
from typing import Any, get_type_hints

import pytest
from hypothesis import given

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.files.tables import checked
from purlside.plan.checked import written
from purlside.plan.plan import MOST_CROSSINGS, MOST_ROWS, Band, Cable, Panel, Plan, Shape, StitchWork
from purlside.plan.problems import Unfit
from purlside.plan.repeats import RowSpan
from purlside.text.harmless import shown, unprintable
from tests.plans import Tables, cable, plan, plan_tables, tables


def refusal(*cables: Any, **more: Any) -> str:
    with pytest.raises(Unfit) as caught:
        plan(*cables, **more)
    return str(caught.value)


@given(plan_tables())
def test_a_plan_is_the_same_after_being_written_out_and_read(data: Tables) -> None:
    of = checked(Plan, data)
    assert checked(Plan, written(of)) == of


def test_a_plan_cannot_be_changed_under_the_one_who_reads_it() -> None:
    of = plan()
    with pytest.raises(FrozenInstanceError):
        setattr(of, "title", "Another")  # noqa: B010 - what is tried is the assignment


def test_the_needles_in_work_are_the_panels_without_the_ladders() -> None:
    of = plan(needles="L2-R2", out=["R1"])
    assert [str(n) for n in of.in_work] == ["L2", "L1", "R2"]


def test_the_bed_is_halved_by_its_centre() -> None:
    machine = plan(machine={"needles": 10}, carriage="left").machine
    assert machine.bed == Span(Needle.parse("L5"), Needle.parse("R5"))
    assert machine.side is Side.LEFT


@pytest.mark.parametrize("prose", ["a\nb\tc", "", "Größe 5 – ⅓ · 編み物 🧶"])
def test_notes_may_have_lines_and_any_script(prose: str) -> None:
    assert plan(notes=prose).notes == prose


@pytest.mark.parametrize("char", ["\0", "\x1b", "\x7f", "\x9b", "\r", "\u2028", "\u202e", "\u2066", "\u200f"])
def test_no_text_carries_what_could_disturb_a_terminal_or_turn_a_page_around(char: str) -> None:
    assert unprintable(f"ab{char}c") == char
    for more in ({"title": f"a{char}b"}, {"notes": f"a{char}b"}, {"reminder": [{"row": 1, "text": char}]}):
        assert "control character" in refusal(**more)
    assert "control character" in refusal(cable(name=f"a{char}b"))
    assert unprintable(shown(f"ab{char}c")) is None


def test_a_title_is_one_line_of_some_length() -> None:
    for title in ("", "two\nlines", "x" * 201):
        refusal(title=title)


def test_long_text_is_shown_cut_with_a_sign() -> None:
    assert shown("x" * 60) == "x" * 60
    assert shown("x" * 61) == "x" * 59 + "…"
    assert shown("x" * 1_000_000, 10) == "x" * 9 + "…"


@pytest.mark.parametrize(
    "ease", ["plain", "auto", "by hand", ["plain"], ["enlarge", "extra rows"], ["extra rows", "enlarge"]]
)
def test_one_ease_or_the_two_that_combine_are_taken(ease: Any) -> None:
    of = plan(cable(ease=ease, enlarged_size=9.0, extra_rows=2))
    assert of.cable[0].eases == frozenset([ease] if isinstance(ease, str) else ease)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"ease": ["plain", "enlarge"]}, "combine"),
        ({"ease": []}, 'or ["enlarge", "extra rows"]'),
        ({"ease": ["by hand", "extra rows"], "extra_rows": 2}, "combine"),
        ({"ease": "enlarge"}, "needs enlarged_size"),
        ({"ease": "extra rows"}, "needs extra_rows"),
        ({"extra_rows": 3}, "wrong side"),
        ({"extra_rows": 0}, "an even whole number, 2 to 40"),
        ({"times": 2, "every": None}, "times needs every"),
        ({"every": 0}, "a whole number, 1 to 20,000"),
        ({"first_row": 0}, "a whole number, 1 to 20,000"),
        ({"first_row": MOST_ROWS + 1}, "a whole number, 1 to 20,000"),
        ({"name": ""}, "1 to 40 characters"),
        ({"cross": []}, "a crossing as"),
        ({"cross": "R1 over R1"}, "share needles"),
    ],
)
def test_a_cable_that_makes_no_sense_is_refused(more: dict[str, Any], told: str) -> None:
    assert told in refusal(cable(**more))


def test_two_cables_need_two_names() -> None:
    assert 'two cables are named "rope"' in refusal(cable(), cable())


def test_a_plan_lists_only_so_many_crossings() -> None:
    many = [cable(["R1 over L1"] * 100, name=f"c{i}") for i in range(MOST_CROSSINGS // 100)]
    plan(*many)
    assert f"at most {MOST_CROSSINGS}" in refusal(*many, cable())


@pytest.mark.parametrize(
    "more",
    [
        {"text": "x"},
        {"text": "x", "row": 3, "first_row": 3},
        {"text": "x", "row": 3, "every": 2},
        {"text": "x", "first_row": 3, "times": 2},
    ],
)
def test_a_reminder_is_told_in_one_row_or_in_a_repeat(more: dict[str, Any]) -> None:
    assert "row" in refusal(reminder=[more])


def test_a_band_sets_something() -> None:
    assert "sets stitch_size or colour" in refusal(band=[{"rows": "1-3"}])


@pytest.mark.parametrize(("text", "first", "last"), [("1-20", 1, 20), ("8", 8, 8), ("8-8", 8, 8), (" 3-4 ", 3, 4)])
def test_a_span_of_rows_is_read_as_written(text: str, first: int, last: int) -> None:
    rows = RowSpan.parse(text)
    assert (rows.first, rows.last) == (first, last)
    assert RowSpan.parse(str(rows)) == rows


@pytest.mark.parametrize("text", ["", "-", "0", "0-3", "4-3", "1-2-3", "1–3", "a-b", "-3", "3-", "１-２", "1" * 5000])
def test_what_is_no_span_of_rows_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a span of rows") as caught:
        RowSpan.parse(text)
    assert len(str(caught.value)) < 200


def test_a_plan_can_be_hashed_and_its_types_are_known() -> None:
    of, again = plan(cable(["R1 over L1", "L1 over R1"])), plan(cable(["R1 over L1", "L1 over R1"]))
    assert hash(of) == hash(again) and len({of, again}) == 1
    tables: list[Any] = [
        Plan,
        Cable,
        Shape,
        *(type(getattr(of, name)) for name in ("machine", "tools", "yarn", "panel")),
    ]
    for table in tables:
        assert get_type_hints(table).keys() >= {field.name for field in fields(table)}
    assert get_type_hints(Plan)["cable"] == tuple[Cable, ...]
    assert pickle.loads(pickle.dumps(of)) == of


@pytest.mark.parametrize(
    "make",
    [
        lambda: Panel(needles=Span(Needle(-400), Needle(3)), rows=9, stitch_size=5),
        lambda: Cable(
            name="rope", cross=Crossing(Span(Needle(0), Needle(1)), Span(Needle(2), Needle(900))), first_row=3
        ),
        lambda: StitchWork(needles=(Needle(700),), do="bead", first_row=3),
        lambda: Band(rows=RowSpan(1, 10**12), colour="slate"),
        lambda: replace(plan().panel, out_of_work=(Needle(300),)),
    ],
)
def test_values_off_every_bed_are_refused_though_they_never_were_text(make: Callable[[], Any]) -> None:
    with pytest.raises(Unfit, match=r"off every bed|each side of the centre|span of rows"):
        make()


def test_yarn_is_weighed_once() -> None:
    assert "keep one" in refusal(yarn={"tex": 280.0, "count": "2/8 Nm"})


@pytest.mark.parametrize("value", [True, 1.0, "1", 2, 0, None])
def test_another_format_than_ours_is_not_guessed_at(value: Any) -> None:
    with pytest.raises(Unfit):
        checked(Plan, {**tables(), "format": value})


def test_marks_piled_on_one_character_are_refused_where_a_scripts_own_are_taken() -> None:
    assert "more than 5 combining marks on one character, as U+0301" in refusal(cable(name="Z" + "\u0301" * 6))
    plan(cable(name="Z" + "\u0301" * 5 + "a\u0323\u0302"))
