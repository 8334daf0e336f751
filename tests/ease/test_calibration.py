"""Calibration: the limit learns from crossings, steadily."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.ease.calibration import BOUNDS, STEP, Outcome, Record, refit
from purlside.ease.reach import Verdict, judge

DEFAULT = 1.04
ratios = st.floats(0.3, 2.0)
records = st.builds(Record, ratios, st.sampled_from(list(Outcome)))
went_over = st.builds(Record, ratios, st.sampled_from([Outcome.EASY, Outcome.FIRM, Outcome.TIGHT]))
EASIER = [Outcome.BROKE, Outcome.TIGHT, Outcome.FIRM, Outcome.EASY]


def test_without_records_the_default_stands() -> None:
    assert refit(DEFAULT, []).limit == pytest.approx(DEFAULT)


def test_a_crossing_that_went_as_predicted_changes_nothing() -> None:
    assert refit(DEFAULT, [Record(0.99, Outcome.FIRM), Record(0.7, Outcome.EASY)]).limit == pytest.approx(DEFAULT)


def test_what_broke_once_is_never_called_possible_again() -> None:
    once = refit(DEFAULT, [Record(0.94, Outcome.BROKE)])
    assert judge(0.94, once.limit) is Verdict.NOT_ENOUGH
    cheered = refit(DEFAULT, [Record(0.94, Outcome.BROKE), *[Record(1.1, Outcome.EASY)] * 20])
    assert judge(0.94, cheered.limit) is Verdict.NOT_ENOUGH


def test_yarn_that_broke_far_above_the_limit_changes_nothing_and_often_below_it_makes_it_fit() -> None:
    assert refit(DEFAULT, [Record(1.3, Outcome.BROKE)]).limit == pytest.approx(DEFAULT)
    often = refit(DEFAULT, [Record(0.8, Outcome.BROKE)] * 12)
    assert often.limit == pytest.approx(0.8 / 1.1)
    assert often.agreeing == 12


def test_what_was_easy_again_and_again_is_judged_easy() -> None:
    fitted = refit(DEFAULT, [Record(1.1, Outcome.EASY)] * 20)
    assert judge(1.1, fitted.limit) is Verdict.EASY


def test_one_odd_record_among_many_changes_nothing() -> None:
    steady = [Record(1.15, Outcome.FIRM)] * 10
    assert refit(DEFAULT, steady).limit == pytest.approx(1.15)
    assert refit(DEFAULT, [*steady, Record(0.4, Outcome.TIGHT)]).limit == pytest.approx(1.15)


@given(st.lists(went_over, max_size=12), went_over)
def test_one_record_that_went_over_never_moves_the_limit_by_more_than_a_step(others: list[Record], odd: Record) -> None:
    moved = refit(DEFAULT, [*others, odd]).limit - refit(DEFAULT, others).limit
    assert abs(moved) <= STEP * DEFAULT + 1e-9


@given(st.lists(records, max_size=8), ratios, st.integers(0, 3), st.integers(0, 3))
def test_an_easier_outcome_never_lowers_the_limit(others: list[Record], ratio: float, a: int, b: int) -> None:
    harder, easier = EASIER[min(a, b)], EASIER[max(a, b)]
    low = refit(DEFAULT, [*others, Record(ratio, harder)]).limit
    assert low <= refit(DEFAULT, [*others, Record(ratio, easier)]).limit + 1e-9


@given(st.lists(records, max_size=8), ratios, ratios, st.sampled_from(list(Outcome)))
def test_the_same_outcome_at_a_larger_reach_never_lowers_the_limit(
    others: list[Record], a: float, b: float, outcome: Outcome
) -> None:
    low = refit(DEFAULT, [*others, Record(min(a, b), outcome)]).limit
    assert low <= refit(DEFAULT, [*others, Record(max(a, b), outcome)]).limit + 1e-9


@given(st.lists(went_over, max_size=60))
def test_the_limit_stays_within_its_bounds_where_nothing_broke(many: list[Record]) -> None:
    assert BOUNDS[0] * DEFAULT - 1e-9 <= refit(DEFAULT, many).limit <= BOUNDS[1] * DEFAULT + 1e-9


@given(st.lists(records, max_size=10))
def test_the_order_of_the_records_does_not_matter(some: list[Record]) -> None:
    assert refit(DEFAULT, some).limit == refit(DEFAULT, list(reversed(some))).limit


def test_an_impossible_ratio_is_refused() -> None:
    for ratio in (0.0, -1.0, 50.0, float("nan")):
        with pytest.raises(ValueError, match="reach ratio"):
            Record(ratio, Outcome.FIRM)


def test_the_source_of_a_refitted_limit_is_said() -> None:
    said = refit(DEFAULT, [Record(0.99, Outcome.FIRM)]).as_limit.source
    assert said == "refitted from 1 crossing recorded (1 agree); the default was 1.04"


@pytest.mark.parametrize(
    ("ratio", "outcome", "told"),
    [
        # What broke at 1.0075 lies above 0.98 as above 0.987; what went firmly at 1.045, or easily at 0.94, wants 1.05.
        (1.0075, Outcome.BROKE, 0.98),
        (1.0, Outcome.BROKE, 0.98),
        (1.045, Outcome.FIRM, 1.05),
        (0.94, Outcome.EASY, 1.05),
    ],
)
def test_the_limit_is_told_with_two_decimals_that_hold_what_was_recorded(
    ratio: float, outcome: Outcome, told: float
) -> None:
    record = Record(ratio, outcome)
    found = refit(DEFAULT, [record])
    assert found.as_limit.value == told
    assert record.agrees(told) and found.agreeing == 1


@given(st.lists(records, max_size=10))
def test_told_with_two_decimals_it_never_reaches_what_broke_and_says_how_many_records_agree(some: list[Record]) -> None:
    found = refit(DEFAULT, some)
    assert found.told == round(found.told, 2) and abs(found.told - found.limit) < 0.01 + 1e-6
    assert all(judge(one.ratio, found.told) is Verdict.NOT_ENOUGH for one in some if one.outcome is Outcome.BROKE)
    assert found.agreeing == sum(one.agrees(found.told) for one in some)


def test_a_crossing_that_went_firmly_agrees_with_limits_from_its_own_ratio_to_a_ninth_above() -> None:
    firm = Record(0.99, Outcome.FIRM)
    assert firm.agrees(0.99) and firm.agrees(1.1)
    assert not firm.agrees(0.9899) and not firm.agrees(1.1001)
