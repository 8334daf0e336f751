"""Yarn counts as knitters write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.ease.yarncount import (
    LENGTH_COUNTS,
    WEIGHT_COUNTS,
    CountError,
    count_in,
    metres_per_100g,
    other_reading,
    tex_in,
    tex_of,
)
from purlside.figures.yarn import diameter_mm, tightness_words, yarn_tex
from purlside.plan.machine import Yarn


@pytest.mark.parametrize(
    ("text", "tex"),
    [
        ("280 tex", 280),
        ("280tex", 280),
        ("Tex 280", 280),
        ("R 280 tex", 280),
        ("2/8 Nm", 250),
        ("2/8nm", 250),
        ("8/2 Nm", 250),
        ("Nm 8/2", 250),
        ("Nm 8", 125),
        ("1/30 Nm", 33.3333),
        ("Ne 20/2", 59.0541),
        ("20/2 Ne", 59.0541),
        ("20 cotton", 29.5271),
        ("2/14 worsted", 126.5446),
        ("2 run", 155.0171),
        ("40/2 lea", 82.6758),
        ("1500 denier", 166.6667),
        ("1500 den", 166.6667),
        ("2500 dtex", 250),
        ("25 tex x 2", 50),
        ("25 tex × 2", 50),
        ("2 x 25 tex", 50),
        ("R 50 tex/2", 50),
        ("4.2 m per g", 238.0952),
        ("4.2 m/g", 238.0952),
        ("420 m per 100 g", 238.0952),
        ("420m/100g", 238.0952),
        ("100 g = 420 m", 238.0952),
        ("0.25 g/m", 250),
        ("1800 yd/lb", 275.5859),
        ("200 yards per 50 grams", 273.4033),
        ("200 yards per 2 oz", 310.0342),
        ("4 km/kg", 250),
        ("2/1.8 Nm", 1111.1111),
        ("Nm 1.5/2", 1333.3333),
        ("Nm 3/4", 750),
        ("2 x 2/30 Nm", 133.3333),
        ("2 × 2/30 Nm", 133.3333),
        ("3 ends of 2/28 Nm", 214.2857),
        ("2 strands 280 tex", 560),
        ("2 x 25 tex x 2", 100),
    ],
)
def test_a_count_is_read(text: str, tex: float) -> None:
    assert tex_of(text) == pytest.approx(tex, abs=6e-5)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not a yarn count"),
        ("thick", "not a yarn count"),
        ("2/8", 'names no count system; write "2/8 Nm"'),
        ("-3 tex", "not a yarn count"),
        ("nan tex", "not a yarn count"),
        ("7 parsec", '"parsec" in'),
        ("0 tex", "not above 0"),
        ("2/0 Nm", "not above 0"),
        ("1000000000 tex", "would be 1e+09 tex; yarns are 1 to 20000 tex"),
        ("0.5 tex", "would be 0.5 tex"),
        ("4,2 m per g", "comma"),
        ("50 tex/2", "may mean each ply or all of them"),
        ("78/68 dtex", "may mean plies or filaments"),
        ("5 m per 3 m", "one length and one weight"),
        ("2.5/8.5 Nm", "plies are a whole number"),
        ("2.5/80 Nm", "at most 12"),
    ],
)
def test_what_is_no_count_is_refused_with_the_reason(text: str, said: str) -> None:
    with pytest.raises(CountError) as refused:
        tex_of(text)
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("text", "tex"),
    [
        ("wool 2/8 Nm", 250),
        ("2/8 Nm, Merino", 250),
        ("80 % wool, 20 % nylon, 2/8 Nm", 250),
        ("cotton Ne 20/2", 59.0541),
        ("8 cotton", 73.8177),
        ("linen and silk 280 tex", 280),
    ],
)
def test_what_a_yarn_is_made_of_may_stand_around_its_count(text: str, tex: float) -> None:
    assert tex_in(text) == pytest.approx(tex, abs=6e-5)
    told = yarn_tex(Yarn(count=text))
    assert told is not None and told[0] == pytest.approx(tex, abs=6e-5)


def test_a_count_with_nothing_to_leave_out_is_refused_as_it_is() -> None:
    with pytest.raises(CountError, match="is not a yarn count"):
        tex_in("wool")
    with pytest.raises(CountError, match="parsec"):
        tex_in("7 parsec")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Nm 3/4", "read as 3 plies of 4, 750 tex; 4 plies of 3 would be 1333 tex"),
        ("4/3 Nm", "read as 3 plies of 4, 750 tex; 4 plies of 3 would be 1333 tex"),
        ("2/3 Nm", "read as 2 plies of 3, 666.7 tex; 3 plies of 2 would be 1500 tex"),
        ("2/8 Nm", None),
        ("2/4 Nm", None),
        ("2/1.8 Nm", None),
        ("Ne 20/2", None),
        ("280 tex", None),
        ("30/20 Nm", None),
    ],
)
def test_a_pair_that_may_be_meant_either_way_round_is_said_both_ways(text: str, said: str | None) -> None:
    found = other_reading(text)
    assert found is None if said is None else found is not None and found.startswith(said)
    if said is not None:
        assert said in (yarn_tex(Yarn(count=text)) or (0, ""))[1]


def test_wraps_to_the_inch_are_an_estimate_and_say_so() -> None:
    assert tex_of("16 wpi") == pytest.approx(250)
    assert tex_of("10 wraps per inch") == pytest.approx(506, abs=1)
    assert tex_of("2 x 16 wpi") == pytest.approx(500)
    told = yarn_tex(Yarn(count="16 wpi"))
    assert told is not None and "a rough estimate: weigh a measured length" in told[1]


@given(st.floats(1, 20_000), st.sampled_from([*LENGTH_COUNTS, *WEIGHT_COUNTS]))
def test_a_count_written_in_any_system_is_the_same_yarn(tex: float, system: str) -> None:
    number = count_in(tex, system)
    text = f"{number:.12f} {system}"
    if tex * (1 - 1e-6) >= 1 and tex * (1 + 1e-6) <= 20_000:
        assert tex_of(text) == pytest.approx(tex, rel=1e-6)


@given(st.text(max_size=30))
def test_no_text_does_worse_than_a_refusal(text: str) -> None:
    try:
        assert 1 <= tex_of(text) <= 20_000
    except CountError as refused:
        assert str(refused)


def test_systems_go_by_any_of_their_names() -> None:
    assert count_in(30, "cotton") == count_in(30, "Ne")
    with pytest.raises(CountError, match="not a count system"):
        count_in(30, "furlong")


def test_metres_in_a_ball() -> None:
    assert metres_per_100g(250) == 400


def test_a_plans_yarn_is_its_tex_or_its_count() -> None:
    assert yarn_tex(Yarn(tex=280)) == (280, "the plan's tex")
    assert yarn_tex(Yarn(count="2/8 Nm")) == (250, "the plan's count, 2/8 Nm")
    assert yarn_tex(Yarn()) is None


def test_tightness_is_compared_with_what_is_usual() -> None:
    assert tightness_words(14) == "usual (13-15)"
    assert tightness_words(12).startswith("looser")
    assert tightness_words(16).startswith("tighter")
    assert tightness_words(30).startswith("outside 9-19")


def test_a_yarn_without_weight_is_refused() -> None:
    with pytest.raises(ValueError, match="density"):
        diameter_mm(100, density=0)
