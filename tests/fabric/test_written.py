"""Written cables: what a pattern says, turned into needles."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Crossing, Needle, Side
from purlside.fabric.written import crossing, held_name, instruction, name, parse

needles = st.integers(-40, 40).map(Needle)
leans = st.sampled_from(list(Side))
widths = st.integers(1, 12)


def test_a_right_cross_puts_the_right_half_at_the_bed_in_front() -> None:
    assert str(parse("3/3 RC", Needle.parse("L3"))) == "R1-R3 over L3-L1"
    assert str(parse("3/3 LC", Needle.parse("L3"))) == "L3-L1 over R1-R3"


def test_held_in_front_is_a_left_cross() -> None:
    assert parse("C6F", Needle.parse("L3")) == parse("3/3 LC", Needle.parse("L3"))
    assert parse("C6B", Needle.parse("L3")) == parse("3/3 RC", Needle.parse("L3"))


def test_the_first_number_is_the_strand_in_front() -> None:
    assert str(parse("1/3 RC", Needle.parse("R2"))) == "R5 over R2-R4"
    assert str(parse("1/3 LC", Needle.parse("R2"))) == "R2 over R3-R5"


def test_a_twist_is_one_stitch_over_one() -> None:
    assert str(parse("RT", Needle.parse("R2"))) == "R3 over R2"
    assert str(parse("LT", Needle.parse("R2"))) == "R2 over R3"


@pytest.mark.parametrize("text", ["3/3RC", "3/3 rc", " 3 / 3  RC ", "3/3-RC", "c6b", "C 6 B"])
def test_small_letters_and_spaces_make_no_difference(text: str) -> None:
    assert name(parse(text, Needle.parse("L3"))) == "3/3 RC"


@given(leans, widths, widths, needles)
def test_every_cable_printed_is_read_back_to_the_same_needles(lean: Side, front: int, back: int, left: Needle) -> None:
    made = crossing(lean, front, back, left)
    assert parse(name(made), left) == made
    held = held_name(made)
    assert (held is not None) == (front == back)
    assert held is None or parse(held, left) == made


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("3/3", "3/3 RC, 3/3 LC"),
        ("", "3/3 RC"),
        ("C5F", "even"),
        ("C0F", "even"),
        ("0/3 RC", "1 stitch or more"),
        ("30/30 RC", "at most 40"),
        ("2/2 RPC", "purls the strand behind"),
        ("T4F", "purls the strand behind"),
        ("2/1/2 LC", "two crossings"),
        ("2/2 RT", "2/2 RC"),
    ],
)
def test_what_a_single_bed_cannot_cross_is_refused_with_the_reason(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        parse(text, Needle.parse("R1"))


def test_the_hand_knit_instruction_is_printed() -> None:
    assert instruction(Crossing.parse("R1-R3 over L3-L1")) == (
        "slip 3 to the cable needle, hold in back, k3, k3 from the cable needle"
    )
    assert instruction(Crossing.parse("L2-L1 over R1")) == (
        "slip 2 to the cable needle, hold in front, k1, k2 from the cable needle"
    )
