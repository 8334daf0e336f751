"""Figures in words: sums, units, purl columns, and what nothing will do, each worked out beside the text."""

from __future__ import annotations

from typing import Any

import pytest

from purlside.figures.text import counts_text, lifted_line, lines, summed, widest_lines
from purlside.figures.whole import FiguresAsked, figures, together
from purlside.files.tables import checked
from purlside.plan.plan import Plan
from purlside.text.units import Unit
from tests.figures.test_whole import FULL


def plan(**parts: Any) -> Plan:
    return checked(Plan, {key: value for key, value in {**FULL, **parts}.items() if value is not None})


def flat(made: Plan, unit: Unit = Unit.CM, asked: FiguresAsked | None = None) -> str:
    return " ".join(" ".join(lines(figures(made, asked), unit)).split())


def test_the_pieces_of_a_garment_are_told_together_with_their_yarn_and_their_time() -> None:
    """8,640 loops of 13.4 mm and a tenth more are 127 m, at 280 tex 36 g; a sleeve knit twice is there twice."""
    plain = figures(plan(cable=None))
    found = list(summed(together([plain, plain]), Unit.CM))
    assert found[0] == "All together: Breakwater scarf, knit 2"
    assert found[1] == "  yarn, main colour: 255 m, 71 g for 17,280 loops"
    minutes = round(2 * plain.time.total_s / 60)
    assert found[2:] == [
        f"  about {minutes} min at the bed for 360 rows; 5 to 10 minutes' break after 50 to 60 minutes' work come on top"
    ]
    striped = figures(plan(band=[{"rows": "1-90", "colour": "slate"}], cable=None))
    assert [line.split(":")[0] for line in summed(together([striped]), Unit.INCH)][1:3] == [
        "  yarn, slate",
        "  yarn, main colour",
    ]
    # 127.35 m are 139 yd, 35.66 g are 1.3 oz.
    assert list(summed(together([plain]), Unit.INCH))[1] == "  yarn, main colour: 139 yd, 1.3 oz for 8,640 loops"


@pytest.mark.parametrize(
    ("lifted", "said"),
    [
        (None, "the plan lists no tools, so no half is told wider than 9"),
        ((), "the plan's tools lift no crossing: both halves are lifted at once"),
        (((3, 3),), "the plan's tools lift at most 3 over 3 at once"),
        (((6, 6), (5, 7)), "the plan's tools lift at most 6 over 6 or 5 over 7 at once"),
    ],
)
def test_what_the_tools_lift_is_told(lifted: tuple[tuple[int, int], ...] | None, said: str) -> None:
    assert lifted_line(lifted).strip().endswith(said)


def test_the_chart_of_the_widest_crossings_has_a_sign_for_2_to_14_stitches_under_its_numbers() -> None:
    head, plain, *_, legend = widest_lines(figures(plan()).widest)
    assert head.split()[-4:] == ["2", "6", "10", "14"]
    signs = plain.split()[-1]
    assert len(signs) == 13 and plain.index(signs) == head.index("2   6")
    # Plain reaches 6 stitches firmly and 5 easily: 4.5 mm each over two loops of 13.4 mm, the limit 1.0406.
    assert signs == "====-........"
    assert legend.strip() == "at the right, stitches of both halves: = easy, - firm, . not enough"


def test_purl_columns_and_beads_are_counted_in_the_time() -> None:
    """Two columns latched up every ten rows of 180: 18 times two, ten stitches each; 6 s and 1.5 s a stitch. A bead each in
    rows 5, 45, 85, 125 and 165."""
    stitch: list[dict[str, Any]] = [
        {"do": "purl", "needles": "L10, R10", "first_row": 10, "every": 10},
        {"do": "bead", "needles": "R15", "first_row": 5, "every": 40},
    ]
    said = flat(plan(stitch=stitch, cable=None))
    seconds = 36 * (6 + 1.5 * 10)
    assert f"of it {seconds / 60:.0f} min for purl columns: 36 dropped, 360 stitches latched up" in said
    assert "5 beads to draw on" in said
    one = flat(plan(stitch=[{"do": "bead", "needles": "R15", "first_row": 5}], cable=None))
    assert "1 bead to draw on" in one and "purl columns" not in one


