"""What weights and edges want is told where it matters, once."""

from typing import Any

from purlside.knitting.cursor import Knitting, Place
from purlside.knitting.handling import handling
from purlside.rows.working import Working
from tests.plans import cable, plan


def told(row: int = 8, **ease: Any) -> list[tuple[str, str]]:
    wants = handling(Knitting(Working(plan(cable(**ease))), Place(row, 0)).steps)
    return [(want.words, "before" if want.first else "after") if want else ("", "") for want in wants]


def test_the_slack_is_taken_up_after_a_back_up_and_the_claw_eased_off_before_the_lift() -> None:
    assert told(ease="enlarge", enlarged_size=9) == [
        ("", ""),
        ("", ""),
        ("Take up the slack where the yarn turns", "after"),
        ("", ""),
        ("", ""),
        ("First ease the claw weight off this cable", "before"),
    ]


def test_a_half_knit_more_than_once_is_pulled_down_and_the_edge_claws_move_up_before() -> None:
    assert told(ease="extra rows", extra_rows=2) == [
        ("Extra rows follow: edge claws up first", "before"),
        ("Pull down under R1–R3 while they knit again", "after"),
        ("", ""),
        ("First ease the claw weight off this cable", "before"),
    ]


def test_a_plain_row_wants_nothing() -> None:
    assert told(row=3) == [("", "")]
