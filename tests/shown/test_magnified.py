"""The magnified view: big letters for row, pass and size, and a cable's needles that can be read from two metres."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from purlside.bed.bed import Position
from purlside.bed.moves import Dial
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.steps import Step
from purlside.rows.working import Working
from purlside.shown import magnified, strip
from purlside.shown.framing import Frame
from purlside.shown.letters import HEIGHT, LETTERS, big
from tests.plans import cable, plan

SIZES = [(80, 22), (100, 28), (200, 48), (60, 18), (40, 22), (30, 20)]


def steps_of(wanted: Plan, row: int = 8) -> Iterator[tuple[strip.View, Step, float]]:
    """The view, step and dial of each step of a row."""
    knitting = Knitting(Working(wanted), Place(row, 0))
    while knitting.place.row == row and (step := knitting.step) is not None and knitting.row is not None:
        moves = knitting.moves[knitting.place.done : step.last]
        dial = next((m.size for m in step.moves if isinstance(m, Dial)), knitting.step_dial)
        yield strip.View(knitting.bed, moves, knitting.row.crossed, knitting.row.size), step, dial
        knitting.go(knitting.next_place())


PLANS = {
    "rope": plan(cable(ease="enlarge", enlarged_size=9.0), needles="L20-R20"),
    "wide": plan(cable("L12-L1 over R1-R12"), needles="L60-R60"),
    "edge": plan(cable("L6-L4 over L3-L1", ease="extra rows", extra_rows=2)),
    "two": plan(cable(), cable("R20-R21 over R22-R23", name="other"), needles="L30-R30"),
    "none": plan(needles="L90-R90"),
}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("which", PLANS)
def test_every_mark_is_true_and_nothing_is_wider_than_the_screen(which: str, size: tuple[int, int]) -> None:
    width, height = size
    for view, step, dial in steps_of(PLANS[which]):
        for glyphs in (strip.UNICODE, strip.ASCII):
            lines = strip.text(magnified.screen(view, 8, step, dial, width, height, glyphs)).splitlines()
            assert all(len(line) <= width for line in lines)
            fit = magnified.part(view, width - strip.GUTTER)
            for name, lane in (("working", Position.WP), ("upper", Position.UWP), ("holding", Position.HP)):
                check_lane(view, lines, name, lane, fit, glyphs)


def check_lane(view: strip.View, lines: list[str], name: str, lane: Position, fit: Frame, glyphs: strip.Glyphs) -> None:
    """Each needle's mark fills its columns in its lane, in each of the lane's lines."""
    at = next(i for i, line in enumerate(lines) if line.startswith(name))
    marks = (glyphs.needle, glyphs.outward, glyphs.inward)
    for place in range(fit.first, fit.last + 1):
        column = strip.GUTTER + fit.column(place)
        drawn = f"{lines[at]:<{column + 1}}"[column]
        assert (drawn in marks) == (view.bed.at(place) is lane), (name, place)


def test_the_cable_fills_the_screen() -> None:
    view, _, _ = next(steps_of(PLANS["rope"]))
    fit = magnified.part(view, 70)
    assert (fit.first, fit.last) == (-4, 3)
    assert fit.per >= 8


def test_of_a_cable_too_wide_one_half_is_shown() -> None:
    for view, step, _ in steps_of(PLANS["wide"]):
        fit = magnified.part(view, 54)
        assert fit.per >= magnified.LEAST
        if step.crosses is None:
            assert (fit.first, fit.last) in ((-12, -1), (0, 11))


def test_what_is_written_big_is_the_row_the_pass_and_what_to_do() -> None:
    told = [magnified.told(8, step, dial) for _, step, dial in steps_of(PLANS["rope"])]
    assert told == [
        ("ROW 8  1/5", "> knit SS 5"),
        ("ROW 8  2/5", "< back up"),
        ("ROW 8  3/5", "> knit SS 9"),
        ("ROW 8  4/5", "< back up"),
        ("ROW 8  5/5", "> knit SS 5"),
        ("ROW 8 CROSS", "right first"),
    ]
    assert magnified.told(41, None, 5) == ("FINISHED", "")


def test_a_step_of_weights_alone_asks_for_no_needle() -> None:
    weights = plan(panel={"needles": "L6-R6", "rows": 9, "stitch_size": 5.0, "weights_every": 4})
    assert [magnified.told(4, step, 5.0) for _, step, _ in steps_of(weights, 4)] == [
        ("ROW 4", "> knit SS 5"),
        ("ROW 4", "weights up"),
    ]


def test_sizes_between_whole_numbers_are_spelled() -> None:
    assert magnified.spelled(6 + 1 / 3) == "6 1/3"
    assert magnified.spelled(5.0) == "5"


def test_big_letters_are_all_of_one_height_and_all_different() -> None:
    shapes: dict[tuple[str, ...], list[str]] = {}
    for letter, rows in LETTERS.items():
        assert len(rows) == HEIGHT
        assert len({len(row) for row in rows}) == 1
        shapes.setdefault(rows, []).append(letter)
    assert [same for same in shapes.values() if len(same) > 1] in ([], [["O", "0"]])


def test_big_letters_grow_with_the_room_and_are_cut_with_a_sign() -> None:
    assert len(big("ROW 8", 60)) == 2 * HEIGHT
    assert len(big("ROW 8", 30)) == HEIGHT
    assert all(len(line) <= 20 for line in big("ROW 123456", 20))


def test_big_figures_stand_apart_from_the_call_above_them_where_there_is_room() -> None:
    view, step, dial = next(steps_of(PLANS["rope"]))
    tall, low = (magnified.screen(view, 8, step, dial, 100, height, strip.UNICODE) for height in (40, 14))
    assert strip.text(tall[:1]) == "" and "█" in strip.text(tall[1:2])
    assert strip.text(low[:1]) != ""


def test_a_ladder_beside_the_cable_is_told() -> None:
    view, step, dial = next(steps_of(plan(cable(), out=["L4", "R4"])))
    for height in (22, 14):
        lines = strip.text(magnified.screen(view, 8, step, dial, 80, height, strip.UNICODE)).splitlines()
        fit = magnified.part(view, 70)
        working = next(line for line in lines if line.startswith("working"))
        crosses = [i for i, char in enumerate(working) if char == strip.UNICODE.none]
        assert crosses == [strip.GUTTER + fit.column(place) for place in (-4, 3)]
