"""The order of stitches after crossings, against permutations (sympy.combinatorics).

A crossing is a permutation of places: the stitch at ``i`` goes to ``p(i)``.
Crossings made one after another multiply, and a crossing of n over m turns
n·m pairs of stitches around.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st
from sympy.combinatorics import Permutation, SymmetricGroup

from purlside.bed.bed import Bed
from purlside.bed.moves import Knit
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Cross
from tests.naive_bed import NaiveBed
from tests.plans import crossings

LEFT, WIDTH = -5, 10
PANEL = Span(Needle(LEFT), Needle(LEFT + WIDTH - 1))


def fresh(panel: Span = PANEL) -> Bed:
    return Bed(panel, list(panel), carriage=Side.RIGHT, dial=5.0)


def after(made: list[Crossing], panel: Span = PANEL) -> list[int]:
    """Which stitch hangs on each needle, left to right, counted from 0 at the left; a row is knit before each crossing."""
    bed = fresh(panel)
    for crossing in made:
        bed.next_row()
        side = bed.side
        assert side is not None
        far = panel.edge(side.other)
        bed.push(Knit(side.other, far, tuple(sorted(panel, reverse=side is Side.RIGHT))))
        bed.push(Cross("rope", crossing))
    return [stitch - int(panel.left) for stitch in bed.strand]


def permutation(crossing: Crossing, left: int = LEFT, width: int = WIDTH) -> Permutation:
    """Where each place's stitch goes: the left block moves right by the other's width, the right one left."""
    to = list(range(width))
    first, second = sorted((crossing.front, crossing.back), key=lambda half: half.left)
    for needle in first:
        to[needle - left] += len(second)
    for needle in second:
        to[needle - left] -= len(first)
    return Permutation(to)


def order(product: Permutation) -> list[int]:
    """The stitches left to right when each has gone where the permutation takes it."""
    return list((~product).array_form)


@given(st.lists(crossings(LEFT, LEFT + WIDTH - 1), max_size=8))
def test_crossings_one_after_another_multiply_as_permutations_do(made: list[Crossing]) -> None:
    product = Permutation(list(range(WIDTH)))
    for crossing in made:
        product = product * permutation(crossing)
    assert after(made) == order(product)


@given(crossings(LEFT, LEFT + WIDTH - 1))
def test_n_over_m_turns_around_n_times_m_pairs(crossing: Crossing) -> None:
    stitches = after([crossing])
    inversions = Permutation(stitches).inversions()
    assert inversions == len(crossing.front) * len(crossing.back)


@given(crossings(LEFT, LEFT + WIDTH - 1))
def test_where_the_stitches_land_does_not_depend_on_which_half_is_in_front(crossing: Crossing) -> None:
    assert after([crossing]) == after([Crossing(crossing.back, crossing.front)])


@given(st.lists(crossings(LEFT, LEFT + WIDTH - 1), max_size=6))
def test_the_json_of_the_crossings_alone_gives_the_same_order(made: list[Crossing]) -> None:
    names = [str(n) for n in PANEL]
    bed = NaiveBed(names, [], "right", 5.0)
    for crossing in made:
        bed.do(Cross("rope", crossing).json())
    assert [names.index(stitch) for stitch in bed.stitch.values()] == after(made)


def small(text: str) -> Crossing:
    """``"2/3 RC"`` on the needles L1, R1, R2, …: the operator's right block of 2 in front."""
    counts, hand = text.split()
    front, back = map(int, counts.split("/"))
    if hand == "RC":
        return Crossing(
            Span(Needle(back - 1), Needle(back + front - 2)),
            Span(Needle(-1), Needle(back - 2)),
        )
    return Crossing(Span(Needle(-1), Needle(front - 2)), Span(Needle(front - 1), Needle(front + back - 2)))


def numbered(texts: list[str], width: int) -> list[int]:
    panel = Span(Needle(-1), Needle(width - 2))
    return [stitch + 1 for stitch in after([small(text) for text in texts], panel)]


def test_two_over_three_sends_one_two_three_four_five_to_three_four_five_one_two() -> None:
    assert numbered(["2/3 LC"], 5) == [3, 4, 5, 1, 2]
    assert numbered(["3/2 RC"], 5) == [3, 4, 5, 1, 2]


def test_the_same_cross_twice_on_two_and_two_brings_the_order_back() -> None:
    for hand in ("RC", "LC"):
        assert numbered([f"2/2 {hand}"], 4) == [3, 4, 1, 2]
        assert numbered([f"2/2 {hand}"] * 2, 4) == [1, 2, 3, 4]
    assert numbered(["2/2 RC", "2/2 LC"], 4) == [1, 2, 3, 4]


def test_unequal_halves_come_back_only_after_as_many_crossings_as_the_cycle_is_long() -> None:
    for front, back in ((1, 3), (2, 3), (3, 1), (2, 4)):
        one = small(f"{front}/{back} RC")
        cycle = permutation(one, -1, front + back).order()
        texts = [f"{front}/{back} RC"] * cycle
        in_order = list(range(1, front + back + 1))
        assert numbered(texts, front + back) == in_order
        assert all(numbered(texts[:some], front + back) != in_order for some in range(1, cycle))


def test_a_plait_of_three_comes_back_after_six_crossings() -> None:
    strands = Span.parse("L3-R3")
    right_pair = Crossing.parse("R2-R3 over L1-R1")
    left_pair = Crossing.parse("L3-L2 over L1-R1")
    orders = [[stitch // 2 for stitch in after([left_pair, right_pair] * n, strands)[::2]] for n in range(4)]
    assert orders == [[0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 1, 2]]


def test_orders_of_four_strands_by_how_many_single_crossings_they_take() -> None:
    """1, 3, 5, 6, 5, 3, 1 orders at distance 0 to 6 (known of the symmetric group S4; derived, no source needed)."""
    panel = Span.parse("L2-R2")
    singles = [Crossing.parse(f"{a} over {b}") for a, b in (("L2", "L1"), ("L1", "R1"), ("R1", "R2"))]
    reached: dict[tuple[int, ...], int] = {tuple(range(4)): 0}
    todo: list[list[Crossing]] = [[]]
    while todo:
        made = todo.pop(0)
        for crossing in singles:
            stitches = tuple(after([*made, crossing], panel))
            if stitches not in reached:
                reached[stitches] = len(made) + 1
                todo.append([*made, crossing])
    assert sorted(Counter(reached.values()).items()) == list(enumerate([1, 3, 5, 6, 5, 3, 1]))
    lengths = Counter(element.inversions() for element in SymmetricGroup(4).elements)
    assert Counter(reached.values()) == lengths
