"""Yarn counts as knitters write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.ease.yarncount import LENGTH_COUNTS, WEIGHT_COUNTS, CountError, count_in, metres_per_100g, tex_of
from purlside.figures.yarn import diameter_mm, tightness_words, yarn_tex
from purlside.plan.plan import Yarn


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
    ],
)
def test_a_count_is_read(text: str, tex: float) -> None:
    assert tex_of(text) == pytest.approx(tex, abs=6e-5)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not a yarn count"),
        ("thick", "not a yarn count"),
        ("2/8", "not a yarn count"),
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
        ("2.5/8 Nm", "plies are a whole number"),
    ],
)
def test_what_is_no_count_is_refused_with_the_reason(text: str, said: str) -> None:
    with pytest.raises(CountError) as refused:
        tex_of(text)
    assert said in str(refused.value)


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
