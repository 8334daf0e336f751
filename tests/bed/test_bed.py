"""The needle bed: what it takes, what it refuses and why, and that every move can be taken back."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from purlside.bed.bed import Bed, Move
from purlside.bed.demand import Demand
from purlside.bed.faults import BedFault, Fault
from purlside.bed.moves import BY_HAND, BackUp, ByHand, Knit, Tell, Weights
from purlside.bed.needles import Needle, Position, Side, Span
from tests.beds import parse, state
from tests.plans import demand
from tests.two_beds import Pair, some_move


def bed(panel: str = "L3-R3", *, out: str = "", carriage: Side = Side.RIGHT, **more: object) -> Bed:
    span = Span.parse(panel)
    idle = {Needle.parse(n) for n in out.split()}
    return Bed(span, [n for n in span if n not in idle], carriage=carriage, dial=5.0, **more)  # type: ignore[arg-type]


def do(on: Bed, *moves: str) -> Bed:
    for text in moves:
        on.push(parse(text))
    return on


def refused(on: Bed, move: str | Move) -> list[str]:
    """The names of the faults, the bed being left as it was."""
    move = parse(move) if isinstance(move, str) else move
    before = state(on)
    named = [found.fault.name for found in on.faults(move)]
    if named:
        with pytest.raises(BedFault) as caught:
            on.push(move)
        assert [found.fault.name for found in caught.value.found] == named
    assert state(on) == before
    return named


def even(on: Bed) -> Demand:
    return Demand.even(on.in_work, 5.0)


# --- taken --------------------------------------------------------------


def test_a_plain_row_leaves_a_loop_a_row_and_working_position_on_every_needle() -> None:
    on = do(bed(), "knit left beyond L3: L3-R3")
    assert on.loops == on.rows == [1] * 6
    assert set(on.position) == {Position.WP}
    assert on.side is Side.LEFT
    assert on.yarn == Needle.parse("L3")
    assert not on.row_faults(even(on), Side.RIGHT)


def test_a_ladder_takes_no_yarn_and_is_no_float() -> None:
    on = do(bed(out="R1 R2"), "knit left beyond L3: L3-L1 R3")
    assert on.at(Needle.parse("R1")) is Position.NWP
    assert on.loops == [1, 1, 1, 0, 0, 1]


def test_held_needles_are_passed_over_and_returned_ones_knit() -> None:
    on = do(bed(), "hold L3-L1", "knit left beyond R1: R1-R3")
    assert on.rows == [0, 0, 0, 1, 1, 1]
    do(on, "hold R1-R3", "back-up right beyond R1", "return L3-L1")
    assert on.at(Needle.parse("L1")) is Position.UWP
    do(on, "dial 9", "knit left beyond L3: L3-L1")
    assert on.loop_size == [9, 9, 9, 5, 5, 5]


def test_a_stitch_by_hand_is_larger_than_any_on_the_dial_and_pushes_no_carriage() -> None:
    on = do(bed(), "hold L3-L1", "knit left beyond R1: R1-R3", "by-hand L1")
    assert on.loop_size[2] == BY_HAND
    assert on.gap == 0
    assert on.yarn == Needle.parse("L1")


def test_crossed_stitches_change_places_and_their_needles_stand_out() -> None:
    on = do(bed(), "knit left beyond L3: L3-R3", "cross R1-R2 over L3-L1 as rope")
    assert list(map(Needle, on.strand)) == [Needle.parse(n) for n in ["R1", "R2", "L3", "L2", "L1", "R3"]]
    assert on.position == [Position.UWP] * 5 + [Position.WP]


def test_enlarged_loops_go_with_their_stitches_when_crossed() -> None:
    on = do(bed("L1-R1"), "hold L1", "knit left beyond R1: R1", "hold R1", "back-up right beyond R1")
    do(on, "dial 9", "return L1", "knit left beyond L1: L1", "return R1", "cross R1 over L1 as rope")
    assert on.loop_size == [5, 9]


def test_words_and_weights_change_nothing() -> None:
    on = bed()
    before = state(on)
    for move in (Tell("tie a marker"), Weights(on.in_work)):
        on.push(move)
    assert state(on) == before


def test_the_next_row_begins_with_no_needle_worked() -> None:
    on = do(bed(), "knit left beyond L3: L3-R3", "cross R1 over L1 as rope")
    on.next_row()
    assert on.rows == [0] * 6
    assert not on.moves
    do(on, "knit right beyond R3: L3-R3", "cross R1 over L1 as rope")


# --- refused ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "move", "fault"),
    [
        ((), "dial 10.5", Fault.OFF_DIAL),
        (("knit left beyond R1: R1-R3",), "back-up right beyond R3", Fault.BACK_UP_KNITS),
        (("hold R2",), "knit left beyond L3: L3-R1 R3", Fault.FLOAT_IN_PASS),
        (("hold R1-R3",), "knit left beyond L3: L3-L1", Fault.FLOAT_FROM_YARN),
        (("hold L3-R3",), "knit left beyond L3: R3", Fault.KNITS_NOTHING),
        (("hold L3-L1",), "knit left beyond R1: R2-R3", Fault.WRONG_NEEDLES),
        ((), "knit right beyond R3: R3", Fault.WRONG_WAY),
        ((), "back-up right beyond R3", Fault.WRONG_WAY),
        (("hold L3-R2",), "by-hand L1", Fault.FLOAT_FROM_YARN),
        ((), "by-hand R1 R3", Fault.FLOAT_IN_PASS),
        ((), "hold R4", Fault.OUT_OF_WORK),
        ((), "cross R1 over L1 as rope", Fault.ROW_NOT_FINISHED),
        (("knit left beyond L3: L3-R3",), "cross L4-L3 over L2-L1 as rope", Fault.OUTSIDE_PANEL),
        (("knit left beyond L3: L3-R3",), "cross R2 over L1 as rope", Fault.SKIPS_NEEDLES),
        (("knit left beyond L3: L3-R3", "cross R1 over L1 as a"), "cross R1 over R2 as b", Fault.SHARES_NEEDLES),
        (("knit left beyond R1: R1-R3", "hold R1-R3"), "cross R1 over L1 as rope", Fault.ROW_NOT_FINISHED),
        (
            ("knit left beyond L3: L3-R3", "cross R1 over L1 as a"),
            "knit right beyond R3: L3-R3",
            Fault.ROW_NOT_FINISHED,
        ),
    ],
)
def test_what_a_real_bed_would_punish_is_refused(before: tuple[str, ...], move: str, fault: Fault) -> None:
    assert fault.name in refused(do(bed(), *before), move)


def test_stitches_under_the_carriage_cannot_be_crossed() -> None:
    on = do(bed(), "knit left beyond L3: L3-R3")
    do(on, "hold L3-R3", "back-up right beyond L1")
    assert refused(on, "cross R1-R2 over L2-L1 as rope") == ["UNDER_CARRIAGE"]
    assert not refused(on, "cross R2-R3 over R1 as rope")


def test_a_needle_without_a_loop_is_neither_knit_nor_crossed() -> None:
    on = bed(loops={Needle.parse("L1"): 0})
    assert refused(on, "knit left beyond L3: L3-R3") == ["NO_LOOP"]
    do(on, "hold L3-L1", "knit left beyond R1: R1-R3")
    assert refused(on, "by-hand L1") == ["NO_LOOP"]
    assert "NO_LOOP" in refused(on, "cross R1 over L1 as rope")


def test_two_loops_are_knit_together_and_three_cannot_be_crossed() -> None:
    on = do(bed(loops={Needle.parse("R2"): 2}), "knit left beyond L3: L3-R3")
    assert on.loops == [1] * 6
    on = do(bed(loops={Needle.parse("L1"): 3}), "hold L3-L1", "knit left beyond L3: R1-R3")
    assert "TOO_MANY_LOOPS" in refused(on, "cross R1 over L1 as rope")


def test_an_out_of_work_needle_between_two_halves_is_no_obstacle_but_in_a_half_it_is() -> None:
    on = do(bed(out="L1"), "knit left beyond L3: L3-L2 R1-R3")
    assert refused(on, "cross R1 over L2-L1 as rope") == ["OUT_OF_WORK"]
    assert not refused(on, "cross R1 over L2 as rope")


def test_a_row_with_needles_held_or_not_knit_or_the_carriage_within_is_not_complete() -> None:
    on = do(bed(), "hold L3-L1", "knit left beyond R1: R1-R3")
    found = on.row_faults(even(on), Side.RIGHT)
    assert [f.fault for f in found] == [Fault.HELD_AT_END, Fault.ROWS_MISSING, Fault.WRONG_SIDE]
    assert [str(n) for n in found[0].needles] == [str(n) for n in found[1].needles] == ["L3", "L2", "L1"]


def test_knit_too_often_is_as_wrong_as_not_at_all() -> None:
    on = do(bed("L1-R1"), "knit left beyond L1: L1-R1", "knit right beyond R1: L1-R1", "knit left beyond L1: L1-R1")
    assert [f.fault for f in on.row_faults(even(on), Side.RIGHT)] == [Fault.ROWS_MISSING]
    assert not on.row_faults(demand("bb", "33"), Side.RIGHT)


def test_a_fault_names_the_row_the_move_the_needles_and_the_mend() -> None:
    on = do(bed(), "knit left beyond R1: R1-R3")
    on.row = 8
    with pytest.raises(BedFault) as caught:
        on.push(BackUp(Side.RIGHT, Needle.parse("R3")))
    fault = caught.value
    assert (fault.row, fault.move) == (8, BackUp(Side.RIGHT, Needle.parse("R3")))
    assert [str(n) for n in fault.found[0].needles] == ["R1", "R2", "R3"]
    text = str(fault)
    assert "row 8" in text
    assert "R1–R3" in text
    assert fault.found[0].mend in text


@pytest.mark.parametrize(
    ("before", "move", "told"),
    [
        ((), "dial 10.5", "SS 10.5 is off the dial, 0 to 10"),
        (("knit left beyond R1: R1-R3",), "back-up right beyond R3", "backing up would knit R1–R3 (3 needles): R1 R2 R3"),
        (("hold R2",), "knit left beyond L3: L3-R1 R3", "a float from R3 to R1 inside the pass: R3 R1"),
        (("hold R1-R3",), "knit left beyond L3: L3-L1", "a float from R3, where the yarn lies, to L1: R3 L1"),
        (("hold L3-R3",), "knit left beyond L3: R3", "the carriage would pass and knit nothing"),
        (("hold L3-L1",), "knit left beyond R1: R2-R3", "the carriage would knit R1–R3 (3 needles), not R2–R3 (2 needles): R1"),
        ((), "by-hand L4", "L4 (1 needle) not in work: L4"),
        ((), "knit right beyond L3: L3", "L3 is not ahead of the carriage: L3"),
        ((), "back-up right beyond L3", "L3 is not ahead of the carriage: L3"),
        ((), "cross R3-R4 over R2 as rope", "R4 (1 needle) outside the panel L3-R3: R4"),
        (("knit left beyond L3: L3-R3",), "cross R1 over L2 as rope", "L1 (1 needle) in work between the halves: L1"),
        (
            ("knit left beyond L3: L3-R3", "cross R1 over L1 as rope"),
            "cross R2 over R1 as plait",
            "R1 (1 needle) already crossed in this row: R1",
        ),
        (
            ("knit left beyond R1: R1-R3",),
            "cross R1 over L1 as rope",
            "the row is not finished on L1 (1 needle): L1 / the carriage stands over L1-R1: L1 R1",
        ),
        (
            ("knit left beyond L3: L3-R3", "cross R1 over L1 as rope"),
            "knit right beyond R3: L3-R3",
            "L1–R1 (2 needles) crossed already: their row was not finished: L1 R1",
        ),
    ],
)  # fmt: skip
def test_a_refusal_says_what_is_wrong_with_which_needles(before: tuple[str, ...], move: str, told: str) -> None:
    found = do(bed(), *before).faults(parse(move))
    assert " / ".join(f"{f.what}{': ' if f.needles else ''}{' '.join(map(str, f.needles))}" for f in found) == told


def test_a_row_that_is_not_complete_says_what_is_missing_where() -> None:
    on = do(bed(), "hold L3-L1", "knit left beyond R1: R1-R3")
    assert [f.what for f in on.row_faults(even(on), Side.RIGHT)] == [
        "L3–L1 (3 needles) still held",
        "L3–L1 (3 needles) not knit as the row asks",
        "the carriage is not on the left",
    ]


def test_a_ladder_or_a_missing_loop_in_a_half_is_named() -> None:
    def told(on: Bed, move: str) -> list[tuple[str, list[str]]]:
        return [(f.what, [str(n) for n in f.needles]) for f in on.faults(parse(move))]

    on = do(bed(out="L1"), "knit left beyond L3: L3-L2 R1-R3")
    assert told(on, "cross R1 over L2-L1 as rope") == [("the crossing uses L1 (1 needle), out of work", ["L1"])]
    on = bed(loops={Needle.parse("L1"): 0, Needle.parse("R1"): 3})
    assert told(on, "knit left beyond L3: L3-R3") == [("no loop on L1 (1 needle)", ["L1"])]
    assert told(on, "cross R1 over L1 as rope")[1:] == [
        ("no loop on L1 (1 needle)", ["L1"]),
        ("more than 2 loops on R1 (1 needle)", ["R1"]),
    ]


def test_beside_the_panel_the_carriage_passes_none_of_its_needles() -> None:
    on = do(bed(), "knit left beyond L6: L3-R3")
    assert not refused(on, "back-up right beyond L5")
    on = do(bed(carriage=Side.LEFT), "knit right beyond R6: L3-R3")
    assert not refused(on, "back-up left beyond R5")


def test_of_a_bed_that_no_row_was_named_to_a_fault_names_the_move_alone() -> None:
    with pytest.raises(BedFault, match=r"^move 'dial 11': SS 11 is off the dial, 0 to 10; choose a size on the dial$"):
        bed().push(parse("dial 11"))


def test_a_needle_beyond_the_panel_is_out_of_work() -> None:
    on = do(bed(), "hold R3")
    assert [on.at(Needle.parse(n)) for n in ("L4", "L9", "R4", "R9")] == [Position.NWP] * 4


def test_needles_knit_in_another_order_or_left_out_are_named() -> None:
    def named(needles: str) -> list[str]:
        order = tuple(map(Needle.parse, needles.split()))
        (found,) = bed("L1-R1").faults(Knit(Side.LEFT, Needle.parse("L1"), order))
        assert found.fault is Fault.WRONG_NEEDLES
        return [str(n) for n in found.needles]

    assert named("L1 R1") == ["R1", "L1"], "all, in the order the carriage would knit them"
    assert named("R1") == ["L1"]
    assert named("R1 L1 L2") == ["L2"]


def test_moves_can_be_taken_back_to_the_start_and_no_further() -> None:
    on = bed()
    start = state(on)
    for text in ("hold L3-L1", "knit left beyond R1: R1-R3", "hold R1-R3", "back-up right beyond R1", "return L3-L1"):
        on.push(parse(text))
    assert on.pop() == parse("return L3-L1")
    while on.moves:
        on.pop()
    assert state(on) == start
    with pytest.raises(IndexError):
        on.pop()


def test_a_copy_goes_its_own_way() -> None:
    on = bed()
    for text in ("hold L3-L1", "knit left beyond R1: R1-R3"):
        on.push(parse(text))
    here, copied = state(on), on.copy()
    assert (state(copied), copied.moves) == (here, on.moves)
    copied.pop()
    copied.push(parse("knit left beyond R1: R1-R3"))
    copied.push(parse("return L3-L1"))
    copied.push(parse("knit left beyond L3: L1 L2 L3"))
    assert state(on) == here
    there = state(copied)
    assert [on.pop(), on.pop()] == [parse("knit left beyond R1: R1-R3"), parse("hold L3-L1")]
    assert state(copied) == there


# --- against the second bed ---------------------------------------------------


class TwoBeds(RuleBasedStateMachine):
    """Any moves, legal or not, on two beds: both refuse the same, and show the same."""

    @initialize(rnd=st.randoms(use_true_random=False))
    def begin(self, rnd: Random) -> None:
        self.pair = Pair(rnd)

    @rule(rnd=st.randoms(use_true_random=False))
    def move(self, rnd: Random) -> None:
        self.pair.make(some_move(rnd, self.pair.naive))

    @precondition(lambda self: self.pair.back)
    @rule()
    def take_back(self) -> None:
        self.pair.take_back()

    @rule(rnd=st.randoms(use_true_random=False))
    def end_row(self, rnd: Random) -> None:
        self.pair.end_row(rnd)


TestTwoBeds = TwoBeds.TestCase
TestTwoBeds.settings = settings(max_examples=150, stateful_step_count=40)


def test_among_many_random_moves_every_fault_is_met_and_every_kind_of_move_taken() -> None:
    rnd = Random(8)
    refusals: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    for _ in range(600):
        pair = Pair(rnd)
        for _ in range(40):
            if pair.back and rnd.random() < 0.1:
                pair.take_back()
            elif rnd.random() < 0.15:
                named = pair.end_row(rnd)
                refusals.update(named)
                taken["row"] += not named
            else:
                move = some_move(rnd, pair.naive)
                named = pair.make(move)
                refusals.update(named)
                taken[type(move).__name__] += not named
    assert set(refusals) == {fault.name for fault in Fault}
    wanted = {"Hold", "Return", "Knit", "BackUp", "ByHand", "Cross", "Dial", "Weights", "Tell", "row"}
    wanted |= {"Transfer", "OutOfWork", "IntoWork", "Fill", "CastOff", "CastOn", "Wrap", "Bead", "LatchUp", "Lever"}
    assert {kind for kind, count in taken.items() if count >= 20} == wanted


def test_knitting_by_hand_names_its_needles_and_begins_from_the_nearer_end_of_them() -> None:
    assert refused(bed(), ByHand(())) == ["KNITS_NOTHING"]
    assert [found.what for found in bed().faults(ByHand(()))] == ["no needle is named"]
    names = tuple(Needle.parse(n) for n in ("R2", "R3"))
    assert do(bed(), "by-hand R2-R3").yarn == names[0]
    assert bed().hand_order(names) == (names[1], names[0])
    assert bed(carriage=Side.LEFT).hand_order(names) == names
