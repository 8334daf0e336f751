"""The bedside at every size: what a knitter must be able to read from it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from purlside.bed.headline import Headline
from purlside.bed.moves import Dial, Hold, Knit
from purlside.bed.needles import Needle
from purlside.files.planfile import read
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.steps import lines_by_move
from purlside.rows.working import Working
from purlside.shown.bedside import BedsideNow, Look
from purlside.shown.callbar import Trouble
from purlside.shown.capitals import TALL, capitals, width_of
from purlside.shown.layout import screen
from purlside.shown.thisrow import headlines, step_spoken
from purlside.text.signs import ASCII, UNICODE, text
from tests.plans import cable, plan, plans

PATTERNS = Path(__file__).parents[2] / "patterns"
SIZES = [(40, 12), (60, 20), (80, 24), (100, 30), (132, 43), (200, 50), (250, 60)]
LADDERED = plan(cable("R1-R3 over L3-L1", ease="enlarge", enlarged_size=9.0), needles="L20-R20", out=["R8", "L9"])


def of(wanted: Plan, row: int, done: int = 0, **more: Any) -> BedsideNow:
    knitting = Knitting(Working(wanted), Place(row, done))
    return BedsideNow(knitting=knitting, call=knitting.call(), **more)


def drawn(bedside: BedsideNow, size: tuple[int, int], look: Look = Look()) -> str:  # noqa: B008
    lines = screen(bedside, *size, look)
    assert len(lines) == size[1]
    return text(lines)


def places(wanted: Plan, rows: range) -> Iterator[Knitting]:
    """Every move of some rows."""
    knitting = Knitting(Working(wanted), Place(rows[0], 0))
    while knitting.place.row in rows:
        yield knitting
        knitting.go(knitting.next_move_place())


def in_capitals(words: str, told: str) -> bool:
    """Whether words are drawn large, at any scale, on one line."""
    return any(all(line.rstrip() in told for line in capitals(words, scale)) for scale in (1, 2, 3, 4))


# --- the headline -------------------------------------------------------------


def test_the_first_thing_to_do_is_the_largest_thing_on_the_screen() -> None:
    bedside = of(LADDERED, 8)
    assert isinstance(bedside.knitting.moves[0], Hold)
    told = drawn(bedside, (100, 30))
    assert in_capitals("HOLD L3–R20", told)
    assert "is the hold lever on?" in told and "not R8" in told, "a needle pusher would take the ladder along"
    assert "then KNIT ► L20–L4 SS 5" in told


def test_move_by_move_the_headline_is_the_move_in_hand() -> None:
    seen = []
    for knitting in places(plan(cable(ease="enlarge", enlarged_size=9.0)), range(7, 9)):
        head = BedsideNow(knitting=knitting).headlines[0]
        seen.append(head.words)
        assert in_capitals(head.words, drawn(BedsideNow(knitting=knitting), (100, 30)))
    assert seen == [
        "KNIT ◄ 1 ROW",
        "HOLD L3–R6",
        "KNIT ► L6–L4 SS 5",
        "HOLD L6–L4",
        "BACK UP ◄",
        "DIAL SS 9",
        "RETURN L3–L1",
        "KNIT ► L3–L1 SS 9",
        "HOLD L3–L1",
        "BACK UP ◄",
        "DIAL SS 5",
        "RETURN R1–R6",
        "KNIT ► R1–R6 SS 5",
        "RETURN L6–L1",
        "CROSS R1–R3 FIRST",
        "WEIGHTS UP",
    ]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("magnify", [False, True])
def test_every_size_shows_headline_row_side_rows_to_the_crossing_and_the_moves(
    size: tuple[int, int], magnify: bool
) -> None:
    for look in (Look(magnified=magnify), Look(ASCII, magnified=magnify)):
        for knitting in places(LADDERED, range(6, 9)):
            bedside = BedsideNow(knitting=knitting, call=knitting.call())
            told = drawn(bedside, size, look)
            head = bedside.headlines[0]
            assert "?" not in head.words
            large = [*capitals(head.words, glyphs=look.glyphs), *capitals(head.verb, glyphs=look.glyphs)]
            scaled = [line for scale in range(1, 9) for line in capitals(head.verb, scale, look.glyphs)]
            assert (
                f" {head.words} " in told
                or head.verb in told
                or any(line.rstrip() in told for line in (*large, *scaled))
            )
            row = knitting.place.row
            assert re.search(rf"Row {row} of 40", told) or all(
                line.rstrip() in told for line in capitals(str(row), glyphs=look.glyphs)
            )
            assert knitting.side.carriage in told
            assert re.search(
                r"cross(ing)? in 2|in 2\b|next row|NEXT|crossing row|CROSSING ROW|cross it after this row", told
            )
            assert "SS " in told and "hold on" in told


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (100, 30), (200, 50)])
def test_every_fact_of_a_step_is_on_the_screen_without_a_key(size: tuple[int, int]) -> None:
    for knitting in places(LADDERED, range(8, 9)):
        told = " ".join(drawn(BedsideNow(knitting=knitting), size).split())
        step = knitting.step
        assert step is not None
        by_move = lines_by_move(step, knitting.dial_at(step.first), knitting.working.in_work)
        for line in (line for move in by_move[knitting.place.done - step.first :] for line in move):
            for word in line.split():
                assert word in told, (line, told)
        assert "more: Down" not in told


def test_where_a_step_has_too_many_lines_they_are_counted_and_come_up_move_by_move() -> None:
    wide = plan(cable("R1-R9 over L9-L1"), needles="L40-R40")
    knitting = Knitting(Working(wide), Place(8, 0))
    while knitting.step is not None and knitting.step.crosses is None:
        knitting.go(knitting.next_place())
    seen = []
    while knitting.place.row == 8:
        told = drawn(BedsideNow(knitting=knitting), (40, 9))
        seen.append(re.search(r"… (\d+) more: Down", told))
        knitting.go(knitting.next_move_place())
    assert seen[0] is not None
    assert seen[-1] is None


def test_one_long_step_of_a_row_takes_the_bed_from_no_other() -> None:
    wide = of(plan(cable("R1-R14 over L14-L1"), needles="L40-R40"), 8)
    assert [bool(step.crosses) for step in wide.knitting.steps] == [False, True], "the crossing is the long one"
    assert "needle " in drawn(wide, (50, 16))


def test_nothing_but_the_marks_moves_from_step_to_step_of_a_row() -> None:
    for size in SIZES[2:]:
        tops = set()
        for knitting in places(LADDERED, range(8, 9)):
            lines = drawn(BedsideNow(knitting=knitting), size).splitlines()
            tops.add(next(i for i, line in enumerate(lines) if line.strip().startswith("needle ")))
        assert len(tops) == 1, size


def test_while_hold_is_on_crossed_needles_are_not_to_go_as_far_as_holding() -> None:
    bedside = of(LADDERED, 8)
    while bedside.knitting.step is not None and bedside.knitting.step.crosses is None:
        bedside.knitting.go(bedside.knitting.next_place())
    assert "out to upper working, not as far as holding" in " ".join(drawn(bedside, (80, 24)).split())


# --- counts, call, row ---------------------------------------------------------


def test_the_state_of_the_machine_that_needles_do_not_show_is_always_there() -> None:
    trip = plan(cable(ease="enlarge", enlarged_size=9.0), machine={"counter_trip": "centre"})
    knitting = Knitting(Working(trip), Place(8, 5))
    assert isinstance(knitting.moves[4], Dial)
    counts = knitting.counts
    assert counts is not None
    for size in SIZES:
        told = drawn(BedsideNow(knitting=knitting, reading=counts.reading(0)), size)
        assert "SS 9" in told and "hold on" in told
        assert re.search(r"(counter|RC) 7–8|(counter|RC) \d", told), (size, told)


def test_the_row_is_ticked_off_as_one_goes() -> None:
    knitting = Knitting(Working(LADDERED), Place(8, 0))
    for hand in range(len(knitting.steps)):
        lines = drawn(BedsideNow(knitting=knitting), (110, 34)).splitlines()
        listed = lines[next(i for i, line in enumerate(lines) if "This row" in line) + 1 :][: len(knitting.steps)]
        marks = [re.search(r"  ([■►]?) +(knit|hold|cross)", line[60:]) for line in listed]
        assert [mark and mark[1] for mark in marks] == ["■"] * hand + ["►"] + [""] * (len(listed) - hand - 1)
        knitting.go(knitting.next_place())


def test_what_comes_is_outlined_and_what_is_here_is_filled() -> None:
    coming = screen(of(LADDERED, 7), 80, 24, Look())
    here = screen(of(LADDERED, 8), 80, 24, Look())
    assert "┤ CROSSING ROW NEXT (row 8): rope, 3 over 3, right half in front ├" in text(coming)
    assert any(tone == "now" and "CROSSING ROW: rope" in part for line in here for part, tone in line)


def test_a_plan_changed_by_another_program_is_said_with_the_call_and_without() -> None:
    trouble = Trouble("PLAN CHANGED", "PLAN CHANGED: by another program")
    assert "!! PLAN CHANGED: by another program !!" in drawn(of(LADDERED, 2, trouble=trouble), (80, 24))
    told = drawn(of(LADDERED, 8, trouble=trouble), (80, 24))
    assert "!! PLAN CHANGED" in told and "CROSSING ROW" in told


def test_of_many_cables_those_left_out_are_counted_and_a_long_name_is_cut_before_its_count() -> None:
    long = "a cable whose name is as long as is"
    many = plan(
        *(cable(f"R{n}-R{n + 1} over R{n + 2}-R{n + 3}", name=f"{long} {n}") for n in (1, 5, 9)), needles="L20-R20"
    )
    told = drawn(of(many, 1), (64, 24)).splitlines()
    (line,) = [line for line in told if "0 of 5" in line]
    assert re.search(r"… 0 of 5, crosses after row 8, in 7  \+2 more$", line)


def test_notes_and_a_changed_plan_hide_no_move() -> None:
    said: dict[str, Any] = {"notes": ("word " * 30,), "changed": "The plan is another now. " * 9}
    for size in SIZES[1:]:
        for knitting in places(LADDERED, range(8, 9)):
            told = drawn(BedsideNow(knitting=knitting, **said), size)
            step = knitting.step
            assert step is not None
            words = step.moves[-1].words(knitting.working.in_work).split()[-1]
            assert words in told, (size, told)


def test_at_the_end_it_says_what_to_do_with_the_panel() -> None:
    for size in SIZES:
        told = " ".join(drawn(of(LADDERED, 41), size).split())
        assert "Cast off, or knit on in waste yarn" in told
        assert "THE PANEL IS FINISHED" in told


@examples(max_examples=60, deadline=None)
@given(plans(), st.data())
def test_any_plan_at_any_size_is_drawn_within_its_lines_and_in_ascii_as_in_lines(
    wanted: Plan, data: st.DataObject
) -> None:
    knitting = Knitting(Working(wanted), Place(data.draw(st.integers(1, wanted.panel.rows)), 0))
    for _ in range(data.draw(st.integers(0, 8))):
        knitting.go(knitting.next_move_place())
    size = data.draw(st.integers(12, 260)), data.draw(st.integers(4, 60))
    look = Look(magnified=data.draw(st.booleans()), per=data.draw(st.sampled_from([None, 1, 2, 3])))
    bedside = BedsideNow(knitting=knitting, call=knitting.call(), why=data.draw(st.booleans()))
    lines, plain = (drawn(bedside, size, replace(look, glyphs=g)).splitlines() for g in (UNICODE, ASCII))
    assert [len(line) for line in lines] == [len(line) for line in plain]


# --- capitals -----------------------------------------------------------------


def test_every_letter_is_three_lines_high_and_no_two_are_alike() -> None:
    signs = [*"ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/.,-+?!'()", "►", "◄"]
    known: dict[tuple[str, ...], str] = {}
    for sign in signs:
        lines = tuple(capitals(sign))
        assert len(lines) == TALL // 2 and len({len(line) for line in lines}) == 1
        # A zero is not an O, a five not an S.
        assert lines not in known, (sign, known.get(lines))
        known[lines] = sign


MARKER = "Tie a marker at both edges: the armhole begins here"


def test_a_reminder_is_read_at_a_glance_and_said_whole() -> None:
    """Its own words are the largest, cut after a whole word; beside them and aloud the rest is told."""
    marked = plan(needles="L20-R20", rows=20, reminder=[{"text": MARKER, "row": 3}, {"text": "Café: wash!", "row": 5}])
    bedside = of(marked, 3)
    assert bedside.headlines[0] == Headline("Tie a marker at…", aside=MARKER)
    for size in SIZES:
        told = drawn(bedside, size)
        assert in_capitals("Tie a marker at...", told) or " Tie a marker at… " in told, size
        assert not in_capitals("REMINDER", told)
        assert MARKER in " ".join(told.split()), "the whole of it stands among the moves"
        assert all(len(line) <= size[0] for line in told.splitlines())
    assert in_capitals("TIE A MARKER AT...", drawn(bedside, (80, 24)))
    assert step_spoken(bedside.knitting).startswith(MARKER)
    short = of(marked, 5)
    assert short.headlines[0] == Headline("Café: wash!"), "nothing is cut, so nothing is told twice"
    assert in_capitals("CAFE: WASH!", drawn(short, (100, 30)))


def test_a_reminder_of_one_long_word_is_cut_all_the_same() -> None:
    head = of(plan(reminder=[{"text": "W" * 60, "row": 2}]), 2).headlines[0]
    assert head.verb == "W" * 17 + "…"
    for size in SIZES:
        for look in (Look(), Look(ASCII), Look(magnified=True)):
            told = drawn(of(plan(reminder=[{"text": "W" * 60, "row": 2}]), 2), size, look)
            assert all(len(line) <= size[0] for line in told.splitlines()), size


def test_every_headline_can_be_drawn() -> None:
    for knitting in places(LADDERED, range(7, 9)):
        step = knitting.step
        assert step is not None
        for head in headlines(step, 5.0, knitting.working.in_work):
            assert "?" not in head.words and width_of(head.words) > 0
            assert capitals(head.words) != capitals("?" * len(head.words))
    assert any(isinstance(move, Knit) for move in Knitting(Working(LADDERED), Place(8, 0)).moves)


# --- panels that change width ---------------------------------------------------

PULLOVER = plan(
    cable("L4-L1 over R1-R4", name="a rope with a long name", first_row=4, every=4, times=4),
    cable("R12-R13 over R14-R15", name="strand", first_row=4, every=4, times=4),
    needles="L40-R40",
    rows=24,
    shape=[
        {"edge": "both", "do": "cast off", "stitches": 6, "first_row": 9},
        {"edge": "both", "do": "decrease", "tool": 3, "first_row": 11, "every": 1, "times": 5},
        {"edge": "left", "do": "cast off", "stitches": 5, "first_row": 26, "part": "right shoulder"},
    ],
    part=[
        {"name": "right shoulder", "needles": "R1-R40", "rows": 8, "carriage": "right"},
        {"name": "left shoulder", "mirrors": "right shoulder"},
    ],
)


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40)])
def test_what_is_shaped_next_is_told_whole_beside_the_cables(size: tuple[int, int]) -> None:
    for row, told in (
        (1, "cast off 6 at the right edge, row 9, in 8"),
        (9, "cast off 6 at the right edge, this row"),
        (10, "cast off 6 at the left edge, this row"),
        (12, "decrease 1 at both edges, 2 of 5, this row"),
        (20, "right shoulder begins, row 25, in 5"),
        (32, "left shoulder begins, row 25, in 1"),
        (33, "left shoulder begins, this row"),
    ):
        assert f" {told} " in f"{drawn(of(PULLOVER, row), size)} ".replace("\n", " "), row


def test_the_stitches_told_are_those_of_the_part_in_hand() -> None:
    stitches = {row: re.search(r"(\d+) st\b", drawn(of(PULLOVER, row), (100, 30))) for row in (1, 24, 25, 27, 33, 35)}
    # 80 cast on; 6 cast off and 5 decreased at each edge; 29 on each side, 5 of them cast off before its second row.
    assert {row: found and int(found[1]) for row, found in stitches.items()} == {
        1: 80, 24: 58, 25: 29, 27: 24, 33: 29, 35: 24,
    }  # fmt: skip


def test_needles_emptied_for_a_neck_are_no_ladders() -> None:
    laddered = replace(PULLOVER, panel=replace(PULLOVER.panel, out_of_work=(Needle.parse("R20"),)))
    for wanted, ladders in ((PULLOVER, 0), (laddered, 1)):
        seen = of(wanted, 27)
        assert seen.knitting.row and seen.knitting.row.resting, "the other shoulder waits"
        emptied = [n for n in seen.knitting.bed.panel if 0 <= n < 5 and not seen.knitting.bed.loops[n + 40]]
        assert len(emptied) == 5, "cast off for the neck, between the two shoulders"
        loops = next(line for line in drawn(seen, (120, 40)).splitlines() if line.strip().startswith("loops"))
        assert loops.count("×") == ladders


SHOULDERS = plan(
    cable("L36-L35 over L34-L33", name="strand", first_row=12, every=12, times=1),
    needles="L40-R40",
    rows=12,
    shape=[
        {"edge": "both", "do": "decrease", "tool": 3, "first_row": 12},
        {
            "edge": "right",
            "do": "hold",
            "stitches": 10,
            "first_row": 14,
            "every": 2,
            "times": 2,
            "part": "right shoulder",
        },
        {"edge": "right", "do": "return", "stitches": "all", "first_row": 18, "part": "right shoulder"},
    ],
    part=[
        {"name": "right shoulder", "needles": "R1-R39", "rows": 6, "carriage": "right"},
        {"name": "left shoulder", "mirrors": "right shoulder"},
    ],
)


def test_in_a_short_row_the_carriage_stands_beside_the_needles_knit() -> None:
    # Row 14 goes from the left to R29 and is turned there: the carriage is inside the panel, right of all it knits.
    begun, turned = (drawn(of(SHOULDERS, 14, done), (110, 30)) for done in (0, 2))
    assert "COL carriage left of R1" in begun
    assert "COR carriage right of R29" in turned


@pytest.mark.parametrize("width", [60, 80])
def test_the_needles_that_return_are_seen_not_those_of_the_other_shoulder(width: int) -> None:
    lines = drawn(of(SHOULDERS, 18), (width, 24)).splitlines()
    holding = next(line for line in lines if line.startswith("holding"))
    assert holding.count(UNICODE.inward) == 20, "R20 to R39, brought back"


def test_a_row_that_crosses_shows_what_is_shaped_before_its_first_push_and_then_the_halves() -> None:
    first = of(SHOULDERS, 12)
    stitches = next(line for line in drawn(first, (120, 40)).splitlines() if line.strip().startswith("stitches"))
    assert stitches.count(UNICODE.right) == stitches.count(UNICODE.left) == 3
    assert first.knitting.step is not None
    after = drawn(of(SHOULDERS, 12, first.knitting.step.last), (120, 40))
    assert "F front" in after and "└Fb┘" in after and "stitches" not in after


def test_a_needle_brought_into_work_is_not_told_to_be_left_out() -> None:
    wider = plan(needles="L10-R10", rows=9, shape=[{"edge": "both", "do": "increase", "first_row": 3}])
    head = of(wider, 3).headlines[0]
    assert head.words == "INTO WORK L11" and head.aside == ""


def test_rows_to_come_that_ask_the_same_stand_in_one_line_and_a_part_is_named_once() -> None:
    shown = drawn(of(PULLOVER, 10), (100, 30))
    assert re.search(r"row    11  decrease 1 at both edges\s", shown)
    assert re.search(r"row    12  a rope with a long name; strand; decr", shown)
    assert re.search(r"row 13–15  decrease 1 at both edges\s", shown)
    assert re.search(r"row    25  left shoulder begins\s", drawn(of(PULLOVER, 31), (100, 30)))


@pytest.mark.parametrize("size", [(40, 12), (60, 20), (80, 24)])
@pytest.mark.parametrize("name", sorted(path.stem for path in PATTERNS.glob("*.toml")))
def test_row_side_and_rows_to_the_crossing_are_there_in_every_row_of_the_samples(
    name: str, size: tuple[int, int]
) -> None:
    wanted = read(PATTERNS / f"{name}.toml").plan
    working = Working(wanted)
    rows = working.calendar.rows
    missing = []
    for number in {*range(1, rows, 7), *range(160, min(190, rows)), *range(220, min(290, rows))}:
        knitting = Knitting(working, Place(number, 0))
        if knitting.finished:
            continue
        told = " ".join(drawn(BedsideNow(knitting=knitting, call=knitting.call()), size).split())
        away = min((c.rows_away for c in knitting.cables() if c.rows_away is not None), default=None)
        if away is None:
            continue
        wanted_words = {0: "crossing row|cross it after", 1: "next row|, in 1"}.get(away, f"in {away:,}( rows)?")
        if knitting.side.carriage not in told or not re.search(wanted_words, told, re.IGNORECASE):
            missing.append((number, away, told[:160]))
    assert not missing