def test_a_crossing_that_nothing_will_bring_over_is_said_to_be_too_wide() -> None:
    wide = [{"name": "wide", "cross": "R1-R20 over L20-L1", "first_row": 100, "ease": "auto"}]
    said = flat(plan(cable=wide, tools=None))
    assert "nothing tried will reach: cross fewer stitches" in said
    assert "cross fewer stitches" not in flat(plan())
    named = flat(plan(cable=[{"name": "a", "cross": "R1-R4 over L4-L1", "first_row": 8, "ease": "plain"}]))
    assert "as planned is not enough; 2 extra rows is" in named


def test_as_far_off_as_it_is_and_just_so() -> None:
    """180 rows at 41 in 10 cm are 43.9 cm; 48 stitches at 29 are 16.55 cm."""
    plain = plan(cable=None)
    said = flat(plain, asked=FiguresAsked(width_mm=165.5, length_mm=400))
    assert "for a width of 16.6 cm: 48 needles; the bed is wide enough; as it is just so" in said
    assert "for a length of 40.0 cm: 164 rows; as it is 3.9 cm too much" in said
    narrow = plan(cable=None, machine={"pitch_mm": 4.5, "needles": 60})
    assert "116 needles; the bed has only 60; as it is 23.4 cm too little" in flat(
        narrow, asked=FiguresAsked(width_mm=400)
    )


def test_inches_come_with_yards_and_ounces_everywhere() -> None:
    """A loop of 13.4 mm is 0.53 in, 0.95 mm more a dial number 0.037; 280 tex is 0.63 mm thick, 0.025 in."""
    said = flat(plan(), Unit.INCH)
    for part in (
        "29.5 stitches and 41.7 rows in 4 in",
        "one loop at SS 5 0.53 in, +0.037 in a dial number",
        "about 0.025 in thick",
        "travel 1.06 in (6 pitches); widest gap 0.89 in (5 pitches)",
        "yd, 1.3 oz for 8,640 loops",
    ):
        assert part in said
    assert " cm" not in said and " g " not in said
    # A yard of 280 tex weighs 0.256 g; an ounce has 28.35.
    assert counts_text(280, Unit.INCH).endswith("2520 denier, 111 yd an ounce")


def test_a_crossing_row_is_told_by_its_movements_and_the_needles_pushed() -> None:
    """Three knits and two back-ups; hold, or hold and return, before each and return after the last: six pushes."""
    said = flat(plan())
    assert (
        "a crossing row: 5.0 movements of the carriage, needles pushed 6.0 times, 102 needles in all, on average"
        in said
    )
    assert "a crossing row" not in flat(plan(cable=None))


def test_what_reach_is_made_of_is_said_before_its_numbers() -> None:
    said = flat(plan())
    assert said.index(
        "reach is distance ÷ yarn available; it goes over firmly up to the limit, easily below 90% of it"
    ) < (said.index("by hand: a stitch is taken as 2 times the loop at the dial's end, a rough rule of ours"))


def test_a_colour_is_named_where_there_is_another_or_it_is_the_only_one() -> None:
    assert "Yarn 128 m, 36 g for 8,640 loops, 10% added" in flat(plan())
    two = flat(plan(band=[{"rows": "1-90", "colour": "slate"}]))
    assert "Yarn slate: 64 m" in two and "other rows: 64 m" in two
    assert "Yarn slate: 128 m" in flat(plan(band=[{"rows": "1-180", "colour": "slate"}]))


def test_the_narrowest_place_and_what_cables_take_in_are_told() -> None:
    """A quarter of six stitches of 3.45 mm, 5.2 mm, in the rows that cross; 3.8 mm on average."""
    said = flat(plan())
    assert "width 16.2 cm (16.1 cm to 16.5 cm) on average, length 43.9 cm narrowest 16.0 cm, at row 8" in said
    assert "cables take in 0.4 cm of the width on average: a default of hand-knitting practice" in said
    plain = flat(plan(cable=None))
    assert "width 16.6 cm, length 43.9 cm from" in plain and "take in" not in plain


def test_of_three_turns_that_come_out_alike_the_first_is_named_and_the_others_counted() -> None:
    turns = ["R10-R12 over R13-R15", "R13-R15 over R16-R18", "R16-R18 over R19-R21"]
    plait = {"name": "plait", "first_row": 8, "every": 8, "ease": "plain"}
    assert "plait: R10-R12 over R13-R15 and 2 like it; 3 over 3" in flat(plan(cable=[{**plait, "cross": turns}]))
    two = flat(plan(cable=[{**plait, "cross": turns[:2]}]))
    assert "plait: R10-R12 over R13-R15 and R13-R15 over R16-R18; 3 over 3" in two
