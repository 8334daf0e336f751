"""Bridging: a crossing row knit piece by piece, in the fewest carriage movements."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.bed import Move
from purlside.bed.demand import CannotBeWalked, Demand
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return
from purlside.bed.needles import Needle, Side, Span
from purlside.rows.bridging import bridge
from purlside.rows.steps import lines, steps
from tests import counts
from tests.beds import fewest_movements
from tests.naive_bed import NaiveBed
from tests.plans import around, demand, demands, sides


def bridged(asked: Demand, side: Side = Side.RIGHT, dial: float = 5.0) -> tuple[Move, ...]:
    return bridge(asked, around(asked), side, dial)


def short(moves: tuple[Move, ...]) -> str:
    """Carriage movements and what is done by hand: ``"← R3-R1 SS5, back, ← L1 SS9"``."""
    found: list[str] = []
    size = 5.0
    for move in moves:
        match move:
            case Dial(to):
                size = to
            case Knit(toward, _, needles):
                across = str(needles[0]) if len(needles) == 1 else f"{needles[0]}-{needles[-1]}"
                found.append(f"{'←' if toward is Side.LEFT else '→'} {across} SS{size:g}")
            case BackUp():
                found.append("back")
            case ByHand(needles):
                found.append(f"by hand {' '.join(map(str, needles))}")
            case _:
                pass
    return ", ".join(found)


def mirrored(moves: tuple[Move, ...]) -> tuple[Move, ...]:
    """The same moves on a bed seen in a mirror: L1 for R1, left for right."""

    def over(needle: Needle) -> Needle:
        return Needle(-1 - needle)

    def both(needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
        return tuple(sorted(map(over, needles)))

    found: list[Move] = []
    for move in moves:
        match move:
            case Knit(toward, beyond, needles):
                found.append(Knit(toward.other, over(beyond), tuple(map(over, needles))))
            case BackUp(toward, beyond):
                found.append(BackUp(toward.other, over(beyond)))
            case Hold(needles):
                found.append(Hold(both(needles)))
            case Return(needles):
                found.append(Return(both(needles)))
            case ByHand(needles):
                found.append(ByHand(both(needles)))
            case _:
                found.append(move)
    return tuple(found)


# --- the rows worked by hand: carriage right, bridge of two on either side, halves of three ---------

LARGER = {"L": 9.0}


def test_enlarged_half_with_the_right_half_in_front() -> None:
    asked = demand("BBLLLrrrBB", left="L5", sizes=LARGER)
    assert short(bridged(asked)) == "← R5-R1 SS5, back, ← L1-L3 SS9, back, ← L4-L5 SS5"


def test_enlarged_half_with_the_left_half_in_front() -> None:
    asked = demand("BBlllLLLBB", left="L5", sizes=LARGER)
    assert short(bridged(asked)) == "← R5-R4 SS5, back, ← R3-R1 SS9, back, ← L1-L5 SS5"


def test_two_extra_rows_with_the_right_half_in_front() -> None:
    asked = demand("BBlllrrrBB", "1111133311", left="L5")
    assert short(bridged(asked)) == "← R5-R1 SS5, → R1-R3 SS5, ← R3-L5 SS5"


def test_one_stitch_by_hand() -> None:
    asked = demand("BBhBB", left="L2")
    assert short(bridged(asked)) == "← R3-R2 SS5, by hand R1, back, ← L1-L2 SS5"


def test_enlarged_half_and_two_extra_rows_together() -> None:
    asked = demand("BBLLLrrrBB", "1111133311", left="L5", sizes=LARGER)
    assert short(bridged(asked)) == "← R5-R1 SS5, → R1-R3 SS5, ← R3-R1 SS5, back, ← L1-L3 SS9, back, ← L4-L5 SS5"


def test_every_move_of_an_enlarged_row_in_order() -> None:
    asked = demand("BLrB", left="L2", sizes=LARGER)
    assert [str(m) for m in bridged(asked)] == [
        "hold L2-L1",
        "knit left beyond R1: R1-R2",
        "hold R1-R2",
        "back-up right beyond R1",
        "dial 9",
        "return L1",
        "knit left beyond L1: L1",
        "hold L1",
        "back-up right beyond L1",
        "dial 5",
        "return L2",
        "knit left beyond L2: L2",
        "return L1-R2",
    ]


def test_from_the_left_each_worked_row_is_the_mirror_image() -> None:
    for kinds, rows in (("BBLLLrrrBB", None), ("BBlllLLLBB", None), ("BBlllrrrBB", "1111133311"), ("BBBBhhBBBB", None)):
        right = demand(kinds, rows, left="L5", sizes=LARGER)
        left = demand(kinds[::-1], rows[::-1] if rows else None, left="L5", sizes=LARGER)
        assert bridged(left, Side.LEFT) == mirrored(bridged(right, Side.RIGHT))


@given(demands(), sides)
def test_any_row_from_the_other_side_is_the_mirror_image(asked: Demand, side: Side) -> None:
    flipped = Demand(
        tuple(Needle(-1 - n) for n in reversed(asked.needles)),
        asked.rows[::-1],
        asked.sizes[::-1],
        asked.by_hand[::-1],
    )
    assert bridged(flipped, side.other) == mirrored(bridged(asked, side))


# --- the hold lever -----------------------------------------------------------


def levered(asked: Demand, side: Side = Side.RIGHT, resting: tuple[Needle, ...] = ()) -> list[str]:
    return [str(m) for m in bridge(asked, around(asked), side, 5.0, resting, "knit")]


def test_the_lever_is_set_before_the_first_pass_that_needs_it_and_released_before_the_last() -> None:
    assert levered(demand("BBlllrrrBB", "1111133311", left="L5")) == [
        "hold L5-L1",
        "lever hold",
        "knit left beyond R1: R1-R5",
        "hold R4-R5",
        "knit right beyond R3: R1-R3",
        "lever knit",
        "knit left beyond L5: L5-R3",
        "return R4-R5",
    ]


def test_the_step_that_releases_hold_says_where_the_carriage_must_stand() -> None:
    asked = demand("BBlllrrrBB", "1111133311", left="L5")
    moves = bridge(asked, around(asked), Side.RIGHT, 5.0, (), "knit")
    told = [line for step in steps(moves) for line in lines(step, 5.0, asked.needles)]
    assert "Hold lever off, the carriage just past R3: all it passes is knit" in told


def test_after_a_back_up_the_lever_stays_at_hold_as_the_carriage_passes_stitches_already_knit() -> None:
    moves = levered(demand("BLrB", left="L2", sizes=LARGER))
    assert [m for m in moves if m.startswith("lever")] == ["lever hold", "lever knit"]
    assert moves[-2:] == ["return L1-R2", "lever knit"]


def test_a_row_that_holds_nothing_leaves_the_lever_alone() -> None:
    for rows in ("1111", "3333"):
        assert not any("lever" in m for m in levered(demand("BBBB", rows)))


def test_while_needles_rest_the_lever_stays_at_hold_to_the_end_of_the_row() -> None:
    asked = demand("BBlllrrrBB", "1111133311", left="L5")
    assert levered(asked, resting=(Needle.parse("R6"),))[-2:] == ["return R4-R5", "lever knit"]
    assert levered(demand("BBBB"), resting=(Needle.parse("L9"),)) == [
        "lever hold",
        "knit left beyond L1: L1-R3",
        "lever knit",
    ]


# --- needles that rest --------------------------------------------------------


@given(demands(), sides, st.integers(1, 4), st.integers(0, 4))
def test_resting_needles_change_no_move_but_where_the_last_pass_ends(
    asked: Demand, side: Side, far: int, near: int
) -> None:
    edges = asked.needles[0], asked.needles[-1]
    resting = tuple(Needle(edges[0] - 1 - i) for i in range(far)), tuple(Needle(edges[1] + 1 + i) for i in range(near))
    wide = Span(resting[0][-1], Needle(edges[1] + near))
    moves = bridge(asked, around(asked), side, 5.0, (*resting[0], *resting[1]))
    assert moves == bridged(asked, side)
    past_them = bridge(asked, wide, side, 5.0, (*resting[0], *resting[1]))
    ends = [m.beyond for m in past_them if isinstance(m, Knit)][-1]
    assert ends == wide.edge(side.other)
    assert [m for m in past_them if not isinstance(m, Knit)] == [m for m in moves if not isinstance(m, Knit)]


# --- what every row keeps ---------------------------------------------------


def test_a_plain_row_is_one_pass_and_nothing_else() -> None:
    asked = Demand.even(Span.parse("L100-R100"), 5.0)
    assert [str(m) for m in bridged(asked)] == ["knit left beyond L100: L100-R100"]


def test_a_row_at_another_size_sets_the_dial_first() -> None:
    assert next(str(m) for m in bridged(demand("bbb"), dial=4.0)) == "dial 5"


def test_stitches_by_hand_at_the_near_edge_come_before_the_first_pass_and_at_the_far_edge_after_the_last() -> None:
    assert short(bridged(demand("hBBh", left="L2"))) == "by hand R2, ← R1-L1 SS5, by hand L2"
    assert short(bridged(demand("hBBh", left="L2"), Side.LEFT)) == "by hand L2, → L1-R1 SS5, by hand R2"


def test_the_last_pass_takes_the_carriage_out_of_the_panel_whatever_is_knit_there() -> None:
    for kinds in ("hhBB", "BBhh", "BBBB", "hBhB"):
        asked = demand(kinds, left="L2")
        for side in Side:
            last = [m for m in bridged(asked, side) if isinstance(m, Knit)][-1]
            assert last.beyond == around(asked).edge(side.other)


@given(demands(), sides)
def test_a_bed_that_knows_only_the_rules_takes_every_move_and_ends_the_row_complete(asked: Demand, side: Side) -> None:
    panel = around(asked)
    work = [str(n) for n in asked.needles]
    bed = NaiveBed([str(n) for n in panel], {str(n) for n in panel} - set(work), str(side), 5.0)
    for move in bridge(asked, panel, side, 5.0):
        told = move.json()
        assert not bed.refusals(told), told
        if told["do"] in ("hold", "return", "by-hand"):
            assert told["needles"] == [n for n in bed.panel if n in told["needles"]], "bed order"
        if told["do"] == "hold":
            assert not set(told["needles"]) & set(bed.held()), "already held"
        if told["do"] == "return":
            assert set(told["needles"]) <= set(bed.held()), "not held"
        if told["do"] == "dial":
            assert told["size"] != bed.dial, "the dial stands there already"
        if told["do"] == "knit":
            assert set(work) - set(bed.held()) == set(told["needles"]), "every other needle is held"
        if told["do"] == "back-up":
            assert set(work) == set(bed.held()), "every needle is held"
        bed.do(told)
    assert not bed.row_refusals(dict(zip(work, asked.rows, strict=True)), str(side))
    for name, size, hand in zip(work, asked.sizes, asked.by_hand, strict=True):
        assert bed.loop_size[name] == ("by hand" if hand else size)


@given(demands(most=14, rows=(1, 1, 1, 3, 5, 7)), sides)
def test_movements_are_as_few_as_the_closed_form_says(asked: Demand, side: Side) -> None:
    moves = bridged(asked, side)
    assert sum(isinstance(m, Knit | BackUp) for m in moves) == fewest_movements(asked)


@given(demands(), sides)
def test_ladders_change_nothing_but_the_names_of_the_needles(asked: Demand, side: Side) -> None:
    close = Demand(tuple(map(Needle, range(len(asked.needles)))), asked.rows, asked.sizes, asked.by_hand)
    names = dict(zip(close.needles, asked.needles, strict=True))

    def renamed(needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
        return tuple(names[n] for n in needles)

    for move, plain in zip(bridged(asked, side), bridged(close, side), strict=True):
        match plain:
            case Knit(toward, beyond, needles):
                assert move == Knit(toward, names[beyond], renamed(needles))
            case BackUp(toward, beyond):
                assert move == BackUp(toward, names[beyond])
            case Hold(needles) | Return(needles) | ByHand(needles):
                assert move == type(plain)(renamed(needles))
            case _:
                assert move == plain


def test_an_even_number_of_rows_is_refused_with_the_reason() -> None:
    with pytest.raises(CannotBeWalked, match="wrong side"):
        demand("BrB", "121")


# --- a table of every small row -----------------------------------------------


def test_small_rows_take_the_movements_and_pushes_on_record() -> None:
    assert not (difference := counts.difference()), f"\n{difference}"
