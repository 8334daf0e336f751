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
    assert found[0] == "All together: Breakwater scarf (2 times)"
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
